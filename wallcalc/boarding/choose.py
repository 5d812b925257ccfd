"""Boards of every lining chosen together with the studs their joints take and the sheets they are cut from.

What 'best' means is written once, here, in :data:`PRIORITY`. The search lays every run of every course best
first, joins the runs of all linings into whole boardings that keep the hard rules, and cuts each from the sheets
on sale until no other can be cheaper or its number of tries is used up; the answer says which.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import partial as bound_to
from typing import Protocol

from wallcalc.boarding.course import CAUTION, CENT, Schedule, Shape, course_edges
from wallcalc.boarding.courses import Lining
from wallcalc.boarding.joining import Joiner, Partial, Slot
from wallcalc.boarding.runs import RunLayer
from wallcalc.errors import OptionError, Refusal
from wallcalc.framing.joint_lines import JointLine
from wallcalc.units.lengths import MM

PRIORITY = (
    "every hard rule kept (edges backed, no two joints on one stud at one height, distance from jamb lines)",
    "fewest cautions (joints nearer a jamb line than advised, strips under the narrow-strip width)",
    "lowest cost of sheets bought and studs added for joints",
    "least length of joints with a cut edge",
    "fewest boards",
    "joints further left first",
)
"""The written order in which boardings are compared: hard rules, then soft ones."""

WAYS = 8
"""Ways kept for each run, of each kind (a bound on the search, not a trade rule)."""
KEPT = 16
"""Boardings kept while they are joined, of each kind."""
TRIES = 12
"""Boardings cut from sheets before the search turns to improving the best of them."""
STARTS = 1
"""How many of those are improved."""
STEPS = 60
"""Boardings of :data:`USUAL` boards cut from sheets while they are improved, fewer of larger ones."""
PATIENCE = 40
"""Boardings cut without a better one before improving ends."""
USUAL = 14


@dataclass(frozen=True, slots=True)
class Boarding:
    """A whole boarding: a schedule for every slot, the stud lines it uses, and what it costs.

    ``lines`` maps a joint line to 1 (one stud) or 2 (a straddling pair). ``sheet_cost`` is in cents,
    ``sheet_bound`` what no boarding of these linings can undercut; ``settled`` tells that no other boarding that
    the search can lay is better.
    """

    slots: tuple[Slot, ...]
    chosen: tuple[Schedule, ...]
    lines: Mapping[int, int]
    score: int
    sheet_cost: int
    sheet_bound: int
    timber_cost: int
    settled: bool
    tried: int


class Costs(Protocol):
    """What boards cost in sheets, blanks given by product, each product's sorted."""

    def least(self, blanks: Mapping[str, tuple[Shape, ...]]) -> int:
        """Return a bound below the cost, cents."""
        ...

    def cut(self, blanks: Mapping[str, tuple[Shape, ...]]) -> tuple[int, int]:
        """Return the cost of a cutting plan, cents, and how full the emptiest sheet is."""
        ...


@dataclass(slots=True)
class _Best:
    """The best boarding so far: (score, fullness of its emptiest sheet), cost of sheets, what it is."""

    rank: tuple[int, int]
    sheets: int
    partial: Partial


