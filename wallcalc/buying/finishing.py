"""What finishes and fixes a wall: joint tape, compound, sealant, adhesive, framing fixings, fixings to structure.

Lengths in are integers of 0.1 mm; quantities out are in the unit that the docstring names, allowances not
added.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import combinations

from wallcalc.buying.screw_rows import screws_along
from wallcalc.buying.waste import fixed_area2
from wallcalc.framing.joists import joists_crossed
from wallcalc.given.parts import Joists
from wallcalc.given.wall import Wall
from wallcalc.records import PLATES, UPRIGHT, Frame, Joint, Member
from wallcalc.trade.rules import Rules


@dataclass(frozen=True, slots=True)
class Structure:
    """What the frame is fixed to: see the ``*_KINDS`` constants of :mod:`wallcalc.given.wall`."""

    floor: str = "unknown"
    left_end: str = "unknown"
    right_end: str = "unknown"
    joists_above: Joists = field(default_factory=Joists)
    joists_below: Joists = field(default_factory=Joists)

    @classmethod
    def of(cls, wall: Wall) -> Structure:
        """Return what a wall's frame is fixed to."""
        return cls(wall.floor, wall.left_end, wall.right_end, wall.joists_above, wall.joists_below)


def outer_layers(frame: Frame) -> dict[str, int]:
    """Return the number of layers on each side that has boards."""
    layers: dict[str, int] = {}
    for board in frame.boards:
        layers[board.side] = max(layers.get(board.side, 1), board.layer)
    return dict(sorted(layers.items()))


def taped_joints(frame: Frame, *, angles: bool) -> tuple[Joint, ...]:
    """Return the joints that are taped: those of the outermost layer of each side."""
    outer = outer_layers(frame)
    foot = {side: min(b.y for b in frame.boards if b.side == side) for side in outer}
    return tuple(
        j
        for j in frame.joints
        if j.layer == outer.get(j.side)
        and (j.kind != "corner" or (angles and not (j.y1 == j.y2 and j.y1 <= foot[j.side])))
    )


def tape_length(frame: Frame, rules: Rules) -> float:
    """Return the joint tape that the wall takes, m.

    In m, without allowance.
    """
    joints = taped_joints(frame, angles=bool(rules.value("finish.tape_angles")))
    return sum(j.length for j in joints) / 1e4 * float(rules.value("finish.tape_per_joint"))


def face_area(frame: Frame) -> float:
    """Return the area of the outermost layers of both sides, holes taken off, m2.

    In m2.
    """
    outer = outer_layers(frame)
    return sum(fixed_area2(b) for b in frame.boards if b.layer == outer[b.side]) / 2e8


def perimeter(frame: Frame) -> int:
    """Return the length of the wall's edges against floor, ceiling and walls, doorways left out, 0.1 mm.

    In 0.1 mm.
    """
    floor = frame.profile.floor
    doors = sum(floor.length(c.left, c.right) for c in frame.clears if c.kind == "door")
    return frame.profile.perimeter - doors


def sealant_volume(frame: Frame, rules: Rules) -> float:
    """Return the sealant round the perimeter of each lined side, ml.

    In ml, without allowance.
    """
    runs = float(rules.value("sealant.runs_per_side")) * len(outer_layers(frame))
    return perimeter(frame) / 1e4 * runs * float(rules.value("sealant.per_metre"))


def adhesive_volume(frame: Frame, rules: Rules) -> float:
    """Return the adhesive between first-layer boards and timber, ml.

    In ml.
    """
    rate = float(rules.value("adhesive.per_metre"))
    if not rate:
        return 0.0
    sides = outer_layers(frame)
    behind = sum(m.length for m in frame.members for side in sides if side in m.faces)
    return behind / 1e4 * rate


def frame_fixings(frame: Frame, rules: Rules) -> int:
    """Return the number of nails or screws that hold the frame together.

    Every member but a plate is fixed at both ends; uprights that stand tight together are fixed to each
    other.
    """
    per_joint = int(rules.value("fixing.per_joint"))
    per_pattress = int(rules.value("fixing.pattress_per_end"))
    centres = rules.tenths("fixing.stud_to_stud_centres")
    ends = sum(
        2 * (per_pattress if m.role == "pattress" else per_joint)
        for m in frame.members
        if m.role not in PLATES
    )
    return ends + sum(screws_along(shared, centres) for shared in _tight_pairs(frame))


def joist_noggin_fixings(frame: Frame, rules: Rules) -> int:
    """Return the number of nails or screws that hold the noggins between joists, at both ends of each."""
    return 2 * int(rules.value("fixing.per_joint")) * len(frame.joist_noggins)


def cleat_fixings(frame: Frame, rules: Rules) -> int:
    """Return the number of screws that hold the cleats behind pattresses to the studs."""
    return int(rules.value("fixing.cleat_to_stud")) * len(frame.cleats)


def _tight_pairs(frame: Frame) -> list[int]:
    """Return the heights over which neighbouring uprights touch, 0.1 mm."""
    uprights = sorted((m for m in frame.members if m.role in UPRIGHT), key=lambda m: m.x)
    return [
        min(a.top, b.top) - max(a.y, b.y)
        for a, b in combinations(uprights, 2)
        if a.right == b.x and min(a.top, b.top) > max(a.y, b.y)
    ]


def plate_fixings(plate: Member, rules: Rules, joists: Joists | None = None) -> int:
    """Return the number of fixings of one piece of plate."""
    clear = (plate.length if plate.outline else plate.width) - 2 * rules.tenths("frame.plate_end_fixing")
    number = screws_along(clear, rules.tenths("frame.plate_fixing_centres"))
    number = max(number, int(rules.value("frame.plate_least_fixings")))
    return max(number, len(joists_crossed(joists, plate.x, plate.right))) if joists is not None else number


def structure_fixings(frame: Frame, rules: Rules, structure: Structure) -> dict[tuple[str, str], int]:
    """Return the fixings of the frame to floor, ceiling and walls.

    Number by (product of the price book, what it holds). A heated screed is never drilled: the product is then
    "".
    """
    to_timber, to_solid = str(rules.value("order.plate_to_timber")), str(rules.value("order.plate_to_solid"))
    floor_product = {"solid": to_solid, "heated screed": ""}.get(structure.floor, to_timber)
    end_products = {
        "masonry": str(rules.value("order.end_to_masonry")),
        "lined stud": str(rules.value("order.end_to_timber")),
    }
    out: dict[tuple[str, str], int] = {}

    def add(product: str, what: str, number: int) -> None:
        out[(product, what)] = out.get((product, what), 0) + number

    span, margin = rules.tenths("fixing.end_stud_centres"), rules.tenths("fixing.end_stud_from_end")
    for member in frame.members:
        if member.role == "head plate":
            add(to_timber, "head plate", plate_fixings(member, rules, structure.joists_above))
        elif member.role == "sole plate":
            add(floor_product, "sole plate", plate_fixings(member, rules, structure.joists_below))
        elif member.role == "end stud" and (member.x == 0 or member.right == frame.length):
            kind = structure.left_end if member.x == 0 else structure.right_end
            product = end_products.get(kind, end_products["lined stud"])
            add(product, "end studs", screws_along(member.length - 2 * margin, span))
    return out
