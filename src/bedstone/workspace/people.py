"""Who works on a folder of bridge files: the team file, and who a request comes from.

A request tells its person in one of three ways: a header that a trusted proxy sets, a token (for
programs), or a cookie that a token was exchanged for. The team file is read at every request, so
that a person who is taken out is out at once; while it has faults nobody gets in.
"""

from __future__ import annotations

import getpass
import hashlib
import hmac
import ipaddress
import re
import secrets
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Annotated, Final, Literal
from urllib.parse import urlsplit

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from bedstone.bridge.reader import shorten, show, where
from bedstone.errors import BedstoneError, Fault, InputError
from bedstone.files import read_text
from bedstone.workspace.sessions import Sessions

Role = Literal["reader", "editor"]
#: How a request told its person.
Way = Literal["this machine", "proxy", "token", "cookie"]
Headers = Sequence[tuple[bytes, bytes]]
Network = ipaddress.IPv4Network | ipaddress.IPv6Network

_LARGEST: Final = 1_000_000  # bytes of a team file
_TOKEN: Final = re.compile(r"bedstone-[A-Za-z0-9_-]{43}")
_HASH: Final = r"sha256:[0-9a-f]{64}"
_LONGEST_NAME: Final = 100


class RefusedError(BedstoneError):
    """A request that is not let in; `status`: of HTTP, `wait`: seconds before another try."""

    def __init__(self, status: int, text: str, wait: int = 0) -> None:
        self.status, self.wait = status, wait
        super().__init__(text)


class RoleError(BedstoneError):
    """Something that the role of a person does not allow."""


@dataclass(frozen=True)
class Person:
    """Someone who may open the folder: an `editor` may change what is in it."""

    name: str
    role: Role

    @property
    def writes(self) -> bool:
        """Whether this person may change files."""
        return self.role == "editor"


@dataclass(frozen=True)
class Visitor:
    """A person at a request.

    `peer`: address of the connection; `forwarded`: the address the trusted proxy told; "" if none.
    """

    person: Person
    way: Way
    peer: str
    forwarded: str = ""


# ------------------------------------------------------------------ the team file
class _Part(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)


class _Public(_Part):
    addresses: list[str] = []


class _Proxy(_Part):
    header: Annotated[str, Field(pattern=r"^[A-Za-z0-9-]{1,60}$")]
    trusted: Annotated[list[str], Field(min_length=1)]


class _Member(_Part):
    role: Role
    token: Annotated[str, Field(pattern=f"^{_HASH}$")] | None = None


class _Others(_Part):
    role: Literal["reader"]


class Limits(_Part):
    """What one person may ask: bytes of a body, requests a minute, pages open, long works."""

    body: Annotated[int, Field(ge=1000, le=100_000_000)] = 20_100_000
    requests_a_minute: Annotated[int, Field(ge=1, le=1_000_000)] = 1200
    open_pages: Annotated[int, Field(ge=1, le=10_000)] = 20
    long_works: Annotated[int, Field(ge=1, le=1000)] = 2


class _TeamFile(_Part):
    public: _Public = _Public()
    proxy: _Proxy | None = None
    people: dict[str, _Member] = {}
    others: _Others | None = None
    limits: Limits = Limits()


@dataclass(frozen=True)
class Team:
    """What a team file says.

    `tokens`: name -> ``sha256:`` of the token; `public`: addresses under which the server is
    reached, such as ``https://bridges.example.org``; `others`: role of names that are not listed.
    """

    people: Mapping[str, Person]
    tokens: Mapping[str, str] = field(default_factory=dict)
    header: bytes = b""
    trusted: tuple[Network, ...] = ()
    others: Role | None = None
    public: tuple[str, ...] = ()
    limits: Limits = field(default_factory=Limits)

    def person(self, name: str) -> Person | None:
        """The person of a name, if they may come in."""
        found = self.people.get(name)
        if found is None and self.others is not None and _named(name):
            return Person(name, self.others)
        return found


