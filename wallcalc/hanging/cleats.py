"""Cleats: stud timber on the studs' sides that the ends of a pattress are screwed to.

A pattress is let in flush with one face. Behind it, at both ends, a piece of stud timber stands against the stud and is
screwed to its side, ripped to the depth that is left. Pattresses back to back share theirs. All lengths are integers
of 0.1 mm.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from wallcalc.geometry.rectangles import Rect, clip
from wallcalc.hanging.fixings import HungRules
from wallcalc.records import Cleat, Member
from wallcalc.services.clearances import Drop
from wallcalc.units.lengths import MM

ENDS = ("left", "right")


def cleats_behind(
    members: Sequence[Member],
    section: str,
    thickness: int,
    depth: int,
    rules: HungRules,
    pipes: Sequence[Drop],
) -> tuple[tuple[Cleat, ...], tuple[str, ...]]:
    """Return the cleats of a frame's pattresses, and what to say where one has no room.

    Cleats from left to right, then bottom up, marked CL1, CL2, ...; and notes.
    """
    found, notes = [], []
    for group in _back_to_back(members):
        first = group[0]
        bottom, top = min(m.y for m in group), max(m.top for m in group)
        behind = [
            m.depth for m in members if m.role == "noggin" and _meets(m, (first.x, bottom, first.right, top))
        ]
        room = depth - len({m.faces for m in group}) * rules.board_thickness - max(behind, default=0)
        marks = tuple(m.mark for m in group)
        if room < rules.cleat_least or first.width < 2 * thickness:
            why = (
                f"only {room / MM:g} mm are left behind it"
                if room < rules.cleat_least
                else "its bay is too narrow"
            )
            notes += [_without(mark, "both ends", why) for mark in marks]
            continue
        for end in ENDS:
            x = first.x if end == "left" else first.right - thickness
            rect = (x, bottom, x + thickness, top)
            pipe = next((p for p in pipes if clip(rect, p.rect) is not None), None)
            if pipe is None:
                found.append((x, bottom, top - bottom, room, marks))
            else:
                notes += [
                    _without(mark, f"its {end} end", f"the {pipe.service} passes there") for mark in marks
                ]
    made = (Cleat(f"CL{n}", section, *size) for n, size in enumerate(sorted(found), start=1))
    return tuple(made), tuple(notes)


def _back_to_back(members: Sequence[Member]) -> Iterator[list[Member]]:
    """Yield the pattresses of each bay, those together that share some height on opposite faces."""
    group: list[Member] = []
    for m in sorted((m for m in members if m.role == "pattress"), key=lambda m: (m.x, m.y)):
        if group and m.x == group[0].x and m.y < max(g.top for g in group):
            group.append(m)
            continue
        if group:
            yield group
        group = [m]
    if group:
        yield group


def _meets(member: Member, rect: Rect) -> bool:
    return clip((member.x, member.y, member.right, member.top), rect) is not None


def _without(mark: str, end: str, why: str) -> str:
    return (
        f"pattress {mark} has no cleat at {end}, as {why}: hold it there by steel angles screwed to the stud, and ask "
        "the maker of these what they carry"
    )
