"""Combinations of limit state design (IRC:6 Annex B): ULS basic, accidental, seismic; SLS."""

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

_ULS = "Table B.2"
_SLS = "Table B.3"
_STRAINS = ("settlement", "shrinkage")


def _base(values: Values, state: str) -> list[Term]:
    """Permanent actions and imposed strains of a state (``uls``, ``accidental``, ...)."""
    strains = values.number(f"combinations.{'uls' if state == 'uls' else 'sls'}.strains")
    permanent = values.row(f"combinations.{state}.permanent")
    surfacing = values.row(f"combinations.{state}.surfacing")
    return [
        Term("permanent", permanent[0], permanent[1]),
        Term("surfacing", surfacing[0], surfacing[1]),
        # Settlement, shrinkage and creep grow with time: absent at first, so never relied on.
        *(Term(action, strains, 0.0) for action in _STRAINS),
        Term("jacking", strains, strains),
    ]


def _leading(
    values: Values,
    title: str,
    limit_state: LimitState,
    clause: str,
    base: list[Term],
    factors: str,
    present: Collection[str],
) -> list[Combination]:
    """One combination for each variable action that may lead, the others accompanying.

    Wind with traffic goes with traffic; wind on the empty bridge stands without it.
    """

    def row(action: str) -> tuple[float, float]:
        lead, accompanying = values.row(f"combinations.{factors}.{action}")
        return lead, accompanying

    live, thermal, wind = row("live"), row("thermal"), row("wind")
    groups = sorted(action for action in present if action.startswith(TRAFFIC))
    # Each set of variable actions that can be there together.
    sets = [[(group, live), ("thermal", thermal), ("wind with traffic", wind)] for group in groups]
    if "wind" in present or not groups:
        sets.append([("thermal", thermal), ("wind", wind)])
    found = []
    for actions in sets:
        together = [(action, pair) for action, pair in actions if action in present]
        for leading, _ in together:
            terms = [
                Term(action, pair[0] if action == leading else pair[1], 0.0)
                for action, pair in together
            ]
            terms.sort(key=lambda term: term.action != leading)
            name = f"{title} {_sum(terms)}"
            found.append(Combination(name, limit_state, clause, (*base, *terms), leading=leading))
    return found


def _sum(terms: list[Term]) -> str:
    """`1.5 live + 0.9 thermal`; a factor of 1 is not written."""
    return " + ".join(
        short(term.action) if term.adverse == 1.0 else f"{term.adverse:g} {short(term.action)}"
        for term in terms
    )


def combinations(values: Values, present: Collection[str]) -> tuple[Combination, ...]:
    """All combinations of the actions present; absent actions and repeated combinations drop out.

    ULS basic is the persistent state, the rare SLS combination the characteristic one. The
    accidental combination holds what acts beside the accidental action, which the engineer adds.
    """

    def gamma(key: str) -> float:
        return values.number(f"combinations.{key}")

    groups = sorted(action for action in present if action.startswith(TRAFFIC))
    sls, uls = _base(values, "sls"), _base(values, "uls")
    sls_friction = Term("friction", gamma("sls.friction"), 0.0)
    uls_friction = Term("friction", gamma("uls.friction"), 0.0)
    # Permanent actions as they are, without the margin that SLS keeps on surfacing.
    characteristic = [
        Term(term.action, 1.0, 0.0 if term.action in _STRAINS else 1.0) for term in sls
    ]
    found = [Combination("Permanent", "permanent", _SLS, tuple(characteristic))]
    sls_all = [*sls, sls_friction]
    found += _leading(values, "SLS rare", "SLS characteristic", _SLS, sls_all, "rare", present)
    found += _leading(values, "SLS frequent", "SLS frequent", _SLS, sls_all, "frequent", present)
    quasi = (*sls_all, Term("thermal", gamma("quasi.thermal"), 0.0))
    found.append(Combination("SLS quasi-permanent", "SLS quasi-permanent", _SLS, quasi))
    uls_all = [*uls, uls_friction]
    found += _leading(values, "ULS basic", "ULS persistent", _ULS, uls_all, "uls", present)
    if not any(one.limit_state == "ULS persistent" for one in found):
        found.append(Combination("ULS basic", "ULS persistent", _ULS, tuple(uls_all)))
    lead = values.row("combinations.accidental.live")[0]
    accidental = [*_base(values, "accidental"), sls_friction]
    thermal = Term("thermal", gamma("accidental.thermal"), 0.0)
    found.extend(
        Combination(
            f"ULS accidental {short(group)}",
            "ULS accidental",
            _ULS,
            (*accidental, Term(group, lead, 0.0), thermal),
            leading=group,
        )
        for group in groups
    )
    if "seismic" in present:
        base = [*_base(values, "seismic"), sls_friction]
        thermal = Term("thermal", gamma("seismic.thermal"), 0.0)
        for group in groups or [""]:
            terms = [Term("seismic", gamma("seismic.seismic"), 0.0)]
            terms += [Term(group, gamma("seismic.live"), 0.0)] if group else []
            terms += [thermal] if "thermal" in present else []
            found.append(
                Combination(
                    f"ULS seismic {_sum(terms)}",
                    "ULS seismic",
                    _ULS,
                    (*base, *terms),
                    leading="seismic",
                )
            )
    return distinct(found, present)
