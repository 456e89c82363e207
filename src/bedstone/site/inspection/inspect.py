"""From readings to verdicts, travel left, capacity, effects, causes and a rating."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from threadpoolctl import threadpool_limits

from bedstone.articulation.prepared import Prepared
from bedstone.bearings.asked import basis_of
from bedstone.bridge.schema import FamilyName
from bedstone.comparison.screen import Screen
from bedstone.errors import Fault, InputError
from bedstone.schedule.designs import SeatDesign
from bedstone.schedule.own_values import own_values
from bedstone.site.inspection import rating as ratings
from bedstone.site.inspection.cause_rules import Evidence
from bedstone.site.inspection.causes import causes
from bedstone.site.inspection.effects import effects
from bedstone.site.inspection.measured import capacity
from bedstone.site.inspection.result import Capacity, Inspection, SeatInspection, Verdict
from bedstone.site.inspection.travel import reach_of, travel_left
from bedstone.site.inspection.verdicts import joint_verdicts, verdicts
from bedstone.site.inspection.visit import ALONG, Visit, visits
from bedstone.site.quantities import SIZE
from bedstone.site.readings import Reading
from bedstone.site.setting import Setting, settings
from bedstone.site.temperatures import set_at
from bedstone.site.tolerances import Tolerances, usual
from bedstone.standards.values import Values


def inspect(
    prepared: Prepared,
    family: FamilyName,
    readings: Sequence[Reading],
    designs: Sequence[SeatDesign] = (),
    tolerances: Tolerances | None = None,
    *,
    screen: Screen | None = None,
    set_by: Sequence[Setting] | None = None,
    stage: str = "",
) -> Inspection:
    """Judge what was read on the bearings of a bridge.

    Readings of one seat within twelve hours are one visit; the latest is judged and the earlier
    ones show how it went. `designs`: the bearings, for their sizes and checks; `stage`: the last
    stage that has come, "" for all of them; `screen`, `set_by`: envelopes and settings of this
    bridge and family, where they are made already.

    Raises `InputError` for no readings, for those of a seat or support that is not there and for an
    unknown stage, one fault each; and what `settings` raises.
    """
    allowed = tolerances or usual("inspection")
    with threadpool_limits(limits=1, user_api="blas"):
        screen = screen or Screen(prepared, family)
        found = tuple(set_by) if set_by is not None else settings(
            prepared, family, screen, designs
        )  # fmt: skip
        _refuse(prepared, found, readings, stage)
        work = _Work(prepared, family, screen, found, allowed, designs, stage)
        return work.inspection(readings)


def _refuse(
    prepared: Prepared, found: Sequence[Setting], readings: Sequence[Reading], stage: str
) -> None:
    seats = [item.seat for item in found]
    supports = list(prepared.structure.supports)
    faults = []
    if not readings:
        faults.append(Fault("readings", "readings", "none", "one reading at least"))
    for item in readings:
        if item.seat not in seats and item.seat not in supports:
            marks = ", ".join((*seats, *supports))
            faults.append(Fault(item.file, f"row {item.row}, seat", repr(item.seat[:60]), marks))
        elif item.value is not None and not math.isfinite(item.value):
            what = f"row {item.row}, {item.quantity}"
            faults.append(Fault(item.file, what, str(item.value), "a number"))
        elif item.temperature is not None and not math.isfinite(item.temperature):
            what = f"row {item.row}, temperature"
            faults.append(Fault(item.file, what, str(item.temperature), "a number, degC"))
    names = [item.name for item in found[0].stages] if found else []
    if stage and stage not in names:
        faults.append(Fault("command line", "--stage", repr(stage[:60]), ", ".join(names)))
    if faults:
        raise InputError(faults)


class _Work:
    """All that the seats of one inspection share."""

    def __init__(
        self,
        prepared: Prepared,
        family: FamilyName,
        screen: Screen,
        found: Sequence[Setting],
        allowed: Tolerances,
        designs: Sequence[SeatDesign],
        stage: str,
    ) -> None:
        self.prepared, self.family, self.screen = prepared, family, screen
        self.settings = {item.seat: item for item in found}
        self.allowed, self.stage = allowed, stage
        self.designs = {item.seat: item for item in designs}
        bridge = prepared.bridge
        self.look = screen.look(set_at(bridge, found[0].temperatures.setting))
        self.basis = basis_of(bridge, family, Values(family, own_values(bridge, family)))

    def inspection(self, readings: Sequence[Reading]) -> Inspection:
        """The whole."""
        by_place = visits(readings)
        own = {
            mark: self.visit(setting, by_place[mark])
            for mark, setting in self.settings.items()
            if mark in by_place
        }
        judged = {mark: verdicts(visit) for mark, visit in own.items()}
        joints: dict[str, tuple[Verdict, ...]] = {
            place: joint_verdicts(
                place, groups[-1], self.settings, lambda setting: self.visit(setting, ({},))
            )
            for place, groups in by_place.items()
            if place not in self.settings
        }
        out = sum(any(v.state == "out" for v in found) for found in judged.values())
        extent = ratings.extent_of(out, len(judged))
        seats = tuple(
            self.seat(visit, judged[mark], own, joints, extent) for mark, visit in own.items()
        )
        return Inspection(
            name=self.family,
            arrangement=self.prepared.bridge.arrangement.name,
            stage=self.stage,
            seats=seats,
            joints=tuple(item for found in joints.values() for item in found),
            unread=tuple(mark for mark in self.settings if mark not in own),
            tolerances=self.allowed,
            designed=tuple(
                mark
                for mark in own
                if mark in self.designs and self.designs[mark].origin != "given"
            ),
        )

    def visit(self, setting: Setting, groups: Sequence[Mapping[tuple[str, str], Reading]]) -> Visit:
        """The latest visit to a seat with those before it."""
        design = self.designs.get(setting.seat)
        return Visit(
            setting=setting,
            readings=groups[-1],
            before=tuple(groups[:-1]),
            tolerances=self.allowed,
            name=self.family,
            stage=self.stage,
            design=None if design is None else design.choice.design,
            demand=None if design is None else design.demand,
            spacing=self._spacing(setting),
            reach=reach_of(self.look, setting),
        )

    def seat(
        self,
        visit: Visit,
        found: tuple[Verdict, ...],
        own: Mapping[str, Visit],
        joints: Mapping[str, tuple[Verdict, ...]],
        extent: str,
    ) -> SeatInspection:
        """One seat."""
        setting = visit.setting
        line = {
            mark: rest
            for mark, other in own.items()
            if other.setting.support == setting.support and mark != setting.seat
            if (rest := other.residual(ALONG)) is not None and not other.setting.held[ALONG]
        }
        evidence = Evidence(
            visit=visit,
            verdicts=found,
            left=travel_left(visit),
            capacity=self._capacity(visit, found),
            line=line,
            settings=tuple(self.settings.values()),
            curved=self._curved(),
            joints=tuple(v for v in joints.get(setting.support, ()) if v.state == "out"
                         and v.what == "joint gap"),
        )  # fmt: skip
        return SeatInspection(
            setting=setting,
            time=max(item.time for item in visit.readings.values()),
            temperature=visit.temperature,
            verdicts=found,
            left=evidence.left,
            capacity=evidence.capacity,
            effects=effects(self.screen, evidence),
            causes=causes(evidence),
            rating=ratings.rating(evidence, extent),
        )

    def _capacity(self, visit: Visit, found: Sequence[Verdict]) -> Capacity | None:
        """The checks with the sizes that are out of tolerance; what is within is as drawn."""
        if visit.design is None or visit.demand is None:
            return None
        sizes = {
            item.what.removeprefix(SIZE).strip(): item.found
            for item in found
            if item.state == "out" and item.found is not None
            if item.what in ("diameter", "contact") or item.what.startswith(SIZE)
        }
        return capacity(visit.design, visit.demand, self.basis, sizes)

    def _spacing(self, setting: Setting) -> float | None:
        """Distance (m) to the next bearing of the same support."""
        places = {item.mark: item for item in self.prepared.structure.seats}
        own = places[setting.seat].point
        apart = [
            math.dist(own[:2], other.point[:2])
            for mark, other in places.items()
            if other.support == setting.support and mark != setting.seat and mark in self.settings
        ]
        return min(apart, default=None)

    def _curved(self) -> bool:
        axis = self.prepared.structure.axis
        chainages = [support.chainage for support in self.prepared.bridge.support]
        angles = [float(axis.angle(chainage)) for chainage in chainages]
        return max(angles) - min(angles) > 1e-6
