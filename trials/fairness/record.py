"""thin-record: is enough written down to judge order, halves and hand?"""

from collections.abc import Sequence

from schemas import Finding
from trials.fairness.evidence import Check, Evidence
from trials.wording.lists import and_list

NAME = "thin-record"


def judge(evidence: Evidence) -> Sequence[Finding]:
    """Are turn, mass fed and who knew the set-up recorded? One finding stands for all that are not."""
    missing = []
    if any(run.turn is None for run in evidence.runs):
        missing.append("turn")
    if any(run.fed_g is None for run in evidence.runs):
        missing.append("fed mass")
    if evidence.trial.knew is None:
        missing.append("who knew")
    if not missing or not evidence.runs:
        return []
    unjudged = and_list([JUDGED[name] for name in missing])
    return [
        Finding(
            check=NAME,
            severity="WEAKENS",
            message=f"Not recorded: {', '.join(missing)}. {unjudged.capitalize()} cannot be judged; write them on "
            "the sheet next time.",
        )
    ]


JUDGED = {"turn": "order", "fed mass": "like halves", "who knew": "hand"}
CHECK = Check(NAME, "turn, mass fed, who knew the set-up", "common practice, no source", judge)
