"""The unit of lengths inside: integers of 0.1 mm."""

from __future__ import annotations

MM = 10
"""Units of the core in one millimetre."""
