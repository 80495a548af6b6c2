"""The checks of a graded trial: of its blocks as a whole, and of every level beside the baseline."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from schemas import Finding, Run, Trial, is_made
from trials.fairness import counting, diagnostics, order, plan, thresholds
from trials.fairness.checklist import CHECKS, WORST_FIRST, worst_first
from trials.fairness.evidence import Check, Evidence
from trials.fairness.remark import NOTHING_TO_REMARK, Remark, not_recorded, remark
from trials.fairness.so_far import told_alike
from trials.measures.blocks import Block, Blocking, block_up
from trials.statistics.arrays import Numbers
from trials.statistics.best_level import levels_beyond
from trials.statistics.block_fit import fit_blocks
from trials.statistics.odd_pair import odd_pair
from trials.wording.lists import and_list, count_of, in_pairs


@dataclass(frozen=True, slots=True)
class BlockEvidence:
    """A graded trial with its runs sorted into blocks.

    runs: the runs that were made and not struck.
    """

    trial: Trial
    blocking: Blocking
    runs: tuple[Run, ...]

    @property
    def ended(self) -> bool:
        """The planned end is reached: nothing said now can tip a hand."""
        return not self.blocking.waiting

    def against_baseline(self, arm: int, *, swapped: bool = False) -> Evidence:
        """One level beside the baseline, as a trial of pairs."""
        change = self.trial.change
        assert change is not None  # noqa: S101 - a graded trial changes something
        level = change.model_copy(update={"changed": (self.trial.arms[arm],)})
        trial = self.trial.model_copy(update={"change": level})
        pairing = self.blocking.against_baseline(arm, swapped=swapped)
        runs = tuple(run for pair in pairing.pairs for run in pair.halves if is_made(run) and not run.is_void)
        return Evidence(trial, pairing, runs, ended=self.ended)


def gather_blocks(trial: Trial, runs: Sequence[Run]) -> BlockEvidence:
    """Sort a graded trial's runs into what the checks look at."""
    standing = tuple(run for run in runs if is_made(run) and not run.is_void)
    return BlockEvidence(trial, block_up(trial, runs), standing)


@dataclass(frozen=True, slots=True)
class BlockCheck:
    """One question of fairness that looks at whole blocks; it stands in for the one of pairs of the same name."""

    instead_of: Check
    judge: Callable[[BlockEvidence], Sequence[Remark]]


def same_order(evidence: BlockEvidence) -> Sequence[Remark]:
    """Did all passed blocks run in one order, or does a level stand earlier or later in them than the baseline?

    Silent under 3 blocks with known turns. All in one order is told until the end, a level's mean place only at it.
    """
    orders = [block.order for block in evidence.blocking.passed]
    known = np.array([places for places in orders if places is not None])
    if not len(known):
        return not_recorded("The turn of each run was not recorded")
    if len(known) < thresholds.ORDER_NEEDS_PAIRS:
        return []
    if (known == known[0]).all():
        often = f"All {len(known)} blocks were run in one order."
        return remark("STOP", (), str, f"{often} Order and levels cannot be told apart; draw the order again.")
    if not evidence.ended:
        return []
    means = known.mean(axis=0)
    apart = dict(zip(evidence.trial.arms[1:], (means[1:] - means[0]).tolist(), strict=True))
    limit = (len(means) - 1) / 2
    off = {level: places for level, places in apart.items() if thresholds.past(abs(places), limit)}
    if not off:
        return []
    said = [
        f"{level} ran {abs(places):.1f} places {'later' if places > 0 else 'earlier'}" for level, places in off.items()
    ]
    remedy = "Draw the order, so that every level stands in every place."
    place = f"{and_list(said)} than the baseline in the mean block"
    return remark("WEAKENS", (), str, f"{place} (over {limit:g}, our default). {remedy}", but=place)


