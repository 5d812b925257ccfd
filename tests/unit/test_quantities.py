"""Lengths and masses as people write them.

Expected lengths are worked out from the definition of the inch, 25.4 mm (international yard and pound agreement,
1959), and of the pound, 0.45359237 kg.
"""

from __future__ import annotations

import doctest
import math
from decimal import Decimal
from fractions import Fraction

import numpy as np
import pint
import pytest

from wallcalc.errors import Problem, WallcalcError
from wallcalc.units import quantities
from wallcalc.units.quantities import (
    LENGTH_ACCEPTED,
    MASS_ACCEPTED,
    SURFACE_MASS_ACCEPTED,
    QuantityError,
    format_length,
    parse_length,
    parse_mass,
    parse_surface_mass,
    shown,
)


@pytest.mark.parametrize(
    ("text", "tenths"),
    [
        ("2.62 m", 26200),
        ("2.62m", 26200),
        (".5 m", 5000),
        ("2620 mm", 26200),
        ("2620", 26200),
        ("  2620  mm ", 26200),
        ("262 cm", 26200),
        ("2.62 metres", 26200),
        ("2.62\u00a0m", 26200),
        ("+43 mm", 430),
        ("16 in", 4064),
        ('16"', 4064),
        ("16 inches", 4064),
        ("24 IN", 6096),
        ("8 ft", 24384),
        ("8'", 24384),
        ("8 ft 4 in", 25400),
        ("8ft4in", 25400),
        ("8' 4\"", 25400),
        ("8'-4\"", 25400),
        ("8′ 4″", 25400),
        ("8’ 4”", 25400),
        ("8 feet 4 inches", 25400),
        ("8 ft. 4 in.", 25400),
        ("0 ft 4 in", 1016),
        ("8 ft 4 1/2 in", 25527),
        ("8' 4-1/2\"", 25527),
        ("8′ 4½″", 25527),
        ("92 5/8 in", 23527),  # 2352.675 mm
        ("92⅝ in", 23527),
        ("1/2 in", 127),
        ("½ in", 127),
        ('3/4"', 191),  # 19.05 mm, a half of 0.1 mm is rounded up
        ("1/16 in", 16),  # 1.5875 mm
        ("0.05 mm", 1),
        ("0.04 mm", 0),
        ("0", 0),
    ],
)
def test_a_length_is_read_as_written(text, tenths):
    assert parse_length(text, "length") == tenths


@pytest.mark.parametrize(
    ("value", "tenths"),
    [
        (2620, 26200),
        (406.4, 4064),
        (0.1, 1),
        (np.int64(12), 120),
        (np.float64(12.5), 125),
        (Decimal("12.5"), 125),
        (Fraction(1, 3), 3),
        (-0.0, 0),
    ],
)
def test_a_plain_number_is_mm(value, tenths):
    result = parse_length(value, "length")
    assert result == tenths
    assert type(result) is int


def test_a_pint_quantity_is_a_length():
    registry = pint.get_application_registry()
    assert parse_length(registry.Quantity(2.62, "m"), "length") == 26200
    assert parse_length(registry.Quantity(16, "inch"), "length") == 4064
    assert parse_mass(registry.Quantity(2.0, "tonne"), "mass") == 2000.0


def test_a_pint_quantity_of_another_dimension_is_refused_by_its_field():
    registry = pint.get_application_registry()
    with pytest.raises(QuantityError) as caught:
        parse_length(registry.Quantity(46.0, "kg"), "opening[1].left")
    assert caught.value.problem == Problem("opening[1].left", "46.0 kilogram", LENGTH_ACCEPTED)


@pytest.mark.parametrize(
    "value",
    [
        "",
        " ",
        "nan",
        "inf",
        "-inf mm",
        "mm",
        "twelve mm",
        "2.62 m long",
        "2.62 m 3",
        "2.62.1 m",
        "5. m",
        "2 62 m",
        "4-5 m",
        "1e3 mm",
        "0x10 mm",
        "9**9**9",
        "2*3 m",
        "46 kg",
        "3 1/2",
        "1/2",
        "1/2/3 in",
        "8.5 ft 4 in",
        "8 1/2 ft 4 in",
        "٣ m",
        "２ m",
        "2.62 m\x00",
        "--5 mm",
        True,
        False,
        np.bool_(True),
        None,
        math.nan,
        math.inf,
        -math.inf,
        Decimal("NaN"),
        Decimal("sNaN"),
        Decimal("Infinity"),
        2 + 0j,
        ["1 m"],
        {"m": 1},
        b"1 m",
    ],
)
def test_what_is_not_a_length_is_refused_with_what_is(value):
    with pytest.raises(QuantityError) as caught:
        parse_length(value, "left")
    assert caught.value.problem.field == "left"
    assert caught.value.problem.found == shown(value)
    assert caught.value.problem.accepted == LENGTH_ACCEPTED


