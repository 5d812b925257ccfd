"""Wall files: any wall is the same after writing and reading, and no damaged file is more than a refusal."""

from __future__ import annotations

from pathlib import Path

from hypothesis import given
from hypothesis import strategies as st

from wallcalc.errors import WallError
from wallcalc.given import Access, HungItem, Joists, Opening, Room, Service, Wall
from wallcalc.wall_file import dumps_wall, loads_wall

LAUNDRY = Path(__file__).parents[2] / "data" / "walls" / "laundry_and_practice_room.toml"
NAMES = st.text(st.characters(exclude_categories=["Cs", "Cc", "Zl", "Zp"]), min_size=1, max_size=40).filter(
    str.strip
)
MASSES = st.floats(0.001, 900)
WAYS = st.just(0) | st.integers(3000, 120_000)


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
    point = st.tuples(st.integers(20_000, length), st.integers(0, least))
    names = draw(st.lists(NAMES, max_size=4))
    names = [f"{i} {n}"[:100] for i, n in enumerate(names)]
    side = st.sampled_from("AB")
    hung = tuple(
        HungItem(
            n,
            draw(side),
            tuple(draw(st.lists(point, min_size=1, max_size=4))),
            draw(MASSES),
            draw(MASSES),
            draw(st.integers(0, 30_000)),
            draw(st.sampled_from(["any", "stud", "noggin", "pattress"])),
            pad=draw(st.integers(0, 999)),
        )
        for n in names[:2]
    )
    services = tuple(
        Service(
            n,
            draw(side),
            draw(point),
            draw(st.integers(10, 5000)),
            draw(st.integers(0, 5000)),
            draw(st.sampled_from(["pipe", "socket"])),
        )
        for n in names[2:]
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
        joists_above=Joists("across", draw(st.integers(0, 9999)), draw(st.integers(1000, 9999))),
        finish=draw(st.sampled_from(["taped", "skim"])),
        left_end="masonry",
        floor_build_up=draw(st.integers(0, 5000)),
        access=Access(draw(WAYS), draw(WAYS), draw(WAYS)),
    )


@given(walls(), st.sampled_from(["m", "mm", "ft-in"]))
def test_any_wall_is_the_same_after_writing_and_reading(wall, units):
    assert loads_wall(dumps_wall(wall, units)) == wall


@given(st.data())
def test_a_damaged_file_is_refused_or_read_and_never_a_crash(data):
    text = LAUNDRY.read_text(encoding="utf-8")
    at = data.draw(st.integers(0, len(text)))
    cut = data.draw(st.integers(0, 12))
    put = data.draw(
        st.text(max_size=6) | st.sampled_from(["[[", "]", '"', "=", "nan", "-", "inf", "1e999", "{}", "true"])
    )
    try:
        wall = loads_wall(text[:at] + put + text[at + cut :])
    except WallError as error:
        problems = error.problems
    else:
        problems = None
        assert loads_wall(dumps_wall(wall)) == wall
    assert problems is None or (problems and all(p.field and p.found and p.accepted for p in problems))
