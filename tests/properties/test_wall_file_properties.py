"""Wall files: any wall is the same after writing and reading, and no damaged file is more than a refusal."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from wallcalc.errors import WallError
from wallcalc.given.parts import SERVICE_KINDS, SERVICE_WAYS, Access, HungItem, Joists, Opening, Room, Service
from wallcalc.given.reader import BOXES, RUNS, points_along
from wallcalc.given.wall import Wall
from wallcalc.given.wall_file import dumps_wall

LAUNDRY = Path(__file__).parents[2] / "data" / "walls" / "laundry_and_practice_room.toml"
NAMES = st.text(st.characters(exclude_categories=["Cs", "Cc", "Zl", "Zp"]), min_size=1, max_size=40).filter(
    str.strip
)
MASSES = st.floats(0.001, 900)
WAYS = st.just(0) | st.integers(3000, 120_000)


@st.composite
def hung_items(draw, name, side, point):
    line, centres = None, 0
    fixings = tuple(draw(st.lists(point, min_size=1, max_size=4)))
    if draw(st.booleans()):
        (x1, y1), (x2, y2) = draw(point), draw(point)
        line = ((x1, y1), (x2, y1)) if x1 != x2 else ((x1, y1), (x1, y2 + (y1 == y2 <= 20_000)))
        if line[0] == line[1]:
            line = ((x1, y1), (x1, y1 - 1))
        span = max(abs(line[0][0] - line[1][0]), abs(line[0][1] - line[1][1]))
        centres = draw(st.integers(max(500, span // 50), 30_000))  # a wall has no more than 200 fixings
        fixings = points_along(line, centres)
    return HungItem(
        name,
        side,
        fixings,
        draw(MASSES),
        draw(MASSES),
        draw(st.integers(0, 30_000)),
        draw(st.sampled_from(["any", "stud", "noggin", "pattress"])),
        pad=draw(st.integers(0, 999)),
        line=line,
        line_centres=centres,
    )


@st.composite
def the_services(draw, name, side, left, least, ways):
    """One service in a stretch of 1 m that it has to itself."""
    kind = draw(st.sampled_from(SERVICE_KINDS))
    side_of_box = st.integers(10, 5000)
    size = draw(st.none() | st.tuples(side_of_box, side_of_box)) if kind in BOXES else None
    runs = kind in RUNS and draw(st.booleans())
    at = (left + draw(st.integers(2500, 7500)), draw(st.integers(3500, least - 2500)))
    to = (left + draw(st.integers(7501, 10_000)), draw(st.integers(1000, least)))
    return Service(
        name,
        side,
        at,
        max(size) if size else draw(side_of_box),
        draw(side_of_box),
        kind,
        size,
        to if runs else None,
        draw(st.sampled_from(ways)),
    )


@settings(deadline=None)
@given(st.integers(0, 99_999), st.integers(0, 99_999), st.integers(500, 30_000), st.booleans())
def test_points_of_a_line_are_evenly_spaced_and_no_farther_apart_than_asked(first, last, centres, level):
    assume(first != last)
    points = points_along(((first, 7), (last, 7)) if level else ((7, first), (7, last)), centres)
    along = [p[0 if level else 1] for p in points]
    assert {p[1 if level else 0] for p in points} == {7}
    assert along[0] == first
    assert along[-1] == last
    gaps = [abs(b - a) for a, b in pairwise(along)]
    assert max(gaps) <= centres
    assert max(gaps) - min(gaps) <= 1
    assert (len(gaps) - 1) * centres < abs(last - first)  # one fixing fewer would not do


@st.composite
def walls(draw):
    length = draw(st.integers(40_000, 300_000))
    high = st.integers(20_000, 120_000)
    if draw(st.booleans()):
        heights = ((0, draw(high)),)
    else:
        inner = sorted(draw(st.sets(st.integers(1, length - 1), max_size=3)))
        heights = tuple((x, draw(high)) for x in [0, *inner, length])
    least = min(h for _, h in heights)
    levels = ()
    if draw(st.booleans()):
        inner = sorted(draw(st.sets(st.integers(1, length - 1), max_size=3)))
        levels = tuple((x, draw(st.integers(0, 1000))) for x in [0, *inner, length])
    point = st.tuples(st.integers(20_000, length - 500), st.integers(1500, least - 500))
    names = draw(st.lists(NAMES, max_size=4))
    names = [f"{i} {n}"[:100] for i, n in enumerate(names)]
    side = draw(st.sampled_from("AB"))
    hung = tuple(draw(hung_items(n, side, point)) for n in names[:2])
    others = [w for w in SERVICE_WAYS if w != "through" or not hung]
    services = tuple(
        draw(the_services(n, "AB"[side == "A"], 20_000 + 10_000 * i, least, others))
        for i, n in enumerate(names[2:])
    )
    openings = draw(
        st.sampled_from(
            [
                (),
                (Opening("door", 0, leaf=7623, leaf_mass=0.1),),
                (
                    Opening("hatch", 5000, width=8001, height=5000, sill=0),
                    Opening("door", 13001, width=3000, height=20_000, rating=30.5),
                ),
            ]
        )
    )
    return Wall(
        draw(NAMES),
        length,
        heights,
        room_a=Room(
            draw(NAMES), "utility", draw(st.booleans()), draw(st.integers(0, least)), draw(st.floats(0, 200))
        ),
        openings=openings,
        hung=hung,
        services=services,
        joists_above=Joists("across", draw(st.integers(0, 1000)), draw(st.integers(1000, 9999))),
        joists_below=draw(st.sampled_from([Joists("along", None, 4501), Joists("solid"), Joists()])),
        finish=draw(st.sampled_from(["taped", "skim"])),
        left_end="masonry",
        floor_build_up=draw(st.integers(0, 5000)),
        access=Access(draw(WAYS), draw(WAYS), draw(WAYS)),
        floor_levels=levels,
    )


@settings(deadline=None)
@given(walls(), st.sampled_from(["m", "mm", "ft-in"]))
def test_any_wall_is_the_same_after_writing_and_reading(wall, units):
    assert Wall.loads(dumps_wall(wall, units)) == wall


@settings(deadline=None)
@given(st.data())
def test_a_damaged_file_is_refused_or_read_and_never_a_crash(data):
    text = LAUNDRY.read_text(encoding="utf-8")
    at = data.draw(st.integers(0, len(text)))
    cut = data.draw(st.integers(0, 12))
    put = data.draw(
        st.text(max_size=6) | st.sampled_from(["[[", "]", '"', "=", "nan", "-", "inf", "1e999", "{}", "true"])
    )
    try:
        wall = Wall.loads(text[:at] + put + text[at + cut :])
    except WallError as error:
        problems = error.problems
    else:
        problems = None
        assert Wall.loads(dumps_wall(wall)) == wall
    assert problems is None or (problems and all(p.field and p.found and p.accepted for p in problems))
