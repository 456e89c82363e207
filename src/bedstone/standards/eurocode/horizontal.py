"""EN 1991-2, sections 4.4 and 6.5: braking, traction, centrifugal force, nosing."""

from __future__ import annotations

from math import sqrt

from bedstone.standards.clause import state
from bedstone.standards.eurocode.rail import RailModel, loaded_length, total_load, track_alpha
from bedstone.standards.eurocode.road import Adjustment
from bedstone.standards.record import Line, Quantity
from bedstone.standards.site import BridgeFacts, TrackFacts
from bedstone.standards.values import Values

_KMH = 3.6  # km/h in a m/s


def road_braking(
    values: Values, alpha_Q1: float, alpha_q1: float, lane_width: float, length: float
) -> Line:
    """Braking or acceleration Q_lk (N) on `length` (m) of deck, either sense, at the surface.

    Source: EN 1991-2, 4.4.1(2), expression (4.6).
    """
    tandem = values.row("road.lm1.tandem")[0]
    uniform = values.number("road.lm1.uniform")
    least = alpha_Q1 * values.number("road.braking.minimum")
    most = values.number("road.braking.maximum")
    force = (
        values.number("road.braking.tandem_share") * alpha_Q1 * 2 * tandem
        + values.number("road.braking.uniform_share") * alpha_q1 * uniform * lane_width * length
    )
    return state(
        values,
        (
            "road.braking.tandem_share",
            "road.braking.uniform_share",
            "road.braking.minimum",
            "road.braking.maximum",
            "road.lm1.tandem",
            "road.lm1.uniform",
        ),
        title="Braking and acceleration",
        formula="Q_lk = 0.6 alpha_Q1 (2 Q_1k) + 0.10 alpha_q1 q_1k w_1 L, "
        "180 alpha_Q1 <= Q_lk <= 900 kN",
        inputs=(
            Quantity("alpha_Q1", alpha_Q1, ""),
            Quantity("Q_1k", tandem, "N"),
            Quantity("alpha_q1", alpha_q1, ""),
            Quantity("q_1k", uniform, "N/m**2"),
            Quantity("w_1", lane_width, "m"),
            Quantity("L", length, "m"),
        ),
        result=Quantity("Q_lk", min(max(force, least), most), "N"),
    )


def road_centrifugal(values: Values, alpha: Adjustment, lanes: int, radius: float) -> Line:
    """Centrifugal force Q_tk (N) on a road of plan radius `radius` (m), at one point of the deck.

    Source: EN 1991-2, 4.4.2, Table 4.3.
    """
    tandems = values.row("road.lm1.tandem")[:lanes]
    weight = sum(factor * 2 * axle for factor, axle in zip(alpha.Q, tandems, strict=False))
    if radius < values.number("road.centrifugal.radius_lower"):
        force = values.number("road.centrifugal.tight") * weight
    elif radius <= values.number("road.centrifugal.radius_upper"):
        force = values.number("road.centrifugal.length") * weight / radius
    else:
        force = 0.0
    return state(
        values,
        (
            "road.centrifugal.tight",
            "road.centrifugal.length",
            "road.centrifugal.radius_lower",
            "road.centrifugal.radius_upper",
            "road.lm1.tandem",
        ),
        title="Centrifugal force",
        formula="Q_tk = 0.2 Q_v (r < 200 m), 40 Q_v/r (200 to 1500 m), 0 beyond",
        inputs=(Quantity("Q_v", weight, "N"), Quantity("r", radius, "m")),
        result=Quantity("Q_tk", force, "N"),
    )


def skew_braking(values: Values, braking: float) -> Line:
    """Lateral force Q_trk (N) of skew braking or skidding that goes with `braking` Q_lk (N).

    Source: EN 1991-2, 4.4.2(4).
    """
    return state(
        values,
        ("road.skew_braking.share",),
        title="Skew braking",
        formula="Q_trk = 0.25 Q_lk",
        inputs=(Quantity("Q_lk", braking, "N"),),
        result=Quantity("Q_trk", values.number("road.skew_braking.share") * braking, "N"),
    )


def traction(values: Values, model: RailModel, track: TrackFacts, length: float) -> Line:
    """Traction Q_lak (N) of one track on `length` (m), alpha included; none for unloaded trains.

    The limit holds before alpha. Source: EN 1991-2, 6.5.3(2), (6.20), and 6.3.2(3) for alpha.
    """
    loaded = 0.0 if model == "unloaded train" else loaded_length(values, model, length)
    alpha = track_alpha(model, track)
    most = values.number("rail.traction.maximum")
    force = alpha * min(values.number("rail.traction") * loaded, most)
    return state(
        values,
        ("rail.traction", "rail.traction.maximum"),
        title=f"Traction {model}",
        formula="Q_lak = alpha (33 L_a,b <= 1000 kN)",
        inputs=(Quantity("alpha", alpha, ""), Quantity("L_a,b", loaded, "m")),
        result=Quantity("Q_lak", force, "N"),
        note="no dynamic factor; at top of rail",
    )


