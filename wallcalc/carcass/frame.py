"""The frame and the linings put together: members, boards and joints with their marks.

All lengths are integers of 0.1 mm.
"""

from __future__ import annotations

from collections.abc import Sequence

from wallcalc.boarding.choose import Boarding, joints_of
from wallcalc.boarding.course import Laid, Shape
from wallcalc.boarding.courses import Lining
from wallcalc.boarding.uneven_joints import real_edges
from wallcalc.carcass import backing
from wallcalc.carcass.frame_notes import boarding_notes
from wallcalc.framing.noggin_rows import Noggin, Row, joint_rows, place_noggins, stability_rows
from wallcalc.framing.noggin_steps import keep_off_services
from wallcalc.framing.opening_room import check_level, check_uneven
from wallcalc.framing.plates import sole_runs, split_plate
from wallcalc.framing.uneven_frame import check_lengths, plates_along, shaped, upright_outlines
from wallcalc.framing.uneven_rows import recut
from wallcalc.geometry.rectangles import Clear
from wallcalc.given.wall import Service
from wallcalc.hanging.backing import (
    Backing,
    back_ends,
    back_rows,
    hung_notes,
    pattress_members,
    serve_items,
)
from wallcalc.records import EDGES, Board, Cleat, CutOut, Frame, Joint, Member, Upright
from wallcalc.services.holes import bored, pierced, service_notes
from wallcalc.site.site import Site

PREFIX = {
    "sole plate": "SP",
    "head plate": "HP",
    "end stud": "ES",
    "stud": "S",
    "double stud": "DS",
    "jamb stud": "JS",
    "trimmer": "TR",
    "short stud": "SS",
    "door head": "DH",
    "sill": "SL",
    "noggin": "N",
    "pattress": "P",
}
"""How marks begin, by role."""


def build_frame(
    site: Site,
    uprights: Sequence[Upright],
    linings: Sequence[Lining],
    boarding: Boarding,
    services: Sequence[Service] = (),
    hung: Backing | None = None,
) -> Frame:
    """Return the frame that a boarding asks for, with its boards and joints.

    Parameters
    ----------
    site : Site
        Where it stands.
    uprights : sequence of Upright
        Fixed and module studs, before boards asked for more.
    linings : sequence of Lining
        As in the boarding.
    boarding : Boarding
        The boards chosen.
    services : sequence of Service
        What noggins keep clear of, and what bores timber and boards.
    hung : Backing, optional
        Fixings of hung items that timber has to be put behind.

    Returns
    -------
    Frame

    Raises
    ------
    OptionError
        When an opening or the floor build-up leaves no room for the timber it needs.
    """
    profile, clears, rules = site.profile, site.clears, site.rules
    if profile.is_level:
        check_level(site.head, site.thickness, clears)
    else:
        check_uneven(profile, clears, site.thickness, site.bearing)
    laid: list[list[Laid]] = [[] for _ in linings]
    numbers: list[list[int]] = [[] for _ in linings]
    subjects: dict[int, list[str]] = {}
    for slot, schedule in joints_of(boarding):
        laid[slot.lining] += schedule.boards
        numbers[slot.lining] += [slot.course.number] * len(schedule.boards)
        lining = linings[slot.lining]
        for x, _, _ in schedule.joints:
            text = f"joint on side {lining.side}" + (f" layer {lining.layer}" if lining.layer > 1 else "")
            if text not in subjects.setdefault(x, []):
                subjects[x].append(text)
    served = {x: tuple(sorted(texts)) for x, texts in subjects.items()}
    uprights = backing.add_uprights(uprights, boarding.lines, served, clears, site.thickness)
    uprights = [_serve(u, served) for u in uprights]
    said: tuple[str, ...] = ()
    cleats: tuple[Cleat, ...] = ()
    if hung is not None:
        uprights, said = hung.double(uprights)
    rows = joint_rows(backing.horizontal_asks(linings, laid, rules), site.thickness, site.depth)
    floor = profile.lowest
    made: dict[Row, list[Noggin]] = {}

    def place(wanted: Sequence[Row]) -> list[Noggin]:
        placed = place_noggins(wanted, uprights, site, made)
        if not services:
            return placed
        placed = keep_off_services(placed, wanted, services, site)
        return placed if profile.is_level else recut(placed, profile)

    if hung is None:
        rows += stability_rows(rows, site.height, site.thickness, rules, floor)
        members = _members(site, uprights, place(rows))
    else:
        noggins, pattresses = back_rows(hung, rows, uprights, place, site)
        noggins = noggins if profile.is_level else recut(noggins, profile)
        members = _members(site, uprights, noggins)
        members = serve_items([*members, *pattress_members(pattresses, hung.rules)], hung)
        cleats, without = back_ends(hung, members, site)
        said = hung_notes(hung, members, cleats, (*said, *without))
    boards: list[Board] = []
    joints: list[Joint] = []
    for lining, pieces, courses in zip(linings, laid, numbers, strict=True):
        marked = _boards(lining, pieces, courses)
        boards += [b for b, _ in marked]
        found = backing.vertical_joints(marked, clears, rules, profile)
        found += backing.horizontal_joints(marked, clears, rules, profile)
        found += backing.corner_joints([b for b, _ in marked], site.length, profile)
        joints += [
            Joint(
                j.side, j.layer, j.x1, j.y1, j.x2, j.y2, j.kind, backing.backed(j, members, profile), j.need
            )
            for j in found
        ]
    return Frame(
        profile,
        clears,
        tuple(members),
        pierced(boards, services),
        tuple(joints),
        (*boarding_notes(boarding, linings, served), *service_notes(members), *said),
        holes=bored(members, services, site.height),
        cleats=cleats,
    )


