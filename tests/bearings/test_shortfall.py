"""The words for a check that nothing can carry."""

import math

import pytest

from bedstone.bearings.base import Demand, DemandCase
from bedstone.bearings.shortfall import nothing_carries
from bedstone.standards.record import Line, Quantity

CASE = DemandCase(
    "SLS characteristic", "Hy max, gr2", N=209e3, Hx=300e3, Hy=400e3, rx=3e-3, ry=4e-3
)
DEMAND = Demand("A1-3", "guided along", (False, True), (CASE,), 400e3)


def line(title="Contact of the sliding sheet", part="sliding sheet", used=math.inf, **more):
    return Line(
        title, "EN 1337-2", "2004", "6.8.3", "N / A <= f", (), Quantity("p", 1.0, "Pa"), "memory",
        utilisation=used, part=part, case=CASE.name, **more,
    )  # fmt: skip


def test_a_check_that_holds_or_nearly_holds_says_nothing():
    assert nothing_carries(line(used=1.3), DEMAND) is None
    assert nothing_carries(line(used=None), DEMAND) is None


@pytest.mark.parametrize(
    ("given", "begins"),
    [
        (line(), "the resultant leaves the sheet"),
        (line(part="base plate"), "the resultant leaves the base plate"),
        (line(title="No fixing across"), "nothing holds the force (no fixing across)"),
    ],
)
def test_the_forces_of_the_case_are_told(given, begins):
    told = nothing_carries(given, DEMAND)
    assert told is not None
    assert told.startswith(begins)
    # 3-4-5: 500 kN of 300 and 400, 5 mrad of 3 and 4
    assert told.endswith("N 209 kN with H 500 kN and a rotation of 5.0 mrad in Hy max, gr2")
