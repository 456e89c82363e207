"""A folder with two bridges, a team of three, and requests to its interface without a network."""

from __future__ import annotations

import asyncio
import shutil
from pathlib import Path
from typing import Any

import httpx
from fastapi import FastAPI

from bedstone.workspace.folder import Served
from bedstone.workspace.people import new_token, read_people, token_hash
from bedstone.workspace.safety import Guard
from bedstone.workspace.team import Service, attach

EXAMPLES = Path(__file__).parents[2] / "examples"
PUBLIC = "https://bridges.example.org"


class Client:
    """Asks an application as a browser or a program would, keeping its cookies."""

    def __init__(self, app: Any, base: str, headers: dict[str, str], peer: str) -> None:
        self._made = {
            "transport": httpx.ASGITransport(app=app, client=(peer, 50000)),
            "base_url": base,
            "headers": headers,
            "trust_env": False,
        }
        self.cookies = httpx.Cookies()

    def ask(self, method: str, path: str, **told: Any) -> httpx.Response:
        """One request, answered in full; a fault of the program is raised."""

        async def asked() -> httpx.Response:
            async with httpx.AsyncClient(cookies=self.cookies, **self._made) as client:
                found = await client.request(method, path, **told)
                self.cookies = client.cookies
                return found

        return asyncio.run(asked())

    def get(self, path: str, **told: Any) -> httpx.Response:
        """Read something."""
        return self.ask("GET", path, **told)

    def post(self, path: str, **told: Any) -> httpx.Response:
        """Send a form."""
        return self.ask("POST", path, **told)

    def put(self, path: str, **told: Any) -> httpx.Response:
        """Put something in the place of what is there."""
        return self.ask("PUT", path, **told)


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

    def client(self, who: str = "", peer: str = "192.0.2.7", base: str = PUBLIC) -> Client:
        """A program of somebody, by token; of nobody for ""."""
        headers = {"Authorization": f"Bearer {self.tokens[who]}"} if who else {}
        return Client(self.guarded, base, headers, peer)

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


def put(client: Client, file: str, text: str, tag: str, **headers: str) -> Any:
    """Put a text in the place of the one with this ETag."""
    told = {"Content-Type": "text/plain; charset=utf-8", "If-Match": tag} | headers
    return client.put("/api/file", params={"file": file}, content=text.encode(), headers=told)


def read(client: Client, file: str) -> tuple[str, str]:
    """The text of a bridge file and its ETag."""
    found = client.get("/api/file", params={"file": file})
    assert found.status_code == 200, found.text
    return found.text, found.headers["etag"]