def read_team(text: str, file: str) -> Team:
    """What the text of a team file says; raises `InputError` with every fault."""
    try:
        data = tomllib.loads(text)
    except (tomllib.TOMLDecodeError, ValueError, RecursionError) as error:
        raise InputError([Fault(file, "file", shorten(str(error)), "valid TOML")]) from None
    try:
        told = _TeamFile.model_validate(data)
    except ValidationError as error:
        raise InputError(
            [
                Fault(
                    file,
                    where(data, item["loc"]),
                    "nothing" if item["type"] == "missing" else _found(item["input"]),
                    _allowed(item["type"], item["msg"]),
                )
                for item in error.errors(include_url=False)
            ]
        ) from None
    faults: list[Fault] = []
    for name, member in told.people.items():
        if not _named(name):
            allowed = f"1 to {_LONGEST_NAME} printable characters, no comma, no blank at an end"
            faults.append(Fault(file, "people", repr(shorten(name)), allowed))
        if member.token is None and told.proxy is None:
            allowed = "a token (`bedstone token`), or [proxy] which tells the names"
            faults.append(Fault(file, where(data, ("people", name, "token")), "nothing", allowed))
    tokens = {name: item.token for name, item in told.people.items() if item.token is not None}
    if len(set(tokens.values())) < len(tokens):
        faults.append(Fault(file, "people", "one token twice", "a token of their own for each"))
    if not told.people and told.others is None:
        faults.append(Fault(file, "people", "nobody", "at least one person, or [others]"))
    if told.others is not None and told.proxy is None:
        allowed = "[proxy] too: only a proxy tells names that are not listed"
        faults.append(Fault(file, "others", "no [proxy]", allowed))
    trusted = []
    for number, network in enumerate(told.proxy.trusted if told.proxy else ()):
        try:
            trusted.append(ipaddress.ip_network(network))
        except ValueError:
            place = where(data, ("proxy", "trusted", number))
            allowed = "an address or network such as 10.0.0.0/8"
            faults.append(Fault(file, place, show(network), allowed))
    public = []
    for number, address in enumerate(told.public.addresses):
        plain = _origin(address)
        if plain is None:
            place = where(data, ("public", "addresses", number))
            allowed = "an address such as https://bridges.example.org, no path"
            faults.append(Fault(file, place, show(address), allowed))
        else:
            public.append(plain)
    if faults:
        raise InputError(faults)
    return Team(
        {name: Person(name, item.role) for name, item in told.people.items()},
        tokens,
        told.proxy.header.lower().encode() if told.proxy else b"",
        tuple(trusted),
        told.others.role if told.others else None,
        tuple(public),
        told.limits,
    )


def _found(value: object) -> str:
    return show(value)


def _allowed(kind: str, message: str) -> str:
    words = {
        "missing": "this field is needed",
        "extra_forbidden": "a field that docs/team.md lists",
        "model_type": "a table",
        "dict_type": "a table",
        "string_type": "text in quotes",
        "int_type": "a whole number",
        "list_type": "a list",
    }
    text = message.removeprefix("Input should be ").removeprefix("String should ")
    return words.get(kind, text[:1].lower() + text[1:])


def _named(name: str) -> bool:
    """Whether a text can be a name: a comma would let two headers pass for one."""
    return (
        0 < len(name) <= _LONGEST_NAME
        and name == name.strip()
        and name.isprintable()
        and "," not in name
    )


def _origin(address: str) -> str | None:
    """Scheme and host of an address as browsers write an Origin; None where it is none."""
    try:
        parts = urlsplit(address.lower())
        port = parts.port
    except ValueError:
        return None
    plain = parts.scheme in ("http", "https") and parts.hostname and parts.path in ("", "/")
    if not plain or parts.query or parts.fragment or "@" in parts.netloc:
        return None
    name = f"[{parts.hostname}]" if ":" in (parts.hostname or "") else parts.hostname
    usual = {"http": 80, "https": 443}[parts.scheme]
    return f"{parts.scheme}://{name}" + ("" if port in (None, usual) else f":{port}")


# ------------------------------------------------------------------ tokens
def new_token() -> str:
    """A new token: 256 random bits behind a word that tells what it is."""
    return f"bedstone-{secrets.token_urlsafe(32)}"


def token_hash(token: str) -> str:
    """What stands of a token in a team file. No salt: nobody can guess 256 random bits."""
    return f"sha256:{hashlib.sha256(token.encode()).hexdigest()}"


