"""Public data sheets of pots: two guided ones (1900 and 6400 kN), a 1000 kN fixed one, a catalogue.

The 1900 and 6400 kN sheets and the 1000 kN one follow IRC:83 Part III 2002; a further sheet of that
edition gives coefficients of the moment at di/he = 13.333. The catalogue pot (500 kip) is American.
"""

import math

import pytest

from bedstone.bearings.base import DemandCase
from bedstone.bearings.sliding_element import Thrust
from bedstone.standards import pot_pad
from bedstone.standards.aashto import pot as aashto
from bedstone.standards.irc import pot, sliding
from bedstone.standards.values import Values

SOURCE = "Data sheets of pots to IRC:83 Part III 2002 (1900 and 6400 kN guided, 1000 kN fixed)"
KNOWN = "read there"
CATALOGUE = "Catalogue of pots, 500 kip"
VALUES = Values("irc")


@pytest.mark.parametrize(
    ("ratio", "k1", "k2"),
    [
        pytest.param(500 / 36, 2.022, 82.244, id="1000 kN fixed pot"),
        pytest.param(40 / 3, 1.933, 72.867, id="sheet with di/he 13.333"),
    ],
)
def test_coefficients_of_the_restoring_moment(published, ratio, k1, k2):
    found = pot_pad.moment_coefficients(VALUES, ratio)
    for name, printed, ours in zip(("k1", "k2"), (k1, k2), found, strict=True):
        published(f"{name} at di/he {ratio:.3f}", printed, ours / 1e6, abs=0.0005)


@pytest.mark.parametrize(
    ("force", "diameter", "pressure"),
    [
        pytest.param(1900e3, 0.300, 26.88e6, id="1900 kN"),
        pytest.param(6400e3, 0.510, 31.33e6, id="6400 kN"),
    ],
)
def test_pressure_on_the_pad(published, force, diameter, pressure):
    line = pot.working_pressure(VALUES, force, diameter)
    # The sheets print force and diameter; the pressure is worked out of them.
    what, found = f"pressure on the pad, {force / 1e3:g} kN", line.value / 1e6
    published(what, pressure / 1e6, found, "MPa", known="derived", abs=0.005)
    published("pressure allowed on the pad", 35, line.limit.value / 1e6, "MPa", abs=0)
    assert line.utilisation < 1.0


# 57 kN = 0.03 x 1900 and 114 kN = 0.06 x 1900; which case each is was inferred, not read.
@pytest.mark.parametrize(
    ("lubricated", "force"),
    [pytest.param(True, 57e3, id="lubricated"), pytest.param(False, 114e3, id="not lubricated")],
)
def test_friction_of_the_1900_kN_pot(published, lubricated, force):
    pressure = 1900e3 / 6.12e-2  # net area printed
    assert pressure == pytest.approx(31.05e6, abs=0.005e6)
    mu = sliding.working_friction(VALUES, pressure, lubricated=lubricated).value
    what = f"friction of the 1900 kN pot, {'' if lubricated else 'not '}lubricated"
    published(what, force / 1e3, mu * 1900, "kN", rel=1e-9)


@pytest.mark.parametrize(
    ("Hx", "Hy", "resultant"),
    [
        pytest.param(57e3, 300e3, 305.37e3, id="normal"),
        pytest.param(114e3, 50e3, 124.48e3, id="other"),
    ],
)
def test_resultant_force(published, Hx, Hy, resultant):
    thrust = Thrust(DemandCase("SLS characteristic", "sheet", 1900e3), Hx, Hy)
    what = f"resultant of {Hx / 1e3:g} and {Hy / 1e3:g} kN"
    published(what, resultant / 1e3, thrust.H / 1e3, "kN", abs=5e-3)


def test_pressure_of_the_catalogue_pot(published):
    # 500 kip on 13.50 in: 3.493 ksi against 3.5 ksi.
    kip, inch = 4448.2216152605, 0.0254
    line = aashto.pad_stress(Values("aashto"), 500 * kip, 13.5 * inch)
    ksi = kip / inch**2
    how = {"source": CATALOGUE, "known": "derived"}
    published("pressure, 13.50 in", 3.493, line.value / ksi, "ksi", **how, abs=5e-4)
    how = {"source": CATALOGUE, "known": "read there"}
    published("pressure allowed", 3.5, line.limit.value / ksi, "ksi", **how, rel=1e-9)
    assert line.utilisation < 1.0


def test_area_of_the_catalogue_pot_in_capacity():
    kip, inch = 4448.2216152605, 0.0254
    capacity = aashto.capacity(Values("aashto"), 13.5 * inch)
    assert capacity / kip == pytest.approx(3.5 * math.pi / 4 * 13.5**2, rel=1e-9)
