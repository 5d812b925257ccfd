"""What goes with an elevation: the key to its lines and colours, and the text in its place."""

from __future__ import annotations

from collections import Counter
from typing import Any

from matplotlib.lines import Line2D
from matplotlib.patches import Patch

from wallcalc.draw import style
from wallcalc.draw.style import look
from wallcalc.records import FULL_HEIGHT
from wallcalc.units.lengths import MM

MOST_NAMED = 6
"""Failing checks that the text in place of the picture names."""


def elevation_key(figure: Any) -> None:
    """Put the key (what each line and colour is) at the figure's foot, once."""
    names = {
        "bound-bound": "joint, bound edges",
        "bound-cut": "joint, bound and cut",
        "cut-cut": "joint, cut edges",
    }
    with look():
        handles: list[Any] = [
            Line2D([], [], color=c, linestyle=d, linewidth=w, label=names[kind])
            for kind, (c, d, w) in style.JOINT_KINDS.items()
            if kind in names
        ]
        handles += [
            Patch(facecolor=style.TIMBER, edgecolor=style.TIMBER_EDGE, label="timber"),
            Patch(facecolor=style.BOARD, edgecolor=style.BOARD_EDGE, label="board"),
            Patch(facecolor=style.SLAB, edgecolor=style.SLAB_HATCH, hatch="//", label="cavity fill"),
        ]
        figure.legend(
            handles=handles,
            loc="lower center",
            ncols=len(handles),
            bbox_to_anchor=(0.5, 0.0),
            columnspacing=1.0,
            handletextpad=0.4,
            handlelength=1.8,
            prop=style.sized(6.6),
        )


def elevation_alt(design: Any, side: str, layer: int = 1) -> str:
    """Return the text that stands for the picture: what it shows and what follows from it."""
    frame = design.frame
    studs = sum(m.role in FULL_HEIGHT for m in frame.members)
    noggins = sum(m.role == "noggin" for m in frame.members)
    boards = sum((b.side, b.layer) == (side, layer) for b in frame.boards)
    metres: Counter[str] = Counter()
    for joint in frame.joints:
        if (joint.side, joint.layer) == (side, layer):
            metres[joint.kind] += joint.length
    kinds = ", ".join(
        f"{metres[k] / MM / 1000:.1f} m {k}" for k in ("bound-bound", "bound-cut", "cut-cut") if k in metres
    )
    fill = f"{len(design.slab_pieces)} bays filled" if design.slab_pieces else "cavity empty"
    wall = design.wall
    hung = [f"{item.name} on {len(item.fixings)} fixings" for item in wall.hung if item.side == side]
    through = [s.name for s in wall.services if s.side == side or s.goes == "through"]
    told = f" Hung on it: {', '.join(hung)}." if hung else ""
    told += f" Coming through it: {', '.join(through)}." if through else ""
    told = _openings(design, side) + told + _failing(design)
    room = design.wall.room_a.name if side == "A" else design.wall.room_b.name
    return (
        f"Elevation of side {side}{f', seen from the {room}' if room else ''}: {studs} full-height studs, "
        f"{noggins} noggins, {boards} boards in layer {layer}; board joints {kinds or 'none'}; {fill}.{told}"
    )


def _openings(design: Any, side: str) -> str:
    """Return the openings in words, each from the left as seen from a side."""
    length = design.wall.length
    told = []
    for clear in design.frame.clears:
        left = clear.left if side == "A" else length - clear.right
        up = f", {clear.bottom / MM:g} mm above the floor" if clear.bottom else ""
        told.append(
            f"{clear.kind}, {(clear.right - clear.left) / MM:g} mm wide and {(clear.top - clear.bottom) / MM:g} mm "
            f"high, {left / MM:g} mm from the left{up}"
        )
    return f" Openings: {'; '.join(told)}." if told else ""


def _failing(design: Any) -> str:
    """Return which checks fail, in words; nothing where they all hold or are not made yet."""
    found = [r for r in getattr(design, "check_rows", ()) if r.verdict == "fail"]
    names = list(dict.fromkeys(f"{r.subject}: {r.check}" for r in found))
    more = f" and {len(names) - MOST_NAMED} more" if len(names) > MOST_NAMED else ""
    return f" Checks that fail: {'; '.join(names[:MOST_NAMED])}{more}." if names else ""
