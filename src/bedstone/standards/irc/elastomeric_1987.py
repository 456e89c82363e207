"""IRC:83 Part II, 1987, clauses 916: laminated elastomeric bearings by working stresses.

Rectangular pads. b is the shorter side of the plates, h the elastomer with both covers.
"""

from __future__ import annotations

import math

from bedstone.standards.elastomeric_pad import Loading, Pad
from bedstone.standards.limits import at_least, at_most
from bedstone.standards.record import Line, Quantity
from bedstone.standards.values import Values


def side_ratio(values: Values, pad: Pad) -> Line:
    """Longer over shorter side, at most 2 (916.2)."""
    return at_most(
        values,
        ("elastomeric_1987.side_ratio",),
        "Ratio of the sides",
        "lo/bo <= 2",
        (Quantity("lo", pad.longer_side, "m"), Quantity("bo", pad.shorter_side, "m")),
        Quantity("lo/bo", pad.longer_side / pad.shorter_side, ""),
        values.number("elastomeric_1987.side_ratio"),
    )


def thickness_range(values: Values, pad: Pad) -> tuple[Line, Line]:
    """Elastomer between a tenth and a fifth of the shorter side (916.2): greatest, least."""
    over_most, over_least = values.row("elastomeric_1987.height_ratio")
    names = ("elastomeric_1987.height_ratio",)
    inputs = (Quantity("bo", pad.shorter_side, "m"),)
    result = Quantity("h", pad.elastomer_thickness, "m")
    return (
        at_most(
            values, names, "Greatest elastomer", "h <= bo/5", inputs, result,
            pad.shorter_side / over_most,
        ),
        at_least(
            values, names, "Least elastomer", "h >= bo/10", inputs, result,
            pad.shorter_side / over_least,
        ),
    )  # fmt: skip


def layer_sizes(values: Values) -> tuple[tuple[float, float], ...]:
    """Layers in use with the plate of each, m (916.2)."""
    sizes = values.row("elastomeric_1987.layer.sizes")
    return tuple(zip(sizes, values.row("elastomeric_1987.layer.plates"), strict=True))


def cover(values: Values, layer: float) -> float:
    """Cover of a pad with inner layers of `layer` (m): half of it, at most 6 mm (916.2)."""
    share = values.number("elastomeric_1987.cover.share")
    return min(share * layer, values.number("elastomeric_1987.cover.most"))


def layers(values: Values, pad: Pad) -> tuple[Line, Line, Line]:
    """Thickness of the cover, of the plates and cover beside the plates (916.2)."""
    # A layer between the sizes in use takes the plate of the next thicker one.
    sizes = layer_sizes(values)
    needed = next((plate for size, plate in sizes if size >= pad.layer - 1e-9), sizes[-1][1])
    return (
        at_most(
            values,
            ("elastomeric_1987.cover.share", "elastomeric_1987.cover.most"),
            "Cover above and below",
            "he <= hi/2, 6 mm",
            (Quantity("hi", pad.layer, "m"),),
            Quantity("he", pad.cover, "m"),
            cover(values, pad.layer),
        ),
        at_least(
            values,
            ("elastomeric_1987.layer.plates", "elastomeric_1987.layer.sizes"),
            "Thickness of the plates",
            "hs >= 3, 4, 6 mm for hi = 8 and 10, 12, 16 mm",
            (Quantity("hi", pad.layer, "m"),),
            Quantity("hs", pad.plate, "m"),
            needed,
        ),
        at_least(
            values,
            ("elastomeric_1987.side_cover",),
            "Cover beside the plates",
            "c >= 6 mm",
            (),
            Quantity("c", pad.side_cover, "m"),
            values.number("elastomeric_1987.side_cover"),
        ),
    )


def shape_factor(values: Values, pad: Pad) -> tuple[Line, Line]:
    """Shape factor of the plates' plan between 6 and 12 (916.2): greatest, least."""
    least, most = values.row("elastomeric_1987.shape")
    names = ("elastomeric_1987.shape",)
    inputs = (
        Quantity("l", pad.plate_length, "m"),
        Quantity("b", pad.plate_width, "m"),
        Quantity("hi", pad.layer, "m"),
    )
    result = Quantity("S", pad.plate_shape(pad.layer), "")
    formula = "S = l b/(2 (l + b) hi)"
    return (
        at_most(values, names, "Greatest shape factor", formula, inputs, result, most),
        at_least(values, names, "Least shape factor", formula, inputs, result, least),
    )


def pressure(values: Values, pad: Pad, load: Loading) -> tuple[Line, Line]:
    """Mean pressure on the plates' plan, 2 MPa to 10 MPa (916.3.3): greatest, least."""
    least, most = values.row("elastomeric_1987.pressure")
    names = ("elastomeric_1987.pressure",)
    inputs = (Quantity("N", load.N, "N"), Quantity("A", pad.plate_area, "m**2"))
    result = Quantity("sigma_m", load.N / pad.plate_area, "Pa")
    formula = "sigma_m = N/A"
    return (
        at_most(values, names, "Greatest mean pressure", formula, inputs, result, most),
        at_least(values, names, "Least mean pressure", formula, inputs, result, least),
    )


