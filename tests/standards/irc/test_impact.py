"""Impact factors (IRC:6 clause 208); formulas from memory unless told."""

import pytest

from bedstone.errors import InputError
from bedstone.standards.irc import impact


@pytest.mark.parametrize(
    ("span", "concrete", "steel"),
    [(2.0, 0.5, 0.545), (3.0, 0.5, 9 / 16.5), (24.0, 0.15, 0.24), (60.0, 0.088, 0.154)],
)
def test_class_a(values, span, concrete, steel):
    assert impact.class_a(values, span, "concrete").value == pytest.approx(concrete)
    assert impact.class_a(values, span, "steel").value == pytest.approx(steel)


@pytest.mark.parametrize(
    ("span", "concrete", "steel"), [(5, 0.25, 0.25), (12, 0.25, 0.25), (23, 4.5 / 29, 0.25)]
)
def test_wheeled(values, span, concrete, steel):
    assert impact.wheeled(values, span, "concrete").value == pytest.approx(concrete)
    assert impact.wheeled(values, span, "steel").value == pytest.approx(steel)


@pytest.mark.parametrize("material", ["concrete", "steel"])
@pytest.mark.parametrize(("span", "i"), [(4, 0.25), (5, 0.25), (7, 0.175), (9, 0.10), (20, 0.10)])
def test_tracked(values, span, i, material):
    assert impact.tracked(values, span, material).value == pytest.approx(i)


def test_curves_meet_where_one_takes_over(values):
    # The curve of Class A must meet 25 % at 12 m (concrete) and 23 m (steel) and 10 % at 40 m.
    assert impact.wheeled(values, 12.001, "concrete").value == pytest.approx(0.25, abs=1e-4)
    assert impact.wheeled(values, 23.001, "steel").value == pytest.approx(0.25, abs=4e-3)
    assert impact.tracked(values, 40.001, "concrete").value == pytest.approx(0.10, abs=3e-3)
    assert impact.tracked(values, 60.0, "concrete").value == pytest.approx(0.088)
    assert impact.tracked(values, 60.0, "steel").value == pytest.approx(0.10)


def test_composite_decks_count_as_steel_and_the_shortest_span_holds(bridge):
    assert impact.material_of(bridge()) == "steel"
    assert impact.material_of(bridge(deck_type="concrete")) == "concrete"
    assert impact.material_of(bridge(choices={"impact.material": "concrete"})) == "concrete"
    assert impact.span_of(bridge()) == 30.0
    assert impact.span_of(bridge(choices={"impact.span": 36.0})) == 36.0
    with pytest.raises(InputError, match="above 0"):
        impact.span_of(bridge(choices={"impact.span": -1}))
