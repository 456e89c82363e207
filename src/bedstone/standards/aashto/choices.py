"""The engineer's national and owner's choices of this family."""

from __future__ import annotations

from bedstone.standards.choices import ChoiceList
from bedstone.standards.site import BridgeFacts

#: Every choice by its dotted name: what it means, what is allowed, what holds without it; SI.
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
    "friction.sliding_pair": "sliding materials: usual (default: woven PTFE on curved surfaces, "
    "unfilled on flat ones) | PTFE dimpled lubricated | PTFE unfilled | PTFE filled | PTFE woven | "
    "self-lubricating bronze | bronze",
    "combinations.service_2": "write Service II too (slip and yield of steel members): true | "
    "false (default)",
    "seismic.pga": "peak ground acceleration on rock, fraction of g; > 0, needed",
    "seismic.ss": "spectral acceleration at 0.2 s on rock, fraction of g; > 0, needed",
    "seismic.s1": "spectral acceleration at 1.0 s on rock, fraction of g; > 0, needed",
    "seismic.site": "site class A | B | C | D | E; needed",
    "seismic.response_factor": "response modification factor of the connection (default 0.8)",
}

CHOSEN = ChoiceList("aashto", CHOICES)


def units(facts: BridgeFacts) -> str:
    """Ending of the names of values: ``si`` or ``us``, as the engineer chose."""
    return CHOSEN.word(facts.choices, "units", ("si", "us"), "si")
