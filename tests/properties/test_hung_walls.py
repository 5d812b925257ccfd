"""Sixty random walls with hung items of every backing: what holds each fixing, checked with shapely; refusals tried."""

from __future__ import annotations

import random
import re
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from random_hung import hung_case
from random_services import random_service_case
from random_walls import prices
from wall_oracles import design_faults

import wallcalc as wc
from wallcalc.given.parts import HungItem
from wallcalc.units.lengths import MM

WALLS = Path(__file__).resolve().parents[2] / "data" / "walls"
CHUNK, CHUNKS = 15, 4
MOVE = re.compile(r"move '([^']+)' (\d+) mm (right|left|up|down)")
WAYS = {"right": (1, 0), "left": (-1, 0), "up": (0, 1), "down": (0, -1)}


def built(wall, option, law):
    return wc.design(wall, option, rules=law, prices=prices(), seconds=0.01, model="closed form")


@cache
def verdict(seed: int) -> tuple[tuple[str, ...], tuple[wc.OptionError, ...]]:
    """What is wrong with a wall's design, and its refusal."""
    try:
        design = built(*hung_case(seed))
    except wc.OptionError as error:
        return (), (error,)
    return tuple(design_faults(design)), ()


@pytest.mark.parametrize("chunk", range(CHUNKS))
def test_every_fixing_is_held(chunk):
    faults = [
        f"hung_case({seed}): {fault}"
        for seed in range(chunk * CHUNK, (chunk + 1) * CHUNK)
        for fault in verdict(seed)[0]
    ]
    assert not faults, f"{len(faults)} faults:\n" + "\n".join(faults[:20])


def test_most_can_be_built_and_all_backings_are_among_them():
    seeds = [s for s in range(CHUNK * CHUNKS) if not verdict(s)[1]]
    assert len(seeds) >= 0.6 * CHUNK * CHUNKS
    items = [item for s in seeds for item in hung_case(s)[0].hung]
    assert {item.backing for item in items} == {"any", "stud", "noggin", "pattress"}
    assert any(item.pad for item in items)
    assert {item.side for item in items} == {"A", "B"}


def test_a_move_that_is_proposed_works():
    proposed = 0
    for seed in range(CHUNK * CHUNKS):
        for error in verdict(seed)[1]:
            wall, option, law = hung_case(seed)
            moves = {m[1]: m for r in error.refusals if (m := MOVE.match(r.nearest_change))}
            about = {i.name for i in wall.hung for r in error.refusals if r.place.startswith(repr(i.name))}
            if about - set(moves):
                continue  # one of them has to be hung elsewhere
            for name, by, way in (m.groups() for m in moves.values()):
                others = tuple(shifted(i, int(by) * MM, way) if i.name == name else i for i in wall.hung)
                wall = replace(wall, hung=others)
            if len(moves) == 1:
                proposed += 1
                assert not design_faults(built(wall, option, law)), f"hung_case({seed})"
    assert proposed >= 3


def shifted(item, by: int, way: str):
    dx, dy = (by * k for k in WAYS[way])
    return replace(item, fixings=tuple((x + dx, y + dy) for x, y in item.fixings))


@pytest.mark.parametrize("rules", ["uk", "us"])
@pytest.mark.parametrize("backing", ["any", "noggin", "pattress"])
@pytest.mark.parametrize("name", ["laundry_and_practice_room", "laundry_plain", "office_two_doors", "closet"])
def test_the_shipped_walls_with_items(name, backing, rules):
    wall = replace(wc.Wall.load(WALLS / f"{name}.toml"), services=())
    items = wall.hung or wc.Wall.load(WALLS / "laundry_and_practice_room.toml").hung
    low = min(x for i in items for x, _ in i.fixings) - 3000 if wall.length < 20_000 else 0
    items = tuple(
        replace(i, backing=backing, fixings=tuple((x - low, y) for x, y in i.fixings)) for i in items
    )
    items = tuple(i for i in items if all(x < wall.length - 500 for x, _ in i.fixings))
    assert items
    wall = replace(wall, hung=items)
    sheet = wc.Option(board_orientation="horizontal")
    for option in (wc.Option(), sheet):
        design = built(wall, option, wc.Rules.load(rules))
        assert design_faults(design) == []
        served = {name for m in design.frame.members for name in m.serves}
        assert {i.name for i in items} <= served


def test_items_under_a_sloping_ceiling():
    wall = wc.Wall.load(WALLS / "sloping_ceiling.toml")
    rng, done = random.Random(5), 0
    for _ in range(25):
        points = tuple((rng.randrange(1500, 29_000, 10), rng.randrange(3000, 13_000, 10)) for _ in range(2))
        item = HungItem(
            "box", rng.choice("AB"), points, 10.0, backing=rng.choice(("any", "noggin", "pattress", "stud"))
        )
        option = wc.Option(board_orientation=rng.choice(("vertical", "horizontal")))
        try:
            design = built(replace(wall, hung=(item,)), option, wc.Rules.load("uk"))
        except wc.OptionError:
            continue
        done += 1
        assert design_faults(design) == [], (item, option)
    assert done >= 20


@pytest.mark.parametrize("seed", [0, 3, 5, 7, 11, 13, 14, 15, 19, 20, 21, 22])
def test_items_and_services_together(seed):
    wall, option, law = hung_case(seed)
    points = [p for i in wall.hung for p in i.fixings]
    services = random_service_case(seed)[0].services
    clear = [s for s in services if all(abs(x - s.at[0]) > 800 or abs(y - s.at[1]) > 800 for x, y in points)]
    assert design_faults(built(replace(wall, services=tuple(clear)), option, law)) == []
