"""EN 1337-5: pot bearings."""

from __future__ import annotations

import math
from collections.abc import Sequence

from bedstone.standards import pot_pad
from bedstone.standards.clause import state
from bedstone.standards.record import Line, Quantity
from bedstone.standards.values import Values

_SYMBOLS = pot_pad.Symbols("D", "t", "alpha", "alpha1", "alpha2")


def scope_rotation(values: Values, rotation: float) -> Line:
    """Rotation (rad) under the characteristic combination within the scope (1)."""
    limit = values.number("pot.scope.rotation")
    return state(
        values,
        ("pot.scope.rotation",),
        "Rotation within the scope",
        "alpha <= 0.030 rad",
        (),
        Quantity("alpha", rotation, "rad"),
        limit=Quantity("alpha_max", limit, "rad"),
        utilisation=rotation / limit,
    )


def scope_diameter(values: Values, diameter: float) -> Line:
    """Diameter (m) of the pad within the scope (1)."""
    limit = values.number("pot.scope.diameter")
    return state(
        values,
        ("pot.scope.diameter",),
        "Size of the pad within the scope",
        "D <= 1500 mm",
        (),
        Quantity("D", diameter, "m"),
        limit=Quantity("D_max", limit, "m"),
        utilisation=diameter / limit,
    )


def scope_temperature(values: Values, temperature: float) -> Line:
    """Highest effective temperature (degC) within the scope (1)."""
    _, most = values.row("pot.scope.temperature")
    return state(
        values,
        ("pot.scope.temperature",),
        "Temperature of the pot",
        "T <= 50 degC",
        (),
        Quantity("T", temperature, "degC"),
        limit=Quantity("T_max", most, "degC"),
        utilisation=max(temperature, 0.0) / most,
    )


def pad_pressure(values: Values, force: float, diameter: float) -> Line:
    """Force (N) at ULS on the pad of a diameter (m), 6.2.1."""
    return pot_pad.pressure(values, _SYMBOLS, force, diameter)


def pad_rotation(values: Values, rotation: float, diameter: float, thickness: float) -> Line:
    """Deflection at the edge of the pad under a rotation (rad); sizes in m (6.2.1)."""
    return pot_pad.edge_strain(values, _SYMBOLS, rotation, diameter, thickness)


def pad_slenderness(values: Values, diameter: float, thickness: float) -> Line:
    """Diameter over thickness of the pad (6.2.1)."""
    limit = values.number("pot.pad.slenderness")
    return state(
        values,
        ("pot.pad.slenderness",),
        "Thickness of the pad",
        "t >= D/15",
        (Quantity("D", diameter, "m"), Quantity("t", thickness, "m")),
        Quantity("D/t", diameter / thickness, ""),
        limit=Quantity("limit", limit, ""),
        utilisation=diameter / thickness / limit,
    )


def seal_path(values: Values, path: float, seal_class: str) -> Line:
    """Slide path (m) accumulated over the life against the seal's class "a", "b" or "c" (5.4)."""
    limit = values.row("pot.seal.path")["abc".index(seal_class)]
    return state(
        values,
        ("pot.seal.path",),
        f"Slide path of the seal, class {seal_class}",
        "s <= 500, 1000, 2000 m (classes a, b, c)",
        (),
        Quantity("s", path, "m"),
        limit=Quantity("s_T", limit, "m"),
        utilisation=path / limit,
    )


def restoring_moment(
    values: Values,
    diameter: float,
    thickness: float,
    lasting: float,
    variable: float,
    tested: Sequence[float] | None = None,
) -> Line:
    """Moment (N m) of the pad against a lasting and a variable rotation (rad), 6.1.1.

    `tested`: F0, F1, F2 (Pa) of the type tests of Annex D; without them the figures of
    IRC:83 Part III serve as an estimate.
    """
    if tested is None:
        return pot_pad.restoring_moment(
            values,
            _SYMBOLS,
            diameter,
            thickness,
            lasting,
            variable,
            note="estimate; a type test replaces it (options pot.F0, pot.F1, pot.F2)",
        )
    f0, f1, f2 = tested
    moment = values.number("pot.moment.test") * diameter**3 * (f0 + f1 * lasting + f2 * variable)
    return state(
        values,
        ("pot.moment.test",),
        "Restoring moment of the pad",
        "Me = 32 D^3 (F0 + F1 alpha1 + F2 alpha2)",
        (
            Quantity("D", diameter, "m"),
            Quantity("alpha1", lasting, "rad"),
            Quantity("alpha2", variable, "rad"),
            Quantity("F0", f0, "Pa"),
            Quantity("F1", f1, "Pa"),
            Quantity("F2", f2, "Pa"),
        ),
        Quantity("Me", moment, "N*m"),
    )


def piston_friction_moment(values: Values, force: float, diameter: float) -> Line:
    """Moment (N m) of friction of the piston on the wall under a horizontal force (N)."""
    return pot_pad.friction_moment(values, _SYMBOLS, force, diameter)


