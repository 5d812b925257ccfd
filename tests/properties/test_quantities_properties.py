"""Lengths and masses: round trips, and agreement with fractions and with pint on texts that are safe for it."""

from __future__ import annotations

from fractions import Fraction
from math import floor

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from wallcalc.units.quantities import QuantityError, format_length, parse_length, parse_mass

MM = {
    "mm": Fraction(1),
    "cm": Fraction(10),
    "m": Fraction(1000),
    "in": Fraction(254, 10),
    "ft": Fraction(3048, 10),
}
TENTHS = st.integers(-10_000_000, 10_000_000)


def half_up(mm: Fraction) -> int:
    return floor(mm * 10 + Fraction(1, 2))


@given(TENTHS, st.sampled_from(["mm", "m"]))
def test_metric_text_is_read_back_exactly(tenths, style):
    assert parse_length(format_length(tenths, style), "x", negative=True) == tenths


@given(TENTHS)
def test_feet_and_inches_are_within_half_a_sixteenth_and_stay_so(tenths):
    text = format_length(tenths, "ft-in")
    back = parse_length(text, "x", negative=True)
    # half a sixteenth of an inch is 0.79375 mm; the snap adds up to 0.05 mm
    assert abs(back - tenths) <= 8.4375
    assert format_length(back, "ft-in") == text


@given(st.integers(0, 100_000))
def test_every_sixteenth_of_an_inch_is_read_back_exactly(sixteenths):
    tenths = half_up(Fraction(sixteenths, 16) * MM["in"])
    assert parse_length(format_length(tenths, "ft-in"), "x") == tenths


@given(st.integers(0, 9999), st.integers(0, 99_999), st.integers(0, 5), st.sampled_from(sorted(MM)))
def test_a_decimal_agrees_with_fractions(whole, part, places, unit):
    digits = f"{part:05d}"[:places]
    number = f"{whole}.{digits}" if digits else str(whole)
    assert parse_length(f"{number} {unit}", "x") == half_up(Fraction(number) * MM[unit])


@given(
    st.integers(0, 200),
    st.integers(0, 11),
    st.sampled_from([2, 4, 8, 16, 32]).flatmap(lambda d: st.tuples(st.integers(1, d - 1), st.just(d))),
    st.sampled_from(
        [
            ("{} ft {} {}/{} in"),
            ("{}' {} {}/{}\""),
            ("{}′ {}-{}/{}″"),
            ("{}’-{} {}/{}”"),
            ("{}ft{} {} / {}in"),
        ]
    ),
)
def test_feet_inches_and_a_fraction_agree_with_fractions(feet, inches, fraction, form):
    top, bottom = fraction
    exact = feet * MM["ft"] + (inches + Fraction(top, bottom)) * MM["in"]
    assert parse_length(form.format(feet, inches, top, bottom), "x") == half_up(exact)


@given(st.integers(0, 10**5), st.sampled_from(["mm", "cm", "m", "in", "ft"]))
def test_pint_agrees_on_whole_numbers(number, unit):
    registry = pint.get_application_registry()
    mm = registry.Quantity(f"{number} {unit}").to("mm").magnitude
    assert parse_length(f"{number} {unit}", "x") == pytest.approx(mm * 10, abs=0.5 + 1e-3)


@given(st.integers(0, 10**6), st.sampled_from(["kg", "g", "lb"]))
def test_pint_agrees_on_masses(number, unit):
    registry = pint.get_application_registry()
    kg = registry.Quantity(f"{number} {unit}").to("kg").magnitude
    assert parse_mass(f"{number} {unit}", "x") == pytest.approx(kg, rel=1e-12)


@given(st.floats(0, 1e6, allow_nan=False))
def test_a_mass_as_a_number_stays_as_it_is(number):
    assert parse_mass(number, "x") == number


@given(st.floats(allow_nan=True, allow_infinity=True))
def test_a_number_is_mm_or_refused_and_never_off_by_more_than_half_a_tenth(number):
    try:
        tenths = parse_length(number, "x")
    except QuantityError:
        assert not 0 <= number <= 1e8 - 1
    else:
        assert abs(Fraction(tenths, 10) - Fraction(number)) <= Fraction(1, 20) + Fraction(number) / 10**15


@given(st.one_of(st.text(max_size=60), st.text("0123456789.,/-+ '\"′″½mftincg", max_size=45)))
def test_any_text_is_a_length_or_a_refusal(text):
    try:
        tenths = parse_length(text, "x", negative=True)
    except QuantityError:
        return
    assert isinstance(tenths, int)
    assert any(c in "0123456789¼½¾⅛⅜⅝⅞" for c in text)
    assert "," not in text
    assert parse_length(format_length(tenths, "mm"), "x", negative=True) == tenths