# ------------------------------------------------------------------ people
class People:
    """Who may come in, by the team file as it is at this moment. Safe in all threads.

    Made by `read_people` or `at_this_machine`.
    """

    def __init__(self, team: Team, path: Path | None = None, text: str = "") -> None:
        self.path = path
        self.sessions = Sessions()
        self._read: tuple[str, Team | None] = (text, team)

    @property
    def alone(self) -> bool:
        """Whether there is no team: one person at this machine."""
        return self.path is None

    @property
    def team(self) -> Team:
        """What the team file says now; raises `RefusedError` (503) while it has faults."""
        if self.path is not None:
            try:
                text = read_text(self.path, _LARGEST)
                if text != self._read[0]:
                    self._read = (text, None)
                    self._read = (text, read_team(text, self.path.name))
            except InputError as error:
                told = "the team file has faults or cannot be read; nobody is let in"
                raise RefusedError(503, told) from error
        found = self._read[1]
        if found is None:
            raise RefusedError(503, "the team file has faults; nobody is let in")
        return found

    def now(self, name: str) -> Person | None:
        """The person of a name as the team file has them now; None where they are out."""
        try:
            return self.team.person(name)
        except RefusedError:
            return None

    def visitor(self, headers: Headers, peer: str, cookie: str) -> Visitor:
        """Who a request comes from.

        `headers`: names in small letters; `peer`: address of the connection; `cookie`: name of the
        cookie of this server. Raises `RefusedError`: 401 for nobody, 403 for somebody who is not
        let in or a header that is not believed, 503 while the team file has faults.
        """
        team = self.team
        if self.alone:
            (person,) = team.people.values()
            if not _within(peer, _LOOPBACK):
                raise RefusedError(403, "this folder is served to its own machine only")
            return Visitor(person, "this machine", peer)
        told = _told_by_proxy(team, headers, peer)
        if told is not None:
            return Visitor(_let_in(team, told), "proxy", peer, self.forwarded(headers, peer))
        forwarded = self.forwarded(headers, peer)
        bearers = [value for name, value in headers if name == b"authorization"]
        if bearers:
            token = bearers[0].decode("latin-1").partition(" ")
            if len(bearers) > 1 or token[0].lower() != "bearer":
                raise RefusedError(401, "one Authorization: Bearer with a token")
            holder = self.holder(token[2].strip())
            if holder is None:
                raise RefusedError(401, "a token that is not known")
            return Visitor(holder, "token", peer, forwarded)
        name = self.sessions.holder(cookie_of(headers, cookie), team.tokens)
        if name is None:
            raise RefusedError(401, "nobody is signed in")
        return Visitor(_let_in(team, name), "cookie", peer, forwarded)

    def forwarded(self, headers: Headers, peer: str) -> str:
        """The address that a trusted proxy tells for a request; "" for none."""
        return _forwarded(headers) if _within(peer, self.team.trusted) else ""

    def holder(self, token: str) -> Person | None:
        """Who a token belongs to. All are compared, each in constant time."""
        team = self.team
        if not _TOKEN.fullmatch(token):
            return None
        own = token_hash(token)
        found = [name for name, kept in team.tokens.items() if hmac.compare_digest(kept, own)]
        return team.person(found[0]) if found else None

    def sign_in(self, token: str) -> str | None:
        """The cookie for a token, if it is known."""
        person = self.holder(token)
        if person is None:
            return None
        return self.sessions.begin(person.name, self.team.tokens[person.name])


def read_people(path: Path) -> People:
    """The people of a team file; raises `InputError` with every fault."""
    text = read_text(path, _LARGEST)
    return People(read_team(text, path.name), path, text)


def at_this_machine() -> People:
    """The one person at this machine, an editor by the name of the account; loopback only."""
    try:
        name = getpass.getuser()
    except (OSError, KeyError):  # an account without a name
        name = "this machine"
    return People(Team({name: Person(name, "editor")}))


def cookie_of(headers: Headers, name: str) -> str:
    """The value of a cookie; "" where there is none, or more than one of the name."""
    told = [value.decode("latin-1") for key, value in headers if key == b"cookie"]
    pairs = [pair.strip().partition("=") for line in told for pair in line.split(";")]
    found = [value for key, _, value in pairs if key == name]
    return found[0] if len(found) == 1 else ""


_LOOPBACK: Final = (ipaddress.ip_network("127.0.0.0/8"), ipaddress.ip_network("::1/128"))


def _within(peer: str, networks: Sequence[Network]) -> bool:
    try:
        address = ipaddress.ip_address(peer)
    except ValueError:  # a socket without an address
        return False
    if isinstance(address, ipaddress.IPv6Address) and address.ipv4_mapped is not None:
        address = address.ipv4_mapped
    return any(address in network for network in networks)


def _told_by_proxy(team: Team, headers: Headers, peer: str) -> str | None:
    """The name that a trusted proxy tells; None where none is told."""
    if not team.header:
        return None
    # a name with _ for - is another header here, but was made the same one on its way by some
    told = [
        (name, value) for name, value in headers if name.replace(b"_", b"-") == team.header
    ]  # fmt: skip
    if not told:
        return None
    if not _within(peer, team.trusted):
        raise RefusedError(403, "a header that only the proxy may set")
    if len(told) > 1 or told[0][0] != team.header:
        raise RefusedError(403, "more than one name")
    try:
        return told[0][1].decode("utf-8").strip()
    except UnicodeDecodeError:
        raise RefusedError(403, "a name that is no text") from None


def _let_in(team: Team, name: str) -> Person:
    person = team.person(name)
    if person is None:
        raise RefusedError(403, "not a person of this team")
    return person


def _forwarded(headers: Headers) -> str:
    """The address that the nearest proxy saw: the last of the line."""
    told = [value for name, value in headers if name == b"x-forwarded-for"]
    return shorten(told[-1].decode("latin-1").rpartition(",")[2], 60) if told else ""
