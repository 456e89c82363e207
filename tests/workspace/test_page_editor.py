"""The page of the bridge file: forms from the schema, lines of faults, drafts."""

import json
import tomllib
from pathlib import Path

import pytest

from bedstone.bridge.edit import change_text
from bedstone.bridge.reader import parse_bridge, read_text_of_bridge
from bedstone.bridge.schema import Bridge
from bedstone.bridge.templates import KINDS, template
from bedstone.errors import Fault, InputError
from bedstone.workspace import forms
from bedstone.workspace.mending import draft_with_faults
from bedstone.workspace.pages.editor import Draft, changed_text, faults_html
from bedstone.workspace.text_lines import line_of, lines_of

EXAMPLES = Path(__file__).parents[2] / "examples"
TEXTS = {path.stem: path.read_text(encoding="utf-8") for path in EXAMPLES.glob("*.toml")} | {
    f"template {kind}": template(kind) for kind in KINDS
}


def draft_of(text: str) -> Draft:
    draft = Draft(text)
    draft.read("trial.toml", EXAMPLES)
    return draft


# ------------------------------------------------------------------ lines
@pytest.mark.parametrize("name", TEXTS)
def test_every_field_is_found_on_a_line_that_names_it(name: str) -> None:
    text = TEXTS[name]
    data, lines = tomllib.loads(text), lines_of(text)
    known = set(forms.walk(data))
    assert set(lines) <= known, "nothing is found that is not there"
    rows = text.split("\n")
    for path, number in lines.items():
        if isinstance(path[-1], str):
            assert path[-1] in rows[number - 1], path
    # what is not found itself stands in a table of one line, whose own line is known
    assert all(any(path[:cut] in lines for cut in range(1, len(path) + 1)) for path in known)


def test_lines_of_lists_texts_and_comments() -> None:
    text = """a = 1 # = b
# c = 2
"d.e" = [
  "x", # one, two
  "]",

  { f = "#" },
]
g = '''
h = 3
'''
[i.j]
k = [[1, 2], [3,
 4]]
[[l]]
m = 1
[[l]]
[[l.n]]
o = "=[{"
[[l.n]]
"""
    assert set(forms.walk(tomllib.loads(text))) >= set(lines_of(text))
    found = lines_of(text)
    assert found["a",] == 1
    assert ("c",) not in found
    assert [found["d.e", place] for place in range(3)] == [4, 5, 7]
    assert ("h",) not in found
    assert found["i", "j", "k"] == 13
    assert [found["i", "j", "k", place] for place in range(2)] == [13, 13]
    assert found["l", 1] == 17
    assert found["l", 1, "n", 0, "o"] == 19
    assert found["l", 1, "n", 1] == 20


@pytest.mark.parametrize(
    ("where", "line"),
    [
        ("line 7", 7),
        ("support P1: chainage", 2),
        ("support P1: below.height", 3),
        ("support P1: skew", 1),  # left out: where its part begins
        ("actions.wind.speed", 5),
        ("faults.drop", None),
    ],
)
def test_a_fault_has_the_line_of_its_field_or_of_what_holds_it(where: str, line: int | None):
    text = "[[support]]\nchainage = '0 m'\nbelow = { height = '1 m' }\nmark = 'P1'\n[actions.wind]"
    found = line_of(Fault("trial", where, "x", "y"), tomllib.loads(text), lines_of(text))
    assert found == line


# ------------------------------------------------------------------ forms
@pytest.mark.parametrize("name", TEXTS)
def test_forms_show_every_plain_field_of_the_file_as_it_stands(name: str) -> None:
    data = tomllib.loads(TEXTS[name])
    sheet = forms.Sheet(data, {})
    html = "".join(forms.form(section, sheet) for section in forms.SECTIONS)
    paths = set(forms.paths_in(html))
    for path in forms.walk(data):
        value = data
        for step in path:
            value = value[step]
        if isinstance(value, str | int | float):
            held = path[:-1] if isinstance(path[-1], int) else path  # lists stand in one field
            while isinstance(held[-1], int):
                held = held[:-1]
            assert held in paths or path in paths, path


def test_every_section_of_the_schema_has_its_place() -> None:
    placed = [name for section in forms.SECTIONS for name in section.fields]
    assert sorted(placed) == sorted(Bridge.model_fields)


