"""What has to hold of the timber behind hung items: fixings, pads, what pieces serve, what plywood is bought.

Every function yields one sentence a fault. Lengths are integers of 0.1 mm.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator

import shapely
from oracle_facts import HAIR, VERTICAL, Facts

SLIP = 1e-6
"""Rounding of shapely's distances, 0.1 mm."""
FULL = ("end stud", "stud", "double stud", "jamb stud")
ACROSS = ("sole plate", "head plate", "door head", "sill", "noggin")


def _holding(f: Facts, item, x: int, y: int) -> list:
    """Members that a fixing lands on with its distances from their edges, by shapely."""
    edge, end = f.t("hung.edge_distance") - SLIP, f.t("hung.end_distance") - SLIP
    point = shapely.Point(x, y)
    found = []
    for m, box in zip(f.members, f.member_boxes, strict=True):
        if item.side not in m.faces or not shapely.covers(box, point):
            continue
        left, bottom, right, top = box.bounds
        along = [
            shapely.LineString([(left, bottom), (left, top)]),
            shapely.LineString([(right, bottom), (right, top)]),
        ]
        level = [
            shapely.LineString([(left, bottom), (right, bottom)]),
            shapely.LineString([(left, top), (right, top)]),
        ]
        if m.role in VERTICAL:
            fine = all(point.distance(side) >= edge for side in along)
        elif m.role == "pattress":
            fine = point.distance(box.exterior) >= edge
        else:
            fine = all(point.distance(side) >= edge for side in level)
            if m.role == "noggin":
                fine = fine and all(point.distance(side) >= end for side in along)
        if fine:
            found.append(m)
    return found


def fixing_faults(f: Facts) -> Iterator[str]:
    """Every fixing has timber of its side behind it as the rules ask, of the kind asked for, its pad covered."""
    wanted = {"stud": VERTICAL, "noggin": ("noggin",), "pattress": ("pattress",)}
    for item in f.design.wall.hung:
        for x, y in item.fixings:
            name = f"{item.name!r} at ({x}, {y}) on {item.side}"
            holding = _holding(f, item, x, y)
            if not holding:
                yield f"{name}: no timber holds it"
                continue
            kinds = {m.role for m in holding}
            # timber that was there anyway counts whatever was asked for, and so does a stud put where nothing else can
            # be; noggins and pattresses that are added are what was asked for
            for m in holding:
                added = m.serves == (item.name,) and m.role in ("noggin", "pattress")
                if added and item.backing in wanted and m.role not in wanted[item.backing]:
                    yield f"{name}: {m.mark} ({m.role}) was added, {item.backing} asked for"
            if item.backing == "stud" and not kinds & {
                *VERTICAL,
                "sole plate",
                "head plate",
                "door head",
                "sill",
            }:
                yield f"{name}: no stud, {kinds}"
            if not any(item.name in m.serves for m in holding):
                yield f"{name}: no piece behind it says so"
            half = item.pad / 2
            pad = shapely.box(x - half, y - half, x + half, y + half)
            if pad.difference(f.timber[item.side]).area > HAIR:
                yield f"{name}: its pad is not all on timber"


def serving_faults(f: Facts) -> Iterator[str]:
    """What serves an item holds one of its fixings, or doubles a stud beside a bay that does; every item is named."""
    items = {item.name: item for item in f.design.wall.hung}
    for m in f.members:
        for name in set(m.serves) & set(items):
            item = items[name]
            if any(m in _holding(f, item, x, y) for x, y in item.fixings):
                continue
            half = item.pad / 2
            pads = (
                [shapely.box(x - half, y - half, x + half, y + half) for x, y in item.fixings] if half else []
            )
            own = f.member_boxes[f.members.index(m)]
            if item.side in m.faces and any(own.intersection(p).area > 0 for p in pads):
                continue
            if m.role == "short stud" and any(
                o.x == m.x and any(o in _holding(f, item, x, y) for x, y in item.fixings) for o in f.members
            ):
                continue  # the piece under a hatch of a stud that holds it over the hatch
            touches = [
                o for o in f.members if o.role in VERTICAL and (o.x + o.width == m.x or m.x + m.width == o.x)
            ]
            if m.role != "double stud" or not touches:
                yield f"{f.name(m)} says it serves {name!r} and does not"
    for name in items:
        if not any(name in m.serves for m in f.members):
            yield f"nothing serves {name!r}"


def double_faults(f: Facts) -> Iterator[str]:
    """Heavy items have double studs at both sides of the bays that carry them, wall ends left out."""
    gravity, least = float(f.rules.value("loads.gravity")), float(f.rules.value("hung.double_studs_from"))
    said = " ".join(f.frame.notes)
    full = sorted(
        (m for m in f.members if m.role in FULL and (f.uneven or m.height == f.head - f.thickness)),
        key=lambda m: m.x,
    )
    for item in f.design.wall.hung:
        ruled = [
            row["load"]
            for row in f.rules.rows("hung_load")
            if (item.kind == row["kind"] or item.kind in row["words"])
            or (not item.kind and set(item.name.lower().split()) & set(row["words"]))
        ]
        if max([(item.mass + item.extra) * gravity, *ruled]) < least:
            continue
        for x, y in item.fixings:
            holding = {m.role for m in _holding(f, item, x, y)}
            if holding & set(ACROSS[:4]) or any(c.left < x < c.right for c in f.frame.clears):
                continue
            under = [m for m in full if m.x < x < m.x + m.width]
            carry = under or [
                max((m for m in full if m.x + m.width <= x), key=lambda m: m.x),
                min((m for m in full if m.x >= x), key=lambda m: m.x),
            ]
            for m in carry:
                beside = [o for o in full if o.x + o.width == m.x or m.x + m.width == o.x]
                if m.role != "end stud" and not beside and "no room to double" not in said:
                    yield f"{item.name!r}: {f.name(m)} carries it and stands alone"


