"""AASHTO LRFD 14.7.5, 14.7.6, 14.6.3: steel-reinforced elastomeric bearings.

L and W of the articles are the overall sides; rules that look both ways take the worse one.
`Edition` "2009": from the interims of 2009 on; "1998": those before, for bearings designed then.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal, get_args

from bedstone.standards.clause import state
from bedstone.standards.elastomeric_pad import Loading, Pad
from bedstone.standards.limits import at_least, at_most
from bedstone.standards.record import Line, Quantity
from bedstone.standards.values import Values

Edition = Literal["2009", "1998"]
EDITIONS: tuple[Edition, ...] = get_args(Edition)


@dataclass(frozen=True)
class Rubber:
    """Shear modulus (Pa) at the lower and upper end of what is specified.

    `creep`: creep over instantaneous deflection.
    """

    low: float
    high: float
    creep: float


def hardnesses(values: Values) -> tuple[float, ...]:
    """Hardnesses (Shore A) of Table 14.7.6.2-1."""
    return values.row("elastomeric.hardness")


def rubber(values: Values, hardness: float) -> Rubber:
    """Shear modulus of a hardness of Table 14.7.6.2-1 (50, 60 or 70)."""
    place = hardnesses(values).index(hardness)
    return Rubber(
        *(values.row(f"elastomeric.hardness.{name}")[place] for name in ("low", "high", "creep"))
    )


def shape_factor(pad: Pad) -> float:
    """S of an inner layer on the overall plan (14.7.5.1-1, -2)."""
    if pad.round:
        return pad.length / (4 * pad.layer)
    return pad.area / (2 * pad.layer * (pad.length + pad.width))


def counted_layers(values: Values, pad: Pad) -> float:
    """n: inner layers, and half a layer for each cover of at least half a layer (14.7.6.1)."""
    share = values.number("elastomeric.thick_cover")
    thick = pad.cover >= share * pad.layer - 1e-9
    return pad.layers + (2 * share if thick else 0.0)


def modulus_range(values: Values, low: float, high: float) -> tuple[Line, Line]:
    """Specified shear modulus (Pa) within the range of method B (14.7.5.2)."""
    least, most = values.row("elastomeric.shear_modulus.range")
    names = ("elastomeric.shear_modulus.range",)
    return (
        at_least(
            values, names, "Least shear modulus", "G >= 0.080 ksi", (), Quantity("G", low, "Pa"),
            least,
        ),
        at_most(
            values, names, "Greatest shear modulus", "G <= 0.175 ksi", (),
            Quantity("G", high, "Pa"), most,
        ),
    )  # fmt: skip


def applicability(values: Values, pad: Pad) -> Line:
    """Method A holds while S^2/n stays below its limit (14.7.6.1)."""
    name = f"elastomeric.a.applicability.{_plan(pad)}"
    shape, count = shape_factor(pad), counted_layers(values, pad)
    return at_most(
        values,
        (name, "elastomeric.thick_cover"),
        "Scope of method A",
        "S^2/n < 22 (rectangular), 16 (round)",
        (Quantity("S", shape, ""), Quantity("n", count, "")),
        Quantity("S^2/n", shape**2 / count, ""),
        values.number(name),
    )


def stress_a(
    values: Values, pad: Pad, load: Loading, G: float, edition: Edition, *, prevented: bool = False
) -> Line:
    """Mean pressure at service, method A (14.7.6.3.2), Pa.

    `G` the lower end (Pa); `prevented`: shear deformation is prevented.
    """
    name = f"elastomeric.a.stress.{edition}"
    rise = values.number("elastomeric.a.stress.prevented") if prevented else 1.0
    limit = min(values.number(name) * G * shape_factor(pad), values.number(f"{name}.most"))
    return at_most(
        values,
        (name, f"{name}.most", *(("elastomeric.a.stress.prevented",) if prevented else ())),
        "Pressure at service",
        "sigma_s <= min(1.25 G S, 1.25 ksi)" if edition == "2009" else "min(1.0 G S, 1.0 ksi)",
        (
            Quantity("P", load.N, "N"),
            Quantity("A", pad.area, "m**2"),
            Quantity("G", G, "Pa"),
            Quantity("S", shape_factor(pad), ""),
        ),
        Quantity("sigma_s", load.N / pad.area, "Pa"),
        rise * limit,
        note="10 % more: shear deformation is prevented" if prevented else "",
    )


def layer_strain(values: Values, pad: Pad, N: float, G: float) -> Line:
    """Instantaneous compressive strain of an inner layer: sigma/(4.8 G S^2) (C14.7.5.3.6)."""
    factor = values.number("elastomeric.modulus.factor")
    return state(
        values,
        ("elastomeric.modulus.factor",),
        "Compressive strain",
        "eps = sigma/(4.8 G S^2)",
        (
            Quantity("sigma", N / pad.area, "Pa"),
            Quantity("G", G, "Pa"),
            Quantity("S", shape_factor(pad), ""),
        ),
        Quantity("eps", N / pad.area / (factor * G * shape_factor(pad) ** 2), ""),
    )


def deflection(values: Values, pad: Pad, N: float, G: float) -> Line:
    """Instantaneous deflection, the strain of an inner layer taken over all elastomer, m.

    Source: AASHTO LRFD 14.7.5.3.6. Covers take the strain of the layers, as worked examples do.
    """
    strain = layer_strain(values, pad, N, G)
    return state(
        values,
        ("elastomeric.modulus.factor",),
        "Compressive deflection",
        "delta = sum eps hri",
        (strain.result, Quantity("hrt", pad.elastomer_thickness, "m")),
        Quantity("delta", strain.value * pad.elastomer_thickness, "m"),
    )


def live_deflection(values: Values, pad: Pad, live: float, G: float) -> Line:
    """Deflection by live load (N) beside the advised 3.2 mm (C14.7.5.3.6); advice, no limit."""
    advised = values.number("elastomeric.deflection.live")
    down = deflection(values, pad, live, G)
    return state(
        values,
        ("elastomeric.deflection.live", "elastomeric.modulus.factor"),
        "Deflection by live load",
        "delta_L = sum eps_L hri",
        (*down.inputs, Quantity("advised", advised, "m")),
        down.result,
        note="more than advised: look at the joint" if down.value > advised else "",
    )


def layer_compression(values: Values, pad: Pad, load: Loading, G: float, edition: Edition) -> Line:
    """Initial deflection of a layer over its thickness, method A (14.7.6.3.3)."""
    name = f"elastomeric.a.layer.{edition}"
    strain = layer_strain(values, pad, load.N, G)
    return at_most(
        values,
        (name, "elastomeric.modulus.factor"),
        "Compression of a layer",
        "eps = sigma_s/(4.8 G S^2) <= 0.09 (0.07 before 2009)",
        strain.inputs,
        strain.result,
        values.number(name),
    )


def shear(values: Values, pad: Pad, load: Loading) -> Line:
    """Elastomer at least twice the movement (14.7.6.3.4, 14.7.5.3.2), m."""
    factor = values.number("elastomeric.shear")
    return at_least(
        values,
        ("elastomeric.shear",),
        "Shear deformation",
        "hrt >= 2 Delta_s",
        (Quantity("Delta_s", load.v, "m"),),
        Quantity("hrt", pad.elastomer_thickness, "m"),
        factor * load.v,
    )


def rotation_a_1998(values: Values, pad: Pad, load: Loading, G: float) -> Line:
    """No uplift by rotation, method A before 2009 (14.7.6.3.5), Pa; worse of both ways."""
    name = f"elastomeric.a.rotation.{_plan(pad)}"
    factor, count = values.number(name), counted_layers(values, pad)
    needed, side, tilt = _worse_way(
        pad,
        load,
        lambda side, tilt: factor * G * shape_factor(pad) * (side / pad.layer) ** 2 * tilt / count,
    )
    return at_least(
        values,
        (name, "elastomeric.thick_cover"),
        "Rotation without uplift",
        "sigma_s >= 0.5 G S (L/hri)^2 theta/n; round 0.375, D",
        (
            Quantity("G", G, "Pa"),
            Quantity("S", shape_factor(pad), ""),
            Quantity("L", side, "m"),
            Quantity("theta", tilt, "rad"),
            Quantity("n", count, ""),
        ),
        Quantity("sigma_s", load.N / pad.area, "Pa"),
        needed,
    )


def height(values: Values, pad: Pad, *, elastomer_only: bool = False) -> Line:
    """Stability of method A: height at most a third of the sides (14.7.6.3.6), m.

    Round: a quarter of the diameter. `elastomer_only`: hrt in place of the height (TxDOT).
    """
    name = f"elastomeric.a.height.{_plan(pad)}"
    tall = pad.elastomer_thickness if elastomer_only else pad.height
    return at_most(
        values,
        (name,),
        "Stability",
        ("hrt" if elastomer_only else "H") + " <= L/3, W/3; round D/4",
        (Quantity("L", pad.length, "m"), Quantity("W", pad.width, "m")),
        Quantity("hrt" if elastomer_only else "H", tall, "m"),
        pad.shorter_side / values.number(name),
    )


def plates(values: Values, pad: Pad, total: float, live: float, fy: float, *, holes: bool) -> Line:
    """Thickness of the plates for service and fatigue (14.7.5.3.5), m; `fy` Pa, forces N."""
    service = values.number("elastomeric.plate.service") * pad.layer * (total / pad.area) / fy
    fatigue = (
        values.number("elastomeric.plate.fatigue")
        * pad.layer
        * (live / pad.area)
        / values.number("elastomeric.plate.threshold")
    )
    rise = values.number("elastomeric.plate.holes") if holes else 1.0
    least = max(rise * max(service, fatigue), values.number("elastomeric.plate.least"))
    return at_least(
        values,
        (
            "elastomeric.plate.service",
            "elastomeric.plate.fatigue",
            "elastomeric.plate.threshold",
            "elastomeric.plate.least",
            *(("elastomeric.plate.holes",) if holes else ()),
        ),
        "Thickness of the plates",
        "hs >= 3 hri sigma_s/Fy, 2 hri sigma_L/Delta_F_TH, 0.0625 in",
        (
            Quantity("sigma_s", total / pad.area, "Pa"),
            Quantity("sigma_L", live / pad.area, "Pa"),
            Quantity("Fy", fy, "Pa"),
            Quantity("hs,service", service, "m"),
            Quantity("hs,fatigue", fatigue, "m"),
            Quantity("holes", rise, ""),
        ),
        Quantity("hs", pad.plate, "m"),
        least,
        note="holes: the factor stands for twice gross over net width" if holes else "",
    )


def axial_strain(values: Values, pad: Pad, N: float, G: float) -> Line:
    """Shear strain by compression: D_a sigma/(G S) (14.7.5.3.3-3)."""
    name = f"elastomeric.b.axial.{_plan(pad)}"
    return state(
        values,
        (name,),
        "Shear strain by compression",
        "gamma_a = D_a sigma/(G S)",
        (
            Quantity("sigma", N / pad.area, "Pa"),
            Quantity("G", G, "Pa"),
            Quantity("S", shape_factor(pad), ""),
        ),
        Quantity("gamma_a", values.number(name) * N / pad.area / (G * shape_factor(pad)), ""),
    )


def static_axial_strain(values: Values, pad: Pad, permanent: float, G: float) -> Line:
    """Static shear strain by compression, at most 3 (14.7.5.3.3-2)."""
    part = axial_strain(values, pad, permanent, G)
    return at_most(
        values,
        ("elastomeric.b.strain.axial", f"elastomeric.b.axial.{_plan(pad)}"),
        "Static shear strain by compression",
        "gamma_a,st <= 3.0",
        part.inputs,
        part.result,
        values.number("elastomeric.b.strain.axial"),
    )


def combined_strain(values: Values, pad: Pad, static: Loading, cyclic: Loading, G: float) -> Line:
    """Shear strains of compression, rotation and shear, at most 5 (14.7.5.3.3-1).

    `static` and `cyclic`: what stays and what repeats; their rotations already hold any allowance.
    Worse of both directions (a round pad: resultants).
    """
    rotation_name = f"elastomeric.b.rotation.{_plan(pad)}"
    rise = values.number("elastomeric.b.cyclic")
    factor, count = values.number(rotation_name), counted_layers(values, pad)

    def strain(load: Loading, side: float, tilt: float, v: float) -> tuple[float, float, float]:
        return (
            axial_strain(values, pad, load.N, G).value,
            factor * (side / pad.layer) ** 2 * tilt / count,
            v / pad.elastomer_thickness,
        )

    def total(way: tuple[tuple[float, float, float], tuple[float, float, float]]) -> float:
        return sum(way[0]) + rise * sum(way[1])

    if pad.round:
        turns = [math.hypot(one.tilt_x, one.tilt_y) for one in (static, cyclic)]
        ways = [
            (
                strain(static, pad.length, turns[0], static.v),
                strain(cyclic, pad.length, turns[1], cyclic.v),
            )
        ]
    else:
        ways = [
            (
                strain(static, pad.length, static.tilt_x, static.vx),
                strain(cyclic, pad.length, cyclic.tilt_x, cyclic.vx),
            ),
            (
                strain(static, pad.width, static.tilt_y, static.vy),
                strain(cyclic, pad.width, cyclic.tilt_y, cyclic.vy),
            ),
        ]
    worst = max(ways, key=total)
    symbols = ("gamma_a", "gamma_r", "gamma_s")
    return at_most(
        values,
        (
            "elastomeric.b.strain",
            "elastomeric.b.cyclic",
            f"elastomeric.b.axial.{_plan(pad)}",
            rotation_name,
            "elastomeric.thick_cover",
        ),
        "Combined shear strain",
        "(ga + gr + gs)st + 1.75 (ga + gr + gs)cy <= 5.0",
        tuple(
            Quantity(f"{symbol},{kind}", value, "")
            for kind, part in zip(("st", "cy"), worst, strict=True)
            for symbol, value in zip(symbols, part, strict=True)
        ),
        Quantity("gamma", total(worst), ""),
        values.number("elastomeric.b.strain"),
    )


def hydrostatic(values: Values, pad: Pad, load: Loading, G: float) -> Line:
    """Hydrostatic tension of pads with bonded outer plates, at most 2.25 G (14.7.5.3.3-11), Pa."""
    count, shape = counted_layers(values, pad), shape_factor(pad)
    strain = load.N / pad.area / (3 * values.number("elastomeric.b.bulge") * G * shape**2)

    def tension(tilt: float) -> float:
        if tilt == 0.0:
            return 0.0
        alpha = strain / shape * count / tilt
        if alpha >= 1 / 3:  # the layers stay compressed over the whole plan: no tension (derived)
            return 0.0
        curve: float = 4 / 3 * ((alpha**2 + 1 / 3) ** 1.5 - alpha * (1 - alpha**2))
        return (
            values.number("elastomeric.b.hydrostatic.stress") * G * shape**3 * tilt / count * curve
        )

    tilt = math.hypot(load.tilt_x, load.tilt_y) if pad.round else max(load.tilt_x, load.tilt_y)
    return at_most(
        values,
        (
            "elastomeric.b.hydrostatic",
            "elastomeric.b.hydrostatic.stress",
            "elastomeric.b.bulge",
            "elastomeric.thick_cover",
        ),
        "Hydrostatic tension",
        "sigma_hyd = 3 G S^3 (theta/n) C_alpha <= 2.25 G",
        (
            Quantity("eps_a", strain, ""),
            Quantity("theta", tilt, "rad"),
            Quantity("n", count, ""),
            Quantity("S", shape, ""),
        ),
        Quantity("sigma_hyd", tension(tilt), "Pa"),
        values.number("elastomeric.b.hydrostatic") * G,
    )


def stability_factors(values: Values, pad: Pad) -> tuple[float, float]:
    """A and B of 14.7.5.3.4; the shorter side is L, a round pad counts as a square of 0.8 D."""
    if pad.round:
        length = width = values.number("elastomeric.b.stability.round") * pad.length
    else:
        length, width = pad.shorter_side, pad.longer_side
    a = (
        values.number("elastomeric.b.stability.a")
        * (pad.elastomer_thickness / length)
        / math.sqrt(1 + values.number("elastomeric.b.stability.a_width") * length / width)
    )
    b = values.number("elastomeric.b.stability.b") / (
        (shape_factor(pad) + values.number("elastomeric.b.stability.b_shape"))
        * (1 + length / (values.number("elastomeric.b.stability.b_width") * width))
    )
    return a, b


def stability(values: Values, pad: Pad, load: Loading, G: float, *, fixed: bool) -> Line:
    """Stability of method B (14.7.5.3.4), Pa; `fixed`: the deck cannot translate.

    Where 2A <= B the pad is stable at any pressure; the line then compares 2A with B.
    """
    a, b = stability_factors(values, pad)
    names = (
        "elastomeric.b.stability.a",
        "elastomeric.b.stability.b",
        "elastomeric.b.stability.a_width",
        "elastomeric.b.stability.b_shape",
        "elastomeric.b.stability.b_width",
        *(("elastomeric.b.stability.round",) if pad.round else ()),
    )
    inputs = (Quantity("A", a, ""), Quantity("B", b, ""))
    slender = (a if fixed else 2 * a) - b
    if 2 * a <= b or slender <= 0.0:
        return at_most(
            values, names, "Stability", "2A <= B; fixed: A <= B", inputs,
            Quantity("A" if fixed else "2A", a if fixed else 2 * a, ""), b,
        )  # fmt: skip
    return at_most(
        values,
        names,
        "Stability",
        "sigma_s <= G S/(2A - B); fixed: G S/(A - B)",
        (*inputs, Quantity("G", G, "Pa"), Quantity("S", shape_factor(pad), "")),
        Quantity("sigma_s", load.N / pad.area, "Pa"),
        G * shape_factor(pad) / slender,
    )


def stress_b_1998(
    values: Values, pad: Pad, total: float, live: float, G: float, *, prevented: bool
) -> tuple[Line, Line]:
    """Pressure of all and of live load (N), method B before 2009 (14.7.5.3.2), Pa."""
    place = int(prevented)
    shape = shape_factor(pad)
    most = values.row("elastomeric.b.1998.stress.most")[place]
    inputs = (Quantity("G", G, "Pa"), Quantity("S", shape, ""))
    return (
        at_most(
            values,
            ("elastomeric.b.1998.stress", "elastomeric.b.1998.stress.most"),
            "Pressure at service",
            "sigma_s <= min(1.66 G S, 1.6 ksi); shear prevented min(2.0 G S, 1.75 ksi)",
            inputs,
            Quantity("sigma_s", total / pad.area, "Pa"),
            min(values.row("elastomeric.b.1998.stress")[place] * G * shape, most),
        ),
        at_most(
            values,
            ("elastomeric.b.1998.live",),
            "Pressure by live load",
            "sigma_L <= 0.66 G S; shear prevented 1.0 G S",
            inputs,
            Quantity("sigma_L", live / pad.area, "Pa"),
            values.row("elastomeric.b.1998.live")[place] * G * shape,
        ),
    )


def rotation_b_1998(
    values: Values, pad: Pad, load: Loading, G: float, *, prevented: bool
) -> tuple[Line, Line]:
    """Compression and rotation together, method B before 2009 (14.7.5.3.5), Pa.

    First line: no uplift; second: pressure with rotation. Worse of both directions.
    """
    place = int(pad.round)
    way = "prevented" if prevented else "free"
    lift = values.row("elastomeric.b.1998.uplift")[place]
    base = values.row(f"elastomeric.b.1998.combined.{way}")[place]
    loss = values.row(f"elastomeric.b.1998.combined.{way}_turn")[place]
    shape, count = shape_factor(pad), counted_layers(values, pad)
    turn, side, tilt = _worse_way(
        pad, load, lambda side, tilt: tilt / count * (side / pad.layer) ** 2
    )
    inputs = (
        Quantity("G", G, "Pa"),
        Quantity("S", shape, ""),
        Quantity("B", side, "m"),
        Quantity("theta", tilt, "rad"),
        Quantity("n", count, ""),
    )
    pressed = Quantity("sigma_s", load.N / pad.area, "Pa")
    # A rotation that leaves nothing of the second limit must still fail by a finite amount.
    left = max(base * G * shape * (1 - loss * turn), 0.01 * G * shape)
    return (
        at_least(
            values,
            ("elastomeric.b.1998.uplift", "elastomeric.thick_cover"),
            "Rotation without uplift",
            "sigma_s >= 1.0 G S (theta/n)(B/hri)^2; round 0.75",
            inputs,
            pressed,
            lift * G * shape * turn,
        ),
        at_most(
            values,
            (
                f"elastomeric.b.1998.combined.{way}",
                f"elastomeric.b.1998.combined.{way}_turn",
                "elastomeric.thick_cover",
            ),
            "Pressure with rotation",
            "sigma_s <= 1.875 G S (1 - 0.20 (theta/n)(B/hri)^2); round 2.5, 0.15;"
            " shear prevented 2.25, 0.167; round 3.0, 0.125",
            inputs,
            pressed,
            left,
        ),
    )


def shear_force(pad: Pad, v: float, G: float) -> float:
    """Force (N) of the pad at a movement v (m): G A Delta/hrt (14.6.3.1-2)."""
    return G * pad.area * v / pad.elastomer_thickness


def turning_stiffness(values: Values, pad: Pad, G: float, across: Literal["x", "y"]) -> float:
    """Moment of a unit rotation across the length ("x") or width ("y") (14.6.3.2-3), N m/rad."""
    factor, half = values.row("elastomeric.moment")
    if pad.round:
        inertia = math.pi * pad.length**4 / 64
    else:
        a, b = (pad.length, pad.width) if across == "x" else (pad.width, pad.length)
        inertia = b * a**3 / 12
    modulus = values.number("elastomeric.modulus.factor") * G * shape_factor(pad) ** 2
    return factor * half * modulus * inertia / pad.elastomer_thickness


def moment(values: Values, pad: Pad, tilt: float, G: float, across: Literal["x", "y"]) -> Line:
    """Restoring moment of a rotation `tilt` (rad), see `turning_stiffness`, N m."""
    return state(
        values,
        ("elastomeric.moment", "elastomeric.modulus.factor"),
        "Restoring moment",
        "Mu = 1.60 (0.5 Ec I) theta/hrt, Ec = 4.8 G S^2",
        (
            Quantity("G", G, "Pa"),
            Quantity("S", shape_factor(pad), ""),
            Quantity("theta", tilt, "rad"),
            Quantity("hrt", pad.elastomer_thickness, "m"),
        ),
        Quantity("Mu", turning_stiffness(values, pad, G, across) * tilt, "N m"),
    )


def slip(values: Values, H: float, permanent: float) -> Line:
    """Shear force (N) that needs no anchorage: a fifth of the permanent compression (14.8.3.1)."""
    return at_most(
        values,
        ("elastomeric.slip",),
        "Shear without anchorage",
        "Hu <= 0.2 P_permanent",
        (Quantity("P_permanent", permanent, "N"),),
        Quantity("Hu", H, "N"),
        values.number("elastomeric.slip") * permanent,
    )


def txdot_stress(
    values: Values, pad: Pad, total: float, permanent: float, G: float, *, excess: bool = False
) -> tuple[Line, Line]:
    """Pressure by dead and by total load (N), TxDOT; `excess`: total may exceed by 15 %, Pa."""
    found = []
    for name, title, force, rise in (
        ("dead", "Pressure by dead load", permanent, 1.0),
        ("total", "Pressure by total load", total,
         values.number("elastomeric.txdot.excess") if excess else 1.0),
    ):  # fmt: skip
        names: tuple[str, ...] = (f"elastomeric.txdot.{name}", f"elastomeric.txdot.{name}.most")
        limit = min(values.number(names[0]) * G * shape_factor(pad), values.number(names[1]))
        found.append(
            at_most(
                values,
                names,
                title,
                "sigma <= min(1.2 G S, 1.2 ksi) dead; min(1.5 G S, 1.5 ksi) total",
                (Quantity("G", G, "Pa"), Quantity("S", shape_factor(pad), "")),
                Quantity("sigma", force / pad.area, "Pa"),
                rise * limit,
                note="15 % more, as the manual allows" if rise > 1.0 else "",
            )
        )
    return found[0], found[1]


def txdot_rotation(values: Values, pad: Pad, load: Loading, G: float) -> Line:
    """Compressive deflection at least theta (0.8 L)/2, TxDOT, m; worse of both ways."""
    share, half = values.row("elastomeric.txdot.rotation")
    needed, side, tilt = _worse_way(pad, load, lambda side, tilt: tilt * share * side * half)
    return at_least(
        values,
        ("elastomeric.txdot.rotation", "elastomeric.modulus.factor"),
        "Rotation without uplift",
        "delta_c >= theta (0.8 L)/2",
        (Quantity("L", side, "m"), Quantity("theta", tilt, "rad")),
        deflection(values, pad, load.N, G).result,
        needed,
    )


def txdot_slip(values: Values, pad: Pad, load: Loading, permanent: float, grade: float) -> Line:
    """Movement that does not slip on a grade, TxDOT, m; cold elastomer; `permanent` N."""
    base = values.number("elastomeric.txdot.slip")
    cold = values.number("elastomeric.txdot.cold_modulus")
    limit = (base - grade) * permanent * pad.elastomer_thickness / (cold * pad.area)
    return at_most(
        values,
        ("elastomeric.txdot.slip", "elastomeric.txdot.cold_modulus"),
        "Movement without slip",
        "Delta_s <= (0.2 - Gr) DL hrt/(G A)",
        (
            Quantity("Gr", grade, ""),
            Quantity("DL", permanent, "N"),
            Quantity("G", cold, "Pa"),
            Quantity("A", pad.area, "m**2"),
        ),
        Quantity("Delta_s", load.v, "m"),
        limit,
    )


def _plan(pad: Pad) -> str:
    return "round" if pad.round else "rectangular"


def _worse_way(
    pad: Pad, load: Loading, rule: Callable[[float, float], float]
) -> tuple[float, float, float]:
    """(result, side, rotation) of the way in which `rule(side, rotation)` gives more."""
    if pad.round:
        tilt = math.hypot(load.tilt_x, load.tilt_y)
        return rule(pad.length, tilt), pad.length, tilt
    ways = ((pad.length, load.tilt_x), (pad.width, load.tilt_y))
    side, tilt = max(ways, key=lambda way: rule(*way))
    return rule(side, tilt), side, tilt
