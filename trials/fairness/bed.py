"""Checks on the gear before each run: leftovers, settled-bed."""

from collections.abc import Sequence

from trials.fairness.evidence import Check, Evidence, unticked
from trials.fairness.remark import NamedRuns, Remark, not_recorded, remark

NOTHING_TO_STRIP = ("pan",)
NO_BED = ("pan", "wheel")
NOT_STRIPPED = "No strip-down before {}. Rinse under the mat; book the rinse to the run before."
STARTED_CLEAN = "Clean bed at start of {}, loaded in {}. Feed the same starter charge each time."


def leftovers(evidence: Evidence) -> Sequence[Remark]:
    """Was the gear stripped down before every run, so that no gold of the run before shows in it? A pan is silent.

    A box that stands empty beside ticked ones says no (see `unticked`).
    """
    if evidence.trial.gear.kind in NOTHING_TO_STRIP or not evidence.unstruck:
        return []
    missing = unticked(evidence.unstruck, "stripped")
    if missing is None:
        return not_recorded("Whether the gear was stripped down before each run was not recorded")
    if not missing:
        return []
    runs = NamedRuns.of(missing, among=evidence.unstruck)
    return remark("WEAKENS", runs.pairs, NOT_STRIPPED.format, runs, but=not_stripped)


def not_stripped(runs: NamedRuns) -> str:
    """Say in a clause before which runs nothing was stripped."""
    return f"nothing was stripped before {runs.in_short}"


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
    return remark("WEAKENS", runs.pairs, STARTED_CLEAN.format, runs, loaded, but=_started_clean)


def _started_clean(runs: NamedRuns, loaded: int) -> str:
    return f"{runs.in_short} began on a clean bed and {loaded} on a loaded one"


LEFTOVERS = Check("leftovers", "strip-downs before each run", leftovers)
SETTLED_BED = Check(
    "settled-bed",
    "starter charges before each run",
    settled_bed,
    "Stewart and Ramsay, Improving the simple sluice box, Int. J. Mineral Processing 39, 1993: the settled layer "
    "governs recovery",
)
