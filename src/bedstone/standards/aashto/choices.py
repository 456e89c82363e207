"""The engineer's choices: their names, and reading them with one clear error for each fault."""

from __future__ import annotations

import math

from bedstone.errors import Fault, InputError
from bedstone.standards.site import BridgeFacts

CHOICES: dict[str, str] = {
    "units": "values of the specification in `si` (default) or `us` customary units",
    "lanes.count": "number of design lanes, a whole number (default: by the roadway width)",
    "braking.lanes": "design lanes headed one way (default: all of them)",
    "thermal.climate": "procedure A: `cold` (default, the wider range) or `moderate`",
    "thermal.effective_min": "procedure B: least temperature of the superstructure, degC",
    "thermal.effective_max": "procedure B: greatest temperature of the superstructure, degC",
    "thermal.setting_tolerance": "doubt about the setting temperature, K, either way (default 0)",
    "thermal.heat": "linear difference, top warmer, K (default 0: no gradient asked for)",
    "thermal.cool": "linear difference, top colder, K (default 0: no gradient asked for)",
    "wind.speed": "design wind speed of Strength III, m/s (or give wind.pressure)",
    "wind.pressure": "wind pressure on the unloaded bridge, drag included, Pa",
    "wind.exposure": "exposure coefficient K_z (default: the value of the pack)",
    "wind.drag": "drag coefficient on the exposed depth (default: by kind of superstructure)",
    "wind.level": "level of the resultant above the road, m (default: half the exposed depth below "
    "it, for trusses above it)",
    "seismic.pga": "peak ground acceleration on rock, fraction of g",
    "seismic.ss": "spectral acceleration at 0.2 s on rock, fraction of g",
    "seismic.s1": "spectral acceleration at 1.0 s on rock, fraction of g",
    "seismic.site": "site class, A to E",
    "seismic.response_factor": "response modification factor of the connection (default 0.8)",
}


#: First words of dotted names that belong to a family; other names are somebody else's.
_OWN = ("units", "lanes.", "braking.", "thermal.", "wind.", "seismic.")


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


def whole(facts: BridgeFacts, name: str) -> int | None:
    """The whole number of at least 1 chosen under `name`, None when nothing is chosen."""
    found = number(facts, name, least=1)
    if found is None:
        return None
    if found != int(found):
        raise fault(f"choices.{name}", repr(found), "a whole number of at least 1")
    return int(found)


def word(facts: BridgeFacts, name: str, allowed: tuple[str, ...], default: str | None) -> str:
    """The word chosen under `name`; raises `InputError` for a word not allowed, or none at all."""
    found = facts.choices.get(name, default)
    if not isinstance(found, str) or found not in allowed:
        raise fault(f"choices.{name}", repr(found), ", ".join(allowed))
    return found


def units(facts: BridgeFacts) -> str:
    """Ending of the names of values: ``si`` or ``us``, as the engineer chose."""
    return word(facts, "units", ("si", "us"), "si")
