"""One file for a phone at the creek, with no network: the runs are typed there, and handed over as a sheet to load."""

import json
from base64 import b64encode
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from hashlib import sha256
from pathlib import Path

from markupsafe import Markup

from schemas import Record, Run, Trial, is_made
from schemas.run import TICKS_OF_GOLD
from trials.changes.reasons import VOID_REASONS
from trials.files.whole import write_all
from trials.page.from_template import HERE, from_template
from trials.page.run_fields import NET_OR_READINGS, TIMED, RunField, look_of, values_of
from trials.papers.cautions import ENDING, cautions_for
from trials.papers.creek import CreekRow, creek_rows, ticked_before
from trials.papers.names import stand_in
from trials.papers.pages import runs_of_plan, sorted_codes
from trials.papers.panner import panner_cautions, panner_foot, panner_hint
from trials.papers.plan_words import plan_lines
from trials.papers.readings import to_hold
from trials.papers.size_boxes import classes_to_type
from trials.records.columns import sort_of
from trials.records.headings import heading
from trials.sheets.check_sum import CHECK
from trials.sheets.form import FEEDER_FIELDS
from trials.talk.asks import CARRIED, FED, Ask, asks_of_panner
from trials.talk.run_defaults import AS_BEFORE
from trials.talk.run_talk import talk_of_run
from trials.talk.shorthand import spelled_out

SCRIPTS, STYLES = ("helpers.js", "creek_file.js"), ("style.css", "creek_file.css")
BY_THE_PHONE = ("turn", "session")
"""What is known at the creek alone: the place of each run, and the day by the phone's clock."""
LIKE_BEFORE = ("session", *AS_BEFORE)
OF_THE_FEED = (*FED, *FEEDER_FIELDS, "cloud", "clay", "moisture_percent", "blank_pan")


@dataclass(frozen=True, slots=True)
class ListedRun:
    """A run of the drawn order as it stands in the file.

    row: what the creek sheet prints of it.
    state: what was stored of it as the file was written.
    """

    row: CreekRow
    state: str


def write_creek_file(
    record: Record, folder: Path, *, for_panner: bool, settle: Callable[[], None] = lambda: None
) -> Path:
    """Write the file of a trial into a folder, made where there is none: `phone-creek-NAME.html`, or `phone-panner-`.

    `settle` is what is to be done once it is on the disk, before it is in its place. Raises Refused where there are no
    runs, or one has no turn or tag; OSError where it can't be written.
    """
    kind, make = PHONE_FILES[1 if for_panner else 0]
    page = make(record)
    folder.mkdir(parents=True, exist_ok=True)
    return write_all({folder / f"{kind}-{record.trial.name}.html": page}, settle=settle)[0]


def creek_file_html(record: Record) -> str:
    """Make the file for the feeder: the plan, the runs in the drawn order with their set-ups, and a form for each.

    It asks what `samedirt enter` asks; what was typed in a run before, and the settings of the plan, stand in the form.
    """
    trial, runs = record.trial, runs_of_plan(record)
    blank = Run(pair=runs[0].pair, arm=runs[0].arm, turn=runs[0].turn, tag=runs[0].tag)
    talk = talk_of_run(record, blank, correcting=False, now=datetime.min, classes=classes_to_type(trial))
    listed = [
        ListedRun(row, "struck" if run.is_void else "stored" if is_made(run) else "")
        for row, run in zip(creek_rows(record), runs, strict=True)
    ]
    return _html(
        trial,
        "creek",
        [{"tag": run.tag or "", "turn": str(run.turn)} for run in runs],
        talk.asks,
        listed=listed,
        lines=plan_lines(trial),
        hold=to_hold(trial),
        before=ticked_before(trial),
        cautions=cautions_for(trial, record.runs, "creek"),
        hint="Do not open jars. Trouble? Note it, finish, do not re-run.",
        foot="Leave open what was not measured; 0 is looked and found none.",
    )


