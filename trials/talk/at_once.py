"""Several questions of a talk answered at once, as a form holds them: every problem of it, each at its question."""

from collections.abc import Mapping
from dataclasses import dataclass

from trials.talk.engine import BLANK, NEEDED, Prompt, Reply, Sitting, answer, opened, passed_over
from trials.talk.question import Given


@dataclass(frozen=True, slots=True)
class Filled:
    """What a form comes to.

    sitting: the sitting after it, what was refused left open.
    wrong, asked: what is wrong with an answer, and what is asked about one, by the key of its question.
    """

    sitting: Sitting
    wrong: Mapping[str, tuple[str, ...]]
    asked: Mapping[str, tuple[str, ...]]

    @property
    def is_taken(self) -> bool:
        """Whether all of it could be taken, and nothing is asked about it."""
        return not self.wrong and not self.asked


def answered(sitting: Sitting, texts: Given, stands: Given) -> Filled:
    """Answer the questions that stand, one after another, as far as there are texts for them; blank leaves one open.

    `stands` has the answers that stand as typed though they were asked about, by key; another than that is asked about.

    >>> from trials.talk.engine import Talk, begin
    >>> from trials.talk.question import Question
    >>> talk = Talk((Question("name", "Name?"), Question("note", "Note?", may_be_blank=True)), check=lambda *_: ())
    >>> done = answered(begin(talk, {}), {"name": "", "note": "back"}, {})
    >>> dict(done.wrong), dict(done.sitting.answers)
    ({'name': ('An answer is needed here.',)}, {'name': '', 'note': 'back'})
    """
    wrong: dict[str, tuple[str, ...]] = {}
    asked: dict[str, tuple[str, ...]] = {}
    while (prompt := sitting.prompt()) is not None and prompt.question.key in texts:
        key = prompt.question.key
        became = _settled(_of_field(sitting, prompt, texts[key].strip()), key, stands, asked)
        if became.what == "refused":
            wrong[key] = became.says
        sitting = passed_over(sitting) if became.what == "refused" else became.sitting
    return Filled(sitting, wrong, asked)


def mended(sitting: Sitting, texts: Given, stands: Given) -> Filled:
    """Answer questions anew, each by its key, whatever question stands; blank takes out what was stored."""
    wrong: dict[str, tuple[str, ...]] = {}
    asked: dict[str, tuple[str, ...]] = {}
    for key, text in texts.items():
        became = _settled(answer(opened(sitting, key, sitting), text.strip() or BLANK), key, stands, asked)
        if became.what == "refused":
            wrong[key] = became.says
        else:
            sitting = became.sitting
    return Filled(sitting, wrong, asked)


def _of_field(sitting: Sitting, prompt: Prompt, text: str) -> Reply:
    """The reply to a field: a blank one is never the default, which stood in it before."""
    if text or prompt.question.may_be_blank:
        return answer(sitting, text or BLANK)
    return Reply(sitting, "refused", (f"{NEEDED}.",))


def _settled(became: Reply, key: str, stands: Given, asked: dict[str, tuple[str, ...]]) -> Reply:
    """The reply once an answer in doubt is taken as it stands; noted where nobody said that it does."""
    if became.what != "asked":
        return became
    if stands.get(key) != became.sitting.in_doubt:
        asked[key] = became.says
    return answer(became.sitting, became.sitting.in_doubt)
