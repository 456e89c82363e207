"""A folder that a team shares, in real browsers: who may, who may not, who may no longer."""

from __future__ import annotations

import json
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from browsing import EXAMPLES, Server, serving
from seeing import (
    PAGES,
    PATIENCE,
    contains,
    expect,
    fits,
    themed,
    to,
    typed,
    unsaved,
    usable_by_everybody,
)

from bedstone.workspace.people import new_token, token_hash

NAME = '[id="f-bridge-name"]'
SAVE = '[data-key="tool-save"]'


class Team:
    """A served folder with its team file, and pages of people in browsers of their own."""

    def __init__(self, place: Path, browser: Any) -> None:
        self.folder = place / "bridges"
        self.folder.mkdir()
        self.file = Path(shutil.copy(EXAMPLES / "truss.toml", self.folder))
        self.tokens = {name: new_token() for name in ("anna", "bert")}
        self.path = place / "team.toml"
        self.write(anna="editor", bert="reader")
        self.browser = browser
        self.server: Server | None = None

    def write(self, **roles: str) -> None:
        """Write the team file."""
        self.path.write_text(
            "".join(
                f'[people.{name}]\nrole = "{role}"\ntoken = "{token_hash(self.tokens[name])}"\n'
                for name, role in roles.items()
            )
        )

    def page(self) -> Any:
        """A page of a browser that nobody has used."""
        context = self.browser.new_context(viewport={"width": 1280, "height": 800})
        context.set_default_timeout(PATIENCE)
        return context.new_page()

    def sign_in(self, who: str) -> Any:
        """A page at the stock, of somebody who has signed in."""
        assert self.server is not None
        page = self.page()
        page.goto(self.server.address)
        page.fill("#token", self.tokens[who])
        page.click("button[type=submit]")
        contains(page, "#title h1", "Stock of bridges")
        return page

    def editing(self, who: str) -> Any:
        """A page at the form of the truss, of somebody who has signed in."""
        assert self.server is not None
        page = self.sign_in(who)
        page.goto(f"{self.server.address}bridge?file=truss.toml&page=editor")
        page.wait_for_selector(NAME)
        return page

    def lines(self) -> list[dict[str, Any]]:
        """The journal."""
        path = self.folder / ".bedstone" / "changes.jsonl"
        return [json.loads(line) for line in path.read_text().splitlines()] if path.exists() else []


@pytest.fixture
def team(tmp_path: Path, browser: Any) -> Iterator[Team]:
    expect.set_options(timeout=PATIENCE)
    made = Team(tmp_path, browser)
    with serving(made.folder, tmp_path / "cache", "--team", str(made.path)) as server:
        made.server = server
        yield made
    for context in list(browser.contexts):
        context.close()


def test_an_editor_saves_and_a_reader_is_told_why_not(team: Team):
    anna = team.editing("anna")
    typed(anna, NAME, "Bridge of Anna")
    unsaved(anna)
    anna.click(SAVE)
    contains(anna, "#title", "(saved)")
    assert 'name = "Bridge of Anna"' in team.file.read_text()
    (line,) = team.lines()
    assert (line["who"], line["way"], line["file"]) == ("anna", "cookie", "truss.toml")

    bert = team.editing("bert")
    expect(bert.locator(NAME)).to_have_value("Bridge of Anna")
    typed(bert, NAME, "Bridge of Bert")  # on a desk of his own he may
    contains(bert, "#title h1", "Bridge of Bert")
    expect(bert.locator(SAVE)).to_be_disabled()
    assert "bert is a reader" in str(bert.locator(SAVE).get_attribute("title"))
    expect(bert.locator('[data-key="save as"]')).to_be_disabled()
    contains(bert, "#editor-files", "bert is a reader")
    bert.keyboard.press("Control+s")
    # a browser does what its user wants: the button is only a courtesy
    bert.evaluate("place => { document.querySelector(place).disabled = false; }", SAVE)
    bert.click(SAVE)
    contains(bert, "#messages", "bert is a reader")
    assert 'name = "Bridge of Anna"' in team.file.read_text()
    assert len(team.lines()) == 1
    # what Bert left is not offered to Anna, nor what he sees shown to her
    expect(anna.locator("#title h1")).to_have_text("Bridge of Anna")


