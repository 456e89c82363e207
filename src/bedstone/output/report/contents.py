"""What goes into a calculation package, gathered from the rooms that compute it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from hashlib import sha256
from pathlib import Path

from threadpoolctl import threadpool_limits

from bedstone.articulation.arrangement import Arranged, arrange
from bedstone.articulation.prepared import Prepared, prepare
from bedstone.bridge.schema import Bridge, Reactions
from bedstone.bridge.seats import arrangement_functions
from bedstone.bridge.tables import read_tables
from bedstone.comparison.compare import Comparison, Shown, compare, shown
from bedstone.comparison.fixed_point import StillPoints, still_points
from bedstone.comparison.limits import parse_limits
from bedstone.comparison.pinned import fixed_points, pinned_arrangements
from bedstone.comparison.screen import Screen
from bedstone.comparison.sharing import Sharing, share
from bedstone.errors import InputError, UnstableError
from bedstone.output.draw import equal
from bedstone.output.drawing.details import detail
from bedstone.output.drawing.elevation import elevation
from bedstone.output.drawing.layout import layout
from bedstone.output.drawing.overlay import of_schedule, still
from bedstone.output.drawing.picture import Picture
from bedstone.output.drawing.scene import Scene, scene_of
from bedstone.schedule.analysis import Progress
from bedstone.schedule.context import context_of, family_name
from bedstone.schedule.designs import SeatDesign, design_seat, seats_of
from bedstone.schedule.make import make_schedule, schedule_of
from bedstone.schedule.result import Schedule
from bedstone.site.setting import Setting, settings

#: Files beside the bridge file that a superstructure names, by field.
#: Width at which plan and elevation are drawn for an upright and a turned page, mm (they are made
#: somewhat smaller to fit); upright up to so many bearings.
UPRIGHT, TURNED, MANY = 215.0, 290.0, 24
_TABLES = ("nodes", "members", "sections", "seats", "deck_lines", "effects")


@dataclass(frozen=True)
class Extent:
    """Size of a condensed state: `name`, numbers of nodes, members and freedoms."""

    name: str
    nodes: int
    members: int
    freedoms: int


@dataclass(frozen=True)
class Contents:
    """Results that a package tells. What was not computed is empty and has no chapter.

    - `source`: the bridge file as text; `files`: SHA-256 of each file read, by name
    - `designs`: bearings of the seats; empty when they are left out
    - `today`, `pinned`, `unstable`: the file's arrangement and those picked by hand in full view,
      and what does not stand, in words; `comparison`: every arrangement, where asked for
    - `sharing`, `still`: who takes horizontal forces; None for reactions brought from elsewhere
    - `plan`, `elevation`: pictures, each bare; `drawings`: sheets of the bearings as made, equal
      ones together, by the marks that they are for
    - `settings`: how each bearing is set; `no_settings`: why nothing is told of it, or ""
    """

    bridge: Bridge
    source: str
    files: Mapping[str, str]
    schedule: Schedule
    designs: tuple[SeatDesign, ...] = ()
    today: Shown | None = None
    pinned: tuple[Shown, ...] = ()
    unstable: tuple[str, ...] = ()
    comparison: Comparison | None = None
    sharing: Sharing | None = None
    still: StillPoints | None = None
    extents: tuple[Extent, ...] = ()
    plan: Picture | None = None
    elevation: Picture | None = None
    drawings: Mapping[tuple[str, ...], Picture] = field(default_factory=dict)
    settings: tuple[Setting, ...] = ()
    no_settings: str = ""

    @property
    def us(self) -> bool:
        """True where US customary units stand beside SI."""
        return self.schedule.standard == "aashto"


def contents_of(
    bridge: Bridge,
    file: Path,
    standard: str | None = None,
    progress: Progress | None = None,
    *,
    bearings: bool = True,
    every: bool = False,
) -> Contents:
    """Compute everything that a package of a bridge file tells.

    `file`: the bridge file, read again for its text; `bearings`: design them; `every`: compare all
    arrangements that the rules of the file allow, not only those pinned in it.

    Raises `InputError`, `UnstableError` and `CheckError` as the rooms that compute.
    """
    name = family_name(standard or bridge.bridge.standard)
    tell = progress or _silent
    source, files = _files(bridge, file)
    with threadpool_limits(limits=1, user_api="blas"):
        if isinstance(bridge.superstructure, Reactions):
            schedule = make_schedule(bridge, file.parent, name, progress)
            designs = _designs(schedule, bridge, file.parent, tell) if bearings else ()
            scene = scene_of(bridge, read_tables(bridge, file.parent))
            return _drawn(Contents(bridge, source, files, schedule, designs), scene)
        tables = read_tables(bridge, file.parent)
        prepared = prepare(bridge, tables)
        schedule = schedule_of(prepared, name, progress)
        designs = _designs(schedule, bridge, file.parent, tell) if bearings else ()
        tell(0, 4, "sharing horizontal forces")
        context = context_of(prepared, name)
        arranged = _arranged(prepared)
        found = Contents(
            bridge=bridge,
            source=source,
            files=files,
            schedule=schedule,
            designs=designs,
            sharing=share(prepared, name, arranged, context=context, timeline=None),
            still=still_points(prepared, name, arranged, context=context),
            extents=_extents(prepared),
        )
        tell(1, 4, "looking at the arrangement and those pinned")
        screen = Screen(prepared, name)
        if every:
            limits = parse_limits(bridge.compare.limits, bridge, tables)
            comparison = compare(prepared, name, limits, full=False, progress=progress)
            found = replace(
                found, comparison=comparison, today=comparison.today, pinned=comparison.pinned
            )
        else:
            found = _beside(found, screen)
        tell(2, 4, "setting")
        found = _set(found, screen)
        tell(3, 4, "drawing")
        return _drawn(found, Scene(bridge, prepared.structure, arranged))


def _silent(done: int, total: int, told: str) -> None:
    """Progress that nobody asked for."""


def _files(bridge: Bridge, file: Path) -> tuple[str, dict[str, str]]:
    """Text of the bridge file and the fingerprint of each file that was read."""
    raw = file.read_bytes()
    files = {file.name: sha256(raw).hexdigest()}
    for name in _TABLES:
        other = getattr(bridge.superstructure, name, None)
        if isinstance(other, str):
            files[other] = sha256((file.parent / other).read_bytes()).hexdigest()
    return raw.decode("utf-8-sig"), files


def _designs(
    schedule: Schedule, bridge: Bridge, folder: Path, tell: Progress
) -> tuple[SeatDesign, ...]:
    seats = seats_of(bridge, folder)
    found = []
    for number, mark in enumerate(seats.marks):
        tell(number, len(seats.marks), f"designing the bearing {mark}")
        found.append(design_seat(schedule, bridge, seats, mark))
    return tuple(found)


def _arranged(prepared: Prepared) -> Arranged:
    bridge = prepared.bridge
    functions = arrangement_functions(bridge, prepared.tables)
    point = bridge.arrangement.fixed_point
    return arrange(prepared.structure, list(bridge.support), functions, point)


def _beside(found: Contents, screen: Screen) -> Contents:
    """With the file's arrangement and those pinned; one that does not stand is told in words."""
    bridge, structure = screen.prepared.bridge, screen.prepared.structure
    if not bridge.compare.pinned:
        return found
    limits = parse_limits(bridge.compare.limits, bridge, screen.prepared.tables)
    points = fixed_points(bridge)
    known: dict[str, Shown] = {}
    unstable = []
    for title, functions in pinned_arrangements(bridge, screen.prepared.tables).items():
        try:
            arranged = arrange(structure, list(bridge.support), functions, points[title])
            look = screen.look(arranged=arranged)
        except UnstableError as error:
            unstable.append(f"{title}: {error}")
            continue
        known[title] = shown(screen, look, title, functions, points[title], limits=limits)
    today = known.pop(bridge.arrangement.name)  # it stands, or there were no schedule of it
    return replace(found, today=today, pinned=tuple(known.values()), unstable=tuple(unstable))


