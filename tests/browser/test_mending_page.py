"""A bridge file with faults in a real browser: its text opens beside them and can be mended."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from browsing import EXAMPLES, Server, serving
from seeing import (
    contains,
    expect,
    fits,
    stock_opened,
    stocked,
    text_of,
    themed,
    usable_by_everybody,
    watched,
)
from stocks import kept, row

from bedstone.workspace.people import new_token, token_hash

NAME = "truss.toml"
SOUND = (EXAMPLES / NAME).read_text(encoding="utf-8")
#: A length in a unit of force.
BROKEN = SOUND.replace('chainage = "64 m"', 'chainage = "64 kN"', 1)


def write(page: Any, old: str, new: str) -> None:
    """Change a line of the text, as somebody at the keyboard would."""
    line = page.locator(".cm-line", has_text=old)
    line.click()
    page.keyboard.press("End")
    for _ in line.inner_text():
        page.keyboard.press("Backspace")
    page.keyboard.type(new)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    made = tmp_path / "bridges"
    made.mkdir()
    (made / NAME).write_text(BROKEN, encoding="utf-8")
    shutil.copy(EXAMPLES / "girders.toml", made)
    faulty = [
        row("bridges", NAME, state="faulty"),
        row("remarks", NAME, number=1, part="file", what="fault", text="64 kN is no length"),
    ]
    kept(made, tmp_path / "store", {NAME: faulty, "girders.toml": [
        row("bridges", "girders.toml", state="done")]})  # fmt: skip
    return made


@pytest.fixture
def server(folder: Path, tmp_path: Path, browser: Any) -> Iterator[Server]:
    with serving(folder, tmp_path / "cache", "--out", str(tmp_path / "store")) as made:
        yield made


def test_from_the_list_of_faults_to_the_bridge(server: Server, folder: Path, browser: Any):
    with watched(browser, server) as page:
        stock_opened(page, server.address)
        page.click("#stock-faulty li a")
        contains(page, "#mend-head", "1 fault")
        contains(page, "#mend-faults", "64 kN")
        # the button of a fault leads to its line, which is marked
        expect(page.locator(".cm-fault")).to_have_count(1)
        page.click('#mend-faults [data-do="line"]')
        expect(page.locator(".cm-fault")).to_contain_text('chainage = "64 kN"')
        expect(page.locator('[data-do="save"]')).to_be_disabled()
        for theme in ("light", "dark"):
            themed(page, theme)
            usable_by_everybody(page)
        fits(page, 640, 400)
        page.set_viewport_size({"width": 1280, "height": 800})
        write(page, "64 kN", 'chainage = "64')  # the editor closes the quotes
        contains(page, "#mend-faults", "the unit is missing")
        expect(page.locator('[data-do="save"]')).to_be_disabled()
        assert text_of(folder / NAME) == BROKEN
        write(page, 'chainage = "64', 'chainage = "64 m"')
        contains(page, "#mend-head", "a valid bridge file")
        page.click('[data-do="save"]')
        contains(page, "#title h1", "Road truss over the Velm")
        assert text_of(folder / NAME) == SOUND
        page.click("a.back")
        stocked(page)
        contains(page, "#stock-standing", f"1 bridge ({NAME}): files changed")


def test_what_others_wrote_meanwhile_is_not_overwritten_unseen(
    server: Server, folder: Path, browser: Any
):
    with watched(browser, server) as page:
        page.goto(f"{server.address}bridge?file={NAME}")
        write(page, "64 kN", 'chainage = "64 m"')
        contains(page, "#mend-head", "a valid bridge file")
        theirs = SOUND.replace("64 m", "65 m")
        (folder / NAME).write_text(theirs, encoding="utf-8")
        page.click('[data-do="save"]')
        contains(page, "#mend-message", "changed on disk")
        assert text_of(folder / NAME) == theirs
        page.click('[data-do="overwrite"]')
        contains(page, "#title h1", "Road truss over the Velm")
        assert text_of(folder / NAME) == SOUND


def test_a_file_that_is_no_text_is_told_in_words(server: Server, folder: Path, browser: Any):
    (folder / NAME).write_bytes(b'[bridge]\nname = "\xff"\n')
    with watched(browser, server) as page:
        page.goto(f"{server.address}bridge?file={NAME}")
        contains(page, ".problem", "text in UTF-8")
        expect(page.locator(".cm-editor")).to_have_count(0)
        page.click(".problem a")
        stocked(page)


def test_a_reader_sees_the_faults_and_cannot_save(folder: Path, tmp_path: Path, browser: Any):
    token, team = new_token(), tmp_path / "team.toml"
    team.write_text(f'[people.bert]\nrole = "reader"\ntoken = "{token_hash(token)}"\n')
    with (
        serving(folder, tmp_path / "cache", "--team", str(team)) as server,
        watched(browser, server) as page,
    ):
        page.goto(server.address)
        page.fill("#token", token)
        page.click("button[type=submit]")
        contains(page, "#title h1", "Stock of bridges")
        page.goto(f"{server.address}bridge?file={NAME}")
        contains(page, "#mend-head", "bert is a reader")
        write(page, "64 kN", 'chainage = "64 m"')
        contains(page, "#mend-head", "a valid bridge file")
        # a browser does what its user wants: the button is only a courtesy
        page.evaluate("() => bedstone.tell({ do: 'save' })")
        contains(page, "#mend-message", "bert is a reader")
        assert text_of(folder / NAME) == BROKEN
        assert not (folder / ".bedstone").exists()
