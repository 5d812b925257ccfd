"""From a wall and the choices that bear on it to frame, boards and joints: the first stage of a design.

Its input is :class:`CarcassInput`, narrower than the option, so that options which differ only in what comes
later (the fill, say) share the result.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from functools import lru_cache

from wallcalc.boarding.choose import Boarding, choose_boarding
from wallcalc.boarding.courses import Lining
from wallcalc.boarding.runs import RunLayer
from wallcalc.boarding.sheet_choice import Wanted, cheapest_sheet, face_area, lay_out
from wallcalc.boarding.sheet_costs import SheetCosts, area_cost
from wallcalc.carcass.frame import build_frame
from wallcalc.errors import OptionError
from wallcalc.framing.joint_lines import joint_lines
from wallcalc.framing.joists import HARD_FLOORS, joist_noggins, joists_crossed
from wallcalc.framing.room import check_height
from wallcalc.framing.stud_lines import fixed_uprights, module_lines, module_studs
from wallcalc.geometry.rectangles import Clear
from wallcalc.given.wall import Wall
from wallcalc.hanging.backing import Backing, backing_of
from wallcalc.hanging.fixings import HungRules
from wallcalc.records import LAYOUT, MODULE, Frame, JoistNoggin, Upright
from wallcalc.remembered import Remembered
from wallcalc.services.clearances import Closed, closed_of
from wallcalc.services.holes import holes_in
from wallcalc.services.places import FixedParts, misplaced
from wallcalc.site.frame_rules import FrameRules
from wallcalc.site.lines import profile_of
from wallcalc.site.site import Site
from wallcalc.trade.price_records import SheetStock, TimberStock

ATTEMPTS = ((False, 1), (True, 1), (True, 5))
"""How the boarding is sought: joint lines between studs as well, and how broadly; the first that finds one."""

_BOARDINGS: Remembered[Boarding] = Remembered(128)


@dataclass(frozen=True, slots=True)
class CarcassInput:
    """All that frame and boards depend on. Lengths in 0.1 mm, prices in cents (in the stocks).

    ``lines`` are the stud middles where they are given, left to right; None: those of the module. ``centres`` is
    the most that studs may be apart, and for the module the distance at which they are set out. ``hung`` and ``ply``
    are the rules and the sheets for backing hung items, where there are any.
    """

    wall: Wall
    clears: tuple[Clear, ...]
    rules: FrameRules
    section: str
    timber: tuple[TimberStock, ...]
    end_trim: int
    centres: int
    set_out_from: str
    lying: bool
    sheets_a: tuple[SheetStock, ...]
    sheets_b: tuple[SheetStock, ...]
    product_a: str
    product_b: str
    layers_a: int
    layers_b: int
    course_from: str | float
    lines: tuple[int, ...] | None = None
    hung: HungRules | None = None
    ply: tuple[SheetStock, ...] = ()


@dataclass(frozen=True, slots=True)
class Carcass:
    """Frame, boards and joints, and how the boarding was chosen."""

    frame: Frame
    boarding: Boarding
    linings: tuple[Lining, ...]
    sheets: Mapping[str, tuple[SheetStock, ...]]


@dataclass(frozen=True, slots=True)
class Standing:
    """Sizes, linings, what hung items ask for, and the ways to stand uprights that are worth boarding."""

    site: Site
    linings: tuple[Lining, ...]
    hung: Backing | None
    ways: tuple[tuple[Upright, ...], ...]


@lru_cache(maxsize=1024)
def carcass(given: CarcassInput) -> Carcass:
    """Return frame, boards and joints for a wall and the choices that bear on them.

    Raises OptionError: when the hard rules cannot be kept, saying which, where, and the nearest change; that
    for services is told by :func:`wallcalc.remedies.tries.told`, for hung items by
    :func:`wallcalc.remedies.hung_moves.nearest_changes`.
    """
    return build_carcass(given)


@lru_cache(maxsize=1024)
def build_carcass(given: CarcassInput, attempts: tuple[tuple[bool, int], ...] = ATTEMPTS) -> Carcass:
    """Return what :func:`carcass` does, without looking for what would make a refused wall buildable."""
    base = standing(given)
    linings, hung = list(base.linings), base.hung
    sheets = {given.product_a: given.sheets_a, given.product_b: given.sheets_b}
    price = min(s.price / s.length for s in given.timber)
    best = None
    for uprights in base.ways:
        boarding = _boarding(_Asked(given, linings, sheets, uprights, price, hung), attempts)
        added = sum(_run_of(u, base.site) for u in uprights)
        cost = boarding.sheet_cost + boarding.timber_cost + price * added
        if best is None or cost < best[0]:
            best = cost, uprights, boarding
    assert best is not None
    _, uprights, boarding = best
    frame = build_frame(base.site, uprights, linings, boarding, given.wall.services, hung)
    frame = replace(frame, joist_noggins=noggins_between_joists(frame, given))
    return Carcass(frame, boarding, base.linings, sheets)


@lru_cache(maxsize=1024)
def standing(given: CarcassInput) -> Standing:
    """Return what stands before any board is laid.

    Raises OptionError: when there is no room for it.
    """
    site, wall = site_of(given), given.wall
    check_height(site, wall)
    posts, studs = stand(given)
    uprights = sorted([*posts, *studs], key=lambda u: (u.x, u.zone))
    linings = tuple(linings_of(given))
    hung = backing_of(wall, given.hung, site, given.centres)
    ways = [uprights] if hung is None else hung.lay(uprights)
    return Standing(site, linings, hung, tuple(tuple(way) for way in ways))


@lru_cache(maxsize=1024)
def site_of(given: CarcassInput) -> Site:
    """Return the site: the wall's lines and openings, its timber, the rules."""
    timber, wall = given.timber[0], given.wall
    return Site(
        profile=profile_of(wall, timber.thickness, given.rules),
        clears=given.clears,
        section=given.section,
        thickness=timber.thickness,
        depth=timber.depth,
        longest=given.timber[-1].length - given.end_trim,
        rules=given.rules,
        plate_places=_plate_places(wall),
    )


