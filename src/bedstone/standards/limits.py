"""Lines that compare a result with its limit, so that utilisation means the same everywhere."""

from __future__ import annotations

from bedstone.standards.clause import state
from bedstone.standards.record import Line, Quantity
from bedstone.standards.values import Values


def at_most(
    values: Values,
    names: tuple[str, ...],
    title: str,
    formula: str,
    inputs: tuple[Quantity, ...],
    result: Quantity,
    limit: float,
    note: str = "",
) -> Line:
    """A line whose result must not exceed `limit` (> 0); utilisation = result/limit."""
    return state(
        values,
        names,
        title,
        formula,
        inputs,
        result,
        note,
        limit=Quantity("at most", limit, result.unit),
        utilisation=result.value / limit,
    )


def at_least(
    values: Values,
    names: tuple[str, ...],
    title: str,
    formula: str,
    inputs: tuple[Quantity, ...],
    result: Quantity,
    least: float,
    note: str = "",
) -> Line:
    """A line whose result must not fall below `least`; utilisation = least/result.

    A result that is not positive where something positive is asked for counts as twice used.
    """
    if result.value > 0.0:
        utilisation = max(least, 0.0) / result.value
    else:
        utilisation = 2.0 if least > 0.0 else 0.0
    return state(
        values,
        names,
        title,
        formula,
        inputs,
        result,
        note,
        limit=Quantity("at least", least, result.unit),
        utilisation=utilisation,
    )
