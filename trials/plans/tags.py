"""Tags of three letters: the last checks the first two, so that a wrong letter or a swap is caught."""

import numpy as np

from trials.statistics.balanced_draw import Stream, ranking, seeded_words

TAG_LETTERS = "CDFHJKLNPRTVX"
"""Letters that stay apart in pencil and rain: no vowel, so that they spell nothing, and no B, G, M, Q, S, W, Y, Z."""
BASE = len(TAG_LETTERS)
MOST_TAGS = BASE * BASE
WEIGHT = 8  # as 8 and 8 - 1 are no multiples of 13, one wrong letter and a swap both change the check


def check_letter(first: str, second: str) -> str:
    """Give the letter that must follow the first two: (first + 8 x second) mod 13, letters counted from C = 0.

    >>> check_letter("H", "T")
    'K'
    """
    return TAG_LETTERS[(TAG_LETTERS.index(first) + WEIGHT * TAG_LETTERS.index(second)) % BASE]


def draw_tags(count: int, seed: int) -> tuple[str, ...]:
    """Draw the tags of a trial, 0 to 169: all different, and none tells anything of its run's arm, pair or order.

    >>> tags = draw_tags(4, seed=41)
    >>> len(set(tags)), {tag_problem(tag) for tag in tags}
    (4, {None})
    """
    if not 0 <= count <= MOST_TAGS:
        raise ValueError(f"{count} tags can't be drawn; there are {MOST_TAGS} of three letters")
    places = ranking(seeded_words(seed, Stream.TAGS, MOST_TAGS))[:count]
    firsts, seconds = np.divmod(places, BASE)
    begun = ((TAG_LETTERS[int(one)], TAG_LETTERS[int(two)]) for one, two in zip(firsts, seconds, strict=True))
    return tuple(one + two + check_letter(one, two) for one, two in begun)


def tag_problem(text: str) -> str | None:
    """What is wrong with a tag as read off a jar, capital or small, and what might it be? None where nothing is.

    A single wrong letter and a swap of two that stand together are always seen; so is one of the first and the last.

    >>> tag_problem("HTK"), tag_problem("HTJ")
    (None, 'Tag HTJ: last letter does not fit. HTK?')
    >>> tag_problem("HT0")
    'Tag HT0: 0 is not a letter of our tags (CDFHJKLNPRTVX). Look again.'
    """
    fault = tag_fault(text)
    return None if fault is None else f"Tag {text.strip().upper() or 'blank'}: {fault}"


def tag_fault(text: str) -> str | None:
    """What is wrong with a tag, without the tag itself; None where nothing is."""
    tag = text.strip().upper()
    if len(tag) != 3:
        return "a tag has three letters. Look again."
    strange = next((letter for letter in tag if letter not in TAG_LETTERS), None)
    if strange is not None:
        return f"{strange} is not a letter of our tags ({TAG_LETTERS}). Look again."
    meant = f"{tag[:2]}{check_letter(tag[0], tag[1])}"
    return None if tag == meant else f"last letter does not fit. {meant}?"


def is_drawn_tag(text: str | None) -> bool:
    """Whether a tag is one of ours, so that its last letter can be trusted to check it.

    >>> is_drawn_tag("HTK"), is_drawn_tag("bucket-3"), is_drawn_tag(None)
    (True, False, False)
    """
    return text is not None and tag_problem(text) is None


def nearest_tags(text: str, known: tuple[str, ...]) -> tuple[str, ...]:
    """Which tags of a trial differ from a mistyped one by one letter or one swap?

    >>> nearest_tags("HTJ", ("HTK", "CDF", "THJ"))
    ('HTK', 'THJ')
    """
    tag = text.strip().upper()
    return tuple(one for one in known if _is_one_slip_apart(tag, one))


def _is_one_slip_apart(tag: str, other: str) -> bool:
    if len(tag) != len(other):
        return False
    wrong = [at for at in range(len(tag)) if tag[at] != other[at]]
    if len(wrong) == 2:
        return tag[wrong[0]] == other[wrong[1]] and tag[wrong[1]] == other[wrong[0]]
    return len(wrong) <= 1
