"""The server of a folder: the page of the stock, and the workspace of every bridge in it."""

from __future__ import annotations

import asyncio
import contextlib
import hashlib
import json
from collections.abc import Callable
from html import escape
from pathlib import Path
from typing import TYPE_CHECKING

from fastapi import Response
from nicegui import app, ui

from bedstone.errors import BedstoneError, Fault, InputError
from bedstone.workspace import app as workspace
from bedstone.workspace import safety
from bedstone.workspace.folder import Served, bridge_address
from bedstone.workspace.folder_look import Looking
from bedstone.workspace.people import People
from bedstone.workspace.team import SIGN_OUT, attach, bind_pages, owner_of, pages_open, people_of
from bedstone.workspace.visible import faults
from bedstone.workspace.writer import TeamWriter, Writer

if TYPE_CHECKING:
    from bedstone.workspace.desk import Desk
    from bedstone.workspace.folder_desks import Desks
    from bedstone.workspace.stock_page import StockPage
    from bedstone.workspace.stock_read import Standing


class FolderServer(workspace.Server):
    """What all pages of a folder share: its stock as it was read last, the work on it, the desks.

    `found`: None until the store was read; `problem`: why it could not be; `rows`: the version of
    what the tables of the pages hold.
    """

    back = ("/", "Stock of bridges")

    def __init__(self, served: Served, people: People) -> None:
        super().__init__()
        from bedstone.workspace.stock_work import Working

        self.served = served
        self.service = attach(app, people, served, self.engine.works)
        self.working = Working()
        self.found: Standing | None = None
        self.problem: tuple[str, ...] = ()
        self.rows = ""
        self.data = b""
        self.open: list[StockPage] = []
        self._desks: Desks | None = None
        self._looking = Looking(self._look)
        self.working.watch(self._worked)

    # ------------------------------------------------------------------ bridges
    @property
    def held(self) -> Desks:
        """The desks; what they need is loaded by then."""
        if self._desks is None:
            from bedstone.workspace.folder_desks import Desks
            from bedstone.workspace.visit import shown

            self._desks = Desks(shown)
        return self._desks

    async def desk(self, file: str) -> Desk:
        """The desk of this tab for a bridge of the folder, by its path in it."""
        from bedstone.workspace.desk import Desk

        tab = _tab()
        path = await asyncio.to_thread(self.served.member, file) if file else None
        desk = self.held.of(tab, path)
        if desk is None and path is None:
            allowed = "a bridge file of the folder; a bridge that was never saved is gone"
            raise InputError([Fault("serve", "file", "none", allowed)])
        if desk is None:
            assert path is not None
            opened = await asyncio.to_thread(Desk.open, path, self.writer())
            # another page of the same tab may have been quicker
            desk = self.held.of(tab, path) or opened
            self.held.add(tab, desk)
        desk.writer = self.writer()  # of this page: its person may have signed in anew
        return desk

    async def text(self, file: str) -> tuple[Path, Writer]:
        """A bridge file of the folder, by its path in it."""
        return await asyncio.to_thread(self.served.member, file), self.writer()

    def adopt(self, desk: Desk) -> None:
        """Let this tab work on another desk too."""
        self.held.add(_tab(), desk)

    def address(self, desk: Desk, page: str = "") -> str:
        """The page of its bridge."""
        return bridge_address("" if desk.path is None else self.called(desk), page)

    def called(self, desk: Desk) -> str:
        """The path of its file in the folder."""
        return desk.name if desk.path is None else self.served.name_of(desk.path)

    def desks(self) -> list[Desk]:
        """All desks that are held."""
        return self.held.all()

    # ------------------------------------------------------------------ the stock
    @property
    def folder(self) -> str:
        """The folder, as it is told on the page: others need not know where it lies."""
        return self.served.root.name

    @property
    def where(self) -> str:
        """Where its results are kept, in words."""
        return self.served.told or "the cache of who serves it"

    def refusal(self) -> str:
        """Why this person may not have anything worked out; "" where they may."""
        return self.writer().why_not

    def visitor(self) -> str:
        """Where the changes are told, and in a team who is here, and the way out."""
        changes = '<a href="/changes" style="color: var(--blue)">Changes</a>'
        if self.service.people.alone:
            return changes
        visitor = self.service.again(ui.context.client.request.scope)
        told = f"{escape(visitor.person.name)}, {visitor.person.role}"
        out = '<button type="submit">Sign out</button>'
        out = f'<form method="post" action="{SIGN_OUT}">{out}</form>'
        out = out if visitor.way == "cookie" else ""
        return f'{changes}<span class="note">{told}</span>{out}'

    def writer(self) -> TeamWriter:
        """The writer of the person whose page it is."""
        return self.service.writer(ui.context.client.request.scope)

    def work(self) -> None:
        """Work out what changed since the store was written, with the options of the store."""
        from bedstone.stock.task import Options
        from bedstone.workspace.stock_work import Asked

        self.writer().editor()
        options = self.found.options if self.found is not None else Options()
        served = self.served
        self.working.start(Asked(served.root, served.out, options, served.own))

    def stop(self) -> None:
        """Stop the work; what is done is kept."""
        self.writer().editor()
        self.working.stop()

    async def look(self) -> None:
        """Read files and store as they are now and tell every page."""
        await self._looking()

    async def _look(self) -> None:
        try:
            self.found, self.data = await asyncio.to_thread(_read, self.served)
            self.rows = hashlib.sha256(self.data).hexdigest()[:16]
            self.problem = ()
        except BedstoneError as error:
            self.problem = faults(error)
        except OSError as error:  # a disk that is gone
            self.problem = (str(error),)
        self.draw()

    def _worked(self) -> None:
        """The work went on, or ended: then the store is another one."""
        self.draw()
        if not self.working.running:
            task = asyncio.get_running_loop().create_task(self.look())
            self._after = task  # a task that nobody holds may be gone before it is done

    def draw(self) -> None:
        """Let every page of the stock show what there is."""
        self.open = [page for page in self.open if not page.client.is_deleted]
        for page in self.open:
            # who was let out must not keep the others from seeing it
            with contextlib.suppress(BedstoneError):
                page.draw()

    async def warmed(self) -> None:
        """Read the store while the browser still starts."""
        await self.look()

    def end(self) -> None:
        """Keep what is not saved, stop the work, end the workers."""
        self.working.close()
        super().end()


