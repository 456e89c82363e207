"""The plate on its seat, against statics done another way."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bedstone.bearings.base import Basis
from bedstone.bearings.common.seating import Seating, SeatingCase, check_seating, size_seating
from bedstone.bearings.common.seating_plate import plate_moment
from bedstone.errors import InputError
from bedstone.standards.bearing_pressure import Footprint, edge_pressure
from bedstone.standards.values import Values

FAMILIES = (
    ("eurocode", "ULS persistent"),
    ("aashto", "ULS persistent"),
    ("irc", "SLS characteristic"),
    ("irc", "ULS persistent"),
)
PLATE = Seating(0.5, 0.6, 0.06, "S355", anchors=4, anchor="M24", anchor_grade="8.8")


def line(lines, title):
    return next(item for item in lines if item.title == title)


def _pressed(ex: float, ey: float, length: float = 0.5, width: float = 0.6):
    """Pressure without tension on a plate of 1 N by summing strips (independent of the formula)."""
    x = (np.arange(2000) + 0.5) / 2000 * length - length / 2
    y = (np.arange(2000) + 0.5) / 2000 * width - width / 2
    return x, y


@given(ex=st.floats(0.0, 0.07), ey=st.floats(0.0, 0.09))
def test_pressure_is_in_equilibrium_with_the_force(ex: float, ey: float) -> None:
    # Independent: the linear pressure summed over cells gives back force and eccentricities.
    footprint = Footprint(0.5, 0.6, ex, ey)
    within = 6 * ex / 0.5 + 6 * ey / 0.6 <= 1.0
    if not within:
        return
    mean = 1.0 / 0.3
    x, y = _pressed(ex, ey)
    p = mean * (1 + 12 * ex * x[:, None] / 0.5**2 + 12 * ey * y[None, :] / 0.6**2)
    cell = 0.5 / 2000 * 0.6 / 2000
    assert p.sum() * cell == pytest.approx(1.0, rel=1e-6)
    assert (p * x[:, None]).sum() * cell == pytest.approx(ex, abs=1e-6)
    assert (p * y[None, :]).sum() * cell == pytest.approx(ey, abs=1e-6)
    assert edge_pressure(footprint, 1.0) == pytest.approx(p.max(), rel=2e-3)


@pytest.mark.parametrize("e", [0.1, 0.15, 0.2])
def test_beyond_the_middle_third_a_triangle_carries(e: float) -> None:
    # Triangle of pressure on 3 (L/2 - e): N = p l/2 B (own statics).
    reach = 3 * (0.25 - e)
    assert edge_pressure(Footprint(0.5, 0.6, e, 0.0), 1e6) == pytest.approx(
        2 * 1e6 / (reach * 0.6), rel=1e-9
    )


@pytest.mark.parametrize("e", [0.0, 0.05, 0.12, 0.19])
@pytest.mark.parametrize("patch", [0.0, 0.1, 0.3])
def test_plate_moment_by_summing_the_pressure(e: float, patch: float) -> None:
    # Independent: sum pressure times arm to the edge of the patch over 200000 strips.
    length, width, force = 0.5, 0.6, 1e6
    footprint = Footprint(length, width, e, 0.0)
    edge = edge_pressure(footprint, force)
    x = (np.arange(200_000) + 0.5) / 200_000 * length - length / 2
    if e <= length / 6:
        p = force / (length * width) * (1 + 12 * e * x / length**2)
    else:
        reach = 3 * (length / 2 - e)
        p = np.maximum(0.0, edge * (1 - (length / 2 - x) / reach))
    arm = np.maximum(0.0, x - patch / 2)
    expected = (p * arm).sum() * length / 200_000
    # The whole width is the patch across: no cantilever there.
    assert plate_moment(footprint, force, (patch, width)) == pytest.approx(expected, rel=1e-4)


def test_plate_between_two_contact_lines() -> None:
    # q s^2/8 with q = 1e6/(0.5 x 0.6) Pa, s = 0.4 m (own statics); cantilevers are shorter.
    moment = plate_moment(Footprint(0.5, 0.6), 1e6, (0.4, 0.6), spacing=0.4)
    assert moment == pytest.approx(1e6 / 0.3 * 0.4**2 / 8)


def _bolts(case: SeatingCase, basis: Basis) -> float:
    found = line(check_seating(PLATE, [case], basis, part="p", connected="concrete"), "Anchor bolt")
    return next(item.value for item in found.inputs if item.symbol in {"Ft", "Tu", "T"})


def test_anchors_pull_only_when_the_pressure_cannot_balance() -> None:
    basis = Basis("eurocode", Values("eurocode"))
    still = SeatingCase("ULS persistent", "a", 1e6, ex=0.15)
    assert _bolts(still, basis) == 0.0
    # Compression at 0.4 L = 0.2 m, bolts at 0.25 - 0.048 m: T = N (0.24 - 0.2)/(0.402), two bolts.
    tipping = replace(still, ex=0.24)
    assert _bolts(tipping, basis) == pytest.approx(1e6 * 0.04 / 0.402 / 2)


def test_pure_uplift_is_shared_by_all_bolts() -> None:
    basis = Basis("eurocode", Values("eurocode"))
    assert _bolts(SeatingCase("ULS persistent", "a", -4e5), basis) == pytest.approx(1e5)
    # A moment adds a couple between the rows: 40 kN m over 2 x 0.202 m on two bolts.
    turned = SeatingCase("ULS persistent", "a", -4e5, overturning_x=4e4)
    assert _bolts(turned, basis) == pytest.approx(1e5 + 4e4 / 0.404 / 2)


@pytest.mark.parametrize(
    ("use", "state", "held"),
    [
        ("road", "ULS persistent", 0.5),
        ("rail", "ULS persistent", 0.0),
        ("road", "ULS seismic", 0.0),
    ],
)
def test_friction_counts_only_under_static_load(use, state, held) -> None:
    # EN 1337-1, 5.2 (recalled): 0.6/1.2 of N on concrete, none on railways and in earthquakes.
    basis = Basis("eurocode", Values("eurocode"))
    case = SeatingCase(state, "a", 1e6, 6e5, 0.0)
    lines = check_seating(PLATE, [case], basis, part="p", connected="concrete", use=use)
    shear = next(i.value for i in line(lines, "Anchor bolt").inputs if i.symbol == "Fv")
    assert shear == pytest.approx((6e5 - held * 1e6) / 4)


@pytest.mark.parametrize(("family", "state"), FAMILIES)
@pytest.mark.parametrize("connected", ["concrete", "steel"])
@settings(max_examples=25, deadline=None)
@given(
    n=st.floats(-4e5, 4e6),
    hx=st.floats(0.0, 5e5),
    hy=st.floats(0.0, 5e5),
    ex=st.floats(-0.05, 0.05),
    patch=st.floats(0.0, 0.3),
)
def test_what_is_sized_passes_its_own_checks(
    family, state, connected, n, hx, hy, ex, patch
) -> None:
    basis = Basis(family, Values(family), plinth=(2.0, 2.0))
    cases = [
        SeatingCase(state, "a", n, hx, hy, ex, 0.0, patch, 0.4, overturning_x=hx * 0.1),
        SeatingCase(state, "b", n / 2, hx, -hy, -ex, 0.02, patch, 0.4),
    ]
    seating, lines, parts = size_seating(
        cases, basis, least_length=0.35, least_width=0.45, part="plate", connected=connected
    )
    assert max(item.utilisation or 0.0 for item in lines) <= 1.0 + 1e-9
    assert seating.length >= 0.35
    assert seating.width >= 0.45
    assert all(part.mass > 0 for part in parts)
    again = check_seating(seating, cases, basis, part="plate", connected=connected)
    assert again == lines


def test_bolted_sole_plate_passes() -> None:
    basis = Basis("eurocode", Values("eurocode"), options={"sole.connection": "bolted"})
    case = SeatingCase("ULS persistent", "a", 1e6, 3e5, 1e5, 0.05, 0.02, 0.0, 0.4)
    seating, lines, _ = size_seating(
        [case], basis, least_length=0.4, least_width=0.4, part="sole", connected="steel"
    )
    assert seating.weld == 0.0
    assert seating.anchors >= 4
    assert line(lines, "Fitted bolt").utilisation <= 1.0


@pytest.mark.parametrize(
    ("change", "title"),
    [
        ({"N": 1.3}, "Bending of the plate"),
        ({"N": 1.3}, "Concrete under the plate"),
        ({"Hx": 1.5}, "Anchor bolt"),
        ({"ex": 1.5}, "Bending of the plate"),
        ({"ex": 1.5}, "Concrete under the plate"),
        ({"ey": 1.5}, "Concrete under the plate"),
        ({"patch_x": 0.5}, "Bending of the plate"),
    ],
)
def test_more_load_is_not_easier(change, title) -> None:
    basis = Basis("eurocode", Values("eurocode"), plinth=(0.8, 0.9))
    case = SeatingCase("ULS persistent", "a", 2e6, 1.5e6, 1e5, 0.06, 0.02, 0.1, 0.5)
    name, factor = next(iter(change.items()))
    more = replace(case, **{name: getattr(case, name) * factor})

    def use(which: SeatingCase) -> float:
        lines = check_seating(PLATE, [which], basis, part="p", connected="concrete")
        return line(lines, title).utilisation or 0.0

    assert use(more) > use(case)


def test_a_plinth_too_small_shows_in_the_lines() -> None:
    basis = Basis("eurocode", Values("eurocode"), plinth=(0.3, 0.3))
    case = SeatingCase("ULS persistent", "a", 5e6)
    _, lines, _ = size_seating(
        [case], basis, least_length=0.35, least_width=0.35, part="p", connected="concrete"
    )
    assert line(lines, "Plate within the concrete below").utilisation > 1.0


@pytest.mark.parametrize(
    "bad",
    [
        replace(PLATE, length=0.0),
        replace(PLATE, thickness=-0.01),
        replace(PLATE, anchors=3),
        replace(PLATE, anchor="M25"),
        replace(PLATE, anchor_grade="10.9"),
        replace(PLATE, steel="S999"),
        replace(PLATE, dowels=2, dowel=0.0),
    ],
)
def test_impossible_plates_are_refused(bad) -> None:
    basis = Basis("eurocode", Values("eurocode"))
    case = SeatingCase("ULS persistent", "a", 1e6, 1e6)
    with pytest.raises(InputError) as caught:
        check_seating(bad, [case], basis, part="p", connected="concrete")
    assert len(caught.value.faults) == 1


def test_no_concrete_and_no_case_are_refused() -> None:
    basis = Basis("eurocode", Values("eurocode"), concrete_below=None)
    case = SeatingCase("ULS persistent", "a", 1e6)
    with pytest.raises(InputError, match="concrete_below"):
        check_seating(PLATE, [case], basis, part="p", connected="concrete")
    with pytest.raises(InputError, match="cases"):
        size_seating([], basis, least_length=1.0, least_width=1.0, part="p", connected="concrete")
