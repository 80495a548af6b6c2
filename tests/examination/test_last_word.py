"""Nothing was changed, a fault was planted and is named: nobody is told to keep the change. Own simulation."""

from collections import Counter
from collections.abc import Callable

from tests.examination.fault import Fault
from tests.examination.judged import looks_better
from tests.examination.kept import ENTRIES
from tests.examination.planted import Block
from trials.verdicts.reach import reach_verdict

FAULTS = [one for one in ENTRIES if isinstance(one, Fault) and one.way == "told"]


def test_no_named_fault_ends_in_keep(sized: Callable[..., int]) -> None:
    """The largest size of every fault that a record can show, with costs within their limits and a line easily passed.

    A trial that looks better ends with the person's own call, or without a verdict; kept are at most those that nothing
    names, which are luck's.
    """
    ended: Counter[str | None] = Counter()
    for fault in FAULTS:
        for shape in fault.shapes:
            planted = fault.block(shape, fault.sizes[-1][1], Block(0, sized(20, 4)))
            for plan, runs in planted.cases(looks_better(planted)):
                easy = plan.model_copy(update={"worth_having": 0.5})
                cheap = [
                    one.model_copy(update={"black_sand_g": one.black_sand_g or 10.0, "minutes": one.minutes or 10.0})
                    for one in runs
                ]
                verdict = reach_verdict(easy, cheap)
                named = [
                    f for f in verdict.checks if f.check in fault.told.checks and f.severity in ("WEAKENS", "NOTE")
                ]
                assert not (verdict.last_word == "keep" and named), f"{fault.how}: {verdict.sentence} {named}"
                ended[verdict.last_word if verdict.code == "better" else "not better"] += 1
    assert ended["your call"] > 10 * ended["keep"]
