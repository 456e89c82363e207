"""Print of a spreadsheet to the Setra 2007 method of EN 1337-3: pad 400 x 600, 6 layers of 12 mm.

Plates 390 x 590, active covers 6 mm, Te = 84 mm, G = 0.9 MPa (1.8 MPa for fast actions),
Eb = 2000 MPa. The sheet takes the worse of inner and outer layers and A1 for the deflection.
"""

import pytest

from bedstone.standards.elastomeric_pad import Loading, Pad
from bedstone.standards.eurocode import elastomeric as en
from bedstone.standards.values import Values

SOURCE = "Print of a spreadsheet to the Setra 2007 method of EN 1337-3, pad 400 x 600"
KNOWN = "read there"
VALUES = Values("eurocode")
G, FAST = 0.9e6, 1.8e6
PAD = Pad(0.400, 0.600, 6, 0.012, 0.004, 0.006, 0.005)


def test_geometry(published):
    published("area of the plates", 230_100, PAD.plate_area * 1e6, "mm2")
    published("perimeter of the plates", 1960, PAD.plate_perimeter * 1e3, "mm")
    published("elastomer T_e", 84, PAD.elastomer_thickness * 1e3, "mm")
    published("height T_b", 112, PAD.height * 1e3, "mm")
    found, by_hand = en.shape_factors(VALUES, PAD), (9.7832, 13.9759)
    published("shape factors, inner and outer", by_hand, found, known="derived", abs=5e-5)


def test_movement_by_slow_forces(published):
    # 0.180 MN gives 70.0 mm (recomputed), the print has Ar = 188 800 mm2.
    v = en.displacement(PAD, 180e3, G)
    published("movement under 180 kN, slow", 70, v * 1e3, "mm", known="derived")
    found = PAD.reduced_area(v, 0.0) * 1e6
    published("reduced area, slow force", 188_800, found, "mm2", rel=1e-6)


def test_movement_with_a_fast_part(published):
    # The print has 182 497 mm2 with 0.055 MN more, fast; rounding of the force: 4e-5.
    v = en.displacement(PAD, 180e3, G) + en.displacement(PAD, 55e3, FAST)
    found = PAD.reduced_area(v, 0.0) * 1e6
    published("reduced area, 55 kN more, fast", 182_497, found, "mm2", rel=1e-4)


@pytest.mark.parametrize(
    ("N", "v", "inner", "outer"),
    [
        (4.4996e6, 0.0700, 4.061, 2.842),
        (0.890e6, 0.0700, 0.803, 0.562),
        (1.274e6, 0.0700, 1.149, 0.804),
        (0.710e6, 0.0700, 0.641, 0.448),
        (3.749e6, 0.08068, 3.500, 2.450),
        (0.790e6, 0.08068, 0.737, 0.516),
    ],
)
def test_compression_strain(published, N, v, inner, outer):
    # Ar 188 800 mm2 for the first four, 182 497 mm2 for the others; print to three decimals.
    line = en.compression_strain(VALUES, PAD, Loading(N, v), G)
    found = {q.symbol: q.value for q in line.inputs}
    what = f"{N / 1e3:g} kN, compression strain"
    published(f"{what}, inner", inner, found["eps_c,inner"], abs=1.1e-3)
    published(f"{what}, outer", outer, found["eps_c,outer"], abs=1.1e-3)
    assert line.value == max(found["eps_c,inner"], found["eps_c,outer"])


@pytest.mark.parametrize(
    ("N", "one_layer"),
    [(0.890e6, 0.131e-3), (1.274e6, 0.187e-3), (0.710e6, 0.104e-3), (4.500e6, 0.662e-3)],
)
def test_deflection_of_one_layer(published, N, one_layer):
    line = en.deflection(VALUES, PAD, Loading(N, 0.070), G)
    found = line.value / PAD.layers * 1e3
    published(f"{N / 1e3:g} kN, one layer", one_layer * 1e3, found, "mm", abs=0.6e-3)
