"""Seeded random walls and options for them, as a builder might meet them."""

from __future__ import annotations

import random
from functools import lru_cache

import wallcalc as wc
from wallcalc.given.parts import Joists, Opening, Room

UK_SHEETS = (None, None, "1200x2400", "1200x2700", "1200x3000")
US_SHEETS = (None, None, "1219x2438", "1219x2743", "1219x3048", "1219x3658")
SECONDS = 0.01


@lru_cache(maxsize=32)
def rules(name: str, tolerance: float) -> wc.Rules:
    """Return a rule set with a setting tolerance, mm."""
    return wc.Rules.load(name).with_values({"joint.tolerance": tolerance})


@lru_cache(maxsize=1)
def prices() -> wc.PriceBook:
    """Return the demo price book."""
    return wc.PriceBook.load()


def build(case: tuple[wc.Wall, wc.Option, wc.Rules], **more: object) -> wc.Design | wc.OptionError:
    """Return a case's design, its plans not searched for long, or why it is refused; ``more`` as for wc.design."""
    wall, option, law = case
    try:
        return wc.design(
            wall, option, rules=law, prices=prices(), seconds=SECONDS, model="closed form", **more
        )
    except wc.OptionError as error:
        return error


def random_case(seed: int) -> tuple[wc.Wall, wc.Option, wc.Rules]:
    """Return a wall, an option and rules."""
    rng = random.Random(seed)
    us = rng.random() < 0.3
    law = rules("us" if us else "uk", rng.choice((0, 0, 1, 2, 3, 3, 3)))
    length = round(rng.uniform(0.9, 8.0) * 1000) * 10
    height = round(rng.uniform(2.3 if us else 2.0, 3.4) * 1000) * 10
    wall = wc.Wall(
        name=f"wall {seed}",
        length=length,
        heights=((0, height),),
        room_a=Room(wet=rng.random() < 0.3),
        room_b=Room(),
        openings=_openings(rng, length, height, us),
        joists_above=rng.choice(
            (
                Joists(),
                Joists("across", rng.randrange(500, 4000, 50), rng.choice((4000, 4500, 6000))),
                Joists("along", None, 4500),
            )
        ),
        finish=rng.choice(("taped", "skim")),
    )
    centres = rng.choice((300, 400, 406.4, 450, 480, 600, 609.6, round(rng.uniform(280, 620), 1)))
    layers = rng.choice(((1, 1), (1, 1), (1, 1), (2, 1), (1, 2), (2, 2)))
    course = rng.choice(("ceiling", "ceiling", "floor", float(rng.randrange(300, 2000, 10))))
    option = wc.Option(
        section=rng.choice(("38x63", "38x89", "38x89", "38x140")),
        stud_centres=centres,
        set_out_from=rng.choice(("left", "right", "middle")),
        board_orientation=rng.choice(("vertical", "horizontal")),
        sheet=rng.choice(US_SHEETS if us else UK_SHEETS),
        layers_a=layers[0],
        layers_b=layers[1],
        board_b=rng.choice((None, None, None, "dense-15.9" if us else "dense-12.5")),
        course_from=course,
        fill=rng.choice((None, None, "wool-50")),
    )
    return wall, option, law


def _openings(rng: random.Random, length: int, height: int, us: bool) -> tuple[Opening, ...]:
    """Doors and sometimes a hatch from left to right, with room for the timber at their sides."""
    wanted = [rng.choice(("door", "door", "door", "hatch")) for _ in range(rng.choice((0, 1, 1, 1, 2, 2, 3)))]
    jamb = 760 if us else 380
    found: list[Opening] = []
    at = 380
    for kind in wanted:
        gap = rng.choice((rng.randrange(760 + jamb, 4000, 10), rng.randrange(5000, 20000, 10)))
        if not us and rng.random() < 0.1:
            gap = 0 if not found else 380
        left = at + gap + (jamb if found and gap != 380 else 0)
        if kind == "door" and rng.random() < 0.7 and height >= 21500:
            leaf = rng.choice((6100, 7112, 7620, 8128) if us else (6860, 7620, 8380))
            opening, width = Opening("door", left, leaf=leaf), leaf + 800
            if us:
                width = leaf + 2 * (30 + 191 + 50)
        elif kind == "door":
            width = rng.randrange(7000, 18000, 10)
            opening = Opening(
                "door", left, width=width, height=rng.randrange(18500, min(height - 760, 23000), 10)
            )
        else:
            width, sill = rng.randrange(4000, 15000, 10), rng.randrange(8000, 12000, 10)
            opening = Opening("hatch", left, width=width, height=rng.randrange(4000, 8500, 10), sill=sill)
            if sill + opening.height > height - 760:
                continue
        if left + width + jamb + 1140 > length:
            break
        found.append(opening)
        at = left + width
    return tuple(found)
