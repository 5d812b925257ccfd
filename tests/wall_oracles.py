"""What has to hold for every design, worked out from its records with shapely and plain sums.

Nothing here uses the product's own geometry, backing or checks: polygons are shapely's, rules are read from the
rule book by key. Every function yields one sentence a fault. Lengths are integers of 0.1 mm.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Iterator
from functools import cached_property
from itertools import combinations, pairwise

import numpy as np
import shapely

from wallcalc.records import Board, Member

VERTICAL = ("end stud", "stud", "double stud", "jamb stud", "trimmer", "short stud")
MODULE = ("stud", "double stud", "short stud")
HAIR = 1.0
"""Tolerance of areas, (0.1 mm)^2, and of odd halves of a tenth of a millimetre."""


class Facts:
    """A design's records next to shapely's view of them."""

    def __init__(self, design) -> None:
        self.design = design
        self.frame = design.frame
        self.option = design.option
        self.rules = design.rules
        self.length, self.height = self.frame.length, self.frame.height
        self.thickness = min(m.width for m in self.frame.members if m.role == "end stud")
        self.lining_low = design.wall.floor_build_up + self.t("board.floor_gap")
        self.lining_high = self.height - self.t("board.ceiling_gap")
        self.head = self.height - self.t("frame.head_packing") - self.thickness

    def t(self, key: str) -> int:
        return self.rules.tenths(key)

    def name(self, m: Member | Board) -> str:
        return f"{m.mark} ({m.x}, {m.y}) {m.width} x {m.height}"

    @cached_property
    def members(self) -> list[Member]:
        return list(self.frame.members)

    @cached_property
    def member_boxes(self) -> np.ndarray:
        return shapely.box(*np.array([(m.x, m.y, m.x + m.width, m.y + m.height) for m in self.members]).T)

    @cached_property
    def openings(self) -> shapely.Geometry:
        return shapely.union_all([shapely.box(c.left, c.bottom, c.right, c.top) for c in self.frame.clears])

    @cached_property
    def linings(self) -> dict[tuple[str, int], list[Board]]:
        found: dict[tuple[str, int], list[Board]] = {}
        for b in self.frame.boards:
            found.setdefault((b.side, b.layer), []).append(b)
        return found

    @cached_property
    def polygons(self) -> dict[str, shapely.Polygon]:
        return {
            b.mark: shapely.Polygon(
                b.outline, [[(x0, y0), (x1, y0), (x1, y1), (x0, y1)] for x0, y0, x1, y1 in b.holes]
            )
            for b in self.frame.boards
        }

    @cached_property
    def timber(self) -> dict[str, shapely.Geometry]:
        """All timber that touches a face, in one piece, prepared."""
        found = {}
        for side in "AB":
            faces = np.array([side in m.faces for m in self.members])
            found[side] = shapely.union_all(self.member_boxes[faces])
            shapely.prepare(found[side])
        return found

    @cached_property
    def meetings(self) -> list[Meeting]:
        """Every straight line along which two boards of one lining meet, found from their polygons."""
        found = []
        for (side, layer), boards in self.linings.items():
            pairs = list(combinations(boards, 2))
            if not pairs:
                continue
            first = np.array([self.polygons[a.mark] for a, _ in pairs])
            second = np.array([self.polygons[b.mark] for _, b in pairs])
            for (a, b), line in zip(pairs, shapely.intersection(first, second), strict=True):
                for x0, y0, x1, y1 in _straight(line):
                    found.append(Meeting(side, layer, a, b, x0, y0, x1, y1))
        return found


class Meeting:
    """Two boards of one lining that meet along a straight line; ``low`` is the board to the left or below."""

    def __init__(self, side: str, layer: int, a: Board, b: Board, x0: int, y0: int, x1: int, y1: int) -> None:
        self.side, self.layer = side, layer
        self.upright = x0 == x1
        self.x0, self.y0, self.x1, self.y1 = x0, y0, x1, y1
        first = a.x < b.x if self.upright else a.y < b.y
        self.low, self.high = (a, b) if first else (b, a)
        ends = ("right", "left") if self.upright else ("top", "bottom")
        self.kinds = tuple(_kind(m, e, self) for m, e in zip((self.low, self.high), ends, strict=True))

    @property
    def length(self) -> int:
        return (self.x1 - self.x0) + (self.y1 - self.y0)

    def __str__(self) -> str:
        return (
            f"joint {self.side}{self.layer} ({self.x0}, {self.y0})-({self.x1}, {self.y1}) "
            f"{'-'.join(self.kinds)} of {self.low.mark} and {self.high.mark}"
        )


def _kind(board: Board, edge: str, meeting: Meeting) -> str:
    outermost = {
        "left": board.x,
        "right": board.x + board.width,
        "bottom": board.y,
        "top": board.y + board.height,
    }[edge]
    at = meeting.x0 if meeting.upright else meeting.y0
    return "bound" if edge in board.bound_edges and at == outermost else "cut"


def _straight(shape: shapely.Geometry) -> list[tuple[int, int, int, int]]:
    merged = shapely.line_merge(shape) if shape.geom_type == "MultiLineString" else shape
    found = []
    for part in getattr(merged, "geoms", [merged]):
        if part.geom_type != "LineString" or part.is_empty:
            continue
        for (xa, ya), (xb, yb) in pairwise(part.simplify(0).coords):
            found.append(tuple(round(v) for v in (min(xa, xb), min(ya, yb), max(xa, xb), max(ya, yb))))
    return found


# --- linings


def lining_faults(f: Facts) -> Iterator[str]:
    """Boards of every layer cover the face once and nothing outside it."""
    face = shapely.box(0, f.lining_low, f.length, f.lining_high).difference(f.openings)
    wanted = {
        (side, layer)
        for side, layers in (("A", f.option.layers_a), ("B", f.option.layers_b))
        for layer in range(1, layers + 1)
    }
    if set(f.linings) != wanted:
        yield f"linings {sorted(f.linings)}, wanted {sorted(wanted)}"
    for key, boards in f.linings.items():
        shapes = [f.polygons[b.mark] for b in boards]
        for b, shape in zip(boards, shapes, strict=True):
            if not shape.is_valid or shape.area <= 0:
                yield f"board {f.name(b)}: its outline is not a simple polygon"
            if tuple(round(v) for v in shape.bounds) != (b.x, b.y, b.x + b.width, b.y + b.height):
                yield f"board {f.name(b)}: its outline does not fill its box"
            if not shapely.is_ccw(shape.exterior):
                yield f"board {f.name(b)}: outline is not anticlockwise"
            edge = ("top", "bottom") if b.lying else ("left", "right")
            if not set(b.bound_edges) <= set(edge):
                yield f"board {f.name(b)}: bound edges {b.bound_edges} are not long edges"
            if b.lying != (f.option.board_orientation == "horizontal"):
                yield f"board {f.name(b)}: laid the wrong way"
        total = sum(s.area for s in shapes)
        cover = shapely.union_all(shapes)
        if abs(total - face.area) > HAIR:
            yield f"lining {key}: boards of {total} on a face of {face.area}"
        if cover.symmetric_difference(face).area > HAIR:
            yield f"lining {key}: the face is not covered exactly"


def joint_table_faults(f: Facts) -> Iterator[str]:
    """The joints listed are those where boards meet, with the kinds of the edges that meet."""
    found: dict[tuple, list[tuple[int, int]]] = {}
    for m in f.meetings:
        at, low, high = (m.x0, m.y0, m.y1) if m.upright else (m.y0, m.x0, m.x1)
        found.setdefault((m.side, m.layer, m.upright, at, "-".join(sorted(m.kinds))), []).append((low, high))
    listed: dict[tuple, list[tuple[int, int]]] = {}
    for j in f.frame.joints:
        if j.kind == "corner":
            continue
        upright = j.x1 == j.x2
        at, low, high = (j.x1, j.y1, j.y2) if upright else (j.y1, j.x1, j.x2)
        listed.setdefault((j.side, j.layer, upright, at, j.kind), []).append((low, high))
    for key in sorted(found.keys() | listed.keys(), key=str):
        ours, theirs = _merged(found.get(key, [])), _merged(listed.get(key, []))
        if ours != theirs:
            yield f"joints {key}: boards meet along {ours}, listed {theirs}"


def _merged(pieces: Iterable[tuple[int, int]]) -> list[tuple[int, int]]:
    done: list[tuple[int, int]] = []
    for low, high in sorted(pieces):
        if done and low <= done[-1][1]:
            done[-1] = (done[-1][0], max(high, done[-1][1]))
        else:
            done.append((low, high))
    return done


# --- timber in its place


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
        opposite = a.flat and b.flat and {a.faces, b.faces} == {"A", "B"}
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
        if m.role in ("noggin", "sill", "door head"):
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
    return {k: _merged(v) for k, v in found.items()}


def _inside(span: tuple[int, int], runs: list[tuple[int, int]]) -> bool:
    return any(a <= span[0] and span[1] <= b for a, b in runs)


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
        if _merged(spans) != runs or sum(b - a for a, b in spans) != sum(b - a for a, b in runs):
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
        if m.role not in ("sole plate", "head plate") and cut.get(m.mark, 0) != m.length:
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


def opening_faults(f: Facts) -> Iterator[str]:
    """Openings have full-height timber at both sides, a head over them and a sill under a hatch."""
    t = f.thickness
    pair = f.rules.value("frame.jamb") == "king and trimmer"
    for c in f.frame.clears:
        name = f"{c.kind} at {c.left}"
        full = [m for m in f.members if m.role in VERTICAL and m.height == f.head - t]
        for at in (c.left - (2 if pair else 1) * t, c.right + (t if pair else 0)):
            if not any(m.x == at for m in full):
                yield f"{name}: no full-height stud at {at}"
        if pair:
            for at in (c.left - t, c.right):
                if not any(m.role == "trimmer" and m.x == at and m.y + m.height == c.top for m in f.members):
                    yield f"{name}: no trimmer at {at}"
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
    centres = round(f.option.stud_centres * 10)
    fixed = [m for m in f.members if m.role in ("end stud", "jamb stud")]
    zones = [(None, [*fixed, *(m for m in f.members if m.role in ("stud", "double stud"))])]
    for c in f.frame.clears:
        for y in sorted({m.y for m in f.members if m.role == "short stud" and _within(f, m, c)}):
            short = [m for m in f.members if m.role == "short stud" and m.y == y and _within(f, m, c)]
            sides = [
                m
                for m in f.members
                if m.role in ("end stud", "jamb stud", "trimmer")
                and m.y <= y
                and m.y + m.height >= y + short[0].height
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
    yield from _module_faults(f, centres, least)


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
        at = {m.x for m in f.members if m.role in MODULE}
        if x - half not in at and not {x - t, x} <= at:
            yield f"no stud on the module at {x} (clear {room} to fixed timber)"


def _short_room(f: Facts, clear) -> bool:
    over, under = f.head - clear.top - f.thickness, clear.bottom - 2 * f.thickness
    return over > 0 or (clear.kind == "hatch" and under > 0)


# --- what stands behind the boards


def backing_faults(f: Facts) -> Iterator[str]:
    """Every edge has timber behind it as wide as screws, timber edge, gap and tolerance ask, all along."""
    extra = f.t("joint.timber_edge")
    loose = f.t("joint.gap") / 2 + f.t("joint.tolerance")
    edge = {"bound": f.t("joint.edge_bound"), "cut": f.t("joint.edge_cut")}
    relaxed = not f.rules.value("joint.back_long_edges")
    rows, strips, sides = [], [], []
    for m in f.meetings:
        if relaxed and not m.upright and m.low.lying:
            continue
        before, after = (edge[k] + extra + loose for k in m.kinds)
        if m.upright:
            strips.append((m.x0 - before, m.y0, m.x0 + after, m.y1))
        else:
            strips.append((m.x0, m.y0 - before, m.x1, m.y0 + after))
        rows.append(str(m))
        sides.append(m.side)
    for strip, side, name in _perimeter(f, edge, extra):
        strips.append(strip)
        sides.append(side)
        rows.append(name)
    under = f.height - f.t("frame.head_packing")  # nothing to screw to beside the packing over the head plate
    boxes = shapely.box(*np.minimum(np.array(strips, dtype=float), [np.inf, under, np.inf, under]).T)
    for side in "AB":
        chosen = [i for i, s in enumerate(sides) if s == side]
        for i, fine in zip(chosen, shapely.covers(f.timber[side], boxes[chosen]), strict=True):
            if not fine:
                bare = shapely.difference(boxes[i], f.timber[side])
                yield f"{rows[i]}: no timber behind {[round(v) for v in bare.bounds]} of {strips[i]}"


def _perimeter(f: Facts, edge: dict[str, int], extra: int) -> Iterator[tuple[tuple, str, str]]:
    """Edges of boards that meet no other board: the strip inside the edge that its screws need."""
    for (side, layer), boards in f.linings.items():
        meets: dict[tuple[bool, int], list[tuple[int, int]]] = {}
        for m in f.meetings:
            if (m.side, m.layer) == (side, layer):
                at, span = (m.x0, (m.y0, m.y1)) if m.upright else (m.y0, (m.x0, m.x1))
                meets.setdefault((m.upright, at), []).append(span)
        for b in boards:
            shape = f.polygons[b.mark]
            for number, ring in enumerate((shape.exterior, *shape.interiors)):
                points = [(round(x), round(y)) for x, y in ring.coords]
                if shapely.is_ccw(ring) != (number == 0):
                    points.reverse()  # the board lies to the left of every edge
                for (xa, ya), (xb, yb) in pairwise(points):
                    upright = xa == xb
                    at, low, high = (xa, *sorted((ya, yb))) if upright else (ya, *sorted((xa, xb)))
                    for a, c in _left_over((low, high), meets.get((upright, at), [])):
                        inward = 1 if (upright and yb < ya) or (not upright and xb > xa) else -1
                        name = {(True, 1): "left", (True, -1): "right", (False, 1): "bottom"}.get(
                            (upright, inward), "top"
                        )
                        outer = {"left": b.x, "right": b.x + b.width, "bottom": b.y}.get(name, b.y + b.height)
                        kind = "bound" if name in b.bound_edges and at == outer else "cut"
                        start = 0
                        if (
                            name == "top" and at == f.lining_high
                        ):  # screws go lower where the plate is packed down
                            start = max(0, at - (f.height - f.t("frame.head_packing")) + extra - edge[kind])
                        p, q = sorted((at + inward * start, at + inward * (start + edge[kind] + extra)))
                        strip = (p, a, q, c) if upright else (a, p, c, q)
                        clipped = shapely.intersection(shapely.box(*strip), shape)
                        if clipped.area <= 0:
                            continue
                        yield strip, side, f"{name} edge of {f.name(b)} ({side}{layer}), {kind}"


def _left_over(span: tuple[int, int], taken: list[tuple[int, int]]) -> list[tuple[int, int]]:
    low, high = span
    found = []
    for a, b in _merged(taken):
        if b <= low or a >= high:
            continue
        if a > low:
            found.append((low, a))
        low = max(low, b)
    if low < high:
        found.append((low, high))
    return found


def joint_rule_faults(f: Facts) -> Iterator[str]:
    """No two upright joints at one stud and height, none near a jamb line, layers' level joints far apart."""
    upright = [m for m in f.meetings if m.upright]
    for m, n in combinations(upright, 2):
        if m.x0 != n.x0:
            if abs(m.x0 - n.x0) < f.thickness and m.y0 < n.y1 and n.y0 < m.y1:
                yield f"{m} and {n} are on one stud"
            continue
        same = (m.side, m.layer) == (n.side, n.layer)
        if same and m.low.course == n.low.course:
            continue  # one joint, cut in two by an opening
        if (m.y0 < n.y1 and n.y0 < m.y1) or (same and (m.y1 == n.y0 or n.y1 == m.y0)):
            yield f"{m} and {n} share a stud"
    for m in f.meetings:  # a ripped board keeps its bound edge on the joint
        for board, kind, other in zip(
            (m.low, m.high), m.kinds, ("left", "right") if m.upright else ("bottom", "top"), strict=True
        ):
            if m.upright != board.lying and kind == "cut" and other not in board.bound_edges:
                yield f"{m}: {board.mark} has its cut edge on the joint and no bound edge on another"
    fail = f.t("joint.jamb_fail")
    for m in upright:
        for c in f.frame.clears:
            for jamb in (c.left, c.right):
                if abs(m.x0 - jamb) < fail:
                    yield f"{m} is {abs(m.x0 - jamb)} from the jamb line at {jamb}"
    offset = f.t("joint.layer_offset")
    level = [m for m in f.meetings if not m.upright]
    for m, n in combinations(level, 2):
        if m.side == n.side and m.layer != n.layer and abs(m.y0 - n.y0) < offset:
            yield f"{m} and {n}: layers' level joints {abs(m.y0 - n.y0)} apart"


