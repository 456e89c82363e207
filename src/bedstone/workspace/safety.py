"""Who may talk to the server, and what may be put into it.

The pages change files of the person at this machine, so only pages that this server itself sent may
talk to it: a strange web page open in the same browser must not, whatever it calls this address.
"""

from __future__ import annotations

import ipaddress
import json
from collections.abc import Awaitable, Callable, MutableMapping, Sequence
from pathlib import Path
from typing import Any, Final
from urllib.parse import urlsplit

from bedstone.bridge.reader import LARGEST_FILE
from bedstone.errors import Fault, InputError
from bedstone.workspace.limits import Rates
from bedstone.workspace.people import People, RefusedError, Visitor

#: Largest uploads, bytes.
LARGEST_TOML: Final = LARGEST_FILE
LARGEST_CSV: Final = 20_000_000
#: Largest body of any request: an upload and what wraps it.
LARGEST_BODY: Final = LARGEST_CSV + 100_000
#: Largest head of a request of a team, bytes.
LARGEST_HEADERS: Final = 32_768
#: Where a token is exchanged for a cookie, and how often one address may try it.
SIGN_IN: Final = "/sign-in"
SIGN_INS_A_MINUTE: Final = 30
_LOOPBACK: Final = frozenset({"127.0.0.1", "localhost", "::1"})
#: On every answer to a team: no other page may frame ours, no kind of file is guessed.
_HEADERS: Final = (
    (b"x-content-type-options", b"nosniff"),
    (b"content-security-policy", b"frame-ancestors 'none'; base-uri 'none'; object-src 'none'"),
    (b"referrer-policy", b"same-origin"),
)

Scope = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[MutableMapping[str, Any]]]
Send = Callable[[MutableMapping[str, Any]], Awaitable[None]]
Headers = Sequence[tuple[bytes, bytes]]
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

    `hosts`: names under which this server may be called beside those of loopback. With `people`
    nobody else comes in; ``scope["bedstone.visitor"]`` and ``scope["bedstone.person"]`` tell
    whom a request is from. `pages`: how many pages a person of this name has open; `owner`: name
    of the person whom the page or socket belongs to that a request is for, None where it is for
    none.
    """

    def __init__(
        self,
        app: App,
        hosts: tuple[str, ...] = (),
        people: People | None = None,
        pages: Callable[[str], int] = lambda _: 0,
        owner: Callable[[Scope], str | None] = lambda _: None,
    ) -> None:
        self.app = app
        self.hosts = _LOOPBACK | frozenset(hosts)
        self.people = people
        self.pages = pages
        self.owner = owner
        self.rates = Rates()
        self.sign_ins = Rates()

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on, or refuse it."""
        if scope["type"] not in ("http", "websocket"):
            await self.app(scope, receive, send)
            return
        headers = [(name.lower(), value) for name, value in scope.get("headers", [])]
        largest, sign_in = LARGEST_BODY, False
        try:
            public = self.people.team.public if self.people is not None else ()
            if not allowed(headers, self.hosts, public):
                raise RefusedError(403, "not a page of this server")
            if self.people is not None:
                largest = self.people.team.limits.body
                sign_in = bool(self.people.team.tokens)
                if sum(len(name) + len(value) for name, value in headers) > LARGEST_HEADERS:
                    raise RefusedError(431, "too large")
                self._let_in(self.people, scope, headers)
            length = next((value for name, value in headers if name == b"content-length"), b"0")
            if not length.isdigit() or int(length) > largest:
                raise RefusedError(413, "too large")
        except RefusedError as error:
            await _refuse(scope, send, error, sign_in and _reads_html(scope, headers))
            return
        body = _Counted(receive, send, largest, _HEADERS if self.people is not None else ())
        try:
            await self.app(scope, body.receive, body.send)
        except Exception:
            if not body.overflowed:  # what half a body comes to is none of its faults
                raise
        if body.overflowed and not body.started:
            await _refuse(scope, send, RefusedError(413, "too large"))

    def _let_in(self, people: People, scope: Scope, headers: Headers) -> None:
        """Put the visitor into the scope; raises `RefusedError`."""
        client = scope.get("client") or ("", 0)
        peer, limits = str(client[0]), people.team.limits
        if is_sign_in(people, scope):
            if scope.get("method") == "POST":
                place = people.forwarded(headers, peer) or peer
                self.sign_ins.take(place, SIGN_INS_A_MINUTE)
            scope["bedstone.visitor"] = scope["bedstone.person"] = None
            return
        visitor = people.visitor(headers, peer, cookie_name(people, headers))
        name = visitor.person.name
        self.rates.take(name, limits.requests_a_minute)
        if _is_page(scope) and self.pages(name) >= limits.open_pages:
            told = f"{limits.open_pages} of your pages are open; close one"
            raise RefusedError(429, told, 60)
        if self.owner(scope) not in (None, name):
            raise RefusedError(403, "the page of somebody else")
        scope["bedstone.visitor"], scope["bedstone.person"] = visitor, visitor.person


