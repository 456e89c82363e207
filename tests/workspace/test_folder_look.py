"""Everybody who asks sees what was there when they asked, with as few looks as can be."""

import asyncio

from bedstone.workspace.folder_look import Looking


def test_who_asks_in_mid_look_is_answered_by_one_that_began_later():
    there = ["old"]
    seen: list[str] = []
    goes_on = asyncio.Event()

    async def look() -> None:
        read = there[0]
        await goes_on.wait()
        seen.append(read)

    async def all_of_it() -> None:
        looking = Looking(look)
        first = asyncio.create_task(looking())
        await asyncio.sleep(0)  # it has read, and is at work
        there[0] = "new"
        others = [asyncio.create_task(looking()) for _ in range(5)]
        await asyncio.sleep(0)
        goes_on.set()
        await first
        assert seen[0] == "old"
        await asyncio.gather(*others)

    asyncio.run(all_of_it())
    assert seen == ["old", "new"]  # one look for all five


def test_one_after_the_other_looks_each_time():
    looks: list[int] = []

    async def look() -> None:
        looks.append(1)

    async def twice() -> None:
        looking = Looking(look)
        await looking()
        await looking()

    asyncio.run(twice())
    assert len(looks) == 2
