from pathlib import Path

import pytest

from bedstone.bridge import parse_bridge, read_bridge
from bedstone.bridge.templates import template
from bedstone.errors import InputError

GIRDERS = template("girders")


def faults(text: str) -> list[tuple[str, str, str]]:
    with pytest.raises(InputError) as caught:
        parse_bridge(text, "ours.toml")
    assert all(fault.file == "ours.toml" for fault in caught.value.faults)
    return [(fault.where, fault.found, fault.allowed) for fault in caught.value.faults]


def changed(old: str, new: str) -> str:
    assert old in GIRDERS
    return GIRDERS.replace(old, new, 1)


def test_quantities_are_si_inside() -> None:
    bridge = parse_bridge(GIRDERS)
    column = bridge.support[1].below
    assert bridge.support[2].chainage == 64.0
    assert column.kind == "column"
    assert column.E == 33e9
    assert column.foundation.krx == 30e9
    assert bridge.stage[2].loads[0].value == 2600.0
    assert bridge.actions.temperature is not None
    assert bridge.actions.temperature.air_min == -18.0


@pytest.mark.parametrize(
    ("old", "new", "where", "found", "allowed"),
    [
        ('height = "7.5 m"', "", "support P1: below.height", "nothing", "this field is needed"),
        ('chainage = "32 m"', "chainage = 32", "support P1: chainage", "32", "write the unit"),
        ('mark = "P1"', 'mark = "P-1"', "support P-1: mark", "'P-1'", "1 to 12 letters"),
        ('mark = "P1"', "", "support[2].mark", "nothing", "needed"),
        ("count = 3", "count = 3.5", "support P1: below.count", "3.5", "whole number"),
        ("count = 3", "count = 0", "support P1: below.count", "0", "not less than 1"),
        ("count = 3", 'count = "three"', "support P1: below.count", "'three'", "whole number"),
        ('kx = "900 MN/m"', 'kx = "900 MN"', "support P1: below.foundation.kx", "'900 MN'", "kN/m"),
        (
            'kind = "girders"',
            'kind = "girder"',
            "superstructure.kind",
            "'girder'",
            "did you mean 'girders'?",
        ),
        ('kind = "girders"', "", "superstructure.kind", "nothing", "needed"),
        (
            'web_depth = "1250 mm"',
            'web_dept = "1250 mm"',
            "superstructure.sections.span.web_dept",
            "'1250 mm'",
            "did you mean 'web_depth'?",
        ),
        (
            'air_max = "37 degC"',
            'air_max = "37 degC"\nairmin = "3 degC"',
            "actions.temperature.airmin",
            "'3 degC'",
            "did you mean 'air_min'?",
        ),
        (
            'carries = "long"',
            'carries = "forever"',
            "stage finished: carries",
            "'forever'",
            "steel, long, short",
        ),
        (
            'A2 = ["free", "guided along", "free", "free"]',
            'A2 = ["free", "guided long", "free", "free"]',
            "arrangement.supports.A2[2]",
            "'guided long'",
            "did you mean 'guided along'?",
        ),
        (
            'A2 = ["free", "guided along", "free", "free"]',
            "A2 = 3",
            "arrangement.supports.A2",
            "3",
            "a list or fixed, guided along",
        ),
        ('direction = "axis"', 'direction = "sideways"', "arrangement.direction", "'sideways'", ""),
        ("strain = 0.00025", "strain = inf", "actions.shrinkage.strain", "inf", "0.002"),
        ("strain = 0.00025", 'strain = "x"', "actions.shrinkage.strain", "'x'", "a number"),
        ('name = "fixed at the pier"', "name = 1979-05-27", "arrangement.name", "1979", "text"),
        ("# [choices.eur", "[choices.eurocode]\nx = nan\n#", "choices.eurocode.x", "nan", "finite"),
        (
            "# [choices.eurocode]",
            "[choices.eurocode]\n'a b' = []",
            "choices.eurocode.'a b'",
            "empty list",
            "a number or text",
        ),
        (
            "# [choices.eurocode]",
            "[choices.eurocod]",
            "choices.eurocod",
            "'eurocod'",
            "eurocode, aa",
        ),
        ('fixed = "pot"', 'fixt = "pot"', "arrangement.kinds.fixt", "'fixt'", "fixed, guided"),
        ('fixed = "pot"', 'fixed = "pott"', "arrangement.kinds.fixed", "'pott'", "mean 'pot'?"),
    ],
)
def test_a_fault_names_field_found_and_allowed(
    old: str, new: str, where: str, found: str, allowed: str
) -> None:
    got = faults(changed(old, new))
    assert any(w == where and found in f and allowed in a for w, f, a in got), got