# --- rows


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


# --- cutting


def timber_cut_faults(f: Facts) -> Iterator[str]:
    """Every member is cut once; what is cut from a bought length fits it."""
    plan = f.design.parts.cut.timber
    kerf, trim = f.t("cutting.kerf"), f.t("cutting.end_trim")
    cut = Counter(mark for bar in plan.uses for mark, _ in bar.cuts)
    if cut != Counter(m.mark for m in f.members):
        yield f"cut {cut - Counter(m.mark for m in f.members)} too often or never"
    stock = {i.code: i for i in f.design.prices.items("timber")}
    for bar in plan.uses:
        if sum(n + kerf for _, n in bar.cuts) > bar.length - trim + kerf:
            yield f"{bar} does not fit"
        if bar.code not in stock or stock[bar.code].length != bar.length:
            yield f"{bar} is not on sale"
        if bar.section != f.option.section:
            yield f"{bar} is of another section"
    cost = sum(stock[bar.code].price for bar in plan.uses)
    boarding, sheets = f.design.parts.cut.carcass.boarding, f.design.parts.cut.sheets
    if boarding.sheet_bound > sum(p.cost for p in sheets):
        yield f"no boarding is said to cost less than {boarding.sheet_bound}, this one costs {sheets}"
    if cost != plan.cost or plan.lower_bound > plan.cost:
        yield f"timber plan says {plan.cost} (bound {plan.lower_bound}), bars cost {cost}"