def shear_strain(values: Values, pad: Pad, load: Loading, Hx: float = 0.0, Hy: float = 0.0) -> Line:
    """Shear strain by movements and by forces (N) beside them, at most 0.7 (916.3.4)."""
    strain = _strain(values, pad, load, Hx, Hy)
    return at_most(
        values,
        ("elastomeric_1987.shear.limit", "elastomeric_1987.shear_modulus"),
        "Shear strain",
        "gamma_d = sqrt(gamma_x^2 + gamma_y^2), gamma = Delta/h + H/(G A) <= 0.7",
        (
            Quantity("Delta_x", load.vx, "m"),
            Quantity("Delta_y", load.vy, "m"),
            Quantity("Hx", Hx, "N"),
            Quantity("Hy", Hy, "N"),
            Quantity("h", pad.elastomer_thickness, "m"),
            Quantity("A", pad.plate_area, "m**2"),
            Quantity("G", values.number("elastomeric_1987.shear_modulus"), "Pa"),
        ),
        Quantity("gamma_d", strain, ""),
        values.number("elastomeric_1987.shear.limit"),
    )


def rotation(values: Values, pad: Pad, load: Loading) -> Line:
    """Rotation, at most beta n alpha_bi,max (916.3.5), rad; across the shorter side."""
    tilt, side = _turn(pad, load)
    most = _layer_rotation(values, pad, side)
    beta = load.N / pad.plate_area / values.number("elastomeric_1987.rotation.pressure")
    limit = beta * pad.layers * most
    return at_most(
        values,
        ("elastomeric_1987.rotation.pressure", "elastomeric_1987.rotation.factor"),
        "Rotation",
        "alpha_d <= beta n alpha_bi,max, alpha_bi,max = 0.5 sigma_m hi/(b S^2)",
        (
            Quantity("beta", beta, ""),
            Quantity("n", pad.layers, ""),
            Quantity("b", side, "m"),
            Quantity("alpha_bi,max", most, "rad"),
        ),
        Quantity("alpha_d", tilt, "rad"),
        limit,
    )


def friction(values: Values, pad: Pad, load: Loading, Hx: float = 0.0, Hy: float = 0.0) -> Line:
    """Friction holds the pad: gamma_d <= 0.2 + 0.1 sigma_m, sigma_m in MPa (916.3.6)."""
    base, rise = values.row("elastomeric_1987.friction")
    pressed = load.N / pad.plate_area
    return at_most(
        values,
        ("elastomeric_1987.friction", "elastomeric_1987.shear_modulus"),
        "Friction against slip",
        "gamma_d <= 0.2 + 0.1 sigma_m",
        (Quantity("sigma_m", pressed, "Pa"),),
        Quantity("gamma_d", _strain(values, pad, load, Hx, Hy), ""),
        base + rise * pressed / 1e6,
        note="sigma_m in MPa in the formula",
    )


def shear_stress(values: Values, pad: Pad, load: Loading, Hx: float = 0.0, Hy: float = 0.0) -> Line:
    """Shear stress by compression, movement and rotation, at most 5 MPa (916.3.7), Pa.

    The largest rotation of a layer counts, whatever the rotation is.
    """
    _, side = _turn(pad, load)
    compressed = (
        values.number("elastomeric_1987.stress.compression")
        * (load.N / pad.plate_area)
        / pad.plate_shape(pad.layer)
    )
    sheared = values.number("elastomeric_1987.shear_modulus") * _strain(values, pad, load, Hx, Hy)
    turned = (
        values.number("elastomeric_1987.stress.rotation")
        * (side / pad.layer) ** 2
        * _layer_rotation(values, pad, side)
    )
    return at_most(
        values,
        (
            "elastomeric_1987.stress.limit",
            "elastomeric_1987.stress.compression",
            "elastomeric_1987.stress.rotation",
            "elastomeric_1987.shear_modulus",
            "elastomeric_1987.rotation.factor",
        ),
        "Shear stress",
        "tau_c + tau_r + tau_alpha <= 5 MPa",
        (
            Quantity("tau_c", compressed, "Pa"),
            Quantity("tau_r", sheared, "Pa"),
            Quantity("tau_alpha", turned, "Pa"),
        ),
        Quantity("tau", compressed + sheared + turned, "Pa"),
        values.number("elastomeric_1987.stress.limit"),
        note="tau_c = 1.5 sigma_m/S, tau_r = G gamma_d, tau_alpha = 0.5 (b/hi)^2 alpha_bi,max",
    )


def _strain(values: Values, pad: Pad, load: Loading, Hx: float, Hy: float) -> float:
    stiff = values.number("elastomeric_1987.shear_modulus") * pad.plate_area
    thickness = pad.elastomer_thickness
    return math.hypot(load.vx / thickness + Hx / stiff, load.vy / thickness + Hy / stiff)


def _turn(pad: Pad, load: Loading) -> tuple[float, float]:
    """Rotation with the side across which it acts, the one that strains the layers more."""
    ways = ((load.tilt_x, pad.plate_length), (load.tilt_y, pad.plate_width))
    if load.tilt_x == load.tilt_y == 0.0:
        return 0.0, min(pad.plate_length, pad.plate_width)
    return max(ways, key=lambda way: way[0] * way[1])


def _layer_rotation(values: Values, pad: Pad, side: float) -> float:
    """Largest rotation of one layer across a side of the plates, rad."""
    # The factor 0.5 of the clause is per MPa.
    return (
        values.number("elastomeric_1987.rotation.factor")
        * (values.number("elastomeric_1987.rotation.pressure") / 1e6)
        * pad.layer
        / (side * pad.plate_shape(pad.layer) ** 2)
    )
