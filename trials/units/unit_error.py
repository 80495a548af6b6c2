"""What is said when typed text can't be read as a quantity."""

MOST_QUOTED = 40
NO_NUMBER, NO_UNIT, OTHER_UNIT = "no number", "no unit", "other unit"


class UnitError(ValueError):
    """Typed text that is no quantity, or could be two; `code` tells which fault, where something is done about it."""

    def __init__(self, says: str, code: str = "") -> None:
        super().__init__(says)
        self.code = code


def shortened(text: str) -> str:
    r"""Write typed text so that it fits in one line of an error.

    White space becomes one space, what can't be printed is escaped, and the middle of a long text is left out.

    >>> shortened("  7.5 \n kg "), shortened("a\x00b"), shortened("9" * 50)
    ('7.5 kg', 'a\\x00b', '99999999999999999999999...99999999999999')
    """
    line = " ".join(text.split())
    line = "".join(c if c.isprintable() else c.encode("unicode_escape").decode() for c in line)
    return line if len(line) <= MOST_QUOTED else f"{line[:23]}...{line[-14:]}"


def refusal(text: str, says: str, code: str = "") -> UnitError:
    """Make the error for one typed value."""
    return UnitError(f"{shortened(text) or 'nothing'}: {says}", code)
