"""A folder as it is really served: over a socket, by the server of the library, with its defaults.

What a test in process cannot see: headers that the server itself would believe, bodies that lie
about their length, and names below the folders of static files.
"""

from __future__ import annotations

import http.client
import json
import os
import socket
import subprocess
import sys
import threading
from collections.abc import Iterator
from typing import Any

import pytest
from team_cases import House

#: Time (s) the server has to start; only a fault takes so long.
STARTING = 200.0
PROXY = '[proxy]\nheader = "X-Forwarded-User"\ntrusted = ["10.0.0.0/8"]\n'


class Served:
    """A running server and its port."""

    def __init__(self, house: House, port: int) -> None:
        self.house, self.port = house, port

    def ask(
        self, method: str, path: str, who: str = "", body: Any = None, **headers: str
    ) -> tuple[int, bytes]:
        """Status and body of an answer."""
        told = {name.replace("_", "-"): value for name, value in headers.items()}
        if who:
            told["Authorization"] = f"Bearer {self.house.tokens[who]}"
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=STARTING)
        try:
            connection.request(method, path, body=body, headers=told)
            found = connection.getresponse()
            return found.status, found.read()
        finally:
            connection.close()

    def raw(self, head: str, body: bytes, times: int = 1) -> bytes:
        """What comes back first for a request sent by hand; its body `times` over, if it may."""
        with socket.create_connection(("127.0.0.1", self.port), timeout=STARTING) as line:
            line.sendall(head.replace("\n", "\r\n").encode())
            try:
                for _ in range(times):
                    line.sendall(body)
            except OSError:
                pass  # the server has heard enough
            try:
                return line.recv(4000)
            except OSError:
                return b""


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    place = tmp_path_factory.mktemp("served")
    house = House(place, PROXY)
    # a server must not take itself for part of the tests
    own = {key: value for key, value in os.environ.items() if not key.startswith("PYTEST")}
    process = subprocess.Popen(
        [
            *(sys.executable, "-m", "bedstone.cli", "serve", str(house.folder)),
            *("--team", str(house.team), "--no-open", "--port", "0"),
        ],
        stdout=subprocess.PIPE,
        text=True,
        env=own | {"XDG_CACHE_HOME": str(place / "cache")},
    )
    assert process.stdout is not None
    too_late = threading.Timer(STARTING, process.kill)
    too_late.start()
    try:
        address = process.stdout.readline().split(" ")[0].strip()
        assert address.startswith("http://127.0.0.1:"), address
        yield Served(house, int(address.rstrip("/").rpartition(":")[2]))
    finally:
        too_late.cancel()
        process.kill()
        process.wait()
        process.stdout.close()


def test_it_answers_its_people_alone(served: Served):
    assert served.ask("GET", "/api/me")[0] == 401
    assert json.loads(served.ask("GET", "/api/me", "bert")[1]) == {"name": "bert", "role": "reader"}
    assert served.ask("GET", "/", "bert")[0] == 200


def test_an_address_that_the_client_tells_is_not_its_own(served: Served):
    """From this machine; a server that believes X-Forwarded-For would take it for the proxy."""
    for more in (
        {"X_Forwarded_For": "10.0.0.1"},
        {"X_Forwarded_For": "10.0.0.1, 10.0.0.1", "X_Forwarded_Proto": "https"},
        {"Forwarded": "for=10.0.0.1"},
        {"X_Real_IP": "10.0.0.1"},
    ):
        assert served.ask("GET", "/api/me", X_Forwarded_User="anna", **more)[0] == 403
        assert served.ask("GET", "/api/me", "bert", X_Forwarded_User="anna", **more)[0] == 403
    status, body = served.ask("GET", "/api/me", "bert", X_Forwarded_For="10.0.0.1")
    assert (status, json.loads(body)["name"]) == (200, "bert")


