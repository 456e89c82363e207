"""The line of a calculation: what a rule of a standard gives, never a bare number."""

from __future__ import annotations

from dataclasses import dataclass

from bedstone.standards.values import Basis


@dataclass(frozen=True)
class Quantity:
    """A number with its unit, in SI; `symbol` as written in the formula."""

    symbol: str
    value: float
    unit: str


@dataclass(frozen=True)
class Line:
    """The result of one clause with all that a checker needs to follow it.

    `limit` and `utilisation` are None where the clause gives a value and checks nothing.
    `basis` is the weakest basis among the numbers used (memory < secondary < print). In the design
    of a bearing `part` names the part that is checked and `case` the load case that governs.
    """

    title: str
    standard: str
    edition: str
    clause: str
    formula: str
    inputs: tuple[Quantity, ...]
    result: Quantity
    basis: Basis
    limit: Quantity | None = None
    utilisation: float | None = None
    note: str = ""
    part: str = ""
    case: str = ""

    @property
    def value(self) -> float:
        """The result in SI units."""
        return self.result.value


#: From the weakest to the strongest.
_ORDER: tuple[Basis, ...] = ("memory", "secondary", "print", "confirmed")


def weakest(*bases: Basis) -> Basis:
    """The weakest of several bases: what a result may claim that leaned on all of them."""
    return min(bases, key=_ORDER.index)
