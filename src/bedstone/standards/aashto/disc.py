"""AASHTO LRFD 14.7.8: disc bearings of polyether urethane."""

from __future__ import annotations

import math

from bedstone.standards.clause import state
from bedstone.standards.record import Line, Quantity
from bedstone.standards.values import Values


def disc_stress(values: Values, force: float, diameter: float, hole: float) -> Line:
    """Average stress at service on the disc less its pin hole; N and m (14.7.8.3)."""
    stress = force / (math.pi / 4.0 * (diameter**2 - hole**2))
    limit = values.number("disc.stress")
    return state(
        values,
        ("disc.stress",),
        "Pressure on the disc",
        "P/(pi (D^2 - d^2)/4) <= 5.0 ksi",
        (
            Quantity("P", force, "N"),
            Quantity("D", diameter, "m"),
            Quantity("d", hole, "m"),
        ),
        Quantity("sigma", stress, "Pa"),
        limit=Quantity("limit", limit, "Pa"),
        utilisation=stress / limit,
    )


def deflection(values: Values, stress: float, modulus: float) -> tuple[Line, Line]:
    """Instantaneous deflection and the one with creep over the thickness at service (14.7.8.3).

    `modulus` (Pa): secant modulus of compression of the disc, from the maker's test. Creep is not
    computed: what the test may add to the first is said.
    """
    strain = stress / modulus
    limit = values.number("disc.deflection")
    creep = values.number("disc.creep")
    inputs = (Quantity("sigma", stress, "Pa"), Quantity("E", modulus, "Pa"))
    return (
        state(
            values,
            ("disc.deflection",),
            "Instantaneous deflection of the disc",
            "sigma/E <= 0.10",
            inputs,
            Quantity("strain", strain, ""),
            limit=Quantity("limit", limit, ""),
            utilisation=strain / limit,
        ),
        state(
            values,
            ("disc.creep",),
            "Creep the disc may show in its test",
            "at most 0.08 of the thickness besides",
            (),
            Quantity("creep", creep, ""),
        ),
    )


def softest(values: Values, stress: float) -> float:
    """Least modulus of compression (Pa) at which the deflection holds (14.7.8.3)."""
    return stress / values.number("disc.deflection")


def no_lift_off(
    values: Values,
    stress: float,
    modulus: float,
    thickness: float,
    diameter: float,
    rotation: float,
) -> Line:
    """The edge of the disc stays pressed under a service rotation (rad), 14.7.8.3."""
    compression = stress / modulus * thickness
    needed = rotation * diameter / 2.0
    return state(
        values,
        ("disc.hardness",),
        "No lift-off at the edge of the disc",
        "theta D/2 <= sigma h/E",
        (
            Quantity("theta", rotation, "rad"),
            Quantity("D", diameter, "m"),
            Quantity("sigma", stress, "Pa"),
            Quantity("h", thickness, "m"),
            Quantity("E", modulus, "Pa"),
        ),
        Quantity("theta D/2", needed, "m"),
        clause="14.7.8.3",
        limit=Quantity("sigma h/E", compression, "m"),
        utilisation=needed / compression if compression > 0.0 else math.inf,
    )


def limiting_ring(values: Values, depth: float, diameter: float) -> Line:
    """Depth (m) of a limiting ring around the disc (14.7.8.5)."""
    least = values.number("disc.ring") * diameter
    return state(
        values,
        ("disc.ring",),
        "Limiting ring of the disc",
        "depth >= 0.03 D",
        (Quantity("D", diameter, "m"),),
        Quantity("depth", depth, "m"),
        limit=Quantity("depth_min", least, "m"),
        utilisation=least / depth,
    )


def hardness(values: Values) -> tuple[float, float]:
    """Least and greatest hardness of the disc, Shore D (14.7.8.2)."""
    least, most = values.row("disc.hardness")
    return least, most


def pin(
    values: Values, force: float, lever: float, diameter: float, yield_strength: float
) -> tuple[Line, Line]:
    """Shear pin that carries all horizontal force (N): shear and bending (14.7.8.4).

    `lever` (m): from the plate that holds the pin to where the other one presses on it. Elastic
    bending of the round section, derived.
    """
    area = math.pi / 4.0 * diameter**2
    resistance = (
        values.number("disc.phi_v") * values.number("disc.pin.shear") * yield_strength * area
    )
    stress = 32.0 * force * lever / (math.pi * diameter**3)
    limit = values.number("sliding.phi_f") * yield_strength
    inputs = (
        Quantity("H", force, "N"),
        Quantity("d", diameter, "m"),
        Quantity("Fy", yield_strength, "Pa"),
    )
    return (
        state(
            values,
            ("disc.pin.shear", "disc.phi_v"),
            "Shear of the pin",
            "H <= phi 0.58 Fy A",
            inputs,
            Quantity("H", force, "N"),
            limit=Quantity("Vr", resistance, "N"),
            utilisation=force / resistance,
        ),
        state(
            values,
            ("sliding.phi_f",),
            "Bending of the pin",
            "32 H e/(pi d^3) <= phi_f Fy",
            (*inputs, Quantity("e", lever, "m")),
            Quantity("sigma", stress, "Pa"),
            limit=Quantity("phi Fy", limit, "Pa"),
            utilisation=stress / limit,
        ),
    )
