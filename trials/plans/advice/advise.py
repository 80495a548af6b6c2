"""All that a plan must hear, refusals first."""

from collections.abc import Sequence

from trials.plans.advice import design, dirt, enough
from trials.plans.advice.told import Advice, Weight
from trials.plans.plan_power import PlanPower

ADVICE_RULES = (*design.DESIGN_RULES, *dirt.DIRT_RULES, *enough.PAIRS_RULES)


def advise(power: PlanPower) -> tuple[Advice, ...]:
    """What must this plan hear? Refusals first, then warnings, then notes.

    >>> from schemas import Gear, Held, Lot, Trial
    >>> from trials.plans.plan_power import power_of_plan
    >>> trial = Trial(name="t", measure="gold_mass", pairs=6, gear=Gear(kind="sluice"),
    ...               lots=(Lot(kind="natural", name="winter", mass_g=4_700.0),), held=Held(charge_g=1_000.0))
    >>> print(advise(power_of_plan(trial))[0].says)
    6 pairs of 1 kg a run need 12 kg; winter has 4.7 kg. Plan fewer pairs, a smaller charge, or dig more.
    """
    order: Sequence[Weight] = ("refuse", "warn", "note")
    found = [advice for rule in ADVICE_RULES for advice in rule(power)]
    return tuple(sorted(found, key=lambda advice: order.index(advice.weight)))
