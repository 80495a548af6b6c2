"""The small print under a chart: pairs, what stops or weakens it, changes to the plan, lot, dates, seed."""

from collections.abc import Sequence

from schemas import Verdict, VoidRun
from trials.charts.text import wrap_all
from trials.verdicts.spoken import dates_words, lots_words, void_words
from trials.wording.lists import and_list

BITES = {"STOP": "stopped", "WEAKENS": "weakened"}


def footer_lines(verdict: Verdict, pixels: float) -> list[str]:
    """What must be known beside the picture? Lines that fit so many pixels."""
    seed = "seed not recorded" if verdict.seed is None else f"seed {verdict.seed}"
    texts = [
        tally_words(verdict),
        _voids(verdict.voids),
        checks_words(verdict),
        _amendments(verdict),
        f"Lot: {lots_words(verdict.lots)}; {dates_words(verdict.dates)}; {seed}.",
    ]
    return wrap_all(filter(None, texts), pixels)


def tally_words(verdict: Verdict) -> str:
    """Count the pairs of each sort, or the blocks: "Pairs: 6 planned, 6 complete, 1 void, 1 empty."."""
    pairs = verdict.pairs
    what = {"graded": "Blocks", "audit": "Runs"}.get(verdict.trial_kind, "Pairs")
    more = [
        f"{number} {word}" for number, word in ((pairs.empty, "empty"), (pairs.beyond, "beyond the plan")) if number
    ]
    return (
        f"{what}: {', '.join([f'{pairs.planned} planned', f'{pairs.complete} complete', f'{pairs.void} void', *more])}."
    )


def checks_words(verdict: Verdict) -> str:
    """Name the checks that stop or weaken the verdict."""
    told = [
        f"{done} by {and_list(list(names))}"
        for severity, done in BITES.items()
        if (names := dict.fromkeys(finding.check for finding in verdict.checks if finding.severity == severity))
    ]
    return f"Checks: {'; '.join(told) or 'none stops or weakens this'}."


def _voids(voids: Sequence[VoidRun]) -> str:
    return f"Void: {'; '.join(map(void_words, voids))}." if voids else ""


def _amendments(verdict: Verdict) -> str:
    changed = list(dict.fromkeys(amendment.what for amendment in verdict.amendments))
    return f"Plan changed after it was locked: {and_list(changed)}." if changed else ""
