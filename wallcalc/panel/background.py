"""Work done a little at a time between a person's moves, on the notebook kernel's own event loop."""

from __future__ import annotations

import asyncio
import gc
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from typing import Any

from wallcalc.draw.turns import TURN, in_turn

BREATH = 0.004
"""Seconds between two steps in which the kernel can hear the next move."""

REST = 0.6
"""Seconds after a move before anything begins that it does not ask for: longer than between two keys."""
REPORTING = 0.2
"""Most of the time that goes into reports while there is more to do."""
NEVER = 1_000_000
"""Collections of middle age before a full one."""
END = object()
LOOK = 0.02
"""Longest time between two looks whether a move came, seconds."""

Slow = tuple[Callable[[], Any], Callable[[Any], None]]
"""Work that touches nothing, and what takes its result."""


_at_work: list[tuple[int, int, int]] = []
"""What rubbish was collected at, once for everything at work."""


@contextmanager
def _young_only() -> Iterator[None]:
    """Leave full collections out: one of what a study makes takes a third of a second, and the end of it does one."""
    before = gc.get_threshold()
    _at_work.append(_at_work[0] if _at_work else before)
    gc.set_threshold(before[0], before[1], NEVER)
    try:
        yield
    finally:
        before = _at_work.pop()
        if not _at_work:
            gc.set_threshold(*before)


class Background:
    """Runs a job in short steps while nobody is touching a control, and slow work on another thread.

    A kernel may handle what the browser sends on another thread, with an event loop of its own, than it runs cells on.
    The work is done on the loop that woke it last, what an earlier one left undone too; each piece of it in turn.

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
    ahead : callable, optional
        Does a little work that the next move may want; returns whether more is left. Done before the steps, as soon as
        what the last move left to do is done.
    """

    def __init__(
        self,
        step: Callable[[], bool],
        report: Callable[[bool], None] | Sequence[Callable[[bool], None]],
        failed: Callable[[Exception], None],
        *,
        rest: float = REST,
        every: float = 0.6,
        slow: Callable[[], Slow | None] | None = None,
        ahead: Callable[[], bool] | None = None,
    ) -> None:
        self._step, self._failed = in_turn(step), in_turn(failed)
        self._reports = [in_turn(each) for each in ([report] if callable(report) else report)]
        self._rest, self._every = rest, every
        self._slow = None if slow is None else in_turn(slow)
        self._ahead = None if ahead is None else in_turn(ahead)
        self._loop: asyncio.AbstractEventLoop | None = None
        self._task: asyncio.Task | None = None
        self._rest_of_move: asyncio.Task | None = None
        self._pieces: Iterator[Any] | None = None
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

    def wake(self, pieces: Iterator[Any] | None = None) -> bool:
        """Start or postpone the work; return whether there is an event loop to do it on."""
        with TURN:
            self._last_move = time.monotonic()
            if not self.can_wait:
                return False
            loop = asyncio.get_running_loop()
            handed_over = loop is not self._loop
            if handed_over:  # what runs on the other one sees that, and ends
                self._loop, self._task, self._rest_of_move = loop, None, None
            if pieces is not None:
                self._pieces = pieces
            if self._pieces is not None and (handed_over or pieces is not None):
                if self._rest_of_move is not None:
                    self._rest_of_move.cancel()
                self._rest_of_move = loop.create_task(self._finish_move(self._pieces))
            if self._task is None or self._task.done():
                self._task = loop.create_task(self._run())
            return True

    def _mine(self) -> bool:
        return self._loop is asyncio.get_running_loop()

    async def move_done(self) -> None:
        """Wait until nothing of the last move is left to do."""
        while self._mine() and self._rest_of_move is not None and not self._rest_of_move.done():
            await asyncio.wait([self._rest_of_move])

    async def _finish_move(self, pieces: Iterator[Any]) -> None:
        while True:
            await asyncio.sleep(BREATH)
            with TURN:
                if not self._mine() or self._pieces is not pieces:
                    return
                try:
                    more = next(pieces, END) is not END
                except Exception as error:
                    self._failed(error)
                    more = False
                if not more:
                    if self._pieces is pieces:
                        self._pieces = None
                    return

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
        try:
            with _young_only():
                await self._work()
        except Exception as error:
            self._failed(error)

    async def _work(self) -> None:
        wait_until = time.monotonic() + self._every
        more, looked_ahead = True, 0.0
        while more:
            await self.move_done()
            with TURN:
                if not self._mine():
                    return
                begun = self._last_move
                quiet = time.monotonic() - begun
                ahead = self._ahead is not None and looked_ahead != begun
                if ahead:
                    if not self._ahead():  # type: ignore[misc]
                        looked_ahead = begun
                elif quiet >= self._rest:
                    more = self._step()
            if not ahead and quiet < self._rest:
                await asyncio.sleep(min(self._rest - quiet, LOOK))
                continue
            if not ahead:
                if not more or time.monotonic() > wait_until:
                    wait_until = time.monotonic() + max(self._every, await self._tell(not more) / REPORTING)
                with TURN:
                    slow = None if more or self._slow is None else self._slow()
                more = more or self._last_move != begun  # a move made while this breathed wants its rows too
                if slow is not None:
                    work, take = slow
                    in_turn(take)(await asyncio.get_running_loop().run_in_executor(None, work))
                    more = True
            if (
                more
            ):  # never wait once the work is done: a move made meanwhile would find the task still running
                await asyncio.sleep(BREATH)

    async def _tell(self, done: bool) -> float:
        """Report, in turn; return the seconds it took."""
        begun = time.monotonic()
        for number, report in enumerate(self._reports):
            if number:
                await asyncio.sleep(BREATH)
            with TURN:
                if self._mine():
                    report(done)
        return time.monotonic() - begun
