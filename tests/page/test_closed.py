"""Attacks: what is not from this page, too large, too slow or no form at all changes nothing."""

import asyncio
import re
import socket
import subprocess
import sys
from html import unescape
from pathlib import Path
from threading import Timer

import pytest

from tests.commands.typed_in import half_done, read
from tests.page.visitor import OWN, PORT, Visitor, hidden_of, waited_for, words_of
from trials.page.guard import MOST_BYTES, Guard
from trials.page.sent import Forms
from trials.page.serve import _listen

DECIDE = "/trial/rough-bed/decide"
KEEP = {"word": "keep", "note": "less sand"}


@pytest.fixture
def visitor(tmp_path: Path) -> Visitor:
    """Someone at the page of a logbook with one trial, half done."""
    half_done(tmp_path, 3)
    return Visitor(tmp_path / "logbook.duckdb")


def test_what_is_not_sent_from_this_page_changes_nothing(visitor: Visitor, tmp_path: Path) -> None:
    """Wrong host, foreign or no origin, another site by the browser's own word, no token, a token of another browser."""
    before = read(tmp_path)
    own = hidden_of(visitor.get(DECIDE)) | KEEP
    stranger = hidden_of(Visitor(visitor.book, visitor.app).get(DECIDE))
    foreign = ({"origin": "http://evil.example"}, {"origin": "null"}, {"origin": f"http://localhost:{PORT}"})
    for headers in (*foreign, {"sec-fetch-site": "cross-site"}, {"host": "evil.example"}, {"host": "127.0.0.1:1"}):
        assert visitor.post(DECIDE, own, headers=headers).status_code in (403, 421), headers
    assert visitor.ask("POST", DECIDE, data=own).status_code == 403
    for fields in (KEEP, own | {"token": ""}, own | {"token": stranger["token"]}, own | {"form": "x" * 65}):
        assert visitor.post(DECIDE, fields).status_code == 403
    assert visitor.get("/", headers={"host": "evil.example"}).status_code == 421
    for method in ("PUT", "DELETE", "OPTIONS", "TRACE"):
        assert visitor.ask(method, DECIDE).status_code == 405
    assert visitor.get("/../../etc/passwd").status_code == 404
    for path in ("/trial/..%2f..%2fetc", "/trial/%2fetc%2fpasswd", "/trial/rough-bed/chart/..%2fx"):
        assert visitor.get(path).status_code in (404, 422), path
    assert read(tmp_path) == before


def test_a_form_is_taken_once(visitor: Visitor, tmp_path: Path) -> None:
    """A double click, or a form that is sent again: stored once, and the second time it is told."""
    form = hidden_of(visitor.get(DECIDE)) | KEEP
    first, second = visitor.post(DECIDE, form), visitor.post(DECIDE, form | {"note": "more"})
    assert "rough-bed decided: keep" in words_of(visitor.follow(first))
    assert "nothing was stored a second time" in words_of(visitor.follow(second))
    assert len(read(tmp_path).corrections) == 1


def test_a_form_from_before_a_new_start_is_handed_back(visitor: Visitor, tmp_path: Path) -> None:
    """The server was started anew: nothing is stored, what was typed is there, and one press sends it."""
    form = hidden_of(visitor.get(DECIDE)) | KEEP
    again = Visitor(visitor.book, cookies=visitor.cookies)
    answer = again.post(DECIDE, form)
    assert answer.status_code == 403 and "started anew" in words_of(answer)
    assert not read(tmp_path).corrections
    assert again.post(DECIDE, hidden_of(answer)).status_code == 303
    assert read(tmp_path).corrections[0].why == "less sand"