@pytest.mark.parametrize(
    ("value", "accepted"),
    [
        ("2,62 m", 'a point in place of the decimal comma, "2.62 m"'),
        ("1,5", 'a point in place of the decimal comma, "1.5"'),
        (
            "2,620 mm",
            'a point in place of the decimal comma, "2.620 mm", or nothing between thousands, "2620 mm"',
        ),
        ("1,234.5 mm", LENGTH_ACCEPTED + ", with no comma"),
        ("8 ft, 4 in", LENGTH_ACCEPTED + ", with no comma"),
        ("8' 4", 'feet and inches, both with their unit, such as "8 ft 4 in"'),
        ("8 ft 4 mm", 'feet and inches, both with their unit, such as "8 ft 4 in"'),
        ("8 ft 14 in", 'feet and inches with less than 12 inches, such as "8 ft 4 in"'),
        ("4 3/2 in", 'a whole number and a fraction of less than one, such as "4 1/2 in"'),
        ("4 1/0 in", "a fraction whose lower number is not 0"),
        ("-5 mm", "a length that is not negative"),
        (-5, "a length that is not negative"),
        ("-1 ft 2 in", "a length that is not negative"),
        ("101 km", LENGTH_ACCEPTED),
        ("100001 m", "a length of no more than 100 km"),
        (1e300, "a length of no more than 100 km"),
        (10**400, "a length of no more than 100 km"),
        (Decimal("1e999999"), "a length of no more than 100 km"),
        ("1" * 41, LENGTH_ACCEPTED + " (no more than 40 characters)"),
    ],
)
def test_a_refusal_says_what_would_be_accepted(value, accepted):
    with pytest.raises(QuantityError) as caught:
        parse_length(value, "height")
    assert caught.value.problem.accepted == accepted


def test_the_message_names_field_value_and_what_is_accepted():
    with pytest.raises(WallcalcError) as caught:
        parse_length("3,84 m", "length")
    assert str(caught.value) == (
        "1 problem in the quantity:\n"
        '  - length: found "3,84 m"; accepted: a point in place of the decimal comma, "3.84 m"'
    )
    assert caught.value.problems == [caught.value.problem]


def test_a_negative_length_is_read_where_asked():
    assert parse_length("-12.5 mm", "offset", negative=True) == -125
    assert parse_length("-1 ft 2 in", "offset", negative=True) == -3556
    assert parse_length("−12 mm", "offset", negative=True) == -120


@pytest.mark.parametrize(
    ("value", "kg"),
    [
        ("46 kg", 46.0),
        (46, 46.0),
        ("46", 46.0),
        ("250 g", 0.25),
        ("100 lb", 45.359237),
        ("2.5 lbs", 1.133980925),
        (0.1, 0.1),
    ],
)
def test_a_mass_is_read_in_kg(value, kg):
    result = parse_mass(value, "mass")
    assert result == kg
    assert type(result) is float


def test_a_mass_for_each_square_metre_is_read():
    assert parse_surface_mass("18 kg/m2", "tile_mass") == 18.0
    assert parse_surface_mass("18 kg/m²", "tile_mass") == 18.0
    assert parse_surface_mass(18, "tile_mass") == 18.0
    # 0.45359237 kg over (0.3048 m)^2
    assert parse_surface_mass("3 lb/ft2", "tile_mass") == pytest.approx(3 * 0.45359237 / 0.3048**2, rel=1e-12)


@pytest.mark.parametrize(
    ("read", "value", "accepted"),
    [
        (parse_mass, "46 m", MASS_ACCEPTED),
        (parse_mass, True, MASS_ACCEPTED),
        (parse_mass, "nan", MASS_ACCEPTED),
        (parse_mass, math.inf, MASS_ACCEPTED),
        (parse_mass, "1,5 kg", 'a point in place of the decimal comma, "1.5 kg"'),
        (parse_mass, "-1 kg", "a mass that is not negative"),
        (parse_mass, -1, "a mass that is not negative"),
        (parse_mass, 1e9, "a mass of no more than 1,000,000 kg"),
        (parse_surface_mass, "18 kg", SURFACE_MASS_ACCEPTED),
        (parse_surface_mass, -0.5, "a mass that is not negative"),
    ],
)
def test_what_is_not_a_mass_is_refused(read, value, accepted):
    with pytest.raises(QuantityError) as caught:
        read(value, "mass")
    assert caught.value.problem == Problem("mass", shown(value), accepted)


@pytest.mark.parametrize(
    ("tenths", "style", "text"),
    [
        (26200, "m", "2.62 m"),
        (26205, "m", "2.6205 m"),
        (30000, "m", "3 m"),
        (1, "m", "0.0001 m"),
        (26200, "mm", "2620 mm"),
        (26205, "mm", "2620.5 mm"),
        (0, "mm", "0 mm"),
        (-125, "mm", "-12.5 mm"),
        (100_000_000, "m", "10000 m"),
        (25400, "ft-in", "8 ft 4 in"),
        (25527, "ft-in", "8 ft 4 1/2 in"),
        (24384, "ft-in", "8 ft"),
        (23527, "ft-in", "7 ft 8 5/8 in"),
        (191, "ft-in", "3/4 in"),
        (4064, "ft-in", "1 ft 4 in"),
        (0, "ft-in", "0 in"),
        (-4064, "ft-in", "-1 ft 4 in"),
        (30479, "ft-in", "10 ft"),  # rounds up over the foot, never "9 ft 12 in"
        (-1, "ft-in", "0 in"),
    ],
)
def test_a_length_is_written(tenths, style, text):
    assert format_length(tenths, style) == text


def test_an_unknown_style_is_refused():
    with pytest.raises(ValueError, match=r"style: found 'km'; accepted: one of mm, m, ft-in"):
        format_length(10, "km")


def test_a_found_value_is_shown_as_in_a_file_and_cut_short():
    assert shown("a\nb") == '"a\\u000ab"'
    assert shown([True, "x", 3]) == '[true, "x", 3]'
    assert shown({"a": 1}) == "a table"
    assert len(shown("x" * 1000)) == 60
    assert shown(10**5000) == "a number of over 30 digits"


def test_the_examples_in_the_docstrings_hold():
    assert doctest.testmod(quantities).failed == 0
    assert doctest.testmod(quantities).attempted >= 3
