"""AASHTO LRFD 14.7.3: curved sliding surfaces, spherical and cylindrical."""

from __future__ import annotations

import math

from bedstone.standards.clause import state
from bedstone.standards.record import Line, Quantity
from bedstone.standards.values import Values


def spherical_load(values: Values, force: float, diameter: float, stress: float) -> Line:
    """Vertical load (N) on the projected area of a spherical surface (14.7.3.2-1).

    `diameter` (m) of the projection, `stress` (Pa) permissible average contact stress.
    """
    limit = values.number("curved.phi") * math.pi / 4.0 * diameter**2 * stress
    return state(
        values,
        ("curved.phi",),
        "Vertical load on the spherical surface",
        "P <= phi pi D^2 sigma/4",
        (
            Quantity("P", force, "N"),
            Quantity("D", diameter, "m"),
            Quantity("sigma", stress, "Pa"),
        ),
        Quantity("P", force, "N"),
        limit=Quantity("P_max", limit, "N"),
        utilisation=force / limit,
    )


def cylindrical_load(
    values: Values, force: float, chord: float, width: float, stress: float
) -> Line:
    """Vertical load (N) on the projected area of a cylindrical surface (14.7.3.2-2)."""
    limit = values.number("curved.phi") * chord * width * stress
    return state(
        values,
        ("curved.phi",),
        "Vertical load on the cylindrical surface",
        "P <= phi D W sigma",
        (
            Quantity("P", force, "N"),
            Quantity("D", chord, "m"),
            Quantity("W", width, "m"),
            Quantity("sigma", stress, "Pa"),
        ),
        Quantity("P", force, "N"),
        limit=Quantity("P_max", limit, "N"),
        utilisation=force / limit,
    )


def _angles(
    horizontal: float, permanent: float, chord: float, radius: float
) -> tuple[float, float]:
    """Angles beta = atan(Hu/PD) and psi = asin(L/2R), rad."""
    return math.atan2(horizontal, permanent), math.asin(min(chord / (2.0 * radius), 1.0))


def spherical_lateral(
    values: Values,
    horizontal: float,
    permanent: float,
    chord: float,
    radius: float,
    rotation: float,
    stress: float,
) -> Line:
    """Horizontal force (N) that a spherical surface holds by its curve alone (14.7.3.3-1).

    `permanent`: least vertical load (N) acting with it; `chord` L and `radius` R in m.
    """
    beta, psi = _angles(horizontal, permanent, chord, radius)
    room = max(psi - beta - rotation, 0.0)
    limit = math.pi * radius**2 * stress * math.sin(room) ** 2 * math.sin(beta)
    return state(
        values,
        ("curved.phi",),
        "Horizontal force on the spherical surface",
        "H <= pi R^2 sigma sin^2(psi - beta - theta_u) sin(beta)",
        _lateral_inputs(radius, psi, beta, rotation, stress),
        Quantity("H", horizontal, "N"),
        clause="14.7.3.3",
        limit=Quantity("H_max", limit, "N"),
        utilisation=0.0 if horizontal <= 0.0 else horizontal / limit if limit > 0.0 else math.inf,
    )


def cylindrical_lateral(
    values: Values,
    horizontal: float,
    permanent: float,
    chord: float,
    radius: float,
    width: float,
    rotation: float,
    stress: float,
) -> Line:
    """Horizontal force (N) that a cylindrical surface holds by its curve alone (14.7.3.3-2)."""
    beta, psi = _angles(horizontal, permanent, chord, radius)
    room = max(psi - beta - rotation, 0.0)
    limit = 2.0 * radius * width * stress * math.sin(room) * math.sin(beta)
    return state(
        values,
        ("curved.phi",),
        "Horizontal force on the cylindrical surface",
        "H <= 2 R W sigma sin(psi - beta - theta_u) sin(beta)",
        (*_lateral_inputs(radius, psi, beta, rotation, stress), Quantity("W", width, "m")),
        Quantity("H", horizontal, "N"),
        clause="14.7.3.3",
        limit=Quantity("H_max", limit, "N"),
        utilisation=0.0 if horizontal <= 0.0 else horizontal / limit if limit > 0.0 else math.inf,
    )


def _lateral_inputs(
    radius: float, psi: float, beta: float, rotation: float, stress: float
) -> tuple[Quantity, ...]:
    return (
        Quantity("R", radius, "m"),
        Quantity("psi", psi, "rad"),
        Quantity("beta", beta, "rad"),
        Quantity("theta_u", rotation, "rad"),
        Quantity("sigma", stress, "Pa"),
    )