def _serve(upright: Upright, served: dict[int, tuple[str, ...]]) -> Upright:
    extra = tuple(s for s in served.get(upright.line, ()) if s not in upright.serves)
    if not extra or upright.role not in ("stud", "short stud"):
        return upright
    return Upright(upright.x, upright.right, upright.role, upright.zone, (*upright.serves, *extra))


def _members(site: Site, uprights: Sequence[Upright], noggins: Sequence[Noggin]) -> list[Member]:
    t, depth, head, clears, rules = site.thickness, site.depth, site.head, site.clears, site.rules
    count: dict[str, int] = {}

    def mark(role: str) -> str:
        count[role] = count.get(role, 0) + 1
        return f"{PREFIX[role]}{count[role]}"

    def member(role: str, x: int, y: int, width: int, height: int, serves: tuple[str, ...] = ()) -> Member:
        longest = max(width, height)
        return Member(mark(role), role, site.section, x, y, width, height, longest, depth, "AB", serves)

    full = [u for u in uprights if u.zone < 0 and u.role != "end stud"]
    studs = [u.line for u in full if u.role != "jamb stud"]
    others = [u.line for u in full if u.role == "jamb stud"]  # where no other stud is within reach
    least = rules.plate_least_fixings * rules.plate_end_fixing
    members = []
    sole_joints: list[int] = []
    profile = site.profile
    for start, end in sole_runs(site.length, clears):
        if not profile.is_level:
            found = plates_along(profile, start, end, t, site.longest, (studs, others), (), least, False)
            members += [shaped(member("sole plate", 0, 0, t, t), outline) for outline in found]
            sole_joints += [m.right for m in members[-len(found) :] if m.right != end]
            continue
        pieces = split_plate(start, end, site.longest, (studs, others), (), least, "sole plate")
        sole_joints += [b for _, b in pieces[:-1]]
        members += [member("sole plate", a, 0, b - a, t) for a, b in pieces]
    places = (studs, others) if site.plate_places is None else (site.plate_places,)
    near = {x for group in places for x in group for s in sole_joints if abs(x - s) < t}
    if not profile.is_level:
        found = plates_along(profile, 0, site.length, t, site.longest, places, near, least, True)
        members += [shaped(member("head plate", 0, 0, t, t), outline) for outline in found]
    else:
        pieces = split_plate(0, site.length, site.longest, places, near, least, "head plate")
        members += [member("head plate", a, head, b - a, t) for a, b in pieces]
    for u in uprights:
        if not profile.is_level:
            for outline in upright_outlines(u.x, u.right, u.zone, u.role == "trimmer", clears, profile, t):
                members.append(shaped(member(u.role, u.x, 0, t, t, u.serves), outline))
            continue
        for bottom, top in _stretches(u, clears, t, head):
            members.append(member(u.role, u.x, bottom, u.right - u.x, top - bottom, u.serves))
    for clear in clears:
        width = clear.right - clear.left + 2 * site.bearing
        under = profile.head.least(clear.left, clear.right)
        over = profile.sole.most(clear.left, clear.right)
        if clear.top < under:
            members.append(member("door head", clear.left - site.bearing, clear.top, width, t, ("opening",)))
        if clear.kind == "hatch" and clear.bottom > over:
            width = clear.right - clear.left
            members.append(member("sill", clear.left, clear.bottom - t, width, t, ("opening",)))
    for n in noggins:
        name = f"N{n.row}.{n.bay}{n.part}"
        through = t if n.flat else depth
        members.append(
            Member(
                name,
                "noggin",
                site.section,
                n.x,
                n.y,
                n.width,
                n.height,
                n.width,
                through,
                n.faces,
                n.serves,
                n.flat,
            )
        )
        if n.outline:
            members[-1] = shaped(members[-1], n.outline)
    if not profile.is_level:
        check_lengths(members, site.longest)
    return _grouped(members)


