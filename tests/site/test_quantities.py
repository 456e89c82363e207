"""The catalogue of what is read on a bearing.

What belongs on which bearing is common practice, no source; factors of units are those of the
International System of Units (1 in = 25.4 mm by agreement of 1959).
"""

import math
from typing import get_args

import pytest

from bedstone.bridge.schema import BearingKind
from bedstone.errors import InputError
from bedstone.site.quantities import asked, catalogue, known, quantity

#: What other rooms and other people's forms rely on.
NAMES = {
    "offset along", "offset across", "roller offset", "roller gap", "guide gap", "overhang",
    "joint gap", "tilt", "level along", "level across", "height", "bulge", "shear offset along",
    "shear offset across", "lift-off", "contact", "pot gap", "protrusion", "seat level", "diameter",
    "corrosion", "connection", "movement", "damage", "dirt", "oil", "clamp", "anchor",
}  # fmt: skip


def names(kind: str | None, form: str, held: tuple[bool, bool]) -> set[tuple[str, str]]:
    return {(read.quantity.name, read.place) for read in asked(kind, form, held)}  # type: ignore[arg-type]


def test_the_names_stay() -> None:
    assert set(catalogue()) == NAMES


def test_every_quantity_says_what_its_sign_means() -> None:
    for item in catalogue().values():
        assert item.sign.endswith(".")
        if item.least is not None and item.least < 0.0:
            assert "+ :" in item.sign or "- :" in item.sign or item.name == "protrusion"


def test_gaps_are_never_negative() -> None:
    for name in ("roller gap", "guide gap", "joint gap", "lift-off", "pot gap"):
        assert catalogue()[name].least == 0.0


def test_a_roller_has_gaps_and_a_pad_has_none() -> None:
    roller = names("single roller", "rolls", (False, True))
    assert {("roller gap", "falling"), ("roller gap", "rising"), ("offset along", "")} <= roller
    assert ("guide gap", "left") in roller
    assert ("guide gap", "falling") not in roller  # nothing holds it along
    pad = names("laminated elastomeric", "shears", (False, False))
    assert {("shear offset along", ""), ("bulge", "left"), ("height", "corner 4")} <= pad
    assert not {name for name, _ in pad} & {"roller gap", "offset along", "pot gap", "oil"}


def test_a_plate_hangs_over_only_where_it_goes() -> None:
    guided = names("pot on slide", "slides", (False, True))
    assert {place for name, place in guided if name == "overhang"} == {"falling", "rising"}
    assert {place for name, place in guided if name == "guide gap"} == {"left", "right"}
    across = names("pot on slide", "slides", (True, False))
    assert {place for name, place in across if name == "overhang"} == {"left", "right"}
    assert {place for name, place in across if name == "guide gap"} == {"falling", "rising"}


def test_a_fixed_bearing_is_not_asked_for_its_offset() -> None:
    assert not {"offset along", "offset across"} & {
        name for name, _ in names("line rocker", "holds", (True, True))
    }


@pytest.mark.parametrize("kind", get_args(BearingKind))
def test_every_kind_is_looked_at(kind: str) -> None:
    found = {name for name, _ in names(kind, "holds", (True, True))}
    assert {"corrosion", "connection", "anchor", "clamp"} <= found


def test_units() -> None:
    offset, tilt, share = catalogue()["offset along"], catalogue()["tilt"], catalogue()["contact"]
    assert offset.units["in"] == pytest.approx(0.0254, rel=1e-15)
    assert offset.units["ft"] == pytest.approx(12 * 0.0254, rel=1e-15)
    assert tilt.units["deg"] == pytest.approx(math.pi / 180, rel=1e-15)
    assert tilt.units["in/ft"] == pytest.approx(1 / 12, rel=1e-15)
    assert share.units["%"] == 0.01
    assert "mm" not in tilt.units
    assert not catalogue()["corrosion"].units


def test_a_size_is_read_by_its_name() -> None:
    item = quantity("size: diameter")
    assert (item.name, item.unit) == ("size: diameter", "m")
    assert known("size: ") is None


def test_an_unknown_name_is_told() -> None:
    with pytest.raises(InputError, match=r"f\.xlsx: row 3: found 'wobble'; allowed: offset along"):
        quantity("wobble", "f.xlsx", "row 3")
