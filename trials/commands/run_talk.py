"""The conversation about one run: its answers one line each, what they come to, and what is to be changed of it."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime

from schemas import Record, Run, is_made
from trials.changes.enter import turn_taken, turn_taken_words
from trials.commands.asking import BACK, BLANK, EXPLAIN, Answers, Question, choice_of, converse, read_line
from trials.commands.drafts import Draft
from trials.commands.printing import HARD_SPACE, say
from trials.commands.run_summary import say_summary, told
from trials.papers.gear_parts import takes_starter
from trials.papers.readings import unit_of
from trials.records.flat import flat_run
from trials.sheets.form import FEEDER_FIELDS, SETTINGS
from trials.talk.asks import Ask, asks_of_run
from trials.talk.one_run import run_of_answers
from trials.talk.run_defaults import HELD_AS, planned_values, stored_values
from trials.wording.lists import and_list, count_of

AS_PLANNED = "as planned"
YES, NO = ("yes", "y"), ("no", "n")
ANSWERING = (
    "Enter takes what stands in [brackets], or leaves it open. ? explains, back goes back, and several answers go on "
    "one line with ; between. Ctrl-C stops: what was answered is kept."
)


@dataclass(frozen=True, slots=True)
class Talk:
    """One run that is typed, completed or corrected.

    Attributes
    ----------
    record, run
        The trial, and the run as it is stored.
    asks
        All that may be asked of it.
    correcting
        Whether what is stored may become another.
    draft
        Where answers are kept until the run is stored.
    """

    record: Record
    run: Run
    asks: tuple[Ask, ...]
    correcting: bool
    draft: Draft

    @property
    def carried(self) -> list[Ask]:
        """Those that one question stands for."""
        return [ask for ask in self.asks if ask.carried]

    @property
    def others(self) -> list[Run]:
        """The other runs that were made."""
        return [one for one in self.record.runs if is_made(one) and not one.is_void and one.key != self.run.key]

    def answers(self, given: Mapping[str, str]) -> Answers:
        """Every answer by its column: those carried, with what was said of them, and those given; the last holds."""
        answers: Answers = {}
        for key, text in given.items():
            if key != AS_PLANNED:
                answers[key] = text
            elif text not in NO:
                changed, _ = self._changed(text)
                answers |= {ask.key: ask.default for ask in self.carried} | changed
        return answers

    def problems(self, question: Question, answer: str, given: Mapping[str, str]) -> list[str]:
        """What is wrong with an answer, by itself and with those before it."""
        if question.key == AS_PLANNED:
            changed, strange = self._changed(answer)
            if strange:
                return [strange]
            return [
                text for key, value in changed.items() for text in self.wrong({**given, AS_PLANNED: "yes"}, key, value)
            ]
        return self.wrong(given, question.key, answer)

    def wrong(self, given: Mapping[str, str], key: str, answer: str) -> list[str]:
        """What is wrong with an answer to one of the asks."""
        if key == "turn" and not self.correcting and answer.isdigit():
            other = turn_taken(self.record.runs, self.run.key, int(answer))
            if other is not None and is_made(other):
                return [turn_taken_words(self.record, other)]
        answers = self.answers({**given, key: answer})
        _, problems = run_of_answers(answers, self.run, self.record.trial, correcting=self.correcting)
        return list(dict.fromkeys(problem.says for problem in problems))

    def _changed(self, told: str) -> tuple[Answers, str | None]:
        """What was typed in place of "as planned": name and value, split by commas; or what is wrong with it."""
        if told in (*YES, *NO):
            return {}, None
        changed: Answers = {}
        for part in told.split(","):
            ask, text = self.named(part)
            if ask is None or not ask.carried or not text:
                names = and_list([one.name for one in self.carried])
                return {}, f"{part.strip()}: type yes, no, or a name and its value, as turn 3; there are {names}."
            changed[ask.key] = text
        return changed, None

    def named(self, text: str) -> tuple[Ask | None, str]:
        """The answer that a text begins with the name of, and what follows the name."""
        low = " ".join(text.split()).casefold()
        by_name = [(name, ask) for ask in self.asks for name in {ask.name.casefold(), ask.key.casefold()}]
        for name, ask in sorted(by_name, key=lambda item: -len(item[0])):
            if low == name or low.startswith((f"{name} ", f"{name}=", f"{name}:")):
                return ask, " ".join(text.split())[len(name) :].strip(" =:")
        begun = [ask for ask in self.asks if low and ask.name.casefold().startswith(low)]
        return (begun[0], "") if len(begun) == 1 else (None, "")

    def taken(self, ask: Ask, text: str, given: Mapping[str, str]) -> str | None:
        """An answer typed beside its name, as it is taken; None with what is wrong said."""
        answer = text if text == BLANK or not ask.choices else choice_of(text, ask.choices) or text
        problems = [] if answer == BLANK and not self.correcting else self.wrong(given, ask.key, answer)
        for problem in problems:
            say(problem, indent=2)
        return None if problems else answer


BY_THE_FEEDER = frozenset({"turn", *FEEDER_FIELDS, *SETTINGS})


def talk_of_run(record: Record, run: Run, draft: Draft, *, correcting: bool, now: datetime) -> Talk:
    """Lay out what is to be asked of a run: all of it, or what the panner left blank where it was made already."""
    trial = record.trial
    units = {field: unit_of(trial, held) for field, held in HELD_AS.items()}
    earlier = sorted((one for one in record.runs if is_made(one) and not one.is_void), key=lambda one: one.turn or 0)
    defaults, carried = planned_values(trial, run, earlier, units, now)
    if is_made(run):
        defaults, carried = (stored_values(run, units) if correcting else {}), []
    asks = asks_of_run(trial, record.runs, units, defaults, carried)
    noted = {what for what, text in flat_run(run).items() if text is not None} if is_made(run) else set()
    if not takes_starter(trial) and not any(one.conditioned is not None for one in record.runs):
        asks = [ask for ask in asks if ask.fields != ("conditioned",)]
    if is_made(run) and not correcting:  # the feeder's part was typed before: what is blank of it was not measured
        asks = [ask for ask in asks if not (noted | BY_THE_FEEDER) & set(ask.fields)]
    return Talk(record, run, tuple(asks), correcting, draft)


def talk_over(talk: Talk, *, is_new: bool = True) -> Answers | None:
    """Ask until the answers are to be stored; None where they are not.

    Parameters
    ----------
    talk
        What is to be asked.
    is_new
        Whether answers that are kept were given in an earlier sitting.

    Raises
    ------
    Stopped
        The person left; what was answered is in the draft.
    """
    given = talk.draft.read()
    if given and is_new:
        say(f"{talk.run.tag} was begun: {count_of(len(given), 'answer')} kept.")
    while True:
        given = converse(_questions(talk), given, talk.problems, talk.draft.write, earlier=tuple(given))
        is_over, given = _last_word(talk, given)
        if is_over:
            return talk.answers(given) if given else None
        talk.draft.write(given)


def _questions(talk: Talk) -> list[Question]:
    carried = talk.carried
    planned = told(talk.run, None, carried, {ask.key: ask.default for ask in carried}).replace(HARD_SPACE, " ")
    together = Question(
        AS_PLANNED,
        lambda _: f"As planned: {planned}",
        "",
        "yes takes all of these, no asks for each. Or type what differs by its name, as: turn 3.",
        default=lambda _: "yes",
        on_one_line=True,
        takes_one=False,
    )
    return [*([together] if carried else []), *(_question(ask) for ask in talk.asks)]


def _question(ask: Ask) -> Question:
    return Question(
        ask.key,
        lambda _: ask.prompt,
        "",
        ask.explains,
        choices=ask.choices,
        default=lambda _: ask.default,
        applies=lambda given: not ask.carried or given.get(AS_PLANNED, "no") in NO,
        may_be_blank=True,
        on_one_line=True,
        takes_one=ask.key == "note",
    )


def _last_word(talk: Talk, given: Answers) -> tuple[bool, Answers]:
    """Show what the answers come to, and take the word on them: whether it is the last, and the answers after it."""
    say_summary(talk.run, talk.record.trial, talk.asks, talk.answers(given), talk.others)
    while True:
        typed = read_line("Store it so? yes, no, or the name of what is wrong [yes]> ")
        low = typed.casefold()
        if not typed or low in YES:
            return True, given
        if low in NO:
            if read_line("Throw these answers away? yes or no [no]> ").casefold() in YES:
                talk.draft.remove()
                return True, {}
            continue
        if typed == EXPLAIN:
            say("Type the name of an answer to change it, alone or with its value, as: minutes 9.5.", indent=2)
            continue
        ask, text = talk.named(typed)
        if low == BACK and given:
            ask = next((one for one in talk.asks if one.key == list(given)[-1]), None)
        if ask is None:
            say(f"{typed} is none of the answers: {', '.join(one.name for one in talk.asks)}.", indent=2)
        elif not text or low == BACK:
            return False, _asked_again(talk, given, ask)
        elif (answer := talk.taken(ask, text, given)) is not None:
            return False, {**given, ask.key: "" if answer == BLANK else answer}


def _asked_again(talk: Talk, given: Answers, ask: Ask) -> Answers:
    """The answers with one of them asked anew, its old answer offered."""
    was = talk.answers(given).get(ask.key, "")
    question = replace(_question(ask), default=lambda _: was, applies=lambda _: True)
    rest = {key: text for key, text in given.items() if key != ask.key}
    return converse([question], rest, talk.problems, lambda _: None)
