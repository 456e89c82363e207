"""The server of the workspace: its pages on this machine, their navigation, saving and recovery.

Everything the page needs comes from this server; nothing is asked of any other.
"""

from __future__ import annotations

import asyncio
import contextlib
import gc
import socket
import sys
from collections.abc import Callable, Mapping
from functools import partialmethod
from html import escape
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from nicegui import app, ui
from nicegui.server import Server as NiceServer

from bedstone.bridge.reader import LARGEST_FILE, read_text_of_bridge
from bedstone.bridge.tables import read_tables
from bedstone.errors import BedstoneError, Fault, InputError
from bedstone.files import read_text
from bedstone.output.drawing.to_svg import dark_colours
from bedstone.workspace import safety
from bedstone.workspace.engine import Engine
from bedstone.workspace.visible import faults, visible

if TYPE_CHECKING:  # what computes is loaded while the browser starts: see `Server.warm`
    from bedstone.workspace.desk import Desk
    from bedstone.workspace.pages import Page
    from bedstone.workspace.writer import Writer

PORT: Final = 8765
#: Ports tried after the first one.
PORTS: Final = 50
#: Longest turn (s) of one thread while others wait: work under way must not hold up an answer.
TURN: Final = 1e-3
STATIC: Final = Path(__file__).parent / "static"
_ICON: Final = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 16 16"><rect width="16" height="16" '
    'rx="2" fill="#0f4c81"/><path d="M2 5h12v2H2zM4 12l1.5-4h1L8 12zM9 12l1.5-4h1L13 12z" '
    'fill="#fff"/></svg>'
)
_OPENING: Final = '<p class="note" role="status" style="padding: 14px">{} is being opened …</p>'


class Server:
    """What all pages of one run share. What is served, one file or a folder, is told by its kind.

    `desk`, `adopt` and `address` are about the tab of the page that is being built.
    """

    def __init__(self) -> None:
        self.engine = Engine()
        self.pages: tuple[Page, ...] = ()
        self.loaded = asyncio.Event()

    async def desk(self, file: str) -> Desk:
        """The desk of this tab for a bridge; raises what opening it raises."""
        raise NotImplementedError

    async def text(self, file: str) -> tuple[Path, Writer]:
        """The path of a bridge file that may have faults, and by what this tab writes it.

        Raises `BedstoneError` where there is none.
        """
        raise NotImplementedError

    def adopt(self, desk: Desk) -> None:
        """Let this tab work on another desk from its next page on."""
        raise NotImplementedError

    def address(self, desk: Desk, page: str = "") -> str:
        """Where a desk and a page of it are found; nothing of a page leaves it open."""
        raise NotImplementedError

    def called(self, desk: Desk) -> str:
        """What its file is called in the head of its page."""
        return desk.name

    def desks(self) -> list[Desk]:
        """All desks that are held."""
        raise NotImplementedError

    #: Where the bridge is one of many, and what that place is called.
    back: tuple[str, str] | None = None

    async def warm(self) -> None:
        """Load what computes, then work out the loads, while the browser still starts."""
        try:
            await asyncio.to_thread(self.load)
        finally:
            self.loaded.set()
        await self.warmed()
        # what is there now stays: the collector need not walk through it at every change
        gc.collect()
        gc.freeze()

    def load(self) -> None:
        """What the first page of a bridge needs; in a thread."""
        import bedstone.workspace.visit  # noqa: F401 - loaded here, used by the first page
        from bedstone.workspace.pages import pages

        self.pages = pages()

    async def warmed(self) -> None:
        """What may be done before the first page asks for it."""

    def end(self) -> None:
        """Keep what is not saved, end the workers."""
        for desk in self.desks():
            try:
                desk.autosave()
            except BedstoneError:
                continue
        self.engine.close()


class _OneFile(Server):
    """One bridge file; a tab works on one desk at a time, of this file first."""

    def __init__(self, path: Path) -> None:
        super().__init__()
        self.path = path
        self.held: list[Desk] = []
        self.first: Desk | None = None

    async def desk(self, file: str) -> Desk:
        """The desk the tab works on; the first one is at work already."""
        from bedstone.workspace.desk import Desk

        held = app.storage.tab.get("desk")
        if isinstance(held, Desk):
            return held
        first, self.first = self.first, None
        desk = first if first is not None else await asyncio.to_thread(Desk.open, self.path)
        self.adopt(desk)
        return desk

    async def text(self, file: str) -> tuple[Path, Writer]:
        """The one file there is."""
        from bedstone.workspace.writer import ALONE

        return self.path, ALONE

    def adopt(self, desk: Desk) -> None:
        """Let this tab work on another desk from its next page on."""
        self.held.append(desk)
        app.storage.tab["desk"] = desk

    def address(self, desk: Desk, page: str = "") -> str:
        """The one page there is."""
        return f"/?page={page}" if page else "/"

    def desks(self) -> list[Desk]:
        """All desks since the start."""
        return self.held

    def load(self) -> None:
        """Open the file as well."""
        super().load()
        from bedstone.workspace.desk import Desk

        with contextlib.suppress(BedstoneError):  # changed since it was read: the page says it
            self.first = Desk.open(self.path)

    async def warmed(self) -> None:
        """Work the loads out."""
        desk = self.first
        if desk is not None:
            await asyncio.to_thread(_look, desk)


