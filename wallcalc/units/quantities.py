"""Text off a tape: lengths and masses as people write them, read into plain numbers and written back.

A person's text is read by the patterns of this module and never by pint, whose own parser guesses where a
tape must not be guessed. pint stands at the boundary: it says how long a unit is, and a pint quantity is
accepted wherever a text is. Arithmetic is exact (fractions), and a length is rounded once, to a whole number
of 0.1 mm.
"""

from __future__ import annotations

import math
import re
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache
from numbers import Integral, Rational, Real
from typing import Any

import pint

from wallcalc.errors import Problem, WallcalcError

LENGTH_STYLES = ("mm", "m", "ft-in")
"""The ways :func:`format_length` writes a length."""

MOST_CHARACTERS = 40
"""A longer text is not read at all."""

MOST_TENTHS = 1_000_000_000
"""No length is over 100 km: more is not a length off a tape, even with the wrong unit."""

MOST_KG = 1_000_000.0
"""No mass is over 1,000 t."""

LENGTH_ACCEPTED = (
    'a length with its unit, such as "2.62 m", "2620 mm" or "8 ft 4 in", or a plain number of mm'
)
MASS_ACCEPTED = 'a mass with its unit, such as "46 kg", "100 lb" or "250 g", or a plain number of kg'
SURFACE_MASS_ACCEPTED = 'a mass for each square metre, such as "18 kg/m2", or a plain number of kg/m2'

_LENGTH_UNITS = {
    "millimeter": ("mm", "millimetre", "millimetres", "millimeter", "millimeters"),
    "centimeter": ("cm", "centimetre", "centimetres", "centimeter", "centimeters"),
    "meter": ("m", "metre", "metres", "meter", "meters"),
    "inch": ("in", "in.", "inch", "inches", '"'),
    "foot": ("ft", "ft.", "foot", "feet", "'"),
}
_MASS_UNITS = {
    "kilogram": ("kg", "kilogram", "kilograms"),
    "gram": ("g", "gram", "grams"),
    "pound": ("lb", "lbs", "lb.", "pound", "pounds"),
}
_SURFACE_MASS_UNITS = {
    "kilogram / meter ** 2": ("kg/m2", "kg/m^2", "kg/m²"),
    "pound / foot ** 2": ("lb/ft2", "lb/ft^2", "lb/ft²", "lb/sq ft", "psf"),
}

_MARKS = str.maketrans(
    {"′": "'", "’": "'", "″": '"', "”": '"', "−": "-", "⁄": "/", "\u00a0": " ", "\u202f": " "}
)
_VULGAR = {"¼": "1/4", "½": "1/2", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}

_DECIMAL = r"[0-9]+(?:\.[0-9]+)?|\.[0-9]+"
_MIXED = r"(?:[0-9]+[ -])?[0-9]+ ?/ ?[0-9]+"
_ONE = re.compile(rf"([+-]?) ?({_MIXED}|{_DECIMAL}) ?([^0-9].*)?")
_FEET_INCHES = re.compile(
    rf"""([+-]?) ?([0-9]+) ?(?:ft\.?|foot|feet|') ?-? ?({_MIXED}|{_DECIMAL}) ?([^0-9].*)?"""
)


class QuantityError(WallcalcError):
    """A text or a number that is not the quantity asked for; ``problem`` says what is wrong with it."""

    what = "quantity"

    def __init__(self, problem: Problem) -> None:
        super().__init__([problem])
        self.problem = problem


def shown(value: object) -> str:
    """Return a value as a person would have written it in a wall file, cut to 60 characters.

    Texts in quotes, true and false in small letters, lists in brackets, "a table" for a dict.
    """
    if isinstance(value, str):
        text = '"' + "".join(c if c.isprintable() else f"\\u{ord(c):04x}" for c in value[:120]) + '"'
    elif isinstance(value, bool):
        text = "true" if value else "false"
    elif value is None:
        text = "nothing"
    elif isinstance(value, dict):
        text = "a table"
    elif isinstance(value, (list, tuple)):
        text = "[" + ", ".join(shown(v) for v in value[:6]) + (", ..." if len(value) > 6 else "") + "]"
    elif isinstance(value, Integral) and abs(int(value)) >= 10**30:
        text = "a number of over 30 digits"
    else:
        text = str(value)
    return text if len(text) <= 60 else text[:57] + "..."


