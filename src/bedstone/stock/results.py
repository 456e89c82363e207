"""What is worked out of one bridge, as rows: the verbs of one bridge, one after the other.

A part that cannot be worked out is a remark; the parts after it go on.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from threadpoolctl import threadpool_limits

from bedstone.actions.effects import SEAT_EFFECTS
from bedstone.articulation.prepared import Prepared, prepare
from bedstone.bridge import read_bridge
from bedstone.bridge.schema import Bridge, FamilyName, Reactions
from bedstone.bridge.tables import read_tables
from bedstone.comparison.faults import WhatIf, what_if
from bedstone.comparison.faults_list import faults_of
from bedstone.comparison.screen import Screen
from bedstone.errors import CheckError, InputError, UnstableError
from bedstone.schedule.context import family_name
from bedstone.schedule.designs import SeatDesign, design_seat, seats_of
from bedstone.schedule.make import make_schedule, schedule_of
from bedstone.schedule.result import Governing, Schedule
from bedstone.site.setting import settings
from bedstone.stock.tables import SI, Cell, Row, Rows, gathered
from bedstone.stock.task import Options, Part, remarks

#: Single faults that are worked out in full, so that the first in the ranking is not screened only.
IN_FULL = 1
#: A limit state that asks about uplift alone: its other effects are no design effects.
_UPLIFT_ALONE = "ULS equilibrium"
_BELOW = ("V", "Fx", "Fy")

_Found = Mapping[str, Cell]


def results(file: Path, path: str, options: Options) -> Rows:
    """The rows of a bridge file by table; `path`: what the bridge is called in its stock.

    Faults of the file, free motions and results that fail their own check are remarks.
    """
    with threadpool_limits(limits=1, user_api="blas"):
        work = _Work(file, path, options)
        work.run()
        return {name: rows for name, rows in work.rows.items() if rows}


@dataclass
class _Work:
    """One bridge while it is worked out: what the parts hand to each other, and the rows so far."""

    file: Path
    path: str
    options: Options
    rows: dict[str, tuple[Row, ...]] = field(default_factory=dict)
    head: dict[str, Cell] = field(default_factory=dict)
    travel_left: dict[str, float] = field(default_factory=dict)

    def run(self) -> None:
        """Every part asked for; what is known of the bridge is written last."""
        self.head = {"bridge": self.path, "state": "done"}
        self._parts()
        self.rows["bridges"] = gathered("bridges", [self.head])

    def _parts(self) -> None:
        with _Told(self, "file") as told:
            bridge = read_bridge(self.file)
            name = family_name(self.options.standard or bridge.bridge.standard)
            self._name(bridge, name)
        if told.failed:
            return
        prepared: Prepared | None = None
        with _Told(self, "schedule") as told:
            if isinstance(bridge.superstructure, Reactions):
                schedule = make_schedule(bridge, self.file.parent, name)
            else:
                prepared = prepare(bridge, read_tables(bridge, self.file.parent))
                schedule = schedule_of(prepared, name)
        if told.failed:
            return
        wanted = self.options.parts
        designs: tuple[SeatDesign, ...] = ()
        if "size" in wanted:
            with _Told(self, "size", decides=False):
                designs = self._bearings(bridge, schedule)
        if prepared is not None:
            screen: list[Screen] = []

            def screened() -> Screen:
                screen.extend(() if screen else (Screen(prepared, name),))
                return screen[0]

            if "setting" in wanted:
                with _Told(self, "setting", decides=False):
                    self._travel(prepared, name, screened(), designs)
            if "what-if" in wanted:
                with _Told(self, "what-if", decides=False):
                    own = screened()
                    self._single_faults(what_if(own, faults_of(own), full=IN_FULL))
        elif {"setting", "what-if"} & set(wanted):
            for part in ("setting", "what-if"):
                if part in wanted:
                    self.remark(part, "note", "reactions are given: there is no model to try")
        self._schedule(schedule)

    def remark(self, part: Part | str, what: str, text: str) -> None:
        """A sentence about a part that could not be worked out."""
        number = len(self.rows.get("remarks", ())) + 1
        told: _Found = {
            "bridge": self.path, "number": number, "part": part, "what": what, "text": text,
        }  # fmt: skip
        self.rows["remarks"] = (*self.rows.get("remarks", ()), *gathered("remarks", [told]))

    def _name(self, bridge: Bridge, name: FamilyName) -> None:
        chainages = [support.chainage for support in bridge.support]
        self.head |= {
            "name": bridge.bridge.name,
            "reference": bridge.bridge.reference,
            "standard": name,
            "use": bridge.bridge.use,
            "superstructure": bridge.superstructure.kind,
            "arrangement": bridge.arrangement.name,
            "length_m": chainages[-1] - chainages[0],
            "radius_m": bridge.alignment.radius,
            "supports": len(chainages),
        }

    # -------------------------------------------------------------- schedule
    def _schedule(self, schedule: Schedule) -> None:
        self.head |= {
            "set_at": schedule.set_at,
            "seats": len(schedule.seats),
            "redundancy": schedule.redundancy,
        }
        tops = _extremes(schedule.seat_lines)
        self.rows["seats"] = gathered("seats", self._seats(schedule, tops))
        below = _extremes(schedule.support_lines)
        self.rows["supports"] = gathered(
            "supports",
            (
                {
                    "bridge": self.path,
                    "support": item.mark,
                    "below": item.below,
                    "chainage_m": item.chainage,
                    "skew_rad": item.skew,
                    **{
                        f"{effect}_{sense}_N": below.get((item.mark, effect, sense))
                        for effect in _BELOW
                        for sense in ("max", "min")
                    },
                }
                for item in schedule.supports
            ),
        )
        lines = (*schedule.seat_lines, *schedule.support_lines)
        self.rows["effects"] = gathered(
            "effects",
            (
                {
                    "bridge": self.path,
                    "limit_state": line.limit_state,
                    "place": line.place,
                    "effect": line.effect,
                    "sense": line.sense,
                    "combination": line.combination,
                    "unit": SI[line.effect],
                    "value": line.value,
                }
                for line in lines
            ),
        )

    def _seats(
        self, schedule: Schedule, tops: Mapping[tuple[str, str, str], float]
    ) -> Iterator[_Found]:
        for seat in schedule.seats:
            if seat.function == "none":
                continue
            permanent = schedule.permanent_seats[seat.mark][SEAT_EFFECTS.index("N")]
            lifts = [item for item in schedule.uplift if item.seat == seat.mark]
            hold_down = max((item.hold_down for item in lifts), default=0.0)
            least = tops.get((seat.mark, "N", "min"))
            margin = None
            if least is not None and permanent > 0.0:
                # a bearing that opened carries nothing: what would hold it down is missing
                margin = (min(least, -hold_down) if lifts else least) / permanent
            yield {
                "bridge": self.path,
                "seat": seat.mark,
                "support": seat.support,
                "function": seat.function,
                "kind": seat.kind,
                "N_permanent_N": permanent,
                **{
                    f"{effect}_{sense}_{SI[effect]}": tops.get((seat.mark, effect, sense))
                    for effect in ("N", "Hx", "Hy", "vx", "vy", "rx", "ry")
                    for sense in ("max", "min")
                },
                "hold_down_N": hold_down,
                "uplift_margin": margin,
                "travel_left_m": self.travel_left.get(seat.mark),
                "held_down": all(item.held for item in lifts) if lifts else None,
            }

    # -------------------------------------------------------------- bearings
    def _bearings(self, bridge: Bridge, schedule: Schedule) -> tuple[SeatDesign, ...]:
        seats = seats_of(bridge, self.file.parent)
        designs = tuple(design_seat(schedule, bridge, seats, mark) for mark in seats.marks)
        self.rows["bearings"] = gathered("bearings", map(self._bearing, designs))
        return designs

    def _bearing(self, found: SeatDesign) -> _Found:
        choice = found.choice
        told: dict[str, Cell] = {
            "bridge": self.path,
            "seat": found.seat,
            "kind": choice.kind,
            "origin": found.origin,
        }
        if choice.design is None:
            reason = choice.refusal.reason if choice.refusal is not None else ""
            return told | {"verdict": "none serves", "reason": reason}
        design, line = choice.design, choice.governing
        told |= {
            "verdict": "passes" if choice.passes else "does not pass",
            "mass_kg": design.mass,
            "height_m": design.height,
            "left_m": design.left,
        }
        if line is not None:
            told |= {
                "check_title": line.title,
                "part": line.part,
                "clause": f"{line.standard}, {line.clause}",
                "case_name": line.case,
                "utilisation": line.utilisation,
            }
        return told

    # -------------------------------------------------------------- travel
    def _travel(
        self, prepared: Prepared, name: FamilyName, screen: Screen, designs: Sequence[SeatDesign]
    ) -> None:
        """Travel left when the bearings stand as the file set them.

        Only ends that are there count: of bearings that the file gives, and its stops. Ends of a
        bearing that was just designed say nothing about the bridge.
        """
        given = [item for item in designs if item.origin == "given"]
        for found in settings(prepared, name, screen, given):
            left = found.row(found.temperatures.setting).left
            if left is not None and math.isfinite(left):
                self.travel_left[found.seat] = left

    # -------------------------------------------------------------- single faults
    def _single_faults(self, found: WhatIf) -> None:
        rows: list[_Found] = []
        for outcome, items in (("moves freely", found.unstable), ("refused", found.refused)):
            rows += [
                {
                    "bridge": self.path,
                    "fault": fault.name,
                    "kind": fault.kind,
                    "place": fault.place,
                    "outcome": outcome,
                    "motion": text,
                }
                for fault, text in items
            ]
        supports = found.intact.layout.supports
        for rank, item in enumerate(found.results, start=1):
            worst = item.worst
            most = max(supports, key=lambda mark: abs(item.extremes.largest(mark, "Fx")))
            rows.append(
                {
                    "bridge": self.path,
                    "rank": rank,
                    "fault": item.fault.name,
                    "kind": item.fault.kind,
                    "place": item.fault.place,
                    "outcome": "harm",
                    "harm": item.harm,
                    "what": item.kind,
                    "worst_place": worst.place,
                    "effect": worst.effect,
                    "sense": worst.sense,
                    "unit": SI[worst.effect],
                    "before": worst.before,
                    "after": worst.after,
                    "limit_state": worst.limit_state,
                    "combination": worst.combination,
                    "lifts": " ".join(item.lifts),
                    "support": most,
                    "Fx_before_N": found.intact.largest(most, "Fx"),
                    "Fx_after_N": item.extremes.largest(most, "Fx"),
                    "in_full": item.in_full,
                }
            )
        self.rows["single_faults"] = gathered("single_faults", rows)


def _extremes(lines: Sequence[Governing]) -> dict[tuple[str, str, str], float]:
    """(place, effect, sense) -> extreme over the limit states."""
    found: dict[tuple[str, str, str], float] = {}
    for line in lines:
        key = (line.place, line.effect, line.sense)
        if line.limit_state == _UPLIFT_ALONE and key[1:] not in (("N", "min"), ("V", "min")):
            continue
        pick: Callable[[float, float], float] = max if line.sense == "max" else min
        found[key] = pick(found[key], line.value) if key in found else line.value
    return found


class _Told:
    """A part of the work: what it refuses becomes remarks and, where it `decides`, the state."""

    _STATES = ((InputError, "faulty"), (UnstableError, "unstable"), (CheckError, "check fails"))

    def __init__(self, work: _Work, part: str, *, decides: bool = True) -> None:
        self.work, self.part, self.decides = work, part, decides
        self.failed = False

    def __enter__(self) -> _Told:
        return self

    def __exit__(self, kind: object, error: BaseException | None, trace: object) -> bool:
        state = next((word for kind, word in self._STATES if isinstance(error, kind)), None)
        if error is None or state is None:
            return False
        self.failed = True
        if self.decides:
            self.work.head["state"] = state
        if isinstance(error, InputError):
            before = self.work.rows.get("remarks", ())
            told = remarks(self.work.path, self.part, error.faults)
            rows = gathered(
                "remarks", ({**item, "number": len(before) + i} for i, item in enumerate(told, 1))
            )
            self.work.rows["remarks"] = (*before, *rows)
        else:
            for text in dict.fromkeys(str(error).split("; ")):
                self.work.remark(self.part, state, text)
        return True
