"""Which grains came out with which run, and what they weigh."""

from dataclasses import dataclass
from functools import partial
from typing import Literal, Self, TypeVar

import numpy as np
import numpy.typing as npt

from trials.simulation.arrays import IntArray
from trials.simulation.dirt import CLASS_EDGES_MM, Dirt
from trials.simulation.noise_model import Noise
from trials.statistics.arrays import Numbers

Number = TypeVar("Number", np.float64, np.int64)
Weighed = Literal["all", "kept", "none"]
"""Of which gold the mass is wanted; that of the tails is drawn last."""

LOST_IN_PAN = np.asarray(CLASS_EDGES_MM[:-1]) <= 0.150
"""The size classes wholly under 0.150 mm, of which the final pan-out loses some."""
_FINE = slice(int(LOST_IN_PAN.argmax()), None)  # the same; they stand last


@dataclass(frozen=True, eq=False)
class GrainFates:
    """What became of the grains fed to each run; arrays of shape (trials, pairs, arms, 10) or pooled.

    found, found_mg: Kept, panned out and found with this run.
    held, held_mg: Kept, but left in the gear until the next run, and found with that one.
    tails, tails_mg: Gone to the tails.
    panned_away: Caught, then lost in the final pan-out.
    """

    found: IntArray
    held: IntArray
    tails: IntArray
    panned_away: IntArray
    found_mg: Numbers
    held_mg: Numbers
    tails_mg: Numbers

    def pooled(self) -> Self:
        """Return the same with all size classes added up."""
        return type(self)(**{name: all_sizes(values) for name, values in vars(self).items()})


def all_sizes(values: npt.NDArray[Number]) -> npt.NDArray[Number]:
    """Add up the size classes, which stand on the last axis."""
    whole = np.issubdtype(values.dtype, np.integer)
    added: npt.NDArray[Number] = np.einsum("...i->...", values) if whole else values.sum(axis=-1)
    return added


def draw_grains(
    rng: np.random.Generator, dirt: Dirt, noise: Noise, logits: Numbers, richness: Numbers, *, weighed: Weighed = "all"
) -> GrainFates:
    """Draw where every grain went, by class: counts and mg; no gold expected, zeros.

    Grains fed are Poisson by class (gamma-mixed, so negative binomial, when the split is worse than luck); each is kept
    with the run's chance p, Binomial(n, p) of n.

    logits: Of the chance that a grain is kept, run by run and class by class, shape (trials, pairs, arms, 10).
    richness: Gold fed to the run over that expected, 0 or more, shape (trials, pairs, arms).
    weighed: What is not wanted has masses of 0; the grains, and all other masses, are the same.

    Nothing is approximated. A Poisson number of grains, each sent its way by its own coin, gives independent
    Poisson numbers each way, so kept and lost are drawn at once instead of Binomial after Poisson. Grain
    mass in a class is gamma with mean m and CV cv, so that the mass of n grains is gamma with shape n/cv^2
    and scale m cv^2: mean n m, variance n m^2 cv^2, never negative.

    Source: Kingman, Poisson Processes, 1993, sec. 5.1 (colouring). Greenwood & Yule, J. R. Stat. Soc. 83:255, 1920
    (gamma-mixed Poisson). Gamma grain mass is assumed for simulation, no source.

    >>> logits = np.full((1, 1, 2, 10), np.log(9.0))
    >>> fates = draw_grains(np.random.default_rng(1), Dirt(), Noise(), logits, np.ones((1, 1, 2)))
    >>> fates.found.sum(axis=-1), fates.tails.sum(axis=-1)
    (array([[[3389, 3418]]]), array([[[388, 358]]]))
    """
    if dirt.gold_mg == 0.0:
        no_grain, no_gold = np.zeros(logits.shape, dtype=np.int64), np.zeros(logits.shape)
        return GrainFates(*4 * (no_grain,), *3 * (no_gold,))
    fed = _expected_fed(rng, dirt, richness, logits.shape)
    caught = fed * _shares(logits)
    lost_in_pan = caught[..., _FINE] * noise.panout_loss_fine
    panned = caught.copy()
    panned[..., _FINE] *= 1.0 - noise.panout_loss_fine
    found = rng.poisson(panned * (1.0 - noise.carry_over))
    tails = rng.poisson(fed - caught)
    held = rng.poisson(panned * noise.carry_over) if noise.carry_over else np.zeros_like(found)
    panned_away = np.zeros_like(found)
    if noise.panout_loss_fine:
        panned_away[..., _FINE] = rng.poisson(lost_in_pan)
    weigh, leave = partial(_masses_mg, rng, dirt), partial(np.zeros_like, dtype=np.float64)
    of_kept, of_tails = leave if weighed == "none" else weigh, weigh if weighed == "all" else leave
    return GrainFates(
        found=found,
        held=held,
        tails=tails,
        panned_away=panned_away,
        found_mg=of_kept(found),
        held_mg=of_kept(held),
        tails_mg=of_tails(tails),
    )


def _shares(logits: Numbers) -> Numbers:
    """The chance that each logit stands for, 1 / (1 + exp(-logit)), made in one array."""
    share = np.negative(logits)
    np.exp(share, out=share)
    share += 1.0
    return np.divide(1.0, share, out=share)


def _expected_fed(rng: np.random.Generator, dirt: Dirt, richness: Numbers, shape: tuple[int, ...]) -> Numbers:
    """Return the mean of the Poisson number fed; itself gamma about its mean when the split is poor."""
    fed: Numbers = dirt.expected_grains() * richness[..., np.newaxis]
    beyond_luck = dirt.split_vmr - 1.0  # Var = mean x VMR when the mean is gamma with scale VMR - 1
    if beyond_luck == 0.0:
        return fed
    return rng.standard_gamma(np.broadcast_to(fed / beyond_luck, shape)) * beyond_luck


def _masses_mg(rng: np.random.Generator, dirt: Dirt, grains: IntArray) -> Numbers:
    """Return the mass of so many grains of each class, mg."""
    if dirt.grain_cv == 0.0:
        return grains * dirt.grain_masses_mg()
    spread = dirt.grain_cv**2
    masses: Numbers = rng.standard_gamma(grains / spread)
    masses *= dirt.grain_masses_mg() * spread
    return masses
