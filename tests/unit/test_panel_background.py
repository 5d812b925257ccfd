"""Work between moves: it starts again after a move, whenever the move comes."""

from __future__ import annotations

import asyncio
import gc
import threading
import time
from collections.abc import Iterator

import pytest

from wallcalc.panel.background import Background


def test_a_move_right_after_the_last_step_starts_the_work_again() -> None:
    async def run() -> list[bool]:
        left = [2]
        reports: list[bool] = []

        def step() -> bool:
            left[0] -= 1
            return left[0] > 0

        def failed(error: Exception) -> None:
            raise error

        work = Background(step, reports.append, failed, rest=0.0, every=10.0)
        assert work.wake()
        for _ in range(200):  # look at every turn of the loop, so that no moment is missed
            if left[0] == 0:
                break
            await asyncio.sleep(0)
            if left[0] > 0:
                await asyncio.sleep(0.001)
        left[0] = 2
        assert work.wake()
        await asyncio.sleep(0.2)
        assert left[0] == 0
        return reports

    assert asyncio.run(run()) == [True, True]


def test_a_failing_step_is_told_and_the_next_move_starts_afresh() -> None:
    async def run() -> tuple[list[str], int]:
        told: list[str] = []
        done = [0]

        def step() -> bool:
            done[0] += 1
            if done[0] == 1:
                raise ValueError("no sheet fits")
            return False

        work = Background(step, lambda last: None, lambda error: told.append(str(error)), rest=0.0)
        work.wake()
        await asyncio.sleep(0.05)
        work.wake()
        await asyncio.sleep(0.05)
        return told, done[0]

    assert asyncio.run(run()) == (["no sheet fits"], 2)


def test_work_ahead_begins_before_the_rest_and_after_what_a_move_left_to_do() -> None:
    async def run() -> tuple[list[str], tuple[int, int, int]]:
        told: list[str] = []
        left = [2]

        def ahead() -> bool:
            told.append("ahead")
            left[0] -= 1
            return left[0] > 0

        def pieces(name: str) -> Iterator[None]:
            for k in range(3):
                told.append(f"{name}{k}")
                yield

        def step() -> bool:
            told.append("step")
            return False

        work = Background(step, lambda last: None, pytest.fail, rest=0.1, ahead=ahead)
        work.wake(pieces("old"))
        await asyncio.sleep(0)
        other = Background(step, lambda last: None, pytest.fail, rest=0.0)
        other.wake()
        work.wake(pieces("new"))
        await work.move_done()
        during = gc.get_threshold()
        await asyncio.sleep(0.3)
        return [t for t in told if not t.startswith("old")], during

    before = gc.get_threshold()
    told, during = asyncio.run(run())
    assert told[told.index("new0") :] == ["new0", "new1", "new2", "ahead", "ahead", "step"]
    assert during[2] > before[2], "no full collection while there is work"
    assert gc.get_threshold() == before


def test_reports_take_no_more_than_their_share_of_the_time() -> None:
    async def run() -> int:
        reports = [0]
        end = time.monotonic() + 0.6

        def report(done: bool) -> None:
            time.sleep(0.05)
            reports[0] += 1

        def step() -> bool:
            time.sleep(0.005)
            return time.monotonic() < end

        Background(step, report, pytest.fail, rest=0.0, every=0.0).wake()
        while time.monotonic() < end + 0.1:
            await asyncio.sleep(0.02)
        return reports[0]

    assert 2 <= asyncio.run(run()) <= 4, "0.05 s in every 0.25 s"


def test_work_moves_to_the_loop_that_wakes_it_and_is_never_on_two_at_once() -> None:
    """A kernel runs cells on one thread and hears the browser on another, each with a loop of its own."""
    left, inside, told = [40], [0], []

    def step() -> bool:
        inside[0] += 1
        told.append((threading.get_ident(), inside[0]))
        time.sleep(0.002)
        inside[0] -= 1
        left[0] -= 1
        return left[0] > 0

    work = Background(step, lambda last: None, pytest.fail, rest=0.0)

    async def other() -> None:
        for _ in range(3):
            work.wake(iter(range(3)))
            await work.move_done()
        while left[0] > 0:
            await asyncio.sleep(0.01)

    async def main() -> None:
        work.wake()
        await asyncio.sleep(0.03)
        thread = threading.Thread(target=lambda: asyncio.run(other()))
        thread.start()
        while thread.is_alive():
            await asyncio.sleep(0.01)

    asyncio.run(asyncio.wait_for(main(), 20))
    assert left[0] <= 0
    assert {at for _, at in told} == {1}
    threads = [thread for thread, _ in told]
    assert threads == sorted(threads, key=threads.index), "once handed over it does not come back"
    assert len(set(threads)) == 2


def test_what_is_left_of_a_move_is_done_by_the_loop_that_wakes_the_work_next() -> None:
    """Otherwise a design half worked out stays half worked out, and the study behind it never goes on."""
    told: list[int] = []
    work = Background(lambda: False, lambda last: None, pytest.fail, rest=0.0)

    def pieces() -> Iterator[None]:
        for k in range(3):
            told.append(k)
            yield

    async def first() -> None:
        work.wake(pieces())
        while not told:
            await asyncio.sleep(0.001)

    async def second() -> None:
        work.wake()
        await work.move_done()

    asyncio.run(first())
    assert told != [0, 1, 2]
    asyncio.run(asyncio.wait_for(second(), 10))
    assert told == [0, 1, 2]
