"""One trial: how it stands, its checks, its verdict with the chart, its report, its history, what was decided."""

from collections.abc import Sequence

from starlette.responses import Response

from schemas import Finding, Record
from trials.changes.decide import DECISIONS, decision_words, last_decision
from trials.changes.history import history
from trials.fairness.checklist import SEVERITY_HEADS
from trials.fairness.overview import Overview, look_over
from trials.files.pictures import photo_problems
from trials.keeping.storing import store_decision
from trials.page.desk import Desk
from trials.page.guard import POLICY_OF_A_FILE
from trials.page.of_charts import DRAWING
from trials.page.sent import Done, Sent
from trials.papers.readings import held_settings
from trials.report.answer_tables import answer_tables
from trials.report.since import what_was_changed
from trials.report.tables import what_was_done
from trials.verdicts.spoken import last_words


def trial_page(desk: Desk, sent: Sent) -> Response:
    """How a trial stands: its question, what was done, what comes next."""
    record = desk.read(sent.path["name"])
    seen = _overview(desk, record)
    decided = last_decision(record.corrections)
    return desk.show(
        sent,
        "trial.html",
        trial=record.trial,
        seen=seen,
        next=_next(seen),
        done=what_was_done(record.trial),
        held=held_settings(record.trial),
        decided="" if decided is None else decision_words(decided),
    )


def _overview(desk: Desk, record: Record) -> Overview:
    return look_over(record, [str(problem) for problem in photo_problems(record, desk.book.path)])


def _next(seen: Overview) -> tuple[str, str]:
    """Where to go from here, and what it is called."""
    if seen.stops:
        return "check", "A check stops the verdict: see which"
    if not seen.missing:
        return "verdict", "The verdict"
    return ("runs", "Type in the runs") if seen.runs_made else ("papers", "Print the papers, and run it")


def check_page(desk: Desk, sent: Sent) -> Response:
    """All checks at once, stops first, and what is still missing."""
    record = desk.read(sent.path["name"])
    seen = _overview(desk, record)
    return desk.show(
        sent,
        "check.html",
        trial=record.trial,
        seen=seen,
        next=_next(seen),
        found=_found(record, seen.findings),
        unknown=seen.of("not recorded"),
        good=[one.check for one in seen.of("ok")],
    )


def _found(record: Record, findings: Sequence[Finding]) -> list[tuple[str, Finding, list[str]]]:
    """What checks found, stops first: how it weighs, what it is, and the tags it means."""
    return [
        (head, one, tags_of_finding(record, one))
        for key, head in SEVERITY_HEADS.items()
        for one in findings
        if one.severity == key
    ]


def tags_of_finding(record: Record, finding: Finding) -> list[str]:
    """The tags of all runs of the pairs that a check means, in the order of the alphabet, which tells nothing."""
    return sorted(run.tag for run in record.runs if run.pair in finding.pairs and run.tag)


def verdict_page(desk: Desk, sent: Sent) -> Response:
    """The sentence, the chart, the last word, and what weakens it."""
    record = desk.read(sent.path["name"])
    reached = desk.verdict(record)
    decided = last_decision(record.corrections)
    return desk.show(
        sent,
        "verdict.html",
        trial=record.trial,
        verdict=reached,
        word=last_words(reached),
        decided="" if decided is None else decision_words(decided),
        found=_found(record, reached.checks),
        tables=answer_tables(reached),
        changed=tuple(what_was_changed(reached)),
    )


def report_file(desk: Desk, sent: Sent) -> Response:
    """The whole trial as one file, to read here or to keep."""
    from trials.report.page import report_html

    record = desk.read(sent.path["name"])
    off = {problem.place: problem.says for problem in photo_problems(record, desk.book.path)}
    with DRAWING:
        page = report_html(record, off)
    return html_file(page, f"report-{record.trial.name}.html", is_kept="keep" in sent.query)


def html_file(page: str, name: str, *, is_kept: bool) -> Response:
    """A page that is a file of its own: shown, or handed over to be kept. It runs nothing and fetches nothing."""
    headers = {"content-security-policy": POLICY_OF_A_FILE}
    if is_kept:
        headers["content-disposition"] = f'attachment; filename="{name}"'
    return Response(page, media_type="text/html", headers=headers)


def history_page(desk: Desk, sent: Sent) -> Response:
    """What became of a trial, by time."""
    record = desk.read(sent.path["name"])
    return desk.show(sent, "history.html", trial=record.trial, events=history(record))


def decide_page(desk: Desk, sent: Sent) -> Response:
    """What was done with the change in the end."""
    record = desk.read(sent.path["name"])
    decided = last_decision(record.corrections)

    def shown(problems: Sequence[str]) -> Response:
        return desk.show(
            sent,
            "decide.html",
            trial=record.trial,
            problems=problems,
            words=DECISIONS,
            chosen=sent.text("word") or ("" if decided is None else decided.new or ""),
            note=sent.text("note"),
            decided="" if decided is None else decision_words(decided),
            word=last_words(desk.verdict(record)),
        )

    return desk.take_or_show(sent, lambda: _decided(desk, sent), shown)


def _decided(desk: Desk, sent: Sent) -> Done:
    name = sent.path["name"]
    said = store_decision(desk.book, name, sent.text("word"), sent.text("note") or None, desk.now)
    return Done(f"/trial/{name}", (said,))
