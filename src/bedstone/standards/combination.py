"""Words in which every family writes its combinations of actions."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

LimitState = Literal[
    "permanent",  # permanent actions alone, characteristic
    "SLS characteristic",  # AASHTO Service I, IRC rare
    "SLS frequent",
    "SLS quasi-permanent",
    "ULS persistent",  # AASHTO Strength, IRC basic
    "ULS accidental",
    "ULS seismic",  # AASHTO Extreme Event I
]


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
    """A named combination; `leading` says which variable action leads, for the reader.

    `movement_terms`: where given, used instead of `terms` for movements and rotations (AASHTO
    TU: the larger factor for deformations, the smaller for forces).
    """

    name: str
    limit_state: LimitState
    clause: str
    terms: tuple[Term, ...]
    leading: str = ""
    movement_terms: tuple[Term, ...] | None = None
