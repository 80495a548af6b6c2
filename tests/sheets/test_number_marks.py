"""Numbers with signs inside: read as they were meant, or asked back; never as another number."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trials.files.cell_rules import CellError
from trials.files.number_marks import Marks, marks_of, plain_number

NUMBERS = st.decimals(0, 9_999_999, places=None, allow_nan=False, allow_infinity=False).map(
    lambda number: Decimal(f"{number:.3f}")
)
# How a country writes its numbers: the sign between thousands, and the one before decimals.
STYLES = {
    "plain": ("", "."),
    "comma decimals": ("", ","),
    "points and comma": (".", ","),
    "commas and point": (",", "."),
    "apostrophes": ("'", "."),
    "hard spaces": ("\u00a0", ","),
}


def written(number: Decimal, style: str) -> str:
    """The number as the country writes it, zeros at the end of its decimals left out."""
    group, mark = STYLES[style]
    whole, _, decimals = f"{number:,.3f}".partition(".")
    decimals = decimals.rstrip("0")
    return whole.replace(",", group) + (f"{mark}{decimals}" if decimals else "")


@pytest.mark.parametrize("style", STYLES)
@given(numbers=st.lists(NUMBERS, min_size=1, max_size=8))
def test_no_number_is_read_as_another(style: str, numbers: list[Decimal]) -> None:
    """Whatever the country and whatever else stands on the sheet: the number that was written, or a question."""
    texts = [written(number, style) for number in numbers]
    marks = marks_of(texts, splits_at_commas=False)
    for number, text in zip(numbers, texts, strict=True):
        try:
            found = Decimal(plain_number(text, marks))
        except CellError:
            continue
        assert found == number, (text, texts)


@given(number=NUMBERS)
def test_a_file_split_at_commas_takes_points_and_asks_about_commas(number: Decimal) -> None:
    """There a point marks decimals, and one comma is always in doubt."""
    assert Decimal(plain_number(written(number, "plain"), Marks(splits_at_commas=True))) == number
    text = written(number, "comma decimals")
    if "," in text:
        with pytest.raises(CellError, match=r"comma|could be"):
            plain_number(text, Marks(splits_at_commas=True))


def test_most_numbers_are_taken() -> None:
    """A question is for what is in doubt, not for all: 0,5 tells what the comma of 1,234 is."""
    marks = marks_of(["0,5", "1,234"], splits_at_commas=False)
    assert [plain_number(text, marks) for text in ("0,5", "1,234", "12,25", "1.234,5", "7")] == [
        *("0.5", "1.234", "12.25", "1234.5", "7"),
    ]
    marks = marks_of(["0.5", "1.234"], splits_at_commas=False)
    assert [plain_number(text, marks) for text in ("0.5", "1.234", "1,234.5")] == ["0.5", "1.234", "1234.5"]
