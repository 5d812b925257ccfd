from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wallcalc.units.money import format_price, parse_price, times

CENTS = st.integers(0, 99_999_999_999)


@given(CENTS)
def test_a_price_written_with_two_decimals_is_read_back(cents):
    assert parse_price(str(Decimal(cents).scaleb(-2).quantize(Decimal("0.01")))) == cents


@given(st.integers(0, 999_999), st.sampled_from(["", ".0", ".00", ".5", ".50", ".05"]))
def test_reading_agrees_with_decimal_arithmetic(whole, part):
    text = f"{whole}{part}"
    assert Decimal(parse_price(text)) == Decimal(text) * 100


@given(CENTS)
def test_showing_and_reading_lose_nothing(cents):
    shown = format_price(cents, "GBP")
    assert shown.startswith("GBP ")
    assert parse_price(shown[4:].replace(",", "")) == cents


@given(st.integers(-(10**12), 10**12), st.integers(0, 10**6))
def test_multiplying_is_exact(cents, count):
    assert Decimal(times(cents, count)) == Decimal(cents) * Decimal(count)


@pytest.mark.parametrize(
    "text", ["", "3,85", "-1", "+1", "1.234", "GBP 3", "1e3", "nan", "inf", ".5", "5.", "1_000", "٣", "1 000"]
)
def test_what_is_no_price_is_refused(text):
    with pytest.raises(ValueError, match=r"accepted: a price such as 12.34"):
        parse_price(text)


@pytest.mark.parametrize(
    ("cents", "text"), [(0, "0.00"), (5, "0.05"), (-1234, "-12.34"), (123456789, "1,234,567.89")]
)
def test_prices_as_people_read_them(cents, text):
    assert format_price(cents) == text


@pytest.mark.parametrize("value", [1.5, 2.0, "3", True, None])
def test_money_is_whole_cents(value):
    with pytest.raises(TypeError, match=r"accepted: a whole number"):
        format_price(value)
    with pytest.raises(TypeError, match=r"accepted: a whole number"):
        times(100, value)
