"""What has to hold of the frame of every design: timber in its place, plates, openings, bays, rows.

Every function yields one sentence a fault. Lengths are integers of 0.1 mm.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

import shapely
from oracle_facts import HAIR, MODULE, VERTICAL, Facts, merged

from wallcalc.records import Member


def member_faults(f: Facts) -> Iterator[str]:
    """Timber stays in the wall and out of openings, and no two pieces are in one place."""
    boxes = f.member_boxes
    wall = shapely.box(0, 0, f.length, f.height)
    for m, out in zip(f.members, ~shapely.covers(wall, boxes), strict=True):
        if out or m.width <= 0 or m.height <= 0:
            yield f"{f.name(m)} is not inside the wall"
    if f.frame.clears:
        for m, area in zip(f.members, shapely.area(shapely.intersection(boxes, f.openings)), strict=True):
            if area > 0:
                yield f"{f.name(m)} stands in an opening"
    depth = max(m.depth for m in f.members)
    first, second = shapely.STRtree(boxes).query(boxes)
    keep = first < second
    first, second = first[keep], second[keep]
    areas = shapely.area(shapely.intersection(boxes[first], boxes[second]))
    for i, j in zip(first[areas > 0], second[areas > 0], strict=True):
        a, b = f.members[i], f.members[j]
        opposite = {a.faces, b.faces} == {"A", "B"}
        if not (opposite and a.depth + b.depth <= depth):
            yield f"{f.name(a)} and {f.name(b)} are in one place"


def standing_faults(f: Facts) -> Iterator[str]:
    """Every piece has timber at both its ends, and uprights are as long as the place they stand in."""
    t = f.thickness
    level = [m for m in f.members if m.role not in VERTICAL]
    upright = [m for m in f.members if m.role in VERTICAL]
    tops = _edges(level, lambda m: m.y + m.height, lambda m: (m.x, m.x + m.width))
    bottoms = _edges(level, lambda m: m.y, lambda m: (m.x, m.x + m.width))
    rights = _edges(upright, lambda m: m.x + m.width, lambda m: (m.y, m.y + m.height))
    lefts = _edges(upright, lambda m: m.x, lambda m: (m.y, m.y + m.height))
    full = f.head - t
    for m in upright:
        span = (m.x, m.x + m.width)
        if m.width != t:
            yield f"{f.name(m)} is not {t} thick"
        if not _inside(span, tops.get(m.y, [])) or not _inside(span, bottoms.get(m.y + m.height, [])):
            yield f"{f.name(m)} ({m.role}) does not stand on and under level timber"
        if m.length != m.height:
            yield f"{f.name(m)}: cut to {m.length}"
        wanted = {full}
        for c in f.frame.clears:
            if m.role == "trimmer" and _within(f, m, c):
                wanted = {c.top - t}
            if m.role == "short stud" and _within(f, m, c):
                wanted = {f.head - c.top - t, c.bottom - 2 * t}
        if m.height not in wanted:
            yield f"{f.name(m)} ({m.role}): length not in {wanted}"
    for m in level:
        if m.length != m.width:
            yield f"{f.name(m)}: cut to {m.length}"
        if m.role in ("noggin", "pattress", "sill", "door head"):
            span = (m.y, m.y + m.height)
            if not _inside(span, rights.get(m.x, [])) or not _inside(span, lefts.get(m.x + m.width, [])):
                yield f"{f.name(m)} ({m.role}) has no upright at both ends"
    for m in level:
        if m.role == "noggin" and not m.flat and m.height != t:
            yield f"{f.name(m)}: a noggin on edge {m.height} high"


def _within(f: Facts, m: Member, clear) -> bool:
    """Whether an upright stands within an opening's width, the timber at its sides that ends at the head included."""
    side = f.thickness if f.rules.value("frame.jamb") == "king and trimmer" else 0
    return clear.left - side <= m.x and m.x + m.width <= clear.right + side


def _edges(members, at, span) -> dict[int, list[tuple[int, int]]]:
    found: dict[int, list[tuple[int, int]]] = {}
    for m in members:
        found.setdefault(at(m), []).append(span(m))
    return {k: merged(v) for k, v in found.items()}


def _inside(span: tuple[int, int], runs: list[tuple[int, int]]) -> bool:
    return any(a <= span[0] and span[1] <= b for a, b in runs)


