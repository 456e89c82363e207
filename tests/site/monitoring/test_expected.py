"""What a bearing should do, from a setting made by hand."""

from dataclasses import replace

import pytest

from bedstone.site.mechanism import End
from bedstone.site.monitoring.expected import expected


def test_the_nearest_end_on_either_side_ends_it(made):
    stops = (
        End("stop", "x", -0.08, 0.09), End("edge of plate", "x", -0.06, 0.11),
        End("stop", "y", -0.01, 0.01),
    )  # fmt: skip
    found = expected(replace(made.setting(), ends=stops))
    assert (found.back, found.ahead) == (-0.06, 0.09)
    assert found.ends
    assert not expected(replace(made.setting(), ends=())).ends


def test_what_other_actions_take_on_either_side(made):
    # 0.768 mm/K from 14.5 degC: 29.57 mm to 53 degC, 29.57 mm to -24 degC (38.5 K both ways)
    way = made.SLOPE * 38.5
    item = made.setting()
    (row,) = item.rows
    reach = (-way - 0.004, way + 0.011)
    asked = replace(item, rows=(replace(row, offset=(0.0, 0.0), reach_x=reach),))
    assert expected(asked).others == pytest.approx((0.004, 0.011))
    # less than temperature alone is none
    asked = replace(item, rows=(replace(row, offset=(0.0, 0.0), reach_x=(0.0, 0.0)),))
    assert expected(asked).others == (0.0, 0.0)


def test_what_is_still_to_come_is_counted_once(made):
    """As the table of setting makes its reach: before it has come, and after.

    Set 17 mm behind its middle; 17 mm come; 50 mm each way for other actions in either state: the
    spare travel of the table, 130 - 29.57 - 50, is what is left before and after.
    """
    spare = 0.13 - made.SLOPE * 38.5 - 0.05
    for rest in (0.017, -0.017):
        found = expected(made.setting(rest=rest, others=0.05, back=-0.13, ahead=0.13))
        assert found.others == pytest.approx((0.05, 0.05))
        assert found.to_come(-rest) == pytest.approx(rest)  # on the day
        assert found.to_come(0.0) == pytest.approx(0.0)  # in the end
        assert found.to_come(-rest / 4) == pytest.approx(rest / 4)
        # set too far one way, or crept the other way: all of it or nothing
        assert found.to_come(-2 * rest) == pytest.approx(rest)
        assert found.to_come(2 * rest) == pytest.approx(0.0)
        for stands in (-rest, 0.0):
            way = made.SLOPE * 38.5
            to_come = found.to_come(stands)
            ahead = found.ahead - stands - way - found.others[1] - max(to_come, 0.0)
            back = stands - way - found.others[0] - max(-to_come, 0.0) - found.back
            assert min(ahead, back) == pytest.approx(spare - (abs(stands) if stands else 0.0))
            side = ahead if rest > 0 else back
            assert side == pytest.approx(spare)


def test_a_pad_has_nothing_to_come_where_it_is_sheared(made):
    found = expected(made.setting(rest=0.017, form="shears"))
    assert found.to_come(0.0) == pytest.approx(0.017)
    assert found.to_come(0.017) == pytest.approx(0.0)
