"""Stiffness of what is below the bearings, against formulas of cantilevers and frames.

Source of the formulas: any handbook of structures (cantilever 3 E I / h^3, sway frame 12 E I / h^3,
springs in series); written from memory.
"""

import numpy as np
import pytest
from decks import bridge_data, stood
from pydantic import TypeAdapter

from bedstone.articulation.arrangement import support_sum
from bedstone.articulation.ground import column_section, column_stiffness, footing, ground
from bedstone.bridge.schema import Bridge, Column
from bedstone.model.build import build

E = 30e9
ROUND = {"kind": "column", "height": "8 m", "diameter": "1.5 m", "E": "30 GPa"}
I_ROUND = np.pi * 1.5**4 / 64


def column(**fields) -> Column:
    return TypeAdapter(Column).validate_python({**ROUND, **fields})


def flexibility(stiffness):
    """Inverse, well scaled."""
    return np.linalg.inv(stiffness)


def test_cantilever():
    """Column clamped at its foot, free at its head: 3EI/h^3, EA/h, GJ/h, EI/h."""
    f = flexibility(column_stiffness(column()))
    h, A, G = 8.0, np.pi * 1.5**2 / 4, E / 2.4
    assert 1 / f[0, 0] == pytest.approx(3 * E * I_ROUND / h**3, rel=1e-9)
    assert 1 / f[1, 1] == pytest.approx(3 * E * I_ROUND / h**3, rel=1e-9)
    assert 1 / f[2, 2] == pytest.approx(E * A / h, rel=1e-9)
    assert 1 / f[3, 3] == pytest.approx(E * I_ROUND / h, rel=1e-9)
    assert 1 / f[5, 5] == pytest.approx(G * 2 * I_ROUND / h, rel=1e-9)
    # a push along (+x) leans the head forward: rotation + about y
    assert f[4, 0] == pytest.approx(h**2 / (2 * E * I_ROUND), rel=1e-9)
    assert f[3, 1] == pytest.approx(-(h**2) / (2 * E * I_ROUND), rel=1e-9)


def test_published_arithmetic_of_a_column():
    """D 1.5 m, E 31 GPa, h 8 m: k = 45 138.6 kN/m (hand calculation of a round pier)."""
    f = flexibility(column_stiffness(column(E="31 GPa")))
    assert 1 / f[0, 0] / 1e3 == pytest.approx(45138.6, rel=1e-5)


def test_frame_of_columns_across():
    """Three columns under a stiff cap, far apart: they cannot rotate at the top, 3 x 12EI/h^3.

    Along they stay cantilevers: 3 x 3EI/h^3. So far apart their shortening turns the cap little.
    """
    f = flexibility(column_stiffness(column(count=3, spacing="400 m")))
    h = 8.0
    assert 1 / f[1, 1] == pytest.approx(3 * 12 * E * I_ROUND / h**3, rel=1e-3)
    assert 1 / f[0, 0] == pytest.approx(3 * 3 * E * I_ROUND / h**3, rel=1e-9)


def test_frame_of_two_columns_with_shortening():
    """Two columns a apart, cap turning by the columns' lengths changing, by hand.

    Unknowns sway u and cap rotation t (about x) at the column heads: column shear 12EI/h^3 u +
    6EI/h^2 t each (a rotation + about x moves the head's slope against a sway + along y), cap
    moment 2 (6EI/h^2 u + 4EI/h t) + EA/h a^2/2 t = 0.
    """
    h, a, A = 8.0, 4.0, np.pi * 1.5**2 / 4
    EI = E * I_ROUND
    k = np.array(
        [
            [24 * EI / h**3, 12 * EI / h**2],
            [12 * EI / h**2, 8 * EI / h + E * A / h * a**2 / 2],
        ]
    )
    by_hand = 1 / np.linalg.inv(k)[0, 0]
    f = flexibility(column_stiffness(column(count=2, spacing="4 m")))
    assert 1 / f[1, 1] == pytest.approx(by_hand, rel=1e-9)


def test_cap_height_is_rigid():
    """Bearings 2 m above the head of an 8 m column: u = F (h^3/3 + c h^2 + c^2 h) / EI."""
    f = flexibility(column_stiffness(column(cap="2 m")))
    h, c = 8.0, 2.0
    assert f[0, 0] == pytest.approx((h**3 / 3 + c * h**2 + c**2 * h) / (E * I_ROUND), rel=1e-9)
    assert f[1, 1] == pytest.approx(f[0, 0], rel=1e-9)


