"""The engineer's choices: their names, and reading them with one clear error for each fault."""

from __future__ import annotations

import math

from bedstone.errors import Fault, InputError
from bedstone.standards.site import BridgeFacts

CHOICES: dict[str, str] = {
    "lanes.width_70r": "width that a Class 70R or AA vehicle keeps to itself between others, m "
    "(default: its own width and the clear distance of passing vehicles)",
    "impact.span": "span for the impact factor, m (default: the shortest span, the safe one)",
    "impact.material": "curve of the impact factor: `concrete` or `steel` (default: by deck type; "
    "composite decks as steel)",
    "thermal.effective_min": "least temperature of the superstructure, degC (default: by the air)",
    "thermal.effective_max": "greatest temperature of the superstructure, degC (same default)",
    "thermal.setting_tolerance": "doubt about the temperature at which the superstructure is held, "
    "K, either way (default: 0 with a setting temperature, else 10 or 5 by clause 215.2)",
    "thermal.heat": "linear difference, top warmer, K (default 0: no gradient asked for)",
    "thermal.cool": "linear difference, top colder, K (default 0: no gradient asked for)",
    "wind.speed": "hourly mean wind speed at deck level, m/s (or give wind.pressure)",
    "wind.pressure": "hourly mean wind pressure P_z at deck level, Pa",
    "wind.gust": "gust factor G (default 2.0 for spans up to 150 m; needed beyond)",
    "wind.drag": "drag coefficient on the exposed depth (default: by kind of superstructure)",
    "wind.level": "level of the resultant above the road, m (default: half the exposed depth below "
    "it, for trusses above it)",
    "wind.traffic_force": "force of wind on live load, N/m, instead of clause 209.3.6 (older "
    "editions: 300 kg/m)",
    "seismic.zone": "seismic zone, 2 to 5 (II to V)",
    "seismic.soil": "`hard`, `medium` or `soft`",
    "seismic.importance": "importance factor I: `normal` (default), `important` or `critical`",
    "seismic.response_factor": "response reduction factor R (default 1.0: connectors, stoppers)",
}

#: First words of dotted names that belong to a family; other names are somebody else's.
_OWN = ("lanes.", "impact.", "thermal.", "wind.", "seismic.")


def check_names(facts: BridgeFacts) -> None:
    """Refuse misspelt choices; raises `InputError` with one fault for each."""
    faults = [
        Fault("bridge file", f"choices.{name}", repr(value), f"one of {', '.join(CHOICES)}")
        for name, value in facts.choices.items()
        if name.startswith(_OWN) and name not in CHOICES
    ]
    if faults:
        raise InputError(faults)


def fault(name: str, found: object, allowed: str) -> InputError:
    """The error to raise for one fault at the choice or fact `name`."""
    return InputError([Fault("bridge file", name, str(found), allowed)])


def number(
    facts: BridgeFacts, name: str, *, least: float | None = None, above: float | None = None
) -> float | None:
    """The number chosen under `name`, None when nothing is chosen.

    Raises `InputError` for anything that is no number, or is below `least`, or not above `above`.
    """
    found = facts.choices.get(name)
    if found is None:
        return None
    bound = ""
    if least is not None:
        bound = f" of at least {least:g}"
    elif above is not None:
        bound = f" above {above:g}"
    if (
        isinstance(found, bool)
        or not isinstance(found, (int, float))
        or not math.isfinite(found)
        or (least is not None and not found >= least)
        or (above is not None and not found > above)
    ):
        raise fault(f"choices.{name}", repr(found), f"a number{bound}")
    return float(found)


def word(facts: BridgeFacts, name: str, allowed: tuple[str, ...], default: str | None) -> str:
    """The word chosen under `name`; raises `InputError` for a word not allowed, or none at all."""
    found = facts.choices.get(name, default)
    if not isinstance(found, str) or found not in allowed:
        raise fault(f"choices.{name}", repr(found), ", ".join(allowed))
    return found
