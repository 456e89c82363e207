"""A team at the pages: whose page it is, what each left, how much at once; readings of a record."""

from __future__ import annotations

import asyncio
import datetime as dt
import re
from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from nicegui import Client, core
from team_cases import House, put, read

from bedstone.errors import InputError
from bedstone.site.reading_files import FilledForm, Visit
from bedstone.site.readings import Reading
from bedstone.site.record import current_readings, open_record
from bedstone.workspace import autosave
from bedstone.workspace.desk import Desk, StaleError
from bedstone.workspace.engine import Engine
from bedstone.workspace.pages import site_check
from bedstone.workspace.people import Person, RefusedError, RoleError
from bedstone.workspace.team import bind_pages, owned, owner_of, pages_open


@pytest.fixture
def house(tmp_path: Path) -> House:
    return House(tmp_path)


def scope(house: House, who: str) -> dict[str, Any]:
    """A request of somebody, as the guard lets it through."""
    role = house.people.team.people[who]
    return {
        "headers": [
            (b"host", b"localhost"),
            (b"authorization", f"Bearer {house.tokens[who]}".encode()),
        ],
        "client": ("192.0.2.7", 1),
        "bedstone.person": role,
    }


def desk(house: House, who: str) -> Desk:
    return Desk.open(house.folder / "truss.toml", house.service.writer(scope(house, who)))


def renamed(own: Desk, name: str) -> str:
    line = next(line for line in own.text.splitlines() if line.startswith("name = "))
    text = own.text.replace(line, f'name = "{name}"', 1)
    own.edit(text)
    return text


# ------------------------------------------------------------------ desks
def test_a_desk_saves_by_its_writer_and_the_journal_tells(house: House):
    own = desk(house, "anna")
    text = renamed(own, "A")
    own.save()
    assert (house.folder / "truss.toml").read_text() == text
    (change,) = house.service.journal.read().changes
    assert (change.who, change.file) == ("anna", "truss.toml")


def test_a_reader_tries_on_a_desk_and_saves_nothing(house: House):
    before = house.everything()
    own = desk(house, "bert")
    renamed(own, "B")
    assert own.bridge.bridge.name == "B"
    own.undo()
    own.redo()
    for save in (own.save, lambda: own.save(force=True), lambda: own.save(house.folder / "c.toml")):
        with pytest.raises(RoleError, match="bert is a reader"):
            save()
    assert house.everything() == before
    assert own.changed, "what was tried is still there"


def test_of_two_desks_the_second_is_told_that_the_file_changed(house: House):
    first, second = desk(house, "anna"), desk(house, "carla")
    renamed(first, "A")
    renamed(second, "C")
    first.save()
    with pytest.raises(StaleError):
        second.save()
    second.save(force=True)  # she was told, and wants hers
    told = house.service.journal.read().changes
    assert [change.who for change in told] == ["anna", "carla"]
    assert told[1].before == told[0].after


def test_what_one_left_is_not_offered_to_another(house: House):
    anna, bert = desk(house, "anna"), desk(house, "bert")
    for own, name in ((anna, "A"), (bert, "B")):
        renamed(own, name)
        own.autosave()
        own.close()
    for who, name in (("anna", "A"), ("bert", "B")):
        (kept,) = desk(house, who).left()
        assert f'name = "{name}"' in kept.text
        assert kept.who == who
    assert desk(house, "carla").left() == ()
    # nor where a file has come under the name of another's
    (theirs,) = (
        file for file in autosave.folder().iterdir() if '"who": "bert"' in file.read_text()
    )
    (hers,) = (file for file in autosave.folder().iterdir() if '"who": "anna"' in file.read_text())
    strange = hers.name.partition("-")[0] + "-0f.json"
    hers.with_name(strange).write_text(theirs.read_text().replace(theirs.stem[17:], "0f"))
    assert [kept.who for kept in desk(house, "anna").left()] == ["anna"]
    hers.with_name(strange).unlink()
    assert autosave.left(house.folder / "truss.toml") == ()
    own = desk(house, "bert")
    own.recover(own.left()[0])
    assert own.bridge.bridge.name == "B"
    with pytest.raises(RoleError):
        own.save()


def test_a_writer_may_not_save_a_desk_out_of_the_folder(house: House, tmp_path: Path):
    own = desk(house, "anna")
    renamed(own, "A")
    for target in (tmp_path / "out.toml", house.team, house.folder / ".git.toml"):
        with pytest.raises(InputError):
            own.save(target, force=True)
    assert house.lines() == []


