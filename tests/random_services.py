"""Seeded random walls with pipes, waste runs and boxes put where a plumber might, some in the way of studs."""

from __future__ import annotations

import random
from dataclasses import replace

from random_walls import random_case

import wallcalc as wc
from wallcalc.given.parts import Service
from wallcalc.site.openings import structural_openings

NAMES = ("pipe", "waste", "socket", "duct")


Case = tuple[wc.Wall, wc.Option, wc.Rules]


def random_service_case(seed: int) -> Case:
    """Return a wall with one to four services, an option and rules."""
    return with_services(random_case(seed), seed)


def with_services(case: Case, seed: int) -> Case:
    """Return a case with one to four services in its wall."""
    wall, option, law = case
    rng = random.Random(seed * 7919 + 1)
    clears = structural_openings(wall, law)
    services: list[Service] = []
    for number in range(rng.choice((1, 2, 2, 3, 4))):
        for _ in range(60):
            made = _service(rng, wall, f"{NAMES[number]} {number + 1}", law)
            if _fits(made, wall, clears, services):
                services.append(made)
                break
    return replace(wall, services=tuple(services)), option, law


def _service(rng: random.Random, wall: wc.Wall, name: str, law: wc.Rules) -> Service:
    def whole(low: int, high: int) -> int:
        return rng.randrange(low, max(high, low + 10), 10)

    x, y = whole(800, wall.length - 800), whole(800, wall.height - 900)
    side = rng.choice("AB")
    kind = rng.choice(("pipe", "pipe", "waste", "waste", "socket", "cable"))
    if kind == "socket":
        size = rng.choice(((860, 860), (1460, 860)))
        return Service(name, side, (x, whole(2500, 14000)), max(size), rng.choice((0, 50)), kind, size=size)
    diameter = rng.choice({"pipe": (150, 220), "waste": (320, 430, 500), "cable": (100,)}[kind])
    goes = rng.choice(("through", "down", "up", "not told", "not told")) if kind != "waste" else "down"
    to = None
    if rng.random() < 0.35:
        along = rng.choice((-1, 1)) * whole(3000, 15000)
        fall = 0
        if kind == "waste":
            fall = int(abs(along) * law.value("service.waste_fall") / 1000) + 10
        y = min(y, 12_000)
        to = (x + along, y - fall)
    return Service(name, side, (x, y), diameter, rng.choice((0, 50, 100)), kind, to=to, goes=goes)


def _fits(made: Service, wall: wc.Wall, clears, others: list[Service]) -> bool:
    """Roughly inside the wall, clear of openings and of the services before it."""
    half = made.diameter // 2 + made.clearance
    low_x, high_x = sorted((made.at[0], (made.to or made.at)[0]))
    low_y, high_y = sorted((made.at[1], (made.to or made.at)[1]))
    if low_x < 800 + half or high_x > wall.length - 800 - half or low_y < 400 + half:
        return False
    if high_y > wall.height - 800 - half:
        return False
    low = 0 if made.goes == "down" else low_y - half
    high = wall.height if made.goes == "up" else high_y + half
    for c in clears:
        if (
            c.left - 800 - half < high_x
            and low_x < c.right + 800 + half
            and low < c.top + 400
            and c.bottom - 400 < high
        ):
            return False
    return all(
        abs(made.at[0] - o.at[0]) > half + o.diameter or abs(made.at[1] - o.at[1]) > half + o.diameter
        for o in others
    )