@pytest.mark.parametrize(
    "path",
    [
        "/bedstone/../../../../../../etc/passwd", "/bedstone/%2e%2e/%2e%2e/people.py",
        "/bedstone/..%2f..%2fpeople.py", "/bedstone//etc/passwd", "/bedstone/..\\..\\people.py",
        "/bedstone/%252e%252e/people.py", "/bedstone/%00", "/../../etc/passwd", "/%2e%2e/team.toml",
        "/api/../../team.toml", "/api/%2e%2e/%2e%2e/team.toml", "/team.toml", "/truss.toml",
        "/.bedstone/changes.jsonl", "/bridges/truss.toml", "/api/file/..%2f..%2fteam.toml",
    ],
)  # fmt: skip
def test_no_address_leads_to_a_file(served: Served, path: str):
    assert served.ask("GET", path)[0] == 401
    status, body = served.ask("GET", path, "anna")
    assert status in (400, 404), path
    assert b"root:" not in body
    assert b"sha256:" not in body
    assert b"[superstructure" not in body


def head(served: Served, *more: str) -> str:
    return "\n".join(
        [
            "PUT /api/file?file=truss.toml HTTP/1.1",
            f"Host: 127.0.0.1:{served.port}",
            f"Authorization: Bearer {served.house.tokens['anna']}",
            "Content-Type: text/plain",
            f'If-Match: "{"0" * 64}"',
            *more,
            "\n",
        ]
    )


def test_bodies_that_lie_or_do_not_end_are_cut_off(served: Served):
    before = served.house.everything()
    large = served.raw(head(served, "Content-Length: 999999999"), b"x")
    assert b" 413 " in large.split(b"\r\n")[0]
    chunk = b"100000\r\n" + b"x" * 0x100000 + b"\r\n"
    endless = served.raw(head(served, "Transfer-Encoding: chunked"), chunk, 200)
    assert endless == b"" or b" 413 " in endless.split(b"\r\n")[0]
    for more in (
        ("Content-Length: 5", "Content-Length: 6"),
        ("Content-Length: 5", "Transfer-Encoding: chunked"),
        ("Content-Length: -5",),
        ("Content-Length: 5x",),
        ("Transfer-Encoding: chunked, gzip",),
    ):
        found = served.raw(head(served, *more), b"hello", 1).split(b"\r\n")[0]
        assert b" 200 " not in found, more
    assert served.ask("GET", "/api/me", "anna")[0] == 200, "it goes on for the others"
    assert served.house.everything() == before


def test_heads_that_do_not_end_are_refused(served: Served):
    for more in ([f"X: {'y' * 60_000}"], [f"X{number}: y" for number in range(9000)]):
        found = served.raw(head(served, *more), b"").split(b"\r\n")[0]
        assert found == b"" or b" 400 " in found or b" 431 " in found
    assert served.ask("GET", "/api/me", "anna")[0] == 200


def test_a_socket_of_nobody_or_of_another_site_is_refused(served: Served):
    def opened(*more: str) -> bytes:
        told = "\n".join(
            [
                "GET /_nicegui_ws/socket.io/?EIO=4&transport=websocket HTTP/1.1",
                f"Host: 127.0.0.1:{served.port}",
                "Upgrade: websocket",
                "Connection: Upgrade",
                "Sec-WebSocket-Version: 13",
                "Sec-WebSocket-Key: dGhlIHNhbXBsZSBub25jZQ==",
                *more,
                "\n",
            ]
        )
        return served.raw(told, b"").split(b"\r\n")[0]

    token = f"Authorization: Bearer {served.house.tokens['anna']}"
    assert b" 101 " in opened(token, f"Origin: http://127.0.0.1:{served.port}")
    assert b" 403 " in opened()
    assert b" 403 " in opened("Authorization: Bearer x")
    assert b" 403 " in opened(token, "Origin: https://bad.example")
    assert b" 403 " in opened("X-Forwarded-User: anna", "X-Forwarded-For: 10.0.0.1")


def test_a_socket_of_anna_is_not_heard_from_bert(served: Served):
    """Without WebSockets messages are requests that name the socket: it stands in addresses."""
    place = "/_nicegui_ws/socket.io/?EIO=4&transport=polling"
    status, body = served.ask("GET", place, "anna")
    assert status == 200
    number = json.loads(body[1:])["sid"]
    for who, wanted in (("bert", 403), ("", 401), ("anna", 200)):
        assert served.ask("POST", f"{place}&sid={number}", who, body="40")[0] == wanted
    assert served.ask("GET", f"{place}&sid={number}", "bert")[0] == 403
    assert served.ask("GET", f"{place}&sid=x", "bert")[0] == 400
