"""A folder served to a team: sign-in, the interface for programs, and whose page is whose.

`attach` wires a folder's server: behind `safety.Guard` with the same people. Each page belongs to
the person whom its request came from; what the browser sends to it later is taken from that person
alone, and asked of the team file again every time.
"""

from __future__ import annotations

import re
from collections.abc import Awaitable, Callable
from html import escape
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final
from urllib.parse import parse_qs

from fastapi import FastAPI, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from bedstone.errors import BedstoneError, Fault, InputError
from bedstone.workspace.journal import Journal
from bedstone.workspace.limits import Rates, Works
from bedstone.workspace.people import (
    People,
    Person,
    RefusedError,
    Visitor,
    at_this_machine,
    cookie_of,
    read_people,
)
from bedstone.workspace.safety import SIGN_IN, Scope, cookie_name, is_loopback, is_secure
from bedstone.workspace.sessions import LASTS
from bedstone.workspace.writer import TeamWriter

if TYPE_CHECKING:
    from bedstone.workspace.folder import Served

SIGN_OUT: Final = "/sign-out"
#: What belongs to one page alone, such as its uploads; and what is sent to all of them.
_PART_OF_PAGE: Final = re.compile(r"/_nicegui/client/([^/]+)")
_SOCKETS: Final = "/_nicegui_ws/"
_LONGEST_FORM: Final = 4000  # bytes of what is sent to sign in
#: Events of a page in a minute, for each request that a person may make: a slider sends many.
_EVENTS: Final = 10


def people_of(host: str, team: Path | None, folder: Path) -> People:
    """Who a folder is served to; raises `InputError` with every fault of the team file.

    Without a team file that is the person at this machine, so that `host` has to be an address of
    it. The team file lies outside of the folder, where no editor of it can write.
    """
    if team is None:
        if not is_loopback(host):
            allowed = "127.0.0.1, or --team with a file that says who may come in"
            raise InputError([Fault("command line", "--host", repr(host[:60]), allowed)])
        return at_this_machine()
    if team.resolve().is_relative_to(folder.resolve()):
        allowed = "a place outside of the folder: its editors must not make themselves others"
        raise InputError([Fault("command line", "--team", repr(str(team)[:60]), allowed)])
    return read_people(team)


class Service:
    """The folder as its team uses it; made by `attach`."""

    def __init__(self, people: People, served: Served, works: Works) -> None:
        self.people = people
        self.served = served
        self.journal = Journal(served.root)
        self.works = works
        self.events = Rates()

    def again(self, scope: Scope) -> Visitor:
        """Whom a request, or the page made for it, is from at this moment.

        Raises `RefusedError` when they are out: taken out of the team file, signed out, their token
        replaced.
        """
        headers = [(name.lower(), value) for name, value in scope.get("headers", [])]
        peer = str((scope.get("client") or ("", 0))[0])
        return self.people.visitor(headers, peer, cookie_name(self.people, headers))

    def writer(self, scope: Scope) -> TeamWriter:
        """The writer of the page that was made for a request: for its desks, and to ask why not."""
        return TeamWriter(self.served.root, self.people, self.journal, lambda: self.again(scope))

    def person(self, scope: Scope) -> Person:
        """Who a request is from."""
        return self.again(scope).person


def attach(app: FastAPI, people: People, served: Served, works: Works | None = None) -> Service:
    """Add sign-in and sign-out, and ``/api``, to the server of a folder; `works`: of its pages.

    The server has to have ``safety.Guard(people=people, pages=pages_open, owner=owner_of)`` in
    front. Call `bind_pages` too where it serves pages.
    """
    from bedstone.workspace.api import api

    service = Service(people, served, works or Works())
    app.mount("/api", api(service))
    app.add_route(SIGN_IN, _shown, methods=["GET"])
    app.add_route(SIGN_IN, _signed_in(people), methods=["POST"])
    app.add_route(SIGN_OUT, _signed_out(people), methods=["POST"])
    return service


# ------------------------------------------------------------------ pages
def pages_open(name: str) -> int:
    """How many pages a person has open."""
    from nicegui import Client

    return sum(1 for client in list(Client.instances.values()) if _owner(client) == name)


def owner_of(scope: Scope) -> str | None:
    """Whose page or socket a request is for: an upload to a page, a part of what a socket carries.

    None where it is for none that is there.
    """
    from nicegui import Client, core

    page = _PART_OF_PAGE.match(scope["path"])
    client = None if page is None else Client.instances.get(page[1])
    if client is not None:
        return _owner(client)
    if not scope["path"].startswith(_SOCKETS):
        return None
    asked = parse_qs(scope.get("query_string", b"").decode("latin-1")).get("sid", [])
    for number in asked:
        own = core.sio.environ.get(number, {}).get("asgi.scope", {}).get("bedstone.person")
        if isinstance(own, Person):
            return own.name
    return None


def _owner(client: Any) -> str | None:
    """Whose page it is; None for one that was made for nobody."""
    request = client._request
    person = None if request is None else request.scope.get("bedstone.person")
    return person.name if isinstance(person, Person) else None


def bind_pages(service: Service) -> None:
    """Take what a browser sends to a page from the person alone to whom the page belongs.

    A page is known by a number that nobody guesses; it stands in addresses though, and so in what
    a proxy writes down: it must not be enough. Uploads are bound by the guard.
    """
    from nicegui import core

    handlers = core.sio.handlers["/"]
    for name in ("handshake", "event", "javascript_response", "ack", "log"):
        handlers[name] = _bound(service, core.sio, handlers[name])
    handlers["connect"] = _bound_connection(service, handlers["connect"])