def cleat_faults(f: Facts) -> Iterator[str]:
    """A cleat backs each end of a pattress, clear of what is there, or a note says why not."""
    solids = [
        (m, shapely.box(m.x, m.y, m.x + m.width, m.y + m.height)) for m in f.members if m.role != "pattress"
    ]
    cleats = [(c, shapely.box(c.x, c.y, c.x + f.thickness, c.y + c.length)) for c in f.frame.cleats]
    for m in (m for m in f.members if m.role == "pattress"):
        board = shapely.box(m.x, m.y, m.x + m.width, m.y + m.height)
        mine = [(c, box) for c, box in cleats if m.mark in c.serves]
        missing = sum(
            ("both ends" in n) * 2 + ("both ends" not in n)
            for n in f.frame.notes
            if f"pattress {m.mark} has no" in n
        )
        if len(mine) + missing != 2:
            yield f"{f.name(m)}: {len(mine)} cleats, {missing} said to be missing"
        for c, box in mine:
            behind = box.intersection(board)
            if not math.isclose(behind.area, f.thickness * m.height) or c.x not in (
                m.x,
                m.x + m.width - f.thickness,
            ):
                yield f"{c} does not back an end of {m.mark}"
    for c, box in cleats:
        faces = {m.faces for m in f.members if m.mark in c.serves}
        thick = sum(
            next(m.depth for m in f.members if m.mark in c.serves and m.faces == face) for face in faces
        )
        over = [m for m, other in solids if m.role in VERTICAL and other.intersection(box).area]
        flat = [m for m, other in solids if m.role == "noggin" and other.intersection(box).area]
        deepest = max((m.depth for m in flat), default=0)
        if (
            over
            or c.depth + thick + deepest > max(m.depth for m in f.members)
            or c.depth < f.t("pattress.cleat_least")
        ):
            yield f"{c} is in one place with {over + flat}, {thick} of board before it"


def plywood_faults(f: Facts) -> Iterator[str]:
    """Pattresses lie between two uprights, and each is cut once from a sheet that is bought."""
    boards = [m for m in f.members if m.role == "pattress"]
    plan = f.design.parts.cut.plywood
    thick = f.design.prices.board(str(f.rules.value("pattress.product"))).thickness
    uprights = [m for m in f.members if m.role in VERTICAL]
    for m in boards:
        if m.height < f.t("pattress.height_least") or m.depth != thick or m.faces not in ("A", "B"):
            yield f"{f.name(m)}: {m.height} high, {m.depth} thick, on {m.faces}"
        for edge in (m.x, m.x + m.width):
            beside = [(u.y, u.y + u.height) for u in uprights if edge in (u.x, u.x + u.width)]
            if not any(a <= m.y and m.y + m.height <= b for a, b in beside):
                yield f"{f.name(m)}: no upright at {edge} to fix it to"
    if (plan is None) != (not boards):
        yield f"{len(boards)} pattresses, plan {plan}"
    if plan is None:
        return
    kerf = f.t("cutting.kerf")
    cuts = [c for use in plan.uses for c in use.cuts]
    if Counter(c.mark for c in cuts) != Counter(m.mark for m in boards):
        yield f"plywood cut into {cuts}"
    sizes = {m.mark: (m.width, m.height) for m in boards}
    for use in plan.uses:
        whole = shapely.box(0, 0, use.length, use.width)
        boxes = [shapely.box(c.x, c.y, c.x + c.length, c.y + c.width) for c in use.cuts]
        for c, box in zip(use.cuts, boxes, strict=True):
            if (c.length, c.width) != sizes.get(c.mark):
                yield f"{c.mark} cut {c.length} x {c.width}, wanted {sizes.get(c.mark)}"
            if not whole.covers(box):
                yield f"{c.mark} reaches beyond its sheet"
        for i, a in enumerate(boxes):
            for b in boxes[:i]:
                if a.distance(b) < kerf - SLIP:
                    yield f"{use.code}: less than a saw cut between {a.bounds} and {b.bounds}"
    price = {i.code: i.price for i in f.design.prices.items("plywood")}
    if plan.cost != sum(price[use.code] for use in plan.uses) or plan.lower_bound > plan.cost:
        yield f"plywood plan says {plan.cost} (bound {plan.lower_bound})"
    bought = {o.code: o.bought for o in f.design.parts.order if o.group == "plywood"}
    if bought != dict(Counter(use.code for use in plan.uses)):
        yield f"plywood bought {bought}"
