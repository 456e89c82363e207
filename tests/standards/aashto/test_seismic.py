"""Equivalent static earthquake (AASHTO LRFD 3.10); figures from memory unless told."""

import pytest

from bedstone.errors import InputError
from bedstone.standards.aashto import FAMILY, seismic

CHOICES = {"seismic.pga": 0.3, "seismic.ss": 0.75, "seismic.s1": 0.3, "seismic.site": "D"}


def test_spectrum_of_the_site(values):
    # Site D: F_pga(0.3) 1.2, F_a(0.75) 1.2, F_v(0.3) 1.8.
    site = seismic.spectrum(values, 0.3, 0.75, 0.3, "D")
    assert (site.As, site.SDS, site.SD1) == pytest.approx((0.36, 0.90, 0.54))


def test_spectrum_is_continuous_and_falls_with_the_period(values):
    site = seismic.spectrum(values, 0.3, 0.75, 0.3, "D")
    assert seismic.coefficient(values, site, 0.0).value == pytest.approx(site.As)
    for corner in (0.12, 0.6):  # 0.2 x 0.54/0.90 and 0.54/0.90
        below = seismic.coefficient(values, site, corner - 1e-9).value
        above = seismic.coefficient(values, site, corner + 1e-9).value
        assert below == pytest.approx(above, rel=1e-6)
        assert below == pytest.approx(site.SDS, rel=1e-6)
    assert seismic.coefficient(values, site, 1.8).value == pytest.approx(0.30)


def test_connection_coefficient(values, bridge):
    case = FAMILY.seismic(values, bridge(choices=CHOICES), 1.8, 0.3)
    assert case.coefficient_along == pytest.approx(0.30 / 0.8)
    assert case.coefficient_across == pytest.approx(0.90 / 0.8)
    assert case.combination == (1.0, 0.3, 0.0)
    assert case.mass_traffic_along == case.mass_traffic_across == 0.0
    pier = bridge(choices={**CHOICES, "seismic.response_factor": 1.0})
    assert FAMILY.seismic(values, pier, 1.8, 0.3).coefficient_along == pytest.approx(0.30)


@pytest.mark.parametrize(("pga", "expected"), [(0.03, 0.15), (0.08, 0.25)])
def test_zone_1_takes_a_part_of_the_reaction(values, bridge, pga, expected):
    low = {"seismic.pga": pga, "seismic.ss": 0.1, "seismic.s1": 0.04, "seismic.site": "B"}
    case = FAMILY.seismic(values, bridge(choices=low), 0.1, 3.0)
    assert (case.coefficient_along, case.coefficient_across) == (expected, expected)


def test_no_choice_no_earthquake_and_half_a_choice_is_refused(values, bridge):
    assert FAMILY.seismic(values, bridge(), 1.0, 1.0) is None
    with pytest.raises(InputError, match=r"actions\.seismic\.aashto\.ss"):
        FAMILY.seismic(values, bridge(choices={"seismic.pga": 0.2}), 1.0, 1.0)
    with pytest.raises(InputError, match="A, B, C, D, E"):
        FAMILY.seismic(values, bridge(choices={**CHOICES, "seismic.site": "F"}), 1.0, 1.0)
