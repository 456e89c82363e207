"""Disc bearings: AASHTO LRFD 14.7.8 alone."""

import math

import numpy as np
import pytest
from sliding_cases import HELD, basis, demand, line, plate_sizes, slide_sizes

from bedstone.bearings.base import Design, Refusal
from bedstone.bearings.disc import KIND, DiscBody
from bedstone.errors import InputError

AASHTO = "aashto"


def body_sizes(bearing) -> dict[str, object]:
    body = bearing.body
    sizes = {
        "disc.diameter": body.diameter,
        "disc.thickness": body.thickness,
        "disc.modulus": body.modulus,
        "pin.diameter": body.pin,
        "ring.depth": body.ring,
    }
    if bearing.slide is not None:
        sizes |= {"middle.thickness": body.plate, **slide_sizes(bearing.slide)}
    return sizes


@pytest.mark.parametrize("function", HELD)
def test_what_is_sized_passes(function):
    design = KIND.size(demand(function), basis(AASHTO))
    assert isinstance(design, Design)
    assert design.passes, design.lines[0]
    assert (design.bearing.slide is None) == (function == "fixed")
    assert design.height == pytest.approx(design.bearing.height)
    assert (design.behaviour.play > 0.0) == any(HELD[function])
    names = [part.name for part in design.parts]
    assert {"disc", "pin", "limiting ring"} <= set(names)


def test_diameter_follows_the_load():
    # 14.7.8.3: 5.0 ksi on the disc less its hole, at service (0.75 of ULS here).
    body = KIND.size(demand("fixed", N=4e6), basis(AASHTO)).bearing.body
    area = math.pi / 4 * (body.diameter**2 - body.hole**2)
    assert 3e6 / area <= 5.0 * 6.894757e6
    smaller = math.pi / 4 * ((body.diameter - 0.01) ** 2 - body.hole**2)
    assert 3e6 / smaller > 5.0 * 6.894757e6


@pytest.mark.parametrize("family", ["eurocode", "irc"])
def test_other_families_have_no_rule(family):
    refusal = KIND.size(demand("fixed"), basis(family))
    assert isinstance(refusal, Refusal)
    assert refusal.remedy
    with pytest.raises(InputError):
        KIND.given({}, demand("fixed"), basis(family))


@pytest.mark.parametrize("function", ["fixed", "guided along"])
def test_given_again_gives_the_same_lines(function):
    seat, on = demand(function), basis(AASHTO)
    sized = KIND.size(seat, on)
    again = KIND.given({**body_sizes(sized.bearing), **plate_sizes(sized.bearing)}, seat, on)
    assert {(one.title, one.part): one.utilisation for one in again.lines} == pytest.approx(
        {(one.title, one.part): one.utilisation for one in sized.lines}
    )


def test_stiffness_against_integration():
    # Statics: a disc on springs E/h a unit of area, turned by a unit angle.
    body = DiscBody(0.3, 0.04, 100e6, 0.06, 0.01, 0.0)
    x = (np.arange(2000) + 0.5) / 2000 - 0.5
    X, Y = np.meshgrid(x * 0.3, x * 0.3)
    r = np.hypot(X, Y)
    inside = (r <= 0.15) & (r >= body.hole / 2)
    moment = np.sum(body.modulus / body.thickness * X[inside] ** 2) * (0.3 / 2000) ** 2
    assert body.stiffness() == pytest.approx(moment, rel=2e-3)


def test_edge_stays_pressed():
    # Geometry: compression at the edge is sigma h/E - theta D/2, at service.
    design = KIND.size(demand("fixed", ry=0.015), basis(AASHTO))
    body = design.bearing.body
    for case in demand("fixed", ry=0.015).service:
        compression = case.N / body.area / body.modulus * body.thickness
        turn = math.hypot(case.rx, case.ry) + 0.005
        assert compression >= turn * body.diameter / 2 - 1e-12


def test_the_makers_modulus():
    # A harder disc is thicker for the same rotation.
    soft = KIND.size(demand("fixed", ry=0.015), basis(AASHTO))
    hard = KIND.size(demand("fixed", ry=0.015), basis(AASHTO, disc__modulus=800e6))
    assert hard.bearing.body.modulus == 800e6
    assert hard.bearing.body.thickness > soft.bearing.body.thickness
    assert line(hard, "Instantaneous deflection").utilisation < 1.0
    too_soft = KIND.size(demand("fixed"), basis(AASHTO, disc__modulus=50e6))
    assert isinstance(too_soft, Refusal)
    assert "deflection" in too_soft.reason


def test_pin_by_hand():
    # Statics: cantilever from the plate below; elastic round section.
    design = KIND.size(demand("fixed", H=400e3), basis(AASHTO))
    body = design.bearing.body
    found = line(design, "Bending of the pin")
    H = max(
        math.hypot(max(abs(c.Hx), 0.1 * 0.75 * 3e6), max(abs(c.Hy), 0.1 * 0.75 * 3e6))
        for c in demand("fixed", H=400e3).strength
    )
    modulus = math.pi * body.pin**3 / 32
    assert found.value == pytest.approx(H * (body.thickness + body.pin / 4) / modulus)


def test_uplift_is_refused():
    assert isinstance(KIND.size(demand("fixed", uplift=1e3), basis(AASHTO)), Refusal)


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"pin.diameter": 1.0}, "pin.diameter"),
        ({"ring.depth": 0.5}, "ring.depth"),
        ({"disc.thickness": 0}, "disc.thickness"),
    ],
)
def test_impossible_sizes(change, field):
    seat, on = demand("fixed"), basis(AASHTO)
    sizes = {**body_sizes(KIND.size(seat, on).bearing), **change}
    with pytest.raises(InputError) as error:
        KIND.given(sizes, seat, on)
    assert field in [fault.where for fault in error.value.faults]
