"""Backing of hung items in the frame: what each stage of the carcass asks of the fixings, in one place.

Studs are laid for the fixings before the boards, boards keep clear of them, then timber is only added: double studs,
noggins, pattresses. All lengths are integers of 0.1 mm.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from wallcalc.framing.joint_lines import JointLine
from wallcalc.framing.noggin_rows import Noggin, Row
from wallcalc.framing.noggin_steps import Ways, ways_of
from wallcalc.geometry.rectangles import Clear, Rect, clip
from wallcalc.given.parts import HungItem
from wallcalc.given.wall import Wall
from wallcalc.hanging.bays import Sizes
from wallcalc.hanging.cleats import cleats_behind
from wallcalc.hanging.doubles import double_studs, keep_lines, least_doubles, reaches
from wallcalc.hanging.fixings import (
    Fixing,
    HungRules,
    fixings_of,
    on_level_timber,
    pad_corners,
    served,
    stands_at,
    upright_holds,
)
from wallcalc.hanging.rows import Pattress, Rowing, back_fixings
from wallcalc.hanging.studs import StudPlan, lay_studs
from wallcalc.records import Cleat, Member, Upright
from wallcalc.services.clearances import closed_intervals, level_free
from wallcalc.site.site import Site
from wallcalc.units.lengths import MM


@dataclass(frozen=True, slots=True)
class Backing:
    """Fixings of a wall's hung items and what bears on them.

    ``fixings`` are all of them, ``open`` those that no plate, door head or sill holds.
    """

    rules: HungRules
    fixings: tuple[Fixing, ...]
    open: tuple[Fixing, ...]
    clears: tuple[Clear, ...]
    plan: StudPlan
    ways: Ways | None
    depth: int

    def free(self, rect: Rect, through: int) -> bool:
        """Return whether level timber in a rectangle stays clear of services.

        Pipes that drop or rise pass behind timber that does not fill the wall's depth, if what ``through`` leaves of
        it is enough; through a noggin on edge they are bored.
        """
        if self.ways is None:
            return True
        if not level_free(rect, self.ways.closed, self.ways.along):
            return False
        return through >= self.depth or not any(
            d.diameter > self.depth - through and clip(rect, d.rect) is not None for d in self.ways.upright
        )

    def lay(self, uprights: Sequence[Upright]) -> list[list[Upright]]:
        """Return the ways to lay studs that are worth boarding: fewest studs, and most of them on the module."""
        if not self.open:
            return [list(uprights)]
        first = lay_studs(uprights, self.clears, self.open, self.plan)
        if first == list(uprights):
            return [first]
        second = lay_studs(uprights, self.clears, self.open, self.plan, keep_module=True)
        return [first] if second == first else [first, second]

    def lines(self, lines: Sequence[JointLine], uprights: Sequence[Upright]) -> tuple[JointLine, ...]:
        """Return the joint lines that leave every fixing what holds it."""
        return keep_lines(lines, self.open, uprights, self.clears, self.plan.thickness)

    def bearing(self, uprights: Sequence[Upright]) -> tuple[object, ...]:
        """Return all that bears on the choice of boards: the uprights, and how near to fixings joints may come."""
        near = tuple(
            (f.x, f.grip, zone, reach) for f, zone, reach in reaches(self.open, uprights, self.clears)
        )
        return tuple(uprights), near

    def double(self, uprights: Sequence[Upright]) -> tuple[list[Upright], tuple[str, ...]]:
        """Return the uprights with those doubled that carry heavy items, and notes."""
        return double_studs(uprights, self.clears, self.open, self.plan)

    def least_doubles(self, uprights: Sequence[Upright]) -> int:
        """Return how many uprights come on top of these for heavy items at the least, whatever boards add."""
        return least_doubles(uprights, self.clears, self.open, self.plan)


def backing_of(
    wall: Wall,
    hung: HungRules | None,
    site: Site,
    centres: int,
) -> Backing | None:
    """Return what a wall's hung items ask of its frame, or None where nothing hangs on it."""
    if hung is None or not wall.hung:
        return None
    t, head, depth = site.thickness, site.head, site.depth
    clears, rules = site.clears, site.rules
    fixings = fixings_of(wall.hung, hung)
    loose = tuple(f for f in fixings if not on_level_timber(f, site))
    closed = closed_intervals(wall.services, clears, site.height, head, t)
    ways = ways_of(wall.services, site.height, t, depth, rules.bore_most(depth))
    return Backing(hung, fixings, loose, clears, StudPlan(t, centres, rules.least_bay, closed), ways, depth)


