"""What has to hold of every design with services: timber clear of them, holes in their boards, pipes bored.

Pipes are shapely's circles and buffered lines, drawn from the wall as given. Every function yields one sentence a
fault. Lengths are integers of 0.1 mm.
"""

from __future__ import annotations

from collections.abc import Iterator

import shapely
from oracle_facts import HAIR, VERTICAL, Facts

from wallcalc.given.parts import Service

ROUND = 64
"""Segments of a quarter circle."""


def boxed(s: Service) -> bool:
    return s.size is not None or s.kind == "socket"


def opening(s: Service) -> shapely.Polygon:
    """What a service cuts out of the lining on its own side."""
    x, y = s.at
    if boxed(s):
        width, height = s.size or (s.diameter, s.diameter)
        return shapely.box(x - width / 2, y - height / 2, x + width / 2, y + height / 2)
    return shapely.Point(x, y).buffer(s.diameter / 2, quad_segs=ROUND)


def far_end(s: Service) -> tuple[int, int]:
    return s.to if s.to is not None else s.at


def runs_along(s: Service) -> shapely.LineString | None:
    if s.to is None or s.to[0] == s.at[0]:
        return None
    return shapely.LineString([s.at, s.to])


def upright_lines(s: Service, height: int) -> list[shapely.LineString]:
    found = []
    if s.to is not None and s.to[0] == s.at[0] and s.to != s.at:
        found.append(shapely.LineString([s.at, s.to]))
    x, y = far_end(s)
    if s.goes in ("down", "up") and not (boxed(s) and s.to is None):
        found.append(shapely.LineString([(x, y), (x, 0 if s.goes == "down" else height)]))
    return found


def holes_of(s: Service) -> list[tuple[str, shapely.Polygon]]:
    """Holes in the linings: (side, shape)."""
    found = [(s.side, opening(s))]
    if s.goes == "through":
        other = "B" if s.side == "A" else "A"
        end = shapely.Point(s.to).buffer(s.diameter / 2, quad_segs=ROUND) if s.to is not None else opening(s)
        found.append((other, end))
    return found


def clearance_faults(f: Facts) -> Iterator[str]:
    """No member is within the clearance of a service; pipes in the wall meet only what is bored for them."""
    holes = {(h.member, h.service) for h in f.frame.holes}
    for s in f.design.wall.services:
        near = [opening(s)]
        if s.to is not None:
            near.append(shapely.Point(s.to).buffer(s.diameter / 2, quad_segs=ROUND))
        kept = shapely.union_all(near).buffer(s.clearance - HAIR, join_style="round")
        for m, area in zip(f.members, shapely.area(shapely.intersection(f.member_boxes, kept)), strict=True):
            if area > HAIR:
                yield f"{s.name}: {f.name(m)} ({m.role}) is within its clearance"
        along = runs_along(s)
        if along is not None:
            pipe = along.buffer(s.diameter / 2 + s.clearance - HAIR, cap_style="flat")
            for m, box in zip(f.members, f.member_boxes, strict=True):
                if m.role not in VERTICAL and pipe.intersection(box).area > HAIR:
                    yield f"{s.name}: {f.name(m)} ({m.role}) lies along its run"
                if m.role in VERTICAL and along.intersects(box) and (m.mark, s.name) not in holes:
                    yield f"{s.name}: {f.name(m)} is crossed and not bored"
        for line in upright_lines(s, f.height):
            pipe = line.buffer(s.diameter / 2 + s.clearance - HAIR, cap_style="flat")
            behind = []
            for m, box in zip(f.members, f.member_boxes, strict=True):
                if m.role in VERTICAL and pipe.intersection(box).area > HAIR:
                    yield f"{s.name}: {f.name(m)} stands in its way {s.goes}"
                if (
                    m.role not in VERTICAL
                    and line.intersection(box).length > 0
                    and (m.mark, s.name) not in holes
                ):
                    behind.append(m)
            deep = max(k.depth for k in f.members)
            for m in behind:  # the pipe passes between what touches one face and what touches the other
                other = [k.depth for k in behind if k.y < m.top and m.y < k.top and k.faces != m.faces]
                if m.faces == "AB" or m.depth + max(other, default=0) + s.diameter > deep:
                    yield f"{s.name}: {f.name(m)} is in its way {s.goes} and not bored"


