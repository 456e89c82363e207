"""An outer plate, what presses on it and how it answers: pressure below it and pull of bolts.

See `bedstone.bearings.common.seating`.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from bedstone.bearings.base import Basis
from bedstone.bearings.common import series
from bedstone.errors import Fault, InputError
from bedstone.standards.bearing_pressure import Footprint, edge_pressure

Connected = Literal["concrete", "steel"]

EDGE = 2.0  # edge distance of an anchor in diameters; common practice, no source
#: Where the compression under a plate stands when anchors pull: at this share of the side from its
#: middle, a strip a fifth of the side wide (statics, as the T-stub of a column base).
_COMPRESSION_AT = 0.4


@dataclass(frozen=True)
class SeatingCase:
    """What one case brings to a plate, at its outer face; N, m.

    `N` compression, `Hx`, `Hy` the horizontal force that passes the face, `ex`, `ey` eccentricity
    of N at the face from the plate's middle (lever of H and movement in it), `patch_x`, `patch_y`
    sides of the contact that loads the plate (0: a line or point). `overturning_x` and
    `overturning_y`: moment (N m) in the x'z and the y'z plane beyond N e, for little or no N.
    `spacing`: distance (m) between neighbouring contact lines within `patch_x` (rollers of a nest).
    """

    limit_state: str
    name: str
    N: float
    Hx: float = 0.0
    Hy: float = 0.0
    ex: float = 0.0
    ey: float = 0.0
    patch_x: float = 0.0
    patch_y: float = 0.0
    overturning_x: float = 0.0
    overturning_y: float = 0.0
    spacing: float = 0.0


@dataclass(frozen=True)
class Seating:
    """A plate as made; m. `length` along x', `width` along y'.

    On concrete: `anchors` bolts of name `anchor` and `anchor_grade`, in two rows along x' outside
    the bearing, `dowels` round dowels of diameter `dowel` below the plate, `grout` bed. On a steel
    girder: `weld` (throat) of the two welds along x', or `anchors` fitted bolts where it is 0.
    """

    length: float
    width: float
    thickness: float
    steel: str
    anchors: int = 0
    anchor: str = ""
    anchor_grade: str = ""
    dowels: int = 0
    dowel: float = 0.0
    grout: float = 0.0
    weld: float = 0.0


@dataclass(frozen=True)
class Place:
    """Where the plate stands: what does not change while its sizes are sought."""

    part: str
    connected: Connected
    above: bool
    use: str
    basis: Basis
    #: What friction leaves of H (N), by limit state, N, Hx and Hy: asked for every bolt that is
    #: tried, and the same for all. It grows as it is used and never changes a result.
    left: dict[tuple[str, float, float, float], float] = field(default_factory=dict, compare=False)

    @property
    def fck(self) -> float:
        """Strength of the concrete (Pa); `InputError` where none is given."""
        name = "concrete_above" if self.above else "concrete_below"
        strength = self.basis.concrete_above if self.above else self.basis.concrete_below
        if strength is None or strength <= 0.0:
            raise fault(name, f"{strength}", "the strength of the concrete, more than 0")
        return strength

    @property
    def plinth(self) -> tuple[float, float] | None:
        """Sides of the concrete below (m, m), None where unknown or above."""
        return None if self.above else self.basis.plinth

    def option(self, name: str, usual: str) -> str:
        """A word among the options."""
        return str(self.basis.options.get(name, usual))

    def length(self, name: str, usual: float) -> float:
        """A length among the options (m); `InputError` unless it is a number above 0."""
        value = self.basis.options.get(name, usual)
        if isinstance(value, bool) or not isinstance(value, (int, float)) or value <= 0.0:
            raise fault(name, repr(value), "a length in m, more than 0")
        return float(value)


@dataclass(frozen=True)
class Held:
    """How a plate answers one case: compression at its eccentricities (m), pull of bolts (N).

    `row_x`, `row_y`: pull of the bolts of one end, one side; `bolt`: of the most loaded bolt.
    """

    N: float
    ex: float
    ey: float
    row_x: float
    row_y: float
    bolt: float


def answer(seating: Seating, case: SeatingCase, width: float) -> Held:
    """Compression and anchor pull in equilibrium with the case (statics); `width` pressed, m."""
    moment_x = abs(case.N * case.ex + case.overturning_x)
    moment_y = abs(case.N * case.ey + case.overturning_y)
    edge = EDGE * series.bolt(seating.anchor).diameter if seating.anchors else 0.0
    arm_x = max(seating.length / 2.0 - edge, 1e-3)
    arm_y = max(seating.width / 2.0 - edge, 1e-3)
    side = max(seating.anchors // 2, 1)
    if case.N <= 0.0:
        # Nothing is pressed: a couple between the rows, and the pull shared by all bolts.
        row_x, row_y = moment_x / (2.0 * arm_x), moment_y / (2.0 * arm_y)
        share = -case.N / max(seating.anchors, 1)
        return Held(
            0.0, 0.0, 0.0, row_x + 2.0 * share, row_y + side * share,
            share + row_x / 2.0 + row_y / side,
        )  # fmt: skip
    at_x, at_y = _COMPRESSION_AT * seating.length, _COMPRESSION_AT * width
    row_x = max(0.0, (moment_x - case.N * at_x) / (arm_x + at_x))
    row_y = max(0.0, (moment_y - case.N * at_y) / (arm_y + at_y))
    pressed = case.N + row_x + row_y
    return Held(
        N=pressed,
        ex=at_x if row_x > 0.0 else moment_x / pressed,
        ey=at_y if row_y > 0.0 else moment_y / pressed,
        row_x=row_x,
        row_y=row_y,
        bolt=row_x / 2.0 + row_y / side,
    )


def pressed_width(seating: Seating, at: Place) -> float:
    """Width that is pressed (m): the plate's, or the flange's of the girder where that is less."""
    if at.connected == "concrete":
        return seating.width
    return min(seating.width, at.length("girder.flange_width", seating.width))


def plate_moment(
    footprint: Footprint,
    force: float,
    patch: tuple[float, float],
    spacing: float = 0.0,
) -> float:
    """Largest moment (N m/m) of a plate pressed by `force` (N), loaded over `patch` (m, m).

    Cantilevers from the edges of the patch to those of the plate under the linear pressure of the
    worst edge, and, with `spacing` (m) between contact lines, the span between two of them
    under the largest pressure, simply supported. Statics.
    """
    p_edge = edge_pressure(footprint, force)
    turned = Footprint(footprint.width, footprint.length, footprint.ey, footprint.ex)
    along = _cantilever(footprint, force, p_edge, patch[0])
    across = _cantilever(turned, force, p_edge, patch[1])
    return max(along, across, p_edge * spacing**2 / 8.0)


def cantilever_moment(length: float, inner: float, outer: float) -> float:
    """Moment (N m/m) of a cantilever (m) under a pressure from `inner` to `outer` (Pa).

    c^2 (f1/6 + f2/3), f2 at the free edge (statics).
    """
    return length**2 * (inner / 6.0 + outer / 3.0)


def _cantilever(footprint: Footprint, force: float, p_edge: float, patch: float) -> float:
    """Moment (N m/m) at the edge of a patch in the middle, along the footprint's length."""
    c = max(0.0, (footprint.length - patch) / 2.0)
    mean = force / (footprint.length * footprint.width)
    along = 6.0 * abs(footprint.ex) / footprint.length
    across = 6.0 * abs(footprint.ey) / footprint.width
    if along + across <= 1.0:
        inner = mean * (1.0 + across + along * (1.0 - 2.0 * c / footprint.length))
        return cantilever_moment(c, inner, p_edge)
    if along <= 1.0:
        share = (1.0 + along * (1.0 - 2.0 * c / footprint.length)) / (1.0 + along)
        return cantilever_moment(c, p_edge * share, p_edge)
    # A triangle of pressure that ends inside the plate.
    reach = 3.0 * (footprint.length / 2.0 - abs(footprint.ex))
    if c <= reach:
        return cantilever_moment(c, p_edge * (1.0 - c / reach), p_edge)
    return p_edge * reach / 2.0 * (c - reach / 3.0)


def bending_moment(seating: Seating, case: SeatingCase, at: Place) -> float:
    """Largest moment (N m/m) of a plate in a case, from pressure or pull of bolts."""
    width = pressed_width(seating, at)
    held = answer(seating, case, width)
    patch = (case.patch_x, case.patch_y)
    moment = 0.0
    if held.N > 0.0:
        footprint = Footprint(seating.length, width, held.ex, held.ey)
        moment = plate_moment(footprint, held.N, patch, case.spacing)
    if seating.anchors:
        edge = EDGE * series.bolt(seating.anchor).diameter
        pull_x = held.row_x * max(0.0, (seating.length - patch[0]) / 2.0 - edge) / seating.width
        pull_y = held.row_y * max(0.0, (seating.width - patch[1]) / 2.0 - edge) / seating.length
        moment = max(moment, pull_x, pull_y)
    return moment


def fault(where: str, found: str, allowed: str) -> InputError:
    """The error of one fault in what a bearing was asked for."""
    return InputError([Fault("bearing", where, found, allowed)])