def visitor_of(scope: Scope) -> Visitor:
    """Whom a request or the page made for it is from; only behind a `Guard` with people."""
    found = scope.get("bedstone.visitor")
    if not isinstance(found, Visitor):
        raise RefusedError(401, "nobody is signed in")
    return found


def is_sign_in(people: People, scope: Scope) -> bool:
    """Whether a request is for the one page that is there for everybody."""
    plain = scope["type"] == "http" and scope["path"] == SIGN_IN
    return plain and bool(people.team.tokens)


def cookie_name(people: People, headers: Headers) -> str:
    """What the cookie is called: behind https no other name of the domain can set it."""
    return "__Host-bedstone" if is_secure(people, headers) else "bedstone"


def is_secure(people: People, headers: Headers) -> bool:
    """Whether the name that a request was sent to is one that is reached by https."""
    host = next((value.decode("latin-1").lower() for name, value in headers if name == b"host"), "")
    return any(
        urlsplit(address).scheme == "https" and _same(host, address)
        for address in people.team.public
    )


def _is_page(scope: Scope) -> bool:
    return scope["type"] == "http" and scope["path"] in ("/", "/bridge", "/results", "/changes")


def allowed(headers: Headers, hosts: frozenset[str], public: tuple[str, ...] = ()) -> bool:
    """Whether the Host is one of ours, and the Origin, where there is one, the very same.

    `public`: addresses such as ``https://bridges.example.org``: a request to one of these may have
    no Origin but these, in full.
    """
    named = [value for name, value in headers if name == b"host"]
    origins = [value for name, value in headers if name == b"origin"]
    if len(named) != 1 or len(origins) > 1:
        return False
    try:
        host = named[0].decode("ascii").lower()
        own = [address for address in public if _same(host, address)]
        if not own and urlsplit(f"//{host}").hostname not in hosts:
            return False
        if not origins:
            return True
        told = origins[0].decode("ascii").lower()
        origin = urlsplit(told)
    except ValueError:
        return False
    if own:
        return told in own
    return origin.scheme in ("http", "https") and origin.netloc == host


def _same(host: str, address: str) -> bool:
    """Whether a Host is that of a public address, whose usual port need not be told."""
    parts = urlsplit(address)
    usual = ":443" if parts.scheme == "https" else ":80"
    return host == parts.netloc or (parts.port is None and host == parts.netloc + usual)


class _Counted:
    """A body that ends where it turns out larger than allowed, and an answer with our headers."""

    def __init__(
        self, receive: Receive, send: Send, most: int, headers: tuple[tuple[bytes, bytes], ...]
    ) -> None:
        self._receive, self._send = receive, send
        self._most, self._headers = most, headers
        self._taken = 0
        self.overflowed = self.started = False

    async def receive(self) -> MutableMapping[str, Any]:
        """The next part of the body; the end of the connection where there was too much."""
        message = await self._receive()
        if message["type"] == "http.request":
            self._taken += len(message.get("body", b""))
            if self._taken > self._most:
                self.overflowed = True
                return {"type": "http.disconnect"}
        return message

    async def send(self, message: MutableMapping[str, Any]) -> None:
        """Pass an answer on; what is said of half a body is not."""
        if self.overflowed and not self.started:
            return
        if message["type"] == "http.response.start":
            self.started = True
            told = {name.lower() for name, _ in message.get("headers", [])}
            more = [(name, value) for name, value in self._headers if name not in told]
            message = {**message, "headers": [*message.get("headers", []), *more]}
        await self._send(message)


def _reads_html(scope: Scope, headers: Headers) -> bool:
    wants = next((value for name, value in headers if name == b"accept"), b"")
    return scope.get("method") == "GET" and b"text/html" in wants


async def _refuse(scope: Scope, send: Send, error: RefusedError, sign_in: bool = False) -> None:
    """Say why not; `sign_in`: nobody is shown the way to the page to sign in."""
    if scope["type"] == "websocket":
        await send({"type": "websocket.close", "code": 1008})
        return
    text, kind = f"refused: {error}\n", b"text/plain; charset=utf-8"
    if scope.get("path", "").startswith("/api/"):
        text, kind = json.dumps({"error": str(error)}), b"application/json"
    status = error.status
    more = list(_HEADERS)
    if error.wait:
        more.append((b"retry-after", str(error.wait).encode()))
    if status == 401:
        more.append((b"www-authenticate", b"Bearer"))
        if sign_in:
            status = 303
            more.append((b"location", SIGN_IN.encode()))
    body = text.encode()
    told = [(b"content-type", kind), (b"content-length", str(len(body)).encode()), *more]
    await send({"type": "http.response.start", "status": status, "headers": told})
    await send({"type": "http.response.body", "body": body})


def inside(folder: Path, name: str) -> Path:
    """A file of a folder by its name; raises `InputError` for any way out of the folder."""
    plain = Path(name).name
    own = name.isprintable() and plain == name and not name.startswith(".")
    try:
        target = (folder / (name if own else "")).resolve()
    except (OSError, ValueError, RuntimeError):  # a name no file can have, links in a ring
        own, target = False, folder
    if not plain or not own or target.parent != folder.resolve():
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
