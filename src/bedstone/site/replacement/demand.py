"""What a family asks of a jack, as lines of a calculation."""

from __future__ import annotations

from dataclasses import dataclass

from bedstone.schedule.context import Context
from bedstone.site.replacement.plan import JackPoint
from bedstone.site.tolerances import Tolerances
from bedstone.standards.combination import TRAFFIC
from bedstone.standards.record import Line, Quantity, weakest
from bedstone.standards.values import Basis


@dataclass(frozen=True)
class Load:
    """What one jack carries (N).

    - `permanent`: the largest on the way under permanent load, of which `surfacing` is the share
      (0..1) that surfacing brings to the bearing
    - `beside`: its part of the permanent reaction of the bearing beside it
    - `traffic`: greatest of traffic kept on, 0 where it is kept off
    - `out_of_step`: more where its seat is lifted ahead of the others by the allowance; 0 where no
      other is lifted
    """

    permanent: float
    surfacing: float
    beside: float
    traffic: float
    out_of_step: float


def jack_lines(
    context: Context,
    tolerances: Tolerances,
    point: JackPoint,
    load: Load,
    lift: float,
) -> tuple[Line, ...]:
    """Design force against the rated capacity, travel against the stroke, height against headroom.

    Sources: AASHTO LRFD 3.4.3.1, whose factor is taken to cover jacks that run out of step; of
    EN 1990, Annex A2 and IRC:6, Annex B no rule of their own for jacking in service is known here,
    so the factors of their ultimate combinations are taken, and the force of jacks out of step as
    imposed on purpose.
    """
    lines = [_force(context, tolerances, point, load)]
    group = point.group
    travel = Quantity("s", lift, "m")
    if group is not None and group.stroke is not None:
        limit = Quantity("s_max", group.stroke, "m")
        lines.append(_plain("travel of the jack", point, travel, limit, "lift at the jack"))
    if group is not None and group.closed_height is not None and group.headroom is not None:
        lines.append(
            _plain(
                "height of the jack with its plates, closed",
                point,
                Quantity("h", group.closed_height, "m"),
                Quantity("h_clear", group.headroom, "m"),
                "closed height of the jack",
            )
        )
    return tuple(lines)


def _force(context: Context, tolerances: Tolerances, point: JackPoint, load: Load) -> Line:
    used = tolerances.values["used"]
    capacity = point.group.capacity if point.group else None
    inputs: list[Quantity] = [Quantity("P", load.permanent, "N")]
    if context.family.name == "aashto":
        rule = tolerances.values["jacking"]
        factor = tolerances.number("jacking")
        live = _factor(context, TRAFFIC)[0] if load.traffic else 0.0
        force = factor * max(load.permanent, load.beside) + live * load.traffic
        formula, clause, edition = "factor max(P, R) + gamma_L Q", rule.clause, rule.edition
        standard, bases = rule.standard, [rule.basis]
        note = "the greater of the force at the jack and of the reaction at the bearing beside it"
        inputs += [Quantity("R", load.beside, "N"), Quantity("factor", factor, "")]
        if load.traffic:
            inputs += [Quantity("Q", load.traffic, "N"), Quantity("gamma_L", live, "")]
            bases.append(_basis(context))
    else:
        dead, clause = _factor(context, "permanent")
        surfacing, uneven = _factor(context, "surfacing")[0], _factor(context, "jacking")[0]
        live = _factor(context, TRAFFIC)[0] if load.traffic else 0.0
        own = load.surfacing * load.permanent
        force = dead * (load.permanent - own) + surfacing * own
        force += uneven * load.out_of_step + live * load.traffic
        formula = "gamma_G (P - P_s) + gamma_S P_s + gamma_J U + gamma_Q Q"
        entry = next(v for v in context.values.used.values() if "combinations." in v.name)
        standard, edition = entry.standard, entry.edition
        clause = clause.removeprefix(f"{standard}, ")
        bases = [_basis(context)]
        note = (
            "factors of the ultimate combination, no rule for jacking in service being known here; "
            "U: lifted ahead of the others by the allowance"
        )
        inputs += [
            Quantity("P_s", own, "N"),
            Quantity("U", load.out_of_step, "N"),
            Quantity("gamma_G", dead, ""),
            Quantity("gamma_S", surfacing, ""),
            Quantity("gamma_J", uneven, ""),
        ]
        if load.traffic:
            inputs += [Quantity("Q", load.traffic, "N"), Quantity("gamma_Q", live, "")]
    limit = None
    if capacity is not None:
        limit = Quantity("used share of the rated capacity", capacity * _si(used), "N")
        bases.append(used.basis)
    return Line(
        title="design force of the jack",
        standard=standard,
        edition=edition,
        clause=clause,
        formula=formula,
        inputs=tuple(inputs),
        result=Quantity("F", force, "N"),
        basis=weakest(*bases),
        limit=limit,
        utilisation=None if limit is None else max(force, 0.0) / limit.value,
        note=note,
        part=f"jack {point.mark}",
    )


def _si(value: object) -> float:
    number = getattr(value, "value", None)
    assert isinstance(number, float)
    return number


def _factor(context: Context, action: str) -> tuple[float, str]:
    """The largest factor of an action, or of any traffic group, in the ultimate combinations.

    And the clause of that combination; 1 where none speaks of it.
    """
    groups = [f"{TRAFFIC}{group.name}" for group in context.groups]
    users = {own for own, _ in context.users}
    present = ["permanent", "surfacing", "jacking"]
    present += [name for name in groups if name.removeprefix(TRAFFIC) not in users]
    found = [
        (term.adverse, combination.clause)
        for combination in context.family.combinations(context.values, present)
        if combination.limit_state == "ULS persistent"
        for term in combination.terms
        if term.action.startswith(action)
    ]
    return max(found, key=lambda pair: pair[0], default=(1.0, ""))


def _basis(context: Context) -> Basis:
    """The weakest basis of the factors of the combinations used so far."""
    found = [
        value.basis for name, value in context.values.used.items() if name.startswith("combin")
    ]
    return weakest(*found) if found else "memory"


def _plain(title: str, point: JackPoint, found: Quantity, limit: Quantity, formula: str) -> Line:
    return Line(
        title=title,
        standard="bridge file",
        edition="",
        clause="[replacement]",
        formula=formula,
        inputs=(),
        result=found,
        basis="confirmed",
        limit=limit,
        utilisation=found.value / limit.value,
        part=f"jack {point.mark}",
    )