def joist_faults(f: Facts) -> Iterator[str]:
    """Along joists at known centres every piece of plate has noggins near its ends and no farther apart."""
    wall = f.design.wall
    hard = wall.floor in ("solid", "heated screed")
    for role, place, joists in (
        ("head plate", "above", wall.joists_above),
        ("sole plate", "below", None if hard else wall.joists_below),
    ):
        noggins = [n for n in f.frame.joist_noggins if n.place == place]
        if joists is None or joists.direction != "along" or joists.centres is None:
            if noggins:
                yield f"noggins between joists {place}, where none run along the wall"
            continue
        for n in noggins:
            if n.length != joists.centres - f.t("joist.thickness"):
                yield f"{n} is not as long as the joists are apart"
        for plate in (m for m in f.members if m.role == role):
            here = [n.x for n in noggins if plate.x < n.x < plate.x + plate.width]
            gaps = [b - a for a, b in pairwise(here)]
            if len(here) < f.rules.value("frame.plate_least_fixings") or max(gaps) > f.t(
                "joist.noggin_centres"
            ):
                yield f"{f.name(plate)}: noggins between joists at {here}"
                continue
            near = max(here[0] - plate.x, plate.x + plate.width - here[-1])
            if near > f.t("frame.plate_end_fixing"):
                yield f"{f.name(plate)}: the last noggin between joists is {near} from its end"