def hole_faults(f: Facts) -> Iterator[str]:
    """Every hole is in one board of every layer of its side, as far from the board's edges as the rule asks."""
    edge = f.t("service.hole_edge")
    wanted: list[tuple[str, int, str, shapely.Polygon]] = [
        (side, layer, s.name, shape)
        for s in f.design.wall.services
        for side, shape in holes_of(s)
        for layer in range(1, (f.option.layers_a if side == "A" else f.option.layers_b) + 1)
    ]
    listed = [(b.side, b.layer, p.service) for b in f.frame.boards for p in b.pierced]
    if sorted(listed) != sorted(w[:3] for w in wanted):
        yield f"holes {sorted(listed)}, wanted {sorted(w[:3] for w in wanted)}"
    for side, layer, name, shape in wanted:
        for b in f.frame.boards:
            for p in b.pierced:
                if (b.side, b.layer, p.service) != (side, layer, name):
                    continue
                board = f.polygons[b.mark]
                if not board.contains(shape):
                    yield f"{name}: its hole is not inside {f.name(b)}"
                elif board.boundary.distance(shape) < edge - HAIR:
                    yield f"{name}: its hole is {board.boundary.distance(shape):.0f} from an edge of {f.name(b)}"
                left, bottom = b.from_face(p)
                x = b.x + left if side == "A" else b.x + b.width - left
                middle = shape.centroid
                if abs(x - middle.x) > HAIR or abs(b.y + bottom - middle.y) > HAIR:
                    yield f"{name}: cut at ({left}, {bottom}) of {b.mark}, which is not where it comes through"
                if abs(p.area - shape.area) > 0.002 * shape.area:
                    yield f"{name}: its hole is {p.area} and not {shape.area}"


def bore_faults(f: Facts) -> Iterator[str]:
    """Holes in timber are where the pipes are, within the piece; those in noggins keep the hole rules."""
    services = {s.name: s for s in f.design.wall.services}
    members = {m.mark: m for m in f.members}
    for h in f.frame.holes:
        m, s = members.get(h.member), services[h.service]
        if m is None:
            yield f"{h}: bored through nothing"
            continue
        upright = m.role in VERTICAL
        if upright != (h.axis == "x"):
            yield f"{h}: bored the wrong way"
        lines = [runs_along(s)] if upright else upright_lines(s, f.height)
        if h.diameter != s.diameter or not any(
            line is not None and line.distance(shapely.Point(h.x, h.y)) <= HAIR for line in lines
        ):
            yield f"{h}: not on the pipe"
        if not shapely.box(m.x, m.y, m.x + m.width, m.y + m.height).contains(shapely.Point(h.x, h.y)):
            yield f"{h}: not in {f.name(m)}"
        if upright and not m.y + h.diameter / 2 <= h.y <= m.y + m.height - h.diameter / 2:
            yield f"{h}: cut into the end of {f.name(m)}"
        if m.role == "noggin":
            for row in f.rules.rows("hole_notch"):
                if (row["kind"], row["member"], row["verdict"]) == ("hole", "stud", "fail"):
                    most = min(m.depth * row["most_percent"] / 100, m.depth - 20 * row["edge_least"])
                    if h.diameter > most + HAIR:
                        yield f"{h}: {f.name(m)} takes a hole of {most}"
    for s in services.values():
        if s.kind == "waste" and s.to is not None:
            need = abs(s.to[0] - s.at[0]) * f.rules.value("service.waste_fall") / 1000
            if s.at[1] - s.to[1] < need - HAIR:
                yield f"{s.name}: falls {s.at[1] - s.to[1]}, needs {need:.0f}"


def moved_stud_faults(f: Facts) -> Iterator[str]:
    """A stud said to be moved stands as far from the module as it says, and something is named that it moved for."""
    names = {s.name for s in f.design.wall.services}
    for m in f.members:
        for why in m.serves:
            if why.startswith(("moved ", "added beside ")) and not any(n in why for n in names):
                yield f"{f.name(m)}: {why}, for no service of the wall"