def sheet_cut_faults(f: Facts) -> Iterator[str]:
    """Every board is cut once; blanks lie in the sheet, apart, from bound edges where needed."""
    boards = {b.mark: b for b in f.frame.boards}
    plans = f.design.parts.cut.sheets
    uses = [use for plan in plans for use in plan.uses]
    cut = Counter(c.mark for use in uses for c in use.cuts)
    if cut != Counter(list(boards)):
        yield f"boards cut {cut}, wanted {list(boards)}"
        return
    prices = {i.code: i.price for i in f.design.prices.items("sheet")}
    for plan in plans:
        cost = sum(prices[use.code] for use in plan.uses)
        if cost != plan.cost or plan.lower_bound > plan.cost:
            yield f"sheet plan says {plan.cost} (bound {plan.lower_bound}), sheets cost {cost}"
    for n, use in enumerate(uses, start=1):
        own = [c for c in use.cuts if c.parent is None]
        boxes = [shapely.box(c.x, c.y, c.x + c.length, c.y + c.width) for c in own]
        boxes += [shapely.box(r.x, r.y, r.x + r.length, r.y + r.width) for r in use.leftovers]
        whole = shapely.box(0, 0, use.length, use.width)
        if not all(whole.covers(b) for b in boxes):
            yield f"sheet {n}: a blank reaches beyond it"
        if abs(shapely.union_all(boxes).area - sum(b.area for b in boxes)) > HAIR:
            yield f"sheet {n}: blanks overlap"
        marks = {c.mark: c for c in use.cuts}
        for c in use.cuts:
            b = boards[c.mark]
            if f.option.sheet is not None:
                width, length = (round(float(v)) for v in f.option.sheet.split("x"))
                if (round(use.width / 10), round(use.length / 10)) != (width, length):
                    yield f"sheet {n}: {use.code} is not the size asked for"
            if not use.code.startswith(b.product + "-"):
                yield f"sheet {n}: {c.mark} of {b.product} cut from {use.code}"
            size = (b.width, b.height) if b.lying else (b.height, b.width)
            if (c.length, c.width) != size:
                yield f"sheet {n}: {c.mark} cut {c.length} x {c.width}, board {f.name(b)}"
            children = [k for k in use.cuts if k.parent == c.mark]
            if not any(_placed(b, c, children, use.width, turned) for turned in (False, True)):
                yield (
                    f"sheet {n}: {c.mark} with bound edges {b.bound_edges} at {c}, children "
                    f"{[(k.mark, k.x, k.y, k.length, k.width) for k in children]}, sheet {use.length} x {use.width}"
                )
            if c.parent is not None and c.parent not in marks:
                yield f"sheet {n}: parent {c.parent} is not there"
            seen, at = {c.mark}, c.parent
            while at is not None and at in marks:
                if at in seen:
                    yield f"sheet {n}: {c.mark} comes out of itself"
                    break
                seen.add(at)
                at = marks[at].parent
        for parent in {c.parent for c in use.cuts if c.parent is not None}:
            kids = [
                shapely.box(c.x, c.y, c.x + c.length, c.y + c.width) for c in use.cuts if c.parent == parent
            ]
            if abs(shapely.union_all(kids).area - sum(k.area for k in kids)) > HAIR:
                yield f"sheet {n}: what comes from {parent} overlaps"