def _set(found: Contents, screen: Screen) -> Contents:
    """With the setting of each bearing; where a bridge file lacks what it takes, the reason."""
    try:
        settled = settings(screen.prepared, screen.name, screen, found.designs)
    except InputError as error:
        reasons = "; ".join(f"{fault.where}: {fault.allowed}" for fault in error.faults)
        return replace(found, no_settings=f"No setting table: {reasons}")
    return replace(found, settings=settled)


def _drawn(found: Contents, scene: Scene) -> Contents:
    """With plan, elevation and the sheets of the bearings."""
    bridge = scene.bridge
    kinds = {item.seat: item.choice.kind for item in found.designs if item.choice.design}
    points = still(scene.structure, scene.arranged, bridge.arrangement.fixed_point)
    over = replace(of_schedule(found.schedule), fixed_points=points)
    wide = UPRIGHT if len(scene.structure.seats) <= MANY else TURNED
    place = (bridge, scene.structure, scene.arranged)
    sheets = {
        made.marks: detail(bridge.bridge.name, bridge.bridge.reference, made, str(number))
        for number, made in enumerate(equal(found.designs), start=1)
    }
    return replace(
        found,
        plan=layout(*place, kinds=kinds, framed=False, wide=wide),
        elevation=elevation(*place, overlay=over, framed=False, wide=wide),
        drawings=sheets,
    )


def _extents(prepared: Prepared) -> tuple[Extent, ...]:
    return tuple(
        Extent(
            name,
            len(state.frame.nodes),
            len(state.frame.ends),
            6 * len(state.frame.nodes),
        )
        for name, state in prepared.structure.states.items()
    )
