"""The engineer's national and owner's choices of this family."""

from __future__ import annotations

from bedstone.standards.choices import ChoiceList

#: Every choice by its dotted name: what it means, what is allowed, what holds without it; SI.
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
    "friction.sliding_pair": "sliding materials: PTFE (default, on stainless steel) | steel on "
    "steel | steel on cast iron | cast iron on cast iron | concrete on bitumen",
    "friction.roller": "rollers of steel (default) | concrete",
    "friction.rules": "whose coefficients: `road` (IRC:6) | `railway` (Indian Railways Bridge "
    "Rules) (default: by the use of the bridge)",
    "rail.eudl_shear": "equivalent uniformly distributed load for shear of one track on the span, "
    "with no dynamic augment, N (default: by the table)",
    "rail.longitudinal": "net longitudinal force of one track on one span, at rail level, N; "
    "needed, as its table was not read",
    "rail.longitudinal_all": "the same of a train over all simple spans at once, N (default: that "
    "of each span, added up)",
    "rail.dispersion": "part of the longitudinal force that anchored track carries off, up to 0.25 "
    "(default 0)",
    "seismic.zone": "seismic zone 2 | 3 | 4 | 5 (II to V); needed",
    "seismic.soil": "ground: `hard`, `medium` or `soft`; needed",
    "seismic.importance": "importance factor I: `normal` (default), `important` or `critical`",
    "seismic.response_factor": "response reduction factor R (default 1.0: connectors, stoppers)",
}

CHOSEN = ChoiceList("irc", CHOICES)
