"""Which support takes a longitudinal force: braking BR (3.6.4) and friction FR (14.6.3.1).

Two ways are in use, and the engineer chooses: braking wholly on the fixed line, or shared by the
stiffness of bearings and supports together, each up to the friction at which it slips. Forces in N,
without sign.
"""

from __future__ import annotations

from bedstone.errors import Fault, InputError
from bedstone.standards.clause import state
from bedstone.standards.record import Line, Quantity
from bedstone.standards.values import Values

_BRAKING = "traffic.braking.axle_share"
_FRICTION = "friction.roller"
_MEMORY = "rule recalled; confirm against the printed clause"


def moving_line(values: Values, friction: float) -> Line:
    """Line of moving bearings: H_u = mu P_u of all its bearings (14.6.3.1)."""
    return state(
        values,
        (_FRICTION,),
        "Moving line, its own friction",
        "H_u = sum(mu P_u)",
        (Quantity("mu P_u", friction, "N"),),
        Quantity("H_u", friction, "N"),
        note=_MEMORY,
    )


def fixed_line(
    values: Values, force: float, ahead: tuple[float, float], behind: tuple[float, float]
) -> Line:
    """Fixed line: braking and the friction of the moving bearings that is left on it, BR + FR.

    `ahead`, `behind`: friction (N) of all moving bearings on either side, with the adverse and with
    the relieving coefficient: FR = sum(mu P) of one side less the relieving one of the other.
    """
    friction = max(ahead[0] - behind[1], behind[0] - ahead[1], 0.0)
    return state(
        values,
        (_BRAKING, _FRICTION),
        "Fixed line, braking and friction",
        "BR + FR",
        (Quantity("BR", force, "N"), Quantity("FR", friction, "N")),
        Quantity("F", force + friction, "N"),
        note=_MEMORY,
        clause="3.6.4, 14.6.3.1",
    )


def by_stiffness(
    values: Values,
    force: float,
    stiffness: tuple[float, ...],
    slip: tuple[float | None, ...] | None = None,
) -> tuple[Line, ...]:
    """Each support's part of a force by stiffness, F_i = F K_i / sum K, each up to its slip.

    `stiffness` K_i (N/m) of bearing, pier and foundation together; `slip`: friction mu N (N) at
    which a support slips, None: it cannot. One that slips keeps its friction, and the rest is
    shared anew. Raises `InputError` when no support is stiff, one is negative, or the force is more
    than all of them hold.
    """
    limits = slip or (None,) * len(stiffness)
    if min(stiffness, default=0.0) < 0.0 or sum(stiffness) <= 0.0:
        raise InputError(
            [Fault("bridge file", "stiffness", str(stiffness), "none negative, one above zero")]
        )
    slipped: set[int] = set()
    while True:
        rest = force - sum(limits[i] or 0.0 for i in slipped)
        total = sum(K for i, K in enumerate(stiffness) if i not in slipped)
        if total <= 0.0:
            held = f"friction of {sum(limits[i] or 0.0 for i in slipped):g} N in all"
            raise InputError([Fault("bridge file", "braking", f"{force:g} N", f"at most {held}")])
        shares = [
            (limits[i] or 0.0) if i in slipped else rest * K / total
            for i, K in enumerate(stiffness)
        ]
        more = {
            i
            for i, (share, limit) in enumerate(zip(shares, limits, strict=True))
            if limit is not None and share > limit and i not in slipped
        }
        if not more:
            break
        slipped |= more
    return tuple(
        state(
            values,
            (_BRAKING, _FRICTION),
            f"Share of support {i + 1} by stiffness",
            "F K_i / sum K, at most mu N",
            (
                Quantity("F", force, "N"),
                Quantity("K_i", stiffness[i], "N/m"),
                Quantity("sum K", total, "N/m"),
            ),
            Quantity(f"F_{i + 1}", share, "N"),
            note="slips" if i in slipped else "by stiffness: practice, no clause says so",
            clause="3.6.4, by stiffness",
        )
        for i, share in enumerate(shares)
    )
