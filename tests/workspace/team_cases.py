"""A folder with two bridges, a team of three, and requests to its interface without a network."""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import Any

from fastapi import FastAPI
from starlette.testclient import TestClient

from bedstone.workspace.folder import Served
from bedstone.workspace.people import new_token, read_people, token_hash
from bedstone.workspace.safety import Guard
from bedstone.workspace.team import Service, attach

EXAMPLES = Path(__file__).parents[2] / "examples"
PUBLIC = "https://bridges.example.org"


class House:
    """What is served: `folder`, `team` (its file), tokens by name, the application."""

    def __init__(self, place: Path, more: str = "") -> None:
        self.folder = place / "bridges"
        (self.folder / "north").mkdir(parents=True)
        shutil.copy(EXAMPLES / "truss.toml", self.folder / "truss.toml")
        shutil.copy(EXAMPLES / "girders.toml", self.folder / "north" / "girders.toml")
        self.team = place / "team.toml"
        self.tokens = {name: new_token() for name in ("anna", "bert", "carla")}
        self.write(more)
        self.people = read_people(self.team)
        self.app = FastAPI()
        served = Served.open(self.folder, str(place / "store"))
        self.service: Service = attach(self.app, self.people, served)
        self.guarded = Guard(self.app, people=self.people)

    def write(self, more: str = "", without: str = "", **roles: str) -> None:
        """Write the team file: anna and carla are editors, bert is a reader."""
        roles = {"anna": "editor", "bert": "reader", "carla": "editor"} | roles
        people = "".join(
            f'[people.{name}]\nrole = "{role}"\ntoken = "{token_hash(self.tokens[name])}"\n'
            for name, role in roles.items()
            if name != without
        )
        self.team.write_text(f'[public]\naddresses = ["{PUBLIC}"]\n{people}{more}')

    def client(self, who: str = "", peer: str = "192.0.2.7", base: str = PUBLIC) -> TestClient:
        """A program of somebody, by token; of nobody for ""."""
        headers = {"Authorization": f"Bearer {self.tokens[who]}"} if who else {}
        return TestClient(
            self.guarded, base, headers=headers, client=(peer, 50000), raise_server_exceptions=True
        )

    def lines(self) -> list[str]:
        """The journal."""
        path = self.folder / ".bedstone" / "changes.jsonl"
        return path.read_text().splitlines() if path.exists() else []

    def everything(self) -> dict[str, bytes]:
        """All files of the folder."""
        return {
            str(path.relative_to(self.folder)): path.read_bytes()
            for path in sorted(self.folder.rglob("*"))
            if path.is_file()
        }


def put(client: TestClient, file: str, text: str, tag: str, **headers: str) -> Any:
    """Put a text in the place of the one with this ETag."""
    told = {"Content-Type": "text/plain; charset=utf-8", "If-Match": tag} | headers
    return client.put("/api/file", params={"file": file}, content=text.encode(), headers=told)


def read(client: TestClient, file: str) -> tuple[str, str]:
    """The text of a bridge file and its ETag."""
    found = client.get("/api/file", params={"file": file})
    assert found.status_code == 200, found.text
    return found.text, found.headers["etag"]