def test_what_is_too_large_or_no_form_is_refused(visitor: Visitor, tmp_path: Path) -> None:
    """A gigabyte, told or poured in without a length; a form that is none: refused, and the page still answers."""

    async def poured():
        for _ in range(1024):
            yield b"x" * 2**20

    told = {"origin": OWN, "content-length": str(2**30)}
    poured_as = {"origin": OWN, "content-type": "application/x-www-form-urlencoded"}
    form = hidden_of(visitor.get(DECIDE))
    for answer in (
        visitor.ask("POST", DECIDE, content=b"", headers=told),
        visitor.ask("POST", DECIDE, content=poured(), headers=poured_as),
        visitor.post(DECIDE, form | {"note": "x" * MOST_BYTES}),
    ):
        assert answer.status_code in (400, 413), answer.text[:200]
    for kind, body in (
        ("multipart/form-data; boundary=x", b"--y\r\n\r\nnonsense"),
        ("multipart/form-data", b"--x"),
        ("multipart/form-data; boundary=x", b"--x\r\nContent-Disposition: nothing\r\n\r\n\xff\r\n--x--"),
        ("multipart/form-data; boundary=x", b'--x\r\nContent-Disposition: form-data; name="a"\r\n\r\nb\r\n' * 600),
        ("application/json", b"{}"),
        ("application/x-www-form-urlencoded", b"\xff\x00=%zz&&&="),
    ):
        answer = visitor.ask("POST", DECIDE, content=body, headers={"origin": OWN, "content-type": kind})
        assert answer.status_code in (400, 403), (kind, answer.status_code)
    assert not read(tmp_path).corrections
    assert visitor.get("/").status_code == 200


def test_what_takes_too_long_is_let_go(monkeypatch: pytest.MonkeyPatch) -> None:
    """A body that never ends in time is answered and forgotten."""
    monkeypatch.setattr("trials.page.guard.MOST_SECONDS", 0.05)
    sent: list[int] = []

    async def waits(scope, receive, send) -> None:  # noqa: ARG001
        while True:
            await receive()

    async def never():
        await asyncio.sleep(10)

    async def told(message) -> None:
        sent.append(message.get("status", 0))

    headers = [(b"host", b"here:1"), (b"origin", b"http://here:1")]
    scope = {"type": "http", "method": "POST", "path": "/", "headers": headers}
    waited_for(Guard(waits, {"here:1"})(scope, never, told))
    assert sent == [408, 0]


def test_what_is_typed_is_text_and_nothing_else(visitor: Visitor) -> None:
    """A script in a note, a name or a filter is shown as it was typed; nothing of a page runs."""
    script = '"><script>alert(1)</script>'
    refused = visitor.fill(DECIDE, {"word": script, "note": script})
    stored = visitor.follow(visitor.fill(DECIDE, {"word": "keep", "note": script}))
    listed = visitor.get("/", params={"gear": script, "since": script})
    for page in (refused, stored, listed, visitor.get("/trial/rough-bed/history")):
        assert "<script>alert" not in page.text
        assert "&lt;script&gt;" in page.text
        policy = page.headers["content-security-policy"]
        assert "unsafe" not in policy and "default-src 'none'" in policy
        assert not [part for part in (" style=", " onclick=", "javascript:") if part in page.text.replace(script, "")]
    cookie = visitor.get("/", headers={"cookie": ""})
    assert cookie.status_code == 200


