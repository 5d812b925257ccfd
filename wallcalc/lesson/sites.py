"""Random walls for questions and briefs: made from a seed, so that every variant can be made again."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from random import Random
from typing import Any

import wallcalc as wc
from wallcalc.designing.choices import resolve
from wallcalc.framing.stud_lines import fixed_uprights, module_lines, module_studs
from wallcalc.given.option import Option
from wallcalc.given.parts import Joists, Opening, Room
from wallcalc.given.wall import Wall
from wallcalc.lesson.question import INCH_TOLERANCE, LENGTH_TOLERANCE
from wallcalc.lesson.trade import Trade, trade
from wallcalc.records import Upright
from wallcalc.site.openings import structural_openings
from wallcalc.units.lengths import MM

ROOMS = (
    ("box room", "other"), ("landing", "hall"), ("study", "office"), ("back bedroom", "bedroom"),
    ("utility room", "utility"), ("hobby room", "other"), ("sitting room", "living"),
)  # fmt: skip
LEAVES = (610, 686, 762, 838)
"""Door leaves of the random walls, mm; in inches 24 to 33."""
SECONDS, MODEL = 0.02, "closed form"
"""A question needs the frame and boards, not the cheapest cutting or the finest sound."""
INCH = 254


@dataclass(frozen=True)
class Site:
    """A random wall, an option for it, and the rules and prices.

    Attributes
    ----------
    wall, option, using
        Given wall, choices, trade.
    """

    wall: Wall
    option: Option
    using: Trade

    @property
    def design(self) -> Any:
        """The wall built, as ``wc.design`` makes it."""
        return _built(self.wall, self.option, self.using)

    @property
    def uprights(self) -> tuple[Upright, ...]:
        """Studs before any board is thought of, left to right."""
        return _uprights(self.wall, self.option, self.using)

    @property
    def centres(self) -> int:
        """Stud centres, 0.1 mm."""
        return round(self.option.stud_centres * MM)

    @property
    def tolerance(self) -> int:
        """How far off a typed length may be, 0.1 mm."""
        return INCH_TOLERANCE if self.using.inches else LENGTH_TOLERANCE

    def told(self) -> str:
        """Return the wall in a sentence."""
        say = self.using.length
        return f"A wall {say(self.wall.length)} long and {say(self.wall.height)} high between {self.rooms}"

    @property
    def rooms(self) -> str:
        """The two rooms."""
        return f"the {self.wall.room_a.name} (side A) and the {self.wall.room_b.name} (side B)"


@lru_cache(maxsize=256)
def _built(wall: Wall, option: Option, using: Trade) -> Any:
    return wc.design(wall, option, rules=using.rules, prices=using.prices, seconds=SECONDS, model=MODEL)


@lru_cache(maxsize=256)
def _uprights(wall: Wall, option: Option, using: Trade) -> tuple[Upright, ...]:
    given = resolve(wall, option, using.rules, using.prices).carcass
    stud, jamb = given.timber[0].thickness, given.rules.jamb
    posts = fixed_uprights(wall.length, given.clears, stud, jamb)
    lines = module_lines(wall.length, given.centres, option.set_out_from)
    studs = module_studs(lines, posts, given.clears, stud, given.centres, given.rules.least_bay)
    return tuple(sorted([*posts, *studs], key=lambda u: (u.x, u.zone)))


def random_site(
    rng: Random, *, inches: bool | None = False, door: bool = False, set_out: tuple[str, ...] = ("left", "right"),
    **choices: Any,
) -> Site:  # fmt: skip
    """Return a random wall with an option."""
    inches = rng.random() < 0.4 if inches is None else inches
    using = trade("us" if inches else "uk")
    step = INCH if inches else 10 * MM
    length = rng.randrange(30_000, 56_000, 10) // step * step
    height = rng.randrange(22_500, 26_800, 10) // step * step
    a, b = rng.sample(ROOMS, 2)
    openings: tuple[Opening, ...] = ()
    if door:
        leaf = rng.randrange(24, 34, 2) * INCH if inches else rng.choice(LEAVES) * MM
        left = rng.randrange(6_000, length - leaf - 8_000, 10) // step * step
        openings = (Opening("door", left, leaf=leaf),)
    wall = Wall(
        f"{a[0]} and {b[0]}",
        length,
        ((0, height),),
        Room(a[0], a[1]),
        Room(b[0], b[1]),
        openings,
        joists_above=Joists("across", rng.randrange(10, 40) * 100, rng.choice((4000, 4500, 6000))),
    )
    option = Option(
        **{
            "stud_centres": rng.choice(using.offers.usual),
            "set_out_from": rng.choice(set_out),
            "section": "38x89",
            **choices,
        }
    )
    return Site(wall, option, using)


def clear_of(site: Site) -> Any:
    """Return the structural opening of a site's door, by rule."""
    return structural_openings(site.wall, site.using.rules)[0]


__all__ = ["Site", "clear_of", "random_site"]