def _look(desk: Desk) -> None:
    with contextlib.suppress(BedstoneError):  # the page says it again, in its place
        _ = desk.look if desk.modelled else None


_server: Server | None = None


def serving() -> Server:
    """The server of this run."""
    assert _server is not None, "only while the server runs"
    return _server


def engine() -> Engine:
    """The workers for long work, for pages that need them."""
    return serving().engine


def adopt(desk: Desk, page: str) -> str:
    """Let this tab work on another desk from its next page on; the address of a page of it."""
    serving().adopt(desk)
    return serving().address(desk, page)


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
    bridge = read_text_of_bridge(read_text(path, LARGEST_FILE), path.name, path.parent)
    read_tables(bridge, path.parent)
    bound = bound_to(host, port)
    server = _OneFile(path)

    @ui.page("/", title=f"{path.name} · bedstone")
    async def _page(page: str = "") -> None:
        await bridge_page(server, path.name, page)

    hosts = () if safety.is_loopback(host) else (host,)
    start(server, bound, host, hosts, show=show, told=told)


async def bridge_page(server: Server, file: str, page: str) -> None:
    """The page of a bridge at a desk of this tab; `file`: what it is called until it is there."""
    client = ui.context.client
    opening = ui.html(_OPENING.format(escape(visible(file))), sanitize=False)
    await client.connected(timeout=30.0)
    await server.loaded.wait()
    from bedstone.workspace.visit import Visit, visits

    try:
        desk = await server.desk(file)
    except BedstoneError as error:
        if not await _mend(server, file, opening):
            opening.set_content(_problem(error, server.back))
        return
    desk.reopen()
    opening.delete()
    visit = Visit(desk, server, page)
    visits.append(visit)
    client.on_delete(visit.gone)
    await visit.renew()
    visit.show()
    visit.offer()


async def _mend(server: Server, file: str, opening: ui.html) -> bool:
    """Show the text of a file with faults beside them; whether that is what keeps it shut."""
    from bedstone.workspace.mending import Mending, draft_with_faults

    try:
        path, writer = await server.text(file)
    except BedstoneError:
        return False
    draft = await asyncio.to_thread(draft_with_faults, path)
    if draft is None:
        return False
    opening.delete()
    Mending(path, draft, writer, file, server.back)
    return True


def _problem(error: BedstoneError, back: tuple[str, str] | None) -> str:
    """Why a bridge cannot be opened: a line for each fault, and the way back."""
    lines = "".join(f"<li>{escape(line)}</li>" for line in faults(error))
    link = f'<p><a href="{escape(back[0])}" data-stock>{escape(back[1])}</a></p>' if back else ""
    return f'<div class="problem" role="alert"><ul>{lines}</ul>{link}</div>'


def start(
    server: Server,
    bound: socket.socket,
    host: str,
    hosts: tuple[str, ...],
    *,
    show: bool,
    told: Callable[[str], None],
    guarded: Mapping[str, Any] | None = None,
) -> None:
    """Serve the pages that were made until interrupted, on a socket that listens already.

    `hosts`: names under which it may be called beside those of loopback; `guarded`: what else the
    guard is told.
    """
    global _server
    _server = server
    sys.setswitchinterval(TURN)
    free = bound.getsockname()[1]
    app.add_middleware(safety.Guard, hosts=hosts, **(guarded or {}))
    app.add_static_files("/bedstone", STATIC)
    version = int(max(file.stat().st_mtime for file in STATIC.iterdir()))
    dark = f'html[data-theme="dark"]{{{dark_colours()}}}'
    ui.add_head_html(
        f'<link rel="stylesheet" href="/bedstone/workspace.css?{version}">'
        f"<style>{dark}</style>"
        f'<script src="/bedstone/workspace.js?{version}"></script>',
        shared=True,
    )
    app.on_startup(server.warm)
    app.on_shutdown(server.end)
    name = f"[{host}]" if ":" in host else host
    told(f"http://{name}:{free}/")
    # no other program can take the port between finding it free and listening on it
    NiceServer.run = partialmethod(NiceServer.run, sockets=[bound])  # type: ignore[assignment,method-assign]
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
        proxy_headers=False,  # whose connection it is must not be told by whoever connects
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