def _stretches(u: Upright, clears: Sequence[Clear], t: int, head: int) -> list[tuple[int, int]]:
    """Where an upright stands in height: all the way, up to an opening's head, or above and below an opening."""
    if u.zone < 0:
        return [(t, head)]
    clear = clears[u.zone]
    if u.role == "trimmer":
        return [(t, clear.top)]
    found = []
    if clear.bottom - t > t:
        found.append((t, clear.bottom - t))
    if head - clear.top - t > 0:
        found.append((clear.top + t, head))
    return found


def _grouped(members: list[Member]) -> list[Member]:
    """Give identical pieces one cut group, named after the first of them."""
    first: dict[tuple, str] = {}
    result = []
    for m in members:
        key = (m.section, m.length, *_taper(m))
        first.setdefault(key, f"T{len(first) + 1}")
        result.append(
            Member(
                m.mark,
                m.role,
                m.section,
                m.x,
                m.y,
                m.width,
                m.height,
                m.length,
                m.depth,
                m.faces,
                m.serves,
                m.flat,
                first[key],
                m.outline,
            )
        )
    return result


def _taper(m: Member) -> tuple:
    """Tell pieces of one length apart that are cut to a slope: by their outlines, either way round."""
    if not m.outline:
        return ()
    seen = sorted((x - m.x, y - m.y) for x, y in m.outline)
    return tuple(min(seen, sorted((m.right - x, y - m.y) for x, y in m.outline)))


def _boards(
    lining: Lining, laid: Sequence[Laid], courses: Sequence[int]
) -> list[tuple[Board, tuple[str, str, str, str]]]:
    pieces = []
    for board, course in zip(laid, courses, strict=True):
        for patch, shape, kinds in zip(board.patches, board.shapes, board.kinds, strict=True):
            pieces.append((course, patch, shape, kinds))
    pieces.sort(key=lambda p: (p[0], p[1].box[0], p[1].box[1]))
    groups: dict[tuple, str] = {}
    found = []
    for number, (course, patch, shape, kinds) in enumerate(pieces, start=1):
        x0, y0, x1, y1 = patch.box
        key = (shape, tuple((x - x0, y - y0) for x, y in patch.outline), patch.holes and (x0, y0))
        groups.setdefault(key, f"{lining.side}{lining.layer}-{number}")
        named = dict(zip(EDGES, (kinds[0], kinds[1], kinds[3], kinds[2]), strict=True))
        bound = {e for e, k in named.items() if k == "bound"}
        if shape[2] == 2:
            bound |= {"top", "bottom"} if lining.lying else {"left", "right"}
        bound = real_edges(patch.outline, bound)
        board = Board(
            mark=f"{lining.side}{lining.layer}-{number}",
            side=lining.side,
            layer=lining.layer,
            course=course,
            product=lining.product,
            x=x0,
            y=y0,
            width=x1 - x0,
            height=y1 - y0,
            outline=patch.outline,
            bound_edges=tuple(e for e in EDGES if e in bound),
            lying=lining.lying,
            need_bound=shape[2],
            cut_outs=_face_up(shape, lining),
            holes=patch.holes,
            cut_group=groups[key],
        )
        found.append((board, kinds))
    return found


def _face_up(shape: Shape, lining: Lining) -> tuple[CutOut, ...]:
    """Return a blank's cut-outs as seen from its face.

    Boards are laid in the elevation seen from side A. Upright boards of side B and boards on their side of side A
    would be drawn from the back: those are turned end for end, which leaves their long edges where they are.
    """
    along, cut_outs = shape[0], shape[3]
    if lining.lying != (lining.side == "A"):
        return cut_outs
    return tuple(CutOut(along - c.along - c.length, c.across, c.length, c.width, c.bound) for c in cut_outs)