def parse_length(value: Any, field: str, *, negative: bool = False) -> int:
    """Return a length in whole units of 0.1 mm, rounded once (a half is rounded up).

    The length in 0.1 mm. Raises QuantityError: with one :class:`~wallcalc.errors.Problem`: the field, the value
    found, what is accepted.

    Examples
    --------
    >>> parse_length("8 ft 4 in", "height")
    25400
    >>> parse_length("2.62 m", "height"), parse_length(2620, "height")
    (26200, 26200)
    """
    exact = _feet_and_inches(value, field) if isinstance(value, str) else None
    if exact is None:
        exact = _amount(value, field, _LENGTH_UNITS, "millimeter", LENGTH_ACCEPTED)
    tenths = math.floor(exact * 10 + Fraction(1, 2))
    if tenths < 0 and not negative:
        raise _error(field, value, "a length that is not negative")
    if abs(tenths) > MOST_TENTHS:
        raise _error(field, value, "a length of no more than 100 km")
    return tenths


def parse_mass(value: Any, field: str) -> float:
    """Return a mass in kg.

    The mass in kg. Raises QuantityError: with the field, the value found, what is accepted; also for a
    negative mass.
    """
    return _positive_float(value, field, _MASS_UNITS, "kilogram", MASS_ACCEPTED, "a mass")


def parse_surface_mass(value: Any, field: str) -> float:
    """Return a mass for each unit of area in kg/m2.

    The mass in kg/m2. Raises QuantityError: with the field, the value found, what is accepted; also for a
    negative mass.
    """
    unit = "kilogram / meter ** 2"
    return _positive_float(value, field, _SURFACE_MASS_UNITS, unit, SURFACE_MASS_ACCEPTED, "a mass")


POUND = 0.45359237
"""Kilograms in a pound, exact."""


def format_mass(kilograms: float, pounds: bool = False) -> str:
    """Return a mass as a person reads it.

    Units: ``kilograms`` kg.

    Examples
    --------
    >>> format_mass(63.5), format_mass(1500), format_mass(63.5, pounds=True)
    ('63.5 kg', '1500 kg', '140 lb')
    """
    if pounds:
        return f"{kilograms / POUND:.0f} lb"
    return f"{kilograms:.0f} kg" if kilograms >= 100 else f"{kilograms:.3g} kg"


def format_length(tenths: int, style: str = "mm") -> str:
    """Return a length as text; :func:`parse_length` reads it back.

    Raises ValueError: for a style that is not one of :data:`LENGTH_STYLES`.

    Examples
    --------
    >>> format_length(26200, "m"), format_length(26205, "mm"), format_length(25400, "ft-in")
    ('2.62 m', '2620.5 mm', '8 ft 4 in')
    """
    if style == "mm":
        return _plain(Decimal(tenths) / 10) + " mm"
    if style == "m":
        return _plain(Decimal(tenths) / 10_000) + " m"
    if style != "ft-in":
        raise ValueError(f"style: found {style!r}; accepted: one of {', '.join(LENGTH_STYLES)}")
    sixteenths = math.floor(Fraction(abs(tenths) * 160, 2540) + Fraction(1, 2))
    feet, rest = divmod(sixteenths, 12 * 16)
    whole, part = divmod(rest, 16)
    inches = [str(whole)] if whole else []
    if part:
        inches.append(str(Fraction(part, 16)))
    words = [f"{feet} ft"] if feet else []
    if inches or not feet:
        words.append(" ".join(inches or ["0"]) + " in")
    return ("-" if tenths < 0 and sixteenths else "") + " ".join(words)


def _plain(number: Decimal) -> str:
    """Return an exact decimal without an exponent and without idle noughts."""
    text = format(number, "f")
    return text.rstrip("0").rstrip(".") if "." in text else text


def _error(field: str, value: object, accepted: str) -> QuantityError:
    return QuantityError(Problem(field, shown(value), accepted))


def _positive_float(value: Any, field: str, units: dict, base: str, accepted: str, what: str) -> float:
    exact = _amount(value, field, units, base, accepted)
    if exact < 0:
        raise _error(field, value, f"{what} that is not negative")
    if exact > Fraction(MOST_KG):
        raise _error(field, value, f"{what} of no more than {MOST_KG:,.0f} kg")
    return float(exact)


@lru_cache(maxsize=64)
def _in_base(unit: str, base: str) -> Fraction:
    """Return how many of ``base`` one ``unit`` is, from pint, free of the double's last digits."""
    one = pint.get_application_registry().Quantity(1.0, unit).to(base)
    return Fraction(format(one.magnitude, ".14g"))


