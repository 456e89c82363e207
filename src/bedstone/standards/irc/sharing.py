"""How bearings share a longitudinal force (IRC:6 clauses 211.5 stiff supports, 211.6 flexible).

Forces and reactions in N. Friction that relieves counts with the smaller coefficient of a bearing,
friction that adds with the greater one: `friction` (greater, smaller), by default that of PTFE.
"""

from __future__ import annotations

from bedstone.errors import Fault, InputError
from bedstone.standards.clause import state
from bedstone.standards.record import Line, Quantity
from bedstone.standards.values import Values, load_pack

_MEMORY = "formula recalled; confirm against the printed clause"
_PTFE = ("friction.ptfe",)
#: Greater and smaller coefficient of friction of the free bearings; None: PTFE.
Coefficients = tuple[float, float] | None


def _coefficients(values: Values, friction: Coefficients) -> tuple[float, float]:
    if friction is not None:
        return friction
    high, low = values.row("friction.ptfe")
    return high, low


def _forces(force: float, dead: float, live: float) -> tuple[Quantity, ...]:
    return (
        Quantity("F_h", force, "N"),
        Quantity("R_g", dead, "N"),
        Quantity("R_q", live, "N"),
    )


def fixed_less_friction(
    values: Values, force: float, dead: float, live: float, friction: Coefficients = None
) -> Line:
    """Force on the fixed bearing less the friction of the free end: F_h - mu (R_g + R_q)."""
    _, low = _coefficients(values, friction)
    return state(
        values,
        _PTFE,
        "Fixed bearing, friction relieving",
        "F_h - mu (R_g + R_q)",
        (*_forces(force, dead, live), Quantity("mu", low, "")),
        Quantity("F", force - low * (dead + live), "N"),
    )


def fixed_half_and_friction(
    values: Values, force: float, dead: float, live: float, friction: Coefficients = None
) -> Line:
    """Half the force and the friction of the free end on the fixed one: F_h/2 + mu (R_g + R_q)."""
    high, _ = _coefficients(values, friction)
    return state(
        values,
        ("sharing.half", "friction.ptfe"),
        "Fixed bearing, half the force and friction",
        "F_h / 2 + mu (R_g + R_q)",
        (*_forces(force, dead, live), Quantity("mu", high, "")),
        Quantity("F", values.number("sharing.half") * force + high * (dead + live), "N"),
    )


def fixed_bearing(
    values: Values, force: float, dead: float, live: float, friction: Coefficients = None
) -> Line:
    """Fixed bearing of a simple span with a free one: the greater of the two rules."""
    return max(
        fixed_less_friction(values, force, dead, live, friction),
        fixed_half_and_friction(values, force, dead, live, friction),
        key=lambda rule: rule.value,
    )


def free_bearing(values: Values, dead: float, live: float, friction: Coefficients = None) -> Line:
    """Free bearing of a simple span: its own friction mu (R_g + R_q), the high coefficient."""
    high, _ = _coefficients(values, friction)
    return state(
        values,
        _PTFE,
        "Free bearing",
        "mu (R_g + R_q)",
        (Quantity("R_g", dead, "N"), Quantity("R_q", live, "N"), Quantity("mu", high, "")),
        Quantity("F", high * (dead + live), "N"),
        note=_MEMORY,
    )


def no_bearings(values: Values, force: float, dead: float, mu: float, span: float) -> Line:
    """Each end of a short span without bearings: the greater of F_h/2 and mu R_g.

    `span` m. Raises `InputError` beyond the span up to which the rule holds.
    """
    most = values.number("sharing.short_span")
    if span > most:
        raise InputError(
            [Fault("bridge file", "span", f"{span:g} m", f"bearings, or at most {most:g} m")]
        )
    return state(
        values,
        ("sharing.half", "sharing.short_span"),
        "Span without bearings, each end",
        "max(F_h / 2, mu R_g)",
        (Quantity("F_h", force, "N"), Quantity("R_g", dead, "N"), Quantity("mu", mu, "")),
        Quantity("F", max(values.number("sharing.half") * force, mu * dead), "N"),
        note=_MEMORY,
    )


def identical_elastomeric(values: Values, force: float, shear: float, movement: float) -> Line:
    """Each end of a simple span on identical elastomeric bearings: F_h/2 + V_r l_tc.

    `shear`: shear rating V_r of one end (N/m); `movement` l_tc (m) of the deck above the bearing
    from all but applied forces.
    """
    return state(
        values,
        ("sharing.half",),
        "Identical elastomeric bearings, each end",
        "F_h / 2 + V_r l_tc",
        (
            Quantity("F_h", force, "N"),
            Quantity("V_r", shear, "N/m"),
            Quantity("l_tc", movement, "m"),
        ),
        Quantity("F", values.number("sharing.half") * force + shear * movement, "N"),
        note=_MEMORY,
    )


def continuous_fixed(
    values: Values,
    force: float,
    friction_left: float,
    friction_right: float,
    free_left: int,
    free_right: int,
) -> Line:
    """Fixed bearing of a continuous superstructure, all others free (Table 14): the worse case.

    `friction_left`, `friction_right`: total friction (N) of the free bearings on either side of
    the fixed one; `free_left`, `free_right`: their number. The rule is written for the side with
    the greater friction on the right; the other way round the sides change places.
    """
    if friction_right < friction_left:
        friction_left, friction_right = friction_right, friction_left
        free_left, free_right = free_right, free_left
    excess = friction_right - friction_left
    turn = values.number("sharing.turn")

    def case(resisting: float, count: int, unbalanced: float) -> float:
        if force > turn * resisting:
            return force - (friction_right + friction_left)
        return force / (1 + count) + unbalanced

    with_excess = case(friction_right, free_right, excess)
    against = case(friction_left, free_left, -excess)
    worst = max(abs(with_excess), abs(against))
    return state(
        values,
        ("sharing.turn",),
        "Fixed bearing of a continuous superstructure",
        "F_h > 2 muR: F_h - (muR + muL); else F_h/(1 + n) +- (muR - muL)",
        (
            Quantity("F_h", force, "N"),
            Quantity("muL", friction_left, "N"),
            Quantity("muR", friction_right, "N"),
            Quantity("n_L", float(free_left), ""),
            Quantity("n_R", float(free_right), ""),
            Quantity("case I", with_excess, "N"),
            Quantity("case II", against, "N"),
        ),
        Quantity("F", worst, "N"),
        note=_MEMORY,
    )


def flexible_supports(
    values: Values, force: float, stiffness: tuple[float, ...]
) -> tuple[Line, ...]:
    """Share of each support by its shear rating (211.6): F_i = F_h K_i / sum K.

    `stiffness`: force (N/m) that moves the top of bearing, pier and foundation together by a unit.
    Raises `InputError` when no support is stiff or one is negative.
    """
    total = sum(stiffness)
    if min(stiffness, default=0.0) < 0.0 or total <= 0.0:
        raise InputError(
            [Fault("bridge file", "stiffness", str(stiffness), "none negative, one above zero")]
        )
    head = load_pack(values.family)["sharing.half"]  # the formula itself holds no number
    return tuple(
        Line(
            title=f"Share of support {i}",
            standard=head.standard,
            edition=head.edition,
            clause="211.6",
            formula="F_i = F_h K_i / sum K",
            inputs=(
                Quantity("F_h", force, "N"),
                Quantity("K_i", K, "N/m"),
                Quantity("sum K", total, "N/m"),
            ),
            result=Quantity(f"F_{i}", force * K / total, "N"),
            basis="memory",
            note=_MEMORY,
        )
        for i, K in enumerate(stiffness, start=1)
    )