def drawn_block_order(evidence: BlockEvidence) -> Sequence[Remark]:
    """Which passed blocks were run in another order than the seed draws?"""
    trial = evidence.trial
    if trial.seed is None:
        return not_recorded("The seed of the draw was not recorded")
    known = {block.number: block.order for block in evidence.blocking.passed if block.order is not None}
    if not known:
        return not_recorded("The turn of each run was not recorded")
    drawn = order.draw_of_plan(trial, trial.seed)
    places = {number: tuple(np.argsort(row).tolist()) for number, row in enumerate(drawn, start=1)}
    other = [number for number, seen in known.items() if number in places and places[number] != seen]
    return order.not_as_drawn(other, in_pairs(other, "block"), "a level")


def extended_blocks(evidence: BlockEvidence) -> Sequence[Remark]:
    """Were blocks added after the planned end?"""
    if not evidence.ended:
        return []
    beyond = [block.number for block in evidence.blocking.beyond]
    return plan.added_late("block", beyond, evidence.trial, evidence.runs)


def blocks_with_gaps(evidence: BlockEvidence) -> Sequence[Remark]:
    """Did the trial end with a gap that no spare block filled?"""
    blocking, planned = evidence.blocking, evidence.trial.pairs
    if not evidence.ended or blocking.standing >= planned:
        return []
    void = [block.number for block in blocking.void]
    runs = sum(run.is_void for block in blocking.void for run in block.on_record)
    struck = f"{count_of(runs, 'run')} {'was' if runs == 1 else 'were'} void"
    said = f"{blocking.standing} of {planned} blocks are whole: {struck} and no spare was left. Plan a spare or two."
    return remark("WEAKENS", void, str, said, but=f"only {blocking.standing} of {planned} blocks are whole")


def odd_block(evidence: BlockEvidence) -> Sequence[Remark]:
    """Does one block lie far from the rest with any level? As of pairs, each level at its share of the rate."""
    blocks, values = _numbers(evidence)
    levels = evidence.trial.arms[1:]
    far: dict[int, list[str]] = {}
    for arm, level in enumerate(levels, start=1):
        apart = values[:, arm] - values[:, 0]
        known = np.flatnonzero(np.isfinite(apart))
        if len(known) < thresholds.ODD_PAIR_NEEDS_PAIRS or not np.ptp(apart[known]) > 0:
            continue
        odd = odd_pair(apart[known], alpha=thresholds.NOTE_LEVEL / len(levels))
        if odd.is_odd:
            far.setdefault(blocks[int(known[int(odd.index)])].number, []).append(level)
    return [
        one
        for number, names in sorted(far.items())
        for one in remark(
            "NOTE",
            [number],
            str,
            f"Block {number} lies far from the others with {and_list(names)}. Read its notes; it stays in the sum.",
        )
    ]


def rests_on_one_block(evidence: BlockEvidence) -> Sequence[Remark]:
    """Would a level beyond luck not be so if one block were left out? As of pairs, told from 8 whole blocks."""
    blocks, values = _numbers(evidence)
    if len(blocks) < thresholds.ONE_PAIR_CARRIES_NEEDS_PAIRS or not np.isfinite(values).all():
        return []
    whole = levels_beyond(fit_blocks(values), level=thresholds.ONE_PAIR_CARRIES_LEVEL)
    others = np.array([np.delete(values, at, axis=0) for at in range(len(blocks))])
    falls = (levels_beyond(fit_blocks(others), level=thresholds.ONE_PAIR_CARRIES_LEVEL) != whole) & (whole != 0)
    told: list[Remark] = []
    for level, lost in zip(evidence.trial.arms[1:], falls.T, strict=True):
        carrying = [block.number for block, changes in zip(blocks, lost, strict=True) if changes]
        told += diagnostics.resting_on(carrying, len(blocks), "block", level)
    return told


