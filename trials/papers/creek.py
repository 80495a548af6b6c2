"""The creek sheet, for the feeder: what to fit and what to read, a row a run in the order drawn."""

from dataclasses import dataclass
from math import ceil

from schemas import Record, Run, Trial
from trials.measures.catalogue import measure_named
from trials.papers.cautions import cautions_for
from trials.papers.gear_parts import HAND_POURED, STRIP_POINTS, has_stream, tails_box, takes_starter
from trials.papers.names import of_a_block
from trials.papers.pages import dealt, printed, render, runs_of_plan
from trials.papers.plan_words import plan_lines, verdict_call
from trials.papers.readings import to_hold, unit_of
from trials.papers.set_ups import set_ups, share_label
from trials.plans.draw import shares_of_lot
from trials.sheets.form import asked_columns

ROWS_A_PAGE = 6
NOTES_MM = 40
HOLD_A_LINE, HOLD_LINE_MM = 4, 14
NARROWEST_SHEET_MM = 260  # Letter paper, lying, less its margins and the border of the table
SET_UP_HEAD = ("set-up to fit",)
SET_UP_MM = {"big": 34, "middle": 44, "small": 46}

SIGNS = {
    "cloud": "cloud of the water, 0 clear to 3 thick",
    "clay": "clay in the feed, 0 none to 3 lumps",
    "moisture_percent": "moisture of the feed, %",
    "blank_pan": "grains in a blank pan",
}


@dataclass(frozen=True, slots=True)
class CreekRow:
    """A row of the creek sheet: what is printed of one run.

    size: how large the set-up to fit is printed.
    spare: whether the pair is one kept in hand.
    ends_block: whether the next run belongs to another pair.
    bar_before, bar_after: what stands across the sheet above and below the row; mostly nothing.
    """

    turn: int
    block: str
    tag: str
    set_up: str
    size: str
    share: str
    spare: bool
    ends_block: bool
    bar_before: str
    bar_after: str


def creek_html(record: Record) -> str:
    """Make the creek sheet, lying: the plan and the cautions in front, then six runs a page.

    Raises Refused where there are no runs, or one has no turn or tag.
    """
    trial = record.trial
    hold = to_hold(trial)
    columns = _columns(trial)
    return render(
        "creek.html",
        trial,
        lines=plan_lines(trial),
        before=ticked_before(trial),
        cautions=printed(cautions_for(trial, record.runs, "creek")),
        pages=dealt(creek_rows(record), ROWS_A_PAGE),
        hold=hold,
        blank_hold="nothing is named in the plan: write what you set, and keep it for every run",
        widths=[width for _, width in columns],
        heads=[head for head, _ in columns],
        lots=len(trial.lots) if len(trial.lots) > 1 else 0,
        grains_in=measure_named(trial.measure).is_seeded,
        water=has_stream(trial),
        strip=STRIP_POINTS[trial.gear.kind],
        ready=_ready(trial),
        trouble=("spill", "pump", "other") if trial.gear.kind not in HAND_POURED else ("spill", "other"),
        signs=_signs(trial),
        notes_mm=NOTES_MM - HOLD_LINE_MM * max(0, ceil(len(hold) / HOLD_A_LINE) - 1),
    )


def ticked_before(trial: Trial) -> tuple[str, ...]:
    """What is ticked off before the first run."""
    shares = "" if trial.kind == "audit" else "halves " if len(trial.arms) == 2 else "shares "
    tails = " and tails" if tails_box(trial) else ""
    return (
        f"{shares or 'charges '}weighed",
        f"feed, jars{tails} tagged" if tails else "feed and jars tagged",
        "key folded and sealed",
        "panner has the panner sheet only",
        "settings read and written",
    )


def _signs(trial: Trial) -> tuple[str, ...]:
    """What is read of every feed beyond its row: written among the notes, with the tag."""
    asked = {column.field for column in asked_columns(trial, ())}
    return tuple(words for field, words in SIGNS.items() if field in asked)


def _ready(trial: Trial) -> tuple[str, ...]:
    """Boxes to tick around a run: starter charge fed, tails caught."""
    return tuple(label for label in ("starter" if takes_starter(trial) else "", tails_box(trial)) if label)


def _columns(trial: Trial) -> list[tuple[tuple[str, ...], float]]:
    """The columns of the sheet: what stands over each, and its width in mm, which stretches to fill the paper."""
    fed = f"fed, {unit_of(trial, 'charge_g')}"
    share = "" if trial.kind == "audit" else "half" if len(trial.arms) == 2 else "share"
    columns: list[tuple[tuple[str, ...], float, bool]] = [
        (("#",), 15, True),
        (("TAG",), 21, True),
        (SET_UP_HEAD, SET_UP_MM[next(iter(set_ups(trial).values())).size], True),
        ((share, fed) if share else (fed,), 18, True),
        (("lot",), 11, len(trial.lots) > 1),
        (("grains", "in"), 14, measure_named(trial.measure).is_seeded),
        (("start",), 16, True),
        (("end",), 16, True),
        (("clean-up,", "min"), 16, True),
        (("scoops",), 20, True),
        (("water,", unit_of(trial, "water_l_min")), 18, has_stream(trial)),
        (("temp,", unit_of(trial, "temp_c")), 11, True),
        (("strip",), 17, True),
        (("done",), 19, bool(_ready(trial))),
        (("trouble",), 16, True),
    ]
    shown = [(head, width) for head, width, is_shown in columns if is_shown]
    over = sum(width for _, width in shown) - NARROWEST_SHEET_MM
    if over <= 0:
        return shown
    return [(head, width - over if head == SET_UP_HEAD else width) for head, width in shown]


def creek_rows(record: Record) -> list[CreekRow]:
    """What is printed of each run, in the order drawn."""
    trial, runs = record.trial, runs_of_plan(record)
    shares, fits = shares_of_lot(trial), set_ups(trial)
    following = [*runs[1:], None]
    previous = [None, *runs[:-1]]
    return [
        CreekRow(
            turn=run.turn or 0,
            block="" if trial.kind == "audit" else f"{of_a_block(trial)} {run.pair}",
            tag=run.tag or "",
            set_up=fits[run.arm].short,
            size="small-words" if fits[run.arm].size == "small" else fits[run.arm].size,
            share=share_label(shares.get(run.key), len(trial.arms)),
            spare=run.pair > trial.pairs,
            ends_block=trial.kind != "audit" and (after is None or after.pair != run.pair),
            bar_before=_bar_before(trial, run, before, at),
            bar_after=_bar_after(trial, run, after),
        )
        for at, (before, run, after) in enumerate(zip(previous, runs, following, strict=True))
    ]


def _bar_before(trial: Trial, run: Run, before: Run | None, at: int) -> str:
    """Over the first spare of each page: when spares are run at all."""
    if run.pair <= trial.pairs:
        return ""
    opens = before is None or before.pair <= trial.pairs or at % ROWS_A_PAGE == 0
    return f"SPARE: only when a {of_a_block(trial)} is void." if opens else ""


def _bar_after(trial: Trial, run: Run, after: Run | None) -> str:
    """Under the last run before the planned look."""
    if run.pair != trial.look_after or (after is not None and after.pair == run.pair):
        return ""
    called = verdict_call(trial)
    return f"PLANNED EARLY LOOK: {called}. Go on if it says so."
