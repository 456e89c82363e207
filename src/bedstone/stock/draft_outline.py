"""What is known of a bridge before it is drafted, and what a draft is."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal, get_args

from bedstone.bridge.schema import BearingKind, FamilyName, Function
from bedstone.stock.draft_sizes import Size

__all__ = [
    "FAMILIES", "KINDS", "TYPES", "Assumption", "Draft", "Line", "Outline", "line_marks", "marks",
]  # fmt: skip

SuperstructureType = Literal[
    "composite girders", "steel girders", "concrete girders", "through truss", "deck truss"
]
TYPES: Final[tuple[SuperstructureType, ...]] = get_args(SuperstructureType)
FAMILIES: Final[tuple[FamilyName, ...]] = get_args(FamilyName)
KINDS: Final[tuple[BearingKind, ...]] = get_args(BearingKind)


@dataclass(frozen=True)
class Line:
    """A line of bearings, right to left. `kind`: None where nobody knows it.

    `stiffness`: of each bearing in shear, N/m, both ways; an elastic one has it, or its sizes.
    `sizes`: what is known of each bearing, by the names of its kind. `others`: kind of those of the
    line that are not fixed; None: as `kind`.
    """

    functions: tuple[Function, ...]
    kind: BearingKind | None = None
    stiffness: float | None = None
    sizes: tuple[Size, ...] = ()
    others: BearingKind | None = None


@dataclass(frozen=True)
class Outline:
    """What is known of a bridge. SI units, angles rad; None: not known, so that it is assumed.

    - `carried`: road or track the bridge carries, in words; `continuous`: one piece over all spans
    - `girders`, `spacing`: lines of girders and the distance between them, of truss planes too
    - `width`: of the carriageway; `depth`: of a girder below the slab, or of a truss
    - `radius`: + turning left; `skew` anticlockwise; `heights`: of the piers in order
    - `lines`: of bearings by rising chainage; a pier below simple spans has two
    - `travel`: movement to the stops, each way, of bearings that move
    - `air`: coldest and warmest shade air, degC; `setting`: degC
    """

    name: str
    type: SuperstructureType
    spans: tuple[float, ...]
    family: FamilyName = "eurocode"
    use: Literal["road", "rail"] = "road"
    reference: str = ""
    carried: str = ""
    year: int | None = None
    continuous: bool | None = None
    girders: int | None = None
    spacing: float | None = None
    width: float | None = None
    depth: float | None = None
    slab: float | None = None
    skew: float = 0.0
    radius: float | None = None
    heights: tuple[float, ...] | None = None
    lines: tuple[Line, ...] | None = None
    travel: float | None = None
    air: tuple[float, float] | None = None
    setting: float | None = None

    @property
    def truss(self) -> bool:
        """Whether it stands on two truss planes."""
        return self.type.endswith("truss")

    @property
    def runs_through(self) -> bool:
        """Whether it is one piece: as told, else only where there is one span (simple spans)."""
        return len(self.spans) == 1 if self.continuous is None else self.continuous

    @property
    def line_count(self) -> int:
        """Number of lines of bearings."""
        return len(self.spans) + 1 if self.runs_through else 2 * len(self.spans)


@dataclass(frozen=True)
class Assumption:
    """One value that nobody told: its field, the value as written, and where it is from."""

    where: str
    value: str
    why: str


@dataclass(frozen=True)
class Draft:
    """The text of a bridge file and what in it was assumed.

    `given`: seats whose bearing is known by its sizes, and assessed; `partly`: what is known of
    bearings whose sizes do not suffice for that, in words; `notes`: what else to look at.
    """

    outline: Outline
    text: str
    assumed: tuple[Assumption, ...]
    given: tuple[str, ...] = ()
    partly: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()


def marks(spans: int) -> tuple[str, ...]:
    """Marks of the supports of a bridge of so many spans."""
    return ("A1", *(f"P{pier}" for pier in range(1, spans)), "A2")


def line_marks(outline: Outline) -> tuple[str, ...]:
    """Marks of the lines of bearings; below simple spans "P1b" is behind, "P1a" ahead."""
    names = marks(len(outline.spans))
    if outline.runs_through:
        return names
    inner = [f"{mark}{side}" for mark in names[1:-1] for side in "ba"]
    return (names[0], *inner, names[-1])