def test_foundation_springs_are_in_series():
    """1/k = h^3/3EI + 1/kx + (h + c)^2/kry along; across with krx; down h/EA + 1/kz."""
    springs = {
        "kx": "500 MN/m", "ky": "400 MN/m", "kz": "3000 MN/m",
        "krx": "20 GN*m/rad", "kry": "10 GN*m/rad", "krz": "15 GN*m/rad",
    }  # fmt: skip
    f = flexibility(column_stiffness(column(cap="1 m", foundation=springs)))
    h, c, A = 8.0, 1.0, np.pi * 1.5**2 / 4
    own = (h**3 / 3 + c * h**2 + c**2 * h) / (E * I_ROUND)
    assert f[0, 0] == pytest.approx(own + 1 / 500e6 + (h + c) ** 2 / 10e9, rel=1e-9)
    assert f[1, 1] == pytest.approx(own + 1 / 400e6 + (h + c) ** 2 / 20e9, rel=1e-9)
    assert f[2, 2] == pytest.approx(h / (E * A) + 1 / 3000e6, rel=1e-9)


def test_one_spring_alone_leaves_the_rest_rigid():
    f = flexibility(column_stiffness(column(foundation={"kry": "10 GN*m/rad"})))
    assert f[0, 0] == pytest.approx(8**3 / (3 * E * I_ROUND) + 8**2 / 10e9, rel=1e-9)
    assert f[1, 1] == pytest.approx(8**3 / (3 * E * I_ROUND), rel=1e-9)


def test_sections_of_columns():
    """a b^3 / 12 for each direction; square torsion 0.1406 a^4 (Roark, from memory)."""
    fields = {key: value for key, value in ROUND.items() if key != "diameter"}
    wall = TypeAdapter(Column).validate_python({**fields, "along": "1 m", "across": "4 m"})
    area, along, across, _ = column_section(wall)
    assert (area, along, across) == pytest.approx((4.0, 4 / 12, 64 / 12))
    square = TypeAdapter(Column).validate_python({**fields, "along": "2 m", "across": "2 m"})
    assert column_section(square)[3] == pytest.approx(0.1406 * 16, rel=3e-3)
    given = {"A": "2 m2", "Ix": "0.5 m4", "Iy": "0.3 m4", "J": "0.7 m4"}
    own = TypeAdapter(Column).validate_python({**fields, **given})
    assert column_section(own) == (2.0, 0.3, 0.5, 0.7)  # Iy bends along, Ix across
    f = flexibility(column_stiffness(own))
    assert 1 / f[0, 0] == pytest.approx(3 * E * 0.3 / 8**3)
    assert 1 / f[1, 1] == pytest.approx(3 * E * 0.5 / 8**3)


# ------------------------------------------------------------------ on a bridge
def bridge(below, radius=None, **rest):
    """Two spans of 20 m; `below` for the middle support (and `bounds`, `skew` in it)."""
    data = bridge_data(spans=(20.0, 20.0), radius=radius, **rest)
    data["support"][1].update(below)
    return Bridge.model_validate(data)


def seats_of(structure, mark):
    return [i for i, seat in enumerate(structure.seats) if seat.support == mark]


def test_rigid_supports_do_not_give_way():
    one = bridge({})
    assert not ground(build(one), list(one.support)).any()


def test_seats_share_their_cap():
    """Unit force down at one seat of a pier: all move as a rigid body; supports do not mix.

    By hand: cap centre c_z, rotation y_i c_rx; seat j moves c_z + y_i y_j c_rx.
    """
    springs = {"kind": "springs", "springs": {"kz": "2000 MN/m", "krx": "50 GN*m/rad"}}
    one = bridge({"below": springs})
    structure = build(one)
    table = ground(structure, list(one.support))
    own = seats_of(structure, "S2")
    y = np.array([structure.seats[i].offset for i in own])
    z = 6 * np.array(own) + 2
    assert table[np.ix_(z, z)] == pytest.approx(1 / 2000e6 + np.outer(y, y) / 50e9, rel=1e-9)
    others = np.setdiff1d(np.arange(len(table)), (6 * np.array(own)[:, None] + np.arange(6)))
    assert not table[others].any()
    assert table == pytest.approx(table.T)