@pytest.mark.parametrize("name", TEXTS)
def test_a_field_that_is_typed_as_it_stands_changes_nothing(name: str) -> None:
    text = TEXTS[name]
    data = tomllib.loads(text)
    sheet = forms.Sheet(data, {})
    for section in forms.SECTIONS:
        for path in forms.paths_in(forms.form(section, sheet)):
            value = data
            for step in path:
                inside = isinstance(value, list) or (isinstance(value, dict) and step in value)
                value = value[step] if inside else None
            if value is None:
                continue
            control = forms.control_of(*forms.annotation_at(path, data))
            assert control is not None
            assert forms.value_of(control, forms.shown(value)) == value, path


@pytest.mark.parametrize(
    ("path", "typed", "stands"),
    [
        (("support", 1, "chainage"), "40 m", "40 m"),
        (("support", 1, "chainage"), "40 kN", "40 kN"),  # a fault is kept for the reader to name
        (("superstructure", "number"), "6", 6),
        (("superstructure", "number"), "six", "six"),
        (("superstructure", "offsets"), "-3 m, 0 m,3 m", ["-3 m", "0 m", "3 m"]),
        (("actions", "friction"), "false", False),
        (("arrangement", "supports", "A1"), "free", "free"),
        (("arrangement", "supports", "A1"), "free, fixed", ["free", "fixed"]),
        (("compare", "limits"), "A1.Fx < 800 kN, P1.Fx < 3 kN", ["A1.Fx < 800 kN", "P1.Fx < 3 kN"]),
        (("bridge", "note"), 'a "word"', 'a "word"'),
        (("support", 1, "skew"), "", None),
        (("faults", "drop"), "12 mm", "12 mm"),
    ],
)
def test_what_is_typed_stands_in_the_file(path: forms.Path, typed: str, stands: object) -> None:
    draft = draft_of(TEXTS["girders"])
    text = changed_text(draft, path, typed, kind=False, name="trial.toml")
    value = tomllib.loads(text)
    for step in path[:-1]:
        value = value[step]
    assert value.get(path[-1]) == stands
    kept = [line for line in draft.text.splitlines() if line.lstrip().startswith("#")]
    assert [line for line in text.splitlines() if line.lstrip().startswith("#")] == kept


def test_another_kind_brings_what_it_needs_and_leaves_what_it_does_not_know() -> None:
    draft = draft_of(TEXTS["girders"])
    assert draft.sound
    draft.text = changed_text(
        draft, ("support", 0, "below", "kind"), "column", kind=True, name="trial.toml"
    )
    draft.read("trial.toml", EXAMPLES)
    assert draft.sound, draft.faults
    draft.text = changed_text(
        draft, ("support", 0, "below", "kind"), "rigid", kind=True, name="trial.toml"
    )
    draft.read("trial.toml", EXAMPLES)
    assert draft.sound
    assert draft.data["support"][0]["below"] == {"kind": "rigid"}


@pytest.mark.parametrize(
    "code",
    ["", "{}", "[]", '"support"', "[true]", "[1.5]", '["a\\"b"]', json.dumps(["a"] * 13), "[[1]]"],
)
def test_a_path_that_no_form_has_is_refused(code: str) -> None:
    with pytest.raises(InputError):
        forms.path_of(code)


@pytest.mark.parametrize("path", [("nothing",), ("support", 0, "colour"), ("bridge", "name", "x")])
def test_a_field_that_the_schema_does_not_know_is_refused(path: forms.Path) -> None:
    draft = draft_of(TEXTS["girders"])
    with pytest.raises(InputError):
        changed_text(draft, path, "1", kind=False, name="trial.toml")


def test_what_stands_in_the_file_cannot_become_part_of_the_page() -> None:
    text = change_text(TEXTS["girders"], {"bridge.name": '"><script>alert(1)</script>'})
    sheet = forms.Sheet(tomllib.loads(text), {})
    assert "<script" not in forms.form(forms.SECTIONS[0], sheet)


