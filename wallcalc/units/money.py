"""Money as whole cents (hundredths of the currency's unit), net of tax: reading, multiplying, showing."""

from __future__ import annotations

import re

CENTS = 100
"""Hundredths in one unit of currency."""

_PRICE = re.compile(r"[0-9]{1,9}(\.[0-9]{1,2})?")


def parse_price(text: str) -> int:
    """Return the price that a text gives, in cents.

    The price, cents. Raises ValueError: when the text is anything else (a decimal comma, a sign, a currency
    symbol, a third decimal).

    Examples
    --------
    >>> parse_price("12.34")
    1234
    """
    text = text.strip()
    if not _PRICE.fullmatch(text):
        raise ValueError(
            f"found {text!r}; accepted: a price such as 12.34 (decimal point, at most two decimals)"
        )
    whole, _, part = text.partition(".")
    return int(whole) * CENTS + int(part.ljust(2, "0") or "0")


def format_price(cents: int, currency: str = "") -> str:
    """Return a price as people read it.

    Such as "GBP 1,234.56". Units: ``cents`` cents. Raises TypeError: when ``cents`` is not a whole number.

    Examples
    --------
    >>> format_price(123456, "GBP")
    'GBP 1,234.56'
    """
    _whole("cents", cents)
    units, rest = divmod(abs(cents), CENTS)
    text = f"{'-' if cents < 0 else ''}{units:,}.{rest:02d}"
    return f"{currency} {text}" if currency else text


def times(cents: int, count: int) -> int:
    """Return the price of ``count`` things that cost ``cents`` each, exactly.

    The price of all, cents. Raises TypeError: when either is not a whole number.
    """
    return _whole("cents", cents) * _whole("count", count)


def _whole(name: str, value: int) -> int:
    if isinstance(value, bool) or not hasattr(value, "__index__"):
        raise TypeError(f"{name}: found {value!r}; accepted: a whole number")
    return int(value)
