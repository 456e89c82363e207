"""Options of bearings that slide or rotate on a pad or a curved sheet, and reading them."""

from __future__ import annotations

import math
from collections.abc import Mapping

from bedstone.bearings.base import Basis
from bedstone.bearings.common import seating
from bedstone.errors import Fault, InputError

#: Options that all kinds with a slide understand.
OPTIONS: Mapping[str, str] = {
    **seating.OPTIONS,
    "sliding.material": "flat sheet: PTFE (default) or UHMWPE (EN, IRC); AASHTO: PTFE unfilled "
    "(default), PTFE dimpled lubricated, PTFE filled, PTFE woven, PTFE woven reinforced",
    "sliding.curved_material": "curved sheet, words as sliding.material; default the same, AASHTO "
    "PTFE woven",
    "sliding.mating": "what a curved sheet slides on (EN): steel (default, also hard chrome) or "
    "aluminium",
    "sliding.guide_material": "strip of the guides (EN): CM1 (default), CM2 or PTFE",
    "sliding.temperature": "highest effective temperature of the bearing, degC; default 30 (EN, "
    "no reduction), 48 (IRC)",
    "sliding.lowest_temperature": "lowest effective temperature of the bearing, degC; default: may "
    "be cold (EN), -25 (AASHTO)",
    "sliding.lubricated": "true (default) or false: IRC 2002 alone, friction of the sheet",
    "sliding.bearings": "number of bearings whose friction acts together (EN 1337-1, 6.2); "
    "default 1",
    "irc83.edition": "2018 (default) or 2002: IRC:83 Part III",
    "movement.allowances": "true (default) or false: add the family's allowances to calculated "
    "rotations and movements (EN 1337-1, 5.4; AASHTO 14.4.2.2; IRC:83 Part III, 5.1.7)",
}


def refuse(where: str, found: object, allowed: str) -> InputError:
    """The error for one fault of a bearing's size or option."""
    return InputError([Fault("bearing", where, str(found), allowed)])


def number(
    basis: Basis, name: str, default: float | None, *, least: float = -math.inf
) -> float | None:
    """The number of an option, finite and not below `least`, or the default."""
    found = basis.options.get(name)
    if found is None:
        return default
    if (
        isinstance(found, bool)
        or not isinstance(found, (int, float))
        or not math.isfinite(found)
        or found < least
    ):
        bound = "" if least == -math.inf else f" of at least {least:g}"
        raise refuse(name, repr(found), f"a number{bound}")
    return float(found)


def word(basis: Basis, name: str, allowed: tuple[str, ...], default: str) -> str:
    """The word of an option, or the default."""
    found = basis.options.get(name, default)
    # An edition may stand in a file as a number.
    text = f"{found:g}" if isinstance(found, float) else str(found)
    if text not in allowed:
        raise refuse(name, repr(found), ", ".join(allowed))
    return text


def flag(basis: Basis, name: str, default: bool) -> bool:
    """The choice of true or false, or the default."""
    found = basis.options.get(name, default)
    if not isinstance(found, bool):
        raise refuse(name, repr(found), "true or false")
    return found
