"""Whatever a file holds, reading it ends in a bridge or in an `InputError` with plain faults."""

import random
import tomllib
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bedstone.bridge import parse_bridge, read_bridge
from bedstone.bridge.edit import change_text
from bedstone.bridge.reader import where
from bedstone.bridge.templates import KINDS, template, template_files
from bedstone.errors import Fault, InputError

VALUES = [
    "0", "-1", "1e308", "-1e400", "nan", "inf", "9" * 400, "true", '""', '" "', '"m"', '"1e308 m"',
    '"1e-320 m"', '"nan m"', '"48 kg"', '"1 m"', '"-1 m"', '"90 deg"', '"\\u0000"', "[]",
    "{}", "[[]]", '["1 m"]', "[nan]", '{ kind = "springs" }', '{ kind = "column" }', "{ kind = 3 }",
    '{ kind = [] }', '{ kind = "springs", matrix = [[1e200]] }', "1979-05-27", "07:32:00",
    '"girders"', '"truss"', '"frame"', '"elastic"', '"P1"', '"../x"', "'''\n'''", "0x" + "f" * 300,
    "[" * 40 + "]" * 40, "{ a = " * 40 + "1" + "}" * 40,
]  # fmt: skip
LINES = [
    "[bridge]", "[[support]]",
    "[superstructure]", "[[stage]]", "[arrangement.seats.A1-1]", "[a.b.c]",
    "]", "=", '"""', "x.y = 1", "\ufeff", "\x00", "[superstructure.sections.a]",
    "[[stage.loads]]", "[values.x]", "[choices]",
    ".".join("a" * 400) + " = 1",
]  # fmt: skip


def check(read: Callable[[], object]) -> bool:
    """Whether it reads; a fault must say where, what and what else, on one line each."""
    faults: tuple[Fault, ...] = ()
    try:
        read()
        return True
    except InputError as error:
        faults = error.faults
    assert faults
    for fault in faults:
        for text in (fault.file, fault.where, fault.found, fault.allowed):
            assert text.strip()
            assert "\n" not in text
        assert len(fault.where) < 400
        assert len(fault.found) < 200
        assert len(fault.allowed) < 1000
    return False


def mutated(text: str, chance: random.Random) -> str:
    """Change a text in one to four places, as slips and as damage do."""
    for _ in range(chance.choice((1, 1, 2, 4))):
        lines = text.splitlines() or [""]
        at = chance.randrange(len(lines))
        what = chance.randrange(8)
        if what == 0:
            del lines[at]
        elif what == 1:
            lines.insert(at, lines[chance.randrange(len(lines))])
        elif what == 2:
            other = chance.randrange(len(lines))
            lines[at], lines[other] = lines[other], lines[at]
        elif what == 3:
            key = lines[at].split("=")[0].strip() if "=" in lines[at] else "x"
            lines[at] = f"{key} = {chance.choice(VALUES)}"
        elif what == 4:
            lines.insert(at, chance.choice(LINES))
        elif what == 5 and lines[at]:
            place = chance.randrange(len(lines[at]))
            lines[at] = lines[at][:place] + chr(chance.randrange(1, 400)) + lines[at][place + 1 :]
        elif what == 6:
            lines = lines[:at]
        elif what == 7 and "=" in lines[at]:
            others = [line for line in lines if "=" in line]
            key = lines[at].split("=")[0]
            lines[at] = key + "=" + chance.choice(others).split("=", 1)[1]
        text = "\n".join(lines)
    return text


def stripped(kind: str) -> str:
    """A template without comments: every change then hits something that is read."""
    lines = (line.split(" #")[0].rstrip() for line in template(kind).splitlines())
    return "\n".join(line for line in lines if line and line[0] != "#")


@pytest.mark.parametrize("kind", KINDS)
def test_damaged_templates(kind: str) -> None:
    text, chance = stripped(kind), random.Random(kind)
    good = sum(check(lambda: parse_bridge(mutated(text, chance))) for _ in range(700))
    assert 0 < good < 700  # the damage is neither harmless nor total


def places(data: object, path: tuple[str | int, ...] = ()) -> Iterator[tuple[str | int, ...]]:
    """Every field of a file."""
    if isinstance(data, dict):
        for key, value in data.items():
            yield (*path, key)
            yield from places(value, (*path, key))
    elif isinstance(data, list):
        for index, value in enumerate(data):
            yield (*path, index)
            yield from places(value, (*path, index))


def written(path: tuple[str | int, ...]) -> str:
    return "".join(f"[{s + 1}]" if isinstance(s, int) else f'."{s}"' for s in path).lstrip(".")


@pytest.mark.parametrize("kind", KINDS)
def test_every_field_with_every_wrong_kind_of_value(kind: str) -> None:
    text = stripped(kind)
    wrong = [None, True, -1, 10**300, float("nan"), "", "x", "-1e308 m", [], [1], {}, {"kind": "x"}]
    chance = random.Random(kind)
    for path in places(tomllib.loads(text)):
        value = chance.choice(wrong)
        check(
            lambda path=path, value=value: parse_bridge(change_text(text, {written(path): value}))
        )


@given(st.text(max_size=300))
def test_any_text(text: str) -> None:
    assert not check(lambda: parse_bridge(text))


@given(data=st.binary(max_size=300))
def test_any_bytes(data: bytes, tmp_path_factory: pytest.TempPathFactory) -> None:
    path = tmp_path_factory.getbasetemp() / "bytes.toml"
    path.write_bytes(data)
    assert not check(lambda: read_bridge(path))


@pytest.mark.parametrize("kind", ["frame", "reactions"])
def test_damaged_tables(kind: str, tmp_path: Path) -> None:
    path = tmp_path / f"{kind}.toml"
    path.write_text(template(kind))
    files = template_files(kind)
    for name, text in files.items():
        (tmp_path / name).write_text(text)
    chance = random.Random(kind)
    for _ in range(300):
        name = chance.choice(sorted(files))
        damaged = mutated_table(files[name], chance)
        (tmp_path / name).write_bytes(damaged)
        check(lambda: read_bridge(path))
        (tmp_path / name).write_text(files[name])


CELLS = ["", "-1", "0", "nan", "1e999", "x", '"', '"a,b"', ",", "9" * 500, "\x00", "[m]", "#", "é"]


def mutated_table(text: str, chance: random.Random) -> bytes:
    lines = text.splitlines()
    for _ in range(chance.choice((1, 2, 5))):
        at = chance.randrange(len(lines))
        cells = lines[at].split(",")
        what = chance.randrange(6)
        if what == 0 and len(lines) > 1:
            del lines[at]
        elif what == 1:
            lines.insert(at, lines[chance.randrange(len(lines))])
        elif what == 2:
            cells[chance.randrange(len(cells))] = chance.choice(CELLS)
            lines[at] = ",".join(cells)
        elif what == 3:
            chance.shuffle(cells)
            lines[at] = ",".join(cells)
        elif what == 4:
            lines = lines[: at + 1]
        else:
            data = bytearray("\n".join(lines).encode())
            data[chance.randrange(len(data))] = chance.randrange(256)
            return bytes(data)
    return "\n".join(lines).encode()


@given(
    st.recursive(st.none() | st.text(max_size=3), lambda inner: st.lists(inner, max_size=3)),
    st.lists(st.integers(0, 5) | st.text(max_size=20), max_size=6),
)
def test_any_path_has_words(data: object, path: list[str | int]) -> None:
    assert where(data, path).strip()