def _bound(
    service: Service, sockets: Any, handler: Callable[..., Any]
) -> Callable[..., Awaitable[Any]]:
    """A handler of messages that asks first whose they are."""
    import inspect

    async def checked(sid: str, message: Any, *more: Any) -> Any:
        number = message.get("client_id") if isinstance(message, dict) else None
        scope = sockets.get_environ(sid)["asgi.scope"]
        try:
            owned(service, scope, number)
        except RefusedError:
            # the page asks for itself anew, and is let in, shown the way, or refused in words
            await sockets.emit("run_javascript", {"code": "location.reload()"}, to=sid)
            await sockets.disconnect(sid)
            return False
        found = handler(sid, message, *more)
        return await found if inspect.isawaitable(found) else found

    return checked


def _bound_connection(
    service: Service, handler: Callable[..., Awaitable[Any]]
) -> Callable[..., Awaitable[Any]]:
    """The same for a connection that names its page at once."""

    async def checked(sid: str, told: Any, *more: Any) -> Any:
        query = parse_qs(told.get("QUERY_STRING", ""))
        if query.get("implicit_handshake", [""])[0] == "true":
            try:
                owned(service, told["asgi.scope"], query.get("client_id", [None])[0])
            except RefusedError:
                return False  # the connection is refused
        return await handler(sid, told, *more)

    return checked


def owned(service: Service, scope: Scope, number: object) -> None:
    """Raise `RefusedError` unless a message over a socket is from the person of its page.

    `scope`: of the socket; `number`: of the page.
    """
    from nicegui import Client

    person = service.person(scope)
    client = Client.instances.get(number) if isinstance(number, str) else None
    if client is not None and _owner(client) != person.name:
        raise RefusedError(403, "the page of somebody else")
    a_minute = service.people.team.limits.requests_a_minute * _EVENTS
    service.events.take(person.name, a_minute)


# ------------------------------------------------------------------ signing in
async def _shown(_: Request) -> Response:
    return HTMLResponse(_page(), headers={"cache-control": "no-store"})


def _signed_in(people: People) -> Callable[[Request], Awaitable[Response]]:
    """Exchange a token for a cookie."""

    async def signed_in(request: Request) -> Response:
        body = await request.body()
        try:
            told = parse_qs(body[:_LONGEST_FORM].decode("ascii", "replace"), max_num_fields=10)
        except ValueError:  # more fields than a form of ours has
            told = {}
        try:
            value = people.sign_in(told.get("token", [""])[0].strip())
        except BedstoneError as error:
            return HTMLResponse(_page(str(error)), 503)
        if value is None:
            return HTMLResponse(_page("This token is not known."), 401)
        name, secure = _cookie(people, request)
        response = RedirectResponse("/", 303)
        response.set_cookie(
            name, value, max_age=int(LASTS), path="/",
            secure=secure, httponly=True, samesite="strict",
        )  # fmt: skip
        return response

    return signed_in


def _signed_out(people: People) -> Callable[[Request], Awaitable[Response]]:
    """End a cookie, also where somebody kept a copy of it."""

    async def signed_out(request: Request) -> Response:
        name, secure = _cookie(people, request)
        value = cookie_of(request.scope["headers"], name)
        people.sessions.end(value, people.team.tokens)
        response = RedirectResponse(SIGN_IN, 303)
        response.delete_cookie(name, path="/", secure=secure, httponly=True, samesite="strict")
        return response

    return signed_out


def _cookie(people: People, request: Request) -> tuple[str, bool]:
    headers = request.scope["headers"]
    return cookie_name(people, headers), is_secure(people, headers)


def _page(fault: str = "") -> str:
    told = f'<p role="alert" class="fault">{escape(fault)}</p>' if fault else ""
    return _SIGN_IN_PAGE.replace("FAULT", told)


_SIGN_IN_PAGE: Final = """<!doctype html>
<html lang="en"><head><meta charset="utf-8"><title>Sign in · bedstone</title>
<meta name="viewport" content="width=device-width, initial-scale=1">
<style>
:root { color-scheme: light dark; font: 16px/1.5 system-ui, sans-serif; }
main { max-width: 26rem; margin: 12vh auto; padding: 0 16px; }
label, input, button { display: block; width: 100%; box-sizing: border-box; }
input, button { min-height: 44px; margin: 6px 0 14px; padding: 6px 10px; font: inherit; }
.what { margin: 0; } h1 { margin: 0 0 16px; }
.fault { color: #b3261e; font-weight: 600; }
@media (prefers-color-scheme: dark) { .fault { color: #ff8a80; } }
</style></head><body><main><p class="what">bedstone: bridges of a team</p><h1>Sign in</h1>FAULT
<form method="post" action="/sign-in" autocomplete="off">
<label for="token">Your token</label>
<input id="token" name="token" type="password" required maxlength="200" autofocus
 autocomplete="current-password">
<button type="submit">Sign in</button></form>
<p>Whoever keeps the team file gives you a token. Being signed in ends after twelve hours, when you
sign out, and when the team file no longer has your token. Edits that were not saved are offered
when you open the bridge again.</p></main></body></html>
"""
