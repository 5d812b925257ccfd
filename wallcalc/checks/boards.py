"""Boards: distance spanned against thickness, strips too narrow, joints too near a jamb or shared by both faces."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from itertools import pairwise

from wallcalc.checks.facts import Facts
from wallcalc.checks.registry import register
from wallcalc.checks.rows import CAUTION, FAIL, NOT_KNOWN, OK, at_least, at_most, length_text, say
from wallcalc.records import CheckRow, Frame, Joint
from wallcalc.trade.rules import Rules
from wallcalc.units.lengths import MM

THICKNESS_SLACK = 0.3
"""A board this much [mm] under a row's thickness still counts as that thickness (12.5 and 12.7 are told apart by
the rule set's own rows, makers' sizes differ by less)."""


@lru_cache(maxsize=512)
def span_limits(rules: Rules, thickness: float, lying: bool, noggins: bool) -> tuple[tuple, ...]:
    """Return the most stud centres for a board, one entry an edition of the rules.

    One entry with None where no edition has a row that covers the board. Units: ``thickness`` mm.
    """
    editions: dict[str, list[dict]] = {}
    for row in rules.rows("board_span"):
        editions.setdefault(str(row["edition"]), []).append(row)
    found, missing = [], None
    for edition, rows in editions.items():
        fits = [
            r
            for r in rows
            if r["thickness"] <= thickness + THICKNESS_SLACK
            and (r["orientation"] == "either" or (r["orientation"] == "across") == lying)
            and (r["noggins"] == "none" or noggins)
        ]
        if not fits:
            missing = (edition, None, rows[0]["verdict"], rows[0]["source"], rows[0]["status"])
            continue
        thickest = max(r["thickness"] for r in fits)
        best = max((r for r in fits if r["thickness"] == thickest), key=lambda r: r["max_centres"])
        found.append((edition, float(best["max_centres"]), best["verdict"], best["source"], best["status"]))
    return tuple(found) or ((missing,) if missing else ())


def noggins_everywhere(facts: Facts) -> bool:
    """Return whether every bay between full-height studs, openings apart, has a noggin in it."""
    noggins = [m for m in facts.frame.members if m.role == "noggin"]
    for a, b in pairwise(facts.studs):
        if any(c.left < b.left and c.right > a.right for c in facts.frame.clears):
            continue
        if not any(n.x < b.left and n.right > a.right for n in noggins):
            return False
    return True


@register("boards")
def board_span(facts: Facts) -> Iterator[CheckRow]:
    """Compare the widest bay with the most centres for the board's thickness and orientation."""
    if not facts.bays:
        return
    widest = max(facts.bays, key=lambda bay: bay.spacing)
    spacing = widest.spacing / MM
    noggins = noggins_everywhere(facts)
    for side in "AB":
        layers = facts.layers(side)
        if not layers:
            continue
        board = layers[0]
        lying = any(b.lying for b in facts.linings[side, 1])
        subject = f"side {side}, {board.product}"
        for edition, centres, verdict, source, status in span_limits(
            facts.rules, board.thickness / MM, lying, noggins
        ):
            case = f"widest bay, {widest.left} to {widest.right} ({edition})"
            if centres is None:
                yield say(
                    "board span", subject, case, NOT_KNOWN,
                    f"the rules name no stud centres for a {length_text(board.thickness / MM)} board laid like "
                    "this: ask the board's maker",
                    source, status, spacing, None, "mm",
                )  # fmt: skip
                continue
            yield at_most(
                "board span", subject, case, spacing, centres, "mm",
                f"a {length_text(board.thickness / MM)} board spans {length_text(spacing)} between stud centres; "
                f"past {length_text(centres)} it gives under a hand or a shelf and its joints crack",
                source, status, over=verdict,
            )  # fmt: skip