def _placed(board: Board, cut, children, sheet_width: int, turned: bool) -> bool:
    """Whether a blank, turned or not, has its bound edges on the sheet's and its children in its waste."""
    low, high = ("bottom", "top") if board.lying else ("left", "right")
    if turned:
        low, high = high, low
    if low in board.bound_edges and cut.y != 0:
        return False
    if high in board.bound_edges and cut.y + cut.width != sheet_width:
        return False
    if not children:
        return True
    rings = [board.outline, *([(a, b), (c, b), (c, d), (a, d)] for a, b, c, d in board.holes)]
    placed = []
    for ring in rings:
        points = []
        for x, y in ring:
            along, across = (x - board.x, y - board.y) if board.lying else (y - board.y, x - board.x)
            if board.lying == (board.side == "A"):  # plans are drawn from the face, along right, across down
                along = cut.length - along
            if turned:
                along, across = cut.length - along, cut.width - across
            points.append((cut.x + along, cut.y + across))
        placed.append(points)
    fixed = shapely.Polygon(placed[0], placed[1:])
    free = shapely.box(cut.x, cut.y, cut.x + cut.length, cut.y + cut.width).difference(fixed)
    return all(free.covers(shapely.box(k.x, k.y, k.x + k.length, k.y + k.width)) for k in children)


