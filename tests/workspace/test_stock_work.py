"""Working out a stock behind its page: it does what the verb does, and can be stopped."""

import asyncio
import os
import shutil
import signal
from collections.abc import Callable
from pathlib import Path

import pytest

from bedstone.stock.members import find_stock
from bedstone.stock.places import Folder
from bedstone.stock.ranking import thresholds_of
from bedstone.stock.task import Options
from bedstone.workspace.stock_read import standing
from bedstone.workspace.stock_work import Asked, Ended, Working

EXAMPLES = Path(__file__).parents[2] / "examples"
PLAIN = Options(parts=("schedule",))


@pytest.fixture
def stock(tmp_path: Path, truss: Path) -> Path:
    folder = tmp_path / "stock"
    folder.mkdir()
    text = truss.read_text(encoding="utf-8")
    for number in range(3):
        (folder / f"bridge-{number}.toml").write_text(text.replace("64 m", f"{62 + number} m"))
    return folder


def asked(stock: Path, own: Path | None = None) -> Asked:
    return Asked(stock, str(stock.parent / "store"), PLAIN, own)


async def ended(working: Working, meanwhile: Callable[[], None] = lambda: None) -> Ended:
    """Wait for the end; `meanwhile` is called whenever something changes."""
    over = asyncio.Event()

    def told() -> None:
        meanwhile()
        if not working.running:
            over.set()

    end = working.watch(told)
    await over.wait()
    end()
    assert working.ended is not None
    return working.ended


def test_it_works_out_what_changed_and_no_more(stock: Path):
    steps: list[tuple[int, int]] = []

    async def twice() -> tuple[Ended, Ended]:
        working = Working()
        working.start(asked(stock))
        first = await ended(working, lambda: steps.append((working.done, working.total)))
        file = stock / "bridge-1.toml"
        file.write_text(file.read_text() + "# changed\n")
        working.start(asked(stock))
        return first, await ended(working)

    first, second = asyncio.run(twice())
    assert first == Ended(worked_out=3)
    assert second == Ended(worked_out=1)
    assert (3, 3) in steps
    found = standing(find_stock(stock), Folder(stock.parent / "store"), thresholds_of())
    assert found.up_to_date
    assert len(found.ranking) == 3


def test_stopped_in_mid_work_it_keeps_what_is_done(stock: Path):
    # wide and curved: it takes far longer than the others, and comes last
    shutil.copy(EXAMPLES / "curved.toml", stock / "z-curved.toml")

    async def stopped() -> Ended:
        working = Working()
        working.start(asked(stock))

        def stop() -> None:
            if working.done:
                working.stop()

        return await ended(working, stop)

    found = asyncio.run(stopped())
    assert found.stopped
    assert found.problem == ()
    assert found.worked_out >= 1
    left = standing(find_stock(stock), Folder(stock.parent / "store"), thresholds_of())
    assert len(left.bridges) == found.worked_out
    assert "z-curved.toml" in left.missing
    assert left.number == 0  # no whole run yet


def test_stopped_before_it_has_begun(stock: Path):
    async def stopped() -> Ended:
        working = Working()
        working.start(asked(stock))
        working.stop()
        assert working.stopping
        return await ended(working)

    assert asyncio.run(stopped()) == Ended(stopped=True)


def test_a_second_one_is_not_started_beside_it(stock: Path):
    async def both() -> Ended:
        working = Working()
        working.start(asked(stock))
        process = working._process
        working.start(asked(stock))
        assert working._process is process
        working.stop()
        return await ended(working)

    assert asyncio.run(both()).stopped


def test_a_run_elsewhere_and_bad_thresholds_are_told_in_words(stock: Path, tmp_path: Path):
    async def told(own: Path | None = None) -> tuple[str, ...]:
        working = Working()
        working.start(asked(stock, own))
        return (await ended(working)).problem

    with Folder(tmp_path / "store").held():
        (line,) = asyncio.run(told())
    assert "another run works on it" in line
    own = tmp_path / "own.toml"
    own.write_text("[values.moon]\nvalue = 1\n")
    assert any("moon" in line for line in asyncio.run(told(own)))


def test_one_that_is_killed_is_told(stock: Path):
    async def killed() -> Ended:
        working = Working()
        working.start(asked(stock))

        def kill() -> None:
            process = working._process
            if process is not None and process.pid is not None and working.text != "starting":
                os.kill(process.pid, signal.SIGKILL)

        return await ended(working, kill)

    (line,) = asyncio.run(killed()).problem
    assert "ended by itself" in line


def test_it_ends_with_the_server(stock: Path):
    async def closed() -> bool:
        working = Working()
        working.start(asked(stock))
        process = working._process
        assert process is not None
        await asyncio.to_thread(working.close)
        return process.is_alive()

    assert not asyncio.run(closed())