def test_a_script_in_every_field_stays_a_text(visitor: Visitor, tmp_path: Path) -> None:
    """Each form with it in all its fields, one after the other; what was stored of it is shown everywhere as it was typed."""
    script = "</title></textarea><script>alert(1)</script><img src=x onerror=alert(1)>'\\" + '"'
    waits, *_, last = [run.tag for run in read(tmp_path).runs if run.pair > 3]
    made = read(tmp_path).runs[0].tag
    forms = [f"correct/{made}", f"run/{waits}", f"strike/{last}", "decide", "aside"]
    for path in ("/load", "/plan?at=0", *(f"/trial/rough-bed/{form}" for form in forms)):
        form = visitor.get(path)
        named = re.findall(r'<(?:input|select)[^>]* name="([^"]*)"', form.text)
        texts = {unescape(name): script for name in named if name not in ("token", "form", "at", "anew")}
        answer = visitor.post(path.partition("?")[0], hidden_of(form) | texts | {"anew": ""})
        assert answer.status_code in (303, 422), path
        for page in (form, visitor.follow(answer) if answer.status_code == 303 else answer):
            assert "<script>alert" not in page.text and "<img src=x" not in page.text, path
        visitor.post(
            path, hidden_of(form) | {"why": script, "own": script, "gold": "no", "grains": "31", "note": script}
        )
    record = read(tmp_path)
    stored = [record.trial.set_aside, next(run.void for run in record.runs if run.tag == last)]
    stored += [next(run.note for run in record.runs if run.tag == tag) for tag in (waits, made)]
    assert stored == [script] * 4
    for place in (*forms[1:], "verdict", "history", "runs", "report", "paper/creek"):
        page = visitor.get(f"/trial/rough-bed/{place}".rstrip("/"))
        assert "<script>alert" not in page.text and "<img src=x" not in page.text, place


def test_tokens_and_cookies_are_kept_from_scripts(visitor: Visitor) -> None:
    """The cookie is for this page alone, and a token can't be made without the server."""
    (cookie,) = visitor.get("/").headers.get_list("set-cookie")
    assert "HttpOnly" in cookie and "SameSite=strict" in cookie
    assert not Forms().is_own("a", Forms().token_for("a"))


def test_a_browser_keeps_looks_and_scripts_alone(visitor: Visitor) -> None:
    """What is the same for every logbook may be kept, under an address that is another when it is; nothing else may."""
    page = visitor.get("/")
    assert page.headers["cache-control"] == "no-store"
    kept = re.findall(r'(?:href|src)="(/\w+\.(?:css|js|svg)\?[0-9a-f]{8})"', page.text)
    assert len({address.partition("?")[2] for address in kept}) == 4  # told by what is in each
    assert all("max-age" in visitor.get(address).headers["cache-control"] for address in kept)


def test_answers_are_sent_at_once() -> None:
    """The page listens on this machine alone, and on what tells asyncio that nothing is to be gathered first."""
    with _listen(["127.0.0.1"], None)[0] as listening:
        assert listening.getsockname()[0] == "127.0.0.1" and listening.proto == socket.IPPROTO_TCP


HOLDS = """
import fcntl, os, sys
file = os.open(sys.argv[1], os.O_RDWR)
fcntl.lockf(file, fcntl.LOCK_EX)
print("held", flush=True)
sys.stdin.read()
"""


@pytest.mark.skipif(sys.platform == "win32", reason="a lock that is held this way is a thing of Unix")
def test_a_logbook_that_is_held_is_waited_for_then_told(
    visitor: Visitor, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The command line writes for long: the page says who holds it, keeps what was typed, and one press sends it."""
    call = [sys.executable, "-c", HOLDS, str(visitor.book)]
    form = hidden_of(visitor.get(DECIDE)) | {"word": "retest"}
    with subprocess.Popen(call, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as other:
        assert other.stdout is not None and other.stdin is not None
        assert other.stdout.readline() == "held\n"
        Timer(0.3, other.stdin.close).start()
        assert visitor.post(DECIDE, form).status_code == 303  # it was waited for
    form = hidden_of(visitor.get(DECIDE)) | KEEP
    monkeypatch.setattr("trials.logbook.connect.LOCK_WAIT_S", 0.1)
    with subprocess.Popen(call, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as other:
        assert other.stdout is not None and other.stdin is not None
        assert other.stdout.readline() == "held\n"
        told = visitor.post(DECIDE, form)
        assert told.status_code == 503 and "Nothing was stored" in words_of(told), words_of(told)
        assert visitor.get("/").status_code == 503
        other.stdin.close()
    assert visitor.post(DECIDE, hidden_of(told)).status_code == 303
    assert [one.new for one in read(tmp_path).corrections] == ["retest", "keep"]
