"""Lines of trusses: counted by Maxwell's rule, drawn by the definition of each form."""

import itertools

import numpy as np
import pytest

from bedstone.model.truss_layout import Joint, bracing, truss_plane

FORMS = ("pratt", "n", "warren", "warren with posts")
STANDS = (("through", "bottom"), ("deck", "bottom"), ("deck", "top"))


def equilibrium_matrix(plane):
    """(2 j, m): components of unit bar forces at the joints of a plane of height 1."""
    row = {joint: 2 * index for index, joint in enumerate(plane.joints)}
    matrix = np.zeros((2 * len(plane.joints), len(plane.bars)))
    for column, bar in enumerate(plane.bars):
        run = bar.j.point - bar.i.point
        rise = (bar.j.chord == "top") * 1.0 - (bar.i.chord == "top") * 1.0
        direction = np.array([run, rise]) / np.hypot(run, rise)
        matrix[row[bar.i] : row[bar.i] + 2, column] = direction
        matrix[row[bar.j] : row[bar.j] + 2, column] = -direction
    return matrix


@pytest.mark.parametrize("form", FORMS)
@pytest.mark.parametrize(("deck", "seat_chord"), STANDS)
@pytest.mark.parametrize("panels", [(2,), (3,), (6,), (7,), (4, 4), (5, 3, 6)])
def test_pin_jointed_plane_is_rigid_and_counts_by_maxwell(form, deck, seat_chord, panels):
    # Maxwell 1864 (from memory): m = 2 j - 3 bars hold j pin joints in a plane; a middle panel with
    # both diagonals has one bar more than needed
    plane = truss_plane(form, deck, seat_chord, panels)
    joints, bars = len(plane.joints), len(plane.bars)
    assert np.linalg.matrix_rank(equilibrium_matrix(plane)) == 2 * joints - 3
    crossed = 0 if form == "warren" else sum(count % 2 for count in panels)
    spare = bars - (2 * joints - 3)
    assert spare == crossed
    assert plane.supports == (0, *np.cumsum(panels))


@pytest.mark.parametrize("form", FORMS)
@pytest.mark.parametrize(("deck", "seat_chord"), STANDS)
@pytest.mark.parametrize("panels", [(6,), (5,), (4, 4)])
def test_plane_is_its_own_mirror_image(form, deck, seat_chord, panels):
    plane = truss_plane(form, deck, seat_chord, panels)
    end = sum(panels)

    def turned(joint):
        return Joint(end - joint.point, joint.chord)

    assert {frozenset((turned(b.i), turned(b.j))) for b in plane.bars} == {
        frozenset((b.i, b.j)) for b in plane.bars
    }


def lines(form, group, panels=(6,), deck="through", seat_chord="bottom"):
    plane = truss_plane(form, deck, seat_chord, panels)
    return {
        (b.i.chord[0] + f"{b.i.point:g}", b.j.chord[0] + f"{b.j.point:g}")
        for b in plane.bars
        if b.group == group
    }


def test_pratt_diagonals_fall_towards_mid_span():
    assert lines("pratt", "diagonals") == {("t1", "b2"), ("t2", "b3"), ("b3", "t4"), ("b4", "t5")}
    assert lines("pratt", "end_posts") == {("b0", "t1"), ("t5", "b6")}


def test_n_diagonals_rise_towards_mid_span():
    assert lines("n", "diagonals") == {("b1", "t2"), ("b2", "t3"), ("t3", "b4"), ("t4", "b5")}


def test_warren_diagonals_alternate():
    assert lines("warren with posts", "diagonals") == {
        ("t1", "b2"), ("b2", "t3"), ("t3", "b4"), ("b4", "t5")
    }  # fmt: skip
    assert lines("warren", "diagonals", (2,)) == {("t0.5", "b1"), ("b1", "t1.5")}
    assert lines("warren", "posts", (4, 4)) == {("b4", "t4")}


@pytest.mark.parametrize("form", ["pratt", "n", "warren with posts"])
def test_middle_panel_of_an_odd_number_is_crossed(form):
    assert {("b2", "t3"), ("t2", "b3")} <= lines(form, "diagonals", (5,))


def test_deck_truss_on_its_top_chord_has_no_bottom_corner_but_in_form_n():
    for form in FORMS:
        joints = truss_plane(form, "deck", "top", (4,)).joints
        assert (Joint(0.0, "bottom") in joints) == (form == "n")
        assert Joint(0.0, "bottom") in truss_plane(form, "deck", "bottom", (4,)).joints


@pytest.mark.parametrize("form", FORMS)
@pytest.mark.parametrize(("deck", "seat_chord"), STANDS)
def test_bracing_crosses_every_panel_of_both_chords(form, deck, seat_chord):
    plane = truss_plane(form, deck, seat_chord, (6, 6))
    braces = {(b.right, b.left) for b in bracing(plane)}
    for chord in ("top", "bottom"):
        for i, j in itertools.pairwise(plane.chord(chord)):
            assert {(i, j), (j, i)} <= braces
    # the top chord of a through truss has no bracing beyond its end posts
    if deck == "through":
        tops = [b for b in bracing(plane) if b.right.chord == b.left.chord == "top"]
        first = min(joint.point for joint in plane.chord("top"))
        assert min(min(b.right.point, b.left.point) for b in tops) == first > 0.0


def test_portals_stand_at_the_ends_and_over_inner_supports():
    portals = [b for b in bracing(truss_plane("pratt", "through", "bottom", (4, 4)))
               if b.group == "portals"]  # fmt: skip
    assert [(b.right.point, b.beam) for b in portals] == [(1.0, True), (4.0, True), (7.0, True)]
