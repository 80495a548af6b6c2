"""Promises that hold for any text and any number."""

from decimal import Context, Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.tables import every
from trials.units.columns import column_units, convert_exact
from trials.units.kinds import Kind
from trials.units.quantity import read_exact, read_quantity
from trials.units.sieves import read_size_class
from trials.units.unit_error import UnitError

MANY_DIGITS = Context(prec=400)

KINDS = st.sampled_from(Kind)
NUMBERS = st.decimals(
    min_value=Decimal("-1e30"), max_value=Decimal("1e30"), allow_nan=False, allow_infinity=False
).filter(lambda number: number == 0 or abs(number) > Decimal("1e-60"))
NEAR_MISSES = st.text(alphabet="0123456789.,/-+eE_ '\"°º%½µµ²gkminftoz:lL()usphrCFdw\n\x00", max_size=24)


def _must_be_one_line(error: UnitError) -> None:
    assert len(str(error).splitlines()) == 1
    assert str(error).isprintable()


@given(number=NUMBERS, kind=KINDS)
def test_a_stored_unit_reads_back_exactly(number: Decimal, kind: Kind):
    """Any finite decimal with its stored unit comes back as itself, and as the float nearest to it."""
    text = f"{number:f} {kind.stored.name}"
    assert read_exact(text, kind) == number
    assert read_quantity(text, kind) == float(number)
    assert float(convert_exact(number, kind.stored.ending, kind)) == float(number)


@given(number=NUMBERS)
def test_a_gram_is_a_thousand_milligrams(number: Decimal):
    """Grams become milligrams exactly, digit for digit."""
    assert read_exact(f"{number:f} g", Kind.GOLD_MASS) == number.scaleb(3, MANY_DIGITS)
    assert convert_exact(number, "g", Kind.GOLD_MASS) == number.scaleb(3, MANY_DIGITS)


@given(slope=st.floats(min_value=-1000, max_value=1000, allow_nan=False))
def test_a_slope_keeps_its_sign_and_stays_under_upright(slope: float):
    """A slope is an angle between -90 and 90 deg, turned by its sign alone."""
    text = f"{Decimal(slope):.40f}"
    angle = read_quantity(f"{text} %", Kind.ANGLE)
    assert -90 < angle < 90
    assert read_quantity(f"{Decimal(-slope):.40f} %", Kind.ANGLE) == -angle


@every("texts", [st.text(max_size=60), NEAR_MISSES, NEAR_MISSES.map(lambda text: f"1{text}")])
def test_any_text_is_read_or_refused(texts: st.SearchStrategy[str]):
    """Whatever is typed, the answer is a finite number or a refusal in one line; nothing else escapes."""

    @given(text=texts, kind=KINDS)
    def check(text: str, kind: Kind) -> None:
        try:
            value = read_quantity(text, kind)
        except UnitError as error:
            _must_be_one_line(error)
        else:
            assert abs(value) < float("inf")

    check()


@given(
    text=st.one_of(st.text(max_size=40), st.text(alphabet='0123456789./+-: mumASTMTylerhobbyin"', max_size=20)),
    series=st.one_of(st.none(), st.sampled_from(["ASTM", "Tyler", "hobby"]), st.text(max_size=5)),
)
def test_any_size_is_read_or_refused(text: str, series: str | None):
    """Whatever is typed for a size, the limits are openings above 0 or the refusal is one line."""
    try:
        found = read_size_class(text, series)
    except UnitError as error:
        _must_be_one_line(error)
    else:
        assert all(limit is None or limit > 0 for limit in (found.lower_mm, found.upper_mm))


@given(ending=st.text(max_size=10), kind=KINDS)
def test_any_ending_is_known_or_refused(ending: str, kind: Kind):
    """A column ending is among those listed or is refused by the same error."""
    if ending in column_units(kind):
        convert_exact(Decimal(1), ending, kind)
    else:
        with pytest.raises(UnitError):
            convert_exact(Decimal(1), ending, kind)
