"""What walls weigh, tiles among it, recounted with shapely from the wall as given and from the public tables."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
import shapely

import wallcalc as wc
from wallcalc.given.wall import HungItem, Opening, Room, Service

SQUARE = 1e8
"""(0.1 mm)2 in 1 m2."""

DOOR = Opening("door", 11_000, width=8000, height=20_300)
HATCH = Opening("hatch", 24_000, width=7000, height=9000, sill=9000)
LEVEL = wc.Wall("level", 36_000, ((0, 26_200),))
ROOF = wc.Wall("roof", 36_000, ((0, 21_000), (15_000, 25_000), (36_000, 28_000)))
CELLAR = wc.Wall(
    "cellar", 36_000, ((0, 25_000), (36_000, 24_400)), floor_levels=((0, 0), (12_000, 350), (36_000, 600))
)
WALLS = {
    "plain": LEVEL,
    "door": replace(LEVEL, openings=(DOOR,)),
    "door and hatch": replace(LEVEL, openings=(DOOR, HATCH)),
    "roof": ROOF,
    "roof, door and hatch": replace(ROOF, openings=(DOOR, HATCH)),
    "cellar, hatch": replace(CELLAR, openings=(HATCH,)),
    "cellar, door": replace(CELLAR, openings=(DOOR,)),
}
TILED_TO = (1200, 8000, 9000, 13_000, 18_000, 20_300, 21_000, 30_000)
"""Below the hatch, to its lower edge, halfway up it, to its top, to the door's and over it, over the ceiling."""

rules = wc.Rules.load("uk")


def opening_boxes(wall: wc.Wall):
    boxes = []
    for o in wall.openings:
        low = -10_000 if o.kind == "door" else o.sill
        floor = 0
        if wall.floor_levels:
            xs, ys = zip(*wall.floor_levels, strict=True)
            floor = (
                max(np.interp(np.linspace(o.left, o.left + o.width, 201), xs, ys)) if o.kind == "door" else 0
            )
        boxes.append(shapely.box(o.left, low, o.left + o.width, (o.sill or floor) + o.height))
    return shapely.union_all(boxes)


def face(wall: wc.Wall):
    """The clear face between floor and ceiling as given, openings not taken out."""
    xs = sorted({0, wall.length, *(x for x, _ in (*wall.heights, *wall.floor_levels))})
    floor = [np.interp(x, *zip(*(wall.floor_levels or ((0, 0),)), strict=True)) for x in xs]
    top = [f + np.interp(x, *zip(*wall.heights, strict=True)) for x, f in zip(xs, floor, strict=True)]
    return shapely.Polygon([*zip(xs, floor, strict=True), *reversed([*zip(xs, top, strict=True)])])


def tiled(wall: wc.Wall, top: int) -> float:
    """The tiled area of a side, m2: what of its face is below a level line and no opening."""
    below = shapely.box(0, -10_000, wall.length, top)
    return face(wall).intersection(below).difference(opening_boxes(wall)).area / SQUARE


def load(wall: wc.Wall, **option) -> tuple[float, wc.Design]:
    """Own weight [kN/m] as the checks tell it."""
    design = wc.design(wall, wc.Option(**option), rules=rules, seconds=0.01, model="closed form")
    found = design.checks[design.checks["check"] == "floor load"]["value"]
    assert max(found) - min(found) <= 5.01e-4  # one row tells three decimals, the other six figures
    return found.iloc[-1], design


@pytest.mark.parametrize("name", WALLS)
def test_tiles_weigh_what_their_area_does(name):
    wall = WALLS[name]
    bare, _ = load(wall)
    glue = rules.value("tile.adhesive_and_grout")
    for side, top in zip("AB" * 4, TILED_TO, strict=True):
        room = Room(tiled_to=top, tile_mass=20.0)
        more, design = load(replace(wall, **{f"room_{side.lower()}": room}))
        mass = (more - bare) * 1000 * wall.length / 10_000 / rules.value("loads.gravity")
        assert mass == pytest.approx(tiled(wall, top) * (20 + glue), abs=0.5), (side, top)
        said = re.search(
            r"tiles (\d+) kg", design.checks.loc[design.checks["check"] == "floor load", "why"].iloc[0]
        )
        assert int(said.group(1) if said else 0) == pytest.approx(tiled(wall, top) * (20 + glue), abs=0.51)
        if top == 13_000:  # as much again on the other side
            both, _ = load(replace(wall, room_a=room, room_b=room))
            assert both - bare == pytest.approx(2 * (more - bare), rel=2e-3)


