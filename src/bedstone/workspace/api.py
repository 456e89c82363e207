"""The interface for programs under ``/api``: a stock, its bridge files, and who changed them.

JSON but for the text of a bridge file. Described by OpenAPI at ``/api/openapi.json``. Roles, limits
and the journal are those of the pages; faults stand in the form of the program: file, field, what
was found, what is allowed.
"""

from __future__ import annotations

import hashlib
import re
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Final, Literal, cast

from fastapi import FastAPI, Header, Query, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse, Response
from pydantic import BaseModel, ConfigDict
from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException

from bedstone import __version__
from bedstone.bridge.reader import LARGEST_FILE, read_text_of_bridge, shorten
from bedstone.cautions import SHORT
from bedstone.errors import BedstoneError, Fault, InputError
from bedstone.workspace.journal import JournalError, file_sha256
from bedstone.workspace.people import RefusedError, RoleError
from bedstone.workspace.writer import TeamWriter

if TYPE_CHECKING:
    from bedstone.workspace.team import Service

#: Kinds of body that a bridge file may come as.
_TEXTS: Final = ("text/plain", "application/toml")
_TAG: Final = re.compile(r'\s*"([0-9a-f]{64})"\s*')
_LONGEST_PATH: Final = 1000
#: Changes given at once, at most.
_MOST: Final = 1000


class _Answer(BaseModel):
    model_config = ConfigDict(frozen=True)


class Refusal(_Answer):
    """Why a request was refused."""

    error: str


class FaultOf(_Answer):
    """A fault of what was sent: where it is, what was found, what would do."""

    file: str
    where: str
    found: str
    allowed: str


class Faults(_Answer):
    """Every fault of what was sent; nothing was changed."""

    faults: list[FaultOf]


class Me(_Answer):
    """Who the request is from."""

    name: str
    role: Literal["reader", "editor"]


class BridgeFile(_Answer):
    """A bridge file of the folder; `sha256`: of its bytes, what If-Match asks for."""

    file: str
    sha256: str | None


class Files(_Answer):
    """All bridge files of the folder."""

    files: list[BridgeFile]


class ReasonOf(_Answer):
    """Why a bridge stands where it does; `concern`: 0 calm, 1 act, 3 at most."""

    kind: str
    concern: float
    place: str
    text: str


class RankedBridge(_Answer):
    """A bridge in the order to look by."""

    rank: int
    file: str
    name: str
    state: str
    concern: float
    reasons: list[ReasonOf]


class NotWorkedOut(_Answer):
    """A bridge that could not be worked out, with its faults in words."""

    file: str
    state: str
    faults: list[str]


class StockOf(_Answer):
    """The stock as the last run left it; `run` 0: it was never worked out to the end.

    `changed`: files are not those worked out; `otherwise`: worked out with other options than the
    latest run asks; `missing`: without results.
    """

    caution: str
    run: int
    up_to_date: bool
    changed: list[str]
    otherwise: list[str]
    missing: list[str]
    ranking: list[RankedBridge]
    not_worked_out: list[NotWorkedOut]


class Rows(_Answer):
    """What the last run found for a bridge: rows by table; SI units in the names of columns."""

    file: str
    tables: dict[str, list[dict[str, str | float | int | bool | None]]]


class Written(_Answer):
    """A text that was taken; `changed` is false where it stood there already."""

    file: str
    sha256: str
    changed: bool


class ChangeOf(_Answer):
    """A line of the journal, see docs/team.md."""

    number: int
    time: str
    who: str
    role: str
    way: str
    peer: str
    forwarded: str
    what: str
    file: str
    before: str | None
    after: str | None
    diff: str
    rows: list[dict[str, Any]]
    of: int | None
    note: str
    between: str


class Changes(_Answer):
    """Changes in order; `broken`: what is wrong with the journal; `last`: its last SHA-256."""

    changes: list[ChangeOf]
    broken: list[str]
    last: str


#: What any request may be answered with.
_ALWAYS: Final[dict[int | str, dict[str, Any]]] = {
    401: {"model": Refusal, "description": "nobody, or a token that is not known"},
    403: {"model": Refusal, "description": "not let in, or not with this role"},
    413: {"model": Refusal, "description": "too large"},
    422: {"model": Faults, "description": "faults of what was sent"},
    429: {"model": Refusal, "description": "too many requests; see Retry-After"},
    503: {"model": Refusal, "description": "the team file or the journal is at fault"},
}
_UNKNOWN: Final[dict[int | str, dict[str, Any]]] = {
    404: {"model": Refusal, "description": "no bridge file of this folder"}
}
_PUT: Final[dict[int | str, dict[str, Any]]] = {
    412: {"model": Refusal, "description": "the file is another one by now: read it anew"},
    415: {"model": Refusal, "description": "no text/plain or application/toml"},
    428: {"model": Refusal, "description": "If-Match is missing, or names no SHA-256"},
}
#: What a PUT takes besides its file; If-Match is missing by 428, not by 422.
_BODY: Final = {
    "parameters": [
        {
            "name": "If-Match",
            "in": "header",
            "required": True,
            "description": "The ETag of the text that this one takes the place of.",
            "schema": {"type": "string", "pattern": '^"[0-9a-f]{64}"$'},
        }
    ],
    "requestBody": {
        "required": True,
        "description": "The text of the bridge file, UTF-8.",
        "content": {"text/plain": {"schema": {"type": "string", "maxLength": LARGEST_FILE}}},
    },
}
File = Annotated[
    str,
    Query(
        min_length=1,
        max_length=_LONGEST_PATH,
        description="Path of a bridge file within the folder, such as north/river.toml.",
    ),
]


