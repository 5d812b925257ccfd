"""What to say of a frame: studs added for joints, boards trimmed to reach studs.

All lengths are integers of 0.1 mm.
"""

from __future__ import annotations

from collections.abc import Sequence

from wallcalc.boarding.choose import Boarding, joints_of
from wallcalc.boarding.courses import Lining
from wallcalc.units.lengths import MM


def boarding_notes(
    boarding: Boarding, linings: Sequence[Lining], served: dict[int, tuple[str, ...]]
) -> tuple[str, ...]:
    """Return where a stud was added under a sheet's edge and where a board was trimmed to reach one, in words."""
    notes = []
    for x, level in sorted(boarding.lines.items()):
        what = "a stud" if level == 1 else "a pair of studs"
        notes.append(f"{what} at {x / MM:g} mm for the {', '.join(served.get(x, ()))}")
    trimmed: dict[tuple[str, int], list[str]] = {}
    for slot, schedule in joints_of(boarding):
        lining = linings[slot.lining]
        for board in schedule.boards[:-1]:
            width = board.right - board.left
            if width < lining.reach and board.right in boarding.lines:
                trimmed.setdefault((lining.side, lining.layer), []).append(f"{width / MM:g}")
    for (side, layer), widths in sorted(trimmed.items()):
        sizes = ", ".join(sorted(set(widths), key=float))
        notes.append(
            f"side {side} layer {layer}: boards trimmed to {sizes} mm so that their edges reach studs"
        )
    return tuple(notes)