def test_who_is_made_a_reader_cannot_save_what_is_open(team: Team):
    anna = team.editing("anna")
    typed(anna, NAME, "Too late")
    unsaved(anna)
    before = team.file.read_text()
    team.write(anna="reader", bert="reader")
    anna.click(SAVE)
    contains(anna, "#messages", "anna is a reader")
    assert team.file.read_text() == before
    assert team.lines() == []


def test_who_is_taken_out_is_shown_the_door(team: Team):
    anna = team.editing("anna")
    typed(anna, NAME, "Too late")
    unsaved(anna)
    before = team.file.read_text()
    team.write(bert="reader")
    anna.click(SAVE)
    anna.wait_for_url("**/sign-in")  # the page asks for itself again, and is shown the way
    assert team.file.read_text() == before
    assert team.lines() == []


def test_what_a_page_of_anna_sent_is_not_taken_from_bert(team: Team):
    """Bert knows the number of her page, and sends from his browser what hers would."""
    sent: list[str] = []
    anna = team.sign_in("anna")
    anna.on(
        "websocket",
        lambda socket: socket.on(
            "framesent", lambda data: sent.append(data) if isinstance(data, str) else None
        ),
    )
    assert team.server is not None
    anna.goto(f"{team.server.address}bridge?file=truss.toml&page=editor")
    anna.wait_for_selector(NAME)
    typed(anna, NAME, "Bridge of Anna")
    unsaved(anna)
    team.write(anna="reader", bert="editor")  # so that hers is refused and told over the wire
    anna.click(SAVE)
    contains(anna, "#messages", "anna is a reader")
    team.write(anna="editor", bert="reader")
    saves = [told for told in sent if told.startswith("42") and "save" in told]
    assert saves, "the message of the button was seen"
    name, message = json.loads(saves[-1].lstrip("0123456789"))
    assert name == "event"

    bert = team.editing("bert")
    with bert.expect_navigation():  # his own page is cut off and comes again
        bert.evaluate("told => window.socket.emit('event', told)", message)
    bert.wait_for_selector(NAME)
    assert "Bridge of Anna" not in team.file.read_text()
    assert team.lines() == []
    # the same message from her own browser is taken: it was a good one
    anna.evaluate("told => window.socket.emit('event', told)", message)
    contains(anna, "#title", "(saved)")
    assert "Bridge of Anna" in team.file.read_text()


def test_signing_out_ends_the_cookie(team: Team):
    anna = team.sign_in("anna")
    contains(anna, "#tools", "anna, editor")
    cookies = anna.context.cookies()
    anna.click("#tools form button")
    anna.wait_for_selector("#token")
    again = team.page()
    again.context.add_cookies(cookies)
    assert team.server is not None
    again.goto(team.server.address)
    again.wait_for_selector("#token")


def test_who_signs_in_anew_goes_on_at_the_same_desk(team: Team):
    anna = team.editing("anna")
    typed(anna, NAME, "Bridge of Anna")
    unsaved(anna)
    assert team.server is not None
    anna.goto(team.server.address)
    anna.click("#tools form button")
    anna.fill("#token", team.tokens["anna"])
    anna.click("button[type=submit]")
    contains(anna, "#title h1", "Stock of bridges")
    anna.goto(f"{team.server.address}bridge?file=truss.toml&page=editor")
    expect(anna.locator(NAME)).to_have_value("Bridge of Anna")
    anna.click(SAVE)
    contains(anna, "#title", "(saved)")
    assert 'name = "Bridge of Anna"' in team.file.read_text()
    # Bert in the same tab has a desk of his own
    anna.goto(team.server.address)
    anna.click("#tools form button")
    anna.fill("#token", team.tokens["bert"])
    anna.click("button[type=submit]")
    contains(anna, "#tools", "bert, reader")
    anna.goto(f"{team.server.address}bridge?file=truss.toml&page=editor")
    contains(anna, "#editor-files", "bert is a reader")
    expect(anna.locator('[data-key="tool-undo"]')).to_be_disabled()


#: Words that a browser would run if a page took them for more than words.
_WORDS = "<img src=x onerror='window.taken=1'>"


