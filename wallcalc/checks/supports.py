"""Which studs carry what: touching studs taken together, widths of wall carried, distances that boards span."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from wallcalc.records import FULL_HEIGHT, Frame, Member
from wallcalc.units.lengths import MM

TOUCHING = 1 * MM
"""Studs no further apart than this count as one line of doubled studs, 0.1 mm."""


@dataclass(frozen=True, slots=True)
class StudLine:
    """One full-height stud, or several that touch, and the width of wall it carries.

    Attributes
    ----------
    marks : tuple of str
        The studs, left to right.
    left, right : int
        Outer edges, 0.1 mm.
    pieces : int
        How many studs.
    thickness : int
        Thickness of the first stud, 0.1 mm.
    length, foot : int
        Length of the shortest stud and height of its lower end, 0.1 mm.
    tributary : float
        Width of wall carried [mm]: half of what lies between it and its neighbours, openings included.
    jamb, end : bool
        Whether it stands at an opening, at a wall's end.
    """

    marks: tuple[str, ...]
    left: int
    right: int
    pieces: int
    thickness: int
    length: int
    foot: int
    tributary: float
    jamb: bool
    end: bool

    @property
    def name(self) -> str:
        """The marks, joined."""
        return "+".join(self.marks)


@dataclass(frozen=True, slots=True)
class Bay:
    """A distance that boards span: from the centre of one support to the centre of the next, 0.1 mm."""

    left: str
    right: str
    spacing: int
    over_opening: bool = False


def stud_lines(frame: Frame) -> tuple[StudLine, ...]:
    """Return the full-height studs of a frame, left to right, each with the width of wall it carries.

    Loads on a door leaf go to the jambs by its hinges and latch, and what is above a door head goes there by the
    head, so an opening counts like any other bay between two studs. The widths add up to the wall's length.
    """
    studs = sorted((m for m in frame.members if m.role in FULL_HEIGHT), key=lambda m: (m.x, m.mark))
    groups: list[list[Member]] = []
    for stud in studs:
        if groups and stud.x - max(m.right for m in groups[-1]) <= TOUCHING:
            groups[-1].append(stud)
        else:
            groups.append([stud])
    edges = [(min(m.x for m in g), max(m.right for m in g)) for g in groups]
    lines = []
    for i, group in enumerate(groups):
        left = 0.0 if i == 0 else (edges[i - 1][1] + edges[i][0]) / 2
        right = float(frame.length) if i == len(groups) - 1 else (edges[i][1] + edges[i + 1][0]) / 2
        roles = {m.role for m in group}
        lines.append(
            StudLine(
                marks=tuple(m.mark for m in group),
                left=edges[i][0],
                right=edges[i][1],
                pieces=len(group),
                thickness=group[0].width,
                length=max(m.length for m in group),
                foot=min(m.y for m in group),
                tributary=(right - left) / MM,
                jamb="jamb stud" in roles,
                end="end stud" in roles,
            )
        )
    return tuple(lines)


def board_bays(frame: Frame, lines: tuple[StudLine, ...]) -> tuple[Bay, ...]:
    """Return every distance that boards span between upright supports.

    Left to right; above and below an opening the short studs are supports too.
    """
    shorts = [m for m in frame.members if m.role == "short stud"]
    bays: list[Bay] = []
    for a, b in pairwise(lines):
        openings = [c for c in frame.clears if c.left < b.left and c.right > a.right]
        if not openings:
            bays.append(Bay(a.name, b.name, b.left - a.right + (a.thickness + b.thickness) // 2))
            continue
        for clear in openings:
            for above in (True, False):
                bays += _bays_at_opening(
                    a, b, shorts, clear.top if above else clear.bottom, above, frame.height
                )
    return tuple(bays)


def _bays_at_opening(
    a: StudLine, b: StudLine, shorts: list[Member], level: int, above: bool, height: int
) -> list[Bay]:
    """Return the spans above an opening's head (or below its sill), between its jambs."""
    if (above and level >= height - a.thickness) or (not above and level <= a.thickness):
        return []
    inside = [
        m
        for m in shorts
        if a.right <= m.x and m.right <= b.left and (m.y >= level if above else m.top <= level)
    ]
    stops = [(a.name, a.right, a.thickness)]
    bays = []
    for short in sorted(inside, key=lambda m: (m.x, m.mark)):
        mark, edge, thickness = stops[-1]
        bays.append(Bay(mark, short.mark, short.x - edge + (thickness + short.width) // 2, True))
        stops.append((short.mark, short.right, short.width))
    mark, edge, thickness = stops[-1]
    bays.append(Bay(mark, b.name, b.left - edge + (thickness + b.thickness) // 2, True))
    return [bay for bay in bays if bay.spacing > 0]
