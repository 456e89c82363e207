"""Long work: results, errors and progress cross to the page; a cancelled job ends."""

import asyncio
import time
from pathlib import Path

import pytest

from bedstone.errors import InputError
from bedstone.workspace.engine import CancelledError, Engine, Progress, WorkerError
from bedstone.workspace.work import full_schedule


def run(work):
    """Run a coroutine on an engine of its own."""

    async def whole():
        engine = Engine(1)
        try:
            return await work(engine)
        finally:
            engine.close()

    return asyncio.run(whole())


def test_schedule_comes_back_with_progress_and_a_second_job_finds_the_worker_warm(truss: Path):
    text = truss.read_text()
    heard: list[Progress] = []

    async def work(engine: Engine):
        job = engine.start(full_schedule, text, "t", truss.parent, None, told=heard.append)
        schedule = await job.result()
        process = next(iter(engine._all))
        with pytest.raises(InputError, match="line 1"):
            await engine.start(full_schedule, "[", "t", truss.parent, None).result()
        assert next(iter(engine._all)) is process
        return schedule

    schedule = run(work)
    assert [support.mark for support in schedule.supports] == ["A1", "A2"]
    assert heard
    assert heard[-1].total > 0


def test_fault_of_the_program_is_told():
    async def work(engine: Engine):
        with pytest.raises(WorkerError, match="TypeError"):
            await engine.start(full_schedule).result()

    run(work)


def test_cancelled_job_ends_and_the_next_one_works(truss: Path):
    text = truss.read_text()

    async def work(engine: Engine):
        first = engine.start(time.sleep, 60)
        waiting = engine.start(full_schedule, "[", "t", truss.parent, None)
        await asyncio.sleep(0.05)
        first.cancel()
        with pytest.raises(CancelledError):
            await first.result()
        with pytest.raises(InputError):
            await waiting.result()
        assert text

    run(work)