def test_one_fault_for_each_mistake_in_file_order() -> None:
    text = GIRDERS.replace('chainage = "32 m"', "chainage = 32").replace("count = 3", "count = 0")
    text = text.replace('"guided along", "free", "free"]', '"guide", "free", "free"]')
    text = text.replace('use = "road"', 'use = "canal"')
    assert [where for where, _, _ in faults(text)] == [
        "bridge.use",
        "support P1: chainage",
        "support P1: below.count",
        "arrangement.supports.A1[2]",
        "arrangement.supports.A2[2]",
    ]


@pytest.mark.parametrize(
    ("text", "where", "allowed"),
    [
        ("[bridge\nname = 1", "line 1", "valid TOML"),
        ('[bridge]\nname = "a"\nname = "b"', "line 3", "valid TOML"),
        ('[bridge]\nname = "a', "line 2", "valid TOML"),
        ("a = " + "{a = " * 50_000, "file", "tables of a bridge file"),
        ("a = " + "[" * 50_000, "file", "tables of a bridge file"),
        ("a = " + "[" * 50 + "]" * 50, "file", "tables of a bridge file"),
        (".".join("a" * 60) + " = 1", "file", "tables of a bridge file"),
        (".".join("a" * 200_000) + " = 1", "line 1", "at most 500"),
        ("a = " + "9" * 5000, "file", "valid TOML"),
        ("a = 2001-02-30", "line 1", "valid TOML"),
        ("", "bridge", "needed"),
        ("x" * 1_100_000, "file", "at most 1 million"),
    ],
)
def test_text_that_is_no_bridge_file(text: str, where: str, allowed: str) -> None:
    first = faults(text)[0]
    assert first[0] == where
    assert allowed in first[2]


def test_files_that_cannot_be_read(tmp_path: Path) -> None:
    large = tmp_path / "large.toml"
    with large.open("wb") as stream:
        stream.truncate(50_000_000)
    latin = tmp_path / "latin.toml"
    latin.write_bytes('[bridge]\nname = "Brücke"'.encode("latin-1"))
    for path, where, found, allowed in (
        (large, "file", "50.0 MB", "at most 1 MB"),
        (latin, "line 2", "byte 0xfc", "UTF-8"),
        (tmp_path / "none.toml", "file", "No such file", "can be read"),
        (tmp_path, "file", "", ""),
    ):
        with pytest.raises(InputError) as caught:
            read_bridge(path)
        (fault,) = caught.value.faults
        assert fault.file == path.name
        assert fault.where == where
        assert found in fault.found
        assert allowed in fault.allowed


def test_windows_text_reads_the_same(tmp_path: Path) -> None:
    path = tmp_path / "a.toml"
    path.write_bytes(b"\xef\xbb\xbf" + GIRDERS.replace("\n", "\r\n").encode())
    assert read_bridge(path) == parse_bridge(GIRDERS)


def test_a_bridge_does_not_change() -> None:
    with pytest.raises(ValueError, match="frozen"):
        parse_bridge(GIRDERS).bridge.name = "other"


def test_many_faults_are_cut_short() -> None:
    text = changed(
        "# [choices.eurocode]", "[choices.eurocode]\n" + "\n".join(f"x{i} = []" for i in range(500))
    )
    got = faults(text)
    assert len(got) == 201
    assert got[-1][1] == "more faults than listed"
