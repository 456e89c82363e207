"""Bearings read back: the same arrangement, from files of ours and of others."""

import math
import tempfile
from dataclasses import replace
from pathlib import Path

import ifcopenshell
import ifcopenshell.util.element as of_element
import pytest
from examples_made import EXAMPLES, example
from hypothesis import given, settings
from hypothesis import strategies as st

from bedstone.articulation.arrangement import HELD
from bedstone.bridge import read_bridge, read_tables
from bedstone.bridge.schema import Seat, Springs6, Stops
from bedstone.bridge.seats import arrangement_functions
from bedstone.errors import InputError
from bedstone.output.ifc import bridge_model, read_arrangement, read_bearings
from bedstone.output.ifc.names import UnclearError, seat_from

NAMES = ("truss", "curved", "railway")


def saved(folder: Path, content: bytes) -> Path:
    path = folder / "bridge.ifc"
    path.write_bytes(content)
    return path


def written(name: str, folder: Path) -> Path:
    of = example(name)
    return saved(folder, bridge_model(of.schedule, of.bridge, of.functions, of.designs))


@pytest.mark.parametrize("name", NAMES)
def test_the_arrangement_comes_back(name: str, tmp_path: Path) -> None:
    found = read_arrangement(written(name, tmp_path))
    bridge = read_bridge(EXAMPLES / f"{name}.toml")
    assert found == arrangement_functions(bridge, read_tables(bridge, EXAMPLES))
    assert list(found) == [seat.mark for seat in example(name).schedule.seats]


@pytest.mark.parametrize("name", NAMES)
def test_place_and_direction_come_back(name: str, tmp_path: Path) -> None:
    found = read_bearings(written(name, tmp_path))
    for info, bearing in zip(example(name).schedule.seats, found, strict=True):
        assert (bearing.mark, bearing.support) == (info.mark, info.support)
        assert bearing.point == pytest.approx(info.point, abs=1e-8)
        assert math.remainder(bearing.angle - info.angle, math.tau) == pytest.approx(0.0, abs=1e-8)


@pytest.mark.parametrize("name", NAMES)
def test_the_set_of_the_standard_is_enough(name: str, tmp_path: Path) -> None:
    """A file without our own sets: function by what is let go, direction by the place."""
    path = written(name, tmp_path)
    model = ifcopenshell.open(str(path))
    for own in list(model.by_type("IfcPropertySet")):
        if own.Name.startswith("Bedstone_"):
            for relation in own.DefinesOccurrence:
                model.remove(relation)
            model.remove(own)
    model.write(str(path))
    angles = {seat.mark: seat.angle for seat in example(name).schedule.seats}
    supports = {support.mark: support for support in example(name).schedule.supports}
    for bearing in read_bearings(path):
        told_here = example(name).functions[bearing.mark]
        assert bearing.seat.function == told_here.function
        assert bearing.seat.kind in {
            told_here.kind,
            *(i.choice.kind for i in example(name).designs),
        }
        own = 0.0 if bearing.seat.direction == "axis" else bearing.seat.direction
        # on supports that are square to the line its tangent at the seat is that of the support
        tangent = supports[bearing.support].angle
        assert math.remainder(tangent + own - angles[bearing.mark], math.tau) == pytest.approx(
            0.0, abs=1e-6
        )


# ------------------------------------------------------------------ any seat
lengths = st.none() | st.floats(0.0, 10.0)
stiffness = st.none() | st.floats(1.0, 1e12)
seats = st.builds(
    lambda function, kind, direction, friction, uplift, rotations, play, springs, stops: Seat(
        function=function,
        kind=kind,
        friction=friction,
        uplift=uplift,
        hold_rotation=rotations,
    ).model_copy(
        update={
            "direction": direction,
            "play": play or 0.0,
            "stiffness": None
            if all(value is None for value in springs.values())
            else Springs6.model_construct(**springs),
            "travel": None
            if all(value is None for value in stops.values())
            else Stops.model_construct(**stops),
        }
    ),
    st.sampled_from(["fixed", "guided along", "guided across", "free", "elastic"]),
    st.sampled_from([None, "pot", "pin", "disc", "laminated elastomeric"]),
    st.sampled_from(["axis", "tangent", "toward fixed point", "square"]) | st.floats(-3.1, 3.1),
    st.none() | st.floats(0.0, 0.6),
    st.booleans(),
    st.lists(st.sampled_from("xyz"), unique=True),
    lengths,
    st.fixed_dictionaries(dict.fromkeys(("kx", "ky", "kz", "krx", "kry", "krz"), stiffness)),
    st.fixed_dictionaries(dict.fromkeys(("back", "ahead", "right", "left"), lengths)),
)


