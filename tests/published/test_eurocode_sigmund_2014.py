"""Sigmund, Eurocodes 0-1 Worked Examples (2014), example 34-Q: uniform bridge temperatures.

The six figures are read second hand, from a test of an open finite element library that repeats
the example.
"""

import pytest

from bedstone.standards.eurocode.thermal import effective_maximum, effective_minimum
from bedstone.standards.values import Values

SOURCE = "Sigmund, Eurocodes 0-1 Worked Examples (2014), example 34-Q"
KNOWN = "quoted second hand"


@pytest.mark.parametrize(
    ("deck", "highest", "lowest"),
    [("steel", 50.0, -21.0), ("composite", 38.0, -14.0), ("concrete", 36.0, -10.0)],
)
def test_example_34_q(published, deck, highest: float, lowest: float) -> None:
    values = Values("eurocode")
    warm, cold = effective_maximum(values, deck, 34.0), effective_minimum(values, deck, -18.0)
    published(f"T_e,max of a {deck} deck, air 34", highest, warm.value, "degC")
    published(f"T_e,min of a {deck} deck, air -18", lowest, cold.value, "degC")
