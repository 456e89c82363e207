"""How likely it is that a limit or a stop is exceeded, by samples of what nobody knows exactly.

One sample draws a temperature of setting, a coldest and a warmest effective temperature, a factor
on friction, one on the stiffness below each support, a play of each bearing; it holds for the time
to which coldest and warmest belong, a year where they are spread as those of a year. On it act,
with their characteristic values,

- the permanent actions (movements: those after the bearings are set);
- a uniform change from the temperature of setting to the coldest and to the warmest;
- at both ends friction of the moving bearings as in `bedstone.schedule.friction`, in all its cases
  or none at all, whichever is worst: a bridge at its warmest has just grown, or begins to shrink;
- where the limit is on a force, the adverse traffic with its braking, as an envelope of the file's
  arrangement and bounds of stiffness (`Screen`): the same in every sample.

Wind, settlement, temperature differences over the depth and earthquake are left out. With the
stiffness below given all is linear, so a sample costs a solution of the bearings only where that
stiffness varies.

Play: a held direction lets the superstructure go by its play either way before it holds. The slips
are those of least strain energy, with a spring of `FLOAT` on each: it decides where a
superstructure stands that nothing holds, and is nothing beside a bridge.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
import scipy.stats
from scipy.stats import qmc
from threadpoolctl import threadpool_limits

from bedstone.actions.cases import PermanentCase, jacking_case, permanent_cases, shrinkage_case
from bedstone.actions.effects import Layout
from bedstone.articulation.arrangement import (
    Arranged,
    Standing,
    arrange,
    effect_map,
    erection,
    layout,
    support_sums,
)
from bedstone.articulation.ground import ground
from bedstone.articulation.prepared import Prepared
from bedstone.bridge.schema import FamilyName, Spread, Stops, Uncertainty
from bedstone.bridge.seats import arrangement_functions
from bedstone.comparison.limits import parse_limits
from bedstone.comparison.screen import Screen
from bedstone.errors import CheckError, Fault, InputError
from bedstone.mechanics.condense import SeatLoad
from bedstone.mechanics.frame import Bools, Floats
from bedstone.mechanics.support import TOLERANCE, Supported
from bedstone.model.structure import StateName
from bedstone.schedule.analysis import Progress, last_stage_before, thermal_range
from bedstone.schedule.context import Context, context_of
from bedstone.schedule.friction import adverse_sides, friction_action
from bedstone.standards.site import BridgeFacts

Sampling = Literal["sobol", "plain"]

#: Quantiles of each quantity that are told.
QUANTILES = (0.05, 0.50, 0.95, 0.99)
#: Independent scrambles into which Sobol points are divided: how they differ shows their error.
SCRAMBLES = 8
#: Spring (N/m) on every slip: a newton for a millimetre.
FLOAT = 1e3
#: Steps of the search for the slips: with all directions changing at once, then one by one.
BLOCK_TURNS, LAST_TURNS = 12, 10_000
#: Samples taken at a time, for memory.
BLOCK = 256
#: Effects that the samples do not follow: traffic and differences of temperature bring them.
_LEFT_OUT = frozenset({"vz", "rx", "ry", "rz"})
_FOLLOWED = "N, Hx, Hy, Mx, My, Mz, vx or vy of a seat, or V, Fx, Fy, Mx, My, Mz of a support"
#: Ways of the stops: effect, and its sign.
_WAYS: Mapping[str, tuple[str, float]] = {
    "back": ("vx", -1.0),
    "ahead": ("vx", 1.0),
    "right": ("vy", -1.0),
    "left": ("vy", 1.0),
}


# ------------------------------------------------------------------ results
@dataclass(frozen=True)
class Asked:
    """A limit of the file, or a stop of a bearing.

    `sense`: "<" the size of the effect is at most `value`, ">" it is at least `value` (least
    compression), else the way of a stop: back, ahead, right, left. SI; `text` for people.
    """

    text: str
    place: str
    effect: str
    sense: str
    value: float

    def measure(self, top: Floats, low: Floats) -> Floats:
        """What is held against the value, from the largest and smallest value of a sample."""
        if self.sense in _WAYS:
            return top if _WAYS[self.sense][1] > 0.0 else -low
        return low if self.sense == ">" else np.maximum(np.abs(top), np.abs(low))

    def exceeded(self, measure: Floats) -> Bools:
        """True where the limit does not hold, or the stop would be passed."""
        return np.asarray(measure < self.value if self.sense == ">" else measure > self.value)


@dataclass(frozen=True)
class Varied:
    """A quantity and its spread, one column of the samples for each of its `places`.

    `name`: as in the bridge file; `unit`: of the figures of `spread`; `places`: supports or seats
    that have a column of their own, empty where one column serves all. A spread that the file does
    not give is "fixed" at the value that the schedule uses.
    """

    name: str
    unit: str
    spread: Spread
    places: tuple[str, ...] = ()

    @property
    def columns(self) -> tuple[str, ...]:
        """Name of each column of the samples; none where nothing varies."""
        if self.spread.shape == "fixed":
            return ()
        return tuple(f"{self.name} {place}" for place in self.places) or (self.name,)


@dataclass(frozen=True)
class Exceedance:
    """How likely it is that one limit is exceeded.

    `count` of the samples; `probability` with its `interval`; `quantiles` of the measure in SI, as
    `QUANTILES`; `matters`: rank correlation (Spearman) of the measure with each column that varies,
    the strongest first.
    """

    asked: Asked
    count: int
    probability: float
    interval: tuple[float, float]
    quantiles: tuple[float, ...]
    matters: tuple[tuple[str, float], ...]


@dataclass(frozen=True)
class Chance:
    """Probabilities of a bridge on its own arrangement, and all that is needed to repeat them.

    `samples` taken (of `wanted`; Sobol points come in powers of two), in `scrambles` independent
    sets; `traffic`: whether it stands with the forces; `play` (m) by seat where the file fixes it;
    `residual`: worst of equilibrium and compatibility, relative.
    """

    bridge: str
    reference: str
    standard: FamilyName
    arrangement: str
    sampling: Sampling
    seed: int
    wanted: int
    samples: int
    scrambles: int
    confidence: float
    varied: tuple[Varied, ...]
    play: Mapping[str, float]
    traffic: bool
    results: tuple[Exceedance, ...]
    notes: tuple[str, ...]
    residual: float


# ------------------------------------------------------------------ samples
def points(dimensions: int, samples: int, seed: int, sampling: Sampling) -> Floats:
    """(sets, n, dimensions) points of the unit cube, `samples` or more in all.

    ``sobol``: independently scrambled sets of Sobol points, a power of two each; ``plain``: one set
    of independent points. Source: A. B. Owen, "Scrambled net variance for integrals of smooth
    functions", Annals of Statistics 25 (1997), from memory; the points are those of
    `scipy.stats.qmc`.
    """
    if sampling == "plain":
        found = np.random.default_rng(seed).random((1, samples, dimensions))
    else:
        power = max(int(np.ceil(np.log2(samples / SCRAMBLES))), 0)
        streams = np.random.default_rng(seed).spawn(SCRAMBLES)
        found = np.stack(
            [qmc.Sobol(dimensions, scramble=True, rng=one).random_base2(power) for one in streams]
        )
    # the ends of an unbounded spread lie at infinity
    return np.clip(found, 1e-12, 1.0 - 1e-12)


def spread_values(spread: Spread, unit: Floats, positive: bool = False) -> Floats:
    """Values of a spread at probabilities `unit`; `positive`: a normal one is cut off at zero."""
    a = spread.a
    if spread.shape == "fixed":
        return np.full(unit.shape, a)
    assert spread.b is not None  # the checks of the bridge file have seen to it
    b = spread.b
    if spread.shape == "normal":
        cut = float(scipy.stats.norm.cdf(0.0, a, b)) if positive else 0.0
        return np.asarray(scipy.stats.norm.ppf(cut + (1.0 - cut) * unit, a, b))
    if spread.shape == "lognormal":
        return np.asarray(scipy.stats.lognorm.ppf(unit, b, scale=a))
    if spread.shape == "uniform":
        return np.asarray(scipy.stats.uniform.ppf(unit, a, b - a))
    assert spread.mode is not None
    return np.asarray(scipy.stats.triang.ppf(unit, (spread.mode - a) / (b - a), a, b - a))


def interval(exceeded: Bools, confidence: float) -> tuple[float, float]:
    """Confidence interval of a probability from (sets, n) independent sets of samples.

    One set of independent samples: Clopper and Pearson, which holds the confidence whatever the
    probability. Several sets: the same with an effective number of samples, reduced by the ratio
    of the variance between the sets to that of independent samples (Korn and Graubard); a ratio
    below one, which is what Sobol points are taken for, is not used: the interval is only ever
    widened.

    Source: C. J. Clopper and E. S. Pearson, Biometrika 26 (1934); E. L. Korn and B. I. Graubard,
    Survey Methodology 24 (1998). From memory.
    """
    sets, total = len(exceeded), float(exceeded.size)
    found = float(exceeded.mean())
    effective = total
    independent = found * (1.0 - found) / total
    if sets > 1 and independent > 0.0:
        between = float(exceeded.mean(axis=1).var(ddof=1)) / sets
        effective = total / max(1.0, between / independent)
    count, rest = found * effective, (1.0 - found) * effective
    tail = (1.0 - confidence) / 2.0
    low = float(scipy.stats.beta.ppf(tail, count, rest + 1.0)) if found > 0.0 else 0.0
    high = float(scipy.stats.beta.ppf(1.0 - tail, count + 1.0, rest)) if found < 1.0 else 1.0
    return low, high


# ------------------------------------------------------------------ the bridge
@dataclass(frozen=True)
class _Slip:
    """A held direction with play: seat row, direction (0 x', 1 y')."""

    seat: int
    way: int


@dataclass(frozen=True)
class _Response:
    """Rows asked for, then forces in the directions with play, of one stiffness or several.

    `permanent`, `heat` (b, rows), `friction` (b, 5, rows) the first of no friction, `slips` (b,
    rows, m) of a slip of 1 m. Leading axis 1 where the stiffness below does not vary.
    """

    permanent: Floats
    heat: Floats
    friction: Floats
    slips: Floats


class _Model:
    """One arrangement on any stiffness below its bearings."""

    def __init__(
        self,
        prepared: Prepared,
        context: Context,
        arranged: Arranged,
        asked: Sequence[Asked],
        slips: Sequence[_Slip],
    ) -> None:
        self.prepared, self.context, self.arranged = prepared, context, arranged
        self.slips = tuple(slips)
        bridge, structure = prepared.bridge, prepared.structure
        self.layout: Layout = layout(structure)
        marks = self.layout.seats
        self.rows = np.array(
            [self.layout.index(item.place, item.effect) for item in asked]
            + [self.layout.index(marks[slip.seat], ("Hx", "Hy")[slip.way]) for slip in slips]
        )
        self.notes: tuple[str, ...] = ()
        self.residual = 0.0
        self._sums = support_sums(structure, list(bridge.support), arranged)
        self._grounds = np.array([ground(structure, [support]) for support in bridge.support])
        self._erected = erection(structure, arranged, prepared.condensed[prepared.final].part)
        self._erected_sums = support_sums(structure, list(bridge.support), self._erected)
        self._permanent = self._lasting()
        thermal = thermal_range(prepared, context.family, context.values, context.facts)
        self._heat = prepared.condensed[prepared.final].load(
            structure.states[prepared.final].uniform_temperature(
                thermal.alpha_steel, thermal.alpha_concrete
            )
        )
        turn = arranged.bearings.directions
        count = turn.shape[0]
        let = np.zeros((count, len(slips)))
        for column, slip in enumerate(slips):
            let[6 * slip.seat + slip.way, column] = 1.0
        self._let = prepared.condensed[prepared.final].settlement(turn.T @ let)
        # effects of settled ground are told against that ground: the slip itself comes on top
        self._own = np.zeros((self.layout.size, len(slips)))
        for column, slip in enumerate(slips):
            self._own[self.layout.seat_block(slip.seat).start + 6 + slip.way, column] = 1.0

    def _lasting(self) -> dict[tuple[StateName, bool], SeatLoad]:
        """All permanent loads by state and whether they come before the bearings are set."""
        prepared = self.prepared
        bridge, structure, condensed = prepared.bridge, prepared.structure, prepared.condensed
        cases: tuple[PermanentCase, ...] = permanent_cases(structure, condensed)
        early = last_stage_before(bridge, cases)
        found = [((case.state, case.number <= early), case.load) for case in cases]
        later = (
            jacking_case(bridge, structure, condensed[prepared.final]),
            shrinkage_case(bridge, structure, condensed[prepared.slow]),
        )
        found += [((case.state, False), case.load) for case in later if case is not None]
        result: dict[tuple[StateName, bool], SeatLoad] = {}
        for key, load in found:
            result[key] = result[key] + load if key in result else load
        return result

    def _stand(self, state: StateName, below: Floats, early: bool = False) -> Standing:
        prepared = self.prepared
        arranged = self._erected if early else self.arranged
        sums = self._erected_sums if early else self._sums
        supported = Supported(prepared.condensed[state], arranged.bearings, below)
        supports = list(prepared.bridge.support)
        return Standing(
            supported, effect_map(prepared.structure, supports, arranged, supported, sums)
        )

    def solve(self, stiffness: Floats) -> _Response:
        """Response with factors (supports,) on the stiffness below; arrays without leading axis.

        Raises `UnstableError` naming the free motion, `CheckError` when a solution fails.
        """
        prepared, context = self.prepared, self.context
        below = np.asarray(np.tensordot(1.0 / stiffness, self._grounds, axes=1))
        own = self._stand(prepared.final, below)
        residual = max(own.supported.residuals(self._heat))
        if not residual < TOLERANCE:
            raise CheckError(f"a rise of 1 K is not in equilibrium: residual {residual:.1e}")
        self.residual = max(self.residual, residual)
        permanent = np.zeros(self.layout.size)
        for (state, early), load in self._permanent.items():
            stood = own
            if early or state != prepared.final:
                stood = self._stand(state, below, early)
            vector = stood.effects.effects(load.g, load.r, load.s)[:, 0]
            permanent += np.where(self.layout.movements, 0.0, vector) if early else vector
        heat = own.effects.effects(self._heat.g, self._heat.r)[:, 0]
        friction = np.zeros((1 + len(adverse_sides(prepared)), self.layout.size))
        if prepared.bridge.actions.friction:
            action, _, notes = friction_action(
                prepared, self.arranged, own, permanent, heat, context.family, context.values
            )
            self.notes = tuple(notes)
            if action is not None:
                friction[1:] = action.table
        let = self._let
        slips = own.effects.effects(let.g, let.r, let.s) + self._own
        rows = self.rows
        return _Response(permanent[rows], heat[rows], friction[:, rows], slips[rows])

    def extremes(
        self, response: _Response, change: Floats, friction: Floats, play: Floats
    ) -> tuple[Floats, Floats]:
        """(b, asked) largest and smallest values of b samples.

        `change` (b, 2) K from setting to coldest and warmest, `friction` (b,) factor, `play` (b, m)
        m, each side.
        """
        value = (
            response.permanent[:, None, None]
            + change[:, :, None, None] * response.heat[:, None, None]
            + friction[:, None, None, None] * response.friction[:, None]
        )
        many = len(self.slips)
        if many:
            first = value.shape[-1] - many
            stiff = -response.slips[:, first:]
            moved = slip(stiff, value[..., first:], play)
            value = value[..., :first] + np.einsum(
                "brm,btcm->btcr",
                np.broadcast_to(response.slips[:, :first], (len(value), first, many)),
                moved,
            )
        return value.max(axis=(1, 2)), value.min(axis=(1, 2))


def slip(stiffness: Floats, force: Floats, play: Floats) -> Floats:
    """(b, t, c, m) slips within (b, m) play, from (b or 1, m, m) stiffness and (b, t, c, m) force.

    `force` acts where nothing slips. A slip s takes ``stiffness @ s`` from it; where force is left
    the play is used up. This is the least of s'K s / 2 - f's within the play, K with `FLOAT`.

    Block principal pivoting: all directions on the wrong side change at once; where that goes in
    circles only the last of them, which ends for every positive definite K. Source: J. J. Judice
    and F. M. Pires, Computers & Operations Research 21 (1994), from memory.
    """
    many = force.shape[-1]
    inner = (stiffness + np.swapaxes(stiffness, -1, -2)) / 2.0 + FLOAT * np.eye(many)
    spread = (*force.shape, many)
    whole = np.ascontiguousarray(np.broadcast_to(inner[:, None, None], spread))
    whole = whole.reshape(-1, many, many)
    limit = np.broadcast_to(play[:, None, None], force.shape).reshape(-1, many)
    pushed = force.reshape(-1, many)
    side = np.zeros(pushed.shape)  # 0 within the play, 1 or -1 at its ends
    result = np.zeros(pushed.shape)
    open_ = np.arange(len(pushed))  # not at rest yet
    for turn in range(BLOCK_TURNS + LAST_TURNS):
        own, most, load, at = whole[open_], limit[open_], pushed[open_], side[open_]
        free = at == 0.0
        ends = at * most
        pace = np.diagonal(own, axis1=1, axis2=2)
        matrix = np.where(free[:, :, None] & free[:, None, :], own, 0.0)
        matrix[:, np.arange(many), np.arange(many)] = np.where(free, pace, 1.0)
        right = np.where(free, load - np.einsum("kij,kj->ki", own, ends), ends)
        found = np.linalg.solve(matrix, right[:, :, None])[:, :, 0]
        left = load - np.einsum("kij,kj->ki", own, found)
        noise = 1e-9 * (np.abs(load).max(axis=1, keepdims=True) + pace * most)
        wrong = np.where(free, np.abs(found) > most * (1.0 + 1e-9), at * left < -noise)
        result[open_] = found
        if turn >= BLOCK_TURNS:
            last = many - 1 - wrong[:, ::-1].argmax(axis=1)
            wrong &= np.arange(many) == last[:, None]
        side[open_] = np.where(wrong, np.where(free, np.sign(found), 0.0), at)
        open_ = open_[wrong.any(axis=1)]
        if not len(open_):
            return result.reshape(force.shape)
    raise CheckError("the play of the bearings finds no rest")


# ------------------------------------------------------------------ the question
def chance(
    prepared: Prepared,
    name: FamilyName,
    *,
    samples: int | None = None,
    seed: int | None = None,
    sampling: Sampling = "sobol",
    traffic: bool = True,
    progress: Progress | None = None,
) -> Chance:
    """Probability that each limit and each stop of the file's arrangement is exceeded.

    `samples`, `seed`: in place of those of the file; `traffic`: whether its characteristic envelope
    stands with the forces.

    Raises
    ------
    InputError
        Where the file gives no spread or nothing to count, or a limit on what is not followed.
    UnstableError
        When the arrangement does not stand; names the free motion.
    CheckError
        When a solution fails its own check.
    """
    with threadpool_limits(1, user_api="blas"):
        return _chance(prepared, name, samples, seed, sampling, traffic, progress)


def _chance(
    prepared: Prepared,
    name: FamilyName,
    samples: int | None,
    seed: int | None,
    sampling: Sampling,
    traffic: bool,
    progress: Progress | None,
) -> Chance:
    bridge = prepared.bridge
    given = _given(prepared)
    wanted = given.samples if samples is None else samples
    if not 16 <= wanted <= 1_000_000:
        found = f"{wanted}"
        raise InputError([Fault("command line", "--samples", found, "16 to 1,000,000")])
    begin = given.seed if seed is None else seed
    if begin < 0:
        raise InputError([Fault("command line", "--seed", f"{begin}", "a number not below 0")])
    context = context_of(prepared, name)
    functions = arrangement_functions(bridge, prepared.tables)
    arranged = arrange(
        prepared.structure, list(bridge.support), functions, bridge.arrangement.fixed_point
    )
    asked = _asked(prepared, arranged, given)
    slips = _slips(arranged, given.play is not None)
    varied = _varied(prepared, context, given, slips)
    if not any(item.columns for item in varied):
        raise InputError([Fault("bridge file", "uncertainty", "no spread", _example(prepared))])
    model = _Model(prepared, context, arranged, asked, slips)
    unit = points(sum(len(item.columns) for item in varied), wanted, begin, sampling)
    sets, size, _ = unit.shape
    table = _samples(varied, unit.reshape(sets * size, -1))
    play = {
        model.layout.seats[row]: seat.play
        for row, seat in enumerate(arranged.seats)
        if given.play is None and any(slip.seat == row for slip in slips)
    }
    added = np.zeros((2, len(asked)))
    forces = [not item.effect.startswith("v") for item in asked]
    # the placing of traffic takes longer than all samples: only where a force is asked for
    with_traffic = traffic and bridge.actions.traffic is not None and any(forces)
    if with_traffic:
        if progress is not None:
            progress(0, sets * size, "placing traffic")
        added = np.where(forces, _traffic(prepared, name)[:, model.rows[: len(asked)]], 0.0)
    measures = _measures(model, table, play, asked, added, progress)
    columns = tuple(column for item in varied for column in item.columns)
    inputs = np.column_stack([table[column] for column in columns])
    correlations = _ranked(inputs, measures)
    results = tuple(
        _result(item, measures[:, number].reshape(sets, size), given.confidence,
                columns, correlations[:, number])
        for number, item in enumerate(asked)
    )  # fmt: skip
    return Chance(
        bridge=bridge.bridge.name,
        reference=bridge.bridge.reference,
        standard=name,
        arrangement=bridge.arrangement.name,
        sampling=sampling,
        seed=begin,
        wanted=wanted,
        samples=sets * size,
        scrambles=sets,
        confidence=given.confidence,
        varied=varied,
        play=play,
        traffic=with_traffic,
        results=results,
        notes=(*_idle(prepared, given), *model.notes),
        residual=model.residual,
    )


def _given(prepared: Prepared) -> Uncertainty:
    given = prepared.bridge.uncertainty
    if not prepared.condensed:
        allowed = "a superstructure with a model"
        raise InputError([Fault("bridge file", "superstructure.kind", "reactions", allowed)])
    if given is None:
        raise InputError([Fault("bridge file", "uncertainty", "nothing", _example(prepared))])
    return given


def _example(prepared: Prepared) -> str:
    """The smallest table that can be asked about, for the last seat of this bridge."""
    mark = prepared.structure.seats[-1].mark
    return (
        "a table with a spread and a limit, such as: [uncertainty] "
        'setting = { shape = "normal", a = 12, b = 4 } '
        f'limits = ["{mark}.vx < 60 mm"]'
    )


def _asked(prepared: Prepared, arranged: Arranged, given: Uncertainty) -> tuple[Asked, ...]:
    """The limits of the file, then every stop of its bearings."""
    field = "uncertainty.limits"
    limits = parse_limits(given.limits, prepared.bridge, prepared.tables, field)
    faults = [
        Fault("bridge file", f"{field}[{number}]", repr(limit.text), f"an effect that the samples "
              f"follow: {_FOLLOWED}")
        for number, limit in enumerate(limits, start=1)
        if limit.effect in _LEFT_OUT
    ]  # fmt: skip
    if faults:
        raise InputError(faults)
    asked = [Asked(item.text, item.place, item.effect, item.sense, item.value) for item in limits]
    for place, seat in zip(prepared.structure.seats, arranged.seats, strict=True):
        stops = seat.travel or Stops()
        for way, (effect, _) in _WAYS.items():
            value: float | None = getattr(stops, way)
            if value is not None:
                text = f"{place.mark} stop {way}, {1e3 * value:g} mm"
                asked.append(Asked(text, place.mark, effect, way, value))
    if not asked:
        allowed = f"limits such as '{prepared.structure.seats[-1].mark}.vx < 60 mm', or travel "
        raise InputError(
            [Fault("bridge file", field, "nothing to count", f"{allowed}to the stops of a seat")]
        )
    return tuple(asked)


def _slips(arranged: Arranged, every: bool) -> tuple[_Slip, ...]:
    """Held plan directions with play: of `every` seat that holds, or those to which one is given.

    A direction on springs has no play: the spring begins at once.
    """
    bearings = arranged.bearings
    stiff = bearings.held[:, :2] & (bearings.compliance[:, :2] == 0.0)
    return tuple(
        _Slip(int(seat), int(way))
        for seat, way in np.argwhere(stiff)
        if every or arranged.seats[seat].play > 0.0
    )


def _varied(
    prepared: Prepared,
    context: Context,
    given: Uncertainty,
    slips: Sequence[_Slip],
) -> tuple[Varied, ...]:
    """What varies and what is fixed, in the order of the columns."""
    marks = [seat.mark for seat in prepared.structure.seats]
    cold, warm, setting = _temperatures(prepared, context)
    giving = tuple(item.mark for item in prepared.bridge.support if item.below.kind != "rigid")
    loose = tuple(dict.fromkeys(marks[slip.seat] for slip in slips))

    def one(name: str, unit: str, told: Spread | None, usual: float) -> Varied:
        return Varied(name, unit, told or Spread(shape="fixed", a=usual))

    found = [
        one("setting", "degC", given.setting, setting),
        one("coldest", "degC", given.coldest, cold),
        one("warmest", "degC", given.warmest, warm),
    ]
    if prepared.bridge.actions.temperature is None:
        found = []
    if prepared.bridge.actions.friction:
        found.append(one("friction", "", given.friction, 1.0))
    if giving:
        found.append(replace(one("stiffness", "", given.stiffness, 1.0), places=giving))
    if given.play is not None and loose:
        found.append(Varied("play", "mm", given.play, loose))
    return tuple(found)


def _idle(prepared: Prepared, given: Uncertainty) -> list[str]:
    """Spreads that change nothing on this bridge, and why."""
    notes = []
    if given.friction is not None and not prepared.bridge.actions.friction:
        notes.append("friction: actions.friction is false, so its spread changes nothing")
    below = {item.below.kind for item in prepared.bridge.support}
    if given.stiffness is not None and below == {"rigid"}:
        notes.append("stiffness: all supports are rigid, so its spread changes nothing")
    return notes


def _temperatures(prepared: Prepared, context: Context) -> tuple[float, float, float]:
    """Coldest and warmest effective temperature and that of setting (degC) as the family says.

    Without allowances: those stand for what is spread here. Zeros without a temperature action.
    """
    if prepared.bridge.actions.temperature is None:
        return 0.0, 0.0, 0.0
    facts, family, values = context.facts, context.family, context.values
    choices = {
        key: value for key, value in facts.choices.items() if key != "thermal.setting_tolerance"
    }
    facts = replace(facts, choices=choices)
    known = facts.setting_temperature
    middle = _middle(facts) if known is None else known
    told = family.thermal(values, replace(facts, setting_temperature=middle))
    cold, warm = middle - told.contraction, middle + told.expansion
    if known is not None:
        return cold, warm, known
    # an allowance of the family widens both ends alike and drops out of their difference
    usual = family.thermal(values, facts)
    return cold, warm, (cold + warm + usual.contraction - usual.expansion) / 2.0


def _middle(facts: BridgeFacts) -> float:
    """A temperature (degC) that lies in the range of the bridge."""
    ends = []
    for end, air in (("min", facts.air_min), ("max", facts.air_max)):
        told = facts.choices.get(f"thermal.effective_{end}", air)
        ends.append(float(told if told is not None else 0.0))
    return sum(ends) / 2.0


def _samples(varied: Sequence[Varied], unit: Floats) -> dict[str, Floats]:
    """Values of every column (n,), in the units of its spread; what is fixed by its name alone."""
    result: dict[str, Floats] = {}
    at = 0
    for item in varied:
        if not item.columns:
            result[item.name] = np.full(len(unit), item.spread.a)
        for column in item.columns:
            positive = item.name in ("friction", "stiffness", "play")
            result[column] = spread_values(item.spread, unit[:, at], positive)
            at += 1
    return result


def _traffic(prepared: Prepared, name: FamilyName) -> Floats:
    """(2, size) characteristic extremes of traffic on the file's arrangement, the worst group."""
    look = Screen(prepared, name).look()
    groups = [value for key, value in look.actions.items() if key.startswith("traffic:")]
    if not groups:
        return np.zeros((2, look.layout.size))
    return np.stack(
        [np.max([item[0] for item in groups], axis=0), np.min([item[1] for item in groups], axis=0)]
    )