class _StatusError(BedstoneError):
    """An answer with a status of HTTP."""

    def __init__(self, status: int, text: str) -> None:
        self.status = status
        super().__init__(text)


def api(service: Service) -> FastAPI:
    """The interface of a folder, to be mounted at ``/api`` behind `safety.Guard`."""
    app = FastAPI(
        title="bedstone",
        version=__version__,
        description=f"A folder of bridge files. {SHORT}",
        docs_url=None,
        redoc_url=None,
        responses=_ALWAYS,
    )
    _errors(app)

    @app.get("/me")
    def me(request: Request) -> Me:
        """Who the request is from."""
        person = service.person(request.scope)
        return Me(name=person.name, role=person.role)

    @app.get("/files")
    def files(request: Request) -> Files:
        """All bridge files of the folder."""
        with _work(service, request):
            root, members = service.served.root, service.served.look().members
            return Files(
                files=[BridgeFile(file=file, sha256=file_sha256(root / file)) for file in members]
            )

    @app.get("/stock")
    def stock(request: Request) -> StockOf:
        """The order to look at the bridges by, as the last run left it."""
        with _work(service, request):
            return _stock(service)

    @app.get("/rows", responses=_UNKNOWN)
    def rows(request: Request, file: File) -> Rows:
        """What the last run found for a bridge."""
        from bedstone.workspace.stock_read import tables_of

        _member(service, file)
        with _work(service, request):
            found = tables_of(service.served.place, file)
        tables = {name: [dict(row) for row in table] for name, table in found.items()}
        return Rows(file=file, tables=tables)

    @app.get(
        "/file",
        responses=_UNKNOWN
        | {200: {"content": {"text/plain": {}}, "description": "the text; its ETag for If-Match"}},
        response_class=Response,
    )
    def file_text(file: File) -> Response:
        """The text of a bridge file."""
        data = _bytes(_member(service, file))
        return Response(data, media_type="text/plain", headers=_headers(_sha256(data)))

    @app.put("/file", responses=_UNKNOWN | _PUT, openapi_extra=_BODY)
    async def put_file(
        request: Request,
        response: Response,
        file: File,
        if_match: Annotated[str | None, Header(include_in_schema=False)] = None,
    ) -> Written:
        """Put a new text in the place of a bridge file. It is read first; one with faults is not
        taken.
        """
        writer = service.writer(request.scope)
        writer.editor()  # before a body is read, or anything told of the folder
        kind = request.headers.get("content-type", "").partition(";")[0].strip().lower()
        coded = request.headers.get("content-encoding", "identity") != "identity"
        if kind not in _TEXTS or coded:
            raise _StatusError(415, f"a body of {' or '.join(_TEXTS)}, as it is")
        tags = _tags(if_match)
        data = await request.body()

        def put() -> Written:
            with _work(service, request):
                return _put(service, writer, file, tags, data)

        found = await run_in_threadpool(put)
        response.headers.update(_headers(found.sha256))
        return found

    @app.get("/changes")
    def changes(
        request: Request,
        file: Annotated[str | None, Query(max_length=_LONGEST_PATH)] = None,
        after: Annotated[int, Query(ge=0, le=2**53, description="number of a change")] = 0,
        limit: Annotated[int, Query(ge=1, le=_MOST)] = 100,
    ) -> Changes:
        """What was changed, by whom, from where, in the order it was."""
        with _work(service, request):
            told = service.journal.read(file)
        wanted = [change for change in told.changes if change.number > after][:limit]
        names = [name for name in ChangeOf.model_fields if name != "rows"]
        return Changes(
            changes=[
                ChangeOf(
                    **{name: getattr(change, name) for name in names},
                    rows=[dict(row) for row in change.rows],
                )
                for change in wanted
            ],
            broken=list(told.broken),
            last=told.last,
        )

    return app


# ------------------------------------------------------------------ what is asked
def _member(service: Service, file: str) -> Path:
    """A bridge file of the folder; only what was found there by looking."""
    try:
        return service.served.member(file)
    except InputError:
        raise _StatusError(404, f"no bridge file of this folder: {shorten(file, 80)}") from None
    except (OSError, ValueError, RuntimeError):  # a name that no file can have
        raise _StatusError(404, "no bridge file of this folder") from None


