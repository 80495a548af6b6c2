"""one-change: is anything but the change itself different between the arms?"""

from collections.abc import Sequence
from statistics import fmean

from schemas import Run
from trials.fairness.evidence import Check, Evidence
from trials.fairness.lean import goes_one_way, how_often, lean_of, leaning, weight_of
from trials.fairness.remark import ByArm, Remark, not_recorded, remark
from trials.fairness.thresholds import PITCH_APART_DEG, SETTING_APART_PERCENT
from trials.records.own_units import told, value_told
from trials.wording.lists import and_list
from trials.wording.numbers import figures

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
OWN_RULE = ("feed_kg_h",)
"""Settings that a check of their own holds against the arms: feed-rhythm, however the rate was told."""
TOLD_APART = ("water_l_min", "wetting_drops_10l")
"""Settings of which other checks tell smaller gaps: steady-water, soap-and-cloud."""
SAME_HANDS = "Let the same person do both halves of a pair, or plan it apart."
PUT_BACK = "Put it back or plan it apart."
IN_DEGREES = ("pitch_deg", "cross_tilt_deg")
HANDS = {"feeder": "The feeder", "panner": "The panner"}
CHANGED_WITH = {
    "pitch": ("pitch_deg", "depth_mm"),
    "water": ("water_l_min", "depth_mm"),
    "feed rate": ("feed_kg_h",),
    "wetting aid": ("wetting_drops_10l",),
    "rpm": ("rpm",),
    "stroke": ("stroke_mm",),
}
"""What a change of each variable changes, and what it drags with it."""


def _apart(name: str, one: float, other: float) -> bool:
    if name in IN_DEGREES:
        return abs(one - other) > PITCH_APART_DEG
    middle = (one + other) / 2.0
    return middle > 0 and abs(one - other) / middle * 100.0 > SETTING_APART_PERCENT


def _threshold(name: str) -> str:
    if name in IN_DEGREES:
        return f"over {PITCH_APART_DEG:g} deg"
    return f"over {SETTING_APART_PERCENT:g} %"


def _mean(runs: Sequence[Run], name: str) -> float | None:
    values = [value for run in runs if (value := getattr(run, name)) is not None]
    return fmean(values) if values else None


def _moved(evidence: Evidence) -> tuple[str, ...]:
    """The settings that the change itself moves."""
    change = evidence.trial.change
    return CHANGED_WITH.get(change.variable, ()) if change else ()


def _numbers_apart(evidence: Evidence) -> list[Remark]:
    found = []
    for name in NUMBERS:
        if name in (*_moved(evidence), *OWN_RULE):
            continue
        one, other = (_mean(runs, name) for runs in evidence.by_arm)
        if one is not None and other is not None and _apart(name, one, other):
            found += remark("STOP", (), _number_differs, name, ByArm(one, other, evidence.trial.arms))
        elif name not in TOLD_APART:
            found += _number_leans(evidence, name)
    return found


def _number_leans(evidence: Evidence, name: str) -> list[Remark]:
    in_degrees = name in IN_DEGREES
    limit = PITCH_APART_DEG if in_degrees else SETTING_APART_PERCENT
    lean = lean_of(evidence, lambda run: getattr(run, name), limit, in_percent=not in_degrees)
    return leaning(evidence, lean, (*NUMBERS[name], PUT_BACK), lean.percent) if lean else []


def _number_differs(name: str, read: ByArm[float]) -> str:
    word, unit = NUMBERS[name]
    differs = f"{word} also differs: {figures(read.one)} against {figures(read.other)} {unit}"
    return f"{differs} ({_threshold(name)}, our default). {PUT_BACK}"


def _hands_apart(evidence: Evidence) -> list[Remark]:
    found = []
    for name, word in HANDS.items():
        one, other = ({getattr(run, name) for run in runs} - {None} for runs in evidence.by_arm)
        if one and other and not one & other:
            letters = ByArm(", ".join(sorted(one)), ", ".join(sorted(other)), evidence.trial.arms)
            found += remark("STOP", (), _hands_differ, word, letters)
    return found


