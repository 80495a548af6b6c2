"""The page as a whole: which address leads where, and how a request is read and what goes wrong is told."""

import secrets
from collections.abc import Awaitable, Callable
from dataclasses import replace

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile
from starlette.exceptions import HTTPException
from starlette.requests import ClientDisconnect, Request
from starlette.responses import HTMLResponse, Response
from starlette.routing import Route
from starlette.types import ASGIApp

from trials.errors import LogbookError, Refused, TrialsError
from trials.page import (
    of_charts,
    of_files,
    of_logbook,
    of_pictures,
    of_plan,
    of_rehearsal,
    of_runs,
    of_stored_plan,
    of_trial,
    of_worth,
)
from trials.page.desk import Desk
from trials.page.door import Door, Entry
from trials.page.from_template import HERE, bare
from trials.page.guard import LOOPBACK, READS, Guard, TooMuch, not_taken
from trials.page.sent import NUMBER, TOKEN, Sent, SentFile
from trials.wording.steps import Reader, said_for

Handler = Callable[[Desk, Sent], Response]
STATIC = {
    "/style.css": ("style.css", "text/css"),
    "/helpers.js": ("helpers.js", "text/javascript"),
    "/page.js": ("page.js", "text/javascript"),
    "/icon.svg": ("icon.svg", "image/svg+xml"),
}
LASTING = {"cache-control": "private, max-age=604800"}
"""A browser keeps these for a week: a page names them by what is in them (`lasting`)."""
MOST_FIELDS, MOST_FILES, LONGEST_NUMBER = 500, 500, 64
LOST = "There is no such page here."
UNREADABLE = f"That can't be read, so nothing was stored. At most {MOST_FILES} files go at once."
OPENED_BEFORE = "This form is from before the server was started anew, so nothing was stored. Look at it, and send it."
UNFORESEEN = (
    "Something went wrong here that should not. Look in the logbook whether it is stored; the terminal says more."
)
PAGES: tuple[tuple[str, Handler, tuple[str, ...]], ...] = (
    ("/", of_logbook.logbook_page, ("GET",)),
    ("/load", of_files.load_page, ("GET", "POST")),
    ("/trial/{name}/export", of_files.export_page, ("GET",)),
    ("/trial/{name}/export/{form}", of_files.export_file, ("GET",)),
    ("/trial/{name}/worth", of_worth.worth_page, ("GET", "POST")),
    ("/plan", of_plan.plan_page, ("GET", "POST")),
    ("/plan/chart/{form}", of_plan.plan_chart, ("GET",)),
    ("/trial/{name}/plan", of_stored_plan.stored_plan_page, ("GET", "POST")),
    ("/trial/{name}/rehearse", of_rehearsal.rehearsal_page, ("GET", "POST")),
    ("/trial/{name}/rehearsed/{form}", of_rehearsal.rehearsed_chart, ("GET",)),
    ("/trial/{name}/papers", of_plan.papers_page, ("GET", "POST")),
    ("/trial/{name}/paper/{paper}", of_plan.paper_file, ("GET",)),
    ("/trial/{name}", of_trial.trial_page, ("GET",)),
    ("/trial/{name}/check", of_trial.check_page, ("GET",)),
    ("/trial/{name}/verdict", of_trial.verdict_page, ("GET",)),
    ("/trial/{name}/report", of_trial.report_file, ("GET",)),
    ("/trial/{name}/chart/{form}", of_charts.chart_file, ("GET",)),
    ("/trial/{name}/history", of_trial.history_page, ("GET",)),
    ("/trial/{name}/decide", of_trial.decide_page, ("GET", "POST")),
    ("/trial/{name}/aside", of_runs.aside_page, ("GET", "POST")),
    ("/trial/{name}/runs", of_runs.runs_page, ("GET",)),
    ("/trial/{name}/panner", of_runs.panner_page, ("GET",)),
    ("/trial/{name}/run/{tag}", of_runs.run_page, ("GET", "POST")),
    ("/trial/{name}/correct/{tag}", of_runs.correct_page, ("GET", "POST")),
    ("/trial/{name}/strike/{tag}", of_runs.strike_page, ("GET", "POST")),
    ("/trial/{name}/attach", of_pictures.attach_page, ("GET", "POST")),
    ("/trial/{name}/picture/{digest}", of_pictures.picture_file, ("GET",)),
)