def rail_braking(values: Values, model: RailModel, track: TrackFacts, length: float) -> Line:
    """Braking Q_lbk (N) of one track on `length` (m), alpha included; none for unloaded trains.

    The limit holds before alpha. Source: EN 1991-2, 6.5.3(2), (6.21), (6.22).
    """
    loaded = 0.0 if model == "unloaded train" else loaded_length(values, model, length)
    alpha = track_alpha(model, track)
    if model == "SW/2":
        names: tuple[str, ...] = ("rail.braking.sw2",)
        force = values.number("rail.braking.sw2") * loaded
        formula = "Q_lbk = 35 L_a,b"
    else:
        names = ("rail.braking", "rail.braking.maximum")
        force = alpha * min(
            values.number("rail.braking") * loaded, values.number("rail.braking.maximum")
        )
        formula = "Q_lbk = alpha (20 L_a,b <= 6000 kN)"
    return state(
        values,
        names,
        title=f"Braking {model}",
        formula=formula,
        inputs=(Quantity("alpha", alpha, ""), Quantity("L_a,b", loaded, "m")),
        result=Quantity("Q_lbk", force, "N"),
        note="no dynamic factor; at top of rail",
    )


def speed_reduction(values: Values, speed: float, length: float) -> Line:
    """Reduction f of the centrifugal force for `speed` (m/s) and influence length L_f (m).

    Source: EN 1991-2, 6.5.1(8), expression (6.19).
    """
    V = speed * _KMH
    slow, fast, a, b, c, d, e, g, least = values.row("rail.centrifugal.f")
    # The rounding of km/h through m/s must not put 120 km/h in the second branch.
    if slow + 1e-9 >= V or length <= c:
        f = 1.0
    elif fast + 1e-9 >= V:
        f = 1.0 - (V - slow) / d * (a / V + b) * (1.0 - sqrt(c / length))
    else:
        f = e + g * sqrt(c / length)
    return state(
        values,
        ("rail.centrifugal.f",),
        title="Reduction of centrifugal force",
        formula="V <= 120: 1; V <= 300: 1 - (V - 120)/1000 (814/V + 1.75)(1 - sqrt(2.88/L_f)); "
        "above: 0.197 + 0.803 sqrt(2.88/L_f); at least 0.35",
        inputs=(Quantity("V", speed, "m/s"), Quantity("L_f", length, "m")),
        result=Quantity("f", max(f, least), ""),
        note="V in km/h in the formula",
    )


def rail_centrifugal(
    values: Values,
    facts: BridgeFacts,
    model: RailModel,
    track: TrackFacts,
    radius: float,
    length: float,
) -> Line:
    """Centrifugal force Q_tk (N) of one track on `length` (m), no dynamic factor.

    Above 120 km/h the greater of two cases: full speed with f (alpha 1), and 120 km/h with alpha
    and f = 1. SW/0 and SW/2 go at 80 km/h at most.
    Source: EN 1991-2, 6.5.1 (6.17), (6.19), Table 6.8.
    """
    weight = total_load(values, facts, model, length)
    alpha = track_alpha(model, track)
    full = values.number("rail.centrifugal.full_speed")
    speed = track.speed
    if model in ("SW/0", "SW/2"):
        speed = min(speed, values.number("rail.centrifugal.sw_speed"))
    cases = [(min(speed, full), 1.0, alpha)]
    if speed > full:
        fast = values.number("rail.centrifugal.alpha_fast")
        cases.append((speed, speed_reduction(values, speed, length).value, fast))
    g = values.number("rail.gravity")
    forces = [v**2 / (g * radius) * f * a * weight for v, f, a in cases]
    force = max(forces)
    v, f, a = cases[forces.index(force)]
    return state(
        values,
        (
            "rail.gravity",
            "rail.centrifugal.f",
            "rail.centrifugal.full_speed",
            "rail.centrifugal.alpha_fast",
            "rail.centrifugal.sw_speed",
        ),
        title=f"Centrifugal force {model}",
        formula="Q_tk = v^2/(g r) f alpha Q_vk",
        inputs=(
            Quantity("v", v, "m/s"),
            Quantity("r", radius, "m"),
            Quantity("f", f, ""),
            Quantity("alpha", a, ""),
            Quantity("Q_vk", weight, "N"),
        ),
        result=Quantity("Q_tk", force, "N"),
    )


def nosing(values: Values, alpha: float, with_alpha: bool = True) -> Line:
    """Nosing force Q_sk (N) of one track, either side, at top of rail, at the worst place.

    `with_alpha`: multiplied by alpha where alpha > 1 (one published source says never).
    Source: EN 1991-2, 6.5.2.
    """
    factor = max(alpha, 1.0) if with_alpha else 1.0
    return state(
        values,
        ("rail.nosing",),
        title="Nosing",
        formula="Q_sk = 100 kN max(alpha, 1)" if with_alpha else "Q_sk = 100 kN",
        inputs=(Quantity("alpha", alpha, ""),),
        result=Quantity("Q_sk", factor * values.number("rail.nosing"), "N"),
        note="always with a vertical load; no dynamic factor, no f",
    )