def test_messages_stand_at_their_fields() -> None:
    text = change_text(TEXTS["girders"], {"support.P1.chainage": "40 kN", "bridge.use": "boat"})
    draft = draft_of(text)
    assert [fault.where for fault in draft.faults] == ["bridge.use", "support P1: chainage"]
    paths = [("support", 0, "chainage"), ("support", 1, "chainage"), ("bridge", "use")]
    told = list(forms.faults_html(draft.sheet, paths).values())
    assert told[0] == ""
    assert all(word in told[1] for word in ("40 kN", "length with unit"))
    assert all(word in told[2] for word in ("boat", "road"))
    rows = text.split("\n")
    assert [rows[(draft.line(fault) or 0) - 1].split(" ")[0] for fault in draft.faults] == [
        "use",
        "chainage",
    ]


def test_defaults_are_shown_as_they_would_stand_in_a_file() -> None:
    html = forms.form(forms.SECTIONS[6], forms.Sheet({"bearings": {}}, {}))
    assert "left out: 30 MPa" in html
    html = forms.form(forms.SECTIONS[2], forms.Sheet(tomllib.loads(TEXTS["girders"]), {}))
    assert "left out: 210 GPa" in html


# ------------------------------------------------------------------ lists
@pytest.mark.parametrize("name", ["support", "stage"])
def test_an_entry_is_added_at_the_end_of_its_list(name: str) -> None:
    text = TEXTS["girders"]
    changed = forms.with_entry(text, (name,), forms.NEW[name])
    before, after = tomllib.loads(text), tomllib.loads(changed)
    assert after[name] == [*before[name], forms.NEW[name]]
    assert {**after, name: before[name]} == before
    back = change_text(changed, {f"{name}[{len(after[name])}]": None})
    assert tomllib.loads(back) == before


def test_an_entry_makes_the_list_that_was_not_there() -> None:
    text = TEXTS["template girders"]
    changed = forms.with_entry(text, ("actions", "traffic", "trains"), forms.NEW["trains"])
    assert tomllib.loads(changed)["actions"]["traffic"]["trains"] == [forms.NEW["trains"]]
    assert parse_bridge(changed).actions.traffic is not None


def test_a_part_is_added_under_its_own_name() -> None:
    text = TEXTS["girders"]
    path = ("superstructure", "sections")
    annotation, _ = forms.annotation_at((*path, "light end"), tomllib.loads(text))
    changed = forms.with_entry(text, path, forms.first_value(annotation), "light end")
    read_text_of_bridge(changed, "trial.toml", EXAMPLES)
    own = tomllib.loads(changed)["superstructure"]["sections"]["light end"]
    assert own["kind"] == "plate girder"


# ------------------------------------------------------------------ drafts
def test_a_draft_that_is_no_toml_keeps_its_text_and_names_the_line() -> None:
    draft = draft_of("oops\n" + TEXTS["girders"])
    assert (draft.sound, draft.readable) == (False, False)
    assert [draft.line(fault) for fault in draft.faults] == [1]
    assert draft.text.startswith("oops")


def test_a_fault_of_a_table_marks_no_line_of_the_bridge_file() -> None:
    """Its line is one of the table: line 2 here, where the bridge file says something else."""
    draft = Draft('[bridge]\nname = "x"\n', name="trial.toml")
    draft.faults = (
        Fault("nodes.csv", "line 2", "'a'", "a number"),
        Fault("trial.toml", "line 1", "nothing", "a bridge"),
    )
    assert [draft.line(fault) for fault in draft.faults] == [None, 1]
    shown = faults_html(draft)
    assert shown.count('data-do="line"') == 1
    assert "<b>nodes.csv: line 2</b>: found &#x27;a&#x27;" in shown


def test_what_can_be_mended_is_text_with_faults(tmp_path: Path) -> None:
    file = tmp_path / "trial.toml"
    assert draft_with_faults(file) is None  # there is none
    file.write_bytes(b"\xff")
    assert draft_with_faults(file) is None
    sound = (EXAMPLES / "truss.toml").read_text(encoding="utf-8")
    file.write_text(sound, encoding="utf-8")
    assert draft_with_faults(file) is None
    file.write_text(sound.replace('"64 m"', '"64 kN"', 1), encoding="utf-8")
    draft = draft_with_faults(file)
    assert draft is not None
    assert [draft.line(fault) for fault in draft.faults] == [30]
