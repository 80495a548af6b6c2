"""Checks on the gear before each run: leftovers, settled-bed."""

from collections.abc import Sequence

from trials.fairness.evidence import Check, Evidence, unticked
from trials.fairness.remark import NamedRuns, Remark, not_recorded, remark
from trials.wording.lists import count_of

NOTHING_TO_STRIP = ("pan",)
NO_BED = ("pan", "wheel")
NOT_STRIPPED = "No strip-down before {}. Rinse under the mat; book the rinse to the run before."


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
    return remark("WEAKENS", [run.pair for run in missing], NOT_STRIPPED.format, NamedRuns.of(missing))


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
    said = f"Clean bed at start of {count_of(len(clean), 'run')}, loaded in {loaded}."
    return remark("WEAKENS", [run.pair for run in clean], str, f"{said} Feed the same starter charge each time.")


LEFTOVERS = Check("leftovers", "strip-downs before each run", leftovers)
SETTLED_BED = Check(
    "settled-bed",
    "starter charges before each run",
    settled_bed,
    "Stewart and Ramsay, Improving the simple sluice box, Int. J. Mineral Processing 39, 1993: the settled layer "
    "governs recovery",
)
