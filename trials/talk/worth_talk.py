"""The talk about what a change is worth: a year's gold, what it fetches, what an hour and the change cost."""

from collections.abc import Callable

from trials.files.worth_given import flag, missing_for, read_worth
from trials.talk.engine import Talk
from trials.talk.question import Amount, Given, Question, Text
from trials.talk.shown import Sentence
from trials.units.quantity import Kind

ANSWERING = "Enter takes what stands in [brackets]; ? explains, back goes back, Ctrl-C stops."


def worth_talk(measure: str, *, today: str, has_minutes: bool) -> Talk:
    """Ask for what is missing to price a gain of this measure.

    today: the day offered for the price. has_minutes: the trial recorded its minutes, which are then not asked for.
    """
    return Talk(_questions(measure, today, has_minutes=has_minutes), check=_wrong_with, opening=(Sentence(ANSWERING),))


def _wrong_with(question: Question, answer: str, given: Given) -> list[str]:
    problems = read_worth({**given, question.key: answer})[2]
    return [problem.says for problem in problems if problem.place == flag(question.key)]


def _questions(measure: str, today: str, *, has_minutes: bool) -> tuple[Question, ...]:
    is_lost, is_recovery = measure == "tails_gold", measure == "recovery"

    def by_dirt(given: Given) -> bool:
        return is_recovery and not given.get("cleanups")

    def wants(key: str) -> Callable[[Given], bool]:
        return lambda given: key in missing_for(measure, given)

    return (
        Question(
            "cleanups",
            "How many clean-ups a year?",
            "Left open: the dirt of a year and its gold are asked for." if is_recovery else "What the year is made of.",
            "A number, as 500; or a day x days a week x weeks, as 2x5x50.",
            needed=lambda given: is_lost or wants("cleanups")(given),
            may_be_blank=is_recovery or is_lost,
        ),
        Question(
            "gold",
            "How much gold does a clean-up give now, with the gear unchanged?",
            "A gain is a share of it.",
            "With its unit: 0.8 g. Over a whole season, not on a good day. Of stored tails: what a second pass gives.",
            kind=Amount(Kind.GOLD_MASS),
            needed=lambda given: bool(given.get("cleanups")) and wants("gold")(given),
        ),
        Question(
            "feed",
            "How much dirt is fed a year?",
            "With the gold in it, that is the gold there is to catch.",
            "With its unit: 90 t.",
            kind=Amount(Kind.FEED_MASS),
            needed=by_dirt,
        ),
        Question(
            "grade",
            "How much gold is in that dirt?",
            "Nobody knows this well; the answer is only as good.",
            "With its unit: 0.4 mg/kg, or 0.4 g/t.",
            kind=Amount(Kind.GRADE),
            needed=by_dirt,
        ),
        Question(
            "tails_gold",
            "How much gold goes out with the tails in a year, with the gear unchanged?",
            "This trial tells what share of it is saved; it is not guessed.",
            "With its unit: 12 g.",
            kind=Amount(Kind.GOLD_MASS),
            needed=wants("tails_gold"),
        ),
        Question(
            "charge",
            "How much dirt is fed from one clean-up to the next?",
            "The minutes and the black sand of the trial are scaled by it.",
            "With its unit: 40 kg. Left open: a run of the trial is taken as a clean-up.",
            kind=Amount(Kind.FEED_MASS),
            needed=lambda given: bool(given.get("cleanups")),
            may_be_blank=True,
        ),
        Question(
            "price",
            "What does a troy ounce of pure gold cost?",
            "It is never fetched. Type the price you can sell at today, not the one you hope for.",
            "A number, with the code of its currency: 2400 EUR.",
            needed=wants("price"),
        ),
        Question("price_date", "On which day?", "It is printed with the answer.", "As 2026-05-02.", default=today),
        Question(
            "fineness",
            "How fine is your gold?",
            "Gold as found holds silver, which is not paid as gold.",
            "Parts of a thousand, as the buyer told them: 850. Pure gold is 1000.",
        ),
        Question("payout", "What share of it does the buyer pay?", "Buyers keep some.", "In %: 85 %."),
        Question(
            "wage",
            "What is an hour of your time worth?",
            "Minutes that the change takes or saves are priced with it.",
            "Money, as 12; 0 where it is your pleasure.",
        ),
        Question(
            "sand",
            "What does a kg more of black sand cost you?",
            "To carry, dry and pan it.",
            "Money, as 0.5; or minutes, as 10 min. Left open where the minutes of cleaning up hold it.",
            may_be_blank=True,
        ),
        Question(
            "minutes",
            "How many more minutes a year does the change take?",
            "The trial did not record them.",
            "As 48 min, or -200 min where it saves them.",
            needed=lambda _: not has_minutes,
            may_be_blank=True,
            is_kept=False,
        ),
        Question("once", "What did the change cost, once?", "", "Money, as 90. Left open: nothing.", may_be_blank=True),
        Question(
            "running",
            "What does it cost a year beside that?",
            "Mats that wear, fuel.",
            "Money, as 20. Left open: nothing.",
            kind=Text(),
            may_be_blank=True,
        ),
    )
