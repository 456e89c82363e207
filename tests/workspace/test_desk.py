"""The desk: changes keep comments, numbers are those of the engine, nothing saved is lost."""

import dataclasses
import threading
from pathlib import Path

import numpy as np
import pytest

from bedstone.articulation.prepared import prepare
from bedstone.bridge import arrangement_functions, parse_bridge, read_bridge
from bedstone.bridge.edit import change_text
from bedstone.comparison.screen import Screen
from bedstone.errors import InputError
from bedstone.workspace import autosave
from bedstone.workspace.desk import Desk, StaleError


def test_change_of_a_bearing_gives_the_numbers_of_the_engine(truss: Path):
    desk = Desk.open(truss)
    assert desk.look is not None
    assert desk.set_function("A1-2", "free")
    found = desk.look
    assert found is not None
    # the engine by itself: the file as it was for the traffic, then the changed bearings
    screen = Screen(prepare(read_bridge(truss)), "eurocode")
    changed = parse_bridge(desk.text)
    other = screen.look(
        screen.prepared.bridge.model_copy(update={"arrangement": changed.arrangement})
    )
    np.testing.assert_allclose(found.value, other.value, rtol=1e-9, atol=1e-9)
    assert desk.before is not None
    np.testing.assert_allclose(desk.before.value, screen.look().value, rtol=1e-9, atol=1e-9)


def test_text_keeps_its_comments_and_says_what_is_shown(truss: Path):
    desk = Desk.open(truss)
    desk.set_function("A1-2", "free")
    desk.set_function("A2-1", direction="square")
    desk.set_function("A2-2", kind="spherical")
    text = desk.text
    before = [line for line in truss.read_text().splitlines() if line.lstrip().startswith("#")]
    after = [line for line in text.splitlines() if line.lstrip().startswith("#")]
    assert after == before
    assert 'A1 = ["fixed", "free"]' in text
    assert arrangement_functions(parse_bridge(text)) == desk.functions
    assert desk.functions["A2-1"].direction == "square"
    assert desk.functions["A2-2"].kind == "spherical"


def test_stops_go_with_the_function_that_had_them(tmp_path: Path, truss: Path):
    text = truss.read_text() + (
        '\n[arrangement.seats.A2-1]\nfunction = "guided along"\ntravel = { back = "90 mm" }\n'
    )
    truss.write_text(text)
    desk = Desk.open(truss)
    desk.set_function("A2-1", "fixed")
    assert desk.functions["A2-1"].travel is None
    assert any("travel" in note for note in desk.notes)
    assert arrangement_functions(parse_bridge(desk.text)) == desk.functions


def test_unstable_arrangement_is_told_in_words_and_undone(truss: Path):
    desk = Desk.open(truss)
    first = desk.look
    desk.set_function("A1-1", "guided across")
    desk.set_function("A2-1", "free")
    assert desk.look is None
    assert "slides freely across the bridge" in desk.motion
    desk.undo()
    desk.undo()
    assert desk.motion == ""
    assert desk.look is first
    assert not desk.changed
    desk.redo()
    assert desk.functions["A1-1"].function == "guided across"


def test_file_that_does_not_stand_when_opened(truss: Path):
    truss.write_text(truss.read_text().replace('A1 = ["fixed",', 'A1 = ["free",', 1).replace(
        '"guided across"]', '"free"]', 1))  # fmt: skip
    desk = Desk.open(truss)
    assert desk.look is None
    assert desk.motion
    desk.set_function("A1-1", "fixed")
    assert desk.look is not None


def test_wrong_unit_changes_nothing_and_names_the_field(truss: Path):
    desk = Desk.open(truss)
    with pytest.raises(InputError) as told:
        desk.edit(desk.text.replace('chainage = "0 m"', 'chainage = "0 kN"', 1))
    assert "chainage" in str(told.value)
    assert not desk.can_undo


def test_unknown_seat_and_kind_are_refused(truss: Path):
    desk = Desk.open(truss)
    with pytest.raises(InputError, match="A1-1"):
        desk.set_function("Q9-1", "fixed")
    assert not desk.set_function("A1-1", "fixed"), "the function it has already"


def test_stale_file_is_not_overwritten(truss: Path):
    mine, other = Desk.open(truss), Desk.open(truss)
    other.set_function("A1-2", "free")
    other.save()
    mine.set_function("A1-2", "guided along")
    with pytest.raises(StaleError) as told:
        mine.save()
    assert truss.read_text() == other.text == told.value.theirs
    assert told.value.mine == mine.text
    own = mine.text
    mine.take_theirs()
    assert mine.text == other.text
    assert not mine.changed
    mine.undo()
    assert mine.text == own, "the own text can be had back"
    mine.save()
    assert truss.read_text() == own


def test_saved_under_another_name(truss: Path):
    desk = Desk.open(truss)
    desk.set_function("A1-2", "free")
    target = truss.with_name("other.toml")
    desk.save(target)
    assert target.read_text() == desk.text
    assert desk.path == target
    assert not desk.changed
    truss.unlink()
    left = Desk.open(target)
    left.set_function("A1-2", "guided across")
    target.unlink()
    with pytest.raises(StaleError):
        left.save()
    left.save(force=True)
    assert target.exists()


