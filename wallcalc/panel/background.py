"""Work done a little at a time between a person's moves, on the notebook kernel's own event loop."""

from __future__ import annotations

import asyncio
import time
from collections.abc import Callable, Sequence
from typing import Any

from wallcalc.draw.turns import in_turn

BREATH = 0.004
"""Seconds between two steps in which the kernel can hear the next move."""

Slow = tuple[Callable[[], Any], Callable[[Any], None]]
"""Work that touches nothing, and what takes its result."""


class Background:
    """Runs a job in short steps while nobody is touching a control, and slow work on another thread.

    Parameters
    ----------
    step : callable
        Does a little work; returns whether more is left.
    report : callable, or several
        Called now and then, and when the work is done, with True at the end; of several each is called in turn, with
        a breath between, so that a move need not wait for all of them.
    failed : callable
        Called with the exception when a step or a report fails; the work stops there.
    rest : float
        Seconds to wait after the last move of a control.
    every : float
        Seconds between reports.
    slow : callable, optional
        Returns the next piece of slow work, None when none is left; asked when the steps are done.
    """

    def __init__(
        self,
        step: Callable[[], bool],
        report: Callable[[bool], None] | Sequence[Callable[[bool], None]],
        failed: Callable[[Exception], None],
        *,
        rest: float = 0.4,
        every: float = 0.6,
        slow: Callable[[], Slow | None] | None = None,
    ) -> None:
        self._step, self._failed = in_turn(step), in_turn(failed)
        self._reports = [in_turn(each) for each in ([report] if callable(report) else report)]
        self._rest, self._every = rest, every
        self._slow = None if slow is None else in_turn(slow)
        self._task: asyncio.Task | None = None
        self._others: set[asyncio.Task] = set()
        self._last_move = 0.0

    @property
    def can_wait(self) -> bool:
        """Whether there is an event loop, so that work can be left to it."""
        try:
            asyncio.get_running_loop()
        except RuntimeError:
            return False
        return True

    def wake(self) -> bool:
        """Start or postpone the work; return whether there is an event loop to do it on."""
        self._last_move = time.monotonic()
        if not self.can_wait:
            return False
        if self._task is None or self._task.done():
            self._task = asyncio.get_running_loop().create_task(self._run())
        return True

    def run_elsewhere(self, work: Callable[[], Any], take: Callable[[Any], None]) -> None:
        """Run work that touches nothing on another thread; hand its result over on the event loop."""

        async def wait() -> None:
            try:
                in_turn(take)(await asyncio.get_running_loop().run_in_executor(None, work))
            except Exception as error:
                self._failed(error)

        task = asyncio.get_running_loop().create_task(wait())
        self._others.add(task)
        task.add_done_callback(self._others.discard)

    async def _run(self) -> None:
        reported = time.monotonic()
        more = True
        while more:
            quiet = time.monotonic() - self._last_move
            if quiet < self._rest:
                await asyncio.sleep(self._rest - quiet)
                continue
            try:
                begun = self._last_move
                more = self._step()
                if not more or time.monotonic() - reported > self._every:
                    for number, report in enumerate(self._reports):
                        if number:
                            await asyncio.sleep(BREATH)
                        report(not more)
                    reported = time.monotonic()
                slow = None if more or self._slow is None else self._slow()
                more = more or self._last_move != begun  # a move made while this breathed wants its rows too
                if slow is not None:
                    work, take = slow
                    in_turn(take)(await asyncio.get_running_loop().run_in_executor(None, work))
                    more = True
            except Exception as error:
                self._failed(error)
                return
            if (
                more
            ):  # never wait once the work is done: a move made meanwhile would find the task still running
                await asyncio.sleep(BREATH)
