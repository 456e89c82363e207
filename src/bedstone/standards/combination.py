"""Words in which every family writes its combinations of actions."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass, replace
from typing import Literal

LimitState = Literal[
    "permanent",  # permanent actions alone, characteristic
    "SLS characteristic",  # AASHTO Service I, IRC rare
    "SLS frequent",
    "SLS quasi-permanent",
    "ULS persistent",  # AASHTO Strength, IRC basic
    "ULS equilibrium",  # EN 1990 EQU: uplift and loss of equilibrium alone, no design forces
    "ULS accidental",
    "ULS seismic",  # AASHTO Extreme Event I
]

#: Head of the name of an action that is a traffic group: ``traffic:gr1a``.
TRAFFIC = "traffic:"


@dataclass(frozen=True)
class Term:
    """One action in a combination.

    `adverse` multiplies the action where it makes the effect worse, `relieving` where it helps.
    The combination factor (psi, gamma) is already in both. Variable actions that relieve are left
    out: `relieving` = 0.
    """

    action: str
    adverse: float
    relieving: float


@dataclass(frozen=True)
class Combination:
    """A named combination; `leading` is the variable action that leads, for the reader.

    `movement_terms`: where given, used instead of `terms` for movements and rotations (AASHTO
    TU: the larger factor for deformations, the smaller for forces).
    """

    name: str
    limit_state: LimitState
    clause: str
    terms: tuple[Term, ...]
    leading: str = ""
    movement_terms: tuple[Term, ...] | None = None


def short(action: str) -> str:
    """An action as names of combinations call it: a traffic group without its head."""
    return action.removeprefix(TRAFFIC)


def distinct(found: Iterable[Combination], present: Collection[str]) -> tuple[Combination, ...]:
    """Combinations with the terms of the actions `present` alone, the first of those then equal.

    Equal are combinations of one limit state with the same terms in any order.
    """
    kept: dict[object, Combination] = {}
    for one in found:
        terms = tuple(term for term in one.terms if term.action in present)
        movement = one.movement_terms and tuple(
            term for term in one.movement_terms if term.action in present
        )
        if movement == terms:
            movement = None
        if terms:
            key = (one.limit_state, frozenset(terms), movement and frozenset(movement))
            kept.setdefault(key, replace(one, terms=terms, movement_terms=movement))
    return tuple(kept.values())