# --- money and waste


def money_faults(f: Facts) -> Iterator[str]:
    """The order list adds up to the cost, line by line; what is cut is what is bought."""
    d = f.design
    lines = d.parts.order
    for o in lines:
        if o.bought * o.unit_price != o.cost:
            yield f"{o.code}: {o.bought} x {o.unit_price} is not {o.cost}"
        if o.bought * o.pack < o.needed - 1e-6:
            yield f"{o.code}: {o.needed} needed, {o.bought} x {o.pack} bought"
    cents = sum(o.cost for o in lines)
    if round(d.cost * 100) != cents or abs(d.cost * 100 - cents) > 1e-6:
        yield f"cost {d.cost}, lines add up to {cents}"
    table = sum(round(c * 100) for c in d.takeoff["cost"])
    if table != cents:
        yield f"take-off table adds up to {table}, lines to {cents}"
    bars = Counter(bar.code for bar in d.parts.cut.timber.uses)
    sheets = Counter(use.code for plan in d.parts.cut.sheets for use in plan.uses)
    for group, counts in (("timber", bars), ("sheet", sheets)):
        bought = {o.code: o.bought for o in lines if o.group == group}
        if bought != dict(counts):
            yield f"{group}: bought {bought}, cut {dict(counts)}"
    if d.parts.slabs is not None:
        slabs = Counter(use.code for use in d.parts.slabs.uses)
        packs = {i.code: i.pack for i in d.prices.items("slab")}
        wanted = {code: math.ceil(n / packs[code]) for code, n in slabs.items()}
        bought = {o.code: o.bought for o in lines if o.group == "slab"}
        if bought != wanted:
            yield f"slabs: bought {bought} packs, wanted {wanted}"


