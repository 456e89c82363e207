"""Every file in tests/broken has one thing wrong; here is what bedstone must say of it."""

from pathlib import Path

import pytest

from bedstone.bridge import read_bridge
from bedstone.errors import InputError

BROKEN = Path(__file__).parents[1] / "broken"

# file -> (file of the fault, where, what the allowed text says); one row for each fault
EXPECTED = {
    "bad_toml": [("bad_toml.toml", "line 3", "valid TOML")],
    "chainage_falls": [("chainage_falls.toml", "support A2: chainage", "more than the support")],
    "duplicate_marks": [("duplicate_marks.toml", "support A1: mark", "a mark of its own")],
    "gap_in_segments": [
        ("gap_in_segments.toml", "superstructure.segments[2].start", "the end before it, 8 m")
    ],
    "missing_field": [
        ("missing_field.toml", "superstructure.sections.main.web_thickness", "needed")
    ],
    "missing_unit": [("missing_unit.toml", "superstructure.spacing", "write the unit")],
    "negative_length": [
        ("negative_length.toml", "superstructure.sections.main.top_width", "above 0")
    ],
    "no_stiffness": [("no_stiffness.toml", "superstructure.sections.main.Iy", "above 0")],
    "not_a_number": [("not_a_number.toml", "actions.shrinkage.strain", "a number")],
    "outside_folder": [("outside_folder.toml", "superstructure.nodes", "in the folder")],
    "pinned_like_the_file": [
        ("pinned_like_the_file.toml", "compare.pinned[1].name", "a name of its own")
    ],
    "random_bytes": [("random_bytes.toml", "line 1", "UTF-8")],
    "rules_contradict": [
        ("rules_contradict.toml", "compare.rules.keep.A1-1", "only_along leaves out A1")
    ],
    "rules_too_many_across": [
        ("rules_too_many_across.toml", "compare.rules.across", "at most 2, as A1 has no more")
    ],
    "spans": [("spans.toml", "superstructure.panels", "one number for each span")],
    "spread_without_width": [
        ("spread_without_width.toml", "uncertainty.setting.b", "standard deviation")
    ],
    "stop_where_held": [
        ("stop_where_held.toml", "arrangement.seats.A2-1.travel.left", "guided along holds it")
    ],
    "temperature_in_kelvin": [
        ("temperature_in_kelvin.toml", "actions.temperature.air_min", "degC or degF")
    ],
    "too_few_functions": [("too_few_functions.toml", "arrangement.supports.A2", "2 functions")],
    "unknown_field": [
        ("unknown_field.toml", "actions.temperature.air_maximum", "did you mean 'air_max'?"),
        ("unknown_field.toml", "actions.temperature.air_max", "needed"),
    ],
    "unknown_function": [("unknown_function.toml", "arrangement.supports.A1[2]", "guided across")],
    "unknown_section": [
        ("unknown_section.toml", "superstructure.segments[1].section", "did you mean 'main'?")
    ],
    "wrong_column": [
        ("wrong_column_nodes.csv", "line 2, column 3", "y [m]"),
        ("wrong_column_nodes.csv", "line 2, column 4", "did you mean 'z'?"),
        ("wrong_column_nodes.csv", "line 2", "z [m]"),
    ],
    "wrong_unit": [("wrong_unit.toml", "support A2: chainage", "no unit of this kind")],
}
# Read without fault: what is wrong with them shows only when the structure is solved.
FOR_THE_SOLVER = {"disconnected", "unstable"}


def test_every_broken_file_is_expected() -> None:
    assert {path.stem for path in BROKEN.glob("*.toml")} == set(EXPECTED) | FOR_THE_SOLVER


@pytest.mark.parametrize("name", EXPECTED)
def test_the_fault_is_named(name: str) -> None:
    with pytest.raises(InputError) as caught:
        read_bridge(BROKEN / f"{name}.toml")
    faults = caught.value.faults
    assert [(fault.file, fault.where) for fault in faults] == [row[:2] for row in EXPECTED[name]]
    for fault, (_, _, allowed) in zip(faults, EXPECTED[name], strict=True):
        assert allowed in fault.allowed


@pytest.mark.parametrize("name", sorted(FOR_THE_SOLVER))
def test_what_only_the_solver_can_tell_reads(name: str) -> None:
    read_bridge(BROKEN / f"{name}.toml")
