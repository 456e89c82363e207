"""EN 1337-3, 5.3: laminated elastomeric bearings.

Rules take the pad, what acts on it and the numbers of a family: IRC:83 Part II of 2015 and later
repeats these rules with its own figures, so the same functions serve it with IRC `Values`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache
from typing import Literal, get_args

from bedstone.standards.clause import state
from bedstone.standards.elastomeric_pad import Loading, Pad
from bedstone.standards.interpolation import between
from bedstone.standards.limits import at_least, at_most
from bedstone.standards.record import Line, Quantity
from bedstone.standards.values import Values

#: Compression strain counted: the larger of inner and outer layers, or both added as some
#: manufacturers' sheets do.
Combine = Literal["max", "sum"]
#: Plate side of the buckling rule: the shorter one, or the longer one as some sheets do.
Side = Literal["shorter", "longer"]
#: Area of the deflection: of the plates (A1) or reduced by the movement (Ar).
DeflectionArea = Literal["A1", "Ar"]
Bedding = Literal["concrete", "other"]
COMBINES: tuple[Combine, ...] = get_args(Combine)
SIDES: tuple[Side, ...] = get_args(Side)
DEFLECTION_AREAS: tuple[DeflectionArea, ...] = get_args(DeflectionArea)
BEDDINGS: tuple[Bedding, ...] = get_args(Bedding)


@dataclass(frozen=True)
class StandardSize:
    """One row of EN 1337-3, Table 3 for one plan: m; `layers` least and most inner layers.

    `heights` and `elastomer`: least and most height of the bearing, and of its inner elastomer.
    """

    length: float
    width: float
    heights: tuple[float, float]
    elastomer: tuple[float, float]
    layer: float
    plate: float
    layers: tuple[int, int]


@cache
def _rows(table: tuple[tuple[float, ...], ...]) -> tuple[StandardSize, ...]:
    return tuple(
        StandardSize(
            length=a / 1e3,
            width=b / 1e3,
            heights=(low / 1e3, high / 1e3),
            elastomer=(least / 1e3, most / 1e3),
            layer=layer / 1e3,
            plate=plate / 1e3,
            layers=(int(fewest), int(greatest)),
        )
        for a, b, low, high, least, most, layer, plate, fewest, greatest in table
    )


def standard_sizes(values: Values, *, round_plan: bool) -> tuple[StandardSize, ...]:
    """Standard sizes of type B (Table 3), in the order of the table; a <= b or the diameter."""
    name = "round" if round_plan else "rectangular"
    return _rows(values.table(f"elastomeric.standard.{name}"))


def shear_moduli(values: Values) -> tuple[tuple[float, float], ...]:
    """Classes of shear modulus and their tolerance either way, Pa (4.3.1, Table 1)."""
    return tuple(
        zip(
            values.row("elastomeric.shear_moduli"),
            values.row("elastomeric.shear_modulus.tolerances"),
            strict=True,
        )
    )


def scope(values: Values, pad: Pad) -> Line:
    """Largest side of the plan within the scope of the standard (clause 1)."""
    limit = values.number("elastomeric.scope.plan")
    return at_most(
        values,
        ("elastomeric.scope.plan",),
        "Largest side of the plan",
        "max(a, b) <= 1200 mm",
        (Quantity("a", pad.length, "m"), Quantity("b", pad.width, "m")),
        Quantity("max(a, b)", pad.longer_side, "m"),
        limit,
    )


def side_cover(values: Values, pad: Pad) -> Line:
    """Least elastomer beside the plates (4.3.3)."""
    least = values.number("elastomeric.side_cover.least")
    return at_least(
        values,
        ("elastomeric.side_cover.least",),
        "Cover beside the plates",
        "C >= C_min",
        (),
        Quantity("C", pad.side_cover, "m"),
        least,
    )


def shape_factors(values: Values, pad: Pad) -> tuple[float, float]:
    """(inner, outer) shape factors; the outer layer counts thicker; inf without covers.

    Source: EN 1337-3, 5.3.3.1.
    """
    inner = pad.plate_shape(pad.layer)
    if pad.cover == 0.0:
        return inner, math.inf
    return inner, pad.plate_shape(values.number("elastomeric.outer_layer") * pad.cover)


def compression_strain(
    values: Values, pad: Pad, load: Loading, G: float, combine: Combine = "max"
) -> Line:
    """Strain by compression, the larger of inner and outer layers (5.3.3.2, 5.3.3.1).

    `G` Pa. `combine` sum adds both, which the standard does not ask for.
    """
    factor = values.number("elastomeric.compression.factor")
    area = pad.reduced_area(load.vx, load.vy)
    inner_shape, outer_shape = shape_factors(values, pad)
    inner = factor * load.N / (G * area * inner_shape)
    outer = factor * load.N / (G * area * outer_shape)
    return state(
        values,
        ("elastomeric.compression.factor", "elastomeric.outer_layer"),
        "Strain by compression",
        "eps_c = 1.5 Fz/(G Ar S)",
        (
            Quantity("Fz", load.N, "N"),
            Quantity("G", G, "Pa"),
            Quantity("Ar", area, "m**2"),
            Quantity("S1", inner_shape, ""),
            Quantity("eps_c,inner", inner, ""),
            Quantity("eps_c,outer", outer, ""),
        ),
        Quantity("eps_c", inner + outer if combine == "sum" else max(inner, outer), ""),
        note="inner and outer layers added" if combine == "sum" else "worse of inner and outer",
    )


def shear_strain(values: Values, pad: Pad, load: Loading) -> Line:
    """Strain by shear from movements, at most 1 (5.3.3.3)."""
    return at_most(
        values,
        ("elastomeric.shear.limit",),
        "Strain by shear",
        "eps_q = sqrt(vx^2 + vy^2)/Tq <= 1.0",
        (
            Quantity("vx", load.vx, "m"),
            Quantity("vy", load.vy, "m"),
            Quantity("Tq", pad.elastomer_thickness, "m"),
        ),
        Quantity("eps_q", load.v / pad.elastomer_thickness, ""),
        values.number("elastomeric.shear.limit"),
    )


def rotation_strain(values: Values, pad: Pad, load: Loading) -> Line:
    """Strain by rotation (5.3.3.4); a round pad takes the resultant rotation."""
    factor = values.number("elastomeric.rotation.factor")
    if pad.round:
        sides = pad.plate_length**2 * math.hypot(load.tilt_x, load.tilt_y)
    else:
        sides = pad.plate_length**2 * load.tilt_x + pad.plate_width**2 * load.tilt_y
    return state(
        values,
        ("elastomeric.rotation.factor",),
        "Strain by rotation",
        "eps_alpha = 0.5 (a'^2 alpha_a + b'^2 alpha_b) ti/sum(ti^3)",
        (
            Quantity("a'", pad.plate_length, "m"),
            Quantity("alpha_a", load.tilt_x, "rad"),
            Quantity("b'", pad.plate_width, "m"),
            Quantity("alpha_b", load.tilt_y, "rad"),
            Quantity("ti", pad.layer, "m"),
            Quantity("n", pad.layers, ""),
        ),
        Quantity("eps_alpha", factor * sides / (pad.layers * pad.layer**2), ""),
    )


def total_strain(
    values: Values, pad: Pad, load: Loading, G: float, combine: Combine = "max"
) -> Line:
    """Total strain, at most eps_u over its partial factor (5.3.3)."""
    factor = values.number("elastomeric.strain.load_factor")
    limit = values.number("elastomeric.strain.limit") / values.number("elastomeric.strain.partial")
    parts = (
        compression_strain(values, pad, load, G, combine),
        shear_strain(values, pad, load),
        rotation_strain(values, pad, load),
    )
    return at_most(
        values,
        (
            "elastomeric.strain.limit",
            "elastomeric.strain.partial",
            "elastomeric.strain.load_factor",
            "elastomeric.compression.factor",
            "elastomeric.rotation.factor",
        ),
        "Total strain",
        "eps_t = KL (eps_c + eps_q + eps_alpha) <= 7.0/gamma_m",
        (Quantity("KL", factor, ""), *(part.result for part in parts)),
        Quantity("eps_t", factor * sum(part.value for part in parts), ""),
        limit,
        note=parts[0].note,
    )


def plate_thickness(
    values: Values, pad: Pad, load: Loading, fy: float, *, holes: bool = False
) -> Line:
    """Least thickness of the plates between equal layers (5.3.3.5); `fy` Pa."""
    factor = values.number("elastomeric.plate.factor")
    hole_factor = values.number("elastomeric.plate.holes") if holes else 1.0
    partial = values.number("elastomeric.plate.partial")
    area = pad.reduced_area(load.vx, load.vy)
    needed = factor * load.N * 2 * pad.layer * hole_factor * partial / (area * fy)
    least = max(needed, values.number("elastomeric.plate.least"))
    return at_least(
        values,
        (
            "elastomeric.plate.factor",
            "elastomeric.plate.least",
            "elastomeric.plate.partial",
            *(("elastomeric.plate.holes",) if holes else ()),
        ),
        "Thickness of the plates",
        "ts >= max(Kp Fz (t1 + t2) Kh gamma_m/(Ar fy), 2 mm)",
        (
            Quantity("Fz", load.N, "N"),
            Quantity("t1 + t2", 2 * pad.layer, "m"),
            Quantity("Kh", hole_factor, ""),
            Quantity("Ar", area, "m**2"),
            Quantity("fy", fy, "Pa"),
            Quantity("ts,needed", needed, "m"),
        ),
        Quantity("ts", pad.plate, "m"),
        least,
    )


def deflection(
    values: Values, pad: Pad, load: Loading, G: float, area: DeflectionArea = "A1"
) -> Line:
    """Vertical deflection of the inner layers (5.3.3.7), m."""
    plan = pad.plate_area if area == "A1" else pad.reduced_area(load.vx, load.vy)
    shape = pad.plate_shape(pad.layer)
    bulk = values.number("elastomeric.bulk_modulus")
    soft = 1 / (values.number("elastomeric.deflection.shape") * G * shape**2) + 1 / bulk
    return state(
        values,
        ("elastomeric.deflection.shape", "elastomeric.bulk_modulus"),
        "Vertical deflection",
        "vz = sum(Fz ti/A (1/(5 G S1^2) + 1/Eb))",
        (
            Quantity("Fz", load.N, "N"),
            Quantity("sum ti", pad.inner_thickness, "m"),
            Quantity("A", plan, "m**2"),
            Quantity("G", G, "Pa"),
            Quantity("S1", shape, ""),
            Quantity("Eb", bulk, "Pa"),
        ),
        Quantity("vz", load.N * pad.inner_thickness / plan * soft, "m"),
        note=f"area {area}",
    )


def rotation_limit(
    values: Values, pad: Pad, load: Loading, G: float, area: DeflectionArea = "A1"
) -> Line:
    """No uplift of the edge: deflection at least the rotation term (5.3.3.6, (13)), m."""
    down = deflection(values, pad, load, G, area)
    factor = values.number("elastomeric.rotation_limit.factor")
    if pad.round:
        term = pad.plate_length * math.hypot(load.tilt_x, load.tilt_y) / factor
    else:
        term = (pad.plate_length * load.tilt_x + pad.plate_width * load.tilt_y) / factor
    return at_least(
        values,
        (
            "elastomeric.rotation_limit.factor",
            "elastomeric.deflection.shape",
            "elastomeric.bulk_modulus",
        ),
        "Rotation without uplift of an edge",
        "sum vz >= (a' alpha_a + b' alpha_b)/Kr",
        (
            Quantity("a'", pad.plate_length, "m"),
            Quantity("alpha_a", load.tilt_x, "rad"),
            Quantity("b'", pad.plate_width, "m"),
            Quantity("alpha_b", load.tilt_y, "rad"),
            Quantity("Kr", factor, ""),
        ),
        down.result,
        term,
        note=down.note,
    )


def buckling(values: Values, pad: Pad, load: Loading, G: float, side: Side = "shorter") -> Line:
    """Stability: pressure on the reduced area below 2 a' G S1/(3 Te) (5.3.3.6, (15)), Pa."""
    over, under = values.row("elastomeric.buckling.factor")
    pick = min if side == "shorter" else max
    length = pick(pad.plate_length, pad.plate_width)
    shape = pad.plate_shape(pad.layer)
    area = pad.reduced_area(load.vx, load.vy)
    return at_most(
        values,
        ("elastomeric.buckling.factor",),
        "Stability",
        "Fz/Ar < 2 a' G S1/(3 Te)",
        (
            Quantity("Fz", load.N, "N"),
            Quantity("Ar", area, "m**2"),
            Quantity("a'", length, "m"),
            Quantity("G", G, "Pa"),
            Quantity("S1", shape, ""),
            Quantity("Te", pad.elastomer_thickness, "m"),
        ),
        Quantity("sigma", load.N / area, "Pa"),
        over * length * G * shape / (under * pad.elastomer_thickness),
        note=f"a' is the {side} side of the plates",
    )