def page_app(desk: Desk, port: int, door: Door | None = None) -> ASGIApp:
    """The page over a logbook, as a server runs it.

    It answers at this port of this machine alone; with a door at its address in the network too, after the code.
    """
    cookie = f"samedirt-{port}"
    routes = [Route(path, _endpoint(desk, handler, cookie), methods=list(methods)) for path, handler, methods in PAGES]
    routes += [Route(path, _static(*one)) for path, one in STATIC.items()]

    app = Starlette(routes=routes, exception_handlers=dict.fromkeys((*FORESEEN, Exception), _told))
    inside: ASGIApp = app if door is None else Entry(app, door, f"{cookie}-in")
    return Guard(inside, frozenset(f"{host}:{port}" for host in (*LOOPBACK, *([door.host] if door else []))))


FORESEEN = (HTTPException, TooMuch, TimeoutError, ClientDisconnect)


async def _told(_: Request, error: Exception) -> Response:
    """A page that says what kept a request from being answered; of one who is gone nobody reads it."""
    if isinstance(error, HTTPException):
        is_lost = error.status_code == 404
        told = bare("No such page" if is_lost else "Not stored", LOST if is_lost else UNREADABLE, leads_home=True)
        return HTMLResponse(told, error.status_code)
    if isinstance(error, FORESEEN):
        return not_taken(error)
    return HTMLResponse(bare("Something went wrong", UNFORESEEN, leads_home=True), 500)


def _static(name: str, kind: str) -> Callable[[Request], Awaitable[Response]]:
    content = (HERE / name).read_bytes()

    async def served(_: Request) -> Response:
        return Response(content, media_type=kind, headers=LASTING)

    return served


def _endpoint(desk: Desk, handler: Handler, cookie: str) -> Callable[[Request], Awaitable[Response]]:
    async def answered(request: Request) -> Response:
        own = request.cookies.get(cookie) or secrets.token_urlsafe(24)
        sent = await _read(request, desk.forms.token_for(own))
        answer = await run_in_threadpool(_answer, desk, handler, sent, is_own=_is_own(desk, request, cookie, sent))
        if cookie not in request.cookies:
            answer.set_cookie(cookie, own, httponly=True, samesite="strict")
        return answer

    return answered


async def _read(request: Request, token: str) -> Sent:
    """A request as plain values; what a form holds is read as data and nothing else."""
    address = Sent(request.path_params, dict(request.query_params), token, request.url.path)
    if request.method in READS:
        return address
    fields: dict[str, str] = {}
    files: list[SentFile] = []
    async with request.form(max_fields=MOST_FIELDS, max_files=MOST_FILES) as form:
        for name, value in form.multi_items():
            if not isinstance(value, UploadFile):
                fields[name] = value
            elif value.filename:
                files.append(SentFile(value.filename, await value.read()))
    return replace(address, fields=fields, files=tuple(files), is_post=True)


def _is_own(desk: Desk, request: Request, cookie: str, sent: Sent) -> bool:
    is_numbered = 0 < len(sent.text(NUMBER)) <= LONGEST_NUMBER
    return is_numbered and desk.forms.is_own(request.cookies.get(cookie, ""), sent.text(TOKEN))


@said_for(Reader.AT_PAGE)
def _answer(desk: Desk, handler: Handler, sent: Sent, *, is_own: bool) -> Response:
    """The answer of a handler; what goes wrong is told in the same words as by a command, and no form is lost."""
    if sent.is_post and not is_own:
        return _send_again(desk, sent, (OPENED_BEFORE,), 403)
    try:
        if not sent.is_post:
            return handler(desk, sent)
        with desk.forms.turn:
            number = sent.text(NUMBER)
            return desk.taken_already(number, twice=True) if number in desk.forms.taken else handler(desk, sent)
    except LogbookError as error:
        return _send_again(desk, sent, error.lines, 503)
    except Refused as error:
        return _send_again(desk, sent, error.lines, 422 if sent.is_post else 404)
    except TrialsError as error:
        return _send_again(desk, sent, error.lines, 500)


def _send_again(desk: Desk, sent: Sent, lines: tuple[str, ...], status: int) -> Response:
    """A page that says what is wrong, and holds the form that was sent."""
    fields = {name: text for name, text in sent.fields.items() if name not in (TOKEN, NUMBER)}
    return desk.show(sent, "again.html", status=status, lines=lines, fields=fields)
