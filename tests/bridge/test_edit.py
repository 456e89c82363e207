import difflib
from collections.abc import Callable
from pathlib import Path

import pytest

from bedstone.bridge import parse_bridge, read_bridge
from bedstone.bridge.edit import change_text, edit
from bedstone.bridge.templates import template
from bedstone.errors import InputError

GIRDERS = template("girders")
LayOut = Callable[..., Path]


def difference(before: str, after: str) -> list[str]:
    lines = difflib.unified_diff(before.splitlines(), after.splitlines(), lineterm="", n=0)
    return [line for line in lines if line[:2] not in ("--", "++", "@@")]


@pytest.mark.parametrize(
    ("field", "value", "lines"),
    [
        ("support.P1.chainage", "30 m", ['-chainage = "32 m"', '+chainage = "30 m"']),
        ("support[2].chainage", "30 m", ['-chainage = "32 m"', '+chainage = "30 m"']),
        (
            "actions.wind.speed",
            "30 m/s",
            [
                '-speed = "26 m/s"               # basic speed; or pressure = "1.2 kPa"',
                '+speed = "30 m/s"               # basic speed; or pressure = "1.2 kPa"',
            ],
        ),
        (
            "superstructure.type",
            "steel",
            [
                '-type = "composite"             # steel, composite or concrete',
                '+type = "steel"             # steel, composite or concrete',
            ],
        ),
        ('stage."slab cast".carries', "long", ['-carries = "steel"', '+carries = "long"']),
        ("stage[3].loads[1].value", "3 kPa", ['-value = "2.6 kN/m2"', '+value = "3 kPa"']),
        (
            "arrangement.supports.A1",
            "free",
            ['-A1 = ["free", "guided along", "free", "free"]', '+A1 = "free"'],
        ),
        ("arrangement.supports.P1[2]", "guided along", None),
        ("bridge.note", "ours", ['+note = "ours"']),
        ("bridge.reference", None, ['-reference = "example 1"']),
        (
            "arrangement.seats.A1-1.function",
            "none",
            ["+", "+[arrangement.seats.A1-1]", '+function = "none"'],
        ),
    ],
)
def test_one_change_leaves_all_other_lines(
    field: str, value: object, lines: list[str] | None
) -> None:
    changed = change_text(GIRDERS, {field: value})
    if lines is None:
        lines = [
            '-P1 = ["guided across", "fixed", "guided across", "guided across"]',
            '+P1 = ["guided across", "guided along", "guided across", "guided across"]',
        ]
    assert difference(GIRDERS, changed) == lines
    parse_bridge(changed)


def test_the_file_is_changed_and_the_bridge_returned(lay_out: LayOut) -> None:
    path = lay_out("frame")
    bridge = edit(path, {"support.A2.chainage": "28 m", "bridge.name": "New name"})
    assert bridge.bridge.name == "New name"
    assert read_bridge(path) == bridge
    assert path.read_text().count("#") == template("frame").count("#")


def test_a_comment_behind_a_value_stays(lay_out: LayOut) -> None:
    path = lay_out("truss")
    edit(path, {"superstructure.spacing": "5.8 m"})
    assert 'spacing = "5.8 m"              # between the two trusses\n' in path.read_text()


def test_windows_line_ends_stay(lay_out: LayOut) -> None:
    path = lay_out("truss")
    path.write_bytes(path.read_bytes().replace(b"\n", b"\r\n"))
    edit(path, {"superstructure.spacing": "5.8 m"})
    assert path.read_bytes().count(b"\r\n") == template("truss").count("\n")
    assert path.read_bytes().count(b"\n") == template("truss").count("\n")


@pytest.mark.parametrize(
    ("changes", "where"),
    [
        ({"support.P1.chainage": "30 kg"}, "support P1: chainage"),
        ({"support.P1.chainage": 30}, "support P1: chainage"),
        ({"support.P1.chainage": "90 m"}, "support A2: chainage"),
        ({"support.P1.chainge": "30 m"}, "support P1: chainge"),
        ({"bridge.name": None}, "bridge.name"),
        ({"arrangement.supports.A1": ["free"]}, "arrangement.supports.A1"),
        ({"support.P9.chainage": "30 m"}, "support.P9.chainage"),
        ({"support[9].chainage": "30 m"}, "support[9].chainage"),
        ({"stage[0].name": "a"}, "stage[0].name"),
        ({"bridge.name.x": 1}, "bridge.name.x"),
        ({"bridge.nme": None}, "bridge.nme"),
        ({"a..b": 1}, "a..b"),
        ({"": 1}, "field"),
        ({"bridge.name": object()}, "bridge.name"),
    ],
)
def test_a_wrong_change_changes_nothing(
    lay_out: LayOut, changes: dict[str, object], where: str
) -> None:
    path = lay_out("girders")
    with pytest.raises(InputError) as caught:
        edit(path, changes)
    assert [fault.where for fault in caught.value.faults] == [where]
    assert path.read_text() == GIRDERS
    assert [entry.name for entry in path.parent.iterdir()] == ["girders.toml"]


def test_every_wrong_field_is_told() -> None:
    with pytest.raises(InputError) as caught:
        change_text(GIRDERS, {"support.P9.skew": "1 deg", "bridge.name": "x", "stage[7].name": "x"})
    assert len(caught.value.faults) == 2


def test_text_that_is_no_toml() -> None:
    with pytest.raises(InputError, match="valid TOML"):
        change_text("a = [", {"a": 1})
