"""one-change: is anything but the change itself different between the arms?"""

from collections.abc import Callable, Sequence
from statistics import fmean

from schemas import Finding, Run
from trials.fairness.evidence import Check, Evidence, not_recorded
from trials.fairness.thresholds import PITCH_APART_DEG, SETTING_APART_PERCENT
from trials.wording.lists import and_list
from trials.wording.numbers import figures

NAME = "one-change"
NUMBERS = {
    "pitch_deg": ("Pitch", "deg"),
    "cross_tilt_deg": ("Cross tilt", "deg"),
    "water_l_min": ("Water", "L/min"),
    "depth_mm": ("Depth", "mm"),
    "feed_kg_h": ("Feed rate", "kg/h"),
    "rpm": ("Speed", "rpm"),
    "stroke_mm": ("Stroke", "mm"),
    "wetting_drops_10l": ("Wetting aid", "drops in 10 L"),
}
LETTERS = {"feeder": "The feeder", "panner": "The panner"}
CHANGED_WITH = {
    "pitch": ("pitch_deg", "depth_mm"),
    "water": ("water_l_min", "depth_mm"),
    "feed rate": ("feed_kg_h",),
    "wetting aid": ("wetting_drops_10l",),
    "rpm": ("rpm",),
    "stroke": ("stroke_mm",),
}


def _apart(name: str, one: float, other: float) -> bool:
    if name in ("pitch_deg", "cross_tilt_deg"):
        return abs(one - other) > PITCH_APART_DEG
    middle = (one + other) / 2.0
    return middle > 0 and abs(one - other) / middle * 100.0 > SETTING_APART_PERCENT


def _threshold(name: str) -> str:
    if name in ("pitch_deg", "cross_tilt_deg"):
        return f"over {PITCH_APART_DEG:g} deg"
    return f"over {SETTING_APART_PERCENT:g} %"


def _mean(runs: Sequence[Run], name: str) -> float | None:
    values = [value for run in runs if (value := getattr(run, name)) is not None]
    return fmean(values) if values else None


def _numbers_apart(evidence: Evidence) -> list[Finding]:
    change = evidence.trial.change
    moved = CHANGED_WITH.get(change.variable, ()) if change else ()
    arms = [evidence.arm(arm) for arm in evidence.trial.arms]
    found = []
    for name, (word, unit) in NUMBERS.items():
        one, other = (_mean(runs, name) for runs in arms)
        if name in moved or one is None or other is None or not _apart(name, one, other):
            continue
        found.append(
            Finding(
                check=NAME,
                severity="STOP",
                message=f"{word} also differs: {figures(one)} against {figures(other)} {unit} ({_threshold(name)}, "
                "our default). Put it back or plan it apart.",
            )
        )
    return found


def _hands_apart(evidence: Evidence) -> list[Finding]:
    arms = [evidence.arm(arm) for arm in evidence.trial.arms]
    found = []
    for name, word in LETTERS.items():
        one, other = ({getattr(run, name) for run in runs} - {None} for runs in arms)
        if one and other and not one & other:
            found.append(
                Finding(
                    check=NAME,
                    severity="STOP",
                    message=f"{word} also differs: {', '.join(sorted(one))} against {', '.join(sorted(other))}. "
                    "Let the same person do both halves of a pair, or plan it apart.",
                )
            )
    return found


def _off_held(evidence: Evidence) -> list[Finding]:
    change = evidence.trial.change
    moved = CHANGED_WITH.get(change.variable, ()) if change else ()
    found = []
    for name, (word, unit) in NUMBERS.items():
        held = getattr(evidence.trial.held, name)
        if held is None or name in moved:
            continue
        off = [run for run in evidence.runs if (v := getattr(run, name)) is not None and _apart(name, held, v)]
        if off:
            worst = max(off, key=lambda run: abs(getattr(run, name) - held))
            found.append(
                Finding(
                    check=NAME,
                    severity="NOTE",
                    message=f"{word} was to be held at {figures(held)} {unit} and read "
                    f"{figures(getattr(worst, name))} in pair {worst.pair} ({_threshold(name)}, our default). "
                    "Reset it before each run.",
                    pairs=tuple(sorted({run.pair for run in off})),
                )
            )
    return found


def _anything_recorded(evidence: Evidence) -> bool:
    return any(getattr(run, name) is not None for run in evidence.runs for name in (*NUMBERS, *LETTERS))


def _unread(evidence: Evidence) -> list[str]:
    """What was to be the same and was read in no run: settings to be held, and who fed."""
    change = evidence.trial.change
    moved = CHANGED_WITH.get(change.variable, ()) if change else ()
    held = [name for name in NUMBERS if name not in moved and getattr(evidence.trial.held, name) is not None]
    unread = [NUMBERS[name][0].lower() for name in held if all(getattr(run, name) is None for run in evidence.runs)]
    fed = [] if any(run.feeder is not None for run in evidence.runs) else ["who fed"]
    return [*unread, *fed]


def judge(evidence: Evidence) -> Sequence[Finding]:
    """Do the settings as run, averaged over each arm, or the hands, differ between the arms?

    The change's own variable, and the depth that pitch and water drag with them, may differ. Where nothing differs, a
    setting that was to be held, or the feeder, on record for no run is told as not recorded.
    """
    if not _anything_recorded(evidence):
        return not_recorded(NAME, "No setting was read in any run")
    parts: tuple[Callable[[Evidence], list[Finding]], ...] = (_numbers_apart, _hands_apart, _off_held)
    found = [finding for part in parts for finding in part(evidence)]
    unread = _unread(evidence)
    if not found and unread:
        return not_recorded(NAME, f"Not on record for any run: {and_list(unread)}; what was read agrees")
    return found


CHECK = Check(NAME, "settings as run, and who fed and panned, by arm", "common practice, no source", judge)
