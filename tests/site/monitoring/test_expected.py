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