@register("boards")
def narrow_strips(facts: Facts) -> Iterator[CheckRow]:
    """Look for strips narrower than the rule likes."""
    rule = facts.rules.rule("board.narrow_strip")
    limit = facts.rules.tenths("board.narrow_strip")
    boards = facts.frame.boards
    if not boards:
        return
    worst = min(boards, key=lambda b: min(b.width, b.height))
    narrow = sum(min(b.width, b.height) < limit for b in boards)
    why = (
        f"{narrow} strips narrower than {length_text(limit / MM)}"
        if narrow
        else "no strip too narrow to fix well"
    )
    yield at_least(
        "narrow strip", f"board {worst.mark}", "narrowest board", min(worst.width, worst.height) / MM, limit / MM,
        "mm", why,
        rule.source, rule.status, under=CAUTION,
    )  # fmt: skip


@register("boards")
def joints_at_jambs(facts: Facts) -> Iterator[CheckRow]:
    """Keep vertical joints away from the lines of a door's jambs, where they crack."""
    if not facts.frame.clears:
        return
    near, rule = _nearest_to_jamb(facts.frame), facts.rules
    fail, caution = rule.rule("joint.jamb_fail"), rule.rule("joint.jamb_caution")
    if near is None:
        yield say("joint near jamb", "openings", "all vertical joints", OK, "no vertical joint near a jamb",
                  fail.source, fail.status)  # fmt: skip
        return
    distance, joint, line = near
    failed = distance < rule.tenths("joint.jamb_fail")
    limit = rule.tenths("joint.jamb_fail" if failed else "joint.jamb_caution") / MM
    told = fail if failed else caution
    yield at_least(
        "joint near jamb", f"side {joint.side}, layer {joint.layer}, joint at {joint.x1 / MM:g} mm",
        f"jamb line at {line / MM:g} mm", distance / MM, limit, "mm",
        "a joint in line with the corner of an opening cracks when the door slams: notch the board round the corner",
        told.source, told.status, under=FAIL if failed else CAUTION,
    )  # fmt: skip


def _nearest_to_jamb(frame: Frame) -> tuple[int, Joint, int] | None:
    best = None
    for clear in frame.clears:
        for line in (clear.left, clear.right):
            for joint in frame.joints:
                if joint.x1 == joint.x2 and joint.kind != "corner":
                    distance = abs(joint.x1 - line)
                    if best is None or distance < best[0]:
                        best = (distance, joint, line)
    return best


@register("boards")
def shared_joints(facts: Facts) -> Iterator[CheckRow]:
    """Tell vertical joints that share a stud at one height: both faces, or two layers of a side."""
    rule = facts.rules.rule("joint.share_stud")
    upright = [j for j in facts.frame.joints if j.x1 == j.x2 and j.kind != "corner"]
    if not upright:
        return
    reach = int(facts.section[0] * MM)
    faces = _sharing(upright, reach, lambda a, b: a.side != b.side)
    layers = _sharing(upright, reach, lambda a, b: a.side == b.side and a.layer != b.layer)
    pairs = (
        (faces, "opposite faces", bool(rule.value)),
        (layers, "layers of one side", False),
    )
    for found, case, allowed in pairs:
        if case == "layers of one side" and max(j.layer for j in upright) < 2:
            continue
        bad = bool(found) and not allowed
        why = (
            f"{len(found)} pairs of vertical joints share a stud, the first at {found[0] / MM:g} mm: a crack or a "
            "sound leak goes straight through"
            if found
            else "no two vertical joints share a stud at one height"
        )
        yield say(
            "joints staggered", "vertical joints", case, FAIL if bad else OK, why, rule.source, rule.status,
            float(len(found)), None if allowed else 0.0, "pairs",
        )  # fmt: skip


def _sharing(joints: list[Joint], reach: int, pair: object) -> list[int]:
    """Return where two joints that make a ``pair`` stand within a stud's thickness at one height."""
    ordered = sorted(joints, key=lambda j: (j.x1, j.side, j.layer, min(j.y1, j.y2)))
    found = []
    for i, a in enumerate(ordered):
        for b in ordered[i + 1 :]:
            if b.x1 - a.x1 >= reach:
                break
            if pair(a, b) and max(min(a.y1, a.y2), min(b.y1, b.y2)) < min(max(a.y1, a.y2), max(b.y1, b.y2)):
                found.append(a.x1)
    return found