def panner_file_html(record: Record) -> str:
    """Make the file for whoever weighs and counts: codes by the alphabet, nothing of set-ups, pairs, order or seed."""
    trial = record.trial
    runs = sorted(record.runs, key=lambda run: run.tag or "")
    return _html(
        trial,
        "panner",
        [{"tag": tag} for tag in sorted_codes(record)],
        asks_of_panner(trial, runs, classes_to_type(trial)),
        listed=(),
        lines=(),
        hold=(),
        before=(),
        cautions=panner_cautions(trial),
        hint=panner_hint(trial),
        foot=panner_foot(trial),
    )


PHONE_FILES = (("phone-creek", creek_file_html), ("phone-panner", panner_file_html))


def _html(trial: Trial, kind: str, runs: Sequence[Mapping[str, str]], asks: Sequence[Ask], **values: object) -> str:
    script = "\n".join((HERE / name).read_text(encoding="utf-8") for name in SCRIPTS)
    style = "\n".join((HERE / name).read_text(encoding="utf-8") for name in STYLES)
    fields = [RunField(ask, look_of(ask), values_of(ask, ask.default)) for ask in map(_one_by_one, asks)]
    data = {
        "trial": trial.name,
        "kind": kind,
        "check": CHECK,
        "netOrReadings": NET_OR_READINGS,
        "runs": runs,
        "fields": [_told(field) for field in fields],
    }
    shown = {
        "trial": trial.name,
        "kind": kind,
        "tags": [run["tag"] for run in runs],
        "stand_in": stand_in(trial),
        "groups": _grouped(fields),
        "ending": ENDING,
        "reasons": VOID_REASONS,
        "policy": f"default-src 'none'; style-src 'unsafe-inline'; script-src 'sha256-{_digest(script)}'",
        "style": Markup(style),  # noqa: S704 - our own
        "script": Markup(script),  # noqa: S704 - our own
        "data": Markup(json.dumps(data).replace("<", "\\u003c")),  # noqa: S704 - no tag can begin in it
    }
    return from_template("creek_file.html", shown | values)


def _one_by_one(ask: Ask) -> Ask:
    """An ask whose parts have fields of their own, so that nothing is typed in one line."""
    more = "" if ask.fields[0] in TIMED else ask.more
    return replace(ask, in_a_line="", more=more, default="" if ask.fields[0] in BY_THE_PHONE else ask.default)


def _digest(text: str) -> str:
    """The digest by which a browser knows the one script that may run."""
    return b64encode(sha256(text.encode()).digest()).decode()


def _grouped(fields: Sequence[RunField]) -> list[tuple[str, list[RunField]]]:
    """The fields as one comes to them: the run, what was found, what mostly stays, the note."""
    titles = {
        "run": "The run",
        "found": "What was found",
        "stays": "As planned, or as in the run before",
        "note": "What else",
    }
    groups: dict[str, list[RunField]] = {title: [] for title in titles}
    for field in fields:
        first = field.ask.fields[0].partition(" ")[0]
        place = "stays" if first in CARRIED else "run" if first in OF_THE_FEED else "found"
        groups["note" if first == "note" else place].append(field)
    return [(titles[name], own) for name, own in groups.items() if own]


def _told(field: RunField) -> Mapping[str, object]:
    """What the script must know of a field: into which columns its parts go, and what may stand there."""
    ask = field.ask
    first = ask.fields[0].partition(" ")[0]
    return {
        "key": ask.key,
        "name": ask.name,
        "sort": field.sort,
        "unit": ask.unit,
        "columns": _columns(ask),
        "holds": sort_of(first),
        "stays": first in LIKE_BEFORE,
        "byPhone": first if first in BY_THE_PHONE else "",
    }


def _columns(ask: Ask) -> tuple[str, ...]:
    """The columns of a sheet that the parts of an answer go to, in the order of its fields."""
    match look_of(ask):
        case "ticks":
            return TICKS_OF_GOLD
        case "readings":
            return (ask.key, *_of_two(ask))
        case "both":
            return _of_two(ask)
        case _:
            return (ask.key,)


def _of_two(ask: Ask) -> tuple[str, ...]:
    """The columns of gross and tare, or of start and end."""
    return tuple(part.header for part in spelled_out(heading(ask.key), "2 1"))
