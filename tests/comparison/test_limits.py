"""Limits as an engineer writes them."""

from pathlib import Path

import numpy as np
import pytest

from bedstone.bridge import read_bridge
from bedstone.comparison.limits import Limit, parse_limits
from bedstone.errors import InputError

EXAMPLES = Path(__file__).parents[2] / "examples"
BRIDGE = read_bridge(EXAMPLES / "girders.toml")


@pytest.mark.parametrize(
    ("text", "place", "effect", "sense", "value"),
    [
        ("A1.Hx < 800 kN", "A1", "Fx", "<", 800e3),
        ("A1.Hy<=0.8MN", "A1", "Fy", "<", 800e3),
        ("P1-3.N > 0 kN", "P1-3", "N", ">", 0.0),
        ("P1.V >= -20 kN", "P1", "V", ">", -20e3),
        ("A1-1.vx < 60 mm", "A1-1", "vx", "<", 0.06),
        ("|A1.Fy| <= 300 kN", "A1", "Fy", "<", 300e3),
        (" P1.Mx <  12 MN*m ", "P1", "Mx", "<", 12e6),
        ("A2-5.ry < 10 mrad", "A2-5", "ry", "<", 0.01),
        ("A1-3.Hx < 50 kN", "A1-3", "Hx", "<", 50e3),
    ],
)
def test_reads(text: str, place: str, effect: str, sense: str, value: float) -> None:
    (limit,) = parse_limits([text], BRIDGE)
    assert (limit.place, limit.effect, limit.sense) == (place, effect, sense)
    assert limit.value == pytest.approx(value)
    assert limit.text == text.strip()


@pytest.mark.parametrize(
    ("text", "allowed"),
    [
        ("A3.Hx < 800 kN", "the mark of a support or a seat: A1, P1, P2, A2, A1-1"),
        ("A1-6.N > 0 kN", "did you mean 'A1-5'?"),
        ("A1.H < 800 kN", "an effect at the support A1: V, Fx, Fy, Mx, My or Mz"),
        ("A1.vx < 60 mm", "an effect at the support A1"),
        ("A1-1.Fx < 60 kN", "an effect at the seat A1-1: N, Hx, Hy,"),
        ("A1.Hx < 800 mm", "Hx as a force with unit"),
        ("A1-1.vx < 60", "the unit is missing"),
        ("A1-1.vx < -60 mm", "not less than 0"),
        ("A1.Hx > 800 kN", "< for Hx; > asks for a least compression"),
        ("|A1-1.N| > 0 kN", "< for N"),
        ("|A1.Hx < 800 kN", "such as 'A1.Hx < 800 kN'"),
        ("A1.Hx", "such as"),
        ("", "such as"),
        ("A1.Hx < 800 kN < 900 kN", "Hx as a force with unit"),
        ("A1.Hx < " + "9" * 200, "such as"),
    ],
)
def test_a_fault_says_what_would_do(text: str, allowed: str) -> None:
    with pytest.raises(InputError) as caught:
        parse_limits(["A1.Hx < 1 kN", text], BRIDGE)
    (fault,) = caught.value.faults
    assert fault.where == "compare.limits[2]"
    assert allowed in fault.allowed
    assert "\n" not in str(fault)


def test_every_fault_is_told() -> None:
    with pytest.raises(InputError) as caught:
        parse_limits(["x", "A1.Hx < 1 kN", "y"], BRIDGE, field="limit")
    assert [fault.where for fault in caught.value.faults] == ["limit[1]", "limit[3]"]


def test_size_whatever_the_sign_and_least_compression() -> None:
    top, low = np.array([500.0, -100.0, 900.0]), np.array([-900.0, -200.0, 100.0])
    size = Limit("A1", "Fx", "<", 800.0, "")
    assert size.measure(top, low).tolist() == [900.0, 200.0, 900.0]
    assert size.kept(top, low).tolist() == [False, True, False]
    least = Limit("A1-1", "N", ">", 0.0, "")
    assert least.measure(top, low).tolist() == low.tolist()
    assert least.kept(top, low).tolist() == [False, False, True]


@pytest.mark.parametrize("name", ["girders", "truss", "railway", "curved"])
def test_limits_of_the_examples_read(name: str) -> None:
    bridge = read_bridge(EXAMPLES / f"{name}.toml")
    assert parse_limits(bridge.compare.limits, bridge)
    assert bridge.uncertainty is not None
    assert parse_limits(bridge.uncertainty.limits, bridge, field="uncertainty.limits")