def levels_more_than_counting(evidence: BlockEvidence) -> Sequence[Remark]:
    """Do the counts of any level beside the baseline differ by more than counting luck? Usual, and no fault."""
    levels = range(1, len(evidence.trial.arms)) if evidence.ended else ()
    return next((seen for arm in levels if (seen := counting.more_than_counting(evidence.against_baseline(arm)))), [])


def _numbers(evidence: BlockEvidence) -> tuple[tuple[Block, ...], Numbers]:
    """The blocks that say something and their numbers on the scale, once the planned end is reached; else none."""
    blocking = evidence.blocking
    blocks = blocking.informative if evidence.ended else ()
    if not blocks:
        return (), np.empty((0, len(evidence.trial.arms)))
    return blocks, blocking.measure.scaled(blocking.readings(blocks), blocking.division_mg)


OF_BLOCKS = {
    one.instead_of.name: one
    for one in (
        BlockCheck(order.FIRST_TURN, same_order),
        BlockCheck(order.DRAWN_ORDER, drawn_block_order),
        BlockCheck(plan.EXTENDED, extended_blocks),
        BlockCheck(plan.CLOSED_SHORT, blocks_with_gaps),
        BlockCheck(diagnostics.ODD_PAIR, odd_block),
        BlockCheck(diagnostics.ONE_PAIR_CARRIES, rests_on_one_block),
        BlockCheck(counting.OVER_DISPERSION, levels_more_than_counting),
    )
}


def judge_levels(evidence: BlockEvidence) -> tuple[Finding, ...]:
    """Ask every check that fits a graded trial; worst first, else in the order of the list.

    A check of pairs is asked of each level beside the baseline, and named once with the levels it is of. Until the
    planned end no level is named, and what only one of the two would be told waits.
    """
    told = []
    besides = [_beside(evidence, arm) for arm in range(1, len(evidence.trial.arms))]
    for check in CHECKS:
        if check is diagnostics.ORDER_EFFECT:
            continue  # of more than two places there is no going first; a level's mean place is looked at instead
        if check.name in OF_BLOCKS:
            remarks = OF_BLOCKS[check.name].judge(evidence) or NOTHING_TO_REMARK
            told += [one.in_words(check.name) for one in remarks]
        else:
            told += _of_levels(check, evidence, besides)
    return worst_first(told)


def _beside(evidence: BlockEvidence, arm: int) -> tuple[Evidence, ...]:
    """A level beside the baseline; until the planned end the baseline as the level, too."""
    return tuple(
        evidence.against_baseline(arm, swapped=swapped) for swapped in ([False] if evidence.ended else [False, True])
    )


def _of_levels(check: Check, evidence: BlockEvidence, besides: Sequence[tuple[Evidence, ...]]) -> list[Finding]:
    """What a check says of each level, like words once."""
    levels_of: dict[Finding, list[str]] = {}
    for level, beside in zip(evidence.trial.arms[1:], besides, strict=True):
        for one in told_alike(check, *beside) if len(beside) == 2 else check.answers(beside[0]):
            levels_of.setdefault(one.in_words(check.name), []).append(level)
    if any(finding.severity not in ("ok", "not recorded") for finding in levels_of):
        levels_of = {f: levels for f, levels in levels_of.items() if f.severity not in ("ok", "not recorded")}
    mildest = max(WORST_FIRST.index(finding.severity) for finding in levels_of)
    if WORST_FIRST[mildest] == "ok":
        levels_of = {f: levels for f, levels in levels_of.items() if f.severity == "ok"}
    every = len(evidence.trial.arms) - 1
    names = evidence.ended
    return [
        _named(f, levels) if names and len(set(levels)) < every and f.message else f for f, levels in levels_of.items()
    ]


def _named(finding: Finding, levels: Sequence[str]) -> Finding:
    of = and_list(list(dict.fromkeys(levels)))
    headline = f"with {of} {finding.in_headline}" if finding.in_headline else ""
    return finding.model_copy(update={"message": f"{of}: {finding.message}", "in_headline": headline})
