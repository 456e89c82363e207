"""Load combinations (AASHTO LRFD 3.4.1): Strength I to V, Service I and II, Extreme Event I."""

from __future__ import annotations

from collections.abc import Collection

from bedstone.standards.combination import (
    TRAFFIC,
    Combination,
    LimitState,
    Term,
    distinct,
    short,
)
from bedstone.standards.values import Values

_CLAUSE = "Table 3.4.1-1"

#: The vehicles of the specification; any other traffic group is an owner's vehicle (Strength II).
_DESIGN_TRAFFIC = f"{TRAFFIC}HL-93"


def _permanent(values: Values, state: str, dead: str) -> tuple[Term, ...]:
    """Dead load, surfacing and imposed strains of one limit state (Tables 3.4.1-2, -3)."""
    if state == "strength":
        most, least = values.row(f"combinations.permanent.{dead}")
        surfacing = values.row("combinations.surfacing.strength")
    else:
        most = least = (
            values.number("combinations.permanent.extreme") if state == "extreme" else 1.0
        )
        surfacing = (most, least)
    jacking = values.number("combinations.jacking")
    return (
        Term("permanent", most, least),
        Term("surfacing", surfacing[0], surfacing[1]),
        # Settlement, shrinkage and creep grow with time: absent at first, so never relied on.
        Term("settlement", values.number("combinations.settlement"), 0.0),
        Term("shrinkage", values.number("combinations.shrinkage"), 0.0),
        Term("jacking", jacking, jacking),
    )


def _combination(
    values: Values,
    name: str,
    limit_state: LimitState,
    state: str,
    variable: tuple[tuple[str, float], ...],
    *,
    dead: str = "strength",
    thermal: str | None = None,
    friction: bool = True,
    leading: str = "",
) -> Combination:
    """One combination; `thermal` names the row of TU factors (forces, deformations)."""
    terms = [*_permanent(values, state, dead), *(Term(a, f, 0.0) for a, f in variable)]
    if friction:
        terms.append(Term("friction", values.number("combinations.friction"), 0.0))
    movement: tuple[Term, ...] | None = None
    if thermal is not None:
        forces, deformations = values.row(f"combinations.thermal.{thermal}")
        movement = (*terms, Term("thermal", deformations, 0.0))
        terms.append(Term("thermal", forces, 0.0))
    return Combination(name, limit_state, _CLAUSE, tuple(terms), leading, movement)


def combinations(
    values: Values, present: Collection[str], service_2: bool = False
) -> tuple[Combination, ...]:
    """All combinations of the actions present; absent actions and repeated combinations drop out.

    Service I is the SLS characteristic state, Strength the ULS persistent one. Without any traffic
    Strength I and Service I are still written. `service_2`: write Service II too.
    """

    def gamma(key: str) -> float:
        return values.number(f"combinations.{key}")

    traffic = sorted(action for action in present if action.startswith(TRAFFIC))
    design = [group for group in traffic if group == _DESIGN_TRAFFIC]
    special = [group for group in traffic if group != _DESIGN_TRAFFIC]
    found = [_combination(values, "Permanent", "permanent", "service", (), friction=False)]

    service_wind = (("wind with traffic", gamma("wind.service_1")),)
    for group in traffic or [""]:
        label = f"Service I {short(group)}".strip()
        live = ((group, gamma("live.service_1")),) if group else ()
        found.append(
            _combination(
                values,
                label,
                "SLS characteristic",
                "service",
                (*live, *(service_wind if group else (("wind", gamma("wind.service_1")),))),
                thermal="service",
                leading=group,
            )
        )
    if service_2:
        found.extend(
            _combination(
                values,
                f"Service II {short(group)}",
                "SLS characteristic",
                "service",
                ((group, gamma("live.service_2")),),
                thermal="service",
                leading=group,
            )
            for group in traffic
        )

    def strength(
        number: str, variable: tuple[tuple[str, float], ...], leading: str, dead: str = "strength"
    ) -> Combination:
        name = f"Strength {number} {short(leading)}".strip()
        return _combination(
            values,
            name,
            "ULS persistent",
            "strength",
            variable,
            dead=dead,
            thermal="strength",
            leading=leading,
        )

    if design or not special:
        found.extend(
            strength("I", ((group, gamma("live.strength_1")),) if group else (), group)
            for group in design or [""]
        )
    found.extend(strength("II", ((group, gamma("live.strength_2")),), group) for group in special)
    if "wind" in present:
        found.append(strength("III", (("wind", gamma("wind.strength_3")),), "wind"))
    found.append(strength("IV", (), "", dead="strength_4"))
    if "wind with traffic" in present:
        found.extend(
            strength(
                "V",
                (
                    (group, gamma("live.strength_5")),
                    ("wind with traffic", gamma("wind.strength_5")),
                ),
                group,
            )
            for group in design
        )
    if "seismic" in present:
        found.extend(
            _combination(
                values,
                f"Extreme Event I {short(group)}".strip(),
                "ULS seismic",
                "extreme",
                (
                    ("seismic", gamma("seismic.extreme_1")),
                    *(((group, gamma("live.extreme_1")),) if group else ()),
                ),
                leading="seismic",
            )
            for group in design or [""]
        )
    return distinct(found, present)
