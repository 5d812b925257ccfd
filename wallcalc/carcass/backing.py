"""What boards ask for becomes timber: studs under joints, straddling pairs, rows behind horizontal joints.

Timber is only added here, so an edge that is backed stays backed. All lengths are integers of 0.1 mm.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from wallcalc.boarding.course import Laid
from wallcalc.boarding.courses import Lining
from wallcalc.boarding.uneven_joints import backed_on_slope, corners_along, meeting_edges
from wallcalc.framing.joint_lines import zone_of
from wallcalc.framing.noggin_rows import Ask
from wallcalc.geometry.profile import Profile
from wallcalc.geometry.rectangles import Clear
from wallcalc.records import Board, Joint, Member, Upright
from wallcalc.site.frame_rules import FrameRules


def add_uprights(
    uprights: Sequence[Upright],
    lines: Mapping[int, int],
    subjects: Mapping[int, tuple[str, ...]],
    clears: Sequence[Clear],
    thickness: int,
) -> list[Upright]:
    """Return the uprights with studs added under joints and pairs put where one stud is not enough.

    Parameters
    ----------
    uprights : sequence of Upright
        What stands already.
    lines : mapping of int to int
        Joint line to 1 (one stud) or 2 (a pair that straddles the line).
    subjects : mapping of int to tuple of str
        What each line's stud serves.
    clears : sequence of Clear
        Structural openings.
    thickness : int
        Stud thickness, 0.1 mm.
    """
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
    """Return what the horizontal joints of all linings ask for.

    Parameters
    ----------
    linings : sequence of Lining
        All linings.
    laid : sequence of sequence of Laid
        The boards of each lining.
    rules : FrameRules
        Where long edges across the framing need no backing, boards on their side ask for nothing.
    """
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
                subject = f"joint at {bottom / 10:g} mm on side {lining.side}"
                asks.append(Ask(bottom, lining.side, max(needs), subject))
    return asks


def vertical_joints(
    boards: Sequence[tuple[Board, tuple[str, str, str, str]]],
    clears: Sequence[Clear],
    rules: FrameRules,
    profile: Profile,
) -> list[Joint]:
    """Return the vertical joints between the boards of one lining, openings left out."""
    if not profile.is_level:
        return meeting_edges(boards, lambda a, b: _kind(a, b, rules), upright=True)
    found = []
    by_left: dict[int, list[tuple[Board, tuple[str, str, str, str]]]] = {}
    for board, kinds in boards:
        by_left.setdefault(board.x, []).append((board, kinds))
    for board, kinds in boards:
        for other, other_kinds in by_left.get(board.right, ()):
            low, high = max(board.y, other.y), min(board.top, other.top)
            for a, b in _outside(low, high, board.right, clears):
                kind, need = _kind(kinds[1], other_kinds[0], rules)
                found.append(Joint(board.side, board.layer, board.right, a, board.right, b, kind, (), need))
    return sorted(found, key=lambda j: (j.x1, j.y1))


def _outside(low: int, high: int, x: int, clears: Sequence[Clear]) -> list[tuple[int, int]]:
    pieces = [(low, high)] if low < high else []
    for c in clears:
        if c.left <= x <= c.right:
            pieces = [
                p for a, b in pieces for p in ((a, min(b, c.bottom)), (max(a, c.top), b)) if p[0] < p[1]
            ]
    return pieces


def horizontal_joints(
    boards: Sequence[tuple[Board, tuple[str, str, str, str]]],
    clears: Sequence[Clear],
    rules: FrameRules,
    profile: Profile,
) -> list[Joint]:
    """Return the horizontal joints between the boards of one lining, openings left out."""
    if not profile.is_level:
        return meeting_edges(boards, lambda a, b: _kind(a, b, rules), upright=False)
    found = []
    by_bottom: dict[int, list[tuple[Board, tuple[str, str, str, str]]]] = {}
    for board, kinds in boards:
        by_bottom.setdefault(board.y, []).append((board, kinds))
    for board, kinds in boards:
        for other, other_kinds in by_bottom.get(board.top, ()):
            pieces = [(max(board.x, other.x), min(board.right, other.right))]
            for c in clears:
                if c.bottom <= board.top <= c.top:
                    pieces = [p for a, b in pieces for p in ((a, min(b, c.left)), (max(a, c.right), b))]
            for a, b in pieces:
                if a < b:
                    kind, need = _kind(kinds[3], other_kinds[2], rules)
                    found.append(Joint(board.side, board.layer, a, board.top, b, board.top, kind, (), need))
    return sorted(found, key=lambda j: (j.y1, j.x1))


def corner_joints(boards: Sequence[Board], length: int, profile: Profile) -> list[Joint]:
    """Return where a lining meets the walls at both ends and the ceiling."""
    if not profile.is_level:
        return corners_along(boards, profile)
    if not boards:
        return []
    side, layer = boards[0].side, boards[0].layer
    low, high = min(b.y for b in boards), max(b.top for b in boards)
    found = [Joint(side, layer, x, low, x, high, "corner") for x in (0, length)]
    found.append(Joint(side, layer, 0, high, length, high, "corner"))
    return found


def _kind(first: str, second: str, rules: FrameRules) -> tuple[str, int]:
    first, second = sorted((first or "cut", second or "cut"))
    return f"{first}-{second}", rules.need(first, second)


def backed(joint: Joint, members: Sequence[Member], profile: Profile) -> tuple[str, ...]:
    """Return the marks of the members that stand in the band a joint needs, on the joint's side.

    The band is as wide as the joint's need, centred on it; a member counts when it fills part of the band's
    width along part of the joint.
    """
    if not profile.is_level:
        return backed_on_slope(joint, members)
    need = max(joint.need, 2)
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
    )
