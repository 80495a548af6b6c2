"""Verdicts made by hand for the chart tests. Places and numbers are invented."""

import math
from collections.abc import Sequence

from schemas import Cost, DrawCheck, FedLot, Gate, Interval, PairResult, PairsAnswer, PairTally, ScatterAnswer, Verdict
from trials.measures.catalogue import measure_named
from trials.verdicts.spoken import speak

T_975 = {2: 12.706, 3: 4.303, 4: 3.182, 5: 2.776, 6: 2.571, 8: 2.365, 12: 2.201, 40: 2.023}
SMOOTH, ROUGH = (31, 44, 26, 38, 29, 40), (47, 49, 45, 44, 52, 48)
SAND = Cost(
    name="black sand",
    unit="g",
    limit=1.5,
    limit_is_ours=True,
    status="over",
    ratio=1.9,
    low=1.72,
    high=2.11,
    baseline_mean=6.2,
    changed_mean=11.8,
    pairs=6,
)
MINUTES = Cost(
    name="minutes",
    unit="min",
    limit=1.2,
    limit_is_ours=True,
    status="within",
    ratio=1.12,
    low=1.06,
    high=1.18,
    baseline_mean=9.4,
    changed_mean=10.5,
    pairs=6,
)


def difference(measure: str, baseline: float, changed: float) -> float:
    """One pair on the scale."""
    if measure in ("recovery", "tracers"):
        return changed - baseline
    if measure == "grain_counts":
        return math.log((changed + 0.5) / (baseline + 0.5))
    return math.log(changed / baseline) * (-1 if measure == "tails_gold" else 1)


def invented(
    measure: str, baseline: Sequence[float], changed: Sequence[float], code: str, sentence: str, **more
) -> Verdict:
    """A verdict of counted pairs, its mean and 95 % interval reckoned here by the plain formula."""
    named = measure_named(measure)
    differences = [difference(measure, b, c) for b, c in zip(baseline, changed, strict=True)]
    n = len(differences)
    mean = sum(differences) / n
    sd = math.sqrt(sum((d - mean) ** 2 for d in differences) / (n - 1))
    half = T_975[n] * sd / math.sqrt(n)
    interval = Interval(low=mean - half, high=mean + half, level=0.95)
    pairs = tuple(
        PairResult(
            pair=i + 1,
            status="counted",
            baseline=b,
            changed=c,
            difference=d,
            first="baseline" if i % 2 else "changed",
            session=f"2026-05-0{1 + i // 4} am" if i < 30 else None,
        )
        for i, (b, c, d) in enumerate(zip(baseline, changed, differences, strict=True))
    )
    line_typed = more.get("line_typed")
    answer = PairsAnswer(
        estimate=mean,
        interval=interval,
        floored=None,
        worth_having=None if line_typed is None else named.line(line_typed),
        shown=speak(named, mean, interval, line_typed).shown,
        differences=tuple(differences),
        sd=sd,
        df=n - 1,
        t=None,
        p=None,
        floor=None,
        check_by_draw=DrawCheck(p=1.0, flips=2**n, exact=True, smallest_p=2.0 / 2**n),
        order_adjusted=None,
        pairs_for_new_trial=None,
    )
    whole = {
        "trial": "rough-bed",
        "question": "",
        "trial_kind": "pairs",
        "code": code,
        "leaning": False,
        "sentence": sentence,
        "last_word": None,
        "measure": measure,
        "measure_words": named.words.axis,
        "scale": named.scale,
        "method": "paired t",
        "arms": ("smooth", "rough"),
        "line_typed": None,
        "answer": answer,
        "pairs": PairTally(planned=n, complete=n, void=0),
        "pair_results": pairs,
        "costs": (),
        "checks": (),
        "amendments": (),
        "corrections": (),
        "voids": (),
        "stand_in": None,
        "lots": (FedLot(name="lot", kind="table tailings"),),
        "dates": ("2026-05-01 am", "2026-05-03 am"),
        "seed": 41,
        "versions": {},
    }
    return Verdict.model_validate(whole | more)


NO_NUMBERS = {"answer": Gate()}


def with_answer(verdict: Verdict, **change: object) -> Verdict:
    """The same verdict with its answer told otherwise."""
    return verdict.model_copy(update={"answer": verdict.answer.model_copy(update=change)})


def as_scatter(verdict: Verdict, **more: object) -> Verdict:
    """The same numbers as those of a nothing-changed check."""
    numbers = {name: value for name, value in verdict.answer if name not in ("kind", "pairs_for_new_trial")}
    answer = ScatterAnswer(**(numbers | more))
    head = {"code": "scatter", "trial_kind": "nothing-changed check", "arms": ("baseline", "repeat"), "answer": answer}
    return verdict.model_copy(update=head)


def rough_bed(**more) -> Verdict:
    """Better, with a cost: six pairs of tails fed again."""
    sentence = "Better beyond luck, with a cost: 39 % more grains than smooth (11 to 73), 6 pairs, your 20 % line lies inside the range."
    whole = {
        "question": "Does the roughened bed keep more fine gold than the painted one?",
        "line_typed": 20.0,
        "costs": (SAND, MINUTES),
    }
    return invented("grain_counts", SMOOTH, ROUGH, "better", sentence, **whole).model_copy(update=more)
