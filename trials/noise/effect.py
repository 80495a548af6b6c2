"""What would a change truly do to a measure, luck left aside, and how large a change would just do so much?"""

import math

import numpy as np

from schemas import MeasureName
from trials.measures.catalogue import measure_named
from trials.noise.grains import USUAL_PAIRS, grains_of, require_feed, shared_sd
from trials.noise.quadrature import bell
from trials.noise.situation import Situation
from trials.simulation.gear import TrueEffect
from trials.simulation.noise_model import logit_sd
from trials.statistics.arrays import Numbers

LARGEST_SHIFT = 10.0
"""The largest change of the logit of recovery that is looked for; 10 takes 50 % to 99.995 %."""
_HALVINGS = 50
# In a balanced order a run follows one of the other arm 3 times in 4: always as the second of its pair, else every
# other time.
_AFTER_THE_OTHER = 0.75


def true_difference(
    measure: MeasureName, situation: Situation, change: TrueEffect, *, pairs: int = USUAL_PAIRS
) -> float:
    """What does this change truly do, on the scale of this measure: points, or ln ratio, more gold positive?

    It is the mean difference that a long row of such trials would show: averaged over the luck of runs, days and
    feeders, as pan-out, work-up of the tails and gold left in the gear let it be seen; free of the luck of grains and
    scale. Pairs, 1 or more, matter where there is drift, and little.

    Raises ValueError where no gold is fed, or for tracers none seeded; pairs under 1.

    - Nothing found of any tails: recovery and gold in tails show no difference, 0.
    - Gold left in the gear mostly comes out with a run of the other arm: at a share h of it, gold kept shows about
      1 - 1.5 h of the difference, and over two thirds it would show as its opposite.

    Derived from the assumed noise model.

    >>> from trials.simulation.dirt import Dirt
    >>> from trials.simulation.noise_model import Noise
    >>> fine = Situation(dirt=Dirt(900, "fine"), noise=Noise())
    >>> round(true_difference("recovery", fine, TrueEffect(shift_logit=0.45)), 1)
    5.2
    """
    require_feed(measure, situation, pairs)
    luck = bell(math.hypot(shared_sd(situation.noise, pairs), logit_sd(situation.noise.process_sd_points)), 9)
    return float(luck.mean(_differences(measure, situation, change, luck.at)))


def difference_sd(measure: MeasureName, situation: Situation, change: TrueEffect, *, pairs: int = USUAL_PAIRS) -> float:
    """How far does what a change truly does differ from pair to pair, as easy and hard days leave more or less to gain?

    The SD of the true difference over what the halves of a pair share, on the measure's scale; arguments as those of
    `true_difference`. Derived from the assumed noise model.

    >>> from trials.simulation.noise_model import LOW, POOR
    >>> change = TrueEffect(shift_logit=0.45)
    >>> [round(difference_sd("recovery", Situation(noise=noise), change), 1) for noise in (LOW, POOR)]
    [0.2, 1.6]
    """
    require_feed(measure, situation, pairs)
    both = bell(shared_sd(situation.noise, pairs), 7)
    differences = _differences(measure, situation, change, both.at)
    return math.sqrt(float(both.mean((differences - both.mean(differences)) ** 2)))


def _differences(measure: MeasureName, situation: Situation, change: TrueEffect, shift: Numbers) -> Numbers:
    """What the change does to a run that stands so far from a run without luck, at each of many shifts."""
    one, noise = measure_named(measure), situation.noise
    if one.is_seeded:
        sizes = list(situation.tracers.size_classes)
        lost, lost_after = (grains_of(situation, shift, change=each).lost[:, sizes] for each in (None, change))
        of_tracers: Numbers = 100.0 * (lost - lost_after).mean(axis=-1)
        return of_tracers
    if noise.tails_found == 0.0 and one.needs_tails:
        return np.zeros_like(shift)
    counted = not one.weighs
    unchanged, changed = (grains_of(situation, shift, counted=counted, change=each) for each in (None, change))
    if one.side == "lost":
        return np.asarray(np.log(unchanged.lost_mg / changed.lost_mg))
    of_the_other = _AFTER_THE_OTHER * noise.carry_over
    more = of_the_other * (changed.kept_mg - unchanged.kept_mg)
    baseline, after = unchanged.kept_mg + more, changed.kept_mg - more
    if one.side == "share kept":
        found = noise.tails_found
        share_after, share = (
            after / (after + found * changed.lost_mg),
            baseline / (baseline + found * unchanged.lost_mg),
        )
        return np.asarray(100.0 * (share_after - share))
    half = 0.5 if counted else 0.0
    return np.asarray(np.log((after + half) / (baseline + half)))


def shift_reaching(
    measure: MeasureName, line_on_scale: float, situation: Situation, *, pairs: int = USUAL_PAIRS
) -> TrueEffect | None:
    """How large a change, alike in every size class, truly does just so much: `line_on_scale`, either sign?

    Its shift of the logit of recovery is 10 at most, either way. None where no such shift does so much, as 20 points
    more where 90 % is kept already. Found by halving an interval; the difference grows with the shift.

    Raises ValueError where the line is not a finite number; else as `true_difference`.

    >>> change = shift_reaching("recovery", 2.0, Situation())
    >>> round(true_difference("recovery", Situation(), change), 9)
    2.0
    >>> shift_reaching("recovery", 20.0, Situation()) is None
    True
    """
    if not math.isfinite(line_on_scale):
        raise ValueError(f"line_on_scale is {line_on_scale}; it must be a finite number. Give points or a ln ratio.")
    require_feed(measure, situation, pairs)
    if line_on_scale == 0.0:
        return TrueEffect()
    way = math.copysign(1.0, line_on_scale)

    def does(size: float) -> float:
        return way * true_difference(measure, situation, TrueEffect(shift_logit=way * size), pairs=pairs)

    enough, too_little = LARGEST_SHIFT, 0.0
    if does(enough) < abs(line_on_scale):
        return None
    for _ in range(_HALVINGS):
        middle = (enough + too_little) / 2.0
        enough, too_little = (middle, too_little) if does(middle) >= abs(line_on_scale) else (enough, middle)
    return TrueEffect(shift_logit=way * enough)