def _measures(
    model: _Model,
    table: Mapping[str, Floats],
    play: Mapping[str, float],
    asked: Sequence[Asked],
    added: Floats,
    progress: Progress | None,
) -> Floats:
    """(n, asked) what is held against each limit, sample by sample."""
    total = len(next(iter(table.values())))
    none = np.zeros(total)
    setting = table.get("setting", none)
    change = np.stack([table.get(end, none) - setting for end in ("coldest", "warmest")], axis=1)
    friction = table.get("friction", none)
    supports = model.layout.supports
    ones = np.ones(total)
    stiffness = np.stack([table.get(f"stiffness {mark}", ones) for mark in supports], axis=1)
    constant = table.get("stiffness", ones)[0]
    marks = model.layout.seats
    gaps = np.zeros((total, len(model.slips)))
    for column, slip in enumerate(model.slips):
        mark = marks[slip.seat]
        told = table.get(f"play {mark}", table.get("play"))
        gaps[:, column] = play[mark] if told is None else told * 1e-3
    varies = any(key.startswith("stiffness ") for key in table)
    once = None if varies else [model.solve(stiffness[0] * constant)]
    measures = np.zeros((total, len(asked)))
    for start in range(0, total, BLOCK):
        if progress is not None:
            progress(start, total, "samples")
        block = slice(start, min(start + BLOCK, total))
        found = once or [model.solve(row) for row in stiffness[block]]
        response = _Response(
            *(
                np.stack([getattr(item, part) for item in found])
                for part in ("permanent", "heat", "friction", "slips")
            )
        )
        top, low = model.extremes(response, change[block], friction[block], gaps[block])
        for number, item in enumerate(asked):
            high = top[:, number] + added[0, number]
            measures[block, number] = item.measure(high, low[:, number] + added[1, number])
    return measures


