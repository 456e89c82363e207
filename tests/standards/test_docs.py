"""The page on the standards names every choice, as the bridge file writes it."""

import re
import tomllib
from importlib import import_module
from pathlib import Path

import pytest

from bedstone.standards.values import load_pack

PAGE = (Path(__file__).parents[2] / "docs" / "standards.md").read_text(encoding="utf-8")
HEADS = {"eurocode": "## Eurocodes", "aashto": "## AASHTO LRFD", "irc": "## IRC"}


def listed(family):
    """Names in the two tables of choices of a family: those of `[choices]`, of the earthquake."""
    section = PAGE.split(f"{HEADS[family]}\n", 1)[1].split("\n## ", 1)[0]
    before, after = section.split(f"`[actions.seismic.{family}]`:")
    rows = [re.findall(r"^\| `([^`]+)` \|", part, re.MULTILINE) for part in (before, after)]
    return rows[0], [f"seismic.{name}" for name in rows[1]]


@pytest.mark.parametrize("family", HEADS)
def test_every_choice_is_listed(family):
    choices, earthquake = listed(family)
    known = list(import_module(f"bedstone.standards.{family}").CHOICES)
    assert sorted(choices + earthquake) == sorted(known)


def test_the_examples_are_choices_and_values_of_the_families():
    blocks = [tomllib.loads(text) for text in re.findall(r"```toml\n(.*?)```", PAGE, re.DOTALL)]
    assert len(blocks) == 2
    (name,) = blocks[0]["values"]
    family, _, value = name.partition(".")
    assert value in load_pack(family)
    for family, choices in blocks[1]["choices"].items():
        import_module(f"bedstone.standards.{family}").FAMILY.with_choices(choices)
    for family, entries in blocks[1]["actions"]["seismic"].items():
        import_module(f"bedstone.standards.{family}").FAMILY.with_choices(
            {f"seismic.{key}": entry for key, entry in entries.items()}
        )
