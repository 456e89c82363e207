"""EN 1991-2, section 4.2 and 4.3: notional lanes and vertical load models of roads."""

from __future__ import annotations

from dataclasses import dataclass
from math import floor

from bedstone.errors import Fault, InputError
from bedstone.standards.choices import Choices
from bedstone.standards.clause import state
from bedstone.standards.eurocode.choices import CHOSEN
from bedstone.standards.record import Line, Quantity
from bedstone.standards.traffic import Axle, LaneLoad, Placement, TrafficModel, Train
from bedstone.standards.values import Values

#: Guards Int(w/3) against the last digit of a width given as a difference (9.000000000001 - 0).
_TINY = 1e-9


@dataclass(frozen=True)
class NotionalLanes:
    """Division of a carriageway: number of lanes, width of one lane (m), remaining width (m)."""

    count: int
    width: float
    remaining: float


@dataclass(frozen=True)
class Adjustment:
    """Adjustment factors: tandems of lanes 1 to 3, uniform load of lane 1, others, rest; LM2."""

    Q: tuple[float, float, float]
    q1: float
    q2: float
    qr: float
    beta: float


def notional_lanes(values: Values, width: float) -> NotionalLanes:
    """Notional lanes of a carriageway `width` (m) wide; raises `InputError` below one lane.

    Source: EN 1991-2, Table 4.1.
    """
    lane = values.number("road.lanes.width")
    if not width >= lane:
        raise InputError(
            [
                Fault(
                    "bridge file",
                    "actions.traffic",
                    f"a carriageway of {width:g} m",
                    f"at least {lane:g} m",
                )
            ]
        )
    if width < values.number("road.lanes.single_below"):
        count = 1
    elif width < values.number("road.lanes.half_below"):
        count, lane = 2, width / 2
    else:
        count = floor(width / lane + _TINY)
    return NotionalLanes(count, lane, max(width - count * lane, 0.0))


def notional_lanes_line(values: Values, width: float) -> Line:
    """The number of notional lanes as a line (EN 1991-2, Table 4.1)."""
    lanes = notional_lanes(values, width)
    return state(
        values,
        ("road.lanes.width", "road.lanes.single_below", "road.lanes.half_below"),
        title="Notional lanes",
        formula="w < 5.4: 1; 5.4 <= w < 6: 2 of w/2; w >= 6: Int(w/3)",
        inputs=(Quantity("w", width, "m"),),
        result=Quantity("n_1", float(lanes.count), ""),
        note=f"lane width {lanes.width:g} m, remaining area {lanes.remaining:g} m",
    )


def adjustment(values: Values, choices: Choices) -> Adjustment:
    """Adjustment factors alpha and beta from the choices (EN 1991-2, 4.3.2(3), 4.3.3)."""
    one = values.number("road.alpha.default")
    Q1 = CHOSEN.number(choices, "road.alpha.Q1", one, above=0.0)
    return Adjustment(
        Q=(
            Q1,
            CHOSEN.number(choices, "road.alpha.Q2", one, least=0.0),
            CHOSEN.number(choices, "road.alpha.Q3", one, least=0.0),
        ),
        q1=CHOSEN.number(choices, "road.alpha.q1", one, least=0.0),
        q2=CHOSEN.number(choices, "road.alpha.q2", one, least=0.0),
        qr=CHOSEN.number(choices, "road.alpha.qr", one, least=0.0),
        beta=CHOSEN.number(choices, "road.beta_Q", Q1, above=0.0),
    )


def least_alpha(values: Values, alpha_Q1: float) -> Line:
    """Check of the least alpha_Q1 for roads without signs that restrict weights (4.3.2(3))."""
    least = values.number("road.alpha_Q1.minimum")
    return state(
        values,
        ("road.alpha_Q1.minimum",),
        title="Least adjustment factor alpha_Q1",
        formula="alpha_Q1 >= 0.8",
        inputs=(),
        result=Quantity("alpha_Q1", alpha_Q1, ""),
        limit=Quantity("alpha_Q1,min", least, ""),
        utilisation=least / alpha_Q1,
        note="holds where no signs restrict the weight of vehicles",
    )


def lm1(
    values: Values,
    lanes: NotionalLanes,
    alpha: Adjustment,
    tandem_factor: float = 1.0,
    uniform_factor: float = 1.0,
) -> TrafficModel:
    """Load model 1 (EN 1991-2, 4.3.2), with factors on tandems and uniform loads (psi).

    The lanes may stand in any order, so the adverse numbering is found by the placing. Lanes 4
    and up carry the same load as the remaining area unless the alphas differ; then they are
    counted to it, which leaves fewer orders to try and changes no effect. The 2.5 kN/m2 stands on
    every adverse part.
    """
    spacing = values.number("road.lm1.axle_spacing")
    track = values.number("road.lm1.track")
    tandems = values.row("road.lm1.tandem")
    first = values.number("road.lm1.uniform") * alpha.q1
    other = values.number("road.lm1.uniform_other") * alpha.q2
    rest = values.number("road.lm1.uniform_rest") * alpha.qr
    loads = []
    for index in range(lanes.count):
        trains: tuple[Train, ...] = ()
        if index < len(tandems):
            axle = tandems[index] * alpha.Q[index]
            if axle > 0.0:
                axles = (Axle(0.0, axle), Axle(spacing, axle))
                trains = (Train(f"TS {index + 1}", axles, track=track),)
        uniform = first if index == 0 else other
        if index >= len(tandems) and uniform == rest:
            break
        loads.append(
            LaneLoad(
                name=f"lane {index + 1}",
                trains=trains,
                width=lanes.width,
                uniform=uniform,
                uniform_width=lanes.width,
                train_factor=tandem_factor,
                uniform_factor=uniform_factor,
            )
        )
    placement = Placement("LM1", tuple(loads), rest=rest * uniform_factor)
    return TrafficModel("LM1", "EN 1991-2, 4.3.2", (placement,))


def lm2(values: Values, beta: float) -> TrafficModel:
    """Load model 2 (EN 1991-2, 4.3.3): one axle anywhere, or one of its wheels alone."""
    wheel = values.number("road.lm2.wheel_width")
    track = values.number("road.lm2.track")
    axle = Train("LM2 axle", (Axle(0.0, values.number("road.lm2.axle")),), track=track)
    single = Train("LM2 wheel", (Axle(0.0, values.number("road.lm2.wheel")),))
    placements = tuple(
        Placement(train.name, (LaneLoad(train.name, (train,), width=width, train_factor=beta),))
        for train, width in ((axle, track + wheel), (single, wheel))
    )
    return TrafficModel("LM2", "EN 1991-2, 4.3.3", placements)


def lm4(values: Values) -> TrafficModel:
    """Load model 4 (EN 1991-2, 4.3.5): a crowd on the adverse parts of the carriageway."""
    crowd = Placement("LM4", (), rest=values.number("road.lm4.uniform"))
    return TrafficModel("LM4", "EN 1991-2, 4.3.5", (crowd,))