def stand(given: CarcassInput) -> tuple[list[Upright], list[Upright]]:
    """Return the fixed uprights, and the studs between them on the lines given or on the module.

    Raises OptionError: when there is no room for them.
    """
    thickness, rules, clears, wall = given.timber[0].thickness, given.rules, given.clears, given.wall
    posts = fixed_uprights(wall.length, clears, thickness, rules.jamb)
    if wall.services:
        refusals = misplaced(wall.services, FixedParts(site_of(given), tuple(posts)))
        if refusals:
            raise OptionError(refusals)
    studs = module_studs(
        stud_marks(given), posts, clears, thickness, given.centres, rules.least_bay, closed_to(given)
    )
    if given.lines is not None:
        studs = [replace(u, serves=tuple(LAYOUT if s == MODULE else s for s in u.serves)) for u in studs]
    return posts, studs


def closed_to(given: CarcassInput) -> Closed:
    """Return where services keep uprights away."""
    site = site_of(given)
    return closed_of(given.wall.services, site.clears, site.height, site.head, site.thickness)


def stud_marks(given: CarcassInput) -> list[int]:
    """Return the stud middles asked for, left to right: the lines given, or those of the module."""
    if given.lines is not None:
        return list(given.lines)
    return module_lines(given.wall.length, given.centres, given.set_out_from)


def noggins_between_joists(frame: Frame, given: CarcassInput) -> tuple[JoistNoggin, ...]:
    """Return the noggins that the plates ask for between joists that run along the wall, above and below."""
    rules, wall = given.rules, given.wall
    sides = [("above", wall.joists_above)]
    sides += [] if wall.floor in HARD_FLOORS else [("below", wall.joists_below)]
    return tuple(
        noggin
        for place, joists in sides
        for noggin in joist_noggins(
            frame.members,
            joists,
            given.section,
            thickness=rules.joist_thickness,
            centres=rules.joist_noggin_centres,
            from_end=rules.plate_end_fixing,
            least=rules.plate_least_fixings,
            place=place,
        )
    )


def _run_of(upright: Upright, site: Site) -> int:
    """Length of timber in an upright, 0.1 mm."""
    clear = site.clears[upright.zone] if upright.zone >= 0 else None
    return site.profile.upright(upright.line, clear, site.thickness)


