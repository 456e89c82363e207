"""The page on bearings tells every kind, every option and every size."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from bedstone.bearings import catalogue
from bedstone.bearings.asked import all_options

PAGE = (Path(__file__).parents[2] / "docs" / "bearings.md").read_text(encoding="utf-8")
AGAIN = "the page no longer tells what the kinds ask for: bring its tables up to date"


def told(table: str) -> dict[str, str]:
    rows = re.findall(r"^\| `([^`]+)` \| (.*) \|$", table, re.MULTILINE)
    return {name: text.replace("\\|", "|").replace("&lt;", "<") for name, text in rows}


def section(heading: str) -> str:
    start = PAGE.index(f"\n{heading}\n") + len(heading) + 2
    level = heading.index(" ")
    end = re.search(rf"^#{{1,{level}}} ", PAGE[start:], re.MULTILINE)
    return PAGE[start : start + end.start() if end else None]


def test_every_option_is_told_in_its_own_words() -> None:
    assert told(section("## Options")) == all_options(), AGAIN


@pytest.mark.parametrize("name", catalogue.kinds())
def test_every_size_of_a_kind_is_told_in_its_own_words(name: str) -> None:
    heads = re.findall(r"^### (.+)$", section("## Sizes of given bearings"), re.MULTILINE)
    head = next(head for head in heads if name in head.lower().split(", "))
    assert told(section(f"### {head}")) == catalogue.kind_of(name).fields(), AGAIN


@pytest.mark.parametrize("name", catalogue.kinds())
def test_every_kind_is_described(name: str) -> None:
    assert re.search(rf"^\| {name} \|", section("## The kinds"), re.MULTILINE)
