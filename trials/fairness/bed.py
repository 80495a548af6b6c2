"""Checks on the gear before each run: leftovers, settled-bed."""

from collections.abc import Sequence

from schemas import Run, Trial
from trials.fairness.evidence import Check, Evidence, unticked
from trials.fairness.remark import NamedRuns, Remark, not_recorded, remark

NOTHING_TO_STRIP = ("pan",)
NO_BED = ("pan", "wheel")
NOT_STRIPPED = "No strip-down before {}. Rinse under the mat; book the rinse to the run before."
BUT_NOT_STRIPPED = "nothing was stripped before {0.in_short}"
BLANK_HELD_GOLD = "A blank pan before {} held gold. Clean pan, boots and bottles, and pan blanks until none shows."
BUT_BLANK_HELD_GOLD = "a blank pan before {0.in_short} held gold"
STARTED_CLEAN = "Clean bed at start of {}, loaded in {}. Feed the same starter charge each time."
BUT_STARTED_CLEAN = "{0.in_short} began on a clean bed and {1} on a loaded one"


def leftovers(evidence: Evidence) -> Sequence[Remark]:
    """Was the gear stripped down before every run, and did blank pans hold none, so that no older gold shows in it?

    A pan has nothing to strip. A box that stands empty beside ticked ones says no (see `unticked`).
    """
    if not evidence.unstruck:
        return []
    found: list[Remark] = []
    held_gold = [run for run in evidence.unstruck if run.blank_pan]
    if held_gold:
        blanks = NamedRuns.of(held_gold, among=evidence.unstruck)
        found += remark("WEAKENS", blanks.pairs, BLANK_HELD_GOLD.format, blanks, but=BUT_BLANK_HELD_GOLD.format)
    strip_downs = strip_downs_of(evidence.trial, evidence.unstruck)
    return [*found, *(one for one in strip_downs if one.severity != "not recorded")] if found else strip_downs


def strip_downs_of(trial: Trial, runs: Sequence[Run]) -> list[Remark]:
    """Was the gear stripped down before each of these runs, where there is anything to strip?"""
    if trial.gear.kind in NOTHING_TO_STRIP or not runs:
        return []
    missing = unticked(runs, "stripped")
    if missing is None:
        return not_recorded("Whether the gear was stripped down before each run was not recorded")
    named = NamedRuns.of(missing, among=runs)
    return remark("WEAKENS", named.pairs, NOT_STRIPPED.format, named, but=BUT_NOT_STRIPPED.format) if missing else []


def settled_bed(evidence: Evidence) -> Sequence[Remark]:
    """Did all runs begin alike, on a clean bed or on a loaded one? A pan or wheel, which has no bed, is silent.

    A box that stands empty beside ticked ones says no (see `unticked`).
    """
    if evidence.trial.gear.kind in NO_BED or not evidence.unstruck:
        return []
    clean = unticked(evidence.unstruck, "conditioned")
    if clean is None:
        return not_recorded("Whether the bed was loaded before each run was not recorded")
    loaded = len(evidence.unstruck) - len(clean)
    if not clean or not loaded:
        return []
    runs = NamedRuns.of(clean, among=evidence.unstruck)
    return remark("WEAKENS", runs.pairs, STARTED_CLEAN.format, runs, loaded, but=BUT_STARTED_CLEAN.format)


LEFTOVERS = Check("leftovers", "strip-downs and blank pans before each run", leftovers)
SETTLED_BED = Check(
    "settled-bed",
    "starter charges before each run",
    settled_bed,
    "Stewart and Ramsay, Improving the simple sluice box, Int. J. Mineral Processing 39, 1993: the settled layer "
    "governs recovery",
)
