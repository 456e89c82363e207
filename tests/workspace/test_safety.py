"""Foreign pages and names are refused, uploads are bounded, nothing leaves the folder."""

import asyncio
from pathlib import Path

import pytest

from bedstone.errors import InputError
from bedstone.workspace.safety import Guard, allowed, inside, is_loopback, uploaded

OWN = frozenset({"127.0.0.1", "localhost", "::1"})


@pytest.mark.parametrize(
    ("host", "origin", "fine"),
    [
        (b"127.0.0.1:8765", None, True),
        (b"localhost:8765", None, True),
        (b"[::1]:8765", b"http://[::1]:8765", True),
        (b"127.0.0.1:8765", b"http://127.0.0.1:8765", True),
        (b"127.0.0.1:8765", b"http://127.0.0.1:9999", False),
        (b"127.0.0.1:8765", b"http://localhost:8765", False),
        (b"127.0.0.1:8765", b"https://bad.example", False),
        (b"127.0.0.1:8765", b"null", False),
        (b"bad.example:8765", None, False),
        (b"127.0.0.1.bad.example", None, False),
        (b"127.0.0.1@bad.example", None, False),
        (b"", None, False),
        (b"\xff", None, False),
        (b"[", None, False),
    ],
)
def test_host_and_origin(host: bytes, origin: bytes | None, fine: bool):
    headers = [(b"host", host)] + ([(b"origin", origin)] if origin is not None else [])
    assert allowed(headers, OWN) is fine


def test_two_hosts_or_none_are_refused():
    assert not allowed([], OWN)
    assert not allowed([(b"host", b"localhost"), (b"host", b"localhost")], OWN)


def call(scope: dict, body: bytes = b"") -> list[dict]:
    """What the guard sends, with an application behind it that answers 200."""
    sent: list[dict] = []

    async def application(scope, receive, send):
        if scope["type"] == "http":
            await receive()
        await send({"type": "http.response.start", "status": 200, "headers": []})

    async def receive():
        return {"type": "http.request", "body": body}

    async def send(message):
        sent.append(message)

    asyncio.run(Guard(application)(scope, receive, send))
    return sent


def test_guard_refuses_and_passes():
    good = [(b"host", b"127.0.0.1:1")]
    assert call({"type": "http", "headers": good})[0]["status"] == 200
    foreign = [*good, (b"origin", b"http://bad.example")]
    assert call({"type": "http", "headers": foreign})[0]["status"] == 403
    assert call({"type": "websocket", "headers": foreign})[0]["type"] == "websocket.close"
    large = [*good, (b"content-length", b"999999999")]
    assert call({"type": "http", "headers": large})[0]["status"] == 413


@pytest.mark.parametrize(
    "name", ["../x.toml", "/etc/passwd", "a/b.toml", "", ".", "..", ".hidden", "a\\..\\..", "a\0b"]
)
def test_no_way_out_of_the_folder(tmp_path: Path, name: str):
    if name == "a\\..\\..":
        assert inside(tmp_path, name).parent == tmp_path  # a plain, if odd, name here
        return
    with pytest.raises(InputError):
        inside(tmp_path, name)


def test_link_out_of_the_folder_is_refused(tmp_path: Path):
    (tmp_path / "in").mkdir()
    (tmp_path / "in" / "way").symlink_to(tmp_path / "out.toml")
    with pytest.raises(InputError):
        inside(tmp_path / "in", "way")
    assert inside(tmp_path / "in", "good.toml") == (tmp_path / "in" / "good.toml").resolve()


def test_uploads_are_bounded():
    assert uploaded("a.toml", b"\xef\xbb\xbfx = 1") == "x = 1"
    for name, data, word in (
        ("a.toml", b" " * 1_000_001, "1 MB"),
        ("a.csv", b" " * 20_000_001, "20 MB"),
        ("a.exe", b"", ".toml"),
        ("a.toml", b"\xff", "UTF-8"),
    ):
        with pytest.raises(InputError, match=word):
            uploaded(name, data)


def test_loopback():
    assert is_loopback("127.0.0.1")
    assert is_loopback("::1")
    assert is_loopback("127.8.0.1")
    assert not is_loopback("0.0.0.0")
    assert not is_loopback("bridge.example")
