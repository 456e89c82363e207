"""Which support takes a longitudinal force (EN 1337-1, 6.2): the fixed line, and friction on it.

Braking goes wholly to the line of bearings that holds along. Friction of the moving bearings pulls
at it from both sides: that of one side counts with the adverse coefficient, that of the other with
the relieving one, so it never lowers the force. Forces in N, without sign.
"""

from __future__ import annotations

from bedstone.standards.clause import state
from bedstone.standards.record import Line, Quantity
from bedstone.standards.values import Values

_NAMES = ("friction.adverse", "friction.alpha.counts")
_MEMORY = "rule recalled; confirm against the printed clause"


def friction_resultant(
    values: Values, ahead: tuple[float, float], behind: tuple[float, float]
) -> Line:
    """Friction left on the fixed line: sum(mu_a N) of one side less sum(mu_r N) of the other.

    `ahead`, `behind`: friction (N) of all moving bearings on either side of the fixed line, with
    the adverse and with the relieving coefficient. The worse of the two ways round, never negative.
    """
    worst = max(ahead[0] - behind[1], behind[0] - ahead[1], 0.0)
    return state(
        values,
        _NAMES,
        "Friction of the moving bearings on the fixed line",
        "sum(mu_a N) of one side - sum(mu_r N) of the other",
        (
            Quantity("mu_a N ahead", ahead[0], "N"),
            Quantity("mu_r N ahead", ahead[1], "N"),
            Quantity("mu_a N behind", behind[0], "N"),
            Quantity("mu_r N behind", behind[1], "N"),
        ),
        Quantity("F_mu", worst, "N"),
        note=_MEMORY,
        clause="6.2",
    )


def fixed_line(
    values: Values, force: float, ahead: tuple[float, float], behind: tuple[float, float]
) -> Line:
    """Fixed line: the whole horizontal force and the friction left on it, F_h + F_mu.

    `ahead`, `behind` as in `friction_resultant`.
    """
    friction = friction_resultant(values, ahead, behind).value
    return state(
        values,
        _NAMES,
        "Fixed line, braking and friction",
        "F_h + F_mu",
        (Quantity("F_h", force, "N"), Quantity("F_mu", friction, "N")),
        Quantity("F", force + friction, "N"),
        note=_MEMORY,
        clause="6.2",
    )


def moving_line(values: Values, friction: float) -> Line:
    """Line of moving bearings: its own friction sum(mu_a N), adverse; no part of the braking."""
    return state(
        values,
        _NAMES,
        "Moving line, its own friction",
        "sum(mu_a N)",
        (Quantity("mu_a N", friction, "N"),),
        Quantity("F", friction, "N"),
        note=_MEMORY,
        clause="6.2",
    )
