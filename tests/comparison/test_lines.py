"""Lines of bearings: their friction, what is below them, and which bearings count as holding.

Elementary statics, friction and a cantilever; common practice, no source.
"""

import math

import numpy as np
import pytest

from bedstone.articulation.arrangement import arrange
from bedstone.articulation.prepared import prepare
from bedstone.bridge.schema import Bridge
from bedstone.bridge.seats import arrangement_functions
from bedstone.comparison.lines import bearing_lines, below_along

GIRDER = {
    "kind": "given", "A": "0.1 m2", "Iy": "0.05 m4", "Iz": "0.02 m4", "J": "0.01 m4",
    "depth": "1.5 m", "centroid": "0.75 m",
}  # fmt: skip
#: Stiff against bending across, soft along, in axes that turn with the skew.
WALL = {
    "kind": "column", "height": "10 m", "E": "30 GPa", "along": "1 m", "across": "3 m",
}  # fmt: skip


def two_girders(first, second, **far):
    """30 m on S1 and S2; functions from right to left; `far`: fields of the support S2."""
    bridge = Bridge.model_validate(
        {
            "bridge": {"name": "case"},
            "support": [
                {"mark": "S1", "chainage": "0 m"}, {"mark": "S2", "chainage": "30 m", **far},
            ],
            "superstructure": {
                "kind": "girders", "type": "steel", "number": 2, "spacing": "3 m",
                "sections": {"g": GIRDER},
                "segments": [{"start": "0 m", "end": "30 m", "section": "g"}],
                "diaphragms": {"section": "g", "spacing": "15 m"},
            },
            "arrangement": {
                "seats": {
                    f"{mark}-{number}": {"function": function}
                    if isinstance(function, str)
                    else function
                    for mark, functions in (("S1", first), ("S2", second))
                    for number, function in enumerate(functions, start=1)
                }
            },
        }
    )  # fmt: skip
    prepared = prepare(bridge)
    functions = arrangement_functions(bridge, None)
    return prepared, arrange(prepared.structure, list(bridge.support), functions)


def test_friction_of_a_moving_line_is_adverse_first():
    # 0.05 x 1 MN + 0.04 x 2 MN = 130 kN adverse, 0.03 x 1 MN + 0.01 x 2 MN = 50 kN relieving
    prepared, arranged = two_girders(("fixed", "guided across"), ("guided along", "free"))
    permanent = np.array([0.5e6, 0.5e6, 1e6, 2e6])
    friction = np.array([[0.0, 0.0], [0.05, 0.03], [0.05, 0.03], [0.04, 0.01]])
    fixed, moving = bearing_lines(prepared, arranged, permanent, friction)
    assert (moving.holds, moving.seats) == ("moving", (2, 3))
    assert moving.friction == pytest.approx((130e3, 50e3))
    assert moving.coefficients == pytest.approx((130 / 3000, 50 / 3000))
    assert moving.parts == pytest.approx((50 / 130, 80 / 130))
    # a line that is held does not rub along
    assert (fixed.holds, fixed.friction) == ("fixed", (0.0, 0.0))


@pytest.mark.parametrize("degrees", [0.0, 30.0, -30.0])
def test_a_skewed_wall_gives_way_square_to_its_line(degrees):
    """A force along has a part square to the wall and one in it, each bends a cantilever.

    3 E I / h3: 22.5 MN/m square to the wall (I = 3 x 1 / 12) and 202.5 MN/m in it (I = 27 / 12);
    the movement along is F (cos2 / 22.5 + sin2 / 202.5): 28.93 MN/m for a skew of 30 deg.
    """
    prepared, _ = two_girders(
        ("fixed", "guided across"), ("guided along", "free"), skew=f"{degrees} deg", below=WALL
    )
    cosine, sine = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    by_hand = 1e6 / (cosine**2 / 22.5 + sine**2 / 202.5)
    assert below_along(prepared, prepared.bridge.support[1]) == pytest.approx(by_hand, rel=1e-6)


def test_a_bearing_that_holds_aslant_on_a_fixed_line_has_no_known_part():
    # free along 30 deg to the axis: it holds at 60 deg to it, beside a fixed bearing
    aslant = {"function": "guided along", "direction": "30 deg"}
    prepared, arranged = two_girders(("fixed", aslant), ("guided along", aslant))
    fixed, partly = bearing_lines(prepared, arranged, np.full(4, 1e6), np.zeros((4, 2)))
    assert (fixed.holds, fixed.holding, fixed.aslant) == ("fixed", (0,), (1,))
    assert fixed.parts == (1.0, 0.0)
    # alone it makes a line of its own kind, on which no rule speaks at all
    assert (partly.holds, partly.holding, partly.aslant) == ("partly", (3,), ())
