"""Seeded random walls with uneven floors and sloping ceilings, and options for them."""

from __future__ import annotations

import random
from dataclasses import replace

import numpy as np
from random_walls import random_case

import wallcalc as wc
from wallcalc.given.parts import Opening

KINDS = ("old room", "old room", "roof", "roof", "ridge", "falling floor")


def uneven_case(seed: int) -> tuple[wc.Wall, wc.Option, wc.Rules]:
    """Return an uneven wall, an option and rules: old rooms a little out, rooms under a roof, floors that fall."""
    wall, option, law = random_case(seed)
    rng = random.Random(seed + 1_000_000)
    base, length = wall.heights[0][1], wall.length
    kind = rng.choice(KINDS)
    inner = sorted(rng.randrange(1500, length - 1500, 10) for _ in range(rng.choice((0, 1, 2))))
    inner = [x for i, x in enumerate(inner) if i == 0 or x - inner[i - 1] > 1200]
    if kind == "ridge" and not inner:
        inner = [length // 2]
    places = [0, *inner, length]
    floor: tuple[tuple[int, int], ...] = ()
    if kind in ("old room", "falling floor"):
        floor = tuple((x, rng.randrange(0, 400 if kind == "old room" else 1500)) for x in places)
    if kind == "old room":
        heights = tuple((x, base + rng.randrange(-250, 250)) for x in places)
    elif kind == "falling floor":
        heights = tuple((x, base - y) for x, y in floor)
    elif kind == "roof":
        low = round(rng.uniform(0.5, 0.9) * base)
        heights = tuple((x, low + (base - low) * x // length + rng.randrange(-100, 100)) for x in places)
    else:
        heights = tuple((x, base if 0 < x < length else round(0.7 * base)) for x in places)
    if rng.random() < 0.5:
        heights = tuple((length - x, h) for x, h in reversed(heights))
        floor = tuple((length - x, y) for x, y in reversed(floor))
    openings = tuple(o for o in wall.openings if _fits(o, heights, floor))
    wall = replace(wall, name=f"{kind} {seed}", heights=heights, floor_levels=floor, openings=openings)
    return wall, option, law


def _fits(opening: Opening, heights: tuple, floor: tuple) -> bool:
    """Whether there is room over an opening for a head and short studs, roughly."""
    top = (opening.height or 20_800) + (opening.sill or 0) + 1500
    width = opening.width or opening.leaf + 900
    room = [np.interp(x, *zip(*heights, strict=True)) for x in (opening.left, opening.left + width)]
    rise = max((y for _, y in floor), default=0) if opening.kind == "door" else 0
    return min(room) > top + rise