def test_words_of_a_bridge_file_run_nothing_in_the_browsers_of_others(team: Team):
    """Whoever may change a file must not be whoever reads it."""
    text = team.file.read_text()
    for name in (
        "Road truss over the Velm", "example truss", "slab cast", "fixed at A2",
        "rockers at A1, rockers on rollers at A2",
    ):  # fmt: skip
        assert f'"{name}"' in text
        text = text.replace(f'"{name}"', f'"{name[:9]} {_WORDS}"')
    team.file.write_text(text)
    bert = team.sign_in("bert")
    assert team.server is not None
    told: list[str] = []
    bert.on("pageerror", lambda error: told.append(str(error)))
    bert.goto(f"{team.server.address}bridge?file=truss.toml")
    contains(bert, "#title h1", "<img src=x")
    for word in PAGES:
        to(bert, word)
        assert bert.evaluate("() => window.taken") is None, word
    anna = team.sign_in("anna")
    anna.click('[data-do="work"]')  # a reader's is off
    contains(anna, "main", "Road trus <img src=x")
    for page in (anna, bert):
        for address in ("", "results?file=truss.toml"):
            page.goto(f"{team.server.address}{address}")
            contains(page, "body", "<img src=x")
            assert page.evaluate("() => window.taken") is None
    assert told == []


def test_changes_are_shown_and_everybody_can_read_them(team: Team):
    anna = team.editing("anna")
    typed(anna, NAME, "Bridge of Anna")
    unsaved(anna)
    anna.click(SAVE)
    contains(anna, "#title", "(saved")
    bert = team.sign_in("bert")
    bert.click('#tools a[href="/changes"]')
    contains(bert, "#counted", "1 change")
    contains(bert, ".changes tbody", "anna")
    bert.click(".changes summary")
    contains(bert, ".changes ins", '+name = "Bridge of Anna"')
    for theme in ("light", "dark"):
        themed(bert, theme)
        usable_by_everybody(bert)
    fits(bert, 640, 400)
    bert.click('.changes a[href="/changes?file=truss.toml"]')
    contains(bert, "#title small", "truss.toml")


# ---------------------------------------------------------------- what others change
def test_what_others_save_is_told_where_the_file_is_open(team: Team):
    """A page that shows what is no longer on the disk must not be taken for the file."""
    anna, bert = team.editing("anna"), team.editing("bert")
    typed(anna, NAME, "Bridge of Anna")
    unsaved(anna)
    anna.click(SAVE)
    contains(anna, "#title", "(saved)")
    contains(bert, "#messages", "truss.toml was changed on disk by anna, ")
    contains(bert, "#messages", "you see it as it was before")
    expect(bert.locator(NAME)).to_have_value("Road truss over the Velm")  # nothing unasked
    bert.click("text=Take the file on disk")
    expect(bert.locator(NAME)).to_have_value("Bridge of Anna")
    contains(bert, "#title", "(saved; read only)")
    expect(bert.locator("#messages button")).to_have_count(0)
    assert anna.locator("#messages button").count() == 0  # her own change is no news to her


def test_what_is_not_saved_here_stays_when_others_save_and_a_page_opened_anew_shows_theirs(
    team: Team,
):
    team.tokens["carla"] = new_token()
    team.write(anna="editor", bert="reader", carla="editor")
    carla, anna, bert = team.editing("carla"), team.editing("anna"), team.editing("bert")
    typed(carla, NAME, "Bridge of Carla")
    unsaved(carla)
    typed(anna, NAME, "Bridge of Anna")
    unsaved(anna)
    anna.click(SAVE)
    contains(anna, "#title", "(saved)")
    contains(carla, "#messages", "by anna, ")
    contains(carla, "#messages", "what you changed is not saved")
    carla.click("#messages >> text=Close")
    carla.click(SAVE)  # and saving asks, as ever
    contains(carla, "#messages", "Overwrite with mine")
    contains(carla, "#messages", "Changed by anna, ")
    assert 'name = "Bridge of Anna"' in team.file.read_text()
    # nothing was changed at Bert's desk: opened anew it is the file as it is
    bert.reload()
    bert.wait_for_selector(NAME)
    expect(bert.locator(NAME)).to_have_value("Bridge of Anna")
    # and hers still is her own
    carla.reload()
    carla.wait_for_selector(NAME)
    expect(carla.locator(NAME)).to_have_value("Bridge of Carla")
    unsaved(carla)
