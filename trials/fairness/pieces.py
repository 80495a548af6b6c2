"""Checks on single pieces: big-piece, enough-grains."""

from collections.abc import Sequence
from statistics import fmean

import numpy as np

from schemas import Run
from trials.fairness.evidence import Check, Evidence
from trials.fairness.remark import NamedRuns, Remark, not_recorded, remark
from trials.fairness.thresholds import BIG_PIECE_PERCENT, FEW_GRAINS, past, short_of
from trials.measures.classes import class_to_join, labels_coarse_first
from trials.measures.pairing import Pairing, pair_up
from trials.wording.lists import and_list, in_pairs
from trials.wording.numbers import decimals_for, figures

ONE_PIECE = (
    f"One piece is {{}} % of {{}}{{}} (over {BIG_PIECE_PERCENT:g} %, our default). Book it as a picker, same size "
    "limit in both arms.{}"
)


def _share_percent(run: Run) -> float:
    """The largest piece in % of the gold it is part of; 0 where either is not known, or there is no gold."""
    return 100.0 * run.largest_mg / run.gold_mg if run.largest_mg and run.gold_mg else 0.0


def big_piece(evidence: Evidence) -> Sequence[Remark]:
    """Is any run's gold mostly one piece?

    Until the planned end the pair is named and not the half; after it the run, and the mean with the piece and
    without.
    """
    if "gold_mg" not in evidence.pairing.measure.inputs or not evidence.measured:
        return []
    runs = [run for pair in evidence.measured for run in pair.halves]
    if all(run.largest_mg is None for run in runs):
        return not_recorded("The largest piece of each run was not recorded")
    big = [run for run in runs if past(_share_percent(run), BIG_PIECE_PERCENT)]
    if not big:
        return []
    worst = max(big, key=_share_percent)
    pairs = [run.pair for run in big]
    others = tuple(sorted({*pairs} - {worst.pair}))
    where = NamedRuns.of([worst]) if evidence.ended else f"a run of pair {worst.pair}"
    told = _with_and_without(evidence, big) if evidence.ended else None
    also = f", and one over {BIG_PIECE_PERCENT:g} % of a run in {in_pairs(others)} too" if others else ""
    means = f" With such pieces {told[0]}, without them {told[1]}." if told else ""
    share = figures(_share_percent(worst), 2)
    return remark("WEAKENS", pairs, ONE_PIECE.format, share, where, also, means, but="one piece is {} % of {}".format)


def _with_and_without(evidence: Evidence, big: Sequence[Run]) -> tuple[str, str] | None:
    """The mean difference with the big pieces in the sum, and with them taken out; None where there is none."""
    taken_out = {
        run.key: run.model_copy(update={"gold_mg": max(0.0, (run.gold_mg or 0.0) - (run.largest_mg or 0.0))})
        for run in big
    }
    runs = [taken_out.get(run.key, run) for pair in evidence.pairing.pairs for run in pair.halves]
    with_, without = (_mean_text(pairing) for pairing in (evidence.pairing, pair_up(evidence.trial, runs)))
    return (with_, without) if with_ and without else None


def _mean_text(pairing: Pairing) -> str | None:
    differences = pairing.differences if pairing.counted else np.array([])
    if len(differences) < 2 or not np.isfinite(differences).all():
        return None
    measure, mean = pairing.measure, float(differences.mean())
    error = float(differences.std(ddof=1)) / len(differences) ** 0.5
    decimals = decimals_for(abs(measure.shown(mean + error) - measure.shown(mean - error)))
    return measure.signed_text(measure.shown(mean), decimals)


def enough_grains(evidence: Evidence) -> Sequence[Remark]:
    """Which size classes hold too few grains a run to be tested? Silent where nothing was sized.

    Counted are tracers as seeded, else native grains; the mean is over both halves of the measured pairs.
    """
    parts = [part for pair in evidence.measured for run in pair.halves for part in run.classes]
    if not parts:
        return _too_few_tracers(evidence)
    field = "seeded" if evidence.pairing.measure.is_seeded else "grains"
    counts: dict[str, list[int]] = {}
    for part in parts:
        if (count := getattr(part, field)) is not None:
            counts.setdefault(part.label, []).append(count)
    if not counts:
        return not_recorded("Grains were not counted by size class")
    means = {label: fmean(counts[label]) for label in labels_coarse_first(counts, evidence.trial.sizes.series)}
    few = {label: mean for label, mean in means.items() if short_of(mean, FEW_GRAINS)}
    if not few:
        return []
    joins = {label: neighbour for label in few if (neighbour := class_to_join(label, list(means)))}
    numbers = and_list([f"{figures(mean, 2)} grains a run in {label}" for label, mean in few.items()])
    remedy = f"Join {and_list([f'{a} to {b}' for a, b in joins.items()])}, or feed more" if joins else "Feed more"
    said = f"{numbers} (under {FEW_GRAINS:g}, our default): shown, not tested. {remedy}."
    return remark("NOTE", (), str, said)


def _too_few_tracers(evidence: Evidence) -> Sequence[Remark]:
    """So few tracers a run that one of them is many points: they are compared, and it is told."""
    if not evidence.pairing.measure.is_seeded or not evidence.measured:
        return []
    mean = fmean(run.seeded or 0 for pair in evidence.measured for run in pair.halves)
    if not 0 < mean < FEW_GRAINS:
        return []
    grains = f"{figures(mean, 2)} tracer grain{'' if mean == 1 else 's'} a run"
    said = f"{grains} (under {FEW_GRAINS:g}, our default): one grain is {figures(100 / mean, 2)} points. Feed more."
    return remark("WEAKENS", (), str, said, but=f"{grains} {'is' if mean == 1 else 'are'} too few")


BIG_PIECE = Check("big-piece", "the largest piece of a run in its gold", big_piece)
ENOUGH_GRAINS = Check(
    "enough-grains",
    "grains a run in each size class",
    enough_grains,
    "Clifton et al., Sample size and meaningful gold analysis, USGS Professional Paper 625-C, 1969: 20 particles",
)
