"""Refused random walls with everything at once: what a refusal says would help is done, and the wall is built again."""

from __future__ import annotations

import re
import time
from dataclasses import replace

import pytest
from random_everything import everything_case
from random_walls import prices
from wall_oracles import design_faults

import wallcalc as wc
from wallcalc.given.parts import HungItem, Service
from wallcalc.units.lengths import MM

ITEM = re.compile(r"move '([^']+)' (\d+) mm (right|left|up|down)")
SERVICE = re.compile(r"move the (.+?) (\d+) mm (right|left|up|down)")
COURSE = re.compile(r"\(course_from=([\d.]+)\)")
WAYS = {"right": (1, 0), "left": (-1, 0), "up": (0, 1), "down": (0, -1)}
SLOW = 15.0
"""More CPU time than a refusal of these walls may take, s; the slowest takes 2 s on a quiet machine."""


def built(wall: wc.Wall, option: wc.Option, law: wc.Rules, search: bool = False) -> wc.Design:
    return wc.design(
        wall, option, rules=law, prices=prices(), seconds=0.01, model="closed form", search_changes=search
    )


def shifted(point: tuple[int, int], by: str, way: str) -> tuple[int, int]:
    dx, dy = WAYS[way]
    return point[0] + dx * int(by) * MM, point[1] + dy * int(by) * MM


def item_moved(item: HungItem, by: str, way: str) -> HungItem:
    line = item.line and tuple(shifted(p, by, way) for p in item.line)
    return replace(item, fixings=tuple(shifted(p, by, way) for p in item.fixings), line=line)


def service_moved(service: Service, by: str, way: str) -> Service:
    to = service.to and shifted(service.to, by, way)
    return replace(service, at=shifted(service.at, by, way), to=to)


def changed(wall: wc.Wall, option: wc.Option, change: str) -> tuple[wc.Wall, wc.Option]:
    """Do what one change says, step by step."""
    for name, by, way in ITEM.findall(change):
        wall = replace(wall, hung=tuple(item_moved(i, by, way) if i.name == name else i for i in wall.hung))
    for name, by, way in SERVICE.findall(change):
        moved = tuple(service_moved(s, by, way) if s.name == name else s for s in wall.services)
        wall = replace(wall, services=moved)
    for height in COURSE.findall(change):
        option = replace(option, course_from=float(height))
    return wall, option


@pytest.mark.parametrize("seed", [1, 2, 8, 12, 42, 47, 50, 57, 62, 71, 75, 95, 98, 107, 117, 120, 121, 131])
def test_the_change_told_makes_the_wall_buildable(seed):
    wall, option, law = everything_case(seed)
    start = time.process_time()
    with pytest.raises(wc.OptionError) as refused:
        built(wall, option, law, search=True)
    assert time.process_time() - start < SLOW
    told = list(dict.fromkeys(r.nearest_change for r in refused.value.refusals))
    assert not any("take " in change for change in told)
    for change in told:
        wall, option = changed(wall, option, change.split("; or ")[0])
    assert design_faults(built(wall, option, law)) == []


@pytest.mark.parametrize("seed", [2, 8, 57, 120])
def test_a_refusal_is_the_same_every_time(seed):
    wall, option, law = everything_case(seed)
    said = []
    for _ in range(2):
        with pytest.raises(wc.OptionError) as refused:
            built(replace(wall, name=f"{wall.name} {len(said)}"), option, law, search=True)
        said.append(str(refused.value))
    assert said[0] == said[1]
