"""The engineer's national and owner's choices of this family."""

from __future__ import annotations

from bedstone.standards.choices import ChoiceList

#: Every choice by its dotted name: what it means, what is allowed, what holds without it; SI.
CHOICES: dict[str, str] = {
    "national": "factors of EN 1990 annex A2: recommended | uk; default recommended",
    "road.alpha.Q1": "alpha_Q1, tandem of lane 1; number > 0; default 1",
    "road.alpha.Q2": "alpha_Q2, tandem of lane 2; number >= 0; default 1",
    "road.alpha.Q3": "alpha_Q3, tandem of lane 3; number >= 0; default 1",
    "road.alpha.q1": "alpha_q1, uniform load of lane 1; number >= 0; default 1",
    "road.alpha.q2": "alpha_q2, uniform load of lanes 2 and up; number >= 0; default 1",
    "road.alpha.qr": "alpha_qr, uniform load of the remaining area; number >= 0; default 1",
    "road.beta_Q": "beta_Q of LM2; number > 0; default alpha_Q1",
    "road.skew_braking": "lateral force of skew braking beside braking; true | false; default true",
    "rail.dynamic": "dynamic factor: phi2 (carefully maintained) | phi3 (standard) | none; "
    "default phi3",
    "rail.determinant_length": "determinant length L_Phi (m); > 0; default from the spans, "
    "Table 6.2",
    "rail.unloaded_train": "unloaded train: en (10 kN/m) | env (12.5 kN/m); default en",
    "rail.nosing_alpha": "nosing multiplied by alpha where alpha > 1; true | false; default true",
    "thermal.offsets": "reading of EN 1991-1-5 Figure 6.1: rounded (+16/+4/+2, -3/+4/+8) | "
    "figure (+16/+4.5/+1.5, -3/+4.5/+8); default rounded",
    "thermal.effective_min": "least uniform bridge temperature T_e,min (degC), given directly",
    "thermal.effective_max": "greatest uniform bridge temperature T_e,max (degC), given directly",
    "thermal.return_period": "return period (years) to which 50-year air temperatures are turned; "
    "> 1; default 50",
    "thermal.truss_reduction": "steel trusses and plate girders: T_e,max less 3 K; true | false; "
    "default false",
    "thermal.allowance": "S for bearings (K); >= 0; default 10 with a setting temperature, else 20",
    "thermal.section": "concrete decks, Table 6.1: box | beam | slab; default beam",
    "thermal.surface": "surface of the deck for k_sur: thickness (of the surfacing) | bare | "
    "waterproofed | ballast; default thickness on roads, ballast on railways",
    "thermal.movements": "movements of bearings by EN 1991-1-5 (S) or EN 1993-2 annex A "
    "(gamma_F and Delta T_0): en1991-1-5 | en1993-2; default en1991-1-5",
    "thermal.installation": "case of Delta T_0 in EN 1993-2 annex A: measured | estimated | "
    "fixed_changed; default estimated",
    "wind.speed": "basic wind velocity v_b (m/s); > 0",
    "wind.pressure": "pressure on the exposed area, force coefficient included (Pa), instead of "
    "wind.speed; > 0",
    "wind.pressure_traffic": "the same with traffic on the bridge (Pa); > 0; default wind.pressure",
    "wind.pressure_vertical": "the same on the plan of the deck, up or down (Pa); >= 0; default "
    "wind.pressure, on the safe side",
    "wind.reference_height": "z_e, mean level of the deck above ground (m); 0 to 50; default 20",
    "wind.force_factor": "C = c_e c_f,x instead of EN 1991-1-4 Table 8.2 (trusses); > 0",
    "wind.level": "level of the wind's resultant without traffic above the road or rail surface "
    "(m); default half the exposed depth below it, for trusses half the depth above it",
    "friction.mating": "what the PTFE of sliding bearings slides on: steel (austenitic, or hard "
    "chrome) | aluminium (anodised); default steel",
    "friction.contact_pressure": "contact pressure of the PTFE (Pa), for EN 1337-2 Table 11; > 0; "
    "default: not known, the typical coefficient",
    "seismic.ground_acceleration": "reference peak ground acceleration a_gR (m/s2); > 0",
    "seismic.importance": "importance factor gamma_I; > 0; default 1",
    "seismic.soil": "ground type: A | B | C | D | E; needed",
    "seismic.behaviour_along": "behaviour factor q along the bridge; >= 1; default 1",
    "seismic.behaviour_across": "behaviour factor q across the bridge; >= 1; default 1",
    "seismic.traffic": "traffic that shakes with the bridge: normal (none) | severe (psi_21); "
    "default normal",
}

CHOSEN = ChoiceList("eurocode", CHOICES)