def back_rows(
    backing: Backing,
    joint: Sequence[Row],
    uprights: Sequence[Upright],
    place: Callable[[Sequence[Row]], list[Noggin]],
    site: Site,
) -> tuple[list[Noggin], list[Pattress]]:
    """Return the noggins of a frame and its pattresses, with every fixing held.

    Raises OptionError: naming the fixings that nothing can be put behind.
    """
    hung, rules = backing.rules, site.rules
    sizes = Sizes(site.thickness, site.depth, hung.board_thickness, hung.board_least, *rules.meeting)
    left = []
    for f in backing.open:
        there = [u for u in uprights if stands_at(u, f.y, backing.clears)]
        left += pad_corners(f, there) if any(upright_holds(f, u, backing.clears) for u in there) else [f]
    spacing = rules.stability_spacing if rules.stability_rows else 0
    rowing = Rowing(
        sizes,
        site.height,
        backing.clears,
        tuple(uprights),
        spacing,
        rules.noggin_min,
        place,
        backing.free,
        site.profile,
    )
    return back_fixings(joint, left, rowing)


def pattress_members(boards: Sequence[Pattress], rules: HungRules) -> list[Member]:
    """Return the pattresses as members, marked P1, P2, ... from left to right, then bottom up."""
    return [
        Member(
            f"P{number}", "pattress", rules.board, p.x, p.y, p.width, p.height, p.width,
            rules.board_thickness, p.faces, p.serves,
        )
        for number, p in enumerate(boards, start=1)
    ]  # fmt: skip


def back_ends(
    backing: Backing, members: Sequence[Member], site: Site
) -> tuple[tuple[Cleat, ...], tuple[str, ...]]:
    """Return the cleats that the ends of pattresses are screwed to, and where there is no room for one, in words."""
    pipes = backing.ways.upright if backing.ways is not None else ()
    return cleats_behind(members, site.section, site.thickness, site.depth, backing.rules, pipes)


def hung_notes(
    backing: Backing, members: Sequence[Member], cleats: Sequence[Cleat] = (), notes: Sequence[str] = ()
) -> tuple[str, ...]:
    """Return what to say of the timber put in for hung items."""
    found = []
    for m in members:
        mine = [s for s in m.serves if s.kind == "item"]
        if not mine:
            continue
        who = ", ".join(mine)
        at = f"at {(m.x + m.width // 2) / MM:g} mm"
        if m.role == "stud" and not any(s.kind in ("module", "layout") for s in m.serves):
            found.append(f"stud {m.mark} {at} for the {who}")
        elif m.role == "double stud" and m.serves == tuple(mine):
            found.append(f"double stud {m.mark} {at} for the {who}")
        elif m.role == "pattress":
            behind = [c for c in cleats if m.mark in c.serves]
            held = (
                f", its ends screwed to {' and '.join(c.mark for c in behind)}: stud timber ripped to "
                f"{behind[0].depth / MM:g} mm, screwed upright to the stud's side, set back by the pattress's thickness"
                if behind
                else ""
            )
            found.append(f"pattress {m.mark} for the {who}: flush with the studs on side {m.faces}{held}")
    return (*found, *notes)


def serve_items(members: Sequence[Member], backing: Backing) -> list[Member]:
    """Return the members with the items they hold added to what they serve."""
    return served(members, backing.fixings)


def heavy_items(
    hung: Sequence[HungItem], load_of: Callable[[HungItem], float], least: float
) -> tuple[str, ...]:
    """Return the names of the items whose design load asks for double studs.

    Units: ``load_of``, ``least`` N.
    """
    return tuple(item.name for item in hung if load_of(item) >= least)
