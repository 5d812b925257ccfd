"""Step 10: a wall to a brief. Wishes are drawn from a seed so that at least one way of building meets them all."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import lru_cache
from random import Random
from typing import Any

import wallcalc as wc
from wallcalc.given.option import BOARD_ORIENTATIONS, LAYERS, Option
from wallcalc.given.parts import HungItem
from wallcalc.given.wall import Wall
from wallcalc.lesson.sites import random_site
from wallcalc.lesson.trade import Trade

DRAWS = 80
TILED_TO, TILE_MASS = 12_000, 14.0
"""Invented tiling: height, 0.1 mm, and mass of the tile alone, kg/m2."""
HOOKS_HEIGHT, HOOKS_MASS, HOOKS_HOLD = 16_500, 3.0, 14.0
"""Invented board with coat hooks: height, 0.1 mm; its mass and what it holds, kg."""
MONEY_STEP, MONEY_ROOM = 5.0, 1.05
JOINT_ROOM = 0.5
TILES = ("tile", "stud centres behind tiles")


@dataclass(frozen=True, slots=True)
class Wish:
    """One thing asked for: how it is said, the measure it is about, the limit, and which side of it is good."""

    text: str
    measure: str
    limit: float
    most: bool


@dataclass(frozen=True, slots=True)
class Verdict:
    """A wish and what came of it: whether it is met, and what was found, in words."""

    wish: Wish
    met: bool
    found: str


@dataclass(frozen=True, slots=True)
class Brief:
    """A customer's wishes for a wall, the option that shows they can be met, and the one to begin with."""

    seed: int
    wall: Wall
    wishes: tuple[Wish, ...]
    way: Option
    start: Option

    def told(self, using: Trade) -> str:
        """Return the brief as a customer would put it."""
        wall, say = self.wall, using.length
        what = [f"a wall {say(wall.length)} long and {say(wall.height)} high between {_rooms(wall)}"]
        if wall.openings:
            door = wall.openings[0]
            what.append(
                f"with a door of {say(door.leaf or 0)} whose opening begins {say(door.left)} from the left"
            )
        if wall.room_a.tiled_to:
            what.append(f"tiled on side A up to {say(wall.room_a.tiled_to)}")
        if wall.hung:
            what.append("with a board of coat hooks on side B")
        return f"We want {', '.join(what)}. It should have: {'; '.join(w.text for w in self.wishes)}."


def _rooms(wall: Wall) -> str:
    return f"the {wall.room_a.name} (side A) and the {wall.room_b.name} (side B)"


MEASURES: dict[str, tuple[Callable[[Any], float], str]] = {
    "fails": (lambda d: float(sum(r.verdict == "fail" for r in d.check_rows)), "checks that fail: {:.0f}"),
    "tiles": (
        lambda d: float(sum(r.check.startswith(TILES) and r.verdict in ("fail", "caution") for r in d.check_rows)),
        "warnings about the tiles: {:.0f}",
    ),
    "sound": (lambda d: float(d.sound.Rw), "Rw {:.0f} dB"),
    "cost": (lambda d: float(d.cost), "{:.2f}"),
    "cut joints": (
        lambda d: sum(j.length for j in d.frame.joints if "cut" in j.kind) / 1e4,
        "{:.1f} m of joint with a cut edge",
    ),
}  # fmt: skip
"""What can be wished for: how it is read off a design, and how it is said."""


@lru_cache(maxsize=512)
def built(using: Trade, wall: Wall, option: Option) -> Any:
    """Return the design of a wall, or the error that says why there is none."""
    try:
        return wc.design(wall, option, rules=using.rules, prices=using.prices)
    except (wc.OptionError, wc.WallError) as error:
        return error


@lru_cache(maxsize=64)
def brief(using: Trade, seed: int) -> Brief:
    """Return the brief that a seed makes; the same seed makes the same brief."""
    for attempt in range(DRAWS):
        found = _draw(Random(f"brief {seed} {attempt}"), using, seed)
        if found is not None:
            return found
    raise RuntimeError(f"no brief could be drawn from seed {seed}")


