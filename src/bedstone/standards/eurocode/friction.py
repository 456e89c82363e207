"""EN 1337-1, 6.2: friction of sliding and rolling bearings as an action."""

from __future__ import annotations

from typing import Literal, get_args

from bedstone.errors import BedstoneError
from bedstone.standards.clause import state
from bedstone.standards.kinds import motion
from bedstone.standards.record import Line, Quantity
from bedstone.standards.values import Values

Mating = Literal["steel", "aluminium"]
MATINGS: tuple[Mating, ...] = get_args(Mating)


def greatest_friction(
    values: Values, kind: str, mating: Mating = "steel", contact_pressure: float | None = None
) -> float:
    """mu_max of a kind of bearing; 0 where nothing slides or rolls.

    `mating`: what PTFE slides on; `contact_pressure` (Pa) of the PTFE where it is known, else the
    typical coefficient counts. Raises `BedstoneError` for an unknown kind.
    """
    match motion(kind):
        case "shear" | "none":
            return 0.0
        case "rolling":
            return values.number("friction.roller")
        case "hardened rolling":
            return values.number("friction.roller.hardened")
        case "sliding" if contact_pressure is not None:
            return ptfe_friction(values, contact_pressure, mating).value
        case "sliding":
            return values.number("friction.ptfe") * values.number(f"friction.ptfe.{mating}")


def ptfe_friction(values: Values, contact_pressure: float, mating: Mating = "steel") -> Line:
    """mu_max of dimpled lubricated PTFE under `contact_pressure` (Pa), within Table 11.

    Raises `BedstoneError` for a negative pressure. Source: EN 1337-2, Table 11 and annex B.
    """
    if contact_pressure < 0.0:
        raise BedstoneError("a contact pressure is not negative")
    a, b = values.row("friction.ptfe.curve")
    k = values.number(f"friction.ptfe.{mating}")
    least, greatest = values.row("friction.ptfe.limits")
    mu = a * k / (b + contact_pressure / 1e6)
    return state(
        values,
        ("friction.ptfe.curve", "friction.ptfe.limits", f"friction.ptfe.{mating}"),
        title="Friction of PTFE",
        formula="mu_max = 1.2 k/(10 + sigma_p), 0.03 k to 0.08 k",
        inputs=(Quantity("k", k, ""), Quantity("sigma_p", contact_pressure, "Pa")),
        result=Quantity("mu_max", min(max(mu, k * least), k * greatest), ""),
        note="sigma_p in MPa in the formula",
    )


def number_factor(values: Values, bearings: int) -> Line:
    """Factor alpha for `bearings` that push the same way; `BedstoneError` below one (6.2)."""
    if bearings < 1:
        raise BedstoneError(f"friction comes from one bearing or more, not from {bearings}")
    few, many = values.row("friction.alpha.counts")
    upper, divisor = values.row("friction.alpha.line")
    if bearings <= few:
        alpha = 1.0
    elif bearings < many:
        alpha = (upper - bearings) / divisor
    else:
        alpha = values.number("friction.alpha.least")
    return state(
        values,
        ("friction.alpha.counts", "friction.alpha.line", "friction.alpha.least"),
        title="Factor of the number of bearings",
        formula="alpha = 1 (n <= 4), (16 - n)/12, 0.5 (n >= 10)",
        inputs=(Quantity("n", float(bearings), ""),),
        result=Quantity("alpha", alpha, ""),
    )


def adverse_friction(values: Values, mu_max: float, bearings: int) -> Line:
    """mu_a = 0.5 mu_max (1 + alpha) of `bearings` that push together (EN 1337-1, 6.2)."""
    return _coefficient(values, mu_max, bearings, +1.0)


def relieving_friction(values: Values, mu_max: float, bearings: int) -> Line:
    """mu_r = 0.5 mu_max (1 - alpha) of `bearings` that push together (EN 1337-1, 6.2)."""
    return _coefficient(values, mu_max, bearings, -1.0)


def _coefficient(values: Values, mu_max: float, bearings: int, sense: float) -> Line:
    alpha = number_factor(values, bearings).value
    symbol, sign = ("mu_a", "+") if sense > 0 else ("mu_r", "-")
    return state(
        values,
        ("friction.adverse", "friction.alpha.counts"),
        title="Adverse friction" if sense > 0 else "Relieving friction",
        formula=f"{symbol} = 0.5 mu_max (1 {sign} alpha)",
        inputs=(Quantity("mu_max", mu_max, ""), Quantity("alpha", alpha, "")),
        result=Quantity(
            symbol, values.number("friction.adverse") * mu_max * (1.0 + sense * alpha), ""
        ),
    )
