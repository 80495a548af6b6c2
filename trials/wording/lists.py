"""How several things are named in one sentence."""

from collections.abc import Sequence
from functools import lru_cache

MOST_IN_A_LIST = 8


def count_of(number: int, one: str, many: str | None = None) -> str:
    """Say how many of a thing there are.

    >>> count_of(1, "pair"), count_of(6, "pair"), count_of(2, "twin half", "twin halves")
    ('1 pair', '6 pairs', '2 twin halves')
    """
    return f"{number:,} {one if number == 1 else many or one + 's'}"


def and_list(items: Sequence[object]) -> str:
    """Join things as a sentence does.

    >>> and_list(["lot", "gear", "change"]), and_list([2, 5]), and_list(["lot"])
    ('lot, gear and change', '2 and 5', 'lot')
    """
    words = [str(item) for item in items]
    if len(words) > MOST_IN_A_LIST:
        words = [*words[: MOST_IN_A_LIST - 1], f"{len(words) - MOST_IN_A_LIST + 1} more"]
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}" if words else ""


def in_pairs(numbers: Sequence[int], what: str = "pair") -> str:
    """Name pairs, or blocks or runs, by their numbers.

    >>> in_pairs([3]), in_pairs([2, 5], "block")
    ('pair 3', 'blocks 2 and 5')
    """
    return f"{what}{'' if len(numbers) == 1 else 's'} {and_list(numbers)}"


def pairs_in_short(numbers: Sequence[int], of: int) -> str:
    """Name one or two pairs by their numbers, and more by how many of all pairs they are.

    >>> pairs_in_short([2, 5], of=6), pairs_in_short([1, 2, 5], of=6), pairs_in_short([1, 2, 3], of=3)
    ('pairs 2 and 5', '3 of 6 pairs', 'all 3 pairs')
    """
    if len(numbers) <= 2:
        return in_pairs(numbers)
    return f"all {of} pairs" if len(numbers) == of else f"{len(numbers)} of {of} pairs"


def capital(text: str) -> str:
    """Begin a sentence with it: its first letter in capitals, the rest as it is.

    >>> capital("the lot was split by shovel"), capital("")
    ('The lot was split by shovel', '')
    """
    return f"{text[:1].upper()}{text[1:]}"


def nearest(word: str, known: Sequence[str]) -> str | None:
    """Find the known word most like the one given, if any is at all like it.

    >>> nearest("tail_gold_mg", ["gold_mg", "tails_gold_mg"]), nearest("xyz", ["gold_mg"])
    ('tails_gold_mg', None)
    """
    return _closest(word.lower(), tuple(known))


@lru_cache(maxsize=4_096)
def _closest(word: str, known: tuple[str, ...]) -> str | None:
    """As `nearest`; a heading that means nothing is tried in several ways, and a sheet repeats it in every row."""
    from difflib import get_close_matches

    close = get_close_matches(word, known, n=1, cutoff=0.6)
    return close[0] if close else None
