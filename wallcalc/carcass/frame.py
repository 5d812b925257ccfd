"""The frame and the linings put together: members, boards and joints with their marks.

All lengths are integers of 0.1 mm.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from wallcalc.boarding.choose import Boarding, joints_of
from wallcalc.boarding.course import Laid
from wallcalc.boarding.courses import Lining
from wallcalc.carcass import backing
from wallcalc.carcass.boards import marked_boards
from wallcalc.carcass.frame_notes import boarding_notes
from wallcalc.framing.members import members_of
from wallcalc.framing.noggin_rows import Noggin, Row, joint_rows, place_noggins, recut, stability_rows
from wallcalc.framing.noggin_steps import keep_off_services
from wallcalc.framing.room import check_openings
from wallcalc.given.parts import Service
from wallcalc.hanging.backing import (
    Backing,
    back_ends,
    back_rows,
    hung_notes,
    pattress_members,
    serve_items,
)
from wallcalc.records import Board, Cleat, Frame, Joint, Member, Purpose, Upright, for_joint
from wallcalc.services.holes import bored, pierced, service_notes
from wallcalc.site.site import Site


def build_frame(
    site: Site,
    uprights: Sequence[Upright],
    linings: Sequence[Lining],
    boarding: Boarding,
    services: Sequence[Service] = (),
    hung: Backing | None = None,
) -> Frame:
    """Return the frame that a boarding asks for, with its boards and joints.

    Raises OptionError: when an opening or the floor build-up leaves no room for the timber it needs.
    """
    check_openings(site)
    laid: list[list[tuple[int, Laid]]] = [[] for _ in linings]
    for slot, schedule in joints_of(boarding):
        laid[slot.lining] += [(slot.course.number, board) for board in schedule.boards]
    served = _served_joints(boarding, linings)
    uprights = backing.add_uprights(uprights, boarding.lines, served, site.clears, site.thickness)
    uprights = [_serve(u, served) for u in uprights]
    asks = backing.horizontal_asks(linings, [[board for _, board in pieces] for pieces in laid], site.rules)
    timber = _timber(site, uprights, joint_rows(asks, site.thickness, site.depth), services, hung)
    boards, joints = _boarded(site, linings, laid, timber.members)
    return Frame(
        site.profile,
        site.clears,
        tuple(timber.members),
        pierced(boards, services),
        tuple(joints),
        (*boarding_notes(boarding, linings, served), *service_notes(timber.members), *timber.notes),
        holes=bored(timber.members, services, site.height),
        cleats=timber.cleats,
    )


@dataclass(frozen=True, slots=True)
class _Timber:
    """The members of a frame, cleats behind its pattresses, and what is said of timber for hung items."""

    members: list[Member]
    cleats: tuple[Cleat, ...] = ()
    notes: tuple[str, ...] = ()


def _timber(
    site: Site,
    uprights: Sequence[Upright],
    rows: Sequence[Row],
    services: Sequence[Service],
    hung: Backing | None,
) -> _Timber:
    """All timber, with the rows that joints ask for and what stability and hung items need beside them."""
    made: dict[Row, list[Noggin]] = {}

    def place(wanted: Sequence[Row]) -> list[Noggin]:
        placed = place_noggins(wanted, uprights, site, made)
        return recut(keep_off_services(placed, wanted, services, site), site.profile) if services else placed

    if hung is None:
        stable = stability_rows(rows, site.height, site.thickness, site.rules, site.profile.lowest)
        return _Timber(members_of(site, uprights, place([*rows, *stable])))
    uprights, doubled = hung.double(uprights)
    noggins, pattresses = back_rows(hung, rows, uprights, place, site)
    members = members_of(site, uprights, recut(noggins, site.profile))
    members = serve_items([*members, *pattress_members(pattresses, hung.rules)], hung)
    cleats, without = back_ends(hung, members, site)
    return _Timber(members, cleats, hung_notes(hung, members, cleats, (*doubled, *without)))


def _boarded(
    site: Site,
    linings: Sequence[Lining],
    laid: Sequence[Sequence[tuple[int, Laid]]],
    members: Sequence[Member],
) -> tuple[list[Board], list[Joint]]:
    """Boards of all linings with their marks, and their joints with the members behind them."""
    boards: list[Board] = []
    joints: list[Joint] = []
    for lining, pieces in zip(linings, laid, strict=True):
        marked = marked_boards(lining, pieces)
        boards += [b for b, _ in marked]
        found = backing.joints_of_lining(marked, site)
        joints += [replace(j, backed_by=backing.backed(j, members)) for j in found]
    return boards, joints


def _served_joints(boarding: Boarding, linings: Sequence[Lining]) -> dict[int, tuple[Purpose, ...]]:
    """Return what joints fall on each line, by its place along the wall."""
    subjects: dict[int, set[Purpose]] = {}
    for slot, schedule in joints_of(boarding):
        lining = linings[slot.lining]
        layer = f" layer {lining.layer}" if lining.layer > 1 else ""
        whose = for_joint(f"joint on side {lining.side}{layer}")
        for x, _, _ in schedule.joints:
            subjects.setdefault(x, set()).add(whose)
    return {x: tuple(sorted(texts)) for x, texts in subjects.items()}


def _serve(upright: Upright, served: dict[int, tuple[Purpose, ...]]) -> Upright:
    extra = tuple(s for s in served.get(upright.line, ()) if s not in upright.serves)
    if not extra or upright.role not in ("stud", "short stud"):
        return upright
    return replace(upright, serves=(*upright.serves, *extra))
