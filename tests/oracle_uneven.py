"""What has to hold of the frame under a sloping ceiling and over an uneven floor, found with shapely's parallels.

The lines that studs stand between are shapely's buffers along the measured points, not the product's. Every function
yields one sentence a fault. Lengths are integers of 0.1 mm.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import cached_property
from itertools import pairwise

import numpy as np
import shapely
from oracle_facts import VERTICAL, Facts
from oracle_frame import jamb_faults

from wallcalc.records import Member

FULL = ("end stud", "stud", "double stud", "jamb stud")
PLATES = ("sole plate", "head plate")
TOUCH = 4.0
"""Pieces this near touch: a tenth for each rounding of two corners and of a mitre on a steep slope, 0.1 mm."""


class Lines:
    """Floor, ceiling, and what is left between plates that follow them."""

    def __init__(self, f: Facts) -> None:
        self.f = f

    def band(self, role: str) -> shapely.Polygon:
        """What a plate fills along its line, doors not yet left out."""
        f = self.f
        down = f.t("frame.head_packing")
        line = f.floor_line if role == "sole plate" else [(x, y - down) for x, y in f.ceiling_line]
        long = [_beyond(line[1], line[0]), *line, _beyond(line[-2], line[-1])]
        way = 1 if role == "sole plate" else -1
        whole = shapely.LineString(long).buffer(
            way * f.thickness, single_sided=True, join_style="mitre", mitre_limit=50
        )
        return whole.intersection(shapely.box(0, -(10**7), f.length, 10**7))

    @cached_property
    def room(self) -> shapely.Geometry:
        """What is left for studs between the plates."""
        f = self.f
        inside = f.between(0, f.t("frame.head_packing"))
        return inside.difference(self.band("sole plate")).difference(self.band("head plate"))

    def height_of(self, line: list[tuple[float, float]], x: float) -> float:
        return float(np.interp(x, *zip(*line, strict=True)))


def _beyond(inner: tuple[float, float], end: tuple[float, float]) -> tuple[float, float]:
    """A point further out on the straight through two points."""
    run = end[0] - inner[0]
    far = 5000 / abs(run)
    return end[0] + run * far, end[1] + (end[1] - inner[1]) * far


def shape_faults(f: Facts) -> Iterator[str]:
    """Timber stays in the wall and out of openings, no two pieces in one place, rectangles fit round outlines."""
    shapes = f.member_boxes
    depth = max(m.depth for m in f.members)
    for m, shape in zip(f.members, shapes, strict=True):
        if not shape.is_valid or shape.area <= 0:
            yield f"{f.name(m)}: its outline is not a simple polygon"
        if tuple(round(v) for v in shape.bounds) != (m.x, m.y, m.x + m.width, m.y + m.height):
            yield f"{f.name(m)}: its outline does not fill its box"
        if shape.difference(f.wall).area > 1e-3 * shape.length:
            yield f"{f.name(m)} is not inside the wall"
        if shape.intersection(f.openings).area > 1e-3:
            yield f"{f.name(m)} stands in an opening"
    first, second = shapely.STRtree(shapes).query(shapes)
    for i, j in zip(first[first < second], second[first < second], strict=True):
        a, b = f.members[i], f.members[j]
        opposite = {a.faces, b.faces} == {"A", "B"} and a.depth + b.depth <= depth
        if shapes[i].intersection(shapes[j]).area > 1.0 and not opposite:
            yield f"{f.name(a)} and {f.name(b)} are in one place"


def cut_faults(f: Facts) -> Iterator[str]:
    """Uprights fill their place between the plates; long and short points are those of the outline."""
    lines, t = Lines(f), f.thickness
    table = f.design.members.set_index("mark")
    for m, shape in zip(f.members, f.member_boxes, strict=True):
        if m.role in VERTICAL:
            strip = shapely.box(m.x, -(10**7), m.x + t, 10**7).intersection(lines.room)
            wanted = [strip]
            for c in f.frame.clears:
                if m.role == "trimmer":
                    wanted.append(strip.intersection(shapely.box(m.x, -(10**7), m.x + t, c.top)))
                if m.role == "short stud":
                    wanted.append(strip.intersection(shapely.box(m.x, c.top + t, m.x + t, 10**7)))
                    wanted.append(strip.intersection(shapely.box(m.x, -(10**7), m.x + t, c.bottom - t)))
            if m.role in ("trimmer", "short stud"):
                wanted.pop(0)
            steep = 1 + max(abs(b[1] - a[1]) / (b[0] - a[0]) for a, b in pairwise(f.ceiling_line))
            if all(shape.symmetric_difference(w).area > 6 * t * steep for w in wanted):
                yield f"{f.name(m)} ({m.role}) does not fill its place between the plates"
        along = _direction(f, m)
        points = np.array(shape.exterior.coords)
        run = points @ along
        long = run.max() - run.min()
        if not long - 0.5 <= m.length <= long + 2:
            yield f"{f.name(m)} ({m.role}): cut to {m.length}, from point to point {long:.1f}"
        sides = _sides(shape, along)
        row = table.loc[m.mark]
        if (
            abs(row.length_long * 10 - m.length) > 0.01
            or abs(row.length_short * 10 - min(sides)) > 3 + 0.01 * long
        ):
            yield f"{f.name(m)}: long {row.length_long}, short {row.length_short}; sides {sides}"


def _direction(f: Facts, m: Member) -> np.ndarray:
    if m.role in VERTICAL:
        return np.array([0.0, 1.0])
    if m.role not in PLATES:
        return np.array([1.0, 0.0])
    line = f.floor_line if m.role == "sole plate" else f.ceiling_line
    middle = m.x + m.width / 2
    (x1, y1), (x2, y2) = next((a, b) for a, b in pairwise(line) if a[0] <= middle <= b[0])
    return np.array([x2 - x1, y2 - y1]) / math.hypot(x2 - x1, y2 - y1)


def _sides(shape: shapely.Polygon, along: np.ndarray) -> list[float]:
    """Lengths of the two sides of a piece that run with it (0 where it is cut to a point)."""
    across = np.array([-along[1], along[0]])
    points = np.array(shape.exterior.coords)
    off = points @ across
    found = [0.0, 0.0]
    for p, q in pairwise(points):
        rise, run = abs((q - p) @ across), abs((q - p) @ along)
        if rise <= max(2, 0.035 * run):
            found[int((p + q) @ across > off.min() + off.max())] += run
    return found


def plate_faults(f: Facts) -> Iterator[str]:
    """Plates fill a band along floor and ceiling, stop at doors, and every end is near a fixing."""
    lines = Lines(f)
    cut = {}
    for bar in f.design.parts.cut.timber.uses:
        cut.update(dict(bar.cuts))
    doors = shapely.union_all(
        [shapely.box(c.left, -(10**7), c.right, 10**7) for c in f.frame.clears if c.kind == "door"]
    )
    for role in PLATES:
        shapes = [s for m, s in zip(f.members, f.member_boxes, strict=True) if m.role == role]
        band = lines.band(role)
        if role == "sole plate":
            band = band.difference(doors)
        off = shapely.union_all(shapes).symmetric_difference(band).area
        if off > 2 * f.slack:
            yield f"{role}s are {off:.0f} off their band"
    for m in f.members:
        if m.role == "pattress":
            continue  # sawn from a sheet
        short = f.t("cutting.plate_short") if m.role in PLATES else 0
        if not m.length - short <= cut.get(m.mark, 0) <= m.length:
            yield f"{f.name(m)}: of length {m.length}, cut to {cut.get(m.mark, 0)}"


def standing_faults(f: Facts) -> Iterator[str]:
    """Uprights stand on and under level timber or plates, level pieces end at uprights or are cut to a plate."""
    level = [s for m, s in zip(f.members, f.member_boxes, strict=True) if m.role not in VERTICAL]
    upright = [s for m, s in zip(f.members, f.member_boxes, strict=True) if m.role in VERTICAL]
    plates = shapely.union_all(
        [s for m, s in zip(f.members, f.member_boxes, strict=True) if m.role in PLATES]
    )
    flat, posts = shapely.union_all(level), shapely.union_all(upright)
    for m, shape in zip(f.members, f.member_boxes, strict=True):
        if m.role in VERTICAL:
            middle = m.x + m.width / 2
            low, high = shapely.LineString([(middle, -(10**7)), (middle, 10**7)]).intersection(shape).coords
            for end in (low, high):
                if shapely.Point(end).distance(flat) > TOUCH:
                    yield f"{f.name(m)} ({m.role}) does not stand on and under level timber"
        elif m.role in ("noggin", "sill", "door head"):
            left, right = shape.bounds[0], shape.bounds[2]
            for at in (left, right):
                tip = shapely.box(at - 1, -(10**7), at + 1, 10**7).intersection(shape)
                if tip.distance(posts) > 1 and tip.distance(plates) > TOUCH:
                    yield f"{f.name(m)} ({m.role}) ends at nothing at {at}"
            if m.role == "noggin" and not m.flat and not m.outline and m.height != f.thickness:
                yield f"{f.name(m)}: a noggin on edge {m.height} high"


def opening_faults(f: Facts) -> Iterator[str]:
    """Openings have full-height timber at both sides, a head over them and a sill under a hatch."""
    t = f.thickness
    yield from jamb_faults(f, [m.x for m in f.members if m.role in FULL])
    for c in f.frame.clears:
        name = f"{c.kind} at {c.left}"
        heads = [m for m in f.members if m.role == "door head" and m.y == c.top]
        over = min(float(np.interp(x, *zip(*f.ceiling_line, strict=True))) for x in (c.left, c.right))
        if over - c.top > 2 * t and not any(m.x <= c.left and m.x + m.width >= c.right for m in heads):
            yield f"{name}: no head"
        floor = [float(np.interp(x, *zip(*f.floor_line, strict=True))) for x in (c.left, c.right)]
        floor += [y for x, y in f.floor_line if c.left < x < c.right]
        opening = f.design.wall.openings[c.index]
        if c.kind == "door" and (
            c.bottom > min(floor) or (opening.height and c.top - max(floor) < opening.height - 1)
        ):
            yield f"{name}: from {c.bottom} to {c.top} over a floor at {floor}"


def row_faults(f: Facts) -> Iterator[str]:
    """Rows of noggins hold studs as close as the rules ask, up to the height at hand."""
    if not f.rules.value("frame.stability_rows"):
        return
    spacing, least = f.t("frame.stability_spacing"), f.t("frame.noggin_min")
    full = sorted((m for m in f.members if m.role in FULL), key=lambda m: m.x)
    for a, b in pairwise(full):
        left, right = a.x + a.width, b.x
        if right - left < least or any(left <= c.left and c.right <= right for c in f.frame.clears):
            continue
        floor = max(float(np.interp(x, *zip(*f.floor_line, strict=True))) for x in (left, right))
        ceiling = min(float(np.interp(x, *zip(*f.ceiling_line, strict=True))) for x in (left, right))
        rows = sorted(
            m.y + m.height / 2
            for m in f.members
            if m.role == "noggin" and m.x < right and m.x + m.width > left and m.y < ceiling
        )
        gaps = [high - low for low, high in pairwise([floor, *rows, ceiling])]
        if max(gaps) > spacing + 10:
            yield f"bay {left} to {right}: rows at {rows} between {floor} and {ceiling}, {gaps} apart"