def _amount(value: Any, field: str, units: dict, base: str, accepted: str) -> Fraction:
    """Return a text, a number (of ``base``) or a pint quantity as an exact number of ``base``."""
    if isinstance(value, str):
        match = _ONE.fullmatch(_tidy(value, field, accepted))
        if match is None:
            raise _error(field, value, accepted)
        sign, number, unit = match.groups()
        amount = _number(number, field, value)
        if unit is None:
            if "/" in number:
                raise _error(field, value, accepted)
        else:
            amount *= _in_base(_unit(unit, units, field, value, accepted), base)
        return -amount if sign == "-" else amount
    if hasattr(value, "magnitude") and hasattr(value, "dimensionality"):
        try:
            value = value.to(base).magnitude
        except pint.PintError:
            raise _error(field, value, accepted) from None
    if isinstance(value, bool) or not isinstance(value, (Real, Decimal)):
        raise _error(field, value, accepted)
    if isinstance(value, Rational):
        return Fraction(int(value.numerator), int(value.denominator))
    finite = value.is_finite() if isinstance(value, Decimal) else math.isfinite(value)
    if not finite:
        raise _error(field, value, accepted)
    if isinstance(value, Decimal):
        return Fraction(value) if abs(value.adjusted()) < 40 else Fraction(10**40 if abs(value) > 1 else 0)
    # As it was written: 0.1 is a tenth, not the double nearest to it.
    return Fraction(repr(float(value)))


def _feet_and_inches(text: str, field: str) -> Fraction | None:
    """Return a length in feet and inches in mm, or None when the text is not of that form."""
    match = _FEET_INCHES.fullmatch(_tidy(text, field, LENGTH_ACCEPTED))
    if match is None:
        return None
    sign, feet, number, unit = match.groups()
    inches = _number(number, field, text)
    if unit is None or unit.strip().lower() not in _LENGTH_UNITS["inch"]:
        raise _error(field, text, f'feet and inches, both with their unit, such as "{feet} ft {number} in"')
    if inches >= 12:
        raise _error(field, text, 'feet and inches with less than 12 inches, such as "8 ft 4 in"')
    mm = int(feet) * _in_base("foot", "millimeter") + inches * _in_base("inch", "millimeter")
    return -mm if sign == "-" else mm


def _tidy(text: str, field: str, accepted: str) -> str:
    """Return a text with plain marks and single spaces; refuse what is too long or has a decimal comma."""
    if len(text) > MOST_CHARACTERS:
        raise _error(field, text, f"{accepted} (no more than {MOST_CHARACTERS} characters)")
    tidy = text.translate(_MARKS)
    for sign, fraction in _VULGAR.items():
        tidy = tidy.replace(sign, f" {fraction}")
    tidy = " ".join(tidy.split())
    if "," in tidy:
        point = tidy.replace(",", ".")
        if re.fullmatch(rf"[+-]? ?(?:{_DECIMAL}) ?[^0-9.]*", point) is None:
            raise _error(field, text, f"{accepted}, with no comma")
        hint = f'a point in place of the decimal comma, "{point}"'
        if re.search(r",[0-9]{3}(?![0-9])", tidy):
            hint += f', or nothing between thousands, "{tidy.replace(",", "")}"'
        raise _error(field, text, hint)
    return tidy


def _number(text: str, field: str, value: str) -> Fraction:
    """Return the number written as a whole number, a decimal, a fraction or a whole number and a fraction."""
    if "/" not in text:
        return Fraction(text)
    whole, top, bottom = re.fullmatch(r"(?:([0-9]+)[ -])?([0-9]+) ?/ ?([0-9]+)", text).groups()
    if int(bottom) == 0:
        raise _error(field, value, "a fraction whose lower number is not 0")
    if whole is not None and int(top) >= int(bottom):
        raise _error(field, value, 'a whole number and a fraction of less than one, such as "4 1/2 in"')
    return int(whole or 0) + Fraction(int(top), int(bottom))


def _unit(text: str, units: dict[str, tuple[str, ...]], field: str, value: str, accepted: str) -> str:
    """Return pint's name of a unit as people write it."""
    written = text.strip()
    for name, words in units.items():
        if written.lower() in words:
            return name
    raise _error(field, value, accepted)
