"""Seats of our own invention on which rollers and rockers are tried."""

from dataclasses import replace

from bedstone.bearings.base import Basis, Demand, DemandCase
from bedstone.standards.values import Values

FAMILIES = ("eurocode", "aashto", "irc")


def demand(N=1.2e6, vx=0.03, ry=0.003, Hy=50e3, function="guided along", **effects):
    """A seat with service and ultimate cases: full and reduced load, forces both ways."""
    cases = []
    for limit_state, factor in (("SLS characteristic", 1.0), ("ULS persistent", 1.35)):
        for number, (share, sense) in enumerate(((1.0, 1.0), (0.6, -1.0), (0.4, 0.5))):
            cases.append(
                DemandCase(
                    limit_state,
                    f"{limit_state} {number}",
                    N * factor * share,
                    Hy=Hy * factor * sense,
                    vx=vx * sense,
                    ry=ry * sense,
                    **effects,
                )
            )
    held = {"guided along": (False, True), "free": (False, False), "fixed": (True, True)}
    return Demand(
        "A2-1", function, held.get(function, (True, False)), tuple(cases), permanent=0.5 * N
    )


def fixed(N=1.2e6, ry=0.003, Hx=120e3, Hy=50e3, **effects):
    """A fixed seat."""
    return demand(N, vx=0.0, ry=ry, Hy=Hy, function="fixed", Hx=Hx, **effects)


def basis(family="eurocode", **options):
    """A basis with a steel girder above and a plinth below; dots of options written as __."""
    chosen = {name.replace("__", "."): value for name, value in options.items()}
    return Basis(family, Values(family), options=chosen, plinth=(1.2, 1.6))


def changed(given, **effects):
    """The demand with effects of all its cases replaced."""
    return replace(given, cases=tuple(replace(case, **effects) for case in given.cases))