def test_columns_turn_with_the_skew_and_springs_do_not():
    """A wall 30 deg askew: a force along the bridge meets its stiff and its soft axis.

    By hand: c_xx = cos^2 c_soft + sin^2 c_stiff, c_xy = sin cos (c_soft - c_stiff).
    """
    wall = {"kind": "column", "height": "8 m", "along": "1 m", "across": "5 m", "E": "30 GPa"}
    soft, stiff = 8**3 / (3 * E * 5 / 12), 8**3 / (3 * E * 125 / 12)
    one = bridge({"below": wall}, skew=30.0)
    structure = build(one)
    table = ground(structure, list(one.support))
    row = 6 * seats_of(structure, "S2")[0]
    # a seat off the centre of the cap also turns it in plan: take that part out
    place = footing(structure, one.support[1])
    arm = np.array(structure.seats[row // 6].point) - place.point
    twist = 1 / (column_stiffness(one.support[1].below)[5, 5])
    c, s = np.cos(np.pi / 6), np.sin(np.pi / 6)
    xx = c**2 * soft + s**2 * stiff + arm[1] ** 2 * twist
    xy = s * c * (soft - stiff) - arm[0] * arm[1] * twist
    assert table[row, row] == pytest.approx(xx, rel=1e-6)
    assert table[row, row + 1] == pytest.approx(xy, rel=1e-6)
    springs = {"kind": "springs", "springs": {"kx": "100 MN/m"}}
    other = bridge({"below": springs}, skew=30.0)
    table = ground(build(other), list(other.support))
    assert table[row, row] == pytest.approx(1 / 100e6)
    assert table[row, row + 1] == pytest.approx(0.0, abs=1e-20)


def test_springs_follow_the_tangent_of_a_curve():
    springs = {"kind": "springs", "springs": {"kx": "100 MN/m"}}
    one = bridge({"below": springs}, radius=80.0)
    structure = build(one)
    angle = 20.0 / 80.0
    row = 6 * seats_of(structure, "S2")[0]
    table = ground(structure, list(one.support))
    assert table[row, row] == pytest.approx(np.cos(angle) ** 2 / 100e6)
    assert table[row, row + 1] == pytest.approx(np.sin(angle) * np.cos(angle) / 100e6)


def test_bounds_scale_the_stiffness():
    springs = {"kind": "springs", "springs": {"kx": "100 MN/m"}}
    one = bridge({"below": springs, "bounds": {"lower": 0.5, "upper": 4.0}})
    structure = build(one)
    given, lower, upper = (
        ground(structure, list(one.support), bound) for bound in ("given", "lower", "upper")
    )
    assert lower == pytest.approx(2.0 * given)
    assert upper == pytest.approx(given / 4.0)


def test_a_given_matrix_is_inverted():
    rng = np.random.default_rng(3)
    shape = rng.normal(size=(6, 6))
    stiffness = (shape @ shape.T + 6 * np.eye(6)) * 1e8
    one = bridge({"below": {"kind": "springs", "matrix": stiffness.tolist()}}, number=1,
                 spacing=None, slab=None, type="steel", diaphragms=None)  # fmt: skip
    structure = build(one)
    (seat,) = seats_of(structure, "S2")
    table = ground(structure, list(one.support))[6 * seat : 6 * seat + 6, 6 * seat : 6 * seat + 6]
    assert table == pytest.approx(np.linalg.inv(stiffness), rel=1e-9)


# ------------------------------------------------------------------ support sums
@pytest.mark.parametrize("skew", [0.0, 25.0])
@pytest.mark.parametrize("radius", [None, 70.0])
def test_support_sums_are_the_statics_of_its_bearings(skew, radius):
    """V, F and M about the base of a pier from random forces on its bearings, summed by hand."""
    below = {"kind": "column", "height": "9 m", "cap": "1 m", "diameter": "1.5 m", "E": "30 GPa"}
    data = bridge_data(spans=(20.0, 20.0), radius=radius, skew=skew)
    data["support"][1]["below"] = below
    one = stood(data)
    support = one.prepared.bridge.support[1]
    rng = np.random.default_rng(1)
    own = seats_of(one.structure, "S2")
    local = np.zeros((len(one.structure.seats), 6))
    local[own] = rng.normal(size=(len(own), 6))
    found = support_sum(one.structure, support, one.arranged) @ local.ravel()

    angle = 0.0 if radius is None else 20.0 / radius
    points = np.array([one.structure.seats[i].point for i in own])
    # base: on the axis of the bridge (the seats are symmetric about it), 10 m below the bearings
    axis = [20.0, 0.0] if radius is None else [radius * np.sin(angle), radius * (1 - np.cos(angle))]
    base = np.array([*axis, points[:, 2].mean() - 10.0])
    turn = np.array(
        [[np.cos(angle), np.sin(angle), 0], [-np.sin(angle), np.cos(angle), 0], [0, 0, 1]]
    )
    force, moment = np.zeros(3), np.zeros(3)
    for i, point in zip(own, points, strict=True):
        axes = one.arranged.bearings.axes[i]
        f, m = axes.T @ local[i, :3], axes.T @ local[i, 3:]
        force += f
        moment += m + np.cross(point - base, f)
    force, moment = turn @ force, turn @ moment
    assert found == pytest.approx([-force[2], force[0], force[1], *moment])


def test_base_level_of_the_file_counts():
    one = bridge({"base_level": "6.5 m"})
    place = footing(build(one), one.support[1])
    assert place.point[2] - place.base[2] == pytest.approx(6.5)
    column_ = {"kind": "column", "height": "9 m", "cap": "1 m", "diameter": "1 m", "E": "30 GPa"}
    other = bridge({"below": column_})
    place = footing(build(other), other.support[1])
    assert place.point[2] - place.base[2] == pytest.approx(10.0)