def _hands_differ(word: str, letters: ByArm[str]) -> str:
    differs = f"{word} also differs: {letters.one} against {letters.other}."
    return f"{differs} {SAME_HANDS}"


def _hands_lean(evidence: Evidence) -> list[Remark]:
    """Who fed or panned the halves of one arm in nearly all pairs whose halves had different hands?"""
    found = []
    for name, word in HANDS.items():
        both = [tuple(getattr(run, name) for run in pair.halves) for pair in evidence.whole]
        apart = [pair for pair in both if None not in pair and pair[0] != pair[1]]
        for letter in sorted({one for pair in apart for one in pair}):
            ways = ByArm(sum(p[0] == letter for p in apart), sum(p[1] == letter for p in apart), evidence.trial.arms)
            if ways.least != ways.most and goes_one_way(ways):
                severity = weight_of(evidence, None)
                found += remark(severity, (), _hands_go_one_way, word, letter, ways, but=_hands_went_one_way)
                break
    return found


def _hands_went_one_way(word: str, letter: str, ways: ByArm[int]) -> str:
    half = f"the {ways.whose} half" if ways.whose else "one half"
    pairs = f"{ways.most} of the {ways.one + ways.other} pairs with two hands"
    return f"{letter} was {word[0].lower()}{word[1:]} of {half} in {pairs}"


def _hands_go_one_way(word: str, letter: str, ways: ByArm[int]) -> str:
    half = f"the {ways.whose} half" if ways.whose else "one set-up"
    return f"{word} leans one way: {letter} had {half} and another the other {how_often(ways)}. {SAME_HANDS}"


def _off_held(evidence: Evidence) -> list[Remark]:
    found = []
    for name, (word, _) in NUMBERS.items():
        held = getattr(evidence.trial.held, name)
        if held is None or name in _moved(evidence):
            continue
        off = [run for run in evidence.runs if (v := getattr(run, name)) is not None and _apart(name, held, v)]
        if off:
            worst = max(off, key=lambda run: abs(getattr(run, name) - held))
            pairs, read = [run.pair for run in off], value_told(worst, name, figures(getattr(worst, name)))
            wanted = told(evidence.trial, "held", name)
            said = f"{word} was to be held at {wanted} and read {read} in pair {worst.pair}"
            found += remark("NOTE", pairs, str, f"{said} ({_threshold(name)}, our default). Reset it before each run.")
    return found


def _unread(evidence: Evidence) -> list[str]:
    """What was to be the same and was read in no run: settings to be held, and who fed."""
    moved = _moved(evidence)
    held = [name for name in NUMBERS if name not in moved and getattr(evidence.trial.held, name) is not None]
    unread = [NUMBERS[name][0].lower() for name in held if all(getattr(run, name) is None for run in evidence.runs)]
    fed = [] if any(run.feeder is not None for run in evidence.runs) else ["who fed"]
    return [*unread, *fed]


def one_change(evidence: Evidence) -> Sequence[Remark]:
    """Do the settings as run, averaged over each arm, or the hands, differ between the arms?

    The change's own variable, and the depth that pitch and water drag with them, may differ. Where nothing differs, a
    setting that was to be held, or the feeder, on record for no run is told as not recorded.
    """
    if all(getattr(run, name) is None for run in evidence.runs for name in (*NUMBERS, *HANDS)):
        return not_recorded("No setting was read in any run")
    hands = _hands_apart(evidence) or _hands_lean(evidence)
    found = [*_numbers_apart(evidence), *hands, *_off_held(evidence)]
    unread = _unread(evidence)
    if not found and unread:
        return not_recorded(f"Not on record for any run: {and_list(unread)}; what was read agrees")
    return found


ONE_CHANGE = Check("one-change", "settings as run, and who fed and panned, by arm", one_change)