def permanent_pressure(values: Values, pad: Pad, load: Loading) -> Line:
    """Least pressure of a bearing that is not anchored, permanent actions (5.3.3.6), Pa."""
    area = pad.reduced_area(load.vx, load.vy)
    return at_least(
        values,
        ("elastomeric.slip.pressure",),
        "Pressure under permanent actions",
        "Fz,G,min/Ar >= 3 MPa",
        (Quantity("Fz,G,min", load.N, "N"), Quantity("Ar", area, "m**2")),
        Quantity("sigma_G", load.N / area, "Pa"),
        values.number("elastomeric.slip.pressure"),
    )


def slip(values: Values, pad: Pad, load: Loading, H: float, bedding: Bedding) -> Line:
    """Friction holds the pad: `H` (N) at most mu_e Fz (5.3.3.6, (16))."""
    base = values.number("elastomeric.slip.base")
    factor = values.number("elastomeric.slip.factor")
    surface = values.number(f"elastomeric.slip.{bedding}")
    area = pad.reduced_area(load.vx, load.vy)
    pressure = load.N / area
    mu = base + factor * surface / (pressure / 1e6)
    return at_most(
        values,
        ("elastomeric.slip.base", "elastomeric.slip.factor", f"elastomeric.slip.{bedding}"),
        "Friction against slip",
        "Fxy <= mu_e Fz, mu_e = 0.1 + 1.5 Kf/sigma_m",
        (
            Quantity("Fz", load.N, "N"),
            Quantity("Ar", area, "m**2"),
            Quantity("Kf", surface, ""),
            Quantity("mu_e", mu, ""),
        ),
        Quantity("Fxy", H, "N"),
        mu * load.N,
        note="sigma_m in MPa in the formula",
    )


