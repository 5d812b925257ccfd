"""Seeded random hung items for the random walls, in numbers and places as a builder might meet them."""

from __future__ import annotations

import random
from dataclasses import replace

from random_walls import random_case

import wallcalc as wc
from wallcalc.given.parts import HungItem
from wallcalc.site.openings import structural_openings

NAMES = ("trough", "shelf", "mirror", "grab rail", "rack", "cabinet", "basin")
BACKINGS = ("any", "any", "any", "noggin", "pattress", "stud")


def hung_case(seed: int) -> tuple[wc.Wall, wc.Option, wc.Rules]:
    """Return a random wall with one to three hung items, an option and rules."""
    wall, option, law = random_case(seed)
    rng = random.Random(seed + 70_000)
    clears = structural_openings(wall, law)
    items: list[HungItem] = []
    for name in rng.sample(NAMES, rng.choice((1, 1, 2, 2, 3))):
        for _ in range(20):
            width, rise = rng.choice((0, 200, 300, 400, 450, 600, 800)), rng.choice((0, 0, 0, 150, 500))
            x, y = rng.randrange(60, 8000), rng.randrange(250, 2200)
            points = [(x, y), (x + width, y)] if width else [(x, y)]
            points += [(a, b + rise) for a, b in points] if rise else []
            tenths = tuple((a * 10, b * 10) for a, b in points)
            inside = all(0 < a < wall.length and 0 < b < wall.height for a, b in tenths)
            if inside and not any(
                c.left - 380 <= a <= c.right + 380 and c.bottom - 380 <= b <= c.top + 380
                for a, b in tenths
                for c in clears
            ):
                items.append(
                    HungItem(
                        name,
                        rng.choice("AB"),
                        tenths,
                        float(rng.choice((4, 12, 30, 70))),
                        float(rng.choice((0, 0, 20, 60))),
                        rng.choice((0, 1500, 3000)),
                        rng.choice(BACKINGS),
                        pad=rng.choice((0, 0, 0, 300, 600, 900)),
                    )
                )
                break
    return replace(wall, hung=tuple(items)), option, law