def judge(using: Trade, asked: Brief, option: Option) -> tuple[Verdict, ...] | str:
    """Return a verdict for every wish, or why the wall cannot be built."""
    made = built(using, asked.wall, option)
    if isinstance(made, ValueError):
        return str(made)
    return tuple(_verdict(made, wish, using.prices.currency) for wish in asked.wishes)


def _verdict(made: Any, wish: Wish, currency: str) -> Verdict:
    read, said = MEASURES[wish.measure]
    value = read(made)
    met = value <= wish.limit + 1e-9 if wish.most else value >= wish.limit - 1e-9
    found = said.format(value)
    if wish.measure == "cost":
        found += f" {currency}"
    if wish.measure in ("fails", "tiles") and not met:
        bad = {r.check: r.why for r in made.check_rows if _speaks_against(r, wish.measure)}
        found += "; " + "; ".join(f"{check}, {why}" for check, why in bad.items())
    return Verdict(wish, met, found)


def _speaks_against(row: Any, measure: str) -> bool:
    if measure == "fails":
        return row.verdict == "fail"
    return row.check.startswith(TILES) and row.verdict in ("fail", "caution")


def _draw(rng: Random, using: Trade, seed: int) -> Brief | None:
    site = random_site(rng, inches=using.inches, door=True)
    wall = site.wall
    if rng.random() < 0.5:
        wall = replace(wall, room_a=replace(wall.room_a, tiled_to=TILED_TO, tile_mass=TILE_MASS))
    if rng.random() < 0.5:
        wall = replace(wall, hung=(_hooks(rng, wall),))
    fills = [f for f in using.offers.fills if f in fills_that_fit(using)]
    way = Option(
        stud_centres=rng.choice(using.offers.usual),
        board_orientation=rng.choice(BOARD_ORIENTATIONS),
        fill=rng.choice([None, *fills]),
        layers_a=rng.choice(LAYERS),
        layers_b=rng.choice(LAYERS),
    )
    starts = [Option(stud_centres=c) for c in reversed(using.offers.usual)]
    made = built(using, wall, way)
    if isinstance(made, ValueError) or MEASURES["fails"][0](made):
        return None
    found = Brief(seed, wall, _wishes(made, wall, using), way, starts[0])
    good = judge(using, found, way)
    if isinstance(good, str) or not all(v.met for v in good):
        return None
    firsts = (judge(using, found, option) for option in starts)
    solved = any(not isinstance(first, str) and all(v.met for v in first) for first in firsts)
    return None if solved else found  # centres alone are not to be the whole answer


def _wishes(made: Any, wall: Wall, using: Trade) -> tuple[Wish, ...]:
    """Return wishes that a design just meets."""
    value = {name: read(made) for name, (read, _) in MEASURES.items()}
    money = math.ceil(value["cost"] * MONEY_ROOM / MONEY_STEP) * MONEY_STEP
    joint = math.ceil((value["cut joints"] + JOINT_ROOM) * 2) / 2
    wishes = [Wish("no check that fails", "fails", 0.0, True)]
    if wall.room_a.tiled_to and not value["tiles"]:
        wishes.append(Wish("no warning about the tiles", "tiles", 0.0, True))
    wishes += [
        Wish(f"a sound reduction Rw of at least {value['sound']:.0f} dB", "sound", value["sound"], False),
        Wish(f"a cost of no more than {money:.0f} {using.prices.currency}", "cost", money, True),
        Wish(
            f"no more than {joint:g} m of joint with a cut edge, both sides together",
            "cut joints",
            joint,
            True,
        ),
    ]
    return tuple(wishes)


def _hooks(rng: Random, wall: Wall) -> HungItem:
    """Return a board with coat hooks on side B that keeps clear of the door."""
    door = wall.openings[0]
    wide = 8_000
    before = door.left - 2_000 > wide
    x = 1_500 if before else door.left + (door.leaf or 0) + 3_000
    x = min(x, wall.length - wide - 1_000)
    points = tuple((x + k * wide // 2, HOOKS_HEIGHT) for k in range(3))
    return HungItem("board with coat hooks", "B", points, HOOKS_MASS, HOOKS_HOLD, 1_200)


def fills_that_fit(using: Trade, depth: int = 890) -> tuple[str, ...]:
    """Return the slab products no thicker than a depth (0.1 mm)."""
    return tuple(f for f in using.offers.fills if using.prices.fill(f).thickness <= depth)