def waste_faults(f: Facts) -> Iterator[str]:
    """Waste is what is bought and not fixed, by hand."""
    d = f.design
    bars = d.parts.cut.timber.uses
    bought = sum(b.length for b in bars)
    fixed = sum(n for b in bars for _, n in b.cuts)
    if abs(d.timber_waste - (1 - fixed / bought)) > 1e-9:
        yield f"timber waste {d.timber_waste}, by hand {1 - fixed / bought}"
    sheets = [use for plan in d.parts.cut.sheets for use in plan.uses]
    bought = sum(u.length * u.width for u in sheets)
    fixed = sum(p.area for p in f.polygons.values())
    if abs(d.board_waste - (1 - fixed / bought)) > 1e-9:
        yield f"board waste {d.board_waste}, by hand {1 - fixed / bought}"
    if d.parts.slabs is None:
        if not math.isnan(d.fill_waste):
            yield "fill waste without fill"
    else:
        clear = shapely.box(0, 0, f.length, f.height).difference(f.openings)
        clear = clear.difference(shapely.union_all(f.member_boxes)).area
        packs = {i.code: i.pack for i in d.prices.items("slab")}
        bought = sum(
            math.ceil(n / packs[code]) * packs[code] * size
            for (code, size), n in Counter((u.code, u.length * u.width) for u in d.parts.slabs.uses).items()
        )
        if abs(d.fill_waste - (1 - clear / bought)) > 0.02:
            yield f"fill waste {d.fill_waste}, by hand {1 - clear / bought}"


ALL = (
    lining_faults,
    joint_table_faults,
    member_faults,
    standing_faults,
    plate_faults,
    opening_faults,
    bay_faults,
    backing_faults,
    joint_rule_faults,
    row_faults,
    timber_cut_faults,
    sheet_cut_faults,
    money_faults,
    waste_faults,
)


def design_faults(design) -> list[str]:
    """Return every fault of a design, one sentence each."""
    facts = Facts(design)
    return [f"{check.__name__}: {fault}" for check in ALL for fault in check(facts)]