def choose_boarding(
    linings: Sequence[Lining],
    layers: Sequence[RunLayer],
    lines: Sequence[JointLine],
    length: int,
    costs: Costs,
    least_cost: int,
    least_bay: int,
    breadth: int = 1,
) -> Boarding:
    """Return the best boarding found of all linings together.

    Parameters
    ----------
    linings : sequence of Lining
        In order of choice: A1, B1, A2, B2.
    layers : sequence of RunLayer
        One for each lining.
    lines : sequence of JointLine
        Where joints may fall.
    length : int
        Of the wall, 0.1 mm.
    costs : Costs
        What the sheets cost that blanks are cut from.
    least_cost : int
        What the sheets of any boarding cost at the least, cents.
    least_bay : int
        Least clear bay, 0.1 mm.
    breadth : int
        How many times the usual number of ways and boardings is kept.

    Returns
    -------
    Boarding

    Raises
    ------
    OptionError
        When no boarding keeps the hard rules.
    """
    slots = _slots(linings, layers, length, WAYS * breadth)
    join = Joiner(slots, lines, layers[0].timber_price, layers[0].thickness, least_bay)
    partials = [Partial(0, 0, (), {}, 0)]
    whole = True
    for slot in slots:
        partials, all_kept = join.extend(partials, KEPT * breadth)
        whole = whole and all_kept
        if not partials:
            raise OptionError([_no_place(slot, linings)])
    search = _Search(slots, linings, join, costs, least_cost)
    starts = search.first(partials)
    settled = whole and len(search.seen) < TRIES
    for start in starts:
        if settled or search.least_reached() or len(slots) == len(linings):
            break
        boards = sum(len(s.shapes) for s in start.partial.chosen)
        search.improve(start, STEPS * USUAL // (len(starts) * max(boards, USUAL)))
    best = search.best
    assert best is not None
    timber = join.cost(best.partial.added)
    return Boarding(
        tuple(slots),
        best.partial.chosen,
        best.partial.lines,
        best.rank[0],
        best.sheets,
        least_cost,
        timber,
        settled or search.least_reached(),
        len(search.seen),
    )


class _Search:
    """Cuts whole boardings from sheets and keeps the best."""

    def __init__(
        self,
        slots: Sequence[Slot],
        linings: Sequence[Lining],
        join: Joiner,
        costs: Costs,
        least_cost: int,
    ) -> None:
        self.slots, self.linings, self.join = slots, linings, join
        self.costs, self.least_cost = costs, least_cost
        self.seen: dict[tuple, tuple[int, int]] = {}
        self.best: _Best | None = None

    def least_reached(self) -> bool:
        """Whether the best boarding has no caution, adds no timber and takes the least that sheets can cost."""
        best = self.best
        return (
            best is not None
            and best.rank[0] < CAUTION
            and best.sheets == self.least_cost
            and not self.join.cost(best.partial.added)
        )

    def rank(self, partial: Partial, rival: _Best | None) -> _Best | None:
        """Cut a boarding from sheets; None when it cannot be better than a rival."""
        timber = self.join.cost(partial.added)
        soft = partial.score - timber * CENT
        if rival is not None and soft + (self.least_cost + timber) * CENT > rival.rank[0]:
            return None
        blanks = _blanks(partial, self.slots, self.linings)
        key = tuple(blanks.items())
        if key not in self.seen:
            if rival is not None and soft + (self.costs.least(blanks) + timber) * CENT > rival.rank[0]:
                return None
            self.seen[key] = self.costs.cut(blanks)
        cost, fullness = self.seen[key]
        return _Best((soft + (cost + timber) * CENT, fullness), cost, partial)

    def first(self, partials: Sequence[Partial]) -> list[_Best]:
        """Cut boardings in order until the tries are used up; return the best few, each of other blanks."""
        tried: list[_Best] = []
        for partial in partials:
            if len(self.seen) >= TRIES:
                break
            found = self.rank(partial, self.best)
            if found is not None:
                tried.append(found)
                if self.best is None or found.rank[0] < self.best.rank[0]:
                    self.best = found
        tried.sort(key=lambda f: f.rank)
        return list({f.rank: f for f in reversed(tried)}.values())[::-1][:STARTS]

    def improve(self, start: _Best, steps: int) -> None:
        """Change one run at a time while that makes a boarding cheaper or empties a sheet; keep the best."""
        limit = len(self.seen) + steps
        patience = len(self.seen) + PATIENCE
        current, fresh = start, True
        while fresh:
            fresh = False
            upto: Partial | None = Partial(0, 0, (), {}, 0)
            for i, slot in enumerate(self.slots):
                for schedule in slot.schedules:
                    if len(self.seen) >= min(limit, patience):
                        return
                    if schedule is current.partial.chosen[i]:
                        continue
                    partial = self.join.join_all(upto, (schedule, *current.partial.chosen[i + 1 :]))
                    found = None if partial is None else self.rank(partial, current)
                    if found is not None and found.rank < current.rank:
                        current, fresh = found, True
                        patience = len(self.seen) + PATIENCE
                        if self.best is None or found.rank[0] < self.best.rank[0]:
                            self.best = found
                            if self.least_reached():
                                return
                upto = self.join.join(upto, current.partial.chosen[i])


def _slots(linings: Sequence[Lining], layers: Sequence[RunLayer], length: int, ways: int) -> list[Slot]:
    slots = []
    for number, (lining, layer) in enumerate(zip(linings, layers, strict=True)):
        for course in reversed(course_edges(lining)):
            for left, right in layer.runs(course, length):
                found = layer.schedules(course, left, right, ways, len(linings))
                if not found:
                    raise OptionError([_no_run(lining, left, right)])
                more = bound_to(layer.other_ways, course, left, right, ways // 2)
                slots.append(Slot(number, course, tuple(found), more))
    slots.sort(key=lambda s: (-s.course.top, s.lining))
    return slots


def _blanks(
    partial: Partial, slots: Sequence[Slot], linings: Sequence[Lining]
) -> dict[str, tuple[Shape, ...]]:
    blanks: dict[str, list[Shape]] = {}
    for slot, schedule in zip(slots, partial.chosen, strict=True):
        blanks.setdefault(linings[slot.lining].product, []).extend(schedule.shapes)
    return {product: tuple(sorted(shapes)) for product, shapes in sorted(blanks.items())}


def _no_run(lining: Lining, left: int, right: int) -> Refusal:
    return Refusal(
        "board joints",
        f"side {lining.side}, {left / MM:g} to {right / MM:g} mm",
        f"no row of boards up to {lining.reach / MM:g} mm has all its joints on studs and clear of jamb lines",
        "use a larger sheet or other stud centres, or move the opening",
    )


def _no_place(slot: Slot, linings: Sequence[Lining]) -> Refusal:
    lining = linings[slot.lining]
    return Refusal(
        "joints never share a stud at one height",
        f"side {lining.side}, layer {lining.layer}, course from {slot.course.bottom / MM:g} mm",
        "every row of boards would put a joint on a stud that another joint has taken",
        "use closer stud centres or a larger sheet, or fewer layers",
    )


def joints_of(boarding: Boarding) -> list[tuple[Slot, Schedule]]:
    """Return the slots of a boarding with the schedules chosen for them."""
    return list(zip(boarding.slots, boarding.chosen, strict=True))
