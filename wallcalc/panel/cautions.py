"""What has to be said where the work can hurt; the text names no limit, it sends the reader to who decides."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

from wallcalc.given.option import Option
from wallcalc.given.wall import Wall
from wallcalc.units.lengths import MM

GENERAL = (
    (
        "Load",
        "This is for a wall that carries nothing but itself and what hangs on it. Establish that before you build or "
        "take out anything: a structural engineer or the local building authority decides, not this notebook.",
    ),
    (
        "Asbestos and dust",
        "Before breaking out, drilling or sanding in an older building, have suspect materials surveyed and sampled. "
        "Keep dust down and wear the mask the work calls for.",
    ),
    (
        "Cables and pipes",
        "Find buried cables and pipes in floor, ceiling and end walls before fixing plates, and isolate them. "
        "Electrical and gas work is for licensed trades.",
    ),
    (
        "Lifting boards",
        "Most full boards are a two-person lift; the checks show the mass of a sheet. Prop stored boards so that they "
        "cannot fall.",
    ),
    (
        "Fire and escape",
        "A new wall or door can cut off an escape route, a smoke alarm or ventilation, and may need a fire rating that "
        "is not worked out here. Ask the local building authority before you start.",
    ),
    (
        "Local rules",
        "Values come from the rule file with their sources. The code in force where you build, and the makers' "
        "instructions, come first.",
    ),
)


def cautions(wall: Wall, option: Option, design: Any = None) -> list[tuple[str, str]]:
    """Return the cautions that go with a wall and an option, as (subject, text)."""
    found = list(GENERAL)
    if option.fill is not None:
        found.append(
            (
                "Mineral wool",
                "Wear gloves, long sleeves, eye protection and a mask when cutting slabs; keep them dry.",
            )
        )
    if wall.floor == "heated screed":
        found.append(
            ("Heated floor", "Do not drill or screw into a floor with heating pipes or cables in it.")
        )
    if wall.room_a.wet or wall.room_b.wet:
        found.append(
            (
                "Wet side",
                "Boards that suit moisture are not waterproof: tanking, sealing and ventilation are separate work.",
            )
        )
    joined = _joined_plates(design) if design is not None else ""
    if joined:
        found.append(
            (
                "Plates in pieces",
                f"The wall is longer than the longest timber on sale, so {joined}. Fix both ends of every joint; the "
                "setting-out shows them. A shorter wall needs no joint: check the unit of its length if you did not "
                "expect one.",
            )
        )
    return found


def _joined_plates(design: Any) -> str:
    """Return where plates are joined, in words; a sole plate that stops at a door is not a joint."""
    words = []
    for role in ("head plate", "sole plate"):
        pieces = sorted((m.x, m.x + m.width) for m in design.frame.members if m.role == role)
        joints = [f"{a[1] / MM:g}" for a, b in pairwise(pieces) if a[1] == b[0]]
        if joints:
            words.append(f"the {role} is joined at {' and '.join(joints)} mm")
    return " and ".join(words)
