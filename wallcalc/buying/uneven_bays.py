"""Bays of the cavity under a sloping ceiling or over an uneven floor. All lengths are integers of 0.1 mm."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from wallcalc.geometry.rectangles import Patch
from wallcalc.geometry.sloped import between
from wallcalc.records import PLATES, Frame, Member

FAR = 10**7
"""Further up or down than any wall, 0.1 mm."""


def sloped_bays(frame: Frame, members: Sequence[Member]) -> tuple[Patch, ...]:
    """Return the clear bays of an uneven wall's frame: what is neither timber nor opening, each with its outline.

    The frame is swept from left to right between the edges of its upright and level pieces; what is free between two
    of them, from sole plate to head plate, is one bay. Together they leave nothing out and nowhere overlap. The
    rectangle round a piece cut to a slope lies on the piece or beyond the plate that it is cut to.

    Parameters
    ----------
    frame : Frame
        The frame, with its profile.
    members : sequence of Member
        Those of its members that bound bays.

    Returns
    -------
    tuple of Patch
        Left to right, then bottom up.
    """
    profile = frame.profile
    assert not profile.is_level
    solids = sorted({(m.x, m.right, m.y, m.top) for m in members if m.role not in PLATES})
    solids += [(c.left, c.right, c.bottom, c.top) for c in frame.clears]
    lines = sorted({0, frame.length, *(x for s in solids for x in s[:2] if 0 <= x <= frame.length)})
    running: dict[tuple[int, int], int] = {}
    done: list[tuple[int, int, int, int]] = []
    for x0, x1 in pairwise(lines):
        free = []
        at = -FAR
        for y0, y1 in sorted((c, d) for a, b, c, d in solids if a <= x0 and b >= x1):
            if y0 > at:
                free.append((at, y0))
            at = max(at, y1)
        if at < FAR:
            free.append((at, FAR))
        kept = {span: running.get(span, x0) for span in free}
        done += [(x, lo, x0, hi) for (lo, hi), x in running.items() if (lo, hi) not in kept]
        running = kept
    done += [(x, lo, frame.length, hi) for (lo, hi), x in running.items()]
    found = [p for rect in done for p in between(rect, (), profile.sole, profile.head)]
    return tuple(sorted(found, key=lambda p: p.box[:2]))
