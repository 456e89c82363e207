"""Braking and friction among supports (AASHTO LRFD 3.6.4, 14.6.3.1; figures by hand)."""

import pytest

from bedstone.errors import InputError
from bedstone.standards.aashto import sharing
from bedstone.standards.values import Values


def test_fixed_line_with_friction():
    # BR 200 and friction 90 / 0 ahead, 60 / 0 behind: 200 + 90.
    found = sharing.fixed_line(Values("aashto"), 200e3, (90e3, 0.0), (60e3, 0.0))
    assert found.value == pytest.approx(290e3)
    assert found.clause == "3.6.4, 14.6.3.1"
    assert found.basis == "memory"
    assert sharing.moving_line(Values("aashto"), 60e3).value == pytest.approx(60e3)


def test_sharing_by_stiffness():
    # Rigid deck on 4000, 12000, 9000, 4000 kN/m, 500 kN (elementary mechanics).
    lines = sharing.by_stiffness(Values("aashto"), 500e3, (4e6, 12e6, 9e6, 4e6))
    shares = [line.value / 1e3 for line in lines]
    assert shares == pytest.approx([68.97, 206.90, 155.17, 68.97], abs=0.005)


def test_sharing_by_stiffness_up_to_slip():
    # The second slips at 150: the rest, 350, goes 4 : 9 : 4 to the others, 82.35, 185.29, 82.35.
    slip = (None, 150e3, None, None)
    lines = sharing.by_stiffness(Values("aashto"), 500e3, (4e6, 12e6, 9e6, 4e6), slip)
    shares = [line.value / 1e3 for line in lines]
    assert shares == pytest.approx([82.353, 150.0, 185.294, 82.353], abs=1e-3)
    assert [line.note == "slips" for line in lines] == [False, True, False, False]
    # one slips after another: 300 on 1 : 1, at most 100 and 180
    with pytest.raises(InputError, match="at most friction of 280000 N"):
        sharing.by_stiffness(Values("aashto"), 300e3, (1e6, 1e6), (100e3, 180e3))


@pytest.mark.parametrize("stiffness", [(), (0.0, 0.0), (1e6, -1.0)])
def test_no_stiff_support_is_refused(stiffness):
    with pytest.raises(InputError, match="none negative, one above zero"):
        sharing.by_stiffness(Values("aashto"), 1.0, stiffness)