def _ranked(inputs: Floats, measures: Floats) -> Floats:
    """(inputs, measures) rank correlation of Spearman; zero where a measure does not vary."""
    centred = []
    for part in (inputs, measures):
        # rounding noise on what does not vary is no rank
        size = np.maximum(np.abs(part).max(axis=0), 1e-300)
        ranks = scipy.stats.rankdata(np.round(part / size, 9), axis=0)
        centred.append(ranks - ranks.mean(axis=0))
    spread = [np.sqrt((part**2).sum(axis=0)) for part in centred]
    scale = spread[0][:, None] * spread[1][None, :]
    return np.asarray(centred[0].T @ centred[1] / np.where(scale > 0.0, scale, np.inf))


def _result(
    asked: Asked, measure: Floats, confidence: float, columns: Sequence[str], ranked: Floats
) -> Exceedance:
    """One answer from (sets, n) samples of its measure."""
    exceeded = asked.exceeded(measure)
    order = np.argsort(-np.abs(ranked), kind="stable")
    return Exceedance(
        asked=asked,
        count=int(exceeded.sum()),
        probability=float(exceeded.mean()),
        interval=interval(exceeded, confidence),
        quantiles=tuple(float(value) for value in np.quantile(measure, QUANTILES)),
        matters=tuple((columns[index], float(ranked[index])) for index in order),
    )
