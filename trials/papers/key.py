"""The key: which code is which run. It is folded so that the table lies inside, and opened after the last weighing."""

from collections.abc import Mapping
from dataclasses import dataclass

from schemas import Record, Trial
from trials import __version__
from trials.papers.names import of_a_block
from trials.papers.pages import dealt, render, runs_of_plan
from trials.papers.set_ups import SetUp, cut, display_width, set_ups, share_label
from trials.plans.draw import shares_of_lot

INSIDE_MM = 102
DRAWN_MM = 7
ROW_MM = 5.2
LEGEND_MM = 4.5
COLUMNS_A_PAGE = 2
ARM_TO, LEGEND_TO, HALF_LEGEND_TO = 18, 95, 45


@dataclass(frozen=True, slots=True)
class KeyRow:
    """One line of the key, as it is printed: a code, and the run that it stands for."""

    tag: str
    block: str
    arm: str
    share: str
    turn: int


def key_html(record: Record) -> str:
    """Make the key, standing: a head that stays outside, the table, and a flap to fold over it.

    Raises Refused where there are no runs, or one has no turn or tag.
    """
    trial = record.trial
    fits = set_ups(trial)
    legend = _legend(trial, fits)
    rows_a_column = int((INSIDE_MM - DRAWN_MM - LEGEND_MM * len(legend)) / ROW_MM) - 1
    columns = dealt(key_rows(record), rows_a_column)
    share = {"audit": "", "graded": "share"}.get(trial.kind, "half")
    return render(
        "key.html",
        trial,
        drawn=_drawn(trial),
        legend=legend,
        block=of_a_block(trial),
        share=share,
        pages=dealt(columns, COLUMNS_A_PAGE),
        inside_mm=INSIDE_MM,
        row_mm=ROW_MM,
        legend_mm=LEGEND_MM,
        tag_mm=14 if all(len(run.tag or "") <= 4 for run in record.runs) else 28,
    )


def key_rows(record: Record) -> list[KeyRow]:
    """The lines of the key, by the alphabet of their codes."""
    trial = record.trial
    fits, shares = set_ups(trial), shares_of_lot(trial)
    return [
        KeyRow(
            tag=run.tag or "",
            block=f"{run.pair}{' spare' if run.pair > trial.pairs else ''}",
            arm=_arm(trial, fits, run.arm),
            share=share_label(shares.get(run.key), len(trial.arms)),
            turn=run.turn or 0,
        )
        for run in sorted(runs_of_plan(record), key=lambda run: run.tag or "")
    ]


def _arm(trial: Trial, fits: Mapping[str, SetUp], arm: str) -> str:
    """How a set-up is named in the key: by its arm, or in a graded trial by its level."""
    if trial.kind == "audit":
        return "as it stands"
    if trial.kind != "graded":
        return arm
    return cut(fits[arm].short, ARM_TO)


def _legend(trial: Trial, fits: Mapping[str, SetUp]) -> list[str]:
    """What the names in the key mean, where they don't say it themselves."""
    if trial.kind == "audit":
        return []
    if trial.kind != "graded":
        lines = [f"{arm} = {one.words}" for arm, one in fits.items()]
        if max(map(display_width, lines)) <= HALF_LEGEND_TO:
            return ["; ".join(lines)]
        return [cut(line, LEGEND_TO) for line in lines]
    if all(one.words == _arm(trial, fits, arm) for arm, one in fits.items()):
        return []
    return [cut(f"{_arm(trial, fits, arm)} = {one.words}", LEGEND_TO) for arm, one in fits.items()]


def _drawn(trial: Trial) -> str:
    seed = "seed not recorded" if trial.seed is None else f"seed {trial.seed}"
    return f"Drawn from {seed} by the PCG-64 generator (NumPy SeedSequence); samedirt {__version__}."
