"""The truss of the examples with its settings and bearings, and readings on it."""

import datetime as dt
from dataclasses import dataclass
from pathlib import Path

import pytest

from bedstone.articulation.prepared import Prepared, prepare
from bedstone.bridge import read_bridge
from bedstone.cli.paper import designed
from bedstone.comparison.screen import Screen
from bedstone.schedule.designs import SeatDesign
from bedstone.site.inspection import inspect
from bedstone.site.inspection.cause_rules import Evidence
from bedstone.site.inspection.result import Inspection, SeatInspection, Verdict
from bedstone.site.inspection.travel import reach_of, travel_left
from bedstone.site.inspection.verdicts import verdicts
from bedstone.site.inspection.visit import Visit, visits
from bedstone.site.readings import Reading
from bedstone.site.setting import Setting, settings
from bedstone.site.tolerances import Tolerances, usual

TRUSS = Path(__file__).parents[3] / "examples" / "truss.toml"


def reading(seat, what, value, steel=24.0, day="2026-06-17"):
    """One reading. `what`: "roller offset/left"; `value`: SI, or a word."""
    quantity, _, place = what.partition("/")
    word = value if isinstance(value, str) else ""
    time = dt.datetime.fromisoformat(day).replace(hour=9, tzinfo=dt.UTC)
    number = None if word else float(value)
    return Reading(seat, quantity, place, number, word, time, steel, "", "", "form", 1)


@dataclass(repr=False)
class Judge:
    """A bridge whose readings are judged."""

    prepared: Prepared
    screen: Screen
    designs: tuple[SeatDesign, ...]
    settings: tuple[Setting, ...]

    def __call__(
        self, *readings: Reading, tolerances: Tolerances | None = None, stage: str = ""
    ) -> Inspection:
        return inspect(
            self.prepared, "eurocode", readings, self.designs, tolerances,
            screen=self.screen, set_by=self.settings, stage=stage,
        )  # fmt: skip

    def seat(self, mark: str, what: dict, steel: float | None = 24.0, **how) -> SeatInspection:
        """What is found on one seat with these readings by quantity and place."""
        read = [reading(mark, key, value, steel) for key, value in what.items()]
        return next(item for item in self(*read, **how).seats if item.seat == mark)

    def setting(self, mark: str) -> Setting:
        """The setting of one seat."""
        return next(item for item in self.settings if item.seat == mark)

    def visit(self, mark: str, *readings: Reading, **more) -> Visit:
        """The visit to one seat, made by hand."""
        groups = visits(readings).get(mark, ({},))
        own = next(item for item in self.designs if item.seat == mark)
        setting = more.get("setting", self.setting(mark))
        made = {
            "design": own.choice.design, "demand": own.demand,
            "reach": reach_of(self.screen.look(), setting),
        } | more  # fmt: skip
        return Visit(
            made.pop("setting", setting),
            groups[-1], tuple(groups[:-1]), usual("inspection"), "eurocode", **made,
        )  # fmt: skip

    def evidence(self, visit: Visit, *more: Verdict, **how) -> Evidence:
        """What the rules of causes look at, with verdicts more than those of the visit."""
        found = (*verdicts(visit), *more)
        usual_ones = {
            "left": travel_left(visit), "line": {}, "settings": self.settings, "curved": False,
            "capacity": None,
        }  # fmt: skip
        return Evidence(visit=visit, verdicts=found, **(usual_ones | how))


@pytest.fixture(scope="session")
def truss():
    """The truss of the examples; A2-1 rolls (three rollers of 160 mm), A1-2 and A2-2 slide."""
    bridge = read_bridge(TRUSS)
    _, designs = designed(bridge, TRUSS.parent, None)
    prepared = prepare(bridge)
    screen = Screen(prepared, "eurocode")
    return Judge(prepared, screen, designs, settings(prepared, "eurocode", screen, designs))


@pytest.fixture(scope="session")
def read():
    """Make a reading: read(seat, "roller offset/left", 0.004, steel, day)."""
    return reading
