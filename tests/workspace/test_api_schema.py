"""The interface does what its description says: schemathesis asks every operation.

Requests that fit the description and such that do not, made from it by schemathesis, which is not
ours, and answered in process: the same ones every time.
"""

from __future__ import annotations

import hashlib
from collections import Counter
from pathlib import Path
from typing import Any

import pytest
import schemathesis
from hypothesis import HealthCheck, given, settings
from schemathesis.config import ChecksConfig, PositiveDataAcceptanceConfig, SchemathesisConfig
from schemathesis.generation import GenerationMode
from team_cases import House

from bedstone.workspace.safety import Guard

#: Requests of each operation and kind.
EXAMPLES = 60
PLAIN = ["/me", "/files", "/stock"]
ASKED = [("/rows", "GET"), ("/file", "GET"), ("/file", "PUT"), ("/changes", "GET")]


class Asked:
    """A house, and what schemathesis reads of it.

    `fitting`: its description with the bridge files that there are, two texts of one of them and
    their hashes, so that requests find what they ask for.
    """

    def __init__(self, place: Path) -> None:
        self.house = House(place)
        self.house.write("[limits]\nrequests_a_minute = 1000000\n")
        self.token = {"Authorization": f"Bearer {self.house.tokens['anna']}"}
        self.app = Guard(self.house.app, hosts=("testserver",), people=self.house.people)
        self.described = self._read()
        self.fitting = self._read()
        text = (self.house.folder / "truss.toml").read_text()
        texts = [text, f"# another\n{text}", "[bridge]\n"]
        tags = [f'"{hashlib.sha256(told.encode()).hexdigest()}"' for told in texts]
        paths = self.fitting.raw_schema["paths"]
        for path, method in (("/rows", "get"), ("/file", "get"), ("/file", "put")):
            for told in paths[path][method]["parameters"]:
                known = ["truss.toml"] if method == "put" else ["truss.toml", "north/girders.toml"]
                told["schema"] = {"enum": tags if told["name"] == "If-Match" else known}
        paths["/file"]["put"]["requestBody"]["content"]["text/plain"]["schema"] = {"enum": texts}

    def _read(self) -> Any:
        schema = schemathesis.openapi.from_asgi(
            "/api/openapi.json", self.app, config=SchemathesisConfig(), headers=self.token
        )
        # a text of a bridge is more than a text, and may be one that came too late
        accepted = PositiveDataAcceptanceConfig(expected_statuses=["2xx", 404, 412, 422])
        schema.config.checks = ChecksConfig(positive_data_acceptance=accepted)
        return schema


@pytest.fixture(scope="module")
def asked(tmp_path_factory: pytest.TempPathFactory) -> Asked:
    return Asked(tmp_path_factory.mktemp("house"))


def ask(asked: Asked, schema: Any, path: str, method: str, mode: GenerationMode) -> Counter[int]:
    """How often each status was answered; every answer is checked against the description."""
    found: Counter[int] = Counter()

    @settings(
        max_examples=EXAMPLES, deadline=None, derandomize=True, database=None,
        suppress_health_check=list(HealthCheck),
    )  # fmt: skip
    @given(case=schema[path][method].as_strategy(generation_mode=mode))
    def one(case: Any) -> None:
        found[case.call_and_validate(headers=asked.token).status_code] += 1

    one()
    return found


def test_every_operation_is_asked(asked: Asked):
    told = [(path, method.upper()) for path in asked.described for method in asked.described[path]]
    assert sorted(told) == sorted([*((path, "GET") for path in PLAIN), *ASKED])


@pytest.mark.parametrize("path", PLAIN)
def test_what_asks_for_nothing_answers(asked: Asked, path: str):
    found = ask(asked, asked.described, path, "GET", GenerationMode.POSITIVE)
    assert set(found) == {200}


@pytest.mark.parametrize(("path", "method"), ASKED)
def test_what_fits_is_answered_as_described(asked: Asked, path: str, method: str):
    found = ask(asked, asked.described, path, method, GenerationMode.POSITIVE)
    assert set(found) <= ({200} if path == "/changes" else {404, 412, 422})
    known = ask(asked, asked.fitting, path, method, GenerationMode.POSITIVE)
    assert set(known) == ({200, 412, 422} if method == "PUT" else {200})


@pytest.mark.parametrize(("path", "method"), ASKED)
def test_what_does_not_fit_is_refused_as_described(asked: Asked, path: str, method: str):
    before = asked.house.lines()
    found = ask(asked, asked.described, path, method, GenerationMode.NEGATIVE)
    assert sum(found.values()) > 20
    # what is not in the description at all is passed over, such as another parameter
    assert set(found) <= {200, 404, 412, 415, 422, 428} - ({200} if path != "/changes" else set())
    assert 422 in found
    assert asked.house.lines() == before


def test_without_a_token_no_operation_answers(asked: Asked):
    for path, method in [*((path, "GET") for path in PLAIN), *ASKED]:

        @settings(max_examples=10, deadline=None, derandomize=True, database=None)
        @given(case=asked.fitting[path][method].as_strategy())
        def one(case: Any) -> None:
            assert case.call(headers={"Authorization": "Bearer no"}).status_code == 401

        one()
