"""Seeded random walls with everything at once: openings, hung items, services, slopes, joists, both layouts."""

from __future__ import annotations

import random
import re
from dataclasses import replace

from random_hung import hung_case
from random_services import with_services
from random_uneven import uneven_case
from random_walls import random_case

import wallcalc as wc
from wallcalc.given.parts import (
    CEILING_KINDS,
    END_KINDS,
    FLOOR_KINDS,
    JOIST_DIRECTIONS,
    ROOM_USES,
    HungItem,
    Joists,
    Room,
)
from wallcalc.given.wall import Wall
from wallcalc.given.wall_file import dumps_wall

Case = tuple[wc.Wall, wc.Option, wc.Rules]


def everything_case(seed: int) -> Case:
    """Return a wall that has something of everything, an option and rules."""
    rng = random.Random(seed * 104_729 + 11)
    wall, option, law = uneven_case(seed) if rng.random() < 0.45 else random_case(seed)
    wall = replace(wall, hung=_hung(rng, wall, seed))
    if rng.random() < 0.8:
        wall, option, law = with_services((wall, option, law), seed)
    wall = replace(
        wall,
        room_a=_room(rng, wall.height, rng.random() < 0.4),
        room_b=_room(rng, wall.height, rng.random() < 0.2),
        joists_above=_joists(rng),
        joists_below=_joists(rng),
        ceiling=rng.choice(CEILING_KINDS),
        floor=rng.choice(FLOOR_KINDS),
        left_end=rng.choice(END_KINDS),
        right_end=rng.choice(END_KINDS),
        skirting=rng.choice((0, 0, 950, 1450)),
        floor_build_up=rng.choice((0, 0, 0, 50)),
    )
    wall = _as_a_file_takes_it(wall)
    option = replace(
        option,
        stud_layout=rng.choice(("module", "module", "fitted")) if _soon_fitted(wall, option) else "module",
        course_from=rng.choice(("ceiling", option.course_from)),
        fill=rng.choice((None, "wool-25", "wool-50")),
    )
    return wall, option, law


def _soon_fitted(wall: wc.Wall, option: wc.Option) -> bool:
    """Whether the fitted layout of a wall is found soon."""
    return wall.length <= 33_000 and option.layers_a + option.layers_b < 3


def _hung(rng: random.Random, wall: wc.Wall, seed: int) -> tuple[HungItem, ...]:
    """Items at points, and sometimes one on a line, that a wall file would take."""
    items = list(hung_case(seed)[0].hung) if rng.random() < 0.8 else []
    if rng.random() < 0.25 and wall.length > 16_000:
        x, y = rng.randrange(800, wall.length - 9000, 10), rng.randrange(9000, 15_000, 10)
        centres, width = rng.choice((3000, 4000)), rng.choice((6000, 8000))
        number = -(-width // centres)
        points = tuple((x + width * k // number, y) for k in range(number + 1))
        line = ((x, y), (x + width, y))
        items.append(HungItem("hooks", "A", points, 2.0, 10.0, 500, line=line, line_centres=centres))
    return tuple(items)


def _as_a_file_takes_it(wall: wc.Wall) -> wc.Wall:
    """Leave out the hung items and services that a wall file with this wall would be turned away for."""
    for _ in range(20):
        try:
            Wall.loads(dumps_wall(wall))
        except wc.WallError as error:
            bad = {m.groups() for p in error.problems if (m := re.match(r"(hung|service)\[(\d+)\]", p.field))}
            if not bad:
                raise
            kept = {
                kind: tuple(v for i, v in enumerate(getattr(wall, name), 1) if (kind, str(i)) not in bad)
                for kind, name in (("hung", "hung"), ("service", "services"))
            }
            wall = replace(wall, hung=kept["hung"], services=kept["service"])
        else:
            break
    return wall


def _room(rng: random.Random, height: int, wet: bool) -> Room:
    tiled = rng.choice((0, 0, 12_000, min(20_000, height)))
    return Room("room", rng.choice(ROOM_USES), wet, tiled, 18.0 if tiled else 0.0)


def _joists(rng: random.Random) -> Joists:
    direction = rng.choice(JOIST_DIRECTIONS)
    first, centres = (
        rng.choice((None, rng.randrange(500, 3000, 50))),
        rng.choice((None, 3000, 4000, 4500, 6000)),
    )
    if direction == "across":
        return Joists(direction, first, centres)
    return Joists(direction, None, centres if direction == "along" else None)
