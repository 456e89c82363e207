from collections.abc import Callable
from pathlib import Path

import pytest

from bedstone.bridge import arrangement_functions, read_bridge, read_tables
from bedstone.bridge.tables import table_names
from bedstone.bridge.templates import KINDS, template, template_files
from bedstone.errors import InputError


@pytest.mark.parametrize("kind", KINDS)
def test_a_template_reads_and_every_seat_has_a_function(
    kind: str, lay_out: Callable[..., Path]
) -> None:
    path = lay_out(kind)
    bridge = read_bridge(path)
    assert bridge.superstructure.kind == kind
    assert arrangement_functions(bridge, read_tables(bridge, path.parent))
    assert set(table_names(bridge).values()) == set(template_files(kind))


@pytest.mark.parametrize("kind", KINDS)
def test_a_template_has_one_fixed_seat(kind: str, lay_out: Callable[..., Path]) -> None:
    path = lay_out(kind)
    bridge = read_bridge(path)
    functions = arrangement_functions(bridge, read_tables(bridge, path.parent))
    assert [seat.function for seat in functions.values()].count("fixed") == 1


def test_effects_of_the_template_are_in_equilibrium(lay_out: Callable[..., Path]) -> None:
    """Forces of warming, cooling and friction come from within: they add up to nothing."""
    path = lay_out("reactions")
    bridge = read_bridge(path)
    data = read_tables(bridge, path.parent)
    assert data is not None
    effects = data.effects  # type: ignore[union-attr]
    for action in ("thermal", "shrinkage", "friction"):
        rows = [row for row, name in enumerate(effects.action) if name == action]
        assert rows
        for force in (effects.N, effects.Hx, effects.Hy):
            assert sum(force[row] for row in rows) == pytest.approx(0.0, abs=1e-6)


def test_an_unknown_kind_is_a_fault() -> None:
    for ask in (template, template_files):
        with pytest.raises(InputError, match="girders, truss, frame, reactions"):
            ask("arch")