def test_killed_program_loses_no_edit(truss: Path, monkeypatch: pytest.MonkeyPatch):
    desk = Desk.open(truss)
    desk.set_function("A1-2", "free")
    desk.autosave()
    assert Desk.open(truss).left() == (), "the desk is at work still"
    monkeypatch.setattr(autosave, "_RUN", "another run")  # as after a restart
    again = Desk.open(truss)
    (kept,) = again.left()
    assert kept.text == desk.text
    again.recover(kept)
    assert again.functions["A1-2"].function == "free"
    assert again.changed
    assert again.left() == ()
    again.save()
    assert list(autosave.folder().glob("*.json")) == []


def test_edits_that_are_thrown_away_are_not_offered_again(truss: Path):
    desk = Desk.open(truss)
    desk.set_function("A1-2", "free")
    desk.autosave()
    desk.close()
    other = Desk.open(truss)
    (kept,) = other.left()
    other.forget(kept)
    assert other.left() == ()


def test_damaged_kept_edits_are_passed_over(truss: Path):
    desk = Desk.open(truss)
    desk.set_function("A1-2", "free")
    desk.autosave()
    desk.close()
    (file,) = autosave.folder().glob("*.json")
    for text in ("", "[]", "{}", '{"path": 1}', file.read_text()[:-40]):
        file.write_text(text)
        assert Desk.open(truss).left() == ()


def test_superstructure_is_condensed_once_for_all_desks(truss: Path):
    first, second = Desk.open(truss), Desk.open(truss)
    second.set_function("A1-2", "free")
    assert first.screen is second.screen
    assert first.prepared.condensed is second.prepared.condensed
    third = Desk.open(truss)
    changes = {"actions.temperature.air_max": "30 degC"}
    third.edit(change_text(third.text, changes))
    assert third.screen is not first.screen, "other actions give other envelopes"


def test_families_beside_each_other(truss: Path):
    desk = Desk.open(truss)
    eurocode = desk.look
    desk.use("irc")
    assert desk.look is not None
    assert eurocode is not None
    assert not np.array_equal(desk.look.value.max(axis=0), eurocode.value.max(axis=0))


def test_watchers_are_told_until_they_end(truss: Path):
    desk = Desk.open(truss)
    told: list[int] = []
    end = desk.watch(lambda: told.append(1))
    desk.set_function("A1-2", "free")
    end()
    desk.undo()
    assert told == [1]


def test_templates_open(tmp_path: Path):
    desk = Desk.from_template("girders", tmp_path)
    assert desk.changed
    with pytest.raises(InputError, match="name"):
        desk.save()
    desk.save(tmp_path / "new.toml")
    assert dataclasses.is_dataclass(desk.look)


def test_numbers_of_a_file_do_not_depend_on_what_was_open_before(railway: Path):
    other = railway.with_name("other.toml")
    desk = Desk.open(railway)
    desk.set_function("A1-2", "fixed")
    assert desk.look is not None
    desk.save(other)
    reopened = Desk.open(other)
    assert reopened.screen is not desk.screen
    bridge = read_bridge(other)
    alone = Screen(prepare(bridge), "eurocode").look()
    assert reopened.look is not None
    np.testing.assert_allclose(reopened.look.value, alone.value, rtol=1e-9, atol=1e-9)


def test_change_of_a_bearing_needs_no_loads_again_and_other_actions_do(truss: Path):
    desk = Desk.open(truss)
    assert not desk.looked, "the loads are not worked out yet"
    assert desk.look is not None
    screen = desk.screen
    desk.set_function("A1-2", "free")
    assert desk.looked
    assert desk.screen is screen
    desk.use("irc")
    assert not desk.looked, "another family has loads of its own"
    assert desk.screen is not screen
    desk.use("eurocode")
    assert desk.screen is screen
    desk.edit(change_text(desk.text, {"actions.temperature.air_max": "30 degC"}))
    assert not desk.looked
    assert desk.screen is not screen


def test_bearings_follow_the_text(truss: Path):
    desk = Desk.open(truss)
    first = desk.functions
    desk.set_function("A1-2", "free")
    assert first["A1-2"].function != desk.functions["A1-2"].function == "free"
    desk.undo()
    assert desk.functions == first


def test_nothing_waits_for_a_look_under_way(truss: Path, monkeypatch: pytest.MonkeyPatch):
    desk = Desk.open(truss)
    begun, go_on = threading.Event(), threading.Event()
    look = Screen.look

    def slow(self: Screen, *given):
        begun.set()
        assert go_on.wait(300.0)
        return look(self, *given)

    monkeypatch.setattr(Screen, "look", slow)
    found = []
    thread = threading.Thread(target=lambda: found.append(desk.look))
    thread.start()
    try:
        assert begun.wait(300.0)
        assert not desk.changed
        assert desk.set_function("A1-2", "free")
        assert desk.changed
        assert desk.text != truss.read_text()
    finally:
        go_on.set()
        thread.join(300.0)
    first = found[0]
    assert first is not None
    assert desk.before is first, "the look that was under way when the change came"
    assert desk.look is not first


def test_a_desk_knows_that_its_file_was_changed_elsewhere(truss: Path):
    desk = Desk.open(truss)
    assert desk.theirs() is None
    text = desk.read.replace("Road truss", "Other truss")
    truss.write_text(text, encoding="utf-8")
    assert desk.theirs() == text
    desk.take_theirs()
    assert desk.theirs() is None
    desk.edit(text + "# mine\n")
    assert desk.theirs() is None  # changed here alone
    desk.save()
    assert desk.theirs() is None
    truss.unlink()
    assert desk.theirs() is None  # told when it is saved
    assert Desk.from_template("truss", truss.parent).theirs() is None
