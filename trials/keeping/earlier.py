"""What the logbook knows already of gear, dirt, scales and hands, for a new plan."""

from collections.abc import Mapping
from functools import cached_property

from trials.files.plan_given import answers_like
from trials.logbook.logbook import Logbook
from trials.logbook.pages import ListedTrial
from trials.rehearsal.proposal import tells_scatter
from trials.talk.plan_answers import settled
from trials.talk.plan_offers import OFFERED, offer_of
from trials.talk.question import Given

LOOKED_AT = 5
"""How many earlier trials are read for one answer, the last session first."""


class Earlier:
    """Earlier trials of a logbook, read as they are asked for, and once."""

    def __init__(self, book: Logbook) -> None:
        self._book = book
        self._told: dict[str, Mapping[str, str]] = {}
        self._tells: dict[str, bool] = {}

    @cached_property
    def _trials(self) -> list[ListedTrial]:
        if not self._book.exists:
            return []
        with self._book.reading() as pages:
            return pages.listing()

    def answer(self, key: str, given: Given) -> tuple[str, str]:
        """The last trial that answers a question of a plan, on the same gear or dirt where that matters; and how."""
        same = OFFERED[key]
        alike = [one for one in self._trials if one.trial != given.get("name") and _is_alike(one, same, given)]
        for one in alike[:LOOKED_AT]:
            if text := offer_of(key, self._answers(one.trial), given):
                return one.trial, text
        return "", ""

    def scatters(self, given: Given) -> tuple[str, ...]:
        """The trials whose scatter a plan may go by: of the same gear and measure, and run to their end.

        Of a change that can't be undone only a nothing-changed check tells it: its twins have to be shown alike first.
        """
        measure = settled(given).get("measure")
        needs_twins = given.get("change.reversible") == "no"
        found = [
            one.trial
            for one in self._trials
            if (one.measure, one.gear) == (measure, given.get("gear.kind"))
            and one.trial != given.get("name")
            and not (needs_twins and one.variable is not None)
        ]
        return tuple(name for name in found[:LOOKED_AT] if self._tells_scatter(name))

    def _answers(self, name: str) -> Mapping[str, str]:
        if name not in self._told:
            self._told[name] = answers_like(self._book.read(name).trial, {})
        return self._told[name]

    def _tells_scatter(self, name: str) -> bool:
        if name not in self._tells:
            self._tells[name] = tells_scatter(self._book.read(name))
        return self._tells[name]


def _is_alike(one: ListedTrial, same: str, given: Given) -> bool:
    if same == "lot.kind":
        return given.get(same) in one.lot_kinds
    return not same or one.gear == given.get(same)