def polygon(row):
    holes = getattr(row, "holes", [])
    return shapely.Polygon(row.outline, [[(a, b), (c, b), (c, d), (a, d)] for a, b, c, d in holes])


@pytest.mark.parametrize("name", WALLS)
def test_a_wall_weighs_what_its_parts_do(name):
    """Timber by volume, boards by area, slabs by volume, what hangs on it as given; lengths mm, areas mm2."""
    hung = (HungItem("shelf", "A", ((6000, 15_000), (8000, 15_000)), mass=12.0, extra=30.0, projection=3000),)
    wall = replace(WALLS[name], hung=hung)
    told, design = load(wall, fill="wool-50", layers_b=2)
    book = design.prices
    timber = plywood = 0.0
    for m in design.members.itertuples():
        if m.role == "pattress":
            plywood += polygon(m).area / 1e6 * book.board(m.section).surface_mass
        else:
            timber += polygon(m).area * m.depth / 1e9
    timber += sum(38 * c.depth * c.length / 1e9 for c in design.cleats.itertuples())
    boards = sum(
        polygon(b).area / 1e6 * book.board(b.board_type).surface_mass for b in design.boards.itertuples()
    )
    slabs = sum(shapely.Polygon(f.outline).area * f.thickness / 1e9 for f in design.fill.itertuples())
    wool = slabs * book.fill("wool-50").density
    mass = timber * rules.value("mass.timber_density") + plywood + boards + wool
    assert design.mass == pytest.approx(mass, rel=1e-4)
    assert told == pytest.approx((mass + 42) * rules.value("loads.gravity") / wall.length * 10, abs=1e-3)
    # and the boards are as large as the face that they line
    lined = face(wall).area - face(wall).intersection(opening_boxes(wall)).area
    gap = rules.tenths("board.floor_gap") * wall.length
    areas = [
        sum(polygon(b).area for b in g.itertuples()) * 100
        for _, g in design.boards.groupby(["side", "layer"])
    ]
    assert len(areas) == 3
    assert all(lined - 1.1 * gap <= area <= lined for area in areas)


def test_boards_pierced_for_pipes_and_a_hatch_are_weighed_as_they_are_fixed():
    """The sum of the boards' own masses, frame and wool beside it; the heaviest of them is the one to lift."""
    pipe = Service("waste", "A", (4300, 5000), 430)
    wall = replace(LEVEL, openings=(DOOR, HATCH), services=(pipe,))
    told, design = load(wall, section="38x140")
    timber = sum(polygon(m).area * m.depth / 1e9 for m in design.members.itertuples())
    mass = timber * rules.value("mass.timber_density") + design.boards["mass"].sum()
    assert design.boards["service_holes"].map(len).sum() > 0
    assert design.boards["holes"].map(len).sum() > 0
    assert design.mass == pytest.approx(mass, rel=1e-9)
    assert told == pytest.approx(mass * rules.value("loads.gravity") / wall.length * 10, rel=1e-5)
    lifted = design.checks[
        (design.checks["check"] == "lifting") & (design.checks["case"] == "heaviest as cut")
    ]
    assert lifted["value"].iloc[0] == pytest.approx(design.boards["mass"].max(), rel=1e-5)


def test_no_two_of_the_walls_heights_are_tiled_alike():
    """What the walls above are for: every step up adds area, until the ceiling is reached."""
    for wall in WALLS.values():
        areas = [tiled(wall, top) for top in TILED_TO]
        assert all(a < b for a, b in pairwise(areas))
