"""What goes into a calculation package, gathered from the rooms that compute it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from hashlib import sha256
from pathlib import Path

from threadpoolctl import threadpool_limits

from bedstone.articulation.arrangement import Arranged, arrange
from bedstone.articulation.prepared import Prepared, prepare
from bedstone.bridge.schema import Bridge, FamilyName, Reactions
from bedstone.bridge.seats import arrangement_functions
from bedstone.bridge.tables import read_tables
from bedstone.comparison.compare import Comparison, Shown, compare, shown
from bedstone.comparison.fixed_point import StillPoints, still_points
from bedstone.comparison.limits import parse_limits
from bedstone.comparison.pinned import fixed_points, pinned_arrangements
from bedstone.comparison.screen import Screen
from bedstone.comparison.sharing import Sharing, share
from bedstone.errors import UnstableError
from bedstone.output.drawing import overlay
from bedstone.output.drawing.elevation import elevation
from bedstone.output.drawing.layout import layout
from bedstone.output.drawing.to_svg import to_svg
from bedstone.output.plan import plan_svg
from bedstone.output.sheets import Sheet
from bedstone.schedule.analysis import Progress
from bedstone.schedule.context import context_of, family_name
from bedstone.schedule.designs import SeatDesign, design_seat, seats_of
from bedstone.schedule.make import make_schedule, schedule_of
from bedstone.schedule.result import Schedule

#: Files beside the bridge file that a superstructure names, by field.
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
    - `plan`, `elevation`: pictures (SVG); `details`: by seat
    - `setting`: tables of setting, where there are any
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
    plan: str = ""
    elevation: str = ""
    details: Mapping[str, str] = field(default_factory=dict)
    setting: tuple[Sheet, ...] = ()

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
            return Contents(bridge, source, files, schedule, designs, plan=plan_svg(schedule))
        tables = read_tables(bridge, file.parent)
        prepared = prepare(bridge, tables)
        schedule = schedule_of(prepared, name, progress)
        designs = _designs(schedule, bridge, file.parent, tell) if bearings else ()
        tell(0, 4, "sharing horizontal forces")
        context = context_of(prepared, name)
        arranged = _arranged(prepared)
        sharing = share(prepared, name, arranged, context=context, timeline=None)
        tell(1, 4, "finding the point without movement")
        still = still_points(prepared, name, arranged, context=context)
        today: Shown | None = None
        pinned: tuple[Shown, ...] = ()
        unstable: tuple[str, ...] = ()
        comparison: Comparison | None = None
        if every:
            limits = parse_limits(bridge.compare.limits, bridge, tables)
            comparison = compare(prepared, name, limits, full=False, progress=progress)
            today, pinned = comparison.today, comparison.pinned
        elif bridge.compare.pinned:
            tell(2, 4, "looking at the pinned arrangements")
            today, pinned, unstable = _beside(prepared, name)
        tell(3, 4, "drawing")
        kinds = {item.seat: item.choice.kind for item in designs}
        laid = overlay.of_schedule(schedule)
        return Contents(
            bridge=bridge,
            source=source,
            files=files,
            schedule=schedule,
            designs=designs,
            today=today,
            pinned=pinned,
            unstable=unstable,
            comparison=comparison,
            sharing=sharing,
            still=still,
            extents=_extents(prepared),
            plan=to_svg(layout(bridge, prepared.structure, arranged, kinds=kinds, framed=False)),
            elevation=to_svg(
                elevation(bridge, prepared.structure, arranged, overlay=laid, framed=False)
            ),
        )


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


def _beside(
    prepared: Prepared, name: FamilyName
) -> tuple[Shown | None, tuple[Shown, ...], tuple[str, ...]]:
    """The file's arrangement and those pinned; one that does not stand is told in words."""
    bridge, structure = prepared.bridge, prepared.structure
    screen = Screen(prepared, name)
    limits = parse_limits(bridge.compare.limits, bridge, prepared.tables)
    points = fixed_points(bridge)
    found: list[Shown] = []
    unstable = []
    for title, functions in pinned_arrangements(bridge, prepared.tables).items():
        try:
            arranged = arrange(structure, list(bridge.support), functions, points[title])
            look = screen.look(arranged=arranged)
        except UnstableError as error:
            unstable.append(f"{title}: {error}")
            continue
        found.append(shown(screen, look, title, functions, points[title], limits=limits))
    if not found or found[0].name != bridge.arrangement.name:
        return None, (), tuple(unstable)
    return found[0], tuple(found[1:]), tuple(unstable)


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


def marks_of(designs: Sequence[SeatDesign]) -> list[str]:
    """Marks of the seats that have a designed bearing."""
    return [item.seat for item in designs if item.choice.design is not None]
