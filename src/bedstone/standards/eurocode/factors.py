"""EN 1990, annex A2: partial and combination factors, of the standard or of a national annex."""

from __future__ import annotations

from typing import Literal, get_args

from bedstone.standards.values import Values, load_pack

National = Literal["recommended", "uk"]
NATIONAL: tuple[National, ...] = get_args(National)


def factor_name(values: Values, national: National, key: str) -> str:
    """Name of the value: the national annex's own where it has one, else the recommended one."""
    name = f"combinations.{national}.{key}"
    if name in values.overrides or name in load_pack(values.family):
        return name
    return f"combinations.recommended.{key}"


def gamma(values: Values, national: National, key: str) -> float:
    """Partial factor of a variable action or of an imposed strain, adverse."""
    return values.number(factor_name(values, national, f"gamma.{key}"))


def gamma_pair(values: Values, national: National, key: str) -> tuple[float, float]:
    """Partial factors (adverse, relieving) of a permanent action."""
    adverse, relieving = values.row(factor_name(values, national, f"gamma.{key}"))
    return adverse, relieving


def psi(values: Values, national: National, key: str) -> tuple[float, float, float]:
    """Combination factors (psi_0, psi_1, psi_2) of a variable action."""
    combination, frequent, quasi_permanent = values.row(factor_name(values, national, f"psi.{key}"))
    return combination, frequent, quasi_permanent