def plate_faults(f: Facts) -> Iterator[str]:
    """Plates run along floor and ceiling, stop at doors, and are joined where both ends can be fixed."""
    t, least = f.thickness, f.rules.value("frame.plate_least_fixings") * f.t("frame.plate_end_fixing")
    doors = [c for c in f.frame.clears if c.kind == "door"]
    stops = [0, *(v for c in doors for v in (c.left, c.right)), f.length]
    floor = [(a, b) for a, b in zip(stops[::2], stops[1::2], strict=True) if b > a]
    cut = {}
    for bar in f.design.parts.cut.timber.uses:
        cut.update(dict(bar.cuts))
    short = f.t("cutting.plate_short")
    joints = {}
    for role, y, runs in (("sole plate", 0, floor), ("head plate", f.head, [(0, f.length)])):
        plates = sorted((m for m in f.members if m.role == role), key=lambda m: m.x)
        if any(m.y != y or m.height != t for m in plates):
            yield f"a {role} is not at {y}"
        spans = [(m.x, m.x + m.width) for m in plates]
        if merged(spans) != runs or sum(b - a for a, b in spans) != sum(b - a for a, b in runs):
            yield f"{role}s {spans} on {runs}"
        ends = {v for run in runs for v in run}
        joints[role] = [b for _, b in spans if b not in ends]
        for m in plates:
            if not m.width - short <= cut.get(m.mark, 0) <= m.width:
                yield f"{f.name(m)}: cut to {cut.get(m.mark, 0)}"
            whole = (m.x, m.x + m.width) in runs
            if not whole and m.width < least:
                yield f"{f.name(m)}: too short for two fixings"
    for m in f.members:
        if m.role not in ("sole plate", "head plate", "pattress") and cut.get(m.mark, 0) != m.length:
            yield f"{f.name(m)}: of length {m.length}, cut to {cut.get(m.mark, 0)}"
    for a in joints["sole plate"]:
        for b in joints["head plate"]:
            if abs(a - b) < t:
                yield f"head and sole plate are both joined at {a}"
    joists = f.design.wall.joists_above
    middles = [m.x + m.width // 2 for m in f.members if m.role in VERTICAL and m.height == f.head - t]
    middles += [m.x for m in f.members if m.role == "double stud"]
    near = f.t("frame.plate_end_fixing")
    if joists.direction == "across" and joists.first is not None and joists.centres is not None:
        above = list(range(joists.first, f.length, joists.centres))
    else:
        above = middles
    for at in joints["head plate"]:
        if min(abs(at - x) for x in above) > near:
            yield f"head plate joined at {at}, away from any fixing"


def jamb_faults(f: Facts, full: list[int]) -> Iterator[str]:
    """Openings have full-height timber (left edges given) at both sides, and trimmers beside it where rules ask."""
    t = f.thickness
    pair = f.rules.value("frame.jamb") == "king and trimmer"
    for c in f.frame.clears:
        name = f"{c.kind} at {c.left}"
        for at in (c.left - (2 if pair else 1) * t, c.right + (t if pair else 0)):
            if at not in full:
                yield f"{name}: no full-height stud at {at}"
        if pair:
            for at in (c.left - t, c.right):
                if not any(m.role == "trimmer" and m.x == at and m.y + m.height == c.top for m in f.members):
                    yield f"{name}: no trimmer at {at}"


def opening_faults(f: Facts) -> Iterator[str]:
    """Openings have full-height timber at both sides, a head over them and a sill under a hatch."""
    t = f.thickness
    yield from jamb_faults(f, [m.x for m in f.members if m.role in VERTICAL and m.height == f.head - t])
    for c in f.frame.clears:
        name = f"{c.kind} at {c.left}"
        if c.top < f.head:
            heads = [m for m in f.members if m.role == "door head" and m.y == c.top]
            if not any(m.x <= c.left and m.x + m.width >= c.right for m in heads):
                yield f"{name}: no head"
        if c.kind == "hatch" and c.bottom > t:
            sills = [m for m in f.members if m.role == "sill" and m.y + m.height == c.bottom]
            if not any(m.x <= c.left and m.x + m.width >= c.right for m in sills):
                yield f"{name}: no sill"


def bay_faults(f: Facts) -> Iterator[str]:
    """Bays, centres and the module: none narrower than the least bay at a stud, none beyond the centres."""
    t, least = f.thickness, f.t("frame.least_bay")
    module = f.option.stud_layout == "module"
    centres = round(f.option.stud_centres * 10) if module else _most_centres(f)
    fixed = [m for m in f.members if m.role in ("end stud", "jamb stud")]
    zones = [(None, [*fixed, *(m for m in f.members if m.role in ("stud", "double stud"))])]
    for c in f.frame.clears:
        for above in (False, True):
            short = [
                m
                for m in f.members
                if m.role == "short stud" and (m.y >= c.top) == above and _within(f, m, c)
            ]
            if not short:
                continue
            sides = [
                m
                for m in f.members
                if m.role in ("end stud", "jamb stud") or (m.role == "trimmer" and not above)
            ]
            left = max((m for m in sides if m.x + m.width <= c.left), key=lambda m: m.x)
            right = min((m for m in sides if m.x >= c.right), key=lambda m: m.x)
            zones.append((c, [left, *short, right]))
    for zone, uprights in zones:
        uprights = sorted(uprights, key=lambda m: m.x)
        for a, b in pairwise(uprights):
            if zone is None and any(a.x + t <= c.left and c.right <= b.x for c in f.frame.clears):
                continue
            gap = b.x - (a.x + a.width)
            if b.x - a.x > centres + HAIR:
                yield f"{f.name(a)} to {f.name(b)}: {b.x - a.x} between centres of {centres}"
            if (a.role in MODULE or b.role in MODULE) and 0 < gap < least:
                yield f"{f.name(a)} to {f.name(b)}: a bay of {gap}"
    if module:
        yield from _module_faults(f, centres, least)


def _most_centres(f: Facts) -> int:
    """The most that the rules let studs be apart: the frame's own limit and what the boards on it span, 0.1 mm."""
    most = [f.t("frame.max_centres")]
    for board in {b.product for b in f.frame.boards if b.layer == 1}:
        thickness = f.design.prices.board(board).thickness / 10
        rows = [r for r in f.rules.rows("board_span") if r["verdict"] == "fail" and r["noggins"] == "none"]
        rows = [r for r in rows if r["orientation"] == "either" and r["thickness"] <= thickness + 0.3]
        if rows:
            most.append(round(max(rows, key=lambda r: r["thickness"])["max_centres"] * 10))
    return min(most)


def _module_faults(f: Facts, centres: int, least: int) -> Iterator[str]:
    t, half = f.thickness, f.thickness // 2
    if f.option.set_out_from == "left":
        lines = [k * centres for k in range(1, f.length // centres + 1)]
    elif f.option.set_out_from == "right":
        lines = [f.length - k * centres for k in range(1, f.length // centres + 1)]
    else:
        most = f.length // centres + 1
        lines = [f.length // 2 + k * centres for k in range(-most, most + 1)]
    fixed = [(m.x, m.x + m.width) for m in f.members if m.role in ("end stud", "jamb stud")]
    doors = [(c.left, c.right) for c in f.frame.clears]
    for x in lines:
        inside = [c for c in f.frame.clears if c.left < x < c.right]
        if inside and not _short_room(f, inside[0]):
            continue
        solid = [*fixed, *(d for d in doors if not d[0] < x < d[1])]
        if inside:
            solid = [(0, inside[0].left), (inside[0].right, f.length)]
            if f.rules.value("frame.jamb") == "king and trimmer" and inside[0].kind == "door":
                solid = [(0, inside[0].left - t), (inside[0].right + t, f.length)]
        low = max((b for a, b in solid if a < x), default=0)
        high = min((a for a, b in solid if b > x), default=f.length)
        room = (x - half - low, high - x - (t - half))
        if not (0 <= x <= f.length and min(room) >= least):
            continue
        if _fixing_moves_studs(f, low, high, lines):
            continue
        at = {m.x for m in f.members if m.role in MODULE}
        if _kept_off(f, x, inside) or x in _moved_from(f):
            continue
        if x - half not in at and not {x - t, x} <= at:
            yield f"no stud on the module at {x} (clear {room} to fixed timber)"


def _kept_off(f: Facts, x: int, inside: list) -> bool:
    """Whether a service is in the way of a stud on the module, full height or over and under an opening."""
    t = f.thickness
    stretches = [(0, f.height)]
    if inside:
        stretches = [(inside[0].top + t, f.head), (t, inside[0].bottom - t)]
    studs = [shapely.box(x - t / 2, low, x + t / 2, high) for low, high in stretches if low < high]
    for s in f.design.wall.services:
        width, height = s.size or (s.diameter, s.diameter)
        places = [(s.at, width / 2 + s.clearance, height / 2 + s.clearance)]
        around = s.diameter / 2 + s.clearance
        places += [(s.to, around, around)] if s.to is not None else []
        kept = [shapely.box(a - w, b - h, a + w, b + h) for (a, b), w, h in places]
        a, b = s.to if s.to is not None else s.at
        if s.goes in ("down", "up") and not (s.to is None and (s.size or s.kind == "socket")):
            low, high = (0, b) if s.goes == "down" else (b, f.height)
            kept.append(shapely.box(a - around, low, a + around, high))
        if s.to is not None and s.to[0] == s.at[0]:
            kept.append(shapely.box(a - around, min(s.at[1], b), a + around, max(s.at[1], b)))
        if any(k.intersection(stud).area > 0 for k in kept for stud in studs):
            return True
    return False


def _moved_from(f: Facts) -> set[int]:
    """Middles on the module of studs that say they were moved for a service, by what they say."""
    found = set()
    for m in f.members:
        for why in m.serves:
            words = why.split()
            if m.role in MODULE and words[0] == "moved":
                by = round(float(words[1]) * 10) * (1 if words[3] == "left" else -1)
                found.add(m.x + m.width // 2 + by)
    return found


def _fixing_moves_studs(f: Facts, low: int, high: int, lines: list[int]) -> bool:
    """Whether a hung item's fixing in a run asks for a stud under it, or is in the way of one on the module."""
    half, off = f.thickness // 2, f.t("frame.least_bay")
    at = [*lines, low + half, low + half + off, high - half, high - half - off]
    for item in f.design.wall.hung:
        reach = max(f.t("hung.end_distance"), (item.pad + 1) // 2)
        slack = half - f.t("hung.edge_distance")
        for x, _ in item.fixings:
            if low <= x <= high and (
                item.backing == "stud" or any(slack < abs(x - line) < half + reach for line in at)
            ):
                return True
    return False


def _short_room(f: Facts, clear) -> bool:
    over, under = f.head - clear.top - f.thickness, clear.bottom - 2 * f.thickness
    return over > 0 or (clear.kind == "hatch" and under > 0)


def row_faults(f: Facts) -> Iterator[str]:
    """Rows of noggins keep studs straight where the rules ask for it; none for that alone is too short to nail."""
    least = f.t("frame.noggin_min")
    for m in f.members:
        if m.role == "noggin" and m.width < least and m.serves == ("stability",):
            yield f"{f.name(m)}: shorter than {least}"
    if not f.rules.value("frame.stability_rows"):
        return
    spacing = f.t("frame.stability_spacing")
    full = [m for m in f.members if m.role in VERTICAL and m.height == f.head - f.thickness]
    for a, b in pairwise(sorted(full, key=lambda m: m.x)):
        left, right = a.x + a.width, b.x
        if right - left < least or any(left <= c.left and c.right <= right for c in f.frame.clears):
            continue
        rows = sorted(
            m.y + m.height / 2
            for m in f.members
            if m.role == "noggin" and (m.x, m.x + m.width) == (left, right)
        )
        gaps = [high - low for low, high in pairwise([0, *rows, f.height])]
        if not rows or max(gaps) > spacing + 10:
            yield f"bay {left} to {right}: rows at {rows}, {gaps} apart"
