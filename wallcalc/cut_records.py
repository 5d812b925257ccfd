"""What cutting plans are made of: bought lengths and sheets, and what is cut from each, in integers of 0.1 mm."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Bar:
    """One bought length of timber and what is cut from it, in order."""

    code: str
    section: str
    length: int
    cuts: tuple[tuple[str, int], ...]
    offcut: int
    kerf_loss: int


@dataclass(frozen=True, slots=True)
class SheetCut:
    """A blank cut from a sheet: mark, position along and across the sheet, size.

    ``parent`` is the board whose cut-out it comes from (None: from the sheet itself).
    """

    mark: str
    x: int
    y: int
    length: int
    width: int
    parent: str | None = None


@dataclass(frozen=True, slots=True)
class Leftover:
    """A rectangle left of a sheet: position along and across, size, number of bound long edges."""

    x: int
    y: int
    length: int
    width: int
    bound: int


@dataclass(frozen=True, slots=True)
class SheetUse:
    """One bought sheet (or slab) and what is cut from it."""

    code: str
    length: int
    width: int
    cuts: tuple[SheetCut, ...]
    leftovers: tuple[Leftover, ...] = ()


@dataclass(frozen=True, slots=True)
class CutPlan:
    """A cutting plan of one material with its proof.

    ``cost`` and ``lower_bound`` are in cents; ``proven`` is True only when the plan is shown to be the cheapest
    over ``scope``; ``method`` says how.
    """

    material: str
    uses: tuple[Bar, ...] | tuple[SheetUse, ...]
    cost: int
    lower_bound: int
    proven: bool
    scope: str
    method: str
