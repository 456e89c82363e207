"""Line and point contact, and how far rollers give way, held by statics and by numbers.

Independent solution: a half plane loaded on strips (Flamant), contact found by non-negative least
squares of the gaps (scipy), so neither the half width nor the form of the pressure is assumed.
"""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.optimize import nnls

from bedstone.bearings import hertz
from bedstone.errors import BedstoneError

E, NU = 210e9, 0.3
MODULUS = hertz.contact_modulus(E, E, NU, NU)
loads = st.floats(1e4, 2e7)
radii = st.floats(0.03, 2.0)


@given(loads, radii)
def test_pressure_carries_the_load(load, radius):
    contact = hertz.line_contact(load, radius, MODULUS)
    total = quad(contact.pressure, -contact.half_width, contact.half_width)[0]
    assert total == pytest.approx(load, rel=1e-4)
    assert contact.mean * 2 * contact.half_width == pytest.approx(load, rel=1e-9)


def test_shear_below_the_surface():
    # Stress on the axis below the contact, Johnson (4.45): found by search, not by its formula.
    contact = hertz.line_contact(2e6, 0.1, MODULUS)
    a, p0 = contact.half_width, contact.peak
    z = np.linspace(0.01, 3.0, 200_001) * a
    root = np.sqrt(a**2 + z**2)
    sigma_x = -p0 / a * ((a**2 + 2 * z**2) / root - 2 * z)
    sigma_z = -p0 * a / root
    shear = np.abs(sigma_x - sigma_z) / 2.0
    assert contact.shear == pytest.approx(shear.max(), rel=1e-8)
    assert contact.depth == pytest.approx(z[shear.argmax()], rel=1e-4)


def test_point_contact_carries_the_load():
    contact = hertz.point_contact(3e6, 0.6, MODULUS)
    total = quad(lambda r: 2 * math.pi * r * contact.pressure(r), 0.0, contact.half_width)[0]
    assert total == pytest.approx(3e6, rel=1e-6)
    # Deformed spheres meet: p0 = 2 E* a/(pi R), Johnson (4.22).
    assert contact.peak == pytest.approx(2 * MODULUS * contact.half_width / (math.pi * 0.6))


def test_radii_of_pairs():
    assert hertz.relative_radius(0.1) == pytest.approx(0.1)
    assert hertz.relative_radius(0.1, 0.3) == pytest.approx(0.075)
    assert hertz.relative_radius(0.1, -0.3) == pytest.approx(0.15)
    with pytest.raises(BedstoneError, match="do not fit"):
        hertz.relative_radius(0.1, -0.1)


def flamant(x, half):
    """Surface displacement (times pi E/(2 (1 - nu^2))) at x from unit pressure on |xi| < half."""

    def part(u):
        return u * np.log(np.maximum(np.abs(u), 1e-300)) - u

    return -(part(x + half) - part(x - half))


