"""Board edges against the real timber behind them, and the screws that hold them."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from itertools import pairwise

from wallcalc.checks.facts import Facts
from wallcalc.checks.registry import register
from wallcalc.checks.rows import FAIL, OK, at_least, length_text, say
from wallcalc.geometry.rectangles import spans
from wallcalc.geometry.sloped import sides_at
from wallcalc.records import PLATES, Board, CheckRow, Joint, Member
from wallcalc.trade.prices import PriceBook
from wallcalc.trade.rules import Rules
from wallcalc.units.lengths import MM

BOARD_SCREW = "screw"
"""Group of the price book that holds board screws."""


def timber_behind(joint: Joint, members: tuple[Member, ...]) -> tuple[int, int]:
    """Return how far timber reaches to either side of a joint, at its worst place, 0.1 mm.

    Left and right of a vertical joint, below and above a horizontal one; (0, 0) where there is none. Where the
    two cannot both be worst at one place, the place with the least smaller side counts.
    """
    upright = joint.x1 == joint.x2
    at = joint.x1 if upright else joint.y1
    first, last = sorted((joint.y1, joint.y2) if upright else (joint.x1, joint.x2))
    pieces = []
    for m in members:
        low, begin = (m.x, m.y) if upright else (m.y, m.x)
        high = low + (m.width if upright else m.height)
        if not low - ROUNDED <= at <= high + ROUNDED:
            continue
        end = begin + (m.height if upright else m.width)
        near = ROUNDED if m.outline and m.role in PLATES and upright else 0  # two plates meet in a mitre
        if m.outline and low - near <= at <= high + near:
            begin, end = _along_joint(m, min(max(at, low + near), high - near), upright)
        if low - near <= at <= high + near and begin < last and end > first:
            if upright and m.role in PLATES:
                low, high = _whole_plate(m, members)
            pieces.append((low, high, begin, end))
    if not pieces:
        return 0, 0
    stops = sorted({first, last, *(p for q in pieces for p in q[2:] if first < p < last)})
    worst = None
    for begin, end in pairwise(stops):
        low = min((p[0] for p in pieces if p[2] <= begin and p[3] >= end), default=at)
        high = max((p[1] for p in pieces if p[2] <= begin and p[3] >= end), default=at)
        sides = (at - low, high - at)
        if worst is None or min(sides) < min(worst):
            worst = sides
    return worst or (0, 0)


def _whole_plate(plate: Member, members: tuple[Member, ...]) -> tuple[int, int]:
    """Return both ends of the plate that a piece belongs to: where pieces meet, timber goes on behind a joint."""
    low, high = plate.x, plate.right
    for m in sorted((m for m in members if m.role == plate.role), key=lambda m: m.x):
        if m.x <= high and m.right >= low:
            low, high = min(low, m.x), max(high, m.right)
    return low, high


ROUNDED = 2
"""Pieces cut to one line meet but for the rounding of their corners, 0.1 mm."""


def _along_joint(m: Member, at: int, upright: bool) -> tuple[int, int]:
    """Return the stretch of a joint that a piece cut to a slope lies behind, 0.1 mm.

    A level piece ends at the plate that it is cut to, which backs the corner that is cut off.
    """
    if upright:
        low, high = sides_at(m.outline, at) or (at, at)
        return low - ROUNDED, high + ROUNDED
    if m.role not in PLATES:
        return m.x, m.right
    found = spans(m.outline, at, upright=False)
    return (found[0][0], found[-1][1]) if found else (m.x, m.x)


def _edge_kinds(joint: Joint, boards: tuple[Board, ...]) -> tuple[str, str]:
    """Return whether the lower (left) and the upper (right) edge at a joint are bound or cut."""
    first, second = joint.kind.split("-")
    if first == second:
        return first, second
    upright = joint.x1 == joint.x2
    for board in boards:
        if upright and board.right == joint.x1 and board.y < joint.y2 and board.top > joint.y1:
            left = "bound" if "right" in board.bound_edges else "cut"
        elif not upright and board.top == joint.y1 and board.x < joint.x2 and board.right > joint.x1:
            left = "bound" if "top" in board.bound_edges else "cut"
        else:
            continue
        return left, "cut" if left == "bound" else "bound"
    return "cut", "cut"


@register("joints")
def edge_backing(facts: Facts) -> Iterator[CheckRow]:
    """Compare, at every joint, the timber each edge needs with the timber that is there; worst of a kind, and fails."""
    rules = facts.rules
    edge = {"bound": rules.tenths("joint.edge_bound"), "cut": rules.tenths("joint.edge_cut")}
    extra = (
        rules.tenths("joint.timber_edge") + rules.tenths("joint.tolerance") + rules.tenths("joint.gap") / 2
    )
    rule = rules.rule("joint.edge_cut")
    touching = {side: tuple(m for m in facts.frame.members if side in m.faces) for side in "AB"}
    groups: dict[tuple, list[tuple[float, float, float, Joint]]] = {}
    relaxed = () if rules.value("joint.back_long_edges") else _lying(facts)
    for joint in facts.frame.joints:
        if joint.kind == "corner" or joint.need <= 0:
            continue
        if joint.y1 == joint.y2 and (joint.side, joint.layer) in relaxed:
            continue
        there = timber_behind(joint, touching[joint.side])
        kinds = _edge_kinds(joint, facts.linings.get((joint.side, joint.layer), ()))
        needs = (edge[kinds[0]] + extra, edge[kinds[1]] + extra)
        use, have, need = max(
            (n / h if h > 0 else float("inf"), h, n) for h, n in zip(there, needs, strict=True)
        )
        direction = "vertical" if joint.x1 == joint.x2 else "horizontal"
        groups.setdefault((joint.side, joint.layer, direction, joint.kind), []).append(
            (use, have, need, joint)
        )
    for (side, layer, direction, kind), found in sorted(groups.items()):
        found.sort(key=lambda f: (-f[0], f[3].x1, f[3].y1))
        failing = [f for f in found if f[0] > 1 + 1e-9]
        told = set()
        for use, have, need, joint in failing or found[:1]:
            place = f"x {joint.x1 / MM:g}" if direction == "vertical" else f"y {joint.y1 / MM:g}"
            if place in told:  # the same line, between other boards
                continue
            told.add(place)
            why = (
                f"each edge takes a screw {length_text(edge['cut' if 'cut' in kind else 'bound'] / MM)} in, clear of "
                f"the timber's edge, with the setting tolerance; behind the worst of {len(found)} {direction} joints "
                f"there is {length_text(have / MM)} of timber"
            )
            if use > 1 + 1e-9:
                why += (
                    ": double the stud"
                    if direction == "vertical"
                    else (": lay the noggin flat, or put the joint at another height (course_from)")
                )
            yield at_least(
                "edge backing", f"side {side}, layer {layer}, {direction} joint at {place}", kind, have / MM,
                need / MM, "mm", why, rule.source, rule.status,
            )  # fmt: skip


def _lying(facts: Facts) -> set[tuple[str, int]]:
    """Return the linings, by side and layer, whose boards lie with their long edges across the studs."""
    return {key for key, boards in facts.linings.items() if any(b.lying for b in boards)}


@register("joints")
def long_edges(facts: Facts) -> Iterator[CheckRow]:
    """Say where the rules let long edges across the studs go without timber between these."""
    rule = facts.rules.rule("joint.back_long_edges")
    level = {(j.side, j.layer) for j in facts.frame.joints if j.y1 == j.y2 and j.kind != "corner"}
    for side, layer in sorted(_lying(facts) & level) if not rule.value else ():
        yield say("edge backing", f"side {side}, layer {layer}, long edges across studs", "not backed between studs",
                  OK, "these rules ask for timber only where a long edge crosses a stud", rule.source,
                  rule.status)  # fmt: skip


@register("joints")
def floor_edges(facts: Facts) -> Iterator[CheckRow]:
    """Compare the sole plate left above the boards' lower edge with what the edge needs."""
    plates = [m for m in facts.frame.members if m.role == "sole plate"]
    rules, profile = facts.rules, facts.frame.profile
    for side in "AB":
        boards = [b for (at, layer), bs in facts.linings.items() if at == side and layer == 1 for b in bs]
        if not plates or not boards:
            continue
        lowest = [b for b in boards if b.course == min(b.course for b in boards)]
        bound = all("bottom" in b.bound_edges for b in lowest)
        rule = rules.rule("joint.edge_bound" if bound else "joint.edge_cut")
        need = rules.tenths(rule.key) + rules.tenths("joint.timber_edge")
        feet = [(x, sides[0]) for b in lowest for x, _ in b.outline if (sides := sides_at(b.outline, x))]
        on_plate = [(x, y) for x, y in feet if y < profile.sole.over(x)] or feet
        have = min(profile.sole.under(x) - y for x, y in on_plate)
        low = min(y - profile.floor.over(x) for x, y in on_plate)
        yield at_least(
            "edge backing", f"side {side}, lower edge", "bound" if bound else "cut", have / MM, need / MM, "mm",
            f"the boards stand {length_text(low / MM)} off the floor; the sole plate still reaches "
            f"{length_text(max(have, 0) / MM)} up behind them", rule.source, rule.status,
        )  # fmt: skip


