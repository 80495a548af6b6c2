"""The conversation about a run that is stored: what is wrong of it, by name, and what it becomes."""

from trials.commands.asking import BACK, BLANK, EXPLAIN, Answers, read_line
from trials.commands.printing import say
from trials.commands.run_summary import told
from trials.commands.run_talk import NO, YES, Talk
from trials.talk.asks import Ask

WHAT_IS_WRONG = "What is wrong? Type its name; Enter if nothing is> "
CORRECT = "Store this correction? yes, no, or the name of what else is wrong [yes]> "


def corrections_over(talk: Talk) -> Answers | None:
    """Ask what is wrong of a run that is stored, by name; None where nothing is to be changed.

    Raises
    ------
    Stopped
        The person left; what was changed is in the draft.
    """
    given = talk.draft.read()
    stored = {one.key: one.default for one in talk.asks}
    names = ", ".join(one.name for one in talk.asks)
    say(f"{talk.run.tag} is stored as: {told(talk.run, talk.run, talk.asks, stored)}.")
    while True:
        for key, text in given.items():
            name = next(one.name for one in talk.asks if one.key == key)
            say(f"{name}: {stored[key] or 'blank'} becomes {'blank' if text == BLANK else text}")
        typed = read_line(CORRECT if given else WHAT_IS_WRONG)
        low = typed.casefold()
        if not typed or low in (*YES, *NO):
            if given and low not in NO:
                return given
            talk.draft.remove()
            return None
        ask, text = talk.named(typed)
        if ask is None:
            say(f"Type one of these names, alone or with its value: {names}.", indent=2)
            continue
        answer = talk.taken(ask, text, given) if text else _corrected(talk, ask, given)
        if text and answer is None:
            continue
        given = {key: value for key, value in given.items() if key != ask.key}
        if answer is not None and answer != (ask.default or BLANK):
            given[ask.key] = answer
        talk.draft.write(given)


def _corrected(talk: Talk, ask: Ask, given: Answers) -> str | None:
    """One value typed anew; None where it is to stay."""
    was = given.get(ask.key, ask.default)
    while True:
        typed = read_line(f"{ask.prompt} [{was}] (- takes it out)> " if was else f"{ask.prompt}> ")
        if typed == EXPLAIN:
            say(ask.explains, indent=2)
        elif not typed or typed.lower() == BACK:
            return given.get(ask.key)
        elif (answer := talk.taken(ask, typed, given)) is not None:
            return answer
