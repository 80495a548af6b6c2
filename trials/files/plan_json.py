"""A plan, and what was rehearsed of it, for a plain reader: numbers and names, nothing that is not finite."""

import dataclasses

from trials.rehearsal.habits import Rate
from trials.rehearsal.judged import ENDINGS
from trials.rehearsal.level_rehearsal import LevelsRehearsal
from trials.rehearsal.plan_rehearsed import TYPED_AS, HabitsPlayed, Played
from trials.rehearsal.proposal import Plan
from trials.rehearsal.rehearsal import Rehearsal


def plan_as_json(plan: Plan) -> dict[str, object]:
    """A plan and all that was reckoned for it, for a plain reader."""
    outlook, budget, scatter = plan.outlook, plan.outlook.budget, plan.outlook.scatter
    return {
        "trial": plan.trial.model_dump(mode="json"),
        "runs": [{"pair": run.pair, "arm": run.arm, "turn": run.turn, "tag": run.tag} for run in plan.record.runs],
        "scale": outlook.measure.scale,
        "line": outlook.line,
        "scatter": None if scatter is None else dataclasses.asdict(scatter),
        "pairs_needed": outlook.needed_without_limit,
        "smallest_findable": outlook.findable,
        "chance_at_line": outlook.chance,
        "chance_stopped": None if budget is None else outlook.stopped_of(plan.trial.pairs),
        "noise": None
        if budget is None
        else {
            "sd_pair": budget.sd_pair,
            "expected": budget.expected,
            "zero_share": budget.zero_share,
            "sources": [dataclasses.asdict(source) for source in budget.sources],
        },
        "advice": [dataclasses.asdict(one) for one in plan.advice],
    }


def rehearsal_as_json(played: Played) -> dict[str, object]:
    """How often each outcome would come, with nothing changed and with a change at the line."""

    def plain(one: Rehearsal | None) -> dict[str, object] | None:
        if one is None:
            return None
        shares = {ending: one.share(ending) for ending in ENDINGS}
        return {
            "times": one.times,
            "seed": one.seed,
            "shares": shares,
            "standard_errors": {ending: one.standard_error(share) for ending, share in shares.items()},
            "stopped_at_look": one.stopped_at_look,
            "mean_pairs": one.mean_pairs,
            "levels": _levels(one) if isinstance(one, LevelsRehearsal) else None,
        }

    return {
        "trial": played.trial.name,
        "pairs": played.trial.pairs,
        "line": played.outlook.line,
        "nothing_changed": plain(played.nothing),
        "at_line": plain(played.at_line),
    }


def _levels(rehearsal: LevelsRehearsal) -> list[dict[str, object]]:
    """How often each level would be called better, and be named as the one to use."""
    return [
        {"level": name, "better": rehearsal.better(at), "named": rehearsal.named(at)}
        for at, name in enumerate(rehearsal.scenario.levels)
    ]


def habits_as_json(shown: HabitsPlayed) -> dict[str, object]:
    """How often each habit would cry gain, and loss, with nothing changed."""

    def rate(one: Rate) -> dict[str, float]:
        return {"share": one.share, "standard_error": one.standard_error}

    typed = {habit: key for key, habit in TYPED_AS.items()}
    return {
        "trial": shown.trial.name,
        "pairs": shown.plan.pairs,
        "times": shown.plan.times,
        "seed": shown.plan.seed,
        "day_richness_sd": shown.plan.day_richness_sd,
        "fair_trial": {"cried_gain": rate(shown.fair)},
        "habits": [
            {
                "habit": typed[one.habit],
                "does": one.does,
                "cried_gain": rate(one.cried_gain),
                "cried_loss": rate(one.cried_loss),
            }
            for one in shown.rates
        ],
    }
