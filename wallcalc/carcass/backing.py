"""What boards ask for becomes timber: studs under joints, straddling pairs, rows behind horizontal joints.

Timber is only added here, so an edge that is backed stays backed. All lengths are integers of 0.1 mm.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise

from wallcalc.boarding.course import Laid
from wallcalc.boarding.courses import Lining
from wallcalc.framing.joint_lines import zone_of
from wallcalc.framing.noggin_rows import Ask
from wallcalc.geometry.profile import Profile
from wallcalc.geometry.rectangles import Clear
from wallcalc.geometry.sloped import edges_at, share_area
from wallcalc.records import Board, Joint, Member, Purpose, Upright, for_joint
from wallcalc.site.frame_rules import FrameRules
from wallcalc.site.site import Site

Marked = tuple[Board, tuple[str, str, str, str]]
"""A board with the kinds of its ends: left, right, bottom, top."""


def add_uprights(
    uprights: Sequence[Upright],
    lines: Mapping[int, int],
    subjects: Mapping[int, tuple[Purpose, ...]],
    clears: Sequence[Clear],
    thickness: int,
) -> list[Upright]:
    """Return the uprights with studs added under joints and pairs put where one stud is not enough."""
    standing = {u.line: i for i, u in enumerate(uprights) if u.role in ("stud", "short stud")}
    result: list[Upright | None] = list(uprights)
    added = []
    for x, level in sorted(lines.items()):
        zone = zone_of(x, clears)
        serves = subjects.get(x, ())
        role = "stud" if zone < 0 else "short stud"
        if x in standing:
            old = uprights[standing[x]]
            serves = (*old.serves, *serves)
            result[standing[x]] = None
        if level == 1:
            left = x - thickness // 2
            added.append(Upright(left, left + thickness, role, zone, serves))
        else:
            role = "double stud" if zone < 0 else role
            added.append(Upright(x - thickness, x, role, zone, serves))
            added.append(Upright(x, x + thickness, role, zone, serves))
    return sorted([*(u for u in result if u is not None), *added], key=lambda u: (u.x, u.zone))


def horizontal_asks(
    linings: Sequence[Lining], laid: Sequence[Sequence[Laid]], rules: FrameRules
) -> list[Ask]:
    """Return what the horizontal joints of all linings ask for."""
    asks = []
    for lining, boards in zip(linings, laid, strict=True):
        if lining.lying and not rules.back_long_edges:
            continue
        for bottom, _ in lining.courses[1:]:
            above = {
                k[2] for b in boards for p, k in zip(b.patches, b.kinds, strict=True) if p.box[1] == bottom
            }
            below = {
                k[3] for b in boards for p, k in zip(b.patches, b.kinds, strict=True) if p.box[3] == bottom
            }
            needs = [rules.centred(a or "cut", b or "cut") for a in above for b in below]
            if needs:
                subject = for_joint(f"joint at {bottom / 10:g} mm on side {lining.side}")
                asks.append(Ask(bottom, lining.side, max(needs), subject))
    return asks


def joints_of_lining(boards: Sequence[Marked], site: Site) -> list[Joint]:
    """Return the joints between the boards of one lining, upright ones first, and where it meets walls and ceiling."""
    if not boards:
        return []
    return [
        *_meeting(boards, site.rules, upright=True),
        *_meeting(boards, site.rules, upright=False),
        *_corners(boards[0][0], site.profile),
    ]


def _meeting(boards: Sequence[Marked], rules: FrameRules, *, upright: bool) -> list[Joint]:
    """Return the upright, or the level, joints: the sides that boards have in common."""
    starting: dict[int, list[Marked]] = {}
    for marked in boards:
        starting.setdefault(marked[0].x if upright else marked[0].y, []).append(marked)
    found = []
    for board, kinds in boards:
        at = board.right if upright else board.top
        for other, other_kinds in starting.get(at, ()):
            for a, b in _shared(board, other, at, upright):
                ends = (kinds[1], other_kinds[0]) if upright else (kinds[3], other_kinds[2])
                line = (at, a, at, b) if upright else (a, at, b, at)
                found.append(Joint(board.side, board.layer, *line, *_kind(*ends, rules)))
    return sorted(found, key=lambda j: (j.x1, j.y1) if upright else (j.y1, j.x1))


def _shared(board: Board, other: Board, at: int, upright: bool) -> Iterator[tuple[int, int]]:
    for a, b in edges_at(board.outline, at, upright=upright):
        for c, d in edges_at(other.outline, at, upright=upright):
            if max(a, c) < min(b, d):
                yield max(a, c), min(b, d)


def _corners(board: Board, profile: Profile) -> list[Joint]:
    """Where a lining meets the walls at both ends and, piece by piece, the ceiling."""
    low, high = profile.low, profile.high
    found = [
        Joint(board.side, board.layer, x, low.over(x), x, high.under(x), "corner")
        for x in (0, profile.length)
    ]
    return found + [Joint(board.side, board.layer, *a, *b, "corner") for a, b in pairwise(high.points)]


def _kind(first: str, second: str, rules: FrameRules) -> tuple[str, tuple[str, ...], int]:
    """Kind of a joint of two edges, nothing behind it yet, and the timber it needs."""
    first, second = sorted((first or "cut", second or "cut"))
    return f"{first}-{second}", (), rules.need(first, second)


def backed(joint: Joint, members: Sequence[Member]) -> tuple[str, ...]:
    """Return the marks of the members that stand in the band a joint needs, on the joint's side.

    The band is as wide as the joint's need, centred on it; a member counts when it fills part of the band's
    width along part of the joint. Along a sloping corner the head plate that follows it counts.
    """
    need = max(joint.need, 2)
    if joint.x1 != joint.x2 and joint.y1 != joint.y2:
        return tuple(
            m.mark
            for m in members
            if m.role == "head plate" and joint.side in m.faces and m.x < joint.x2 and m.right > joint.x1
        )
    if joint.x1 == joint.x2:
        left, bottom, right, top = joint.x1 - need // 2, joint.y1, joint.x1 + need // 2, joint.y2
    else:
        left, bottom, right, top = joint.x1, joint.y1 - need // 2, joint.x2, joint.y1 + need // 2
    return tuple(
        m.mark
        for m in members
        if m.x < right
        and left < m.x + m.width
        and m.y < top
        and bottom < m.y + m.height
        and joint.side in m.faces
        and (not m.outline or share_area(m.outline, (left, bottom, right, top)))
    )
