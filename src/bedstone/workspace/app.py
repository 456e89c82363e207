"""The server of the workspace: one page on this machine, its navigation, saving and recovery.

Everything the page needs comes from this server; nothing is asked of any other.
"""

from __future__ import annotations

import asyncio
import contextlib
import gc
import socket
import sys
from collections.abc import Callable
from functools import partialmethod
from html import escape
from pathlib import Path
from typing import TYPE_CHECKING, Final

from nicegui import app, ui
from nicegui.server import Server

from bedstone.bridge.reader import LARGEST_FILE, read_text_of_bridge
from bedstone.bridge.tables import read_tables
from bedstone.errors import BedstoneError, Fault, InputError
from bedstone.files import read_text
from bedstone.output.drawing.to_svg import dark_colours
from bedstone.workspace import safety
from bedstone.workspace.engine import Engine

if TYPE_CHECKING:  # what computes is loaded while the browser starts: see `_Server.warm`
    from bedstone.workspace.desk import Desk
    from bedstone.workspace.pages import Page

PORT: Final = 8765
#: Ports tried after the first one.
PORTS: Final = 50
#: Longest turn (s) of one thread while others wait: work under way must not hold up an answer.
TURN: Final = 1e-3
_STATIC: Final = Path(__file__).parent / "static"
_ICON: Final = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 16 16"><rect width="16" height="16" '
    'rx="2" fill="#0f4c81"/><path d="M2 5h12v2H2zM4 12l1.5-4h1L8 12zM9 12l1.5-4h1L13 12z" '
    'fill="#fff"/></svg>'
)
_OPENING: Final = '<p class="note" role="status" style="padding: 14px">{} is being opened …</p>'


class _Server:
    """What all pages of one run share."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.engine = Engine()
        self.desks: list[Desk] = []
        self.first: Desk | None = None
        self.pages: tuple[Page, ...] = ()
        self.loaded = asyncio.Event()

    def desk(self) -> Desk:
        """A desk for a new visit; the first one is at work already."""
        from bedstone.workspace.desk import Desk

        desk, self.first = self.first or Desk.open(self.path), None
        self.desks.append(desk)
        return desk

    async def warm(self) -> None:
        """Load what computes, then work out the loads, while the browser still starts."""
        try:
            await asyncio.to_thread(self._load)
        finally:
            self.loaded.set()
        desk = self.first
        if desk is not None:
            await asyncio.to_thread(_look, desk)
        # what is there now stays: the collector need not walk through it at every change
        gc.collect()
        gc.freeze()

    def _load(self) -> None:
        import bedstone.workspace.visit  # noqa: F401 - loaded here, used by the first page
        from bedstone.workspace.desk import Desk
        from bedstone.workspace.pages import pages

        self.pages = pages()
        with contextlib.suppress(BedstoneError):  # changed since it was read: the page says it
            self.first = Desk.open(self.path)

    def end(self) -> None:
        """Keep what is not saved, end the workers."""
        for desk in self.desks:
            try:
                desk.autosave()
            except BedstoneError:
                continue
        self.engine.close()


def _look(desk: Desk) -> None:
    with contextlib.suppress(BedstoneError):  # the page says it again, in its place
        _ = desk.look if desk.modelled else None


_server: _Server | None = None


def engine() -> Engine:
    """The workers for long work, for pages that need them."""
    assert _server is not None, "only while the server runs"
    return _server.engine


def adopt(desk: Desk) -> None:
    """Let this tab work on another desk from its next page on."""
    assert _server is not None, "only while the server runs"
    _server.desks.append(desk)
    app.storage.tab["desk"] = desk


def serve(
    path: Path,
    host: str = "127.0.0.1",
    port: int = PORT,
    *,
    show: bool = True,
    told: Callable[[str], None] = print,
) -> None:
    """Serve the pages of one bridge file until interrupted.

    `port`: the first one tried; the next free one is taken; 0 leaves the choice to the system.
    `told` hears the address. Raises `InputError` for a bridge file with faults, or when no port is
    free.
    """
    global _server
    bridge = read_text_of_bridge(read_text(path, LARGEST_FILE), path.name, path.parent)
    read_tables(bridge, path.parent)
    _server = server = _Server(path)
    sys.setswitchinterval(TURN)
    bound = bound_to(host, port)
    free = bound.getsockname()[1]
    app.add_middleware(safety.Guard, hosts=() if safety.is_loopback(host) else (host,))
    app.add_static_files("/bedstone", _STATIC)
    version = int(max(file.stat().st_mtime for file in _STATIC.iterdir()))
    dark = f'html[data-theme="dark"]{{{dark_colours()}}}'
    ui.add_head_html(
        f'<link rel="stylesheet" href="/bedstone/workspace.css?{version}">'
        f"<style>{dark}</style>"
        f'<script src="/bedstone/workspace.js?{version}"></script>',
        shared=True,
    )

    @ui.page("/", title=f"{path.name} · bedstone")
    async def _page(page: str = "") -> None:
        client = ui.context.client
        opening = ui.html(_OPENING.format(escape(path.name)), sanitize=False)
        await client.connected(timeout=30.0)
        await server.loaded.wait()
        from bedstone.workspace.desk import Desk
        from bedstone.workspace.visit import Visit, visits

        tab = app.storage.tab
        desk = tab.get("desk")
        if not isinstance(desk, Desk):
            try:
                desk = tab["desk"] = await asyncio.to_thread(server.desk)
            except BedstoneError as error:
                opening.set_content(f'<p class="problem" role="alert">{escape(str(error))}</p>')
                return
        desk.reopen()
        opening.delete()
        visit = Visit(desk, server.pages, page)
        visits.append(visit)
        client.on_delete(visit.gone)
        visit.show()
        visit.offer()

    app.on_startup(server.warm)
    app.on_shutdown(server.end)
    name = f"[{host}]" if ":" in host else host
    told(f"http://{name}:{free}/")
    # no other program can take the port between finding it free and listening on it
    Server.run = partialmethod(Server.run, sockets=[bound])  # type: ignore[assignment,method-assign]
    ui.run(
        host=host,
        port=free,
        title="bedstone",
        favicon=_ICON,
        show=show,
        reload=False,
        dark=False,
        tailwind=False,
        binding_refresh_interval=None,
        show_welcome_message=False,
        language="en-US",
    )


def bound_to(host: str, first: int) -> socket.socket:
    """A socket on the first free port from `first` on, of any for 0; `InputError` without one."""
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    for port in range(first, min(first + PORTS, 65536)) if first else (0,):
        made = socket.socket(family, socket.SOCK_STREAM)
        made.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            made.bind((host, port))
            made.listen()  # another one may be bound to the same port, but not listen
        except OSError:
            made.close()
            continue
        return made
    last = min(first + PORTS, 65536) - 1
    raise InputError(
        [Fault("serve", "port", f"none free on {host}", f"one from {first} to {last}")]
    )
