"""How each kind of bearing lets the superstructure move, on which its friction depends.

Every family gives a way of moving its own coefficient; this module knows no number.
"""

from __future__ import annotations

from typing import Literal

from bedstone.errors import BedstoneError

Motion = Literal[
    "sliding",  # on PTFE unless the choices name another pair of materials
    "rolling",
    "hardened rolling",  # rollers and plates of hardened steel
    "shear",  # of rubber: a stiffness, no friction
    "none",  # it turns or holds, and travels nowhere
]

#: Every kind of bearing of the bridge file (common practice, no source).
MOTIONS: dict[str, Motion] = {
    "single roller": "rolling",
    "roller nest": "rolling",
    "hardened roller": "hardened rolling",
    "rocker on nest": "rolling",
    "line rocker": "none",
    "point rocker": "none",
    "pin": "none",
    "laminated elastomeric": "shear",
    "pot": "sliding",
    "pot on slide": "sliding",
    "spherical": "sliding",
    "cylindrical": "sliding",
    "disc": "sliding",
    "plane sliding": "sliding",
    "guide": "sliding",
    "uplift restraint": "none",
}


def motion(kind: str) -> Motion:
    """How a kind of bearing moves; raises `BedstoneError` for a kind that nobody knows."""
    if kind not in MOTIONS:
        raise BedstoneError(f"no bearing is called {kind!r}; known: {', '.join(MOTIONS)}")
    return MOTIONS[kind]
