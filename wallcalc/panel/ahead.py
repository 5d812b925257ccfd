"""Designs worked out before they are asked for: those that the next move is likeliest to want."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import Any

from wallcalc.errors import OptionError
from wallcalc.given.option import OPTION_FIELDS
from wallcalc.panel.across import values_of, with_choice
from wallcalc.panel.history import Moment
from wallcalc.panel.job import Job, is_slow
from wallcalc.panel.offers import Offers

MOST_KEPT = 24
"""Designs kept ready; the longest unused go first."""
STEP = 1.0
"""Step of the box and the slider of the stud centres, mm."""
LARGEST_STEP = 50.0
"""A change of the centres by more than this is a jump, which says nothing of the next, mm."""
FIRST = ("stud_centres", "board_orientation", "fill", "section", "layers_a", "layers_b")
"""Choices of the first rank, of which the neighbouring values are worked out for whatever comes after."""


def likely(then: Any, now: Any, wall: Any, offers: Offers) -> tuple[list[Any], list[Any]]:
    """Return the options that the next move is likeliest to ask for, the likeliest first.

    Two steps of the same control the same way, one back, its other values. One step of each other control.
    """
    moved = [name for name in OPTION_FIELDS if getattr(then, name) != getattr(now, name)]
    last = moved[0] if len(moved) == 1 else ""
    near = list(_of_control(last, then, now, wall, offers)) if last else []
    far = [found for name in FIRST if name != last for found in _neighbours(name, now, wall, offers)]
    return _options(near, now, offers), _options(far, now, offers)


def _options(wanted: list[tuple[str, Any]], now: Any, offers: Offers) -> list[Any]:
    """Return the options with a choice changed that can be worked out quickly, without the current one."""
    found = []
    for name, value in wanted:
        try:
            option = with_choice(now, name, value, offers)
        except OptionError:
            continue
        if option != now and not is_slow(option):
            found.append(option)
    return list(dict.fromkeys(found))


def _of_control(name: str, then: Any, now: Any, wall: Any, offers: Offers) -> Iterator[tuple[str, Any]]:
    """Yield what the control that was moved last may be set to next."""
    here, was = getattr(now, name), getattr(then, name)
    if name == "stud_centres":
        step = here - was if abs(here - was) <= LARGEST_STEP else STEP
        low, high = offers.centres
        near = [here + step, here + 2 * step, here - step, *offers.usual]
        yield from ((name, round(value, 1)) for value in near if low <= value <= high)
        return
    values = values_of(name, now, wall, offers)
    at = values.index(here)
    way = -1 if was in values and values.index(was) > at else 1
    yield from ((name, value) for value in sorted(values, key=lambda v: _rank(values.index(v) - at, way)))


def _neighbours(name: str, now: Any, wall: Any, offers: Offers) -> list[tuple[str, Any]]:
    """Return the values on either side of the current one."""
    here = getattr(now, name)
    if name == "stud_centres":
        low, high = offers.centres
        return [(name, value) for value in (here - STEP, here + STEP) if low <= value <= high]
    values = values_of(name, now, wall, offers)
    at = values.index(here)
    return [(name, values[k]) for k in (at + 1, at - 1) if 0 <= k < len(values)]


def _rank(off: int, way: int) -> tuple[int, bool]:
    return abs(off), off * way < 0


class Ahead:
    """Keeps jobs done, or begun, for options that were shown or may be asked for next.

    Parameters
    ----------
    draw : callable
        Called with the job of an option that is worked out and the number of the call; returns whether there is more
        for it to do.
    """

    def __init__(self, draw: Callable[[Job, int], bool] | None = None) -> None:
        self.draw = draw
        self.jobs: OrderedDict[tuple, Job] = OrderedDict()
        self._wanted: tuple[list[Moment], list[Moment]] = ([], [])
        self._drawn = 0

    def plan(self, then: Moment, now: Moment, offers: Offers) -> None:
        """Set what is to be worked out, after a move from one moment to another."""
        same = then.given == now.given
        near, far = likely(then.option if same else now.option, now.option, now.wall, offers)
        self._wanted = [replace(now, option=o) for o in near], [replace(now, option=o) for o in far]
        self._drawn = 0

    def keep(self, job: Job) -> None:
        """Keep a job for when its option is asked for again."""
        key = _key(job.moment)
        self.jobs[key] = job
        self.jobs.move_to_end(key)
        while len(self.jobs) > MOST_KEPT:
            self.jobs.popitem(last=False)

    def job(self, moment: Moment) -> Job | None:
        """Return the job kept for an option whose frame and boards are known, None when there is none."""
        job = self.jobs.get(_key(moment))
        return None if job is None or job.raised is None or isinstance(job.found, Exception) else job

    def step(self, far: bool = False) -> bool:
        """Do a little for the next step of the control moved last, or of the others; return whether more is left."""
        wanted = self._wanted[far]
        if not wanted:
            return False
        moment = wanted[0]
        job = self.jobs.get(_key(moment))
        if job is None:
            job = Job(moment, told=False)
        self.keep(job)
        if job.found is None:
            job.step()
        elif isinstance(job.found, Exception) or self.draw is None or not self.draw(job, self._drawn):
            wanted.pop(0)
            self._drawn = 0
        else:
            self._drawn += 1
        return bool(wanted)


def _key(moment: Moment) -> tuple:
    return (*moment.given, moment.option)
