"""Why a hung item cannot be backed, and the nearest change with which it can, tried out before it is told.

All lengths are integers of 0.1 mm; moves are whole mm.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import replace
from functools import lru_cache

from wallcalc.carcass.build import ATTEMPTS, CarcassInput, build_carcass, linings_of, stand
from wallcalc.errors import OptionError, Refusal, Subject
from wallcalc.geometry.rectangles import Clear
from wallcalc.given.parts import HungItem
from wallcalc.given.wall import Wall
from wallcalc.hanging.fixings import ANY, HungRules
from wallcalc.records import Upright
from wallcalc.units.lengths import MM

COARSE = (5, 10, 15, 20, 30, 40, 50, 60, 80, 100, 150, 200, 300)
"""Moves tried in mm where no stud's edge suggests a better one."""
TRIES = 30
"""Walls of two courses built at most while looking for the nearest change of one item, fewer of more courses."""
LEAST_TRIES = 10
BOARDED = 6
"""Walls refused before boards are laid count as one that is boarded."""
WAYS = {(0, 1): "right", (0, -1): "left", (1, 1): "up", (1, -1): "down"}

Build = Callable[[Wall], tuple[Refusal, ...]]
"""Gives the refusals of a wall, none where it can be built."""


@lru_cache(maxsize=256)
def nearest_changes(
    given: CarcassInput, refusals: tuple[Refusal, ...]
) -> tuple[tuple[Refusal, ...], Wall | None]:
    """Return the refusals of a wall with the nearest change that lets its hung items be backed, tried out.

    With them the wall so changed, its services in place (None: nothing was found for some item).
    """
    if given.hung is None or not given.wall.hung:
        return refusals, None
    services = given.wall.services

    attempts = ATTEMPTS[:1]  # how widely boards are sought: as the wall itself needs it
    try:
        build_carcass(replace(given, wall=replace(given.wall, hung=(), services=())), attempts)
    except OptionError:
        attempts = ATTEMPTS[:2]

    def build(wall: Wall) -> tuple[Refusal, ...]:
        try:
            build_carcass(replace(given, wall=wall), attempts)
        except OptionError as error:
            return tuple(error.refusals)
        return ()

    try:
        posts, studs = stand(given)
    except OptionError:
        given = replace(given, wall=replace(given.wall, services=()))  # they have to be moved first
        try:
            posts, studs = stand(given)
        except OptionError:
            return refusals, None
    if not any(concerns(r, i) for r in build(given.wall) for i in given.wall.hung):
        given = replace(given, wall=replace(given.wall, services=()))
    tries = max(LEAST_TRIES, TRIES * 2 // max(2, _courses(given)))
    told, items = with_moves(refusals, given.wall, given.hung, given.clears, [*posts, *studs], build, tries)
    return told, None if items is None else replace(given.wall, hung=items, services=services)


def _courses(given: CarcassInput) -> int:
    """Courses of all linings: what a wall takes to build."""
    try:
        return sum(len(lining.courses) for lining in linings_of(given))
    except OptionError:
        return 0


def with_moves(
    refusals: Sequence[Refusal],
    wall: Wall,
    rules: HungRules,
    clears: Sequence[Clear],
    uprights: Sequence[Upright],
    build: Build,
    tries: int = TRIES,
) -> tuple[tuple[Refusal, ...], tuple[HungItem, ...] | None]:
    """Return refusals with the nearest change that lets the hung items be backed, and the items so changed.

    The items are None where nothing was found for one of them.
    """
    about = {r: item for r in refusals for item in wall.hung if concerns(r, item)}
    if not about:
        if build(replace(wall, hung=())):
            return tuple(refusals), None  # not for what hangs on it
        item = next((i for i in wall.hung if not build(_without(wall, i))), wall.hung[0])
        change, other = _change(item, wall, (), rules, clears, uprights, build, tries // 3)
        told = [replace(r, place=f"{item.name!r} and {r.place}", nearest_change=change) for r in refusals[:1]]
        return tuple(told), None if other is None else _with(wall, item, other).hung
    changes = {
        item.name: _change(item, wall, refusals, rules, clears, uprights, build, tries)
        for item in dict.fromkeys(about.values())
    }
    told = [replace(r, nearest_change=changes[about[r].name][0]) if r in about else r for r in refusals]
    items = [changes[item.name][1] if item.name in changes else item for item in wall.hung]
    return tuple(told), None if None in items else tuple(i for i in items if i is not None)


def concerns(refusal: Refusal, item: HungItem) -> bool:
    """Return whether a refusal is about a hung item."""
    return refusal.subject == Subject("hung item", item.name)


def moved(item: HungItem, axis: int, by: int) -> HungItem:
    """Return an item moved along the wall (axis 0) or up (axis 1) by a distance in 0.1 mm."""
    shift = (by, 0) if axis == 0 else (0, by)

    def at(point: tuple[int, int]) -> tuple[int, int]:
        return point[0] + shift[0], point[1] + shift[1]

    line = None if item.line is None else (at(item.line[0]), at(item.line[1]))
    return replace(item, fixings=tuple(at(p) for p in item.fixings), line=line)


def _without(wall: Wall, item: HungItem) -> Wall:
    return replace(wall, hung=tuple(i for i in wall.hung if i is not item))


def _with(wall: Wall, item: HungItem, other: HungItem) -> Wall:
    return replace(wall, hung=tuple(other if i is item else i for i in wall.hung))


def _change(
    item: HungItem,
    wall: Wall,
    refusals: Sequence[Refusal],
    rules: HungRules,
    clears: Sequence[Clear],
    uprights: Sequence[Upright],
    build: Build,
    left: int,
) -> tuple[str, HungItem | None]:
    """Return what to change about an item in words, and the item so changed (None: nothing was found)."""
    others = {r.place for r in refusals if not concerns(r, item)}

    def works(other: HungItem) -> bool:
        nonlocal effort
        found = build(_with(wall, item, other))
        effort -= 1 if any(r.before_boards for r in found) else BOARDED
        return all(r.place in others for r in found)

    effort = left * BOARDED
    found: list[tuple[str, HungItem]] = []
    thin = max(1, TRIES // left)
    move = _nearest(item, wall, rules, clears, uprights, works, lambda: effort > 0, thin)
    if move is not None:
        axis, by = move
        words = f"move {item.name!r} {abs(by)} mm {WAYS[axis, 1 if by > 0 else -1]}"
        found.append((words, moved(item, axis, by * MM)))
    if item.backing != ANY and works(replace(item, backing=ANY)):
        found.append(
            (f"let noggin, pattress or stud back it (backing = {ANY!r})", replace(item, backing=ANY))
        )
    if not found:
        return f"take {item.name!r} out of the wall file, or hang it elsewhere", None
    return ", or ".join(words for words, _ in found), found[0][1]


def _nearest(
    item: HungItem,
    wall: Wall,
    rules: HungRules,
    clears: Sequence[Clear],
    uprights: Sequence[Upright],
    works: Callable[[HungItem], bool],
    more: Callable[[], bool],
    thin: int = 1,
) -> tuple[int, int] | None:
    """Return the least move in whole mm, as (axis, mm), that works; None where none was found.

    Every so many (``thin``) of the moves worth trying come first, then the others; what works is shortened.
    """
    failed: dict[tuple[int, int], int] = {}
    able = [m for m in _moves(item, rules, uprights) if _on_wall(moved(item, m[0], m[1] * MM), wall, clears)]
    best: tuple[int, int] | None = None
    for axis, by in (m for first in range(thin) for m in able[first::thin]):
        if best is not None and abs(by) >= abs(best[1]):
            continue
        if not more():
            break
        sign = 1 if by > 0 else -1
        if not works(moved(item, axis, by * MM)):
            failed[axis, sign] = max(failed.get((axis, sign), 0), abs(by))
            continue
        low, high = failed.get((axis, sign), 0), abs(by)
        while high - low > 1 and more():
            middle = (low + high) // 2
            if works(moved(item, axis, sign * middle * MM)):
                high = middle
            else:
                low = middle
        best = axis, sign * high
    return best


def _moves(item: HungItem, rules: HungRules, uprights: Sequence[Upright]) -> Iterator[tuple[int, int]]:
    """Give moves worth trying, least first: onto a stud, off its edge as far as other timber needs, and coarse."""
    half = (item.pad + 1) // 2
    wanted: set[tuple[int, int]] = {(axis, sign * c) for axis in (0, 1) for sign in (1, -1) for c in COARSE}
    for x, _ in item.fixings:
        for u in uprights:
            aims = [u.line]
            for away in (max(rules.end, half), max(rules.edge, half)):
                aims += [u.x - away, u.right + away]
            wanted |= {(0, _whole(a - x)) for a in aims if 0 < abs(a - x) <= COARSE[-1] * MM}
    yield from sorted((w for w in wanted if w[1]), key=lambda w: (abs(w[1]), w))


def _whole(by: int) -> int:
    """Whole mm, rounded away from nothing."""
    return -(-by // MM) if by > 0 else by // MM


def _on_wall(item: HungItem, wall: Wall, clears: Iterable[Clear]) -> bool:
    return all(
        0 < x < wall.length
        and 0 < y < wall.height
        and not any(c.left <= x <= c.right and c.bottom <= y <= c.top for c in clears)
        for x, y in item.fixings
    )
