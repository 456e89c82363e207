"""The page of the team says what holds: its team file is read, its counts are the tests' own."""

from __future__ import annotations

import re
from pathlib import Path

import test_api
import test_api_schema
import test_only_data
import test_people

from bedstone.workspace.people import Limits, read_team

DOCS = Path(__file__).parents[2] / "docs" / "team.md"
TEXT = DOCS.read_text(encoding="utf-8")


def cases(function: object) -> int:
    """How many a test is given."""
    (mark,) = (mark for mark in function.pytestmark if mark.name == "parametrize")  # type: ignore[attr-defined]
    return len(mark.args[1])


def test_its_team_file_is_read_as_it_says():
    (text,) = re.findall(r"```toml\n(.*?)```", TEXT, re.DOTALL)
    team = read_team(text, "team.toml")
    assert team.public == ("https://bridges.example.org",)
    assert {name: person.role for name, person in team.people.items()} == {
        "anna": "editor", "b.muster@example.org": "reader",
    }  # fmt: skip
    assert team.others == "reader"
    assert team.limits == Limits(), "what holds if nothing is said"


def test_its_counts_are_those_of_the_tests():
    told = TEXT[TEXT.index("**How it was tried.**") :]
    for words, count in (
        ("paths", len(test_api.PATHS)),
        ("table names", cases(test_only_data.test_no_table_leads_out_of_the_folder_of_its_file)),
        ("bodies", cases(test_api.test_a_body_that_is_no_bridge_is_told_its_faults)),
        ("false tokens", cases(test_people.test_anything_else_is_nobody)),
        ("cookies that were touched", len(test_people.touched("a.1.b.c"))),
        ("forged names", cases(test_people.test_names_that_are_not_plain_are_refused)),
        ("addresses that are no proxy", cases(test_people.test_nobody_else_is)),
        ("origins", cases(test_api.test_another_site_is_refused)),
        ("hosts", cases(test_api.test_another_name_is_refused)),
        ("forms to sign in", cases(test_api.test_a_false_token_is_not_exchanged)),
        ("of each", test_api_schema.EXAMPLES),
    ):
        assert f"{count} {words}" in told, (count, words)


def test_it_lists_every_operation_of_the_interface():
    listed = set(re.findall(r"`(GET|PUT) /api(/\w+)", TEXT))
    operations = [*((path, "GET") for path in test_api_schema.PLAIN), *test_api_schema.ASKED]
    assert listed == {(method, path) for path, method in operations}