@settings(max_examples=40)
@given(seats)
def test_any_seat_comes_back_to_the_last_figure(seat: Seat) -> None:
    of = example("truss")
    functions = dict.fromkeys(of.functions, seat)
    held = (*HELD[seat.function], False, False, False)
    infos = tuple(replace(info, function=seat.function, held=held) for info in of.schedule.seats)
    schedule = replace(of.schedule, seats=infos, seat_lines=())
    with tempfile.TemporaryDirectory() as folder:
        path = saved(Path(folder), bridge_model(schedule, of.bridge, functions))
        found = read_arrangement(path)
    assert found == functions


@pytest.mark.parametrize(
    ("change", "word"),
    [
        ({"Function": "floating"}, "function"),
        ({"Kind": "magnet"}, "kind"),
        ({"Friction": 7.0}, "friction"),
        ({"Direction": "north"}, "direction"),
        ({"Play each side": -0.001}, "Play each side"),
        ({"Stiffness kx": "soft"}, "Stiffness kx"),
        ({"Stop back": math.inf}, "Stop back"),
    ],
)
def test_an_unclear_property_is_named(change: dict[str, object], word: str) -> None:
    with pytest.raises(UnclearError, match=word):
        seat_from({"Function": "fixed", **change})


# ------------------------------------------------------------------ faults
EMPTY = (
    b"ISO-10303-21;HEADER;FILE_DESCRIPTION((''),'2;1');FILE_NAME('','',(''),(''),'','','');"
    b"FILE_SCHEMA(('%s'));ENDSEC;DATA;ENDSEC;END-ISO-10303-21;"
)


def test_two_sets_that_differ_are_refused(tmp_path: Path) -> None:
    path = written("truss", tmp_path)
    model = ifcopenshell.open(str(path))
    bearing = model.by_type("IfcBearing")[0]
    assert of_element.get_psets(bearing)["Bedstone_Bearing"]["Function"] == "fixed"
    common = next(
        relation.RelatingPropertyDefinition
        for relation in bearing.IsDefinedBy
        if relation.RelatingPropertyDefinition.Name == "Pset_BearingCommon"
    )
    moved = common.HasProperties[0]
    moved.ListValues = [model.create_entity("IfcBoolean", free) for free in (True, False, False)]
    model.write(str(path))
    with pytest.raises(InputError) as caught:
        read_arrangement(path)
    (fault,) = caught.value.faults
    assert "A1-1" in fault.where
    assert "fixed" in fault.found


def test_every_unclear_bearing_is_told(tmp_path: Path) -> None:
    path = written("truss", tmp_path)
    model = ifcopenshell.open(str(path))
    for bearing in model.by_type("IfcBearing")[:2]:
        for relation in list(bearing.IsDefinedBy):
            model.remove(relation)
    model.write(str(path))
    with pytest.raises(InputError) as caught:
        read_arrangement(path)
    assert len(caught.value.faults) == 2
    assert all("DisplacementAccommodated" in fault.allowed for fault in caught.value.faults)


def test_a_mark_that_stands_twice_is_refused(tmp_path: Path) -> None:
    path = written("truss", tmp_path)
    text = path.read_text().replace("IFCTEXT('A1-2')", "IFCTEXT('A1-1')")
    path.write_text(text)
    with pytest.raises(InputError) as caught:
        read_arrangement(path)
    assert "'A1-1'" in caught.value.faults[0].found


@pytest.mark.parametrize(
    ("content", "word"),
    [
        (None, "file"),
        (b"", "STEP"),
        (b"[bridge]\nname = 'x'\n", "STEP"),
        (b"ISO-10303-21;\nHEADER;\nrubbish", "IFC 4.3"),
        (EMPTY % b"IFC2X3", "IFC 4.3"),
        (EMPTY % b"IFC4X3_ADD2", "bearing"),
    ],
)
def test_what_is_no_such_file_is_told_in_one_line(content, word, tmp_path: Path) -> None:
    path = tmp_path / "bridge.ifc"
    if content is not None:
        path.write_bytes(content)
    with pytest.raises(InputError) as caught:
        read_arrangement(path)
    (fault,) = caught.value.faults
    assert fault.file == "bridge.ifc"
    assert word in fault.allowed
