"""EN 1337-3:2005, Table 3: standard sizes as transcribed in a public finite-element library.

The arithmetic Tb = n ti + (n + 1) ts + 2 x 2.5 mm and Te = n ti must close for every row; our own
check of the reproduction. Row 900 dia. has 10 layers there where 220/20 and the rectangular row
of the same make-up give 11; the data carries 11 and says so.
"""

import pytest

from bedstone.standards.eurocode import elastomeric as en
from bedstone.standards.values import Values, load_pack

SOURCE = "EN 1337-3:2005, Table 3: standard sizes, as a public finite-element library has them"
KNOWN = "quoted second hand"
VALUES = Values("eurocode")
RECTANGULAR = en.standard_sizes(VALUES, round_plan=False)
ROUND = en.standard_sizes(VALUES, round_plan=True)


def name(size):
    return f"{size.length * 1e3:.0f}x{size.width * 1e3:.0f}"


@pytest.mark.parametrize("size", [*RECTANGULAR, *ROUND], ids=name)
@pytest.mark.parametrize("end", [0, 1], ids=["least", "most"])
def test_height_and_elastomer_close(agreement, size, end):
    n = size.layers[end]
    cover = VALUES.number("elastomeric.standard.cover")
    elastomer, height = n * size.layer, n * size.layer + (n + 1) * size.plate + 2 * cover
    which = "rows of the table, least and most layers: "
    agreement(which + "elastomer T_e", elastomer, size.elastomer[end], 1e-6)
    agreement(which + "height T_b", height, size.heights[end], 1e-6)


def test_all_rows_are_there(published):
    # Plans of the table: 25 rectangular and 15 round.
    published("rectangular plans", 25, len(RECTANGULAR), abs=0)
    published("round plans", 15, len(ROUND), abs=0)
    assert [name(size) for size in RECTANGULAR][:3] == ["100x150", "100x200", "150x200"]
    assert name(RECTANGULAR[-1]) == "900x900"
    assert "10 layers" in load_pack("eurocode")["elastomeric.standard.round"].note
