"""What has to hold of the boards of every design: cover, joints, timber behind every edge.

Every function yields one sentence a fault. Lengths are integers of 0.1 mm.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations, pairwise

import numpy as np
import shapely
from oracle_facts import HAIR, Facts, merged


def lining_faults(f: Facts) -> Iterator[str]:
    """Boards of every layer cover the face once and nothing outside it."""
    face = f.face
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
            sides = {"left": b.x, "right": b.x + b.width, "bottom": b.y, "top": b.y + b.height}
            for name in b.bound_edges:
                i = 0 if name in ("left", "right") else 1
                ring = shape.exterior.coords
                if not any(p[i] == q[i] == sides[name] for p, q in pairwise(ring)):
                    yield f"board {f.name(b)}: has no {name} edge that could be bound"
            if b.lying != (f.option.board_orientation == "horizontal"):
                yield f"board {f.name(b)}: laid the wrong way"
        total = sum(s.area for s in shapes)
        cover = shapely.union_all(shapes)
        if not face.area - HAIR - f.slack <= total <= face.area + HAIR:
            yield f"lining {key}: boards of {total} on a face of {face.area}"
        if cover.difference(face).area > HAIR or face.difference(cover).area > HAIR + f.slack:
            yield f"lining {key}: the face is not covered exactly"
        if total - cover.area > HAIR:
            yield f"lining {key}: boards overlap by {total - cover.area}"


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
        ours, theirs = merged(found.get(key, [])), merged(listed.get(key, []))
        if ours != theirs:
            yield f"joints {key}: boards meet along {ours}, listed {theirs}"


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
    if f.uneven:
        yield from _bare_places(f, strips, sides, rows)
        return
    under = f.height - f.t("frame.head_packing")  # nothing to screw to beside the packing over the head plate
    boxes = shapely.box(*np.minimum(np.array(strips, dtype=float), [np.inf, under, np.inf, under]).T)
    for side in "AB":
        chosen = [i for i, s in enumerate(sides) if s == side]
        for i, fine in zip(chosen, shapely.covers(f.timber[side], boxes[chosen]), strict=True):
            if not fine:
                bare = shapely.difference(boxes[i], f.timber[side])
                yield f"{rows[i]}: no timber behind {[round(v) for v in bare.bounds]} of {strips[i]}"


def _bare_places(f: Facts, strips: list, sides: list[str], rows: list[str]) -> Iterator[str]:
    """The same between sloping plates, where corners are rounded: bare by no more than a few tenths all along."""
    inside = f.between(0, f.t("frame.head_packing"))
    for strip, side, row in zip(strips, sides, rows, strict=True):
        shape = shapely.box(*strip) if not hasattr(strip, "area") else strip
        bare = shape.intersection(inside).difference(f.timber[side])
        if bare.area > 3 * shape.length / 2:
            yield f"{row}: no timber behind {[round(v) for v in bare.bounds]} ({bare.area:.0f}) of {shape.bounds}"


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
                    if not upright and ya != yb:
                        deep = edge["cut"] + extra
                        away = shapely.LineString([(xa, ya), (xb, yb)]).offset_curve(deep).coords
                        strip = shapely.Polygon([(xa, ya), (xb, yb), *reversed(away)])
                        yield strip.intersection(shape), side, f"sloping edge of {f.name(b)} ({side}{layer})"
                        continue
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
    for a, b in merged(taken):
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