@lru_cache(maxsize=64)
def screw_lengths(book: PriceBook, sizes: str) -> tuple[float, ...]:
    """Return the lengths of board screws on sale [mm], ascending."""
    return tuple(sorted({i.length / MM for i in book.items(BOARD_SCREW) if i.sizes in (sizes, "both")}))


def screw_row(subject: str, length: float, boards: float, rules: Rules) -> CheckRow:
    """Return the check of one screw's penetration into timber.

    Units: ``length``, ``boards`` mm.
    """
    rule = rules.rule("screw.penetration")
    need = rules.tenths("screw.penetration") / MM
    return at_least(
        "screw length", subject, f"{length_text(length)} screw through {length_text(boards)} of board",
        length - boards, need, "mm",
        f"the screw goes {length_text(max(length - boards, 0.0))} into the timber; {length_text(need)} hold it",
        rule.source, rule.status,
    )  # fmt: skip


@register("joints")
def screw_penetration(facts: Facts) -> Iterator[CheckRow]:
    """Find for each layer the shortest screw on sale that goes deep enough into the timber."""
    lengths = screw_lengths(facts.book, facts.sizes)
    need = facts.rules.tenths("screw.penetration") / MM
    for side in "AB":
        thickness = 0.0
        for layer, board in enumerate(facts.layers(side), start=1):
            thickness += board.thickness / MM
            subject = f"side {side}, layer {layer}"
            if not lengths:
                rule = facts.rules.rule("screw.penetration")
                yield say("screw length", subject, "no screw on sale", FAIL, "the price book has no board screw",
                          rule.source, rule.status)  # fmt: skip
                continue
            fits = [n for n in lengths if n - thickness >= need - 1e-9]
            yield screw_row(subject, fits[0] if fits else lengths[-1], thickness, facts.rules)