def displacement(pad: Pad, H: float, G: float) -> float:
    """Movement of the top by a horizontal force H (N): H Tq/(G A), m (5.3.3.7)."""
    return H * pad.elastomer_thickness / (G * pad.area)


def shear_stiffness(pad: Pad, G: float) -> float:
    """Force for a unit movement: A G/Te, N/m (5.3.3.7)."""
    return G * pad.area / pad.elastomer_thickness


def turning_stiffness(values: Values, pad: Pad, G: float, across: Literal["x", "y"]) -> float:
    """Moment of a unit rotation across the length ("x") or width ("y"), N m/rad.

    Source: EN 1337-3, 5.3.3.7, Table 4. Beyond the table's ends its last figure holds.
    """
    layers = pad.layers * pad.layer**3
    if pad.round:
        divisor = values.number("elastomeric.moment.round")
        return G * math.pi * pad.plate_length**6 / (divisor * layers)
    a, b, ratio = pad.plate_length, pad.plate_width, pad.width / pad.length
    if across == "y":
        a, b, ratio = b, a, 1 / ratio
    ks = between(ratio, *_columns(values.table("elastomeric.moment.ks")))
    return G * a**5 * b / (layers * ks)


@cache
def _columns(table: tuple[tuple[float, ...], ...]) -> tuple[tuple[float, ...], ...]:
    return tuple(zip(*table, strict=True))


def moment(values: Values, pad: Pad, tilt: float, G: float, across: Literal["x", "y"]) -> Line:
    """Restoring moment of a rotation `tilt` (rad), see `turning_stiffness`, N m."""
    return state(
        values,
        ("elastomeric.moment.round" if pad.round else "elastomeric.moment.ks",),
        "Restoring moment",
        "M = G alpha a'^5 b'/(n ti^3 Ks); round G alpha pi D'^6/(512 n ti^3)",
        (
            Quantity("G", G, "Pa"),
            Quantity("alpha", tilt, "rad"),
            Quantity("a'", pad.plate_length, "m"),
            Quantity("b'", pad.plate_width, "m"),
            Quantity("n", pad.layers, ""),
            Quantity("ti", pad.layer, "m"),
        ),
        Quantity("M", turning_stiffness(values, pad, G, across) * tilt, "N m"),
    )