def _put(
    service: Service, writer: TeamWriter, file: str, tags: tuple[str, ...], data: bytes
) -> Written:
    path = _member(service, file)
    text = _text(data, file)
    _unchanged(path, file, tags)
    read_text_of_bridge(text, path.name, path.parent)  # takes a while: nothing is held yet
    # held from the look at what stands there to the writing: of two who read the same text, one
    # is told that it is another one by now
    with writer.held():
        stands = _unchanged(path, file, tags)
        writer.write(path, text)
    after = _sha256(text.encode())
    return Written(file=file, sha256=after, changed=after != stands)


def _unchanged(path: Path, file: str, tags: tuple[str, ...]) -> str:
    """SHA-256 of what stands in a file, which is one of those that were read."""
    stands = _sha256(_bytes(path))
    if stands not in tags:
        raise _StatusError(412, f"{file} is another one by now: read it anew")
    return stands


def _text(data: bytes, file: str) -> str:
    if len(data) > LARGEST_FILE:
        raise _StatusError(413, f"a bridge file has at most {LARGEST_FILE / 1e6:g} MB")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        found = f"byte 0x{data[error.start]:02x}"
        name = file.rpartition("/")[2]
        raise InputError([Fault(name, f"line {line}", found, "text in UTF-8")]) from None


def _tags(if_match: str | None) -> tuple[str, ...]:
    """The SHA-256 that If-Match names; ``*`` would take the place of a text nobody has read."""
    found = [_TAG.fullmatch(part) for part in (if_match or "").split(",")[:20]]
    tags = tuple(match[1] for match in found if match is not None)
    if not tags:
        raise _StatusError(428, 'If-Match with the ETag that was read, such as "3f…9a"')
    return tags


def _stock(service: Service) -> StockOf:
    from bedstone.output import stock_words as words
    from bedstone.workspace.stock_read import standing

    served = service.served
    found = standing(served.look(), served.place, served.thresholds)
    return StockOf(
        caution=SHORT,
        run=found.number,
        up_to_date=found.up_to_date,
        changed=list(found.changed),
        otherwise=list(found.otherwise),
        missing=list(found.missing),
        ranking=[
            RankedBridge(
                rank=item.rank,
                file=item.bridge,
                name=item.name,
                state=item.state,
                concern=item.concern,
                reasons=[
                    ReasonOf(
                        kind=told.kind,
                        concern=told.concern,
                        place=told.place,
                        text=words.reason(told),
                    )
                    for told in item.reasons
                ],
            )
            for item in found.ranking
        ],
        not_worked_out=[
            NotWorkedOut(file=item.bridge, state=item.state, faults=list(item.faults))
            for item in found.faulty
        ],
    )


# ------------------------------------------------------------------ small things
def _work(service: Service, request: Request) -> Any:
    """A long work of the person of a request; raises `RefusedError` when there are too many."""
    name = service.person(request.scope).name
    return service.works.work(name, service.people.team.limits.long_works)


def _bytes(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except OSError:
        raise _StatusError(404, "no bridge file of this folder") from None


def _sha256(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()


def _headers(sha256: str) -> dict[str, str]:
    return {"ETag": f'"{sha256}"', "Cache-Control": "no-store"}


def _errors(app: FastAPI) -> None:
    """Every error as JSON, in the form of the program."""

    def told(status: int, error: object, wait: int = 0) -> JSONResponse:
        headers = {"Retry-After": str(wait)} if wait else {}
        return JSONResponse({"error": str(error)}, status, headers)

    def refused(_: Request, error: Exception) -> JSONResponse:
        known = cast(RefusedError, error)
        return told(known.status, error, known.wait)

    def status(_: Request, error: Exception) -> JSONResponse:
        return told(cast(_StatusError, error).status, error)

    def faults(_: Request, error: Exception) -> JSONResponse:
        found = [
            {"file": item.file, "where": item.where, "found": item.found, "allowed": item.allowed}
            for item in cast(InputError, error).faults
        ]
        return JSONResponse({"faults": found}, 422)

    def invalid(_: Request, error: Exception) -> JSONResponse:
        found = [
            {
                "file": "request",
                "where": str(item["loc"][-1]),
                "found": "nothing" if item["type"] == "missing" else shorten(repr(item["input"])),
                "allowed": str(item["msg"])[:200],
            }
            for item in cast(RequestValidationError, error).errors()
        ]
        return JSONResponse({"faults": found}, 422)

    def http(_: Request, error: Exception) -> JSONResponse:
        known = cast(HTTPException, error)
        return JSONResponse({"error": str(known.detail)}, known.status_code, known.headers)

    app.add_exception_handler(RefusedError, refused)
    app.add_exception_handler(_StatusError, status)
    app.add_exception_handler(RoleError, lambda _, error: told(403, error))
    app.add_exception_handler(JournalError, lambda _, error: told(503, error))
    app.add_exception_handler(InputError, faults)
    app.add_exception_handler(BedstoneError, lambda _, error: told(503, error))
    app.add_exception_handler(RequestValidationError, invalid)
    app.add_exception_handler(HTTPException, http)