# ------------------------------------------------------------------ readings
def form(file: str = "a.csv") -> FilledForm:
    at = dt.datetime(2026, 5, 6, 7, 8, tzinfo=dt.UTC)
    reading = Reading("A1-1", "offset along", "", 0.003, "", at, 12.0, "B. Reader", "rule", file, 3)
    visit = Visit(
        who="B. Reader", weather="", taken="", steel=12.0, air=None, zone="UTC", remark=""
    )
    return FilledForm(file, file.encode().hex().ljust(64, "0"), visit, (reading,), {}, ())


def keep(house: House, who: str, filled: FilledForm) -> str:
    record = house.folder / "truss.readings.duckdb"
    writer = house.service.writer(scope(house, who))
    return site_check._keep(writer, record, "Truss", filled, "A1-1")


def test_readings_are_kept_by_an_editor_and_told(house: House):
    keep(house, "anna", form())
    record = house.folder / "truss.readings.duckdb"
    assert [reading.value for reading in current_readings(record)] == [0.003]
    first, second = house.service.journal.read().changes
    assert (first.who, first.what, first.file) == ("anna", "readings", record.name)
    (row,) = first.rows
    assert (row["seat"], row["quantity"], row["value"]) == ("A1-1", "offset along", 0.003)
    assert (row["batch"], row["who"]) == (1, "B. Reader")
    assert (second.what, second.of) == ("readings kept", 1)
    assert house.service.journal.since() == ()


def test_readings_are_not_kept_by_a_reader_nor_without_a_journal(house: House):
    before = house.everything()
    with pytest.raises(RoleError):
        keep(house, "bert", form())
    assert house.everything() == before
    keep(house, "anna", form())
    house.service.journal.head.write_text("{}")
    with pytest.raises(Exception, match="altered"):
        keep(house, "anna", form("b.csv"))
    with open_record(house.folder / "truss.readings.duckdb") as opened:
        assert len(opened.batches()) == 1


def test_readings_that_the_journal_cannot_take_are_not_in_the_record(
    house: House, monkeypatch: pytest.MonkeyPatch
):
    keep(house, "anna", form())

    def full(*given: Any, **told: Any) -> int:
        raise InputError([])

    with monkeypatch.context() as patched:
        patched.setattr(house.service.journal, "add", full)
        with pytest.raises(InputError):
            keep(house, "anna", form("b.csv"))
    assert len(current_readings(house.folder / "truss.readings.duckdb")) == 1


def test_readings_that_the_record_refuses_are_told_to_be_none(house: House):
    keep(house, "anna", form())
    with pytest.raises(InputError, match="batch 1"):
        keep(house, "anna", form())
    kinds = [change.what for change in house.service.journal.read().changes]
    assert kinds == ["readings", "readings kept"], "the record refused before anything was told"
    assert house.service.journal.read().broken == ()


# ------------------------------------------------------------------ pages
@pytest.fixture
def pages(house: House, monkeypatch: pytest.MonkeyPatch) -> dict[str, Any]:
    """Two pages of Anna and one of Bert, by number."""
    made = {
        number: SimpleNamespace(_request=SimpleNamespace(scope=scope(house, who)))
        for number, who in (("a1", "anna"), ("a2", "anna"), ("b1", "bert"))
    }
    made["none"] = SimpleNamespace(_request=None)
    monkeypatch.setattr(Client, "instances", made)
    return made


def test_pages_are_counted_by_person(pages: dict[str, Any]):
    assert [pages_open(name) for name in ("anna", "bert", "carla")] == [2, 1, 0]


def test_whose_page_or_socket_a_request_is_for(
    house: House, pages: dict[str, Any], monkeypatch: pytest.MonkeyPatch
):
    def asked(path: str, query: str = "") -> str | None:
        return owner_of({"path": path, "query_string": query.encode()})

    for number, name in (("a1", "anna"), ("b1", "bert"), ("none", None), ("x", None)):
        assert asked(f"/_nicegui/client/{number}/upload/7") == name
    sockets = {"s1": {"asgi.scope": scope(house, "anna")}, "s2": {}}
    monkeypatch.setattr(core.sio, "environ", sockets)
    place = "/_nicegui_ws/socket.io/"
    assert asked(place, "EIO=4&transport=polling&sid=s1") == "anna"
    assert asked(place, "sid=x&sid=s1") == "anna"
    assert asked(place, "sid=s2") is None
    assert asked(place, "EIO=4&transport=websocket") is None
    assert asked("/bridge", "sid=s1") is None