@pytest.mark.parametrize(("load", "radius"), [(2e6, 0.1), (5.545e6, 0.17)])
def test_boundary_elements_find_the_same_contact(load, radius):
    exact = hertz.line_contact(load, radius, MODULUS)
    strips = 401
    half = 1.6 * exact.half_width / strips
    x = 2 * half * (np.arange(strips) - strips // 2)
    influence = 1.0 / (math.pi * MODULUS) * 2.0 * flamant(x[:, None] - x[None, :], half)
    # Both bodies move together by an unknown distance; pressures may not be negative. Minimise
    # p K p/2 + p gap with sum p fixed: its conditions by non-negative least squares on the factor.
    depth = 0.05  # any depth of reference: it shifts the approach alone
    compliance = influence + 2.0 / (math.pi * MODULUS) * 2 * half * math.log(depth)
    gap = x**2 / (2 * radius)
    approach = 0.0
    factor = np.linalg.cholesky(compliance + 1e-9 * np.trace(compliance) / strips * np.eye(strips))
    low, high = 0.0, 1e-3
    for _ in range(60):
        approach = (low + high) / 2.0
        pressure, _ = nnls(factor.T, np.linalg.solve(factor, approach - gap), maxiter=100_000)
        if pressure.sum() * 2 * half > load:
            high = approach
        else:
            low = approach
    touching = x[pressure > 0.02 * pressure.max()]
    assert pressure.max() == pytest.approx(exact.peak, rel=0.01)
    assert touching.max() == pytest.approx(exact.half_width, rel=0.02)
    expected = np.array([exact.pressure(value) for value in x])
    assert np.abs(pressure - expected).max() < 0.05 * exact.peak
    # Approach of a surface point towards a point at that depth of a half plane whose logarithm is
    # counted from there; Johnson (4.37): c P' (2 ln(2 d/a) + 1) with this reference.
    c = load / (math.pi * MODULUS)
    assert approach == pytest.approx(c * (2 * math.log(2 * depth / exact.half_width) + 1), rel=0.01)


def test_plate_gives_way_as_integrated():
    # Strain below a Hertz contact, plane strain, summed from the surface to the depth: the axis of
    # a half plane, stresses as above. Johnson (5.56) neglects (a/d)^2.
    load, radius, depth = 2e6, 0.1, 0.06
    contact = hertz.line_contact(load, radius, MODULUS)
    a, p0 = contact.half_width, contact.peak

    def strain(z):
        root = math.hypot(a, z)
        sigma_x = -p0 / a * ((a**2 + 2 * z**2) / root - 2 * z)
        sigma_z = -p0 * a / root
        return -((1 - NU**2) * sigma_z - NU * (1 + NU) * sigma_x) / E

    summed = quad(strain, 0.0, depth, points=[a, 10 * a], epsrel=1e-10)[0]
    with_plate = hertz.RollerBed(radius, (depth,), E, NU).approach(np.array(load))
    without = hertz.RollerBed(radius, (), E, NU).approach(np.array(load))
    assert with_plate - without == pytest.approx(summed, rel=2e-3)


def test_roller_gives_way_as_integrated():
    # A disc pressed at the ends of a diameter by two Hertz contacts: strain along the diameter from
    # the sum of two half-plane fields and the even tension P'/(pi R) that frees the rim.
    load, radius = 2e6, 0.1
    contact = hertz.line_contact(load, radius, MODULUS)
    a, p0 = contact.half_width, contact.peak

    def half_plane(z):
        root = math.hypot(a, z)
        return -p0 / a * ((a**2 + 2 * z**2) / root - 2 * z), -p0 * a / root

    def strain(z):
        near, far = half_plane(z), half_plane(2 * radius - z)
        even = load / (math.pi * radius)
        sigma_x, sigma_z = near[0] + far[0] + even, near[1] + far[1] + even
        return -((1 - NU**2) * sigma_z - NU * (1 + NU) * sigma_x) / E

    summed = 2 * quad(strain, 0.0, radius, points=[a, 10 * a], epsrel=1e-10)[0]
    bed = hertz.RollerBed(radius, (), E, NU)
    assert bed.approach(np.array(load)) == pytest.approx(summed, rel=2e-3)


@given(st.floats(1e3, 2e7), radii, st.floats(0.02, 0.2), st.floats(0.0, 1e-11))
def test_load_undoes_approach(load, radius, depth, bedding):
    bed = hertz.RollerBed(radius, (depth, depth / 2), E, NU, bedding)
    approach = bed.approach(np.array([load]))
    back, stiffness = bed.load(approach)
    assert back == pytest.approx(load, rel=1e-8)
    step = 1e-6 * load
    slope = (
        2 * step / (bed.approach(np.array([load + step])) - bed.approach(np.array([load - step])))
    )
    assert stiffness == pytest.approx(slope, rel=1e-5)


def test_hanging_roller_carries_nothing():
    load, stiffness = hertz.RollerBed(0.1, (0.05,), E, NU).load(np.array([-1e-4, 0.0]))
    assert not load.any()
    assert not stiffness.any()


@given(st.floats(1e3, 1e7), st.floats(0.1, 2.0), st.floats(-0.49, 0.49))
def test_eccentric_line_load_balances(force, length, share):
    e = share * length
    peak = hertz.line_load(force, length, e)
    # The triangle or trapezoid that starts with the peak carries force and moment.
    if abs(e) <= length / 6:
        other = 2 * force / length - peak
        assert (peak - other) * length**2 / 12 == pytest.approx(force * abs(e), abs=1e-9 * force)
    else:
        base = 2 * force / peak
        assert base / 3 == pytest.approx(length / 2 - abs(e))


def test_line_load_beyond_the_end():
    assert hertz.line_load(1e6, 0.4, -0.2) == math.inf
