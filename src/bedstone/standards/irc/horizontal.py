"""Braking (IRC:6 clause 211.2) and centrifugal force (clause 212)."""

from __future__ import annotations

from bedstone.standards.clause import state
from bedstone.standards.record import Line, Quantity
from bedstone.standards.values import Values


def braking(values: Values, first: float, following: float, beyond_two: float) -> Line:
    """Braking force (N) (211.2); no impact.

    `first`: the first train, or the part of it that stands on the unit (N); `following`: the
    trains behind it in the same lane, or part of them; `beyond_two`: loads on the lanes beyond
    two.
    """
    shares = ("traffic.braking.first", "traffic.braking.following", "traffic.braking.beyond")
    a, b, c = (values.number(name) for name in shares)
    return state(
        values,
        shares,
        "Braking force",
        "F_h = 0.20 W_first + 0.10 W_following + 0.05 W_beyond two lanes",
        (
            Quantity("W_first", first, "N"),
            Quantity("W_following", following, "N"),
            Quantity("W_beyond", beyond_two, "N"),
        ),
        Quantity("F_h", a * first + b * following + c * beyond_two, "N"),
    )


def centrifugal(values: Values, weight: float, speed: float, radius: float) -> Line:
    """Centrifugal force C = W V^2 / (127 R) (N), outward (212.2); no impact.

    `weight` N, `speed` m/s, `radius` m (positive).
    """
    V = speed * 3.6  # the formula is written in km/h
    divisor = values.number("traffic.centrifugal.divisor")
    return state(
        values,
        ("traffic.centrifugal.divisor",),
        "Centrifugal force",
        "C = W V^2 / (127 R), V in km/h",
        (Quantity("W", weight, "N"), Quantity("v", speed, "m/s"), Quantity("R", radius, "m")),
        Quantity("C", weight * V**2 / (divisor * radius), "N"),
    )
