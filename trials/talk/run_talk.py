"""The talks that end in a run: which is next, what was read and counted of it, what is wrong of one that is stored."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from schemas import Record, Run, is_made
from schemas.run import columns_named
from trials.changes.enter import turn_taken, turn_taken_words
from trials.changes.merge import AS_TYPED
from trials.errors import Problem
from trials.papers.gear_parts import takes_starter
from trials.papers.readings import unit_of
from trials.records.bounds import HELD_AS
from trials.records.doubts import Doubt, doubts_of
from trials.records.flat import flat_run
from trials.sheets.form import FEEDER_FIELDS, SETTINGS
from trials.talk.asks import Ask, asks_of_run
from trials.talk.engine import BLANK, Sitting, Talk, begin
from trials.talk.one_run import run_of_answers
from trials.talk.question import EITHER, Choice, Given, Mending, Question, Telling
from trials.talk.run_defaults import planned_values, stored_values
from trials.talk.run_words import answers_in_line, look_again, words_of_run
from trials.talk.shown import Block, Sentence
from trials.talk.together import Together, together_of

STORE, THROW_AWAY, TAG = "store it", "throw away", "tag"
ANSWERING_A_RUN = (
    "Enter takes what stands in [brackets], or leaves it open. ? explains, back goes back, at last to the tag, and "
    "several answers go on one line with ; between. Ctrl-C stops: what was answered is kept."
)
BY_THE_FEEDER = frozenset({"turn", *FEEDER_FIELDS, *SETTINGS})
THROW_IT_AWAY = Question(
    THROW_AWAY,
    "Throw these answers away? yes or no",
    help="yes stores nothing of this run, and forgets what was answered; no goes back to the answers.",
    kind=Choice(EITHER.options, is_numbered=False),
    default="no",
    needed=lambda given: given.get(STORE) == "no",
    is_short=True,
    is_kept=False,
)


@dataclass(frozen=True, slots=True)
class RunTalk:
    """One run of a record that is typed, completed or corrected, as it is stored; and all that may be asked of it."""

    record: Record
    run: Run
    asks: tuple[Ask, ...]
    correcting: bool

    def begin(self, kept: Given) -> Sitting:
        """Begin to ask, or go on from the answers of an earlier sitting, which back may go to."""
        return begin(self.talk, kept, earlier=tuple(kept))

    @property
    def talk(self) -> Talk:
        """What there is to ask."""
        questions = tuple(self._question(ask) for ask in self.asks)
        if self.correcting:
            steps: tuple[Question | Telling, ...] = (*questions, Telling(self._corrections), self._store())
            return Talk(
                steps,
                self._check,
                doubts=self._doubts,
                taken_so=self._taken_so,
                standing=self._as_corrected,
                after=self._after,
                opening=self._as_stored(),
                leads_back=True,
            )
        asked = list(questions)
        for one in self.together:  # before the first that it stands for
            at = next(at for at, question in enumerate(asked) if question.key == one.asks[0].key)
            asked.insert(at, one.question)
        steps = (*asked, Telling(self._summary), self._store(), THROW_IT_AWAY)
        return Talk(
            steps,
            self._check,
            doubts=self._doubts,
            taken_so=self._taken_so,
            standing=self.answers,
            after=self._after,
            leads_back=True,
        )

    @property
    def together(self) -> tuple[Together, ...]:
        """The questions that stand for several; none where a run is corrected."""
        return () if self.correcting else together_of(self.run, self.asks)

    def answers(self, given: Given) -> dict[str, str]:
        """Every answer by its column: those carried, with what was said of them, and those given; the last holds."""
        answers: dict[str, str] = {}
        together = {one.key: one for one in self.together}
        for key, text in given.items():
            if key not in (STORE, THROW_AWAY):
                answers |= together[key].answers(text) if key in together else {key: text}
        return answers

    def to_store(self, sitting: Sitting) -> dict[str, str] | None:
        """What is to be stored once all is answered; None where nothing is."""
        if sitting.answers.get(STORE) != "yes":
            return None
        return (sitting.draft or None) if self.correcting else self.answers(sitting.answers)

    def odd(self, given: Given) -> tuple[str, ...]:
        """What is to be looked at again before it is stored; a phrase each."""
        run, _ = run_of_answers(self.answers(given), self.run, self.record.trial)
        return () if run is None else look_again(run, self.record.trial, self._others)

    def _question(self, ask: Ask) -> Question:
        return Question(
            ask.key,
            ask.prompt,
            help=ask.explains,
            kind=ask.kind,
            default=ask.default,
            needed=lambda given: not self.correcting and self._by_itself(ask, given),
            may_be_blank=True,
            is_short=True,
            shares_line=not self.correcting and ask.key != "note",
            takes_rest=ask.key == "note",
            takes_out=self.correcting,
        )

    def _by_itself(self, ask: Ask, given: Given) -> bool:
        """Whether no other question stands for this one."""
        return all(one.is_left_to_each(given) for one in self.together if ask in one.asks)

    def _store(self) -> Question:
        names = ", ".join(ask.name for ask in self.asks)
        if not self.correcting:
            return Question(
                STORE,
                "Store it so? yes, no, or the name of what is wrong",
                help="Type the name of an answer to change it, alone or with its value, as: minutes 9.5.",
                kind=Mending(self._names, lambda typed: f"{typed} is none of the answers: {names}."),
                default="yes",
                is_short=True,
                is_kept=False,
            )
        by_name = f"Type one of these names, alone or with its value: {names}."
        what_else = "Store this correction? yes, no, or the name of what else is wrong"
        return Question(
            STORE,
            lambda given: what_else if given else "What is wrong? Type its name; Enter if nothing is",
            help=by_name,
            kind=Mending(self._names, lambda _: by_name),
            default=lambda given: "yes" if given else "",
            may_be_blank=True,
            is_short=True,
            is_kept=False,
        )

    @property
    def _names(self) -> tuple[tuple[str, str], ...]:
        return tuple((ask.name, ask.key) for ask in self.asks)

    def _summary(self, given: Given) -> tuple[Block, ...]:
        return words_of_run(self.run, self.record.trial, self.asks, self.answers(given), self._others)

    @property
    def _others(self) -> list[Run]:
        return [one for one in self.record.runs if one.key != self.run.key]

    def _in_doubt(self, given: Given) -> list[Doubt]:
        """What is asked about these answers, and was not of the run as it is stored."""
        trial = self.record.trial
        run, _ = run_of_answers(self.answers(given), self.run, trial, correcting=self.correcting)
        was = doubts_of(trial, self.run, self._others, at_the_table=True)
        now = () if run is None else doubts_of(trial, run, self._others, at_the_table=True)
        return [doubt for doubt in now if doubt not in was]

    def _doubts(self, question: Question, _: str, given: Given) -> list[str]:
        """What is asked about; by its name, where the question did not ask for it alone."""
        if question.key in (STORE, THROW_AWAY):
            return []
        names = {name: ask.name for ask in self.asks if ask.key != question.key for name in ask.fields}
        doubts = self._in_doubt(given)
        return [f"{names[one.field]}: {one.asks}" if one.field in names else one.asks for one in doubts]

    def _taken_so(self, given: dict[str, str]) -> dict[str, str]:
        stand = columns_named(given.get(AS_TYPED, "")) | {doubt.field for doubt in self._in_doubt(given)}
        return {**given, AS_TYPED: ", ".join(sorted(stand))}

    def _as_stored(self) -> tuple[Block, ...]:
        stored = {ask.key: ask.default for ask in self.asks}
        return (Sentence(f"{self.run.tag} is stored as: {answers_in_line(self.run, self.run, self.asks, stored)}."),)

    def _corrections(self, given: Given) -> tuple[Block, ...]:
        asks = {ask.key: ask for ask in self.asks}
        return tuple(
            Sentence(f"{asks[key].name}: {asks[key].default or 'blank'} becomes {'blank' if text == BLANK else text}")
            for key, text in given.items()
            if key in asks
        )

    def _as_corrected(self, given: Given) -> dict[str, str]:
        return {ask.key: ask.default for ask in self.asks} | dict(given)

    def _after(self, key: str, given: dict[str, str]) -> dict[str, str]:
        """No correction where the old value was typed again; and answers that are not thrown away are to be stored."""
        if key == THROW_AWAY and given[key] == "no":
            return {one: text for one, text in given.items() if one not in (STORE, THROW_AWAY)}
        if given.get(AS_TYPED):  # what stood was another value
            itself = tuple(ask for ask in self.asks if ask.key == key)
            asks = next((one.asks for one in self.together if one.key == key), itself)
            told = {name for ask in asks for name in ask.fields}
            given = {**given, AS_TYPED: ", ".join(sorted(columns_named(given[AS_TYPED]) - told))}
        if self.correcting and key != STORE:
            stored = next(ask.default for ask in self.asks if ask.key == key)
            if given[key] in (stored, "") or (given[key] == BLANK and not stored):
                return {one: text for one, text in given.items() if one != key}
        return given

    def _check(self, question: Question, answer: str, given: Given) -> list[str]:
        if question.key in (STORE, THROW_AWAY):
            return []
        together = next((one for one in self.together if one.key == question.key), None)
        if together is None:
            return self._wrong(question.key, answer, given)
        changed, strange = together.told_apart(answer)
        if strange:
            return [strange]
        names, before = {ask.key: ask.name for ask in together.asks}, {**given, together.key: together.default}
        wrong = {names[key]: self._wrong(key, text, before) for key, text in changed.items()}
        return [f"{name}: {says}" for name, several in wrong.items() for says in several]

    def _wrong(self, key: str, answer: str, given: Given) -> list[str]:
        """What is wrong with an answer to one of the asks, by itself and with those before it."""
        if key == "turn" and not self.correcting and answer.isdigit():
            other = turn_taken(self.record.runs, self.run.key, int(answer))
            if other is not None and is_made(other):
                return [turn_taken_words(self.record, other)]
        answers = self.answers({**given, key: answer})
        _, problems = run_of_answers(answers, self.run, self.record.trial, correcting=self.correcting)
        return list(dict.fromkeys(problem.says for problem in problems))


def talk_of_run(
    record: Record, run: Run, *, correcting: bool, now: datetime, classes: Sequence[str] | None = None
) -> RunTalk:
    """Lay out what is to be asked of a run: all of it, or what the panner left blank where it was made already.

    classes: the size classes to ask for; None for those of the runs and of the plan.
    """
    trial = record.trial
    units = {field: unit_of(trial, held) for field, held in HELD_AS.items()}
    earlier = sorted((one for one in record.runs if is_made(one) and not one.is_void), key=lambda one: one.turn or 0)
    defaults, carried = planned_values(trial, run, earlier, units, now)
    if is_made(run):
        defaults, carried = (stored_values(run, units) if correcting else {}), []
    asks = asks_of_run(trial, record.runs, units, defaults, carried, classes)
    noted = {what for what, text in flat_run(run).items() if text is not None} if is_made(run) else set()
    if not takes_starter(trial) and not any(one.conditioned is not None for one in record.runs):
        asks = [ask for ask in asks if ask.fields != ("conditioned",)]
    if is_made(run) and not correcting:  # the feeder's part was typed before: what is blank of it was not measured
        asks = [ask for ask in asks if not (noted | BY_THE_FEEDER) & set(ask.fields)]
    return RunTalk(record, run, tuple(asks), correcting)


def tag_talk(next_tag: str, lacking: Sequence[str], find: Callable[[str], Sequence[Problem]]) -> Talk:
    """The talk before a run: which one it is. `find` tells what stands against entering the run of a tag."""
    which = Question(
        TAG,
        "Tag",
        help="The three letters on bucket and jar. Enter takes the run that comes next.",
        default=next_tag,
        is_short=True,
        is_kept=False,
    )
    told = tuple(Sentence(text) for text in (*lacking, ""))

    def check(_: Question, answer: str, __: Mapping[str, str]) -> list[str]:
        return [str(problem) for problem in find(answer)]

    return Talk((which,), check, opening=told)