def wall_tension(
    values: Values,
    force: float,
    horizontal: float,
    diameter: float,
    thickness: float,
    wall: float,
    depth: float,
    yield_strength: float,
) -> Line:
    """Ring tension of the wall: pressure of the pad with the horizontal force (N), 6.2.2.

    `diameter` and `thickness` of the pad, `wall` thickness and `depth` of the wall, all m.
    """
    four, two = values.row("pot.ring.tension")
    gamma = values.number("pot.gamma_m")
    action = four * force * thickness / (math.pi * diameter) + horizontal
    limit = two * yield_strength * wall * depth / gamma
    return state(
        values,
        ("pot.ring.tension", "pot.gamma_m"),
        "Ring tension of the wall",
        "4 N t/(pi D) + Vxy <= 2 fy A_R/gamma_m",
        (
            Quantity("N", force, "N"),
            Quantity("t", thickness, "m"),
            Quantity("D", diameter, "m"),
            Quantity("Vxy", horizontal, "N"),
            Quantity("A_R", wall * depth, "m**2"),
            Quantity("fy", yield_strength, "Pa"),
        ),
        Quantity("V_Ed", action, "N"),
        limit=Quantity("V_Rd", limit, "N"),
        utilisation=action / limit,
    )


def wall_shear(
    values: Values,
    force: float,
    horizontal: float,
    diameter: float,
    thickness: float,
    wall: float,
    yield_strength: float,
) -> Line:
    """Shear between wall and bottom of the pot per unit of perimeter (N/m), 6.2.2."""
    four, _ = values.row("pot.ring.tension")
    factor = values.number("pot.ring.shear")
    gamma = values.number("pot.gamma_m")
    action = four * force * thickness / (math.pi * diameter) + horizontal
    shear = factor * action / diameter
    limit = yield_strength * 2.0 * wall / (2.0 * math.sqrt(3.0) * gamma)
    return state(
        values,
        ("pot.ring.shear", "pot.ring.tension", "pot.gamma_m"),
        "Shear at the foot of the wall",
        "1.5 V_Ed/D <= fy (D0 - D)/(2 sqrt(3) gamma_m)",
        (
            Quantity("V_Ed", action, "N"),
            Quantity("D", diameter, "m"),
            Quantity("D0 - D", 2.0 * wall, "m"),
            Quantity("fy", yield_strength, "Pa"),
        ),
        Quantity("v_Ed", shear, "N/m"),
        limit=Quantity("v_Rd", limit, "N/m"),
        utilisation=shear / limit,
    )


def piston_flat(
    values: Values, horizontal: float, diameter: float, rim: float, yield_strength: float
) -> Line:
    """Flat rim of the piston (height `rim`, m) against the wall under H (N), 6.2.3."""
    factor = values.number("pot.piston.flat")
    gamma = values.number("pot.gamma_m")
    limit = yield_strength * diameter * rim / (factor * gamma)
    return state(
        values,
        ("pot.piston.flat", "pot.gamma_m"),
        "Contact of piston and wall, flat rim",
        "V <= fy D w/(1.5 gamma_m)",
        (
            Quantity("V", horizontal, "N"),
            Quantity("D", diameter, "m"),
            Quantity("w", rim, "m"),
            Quantity("fy", yield_strength, "Pa"),
        ),
        Quantity("V", horizontal, "N"),
        limit=Quantity("V_Rd", limit, "N"),
        utilisation=horizontal / limit,
    )


def piston_curved(
    values: Values,
    horizontal: float,
    diameter: float,
    radius: float,
    tensile_strength: float,
    modulus: float,
) -> Line:
    """Curved rim of the piston (`radius`, m) against the wall under H (N), 6.2.3."""
    factor = values.number("pot.piston.curved")
    gamma = values.number("pot.gamma_m")
    limit = factor * tensile_strength**2 * radius * diameter / (modulus * gamma**2)
    return state(
        values,
        ("pot.piston.curved", "pot.gamma_m"),
        "Contact of piston and wall, curved rim",
        "V <= 15 fu^2 R D/(Ed gamma_m^2)",
        (
            Quantity("V", horizontal, "N"),
            Quantity("R", radius, "m"),
            Quantity("D", diameter, "m"),
            Quantity("fu", tensile_strength, "Pa"),
            Quantity("Ed", modulus, "Pa"),
        ),
        Quantity("V", horizontal, "N"),
        limit=Quantity("V_Rd", limit, "N"),
        utilisation=horizontal / limit,
    )


def least_plates(values: Values, bottom: float, wall: float) -> tuple[Line, Line]:
    """Bottom and wall of the pot (m) not thinner than is made (common practice, no source)."""
    return (
        _least(values, "pot.base.least", "Thickness of the bottom of the pot", "tb", bottom),
        _least(values, "pot.wall.least", "Thickness of the wall", "tw", wall),
    )


def _least(values: Values, name: str, title: str, symbol: str, size: float) -> Line:
    least = values.number(name)
    return state(
        values,
        (name,),
        title,
        f"{symbol} >= {least * 1e3:g} mm",
        (),
        Quantity(symbol, size, "m"),
        limit=Quantity(f"{symbol}_min", least, "m"),
        utilisation=least / size,
    )
