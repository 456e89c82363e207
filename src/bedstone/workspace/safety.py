"""Who may talk to the server, and what may be put into it.

The pages change files of the person at this machine, so only pages that this server itself sent may
talk to it: a strange web page open in the same browser must not, whatever it calls this address.
"""

from __future__ import annotations

import ipaddress
from collections.abc import Awaitable, Callable, MutableMapping
from pathlib import Path
from typing import Any, Final
from urllib.parse import urlsplit

from bedstone.bridge.reader import LARGEST_FILE
from bedstone.errors import Fault, InputError

#: Largest uploads, bytes.
LARGEST_TOML: Final = LARGEST_FILE
LARGEST_CSV: Final = 20_000_000
#: Largest body of any request: an upload and what wraps it.
LARGEST_BODY: Final = LARGEST_CSV + 100_000
_LOOPBACK: Final = frozenset({"127.0.0.1", "localhost", "::1"})

Scope = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[MutableMapping[str, Any]]]
Send = Callable[[MutableMapping[str, Any]], Awaitable[None]]
App = Callable[[Scope, Receive, Send], Awaitable[None]]


def is_loopback(host: str) -> bool:
    """Whether an address is reached from this machine only."""
    if host in _LOOPBACK:
        return True
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return False


class Guard:
    """ASGI middleware: refuses foreign names, foreign pages and bodies that are too large.

    `hosts`: names under which this server may be called beside those of loopback.
    """

    def __init__(self, app: App, hosts: tuple[str, ...] = ()) -> None:
        self.app = app
        self.hosts = _LOOPBACK | frozenset(hosts)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on, or refuse it."""
        if scope["type"] not in ("http", "websocket"):
            await self.app(scope, receive, send)
            return
        headers = [(name.lower(), value) for name, value in scope.get("headers", [])]
        if not allowed(headers, self.hosts):
            await _refuse(scope, send, 403, b"refused: not a page of this server\n")
            return
        length = next((value for name, value in headers if name == b"content-length"), b"0")
        if not length.isdigit() or int(length) > LARGEST_BODY:
            await _refuse(scope, send, 413, b"refused: too large\n")
            return
        await self.app(scope, _counted(receive), send)


def allowed(headers: list[tuple[bytes, bytes]], hosts: frozenset[str]) -> bool:
    """Whether the Host is one of ours, and the Origin, where there is one, the very same."""
    named = [value for name, value in headers if name == b"host"]
    origins = [value for name, value in headers if name == b"origin"]
    if len(named) != 1 or len(origins) > 1:
        return False
    try:
        host = named[0].decode("ascii").lower()
        if urlsplit(f"//{host}").hostname not in hosts:
            return False
        if not origins:
            return True
        origin = urlsplit(origins[0].decode("ascii").lower())
    except ValueError:
        return False
    return origin.scheme in ("http", "https") and origin.netloc == host


def _counted(receive: Receive) -> Receive:
    """The same, ending a body that turns out larger than allowed."""
    taken = 0

    async def counted() -> MutableMapping[str, Any]:
        nonlocal taken
        message = await receive()
        if message["type"] == "http.request":
            taken += len(message.get("body", b""))
            if taken > LARGEST_BODY:
                return {"type": "http.disconnect"}
        return message

    return counted


async def _refuse(scope: Scope, send: Send, status: int, text: bytes) -> None:
    if scope["type"] == "websocket":
        await send({"type": "websocket.close", "code": 1008})
        return
    headers = [(b"content-type", b"text/plain; charset=utf-8")]
    await send({"type": "http.response.start", "status": status, "headers": headers})
    await send({"type": "http.response.body", "body": text})


def inside(folder: Path, name: str) -> Path:
    """A file of a folder by its name; raises `InputError` for any way out of the folder."""
    plain = Path(name).name
    target = folder / ("" if "\0" in name else name)
    target = target.resolve()
    if not plain or plain != name or name.startswith(".") or target.parent != folder.resolve():
        allowed_names = f"the name of a file in {folder.name or 'the folder'}, no path"
        raise InputError([Fault("file", "name", repr(name[:60]), allowed_names)])
    return target


def uploaded(name: str, data: bytes) -> str:
    """Text of an uploaded file; raises `InputError` when it is too large, no text, or no such kind.

    What it says is not trusted: it goes through the same reader as any other file.
    """
    ending = Path(name).suffix.lower()
    limits = {".toml": LARGEST_TOML, ".csv": LARGEST_CSV}
    if ending not in limits:
        raise InputError([Fault("upload", "name", repr(name[:60]), "a .toml or .csv file")])
    if len(data) > limits[ending]:
        found, most = f"{len(data) / 1e6:.1f} MB", f"at most {limits[ending] / 1e6:g} MB"
        raise InputError([Fault("upload", "file", found, most)])
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        found = f"byte 0x{data[error.start]:02x}"
        raise InputError([Fault("upload", "file", found, "text in UTF-8")]) from None
