"""What a course of boards is made of: boards as laid, the blanks they are cut from, one way to lay a run.

Also the scale on which ways are compared. All lengths are integers of 0.1 mm.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from wallcalc.boarding.courses import Lining
from wallcalc.geometry.rectangles import Patch, Rect
from wallcalc.records import CutOut

Shape = tuple[int, int, int, tuple[CutOut, ...], int]
"""A blank without its mark: along, across, bound edges needed, cut-outs, and (where there are cut-outs) which long
edge has to be the bound one (-1 the low, 1 the high edge, 0 either)."""

CAUTION = 10**15
"""Score of one caution: outweighs any price."""
CENT = 10**6
"""Score of one cent: outweighs metres of cut-edge joint, which outweigh nothing but a tie."""
PIECE = 10**3
"""Score of one more board."""


@dataclass(frozen=True, slots=True)
class Laid:
    """A board as laid in a run: from line to line, its patches and the blanks they are cut from.

    ``edges`` are the kinds ("bound", "cut" or "" where it meets no board) of the ends left and right;
    ``kinds`` those of each patch's (left, right, bottom, top).
    """

    left: int
    right: int
    patches: tuple[Patch, ...]
    shapes: tuple[Shape, ...]
    kinds: tuple[tuple[str, str, str, str], ...]


@dataclass(frozen=True, slots=True)
class Schedule:
    """One way to lay a run.

    Its boards; its joints as (x, timber needed, length); its score without timber: cautions, length of joints with
    a cut edge and number of boards alone (``score``), and with what is hard to cut together (``heavy``).
    """

    boards: tuple[Laid, ...]
    joints: tuple[tuple[int, int, int], ...]
    score: int
    heavy: int
    shapes: tuple[Shape, ...]


@dataclass(frozen=True, slots=True)
class Course:
    """A course's height, what its long edges meet ("bound", "cut", or "" at ceiling and floor), and its number."""

    bottom: int
    top: int
    below: str
    above: str
    number: int


def course_edges(lining: Lining) -> tuple[Course, ...]:
    """Return the courses of a lining with the kinds of their lower and upper edges where boards meet.

    Upright boards meet with cut ends. Boards on their side bring bound edges: both when the course is as high as
    the sheet is wide, else one, kept on the joint; where a ripped course has joints on both edges the upper one
    is bound.
    """
    last = len(lining.courses) - 1
    found = []
    for number, (bottom, top) in enumerate(lining.courses):
        below, above = number > 0, number < last
        full = lining.lying and top - bottom == lining.widest
        if not lining.lying:
            kinds = ("cut" if below else "", "cut" if above else "")
        elif full:
            kinds = ("bound" if below else "", "bound" if above else "")
        else:
            lower = "" if not below else ("cut" if above else "bound")
            kinds = (lower, "bound" if above else "")
        found.append(Course(bottom, top, *kinds, number))
    return tuple(found)


def cut_outs_of(patch: Patch, rects: Sequence[Rect], lying: bool, bound_at: set[int]) -> tuple[CutOut, ...]:
    """Return the rectangles cut out of a patch's blank, in the blank's own frame."""
    x0, y0, _, _ = patch.box
    found = []
    for a, b, c, d in rects:
        low, high = (b, d) if lying else (a, c)
        along, across = (a - x0, b - y0) if lying else (b - y0, a - x0)
        length, width = (c - a, d - b) if lying else (d - b, c - a)
        found.append(CutOut(along, across, length, width, (low in bound_at) + (high in bound_at)))
    return tuple(found)
