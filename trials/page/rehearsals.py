"""Rehearsals that were asked for at the page: each goes on by itself, tells how far it is, and is kept when done."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass, field
from threading import Lock, Thread
from typing import TYPE_CHECKING

from trials.errors import Refused, TrialsError
from trials.wording.steps import Reader, said_for

if TYPE_CHECKING:  # heavy, and needed for their names alone
    from schemas import Trial
    from trials.rehearsal.plan_rehearsed import HabitsPlayed, Played
    from trials.report.rehearsal_charts import ChartsOfRehearsal

MOST_KEPT = 20
SEED = 1
"""Of every rehearsal, as at the terminal where none is told; the same plan is rehearsed to the same numbers."""
READY, WAITS = "Getting ready", "It waits for another to end"
BROKE_OFF = "The rehearsal broke off. Try fewer trials; if that breaks off too, the fault is the program's."
OF_PLAN, OF_HABITS = "plan", "habits"


@dataclass(slots=True)
class Underway:
    """A rehearsal that goes on, or is done.

    trial: the plan as it was stored when it was asked for.
    of: the plan, or the habits. times: how many trials are simulated.
    doing, done: what it is at, and how many of them are.
    found, charts: what came of it. wrong: why nothing did.
    """

    trial: Trial
    of: str
    times: int
    doing: str
    done: int = 0
    found: Played | HabitsPlayed | None = None
    charts: ChartsOfRehearsal | None = None
    wrong: TrialsError | None = None

    @property
    def is_over(self) -> bool:
        """Whether it has ended, well or not."""
        return self.found is not None or self.wrong is not None

    def tell(self, doing: str) -> Callable[[int, int], None]:
        """Take down what is being done, and then how far it is."""
        self.doing, self.done = doing, 0

        def told(done: int, _: int) -> None:
            self.done = done

        return told


@dataclass(slots=True)
class Rehearsals:
    """What was rehearsed in one sitting of the server; one goes on at a time."""

    kept: OrderedDict[tuple[str, str, int], Underway] = field(default_factory=OrderedDict)
    turn: Lock = field(default_factory=Lock)

    def find(self, trial: Trial, of: str, times: int) -> Underway | None:
        """One that was asked for of the plan as it is by now."""
        found = self.kept.get((trial.name, of, times))
        return found if found is not None and found.trial == trial else None

    def begin(self, trial: Trial, of: str, times: int) -> None:
        """Begin one, unless the same is under way or done."""
        if self.find(trial, of, times) is not None:
            return
        own = self.kept[trial.name, of, times] = Underway(trial, of, times, WAITS if self.turn.locked() else READY)
        while len(self.kept) > MOST_KEPT:
            self.kept.popitem(last=False)
        Thread(target=self._play, args=(own,), daemon=True).start()

    @said_for(Reader.AT_PAGE)
    def _play(self, own: Underway) -> None:
        from trials.rehearsal.plan_rehearsed import rehearse_both, rehearse_habits
        from trials.report.rehearsal_charts import rehearsal_charts

        with self.turn:
            try:
                if own.of == OF_HABITS:
                    found: Played | HabitsPlayed = rehearse_habits(own.trial, "all", own.times, SEED, own.tell)
                else:
                    found = rehearse_both(own.trial, own.times, SEED, own.tell)
                own.charts = rehearsal_charts(found)
                own.found = found
            except TrialsError as error:
                own.wrong = error
            finally:
                if not own.is_over:  # broken down; whoever watches must not wait for ever
                    own.wrong = Refused(BROKE_OFF)
