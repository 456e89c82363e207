"""The page on the bridge file tells every field of every table, and no other."""

import re
from pathlib import Path
from typing import get_args

import pytest

from bedstone.bridge import schema

PAGE = (Path(__file__).parents[2] / "docs" / "bridge-file.md").read_text(encoding="utf-8")

HEADINGS: dict[type[schema.Part], str] = {
    schema.Head: "## `[bridge]`",
    schema.Alignment: "## `[alignment]`",
    schema.Support: "## `[[support]]`",
    schema.Rigid: "### `below`, rigid",
    schema.Column: "### `below`, column",
    schema.GivenSprings: "### `below`, springs",
    schema.Springs6: "### Stiffness",
    schema.Bounds: "### `bounds`",
    schema.Materials: "## `[materials]`",
    schema.Girders: "## `[superstructure]`, girders",
    schema.Segment: "### `segments`",
    schema.Slab: "### `slab`",
    schema.Diaphragms: "### `diaphragms`",
    schema.PlateGirder: "### Plate girder",
    schema.SteelBox: "### Steel box",
    schema.ConcreteRectangle: "### Concrete rectangle",
    schema.GivenSection: "### Given section",
    schema.Truss: "## `[superstructure]`, truss",
    schema.TrussMembers: "### `members`",
    schema.FrameTables: "## `[superstructure]`, frame",
    schema.Reactions: "## `[superstructure]`, reactions",
    schema.Stage: "## `[[stage]]`",
    schema.Load: "### `loads`",
    schema.Actions: "## `[actions]`",
    schema.Traffic: "### `traffic`",
    schema.Track: "### `tracks`",
    schema.UserTrain: "### `trains`",
    schema.UserAxle: "### `axles`",
    schema.TemperatureAction: "### `temperature`",
    schema.Wind: "### `wind`",
    schema.Settlement: "### `settlement`",
    schema.Shrinkage: "### `shrinkage`",
    schema.Lengthening: "### `lengthening`",
    schema.Jacking: "### `jacking`",
    schema.Seismic: "### `seismic`",
    schema.Arrangement: "## `[arrangement]`",
    schema.Seat: "### `seats`",
    schema.Stops: "### `travel`",
    schema.Compare: "## `[compare]`",
    schema.Rules: "### `rules`",
    schema.Pinned: "### `pinned`",
    schema.Faults: "## `[faults]`",
    schema.Uncertainty: "## `[uncertainty]`",
    schema.Spread: "### Spread",
    schema.Bearings: "## `[bearings]`",
    schema.GivenBearing: "### `given`",
    schema.Replacement: "## `[replacement]`",
    schema.Jacks: "### `jacks`",
    schema.JackPlace: "### `places`",
    schema.Confirmed: "## `[values]`",
}


def section(heading: str) -> str:
    start = PAGE.index(f"\n{heading}\n") + len(heading) + 2
    end = PAGE.find("\n#", start)
    return PAGE[start : end if end > 0 else None]


def test_every_part_has_a_section() -> None:
    parts = {
        part
        for part in vars(schema).values()
        if isinstance(part, type) and issubclass(part, schema.Part)
    }
    assert set(HEADINGS) == parts - {schema.Part, schema.Bridge}


@pytest.mark.parametrize("part", HEADINGS, ids=lambda part: part.__name__)
def test_its_table_has_the_fields_in_order(part: type[schema.Part]) -> None:
    told = re.findall(r"^\| `(\w+)` \|", section(HEADINGS[part]), re.MULTILINE)
    assert told == list(part.model_fields)


@pytest.mark.parametrize("part", HEADINGS, ids=lambda part: part.__name__)
def test_fields_that_are_needed_say_so(part: type[schema.Part]) -> None:
    text = section(HEADINGS[part])
    if "if left out" not in text:
        return  # a table of needed fields only, or of optional ones only
    for name, field in part.model_fields.items():
        row = re.search(rf"^\| `{name}` \|.*$", text, re.MULTILINE)
        assert row is not None
        assert ("| needed |" in row[0]) == field.is_required(), row[0]


def test_every_top_table_has_a_section() -> None:
    for name in schema.Bridge.model_fields:
        assert re.search(rf"^## `\[+{name}\]+`", PAGE, re.MULTILINE), name


def test_every_kind_and_function_is_told() -> None:
    for word in (*get_args(schema.BearingKind), *get_args(schema.Function)):
        assert f"`{word}`" in section("### `seats`") + section("## `[arrangement]`")