@dataclass(frozen=True, slots=True)
class _Asked:
    """What a boarding is chosen for: linings on uprights, from sheets, at a timber price in cents per 0.1 mm."""

    given: CarcassInput
    linings: Sequence[Lining]
    sheets: Mapping[str, tuple[SheetStock, ...]]
    uprights: Sequence[Upright]
    timber_price: float
    hung: Backing | None


def _boarding(asked: _Asked, attempts: Sequence[tuple[bool, int]]) -> Boarding:
    """Choose the boarding, sought more widely where none is found; kept where hung items bear on it."""
    given, hung = asked.given, asked.hung

    def seek() -> Boarding:
        for between, breadth in attempts[:-1]:
            with suppress(OptionError):
                return _board(asked, between, breadth)
        return _board(asked, *attempts[-1])

    if hung is None:
        return seek()
    bare = replace(given, wall=replace(given.wall, hung=()), hung=None)
    return _BOARDINGS.get((bare, *hung.bearing(asked.uprights), tuple(attempts)), seek)


def _board(asked: _Asked, between: bool, breadth: int) -> Boarding:
    """Choose the boarding, with joint lines between the studs as well or without."""
    given, linings, sheets, site = asked.given, asked.linings, asked.sheets, site_of(asked.given)
    steps = {step for lining in linings for step in _steps(lining)}
    lines = joint_lines(site, asked.uprights, steps, between, closed_to(given))
    if asked.hung is not None:
        lines = asked.hung.lines(lines, asked.uprights)
    first: dict[tuple, RunLayer] = {}
    layers: dict[tuple, RunLayer] = {}
    ordered = []
    for lining in linings:
        holes = holes_in(lining.side, given.wall.services)
        alike = (lining.lying, lining.widest, lining.lengths, lining.courses)
        if (alike, holes) not in layers:
            best = cheapest_sheet(sheets[lining.product], lining)
            size = (best.length, best.width)
            beside = first.get((alike, size))
            if beside is None:
                made = RunLayer(lining, site, lines, best, asked.timber_price, holes)
            else:
                made = beside.beside(holes, best.price)
            first[alike, size] = layers[alike, holes] = made
        ordered.append(layers[alike, holes])
    costs, least = SheetCosts(sheets), least_sheet_cost(given, linings, sheets)
    return choose_boarding(linings, ordered, lines, site.length, costs, least, site.rules.least_bay, breadth)


def linings_of(given: CarcassInput) -> list[Lining]:
    """Return the linings in order of choice: A1, B1, A2, B2.

    Where services put joints of the two faces so near to one another that no timber serves both, both keep off the
    holes of either, and so come to one height, if they can.
    """
    found = _linings(given)
    inner = [
        {low for x in found if (x.side, x.layer) == (side, 1) for low, _ in x.courses[1:]} for side in "AB"
    ]
    reach = 2 * given.timber[0].thickness
    if given.wall.services and any(0 < abs(a - b) < reach for a in inner[0] for b in inner[1]):
        with suppress(OptionError):
            return _linings(given, "AB")
    return found


def _linings(given: CarcassInput, clear_of: str = "") -> list[Lining]:
    sides = (
        Wanted("A", given.layers_a, given.product_a, given.sheets_a, given.lying, given.course_from),
        Wanted("B", given.layers_b, given.product_b, given.sheets_b, given.lying, given.course_from),
    )
    site = site_of(given)
    found = [lining for wanted in sides for lining in lay_out(wanted, given.wall, site, clear_of)]
    return sorted(found, key=lambda lining: (lining.layer, lining.side))


def _steps(lining: Lining) -> tuple[int, ...]:
    return lining.lengths if lining.lying else (lining.widest,)


def _plate_places(wall: Wall) -> tuple[int, ...] | None:
    """Joists that the head plate crosses, where both ends of a plate joint can be fixed; None when not known."""
    joists = wall.joists_above
    if joists.direction != "across" or joists.first is None or joists.centres is None:
        return None
    return joists_crossed(joists, 0, wall.length - 1)


def least_sheet_cost(
    given: CarcassInput, linings: Sequence[Lining], sheets: Mapping[str, tuple[SheetStock, ...]]
) -> int:
    """Cents of sheets that any boarding of these linings takes: each product's area at the least price."""
    site = site_of(given)
    face = face_area(site.profile, site.clears)
    return sum(
        area_cost(face * sum(lining.product == product for lining in linings), stocks)
        for product, stocks in sheets.items()
    )
