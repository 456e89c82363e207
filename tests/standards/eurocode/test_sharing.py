"""Friction and braking on the fixed line (EN 1337-1, 6.2; rule from memory, figures by hand)."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bedstone.standards.eurocode import sharing
from bedstone.standards.values import Values

FORCE = st.floats(0.0, 1e7)


def test_fixed_line_between_moving_ones():
    # ahead 100 / 40 kN, behind 80 / 30 kN: the worse is 100 - 30 = 70; with 500 kN braking 570.
    values = Values("eurocode")
    ahead, behind = (100e3, 40e3), (80e3, 30e3)
    assert sharing.friction_resultant(values, ahead, behind).value == pytest.approx(70e3)
    found = sharing.fixed_line(values, 500e3, ahead, behind)
    assert found.value == pytest.approx(570e3)
    assert (found.clause, found.basis) == ("6.2", "memory")
    assert found.standard == "EN 1337-1"


def test_fixed_line_at_the_end():
    # nothing behind it pushes back: all adverse friction of the other side.
    values = Values("eurocode")
    found = sharing.friction_resultant(values, (100e3, 40e3), (0.0, 0.0))
    assert found.value == pytest.approx(100e3)
    assert sharing.moving_line(values, 100e3).value == pytest.approx(100e3)


@given(FORCE, FORCE, FORCE, st.floats(0.0, 1.0))
def test_friction_never_relieves_the_fixed_line(force, ahead, behind, part):
    values = Values("eurocode")
    one, other = (ahead, part * ahead), (behind, part * behind)
    found = sharing.fixed_line(values, force, one, other).value
    assert found >= force
    assert found == sharing.fixed_line(values, force, other, one).value