def _read(served: Served) -> tuple[Standing, bytes]:
    """The stock as it stands, and the rows of its page as JSON."""
    from bedstone.workspace.stock_read import standing
    from bedstone.workspace.stock_rows import page_data

    found = standing(served.look(), served.place, served.thresholds)
    data = json.dumps(page_data(found), ensure_ascii=False, allow_nan=False, separators=(",", ":"))
    return found, data.encode()


def _tab() -> str:
    """The tab and whose it is: a browser names its tabs itself, and may name that of another."""
    client = ui.context.client
    assert client.tab_id is not None, "only once the browser is there"
    return json.dumps([client.tab_id, safety.visitor_of(client.request.scope).person.name])


def serve_folder(
    root: Path,
    host: str = "127.0.0.1",
    port: int = workspace.PORT,
    *,
    out: str | None = None,
    thresholds: Path | None = None,
    team: Path | None = None,
    show: bool = True,
    told: Callable[[str], None] = print,
) -> None:
    """Serve the page of a stock and the pages of its bridges until interrupted.

    `out`: where results are kept; the place of the verb ``stock`` where it is None. `thresholds`:
    a file of one's own for the ranking; `team`: who may come in, without it the person at this
    machine. Raises `InputError` for a folder without a bridge file, for bad thresholds, for faults
    of the team file, for an address that other machines reach without one, or when no port is free.
    """
    people = people_of(host, team, root)
    server = FolderServer(Served.open(root, out, thresholds), people)
    bind_pages(server.service)
    bound = workspace.bound_to(host, port)
    _pages(server)
    hosts = () if safety.is_loopback(host) else (host,)
    guarded = {"people": people, "pages": pages_open, "owner": owner_of}
    workspace.start(server, bound, host, hosts, show=show, told=told, guarded=guarded)


def _pages(server: FolderServer) -> None:
    """The pages of a folder, and the rows that one of them asks for."""
    static = workspace.STATIC
    version = int(max(file.stat().st_mtime for file in static.iterdir()))
    style = f'<link rel="stylesheet" href="/bedstone/stock.css?{version}">'
    script = f'<script src="/bedstone/stock.js?{version}"></script>'
    name = server.served.root.name

    @ui.page("/", title=f"{name} · stock of bridges · bedstone")
    async def _stock() -> None:
        from bedstone.workspace.stock_page import StockPage

        ui.add_head_html(style + script)
        page = StockPage(server, server.visitor())
        await page.client.connected(timeout=30.0)
        server.open.append(page)
        page.draw()
        await server.look()  # files may have been saved since

    @ui.page("/bridge", title=f"{name} · bedstone")
    async def _bridge(file: str = "", page: str = "") -> None:
        ui.add_head_html(style)
        await workspace.bridge_page(server, file, page)

    @ui.page("/results", title=f"{name} · bedstone")
    async def _results(file: str = "") -> None:
        from bedstone.workspace.stock_bridge import results_page

        ui.add_head_html(style)
        await results_page(server.served, file)

    @ui.page("/changes", title=f"{name} · changes · bedstone")
    async def _changes(file: str = "") -> None:
        from bedstone.workspace.changes_page import changes_page

        ui.add_head_html(style)
        await changes_page(server.service, file)

    @app.get("/stock/rows")
    def _rows() -> Response:
        return Response(server.data or b'{"columns":[],"rows":[]}', media_type="application/json")
