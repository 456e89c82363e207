"""Friction of movable bearings (IRC:6 clause 211.5.1)."""

from __future__ import annotations

from bedstone.standards.irc.choices import fault
from bedstone.standards.values import Values

#: Kinds of bearing and pairs of materials: the name of their value.
KINDS = {
    "plane sliding": "friction.ptfe",
    "pot": "friction.ptfe",
    "spherical": "friction.ptfe",
    "cylindrical": "friction.ptfe",
    "disc": "friction.ptfe",
    "guide": "friction.ptfe",
    "PTFE": "friction.ptfe",
    "single roller": "friction.roller.steel",
    "roller nest": "friction.roller.steel",
    "concrete roller": "friction.roller.concrete",
    "steel on steel": "friction.slide.steel",
    "steel on cast iron": "friction.slide.steel",
    "cast iron on cast iron": "friction.slide.cast_iron",
    "concrete on bitumen": "friction.slide.concrete",
}


def coefficients(values: Values, kind: str) -> tuple[float, float]:
    """(adverse, relieving) coefficient of friction for a kind of bearing or a pair of materials.

    Where the clause gives one figure it holds for both, as the clause's own rules use it. Raises
    `InputError` for a kind that has no friction of its own.
    """
    name = KINDS.get(kind.replace("_", " "))
    if name is None:
        raise fault("kind", kind, ", ".join(KINDS))
    if name == "friction.ptfe":
        high, low = values.row(name)
        return high, low
    mu = values.number(name)
    return mu, mu
