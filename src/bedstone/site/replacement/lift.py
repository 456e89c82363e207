"""Lifting bearings free to be replaced: forces of the jacks, lift needed, neighbours, restraint.

The lift is followed from the bridge standing on its bearings under permanent load, the jacks just
touching, in the state that carries traffic (creep does not follow a lift of hours). The jacks of
all seats lifted together travel alike. In plan the bearings are taken to hold as in the file, by
themselves or by temporary restraint in their place; what happens without it is told apart.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from threadpoolctl import threadpool_limits

from bedstone.actions.cases import jacking_case, permanent_cases, shrinkage_case
from bedstone.actions.effects import EffectMap
from bedstone.actions.traffic import Extremes, Traffic, fine_field
from bedstone.articulation.arrangement import Arranged, erection, stand
from bedstone.articulation.ground import ground
from bedstone.articulation.prepared import Prepared
from bedstone.bridge.schema import FamilyName
from bedstone.errors import BedstoneError, CheckError, Fault, InputError, UnstableError
from bedstone.mechanics.frame import Floats
from bedstone.mechanics.support import Bearings, Supported
from bedstone.schedule.analysis import last_stage_before, permanent_effects
from bedstone.schedule.context import Context, context_of
from bedstone.schedule.designs import SeatDesign
from bedstone.schedule.variable import case_effects
from bedstone.site.replacement.demand import Load, jack_lines
from bedstone.site.replacement.lifting import TOLERANCE, Jacked, Way
from bedstone.site.replacement.plan import planned
from bedstone.site.replacement.restraint import restraint
from bedstone.site.replacement.result import (
    Alone,
    Checks,
    JackForce,
    Lift,
    Need,
    SeatLift,
    Step,
)
from bedstone.site.tolerances import Tolerances, usual
from bedstone.standards.traffic import TrafficModel

#: Largest lift (m) that may be looked at.
MOST_LIFT = 0.5
#: So many times what is allowed is looked at for the lift that is needed.
_TRIED = 5.0
#: Most lines of a load-lift table.
_LINES = 40
#: Travel (m) that is rounding.
_NOTHING = 1e-9
#: Limit state in which the most that a bearing is designed for in service is looked up.
_SERVICE = "SLS characteristic"


def replacement(
    prepared: Prepared,
    name: FamilyName,
    wanted: Sequence[str],
    designs: Sequence[SeatDesign] = (),
    *,
    lift: float | None = None,
    traffic: bool | None = None,
    tolerances: Tolerances | None = None,
) -> Lift:
    """What it takes to lift bearings free together, and what that does to the rest of the bridge.

    - `wanted`: marks of seats, or of supports for all their seats
    - `designs`: the bearings, for their stiffness under load and for what they may carry
    - `lift` (m): the lift to be looked at; None: the one that is needed, at most what is allowed
    - `traffic`: kept on; None: as the file says
    - `tolerances`: in place of the usual ones of ``site/data/replacement.toml``

    Raises `InputError` for marks, jacks and lifts that cannot be, `UnstableError` where the bridge
    moves freely or would overturn, `CheckError` for a result that fails its own check.
    """
    if not prepared.condensed:
        allowed = "a superstructure with a model"
        raise InputError([Fault("bridge file", "superstructure.kind", "reactions", allowed)])
    with threadpool_limits(limits=1, user_api="blas"):
        return _Work.of(prepared, name, wanted, designs, lift, traffic, tolerances).result()


@dataclass(frozen=True, eq=False)
class _Work:
    """All that the parts of one result share; `travel` (m): the lift that is looked at."""

    prepared: Prepared
    name: FamilyName
    context: Context
    arranged: Arranged
    designs: Mapping[str, SeatDesign]
    rows: tuple[int, ...]
    jacked: Jacked
    fixed: Mapping[str, Floats]
    way: Way
    need: Need
    travel: float
    traffic: bool
    tolerances: Tolerances

    @classmethod
    def of(
        cls,
        prepared: Prepared,
        name: FamilyName,
        wanted: Sequence[str],
        designs: Sequence[SeatDesign],
        lift: float | None,
        traffic: bool | None,
        tolerances: Tolerances | None,
    ) -> _Work:
        """Lift to the clearance and gather what is needed to tell of it."""
        bridge, structure = prepared.bridge, prepared.structure
        told, own = bridge.replacement, tolerances or usual("replacement")
        if lift is not None and not 0.0 < lift <= MOST_LIFT:
            allowed = f"above 0, up to {MOST_LIFT:g} m"
            raise InputError([Fault("replacement", "lift", f"{lift:g} m", allowed)])
        supports = list(bridge.support)
        arranged, rows, points = planned(prepared, wanted)
        by_seat = {item.seat: item for item in designs}
        fixed = permanent(prepared, arranged)
        dead = _at_seats(fixed, len(arranged.seats))[:, 0]
        one_sided = [row in rows or not seat.uplift for row, seat in enumerate(arranged.seats)]
        jacked = Jacked(
            condensed=prepared.condensed[prepared.final],
            ground=ground(structure, supports),
            bearings=_meanwhile(prepared, arranged, by_seat, rows),
            points=points,
            dead=np.array(dead),
            one_sided=np.array(one_sided, dtype=np.intp),
        )
        if max(jacked.rest[row] for row in rows) <= 0.0:
            marks = ", ".join(structure.seats[row].mark for row in rows)
            carrying = "seats that carry under permanent load: these stand open"
            raise InputError([Fault("replacement", "seats", marks, carrying)])
        allowed_lift = told.lift if told.lift is not None else own.number("lift")
        clearance = told.clearance if told.clearance is not None else own.number("clearance")
        way = _follow(jacked, range(len(points)), max(allowed_lift, lift or 0.0, clearance))
        total, free = way.reaches(rows, clearance), way.reaches(rows, 0.0)
        if free is not None and free < _NOTHING:
            free = 0.0
        need = Need(free, clearance, total, allowed_lift, way.end)
        travel = lift if lift is not None else min(total or allowed_lift, allowed_lift)
        kept = told.traffic if traffic is None else traffic
        context = context_of(prepared, name)
        if kept and (bridge.actions.traffic is None or not context.groups):
            found = "nothing"
            fault = Fault("bridge file", "actions.traffic", found, "the traffic that is kept on")
            raise InputError([fault])
        return cls(
            prepared, name, context, arranged, by_seat, rows, jacked, fixed, way, need, travel,
            kept, own,
        )  # fmt: skip

    # ------------------------------------------------------------------ the whole
    def result(self) -> Lift:
        """Everything, checked."""
        structure, bridge = self.prepared.structure, self.prepared.bridge
        imbalance = max(self.way.imbalance(at) for at in self._travels())
        mismatch = max(self.way.mismatch(at) for at in self._travels() if at > 0.0)
        if not max(imbalance, mismatch) < TOLERANCE:
            raise CheckError(
                f"lifting: equilibrium is off by {imbalance:.1e}, the lift by {mismatch:.1e}"
            )
        opened = [
            row
            for row, gap in enumerate(self.way.gaps(self.travel))
            if gap > 0.0 or row in self.rows
        ]
        standing = self.jacked.standing(range(len(self.jacked.points)), opened)
        carried, governs = self._carried(standing)
        supports = tuple(dict.fromkeys(structure.seats[row].support for row in self.rows))
        seats = {seat.mark for row, seat in enumerate(structure.seats) if row in self.rows}
        stiffness = self._stiffness(standing)
        dead = _at_seats(self.fixed, self.jacked.count)[:, 1:3]
        unit = self.jacked.unit
        jacks = self._jacks(carried, stiffness)
        meanwhile, recalled = restraint(
            self.prepared, self.name, self.arranged, self.rows, dead, self.tolerances,
            traffic=self.traffic,
        )  # fmt: skip
        memory = {value.name: value for value in (*self.context.values.from_memory(), *recalled)}
        return Lift(
            bridge=bridge.bridge.name,
            reference=bridge.bridge.reference,
            standard=self.name,
            standard_title=self.context.family.title,
            arrangement=bridge.arrangement.name,
            seats=tuple(structure.seats[row].mark for row in self.rows),
            supports=supports,
            partial=tuple(
                seat.mark
                for seat, own in zip(structure.seats, self.arranged.seats, strict=True)
                if seat.support in supports
                and seat.mark not in seats
                and own.function != "none"
            ),
            joints=tuple(
                mark
                for mark in supports
                if mark in (structure.supports[0], structure.supports[-1])
                or not structure.continuous
            ),
            traffic=self.traffic,
            traffic_of=governs,
            need=self.need,
            lift=self.travel,
            jacks=jacks,
            bearings=self._bearings(carried),
            steps=self._steps(),
            alone=self._alone(),
            stiffness=stiffness,
            line_stiffness=float(
                self.jacked.per_travel(standing, range(len(self.jacked.points)))[
                    self.jacked.count :
                ].sum()
            ),
            restraint=meanwhile,
            tolerances=self.tolerances,
            checks=Checks(imbalance, mismatch, unit.reciprocity, unit.residual),
            notes=self._notes(),
            memory=tuple(memory[name] for name in sorted(memory)),
        )  # fmt: skip

    def _notes(self) -> tuple[str, ...]:
        notes = []
        marks = [self.prepared.structure.seats[row].mark for row in self.rows]
        down = [mark for mark, row in zip(marks, self.rows, strict=True)
                if self.arranged.seats[row].uplift]  # fmt: skip
        if down:
            notes.append(f"{', '.join(down)}: held down; take the hold-down off before lifting")
        seats = self.prepared.structure.seats
        soft = [seats[row].mark for row in self.rows if self._pad(row)]
        if soft:
            notes.append(
                f"{', '.join(soft)}: a pad of which no stiffness under load is known is taken as "
                "rigid; it needs more lift by its load over its stiffness"
            )
        rest = self.jacked.open_rows[self.jacked.settled > 0.0]
        if len(rest):
            told = ", ".join(seats[row].mark for row in rest)
            notes.append(f"{told}: open under permanent load already, before anything is lifted")
        if any(point.group is None for point in self.jacked.points):
            notes.append(
                "no place is told for some jacks: they are taken at the centre of the bearing, "
                "where none can stand; place them to see what the distance does"
            )
        if any(
            (s.bounds.lower, s.bounds.upper) != (1.0, 1.0) for s in self.prepared.bridge.support
        ):
            notes.append("below the bearings the stiffness as given is taken, not its bounds")
        return tuple(notes)

    def _pad(self, row: int) -> bool:
        """Whether a bearing gives way under load and neither file nor design says by how much."""
        design = self.designs.get(self.prepared.structure.seats[row].mark)
        kind = self.arranged.seats[row].kind if design is None else design.choice.kind
        return kind == "laminated elastomeric" and self.jacked.bearings.compliance[row, 2] == 0.0

    # ------------------------------------------------------------------ traffic on the jacks
    def _carried(self, standing: Supported) -> tuple[Floats | None, str]:
        """(2, ns + nj) greatest and least compression of traffic, and the group that governs."""
        if not self.traffic:
            return None, ""
        structure = self.prepared.structure
        marks = [seat.mark for seat in structure.seats]
        effects = self.jacked.effects(standing, [*marks, *(p.mark for p in self.jacked.points)])
        return _placed(self.prepared, self.context, effects, self.jacked)

    # ------------------------------------------------------------------ parts
    def _jacks(
        self, carried: Floats | None, stiffness: Mapping[str, Mapping[str, float]]
    ) -> tuple[JackForce, ...]:
        way, count = self.way, self.jacked.count
        marks = [seat.mark for seat in self.prepared.structure.seats]
        freed = way.forces(self.need.free if self.need.free is not None else self.travel)
        lifted, rises = way.forces(self.travel), way.rises(self.travel)
        most = np.max([way.forces(at) for at in self._travels()], axis=0)
        surfacing = self.fixed.get("surfacing", np.zeros(12 * count))[: 12 * count : 12]
        result = []
        for number, point in enumerate(self.jacked.points):
            mark, row = marks[point.seat], point.seat
            own = [n for n, other in enumerate(self.jacked.points) if other.seat == row]
            total = float(lifted[own].sum())
            part = float(lifted[number]) / total if total > 0.0 else 1.0 / len(own)
            per_mm = stiffness[mark][mark] * part
            dead = float(self.jacked.rest[row])
            live = None
            if carried is not None:
                live = (float(carried[1, count + number]), float(carried[0, count + number]))
            load = Load(
                permanent=float(most[number]),
                surfacing=min(max(float(surfacing[row]) / dead, 0.0), 1.0) if dead > 0.0 else 0.0,
                beside=dead * part,
                traffic=live[1] if live else 0.0,
                out_of_step=max(per_mm, 0.0) * self.tolerances.number("out_of_step")
                if len(self.rows) > 1
                else 0.0,
            )
            result.append(
                JackForce(
                    mark=point.mark,
                    seat=mark,
                    along=point.place.along,
                    across=point.place.across,
                    told=point.group is not None,
                    freed=float(freed[number]),
                    lifted=float(lifted[number]),
                    most=float(most[number]),
                    traffic=live,
                    per_mm=per_mm,
                    rise=rises[number],
                    moment=float(lifted[number])
                    * float(np.hypot(point.place.along, point.place.across)),
                    checks=jack_lines(self.context, self.tolerances, point, load, self.travel),
                )
            )
        return tuple(result)

    def _bearings(self, carried: Floats | None) -> tuple[SeatLift, ...]:
        way, at = self.way, self.travel
        after, gaps, turns = way.compressions(at), way.gaps(at), way.turns(at)
        bearings = self.jacked.bearings
        result = []
        for row, (place, seat) in enumerate(
            zip(self.prepared.structure.seats, self.arranged.seats, strict=True)
        ):
            if seat.function == "none":
                continue
            free = way.freed(row)
            soft = float(bearings.compliance[row, 2])
            before = float(self.jacked.rest[row])
            result.append(
                SeatLift(
                    seat=place.mark,
                    support=place.support,
                    function=seat.function,
                    jacked=row in self.rows,
                    before=before,
                    after=float(after[row]),
                    traffic=None
                    if carried is None
                    else (float(carried[1, row]), float(carried[0, row])),
                    greatest=self._greatest(place.mark),
                    opens=free if free is not None and free <= at else None,
                    opening=float(gaps[row]),
                    turns=(float(turns[row, 0]), float(turns[row, 1])),
                    rebound=soft * before if soft > 0.0 else None,
                )
            )
        return tuple(result)

    def _greatest(self, mark: str) -> float | None:
        """The most a bearing is designed for in service, N."""
        design = self.designs.get(mark)
        if design is None:
            return None
        cases = [case.N for case in design.demand.of(_SERVICE)]
        return max(cases, default=None)

    def _travels(self) -> tuple[float, ...]:
        """Travels of the load-lift table: whole steps, changes of contact, what is needed."""
        step = self.tolerances.number("step")
        while self.travel / step > _LINES:
            step *= 2.0
        found = [step * n for n in range(int(self.travel / step * (1.0 + 1e-12)) + 1)]
        found += [at for at, _, _ in self.way.changes()]
        found += [at for at in (self.need.free, self.need.total, self.travel) if at is not None]
        kept: list[float] = []
        for at in sorted(found):
            if at <= self.travel * (1.0 + 1e-12) and (not kept or at - kept[-1] > 1e-7):
                kept.append(at)
        return tuple(kept)

    def _steps(self) -> tuple[Step, ...]:
        seats = [seat.mark for seat in self.prepared.structure.seats]
        changes = self.way.changes()
        travels = self._travels()
        result = []
        for number, at in enumerate(travels):
            later = travels[number + 1] if number + 1 < len(travels) else np.inf
            events = tuple(
                f"{seats[row]} {'comes free' if opens else 'touches again'}"
                for when, row, opens in changes
                if at - 1e-7 <= when < later - 1e-7 and when <= self.travel
            )
            jacks: dict[str, float] = {}
            # a bearing that gives way at once has handed over its load before the lift can be seen
            forces = self.way.forces(max(0.0, at))
            for index, force in zip(self.way.jacks, forces, strict=True):
                mark = seats[self.jacked.points[index].seat]
                jacks[mark] = jacks.get(mark, 0.0) + float(force)
            bearings = dict(zip(seats, map(float, self.way.compressions(at)), strict=True))
            result.append(Step(at, jacks, bearings, events))
        return tuple(result)

    def _stiffness(self, standing: Supported) -> dict[str, dict[str, float]]:
        seats = [seat.mark for seat in self.prepared.structure.seats]
        points, count = self.jacked.points, self.jacked.count
        result: dict[str, dict[str, float]] = {}
        for row in self.rows:
            own = [number for number, point in enumerate(points) if point.seat == row]
            change = self.jacked.per_travel(standing, own)
            table = {
                mark: float(change[index])
                for index, mark in enumerate(seats)
                if index not in self.rows and self.arranged.seats[index].function != "none"
            }
            for other in self.rows:
                jacks = [count + n for n, point in enumerate(points) if point.seat == other]
                table[seats[other]] = float(change[jacks].sum())
            result[seats[row]] = table
        return result

    def _alone(self) -> tuple[Alone, ...]:
        """Each seat of the line lifted by itself."""
        if len(self.rows) < 2:
            return ()
        return tuple(self._by_itself(row) for row in self.rows)

    def _by_itself(self, row: int) -> Alone:
        seats = [seat.mark for seat in self.prepared.structure.seats]
        own = [number for number, point in enumerate(self.jacked.points) if point.seat == row]
        way = _follow(self.jacked, own, max(self.need.allowed, self.need.clearance))
        total = way.reaches((row,), self.need.clearance)
        at = min(total or self.need.allowed, way.end)
        after = way.compressions(at)
        change = after - self.jacked.rest
        others = [n for n in range(len(seats)) if n != row and self.jacked.bearings.held[n, 2]]
        loaded = max(others, key=lambda n: float(change[n]), default=None)
        opened = [n for n in others if (free := way.freed(n)) is not None and free <= at]
        limits = {n: self._greatest(seats[n]) for n in others}
        return Alone(
            seat=seats[row],
            lift=total,
            force=float(way.forces(at).sum()),
            unloads=tuple(seats[n] for n in opened),
            loaded=None
            if loaded is None or change[loaded] <= 1.0
            else (seats[loaded], float(change[loaded])),
            overloads=tuple(
                seats[n]
                for n, limit in limits.items()
                if limit is not None and after[n] > 1.001 * limit
            ),
        )


def permanent(prepared: Prepared, arranged: Arranged) -> dict[str, Floats]:
    """Effects (size,) of all permanent actions by name, the stiffness below as given."""
    bridge, structure, condensed = prepared.bridge, prepared.structure, prepared.condensed
    supports = list(bridge.support)
    cases = permanent_cases(structure, condensed)
    erected = erection(structure, arranged, condensed[prepared.final].part)
    own = {name: stand(structure, supports, item, arranged) for name, item in condensed.items()}
    early = {name: stand(structure, supports, item, erected) for name, item in condensed.items()}
    fixed = permanent_effects(cases, own, early, last_stage_before(bridge, cases))
    for name, case in (
        ("jacking", jacking_case(bridge, structure, condensed[prepared.final])),
        ("shrinkage", shrinkage_case(bridge, structure, condensed[prepared.slow])),
    ):
        if case is not None:
            fixed[name] = case_effects(own[case.state], case)
    if not fixed:
        raise BedstoneError("the bridge file has no permanent load: nothing is to be lifted")
    return fixed


def _at_seats(fixed: Mapping[str, Floats], count: int) -> Floats:
    """(ns, 12) effects of all permanent actions together."""
    whole = np.sum(list(fixed.values()), axis=0)
    return np.asarray(whole[: 12 * count]).reshape(count, 12)


def _meanwhile(
    prepared: Prepared,
    arranged: Arranged,
    designs: Mapping[str, SeatDesign],
    rows: Sequence[int],
) -> Bearings:
    """The bearings as they work while the seats `rows` are lifted.

    Where the file gives no stiffness under load, that of the design; what is lifted holds no
    rotation.
    """
    held, compliance = arranged.bearings.held.copy(), arranged.bearings.compliance.copy()
    for row, place in enumerate(prepared.structure.seats):
        design = designs.get(place.mark)
        made = None if design is None else design.choice.design
        stiff = None if made is None else made.behaviour.stiffness_z
        if stiff and held[row, 2] and compliance[row, 2] == 0.0:
            compliance[row, 2] = 1.0 / stiff
    held[list(rows), 3:] = False
    return replace(arranged.bearings, held=held, compliance=compliance)


def _follow(jacked: Jacked, jacks: Sequence[int], lift: float) -> Way:
    """Follow a lift to some times what is allowed, or only so far where more would overturn."""
    try:
        return jacked.lift(jacks, _TRIED * lift)
    except UnstableError:
        return jacked.lift(jacks, lift)


def _placed(
    prepared: Prepared, context: Context, effects: EffectMap, jacked: Jacked
) -> tuple[Floats, str]:
    """(2, ns + nj) greatest and least compression of traffic with its dynamic factor."""
    structure, final = prepared.structure, prepared.final
    state, own = structure.states[final], prepared.condensed[final]
    traffic = prepared.bridge.actions.traffic
    if state.deck is None or traffic is None:
        raise BedstoneError("traffic needs a deck: give the deck lines on which it runs")
    field, _ = fine_field(own, state.deck, [effects])
    first = state.deck.first if traffic.start is None else traffic.start
    last = state.deck.last if traffic.end is None else traffic.end
    total = len(effects.layout.seats)
    rows = [*range(jacked.count), *(point.seat for point in jacked.points)]
    inner = set(structure.supports[1:-1]) if structure.continuous else set()
    interior = [12 * n for n, row in enumerate(rows) if structure.seats[row].support in inner]
    placing = Traffic(
        [model for group in context.groups for model in group.models],
        field,
        effects,
        edges=context.facts.carriageway,
        kinks=np.unique(np.round([seat.chainage for seat in structure.seats], 6)),
        reach=(max(first, state.deck.first), min(last, state.deck.last)),
        interior=np.array(interior, dtype=np.intp),
    )
    placed: dict[tuple[TrafficModel, ...], Extremes] = {}
    best, names = np.zeros((2, total)), [""] * total
    for group in context.groups:
        if group.models not in placed:
            placed[group.models] = placing.extremes(group.models)
        found = placed[group.models].scaled(group.vertical_factor).vectors
        lead = 12 * np.arange(total)
        top, low = found[0, lead, lead], found[1, lead, lead]
        for n in np.flatnonzero(top > best[0] * (1.0 + 1e-9)):
            names[n] = group.name
        best = np.stack([np.maximum(best[0], top), np.minimum(best[1], low)])
    heaviest = jacked.count + int(best[0, jacked.count :].argmax())
    return best, names[heaviest]
