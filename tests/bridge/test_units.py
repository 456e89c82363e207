import math
import subprocess
import sys

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bedstone.bridge.units import UnitError, format_quantity, quantity, unit_factor

# Exact by definition: the international foot and pound (NIST SP 811, appendix B), standard gravity
# 9.806 65 m/s2 (BIPM, 3rd CGPM 1901), degree = pi/180 rad (BIPM SI brochure, table 8).
POUND_FORCE = 0.45359237 * 9.80665
FOOT = 0.3048


@pytest.mark.parametrize(
    ("unit", "text", "expected"),
    [
        ("m", "48 m", 48.0),
        ("m", "48m", 48.0),
        ("m", " 1.2e3 mm ", 1.2),
        ("m", "10 ft", 10 * FOOT),
        ("m", "7.5 in", 7.5 * FOOT / 12),
        ("m", "−3 mm", -0.003),
        ("m**2", "3 m²", 3.0),
        ("m**4", "4.5e9 mm4", 4.5e-3),
        ("m**4", "2 m^4", 2.0),
        ("m**4", "2 m**4", 2.0),
        ("Pa", "210 GPa", 210e9),
        ("Pa", "2.5 kN/m2", 2500.0),
        ("Pa", "2.5 kN/m^2", 2500.0),
        ("Pa", "12 N/mm2", 12e6),
        ("Pa", "36 ksi", 36e3 * POUND_FORCE / (FOOT / 12) ** 2),
        ("N", "2 kip", 2e3 * POUND_FORCE),
        ("N/m", "0.64 klf", 640 * POUND_FORCE / FOOT),
        ("N/m**3", "150 pcf", 150 * POUND_FORCE / FOOT**3),
        ("rad", "15 deg", math.radians(15)),
        ("rad", "15°", math.radians(15)),
        ("rad", "2 mrad", 0.002),
        ("N*m/rad", "3 kNm/rad", 3000.0),
        ("N*m/rad", "3 kN m/rad", 3000.0),
        ("N*m/rad", "3 kN·m/rad", 3000.0),
        ("N*m/rad", "3 kN*m*rad^-1", 3000.0),
        ("m/s", "90 km/h", 25.0),
        ("degC", "12 degC", 12.0),
        ("degC", "-12 °C", -12.0),
        ("degC", "50 degF", 10.0),
        ("K", "15 K", 15.0),
        ("K", "15 delta_degC", 15.0),
        ("1/K", "1.2e-5 1/K", 1.2e-5),
        ("1/K", "1.2e-5 /K", 1.2e-5),
        ("1/K", "1.2e-5 1/°C", 1.2e-5),
        ("", "-300e-6", -3e-4),
        ("", "0.03 %", 3e-4),
        ("", -3e-4, -3e-4),
    ],
)
def test_text_becomes_si(unit: str, text: object, expected: float) -> None:
    assert quantity(unit).value(text) == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize(
    ("unit", "found", "told"),
    [
        ("m", 48, "write the unit"),
        ("m", "48", "unit is missing"),
        ("m", "48 kg", "'kg' is no unit of this kind"),
        ("m", "48 m2", "no unit of this kind"),
        ("m", "4,8 m", "decimal point"),
        ("m", "1,000 m", "decimal point"),
        ("m", "nan m", "decimal point"),
        ("m", "inf m", "decimal point"),
        ("m", "1e999 m", "finite"),
        ("m", "48 parsec_s", "unknown unit"),
        ("m", "48 {m}", "unknown unit"),
        ("m", "4 m 8 m", "unknown unit"),
        ("m", "4 m**99", "unknown unit"),
        ("m", "4 m//m", "unknown unit"),
        ("m", "4 __import__('os')", "unknown unit"),
        ("m", "9" * 80 + " m", "decimal point"),
        ("m", "", "decimal point"),
        ("m", True, "length with unit"),
        ("m", ["48 m"], "length with unit"),
        ("m", None, "length with unit"),
        ("rad", "15", "unit is missing"),
        ("rad", "0.1 m/m", "no unit of this kind"),  # a slope is no angle
        ("N*m/rad", "3 kN*m", "no unit of this kind"),  # nor a moment a rotational stiffness
        ("N*m", "3 J/s", "no unit of this kind"),
        ("degC", "285 K", "in degC or degF"),
        ("degC", "-300 degC", "temperature"),
        ("K", "15 degC", "a difference is written in K"),
        ("N", "3 t", "no unit of this kind"),  # a mass is no force
        ("", "3 m", "no unit of this kind"),
        ("", math.nan, "finite"),
        ("", 10**400, "finite"),
    ],
)
def test_anything_else_is_refused_and_says_why(unit: str, found: object, told: str) -> None:
    with pytest.raises(UnitError) as caught:
        quantity(unit).value(found)
    assert told in str(caught.value)


@pytest.mark.parametrize(
    ("bounds", "good", "bad"),
    [
        ({"minimum": 0.0}, "0 m", "-1 mm"),
        ({"above": 0.0}, "1 mm", "0 m"),
        ({"maximum": 2.0}, "2000 mm", "2001 mm"),
    ],
)
def test_bounds_hold_in_si(bounds: dict[str, float], good: str, bad: str) -> None:
    wanted = quantity("m", **bounds)
    wanted.value(good)
    with pytest.raises(UnitError):
        wanted.value(bad)


UNITS = [("m", "mm"), ("Pa", "MPa"), ("N", "kN"), ("rad", "mrad"), ("degC", None), ("N*m", "kN*m")]


@given(
    value=st.floats(-1e6, 1e6).filter(lambda value: value == 0 or abs(value) > 1e-9),
    unit=st.sampled_from(UNITS),
)
def test_what_is_written_reads_back(value: float, unit: tuple[str, str | None]) -> None:
    if unit[0] == "degC":
        value = abs(value)
    text = format_quantity(value, unit[0], unit[1], digits=17)
    assert quantity(unit[0]).value(text) == pytest.approx(value, rel=1e-12)


def test_written_for_people() -> None:
    assert format_quantity(0.0123, "m") == "12.3 mm"
    assert format_quantity(48.0, "m", "m") == "48 m"
    assert format_quantity(1.234e6, "N", digits=4) == "1234 kN"
    assert format_quantity(21.0, "degC") == "21 degC"
    with pytest.raises(UnitError):
        format_quantity(1.0, "m", "kN")


@given(st.text(max_size=80))
def test_no_text_but_units_gets_through(text: str) -> None:
    try:
        factor, _ = unit_factor(text)
    except UnitError:
        return
    assert math.isfinite(factor)
    assert factor > 0.0


def test_units_library_waits_for_the_first_quantity() -> None:
    code = "import sys, bedstone.bridge.schema; sys.exit('pint' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
