"""How long a text is when drawn, and how it is broken into lines that fit."""

from collections.abc import Iterable
from functools import lru_cache

WIDE = frozenset("mwMW%@—…")
NARROW = frozenset("ijlftrI.,;:'|!()[]/- \"`")
STAY = ("point", "pair")
TEXT_STEP = 4.0
ROOM = 0.9  # a reader's own font may run wider than the one the picture was measured with


def text_px(text: str, size: float = 12, *, bold: bool = False) -> float:
    """About how many pixels wide is a line of text?

    Right to about a tenth, from rounded letter widths of the usual sans-serif faces. Bold type runs about 7 % wider.

    >>> round(text_px("pair 3")), round(text_px("WWW")), round(text_px(""))
    (31, 32, 0)
    """
    return _ems(text) * size * (1.07 if bold else 1.0)


@lru_cache(4096)
def _ems(text: str) -> float:
    """How wide a text is, in sizes of its type; the same lines are measured many times until a text is broken well."""
    return sum(map(_em, text))


@lru_cache(1024)
def _em(letter: str) -> float:
    if letter in NARROW:
        return 0.3
    if letter in WIDE:
        return 0.89
    if ord(letter) >= 0x2E80:  # from here on letters fill a square
        return 1.0
    return 0.69 if letter.isupper() else 0.56


def wrap(text: str, pixels: float, size: float = 12, *, bold: bool = False) -> list[str]:
    """Break a text into lines that fit a width in pixels; at least one, which may be empty.

    Runs of white space count as one space. Nothing is lost: a word too long for a line is cut in two.

    >>> wrap("Better beyond luck: 39 % more grains than smooth", 150)
    ['Better beyond luck:', '39 % more grains than', 'smooth']
    >>> wrap("abcdefghij", 30)
    ['abcd', 'efgh', 'ij']
    """
    room = pixels * ROOM
    lines: list[str] = []
    line = ""
    for word in _words(text):
        for piece in _pieces(word, room, size, bold=bold):
            longer = f"{line} {piece}" if line else piece
            if line and text_px(longer, size, bold=bold) > room:
                lines.append(line)
                line = piece
            else:
                line = longer
    return [*lines, line]


def wrap_all(texts: Iterable[str], pixels: float) -> list[str]:
    """Break several texts into lines that fit, each beginning a line of its own."""
    return [line for text in texts for line in wrap(text, pixels)]


def wrap_evenly(text: str, pixels: float, size: float = 12, *, bold: bool = False) -> list[str]:
    """Break a text into as few lines as `wrap` does, of about equal length.

    >>> wrap_evenly("planned: 8 pairs find 2.9 points", 180)
    ['planned: 8 pairs', 'find 2.9 points']
    """
    lines = wrap(text, pixels, size, bold=bold)
    room = pixels
    while room > TEXT_STEP and len(wrap(text, room - TEXT_STEP, size, bold=bold)) == len(lines):
        room -= TEXT_STEP
    return wrap(text, room, size, bold=bold)


def _words(text: str) -> list[str]:
    """The words of a text; a % sign, points and pairs stay with their number."""
    words: list[str] = []
    for word in text.split():
        if words and (word.startswith("%") or (words[-1][-1].isdigit() and word.startswith(STAY))):
            words[-1] += f" {word}"
        else:
            words.append(word)
    return words


def _pieces(word: str, room: float, size: float, *, bold: bool) -> list[str]:
    """A word in pieces that each fit a line; most words are one piece."""
    if text_px(word, size, bold=bold) <= room:
        return [word]
    pieces = [""]
    for letter in word:
        if pieces[-1] and text_px(pieces[-1] + letter, size, bold=bold) > room:
            pieces.append("")
        pieces[-1] += letter
    return pieces


def shorten(text: str, pixels: float, size: float = 12) -> str:
    """Cut a text to one line that fits, with three dots where something was left out.

    >>> shorten("spill at the tub, half the charge lost", 120), shorten("spill", 120)
    ('spill at the tub, ...', 'spill')
    """
    line = " ".join(text.split())
    room = pixels * ROOM
    if text_px(line, size) <= room:
        return line
    while line and text_px(f"{line}...", size) > room:
        line = line[:-1]
    return f"{line}..."