def test_what_is_sent_to_a_page_is_taken_from_its_person_alone(house: House, pages: dict[str, Any]):
    owned(house.service, scope(house, "anna"), "a1")
    owned(house.service, scope(house, "anna"), "x")  # no such page: nothing to take
    owned(house.service, scope(house, "anna"), None)
    for who, number in (("bert", "a1"), ("anna", "b1"), ("carla", "a2"), ("anna", "none")):
        with pytest.raises(RefusedError, match="somebody else"):
            owned(house.service, scope(house, who), number)
    anna = scope(house, "anna")
    house.write(without="anna")
    with pytest.raises(RefusedError):
        owned(house.service, anna, "a1")


def test_messages_without_end_are_refused(house: House, pages: dict[str, Any]):
    house.write("[limits]\nrequests_a_minute = 1\n")
    for _ in range(10):
        owned(house.service, scope(house, "anna"), "a1")
    with pytest.raises(RefusedError, match="too many"):
        owned(house.service, scope(house, "anna"), "a1")


def test_every_message_of_a_browser_is_asked_whose_it_is(
    house: House, pages: dict[str, Any], monkeypatch: pytest.MonkeyPatch
):
    heard: list[tuple[Any, ...]] = []
    sent: list[Any] = []

    def handler(name: str) -> Callable[..., Any]:
        async def waited(sid: str, *told: Any) -> str:
            heard.append((name, sid))
            return "done"

        def plain(sid: str, *told: Any) -> str:
            heard.append((name, sid))
            return "done"

        return plain if name == "event" else waited

    handlers = {name: handler(name) for name in core.sio.handlers["/"]}

    class Sockets:
        """Those of the library, as far as they are asked."""

        def __init__(self) -> None:
            self.handlers = {"/": handlers}

        def get_environ(self, sid: str) -> dict[str, Any]:
            return {"asgi.scope": scope(house, sid)}

        async def disconnect(self, sid: str) -> None:
            sent.append(sid)

        async def emit(self, *told: Any, **more: Any) -> None:
            pass

    # all kinds of message that the library takes, but for the end of a connection
    assert set(core.sio.handlers["/"]) == {
        "connect", "handshake", "event", "javascript_response", "ack", "log", "disconnect",
    }  # fmt: skip
    monkeypatch.setattr(core, "sio", Sockets())
    bind_pages(house.service)

    async def say(name: str, who: str) -> Any:
        if name == "connect":
            told = {
                "asgi.scope": scope(house, who),
                "QUERY_STRING": "implicit_handshake=true&client_id=a1",
            }
            return await handlers[name](who, told)
        return await handlers[name](who, {"client_id": "a1"})

    for name in set(handlers) - {"disconnect"}:
        assert asyncio.run(say(name, "anna")) == "done"
        assert heard.pop() == (name, "anna")
        assert asyncio.run(say(name, "bert")) is False
        assert heard == []
        if name != "connect":
            assert sent.pop() == "bert"


# ------------------------------------------------------------------ long works
def wait(seconds: float, *, progress: Any) -> str:
    return "done"


def test_works_of_one_person_at_the_pages_are_bounded():
    async def work() -> None:
        engine = Engine(workers=1)
        try:
            jobs = [engine.start(wait, 0.0, who="anna", most=2) for _ in range(3)]
            other = engine.start(wait, 0.0, who="bert", most=2)
            with pytest.raises(RefusedError, match="2 of your works"):
                await jobs[2].result()
            assert [await job.result() for job in (*jobs[:2], other)] == ["done"] * 3
            for _ in range(200):  # the last of them is counted off a moment after its answer
                try:
                    assert await engine.start(wait, 0.0, who="anna", most=1).result() == "done"
                    break
                except RefusedError:
                    await asyncio.sleep(0.05)
            else:
                pytest.fail("works that are done are still counted")
        finally:
            engine.close()

    asyncio.run(work())


def test_a_person_is_an_editor_only_by_that_word():
    assert Person("anna", "editor").writes
    assert not Person("anna", "reader").writes


def test_the_journal_tells_who_made_a_file_say_what_it_says(house: House):
    text, tag = read(house.client("anna"), "truss.toml")
    own = text + "# by anna\n"
    assert put(house.client("anna"), "truss.toml", own, tag).status_code == 200
    file = house.folder / "truss.toml"
    bert = house.service.writer(scope(house, "bert"))
    told = bert.changed_by(file, own)
    assert re.fullmatch(r"anna, \d{4}-\d\d-\d\d \d\d:\d\d UTC", told)
    # what came to the disk past the journal is nobody's, as is what nobody changed
    assert bert.changed_by(file, own + "# past it\n") == ""
    assert bert.changed_by(file, text) == ""
    girders = house.folder / "north" / "girders.toml"
    assert bert.changed_by(girders, girders.read_text(encoding="utf-8")) == ""
    # who is out hears of no names any more
    house.write(without="bert")
    with pytest.raises(RefusedError):
        bert.changed_by(file, own)
