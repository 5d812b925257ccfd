"""Work between moves: it starts again after a move, whenever the move comes."""

from __future__ import annotations

import asyncio

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
