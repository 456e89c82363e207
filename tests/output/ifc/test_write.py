"""The model: valid against IFC 4.3, its numbers those of the schedule, its solids the bearings.

Validity by the validator of IfcOpenShell, rules of the schema (ISO 16739-1:2024) included; places
and solids by its geometry engine.
"""

import dataclasses
import datetime as dt
import math
import warnings
from dataclasses import replace

import ifcopenshell
import ifcopenshell.geom
import ifcopenshell.util.element as of_element
import ifcopenshell.util.placement as of_place
import ifcopenshell.util.shape as of_shape
import ifcopenshell.validate
import numpy as np
import pytest
from examples_made import Example, example
from ifcopenshell import ifcopenshell_wrapper
from scenes import KINDS, made

from bedstone.actions.effects import SEAT_EFFECTS
from bedstone.bearings.selection import Choice
from bedstone.bridge.schema import Seat, Springs6
from bedstone.output.ifc import bridge_model
from bedstone.output.shown import UNITS, shown
from bedstone.schedule.designs import SeatDesign

NAMES = ("truss", "curved", "railway")


def written(of: Example, **changes) -> bytes:
    return bridge_model(
        changes.pop("schedule", of.schedule),
        of.bridge,
        changes.pop("functions", of.functions),
        changes.pop("designs", of.designs),
        **changes,
    )


def opened(content: bytes):
    return ifcopenshell.file.from_string(content.decode())


def faults(model, *, rules: bool = True) -> list[str]:
    log = ifcopenshell.validate.json_logger()
    with warnings.catch_warnings():
        # the library leaves the file with its rules open
        warnings.simplefilter("ignore", ResourceWarning)
        ifcopenshell.validate.validate(model, log, express_rules=rules)
    return [str(statement) for statement in log.statements]


@pytest.fixture(scope="module", params=NAMES)
def case(request):
    of = example(request.param)
    return of, opened(written(of))


# ------------------------------------------------------------------ validity
def test_it_is_valid(case) -> None:
    _, model = case
    assert model.schema_identifier == "IFC4X3_ADD2"
    assert faults(model) == []


def test_every_part_of_the_bridge_says_how_it_divides_it(case) -> None:
    of, model = case
    parts = model.by_type("IfcBridgePart")
    assert {part.PredefinedType for part in parts} >= {"SUPERSTRUCTURE", "ABUTMENT"}
    assert all(part.UsageType for part in parts)
    marks = {support.mark for support in of.schedule.supports}
    assert marks <= {part.Name for part in parts}


def test_identifiers_are_unique_and_stay_when_numbers_change(case) -> None:
    of, model = case
    codes = [entity.GlobalId for entity in model.by_type("IfcRoot")]
    assert len(set(codes)) == len(codes)
    heavier = tuple(replace(line, value=2.0 * line.value) for line in of.schedule.seat_lines)
    other = opened(written(of, schedule=replace(of.schedule, seat_lines=heavier)))
    own = {bearing.Tag: bearing.GlobalId for bearing in model.by_type("IfcBearing")}
    assert own == {bearing.Tag: bearing.GlobalId for bearing in other.by_type("IfcBearing")}
    third = opened(written(of, schedule=replace(of.schedule, bridge="another bridge")))
    assert set(own.values()).isdisjoint(bearing.GlobalId for bearing in third.by_type("IfcBearing"))


def test_the_same_bridge_gives_the_same_bytes(case) -> None:
    of, _ = case
    assert written(of) == written(of)
    assert b"'2031-05-06T00:00:00'" in written(of, made=dt.date(2031, 5, 6))


# ------------------------------------------------------------------ bearings
def test_bearings_stand_where_the_schedule_says_in_their_own_axes(case) -> None:
    of, model = case
    infos = {seat.mark: seat for seat in of.schedule.seats}
    bearings = model.by_type("IfcBearing")
    assert [bearing.Tag for bearing in bearings] == list(infos)
    for bearing in bearings:
        info = infos[bearing.Tag]
        place = of_place.get_local_placement(bearing.ObjectPlacement)
        assert place[:3, 3] == pytest.approx(info.point, abs=1e-8)
        assert place[:3, 0] == pytest.approx(
            [math.cos(info.angle), math.sin(info.angle), 0.0], abs=1e-8
        )
        assert of_element.get_container(bearing).Name == info.support


def test_true_is_free_in_the_set_of_the_standard_and_held_in_conditions(case) -> None:
    of, model = case
    points = {point.Name: point for point in model.by_type("IfcStructuralPointConnection")}
    for info, bearing in zip(of.schedule.seats, model.by_type("IfcBearing"), strict=True):
        told = of_element.get_psets(bearing)["Pset_BearingCommon"]
        held = [False, False, True] if info.function == "free" else list(info.held[:3])
        assert told["DisplacementAccommodated"] == [not one for one in held]
        assert told["RotationAccommodated"] == [not one for one in info.held[3:]]
        condition = points[info.mark].AppliedCondition
        assert [
            getattr(condition, f"TranslationalStiffness{axis}").wrappedValue for axis in "XYZ"
        ] == held
        axes = points[info.mark].ConditionCoordinateSystem.RefDirection.DirectionRatios
        assert axes == pytest.approx((math.cos(info.angle), math.sin(info.angle), 0.0))


def test_springs_are_stiffnesses() -> None:
    of = example("truss")
    seat = Seat(function="free").model_copy(
        update={"stiffness": Springs6.model_construct(kx=2.5e6, kry=3e7)}
    )
    info = of.schedule.seats[-1]
    sprung = (True, False, False, False, True, False)
    held = tuple(a or b for a, b in zip(info.held, sprung, strict=True))
    seats = (*of.schedule.seats[:-1], replace(info, function="free", held=held, sprung=sprung))
    model = opened(
        written(
            of,
            schedule=replace(of.schedule, seats=seats),
            functions={**of.functions, info.mark: seat},
        )
    )
    point = model.by_type("IfcStructuralPointConnection")[-1]
    condition = point.AppliedCondition
    assert condition.TranslationalStiffnessX.is_a("IfcLinearStiffnessMeasure")
    assert condition.TranslationalStiffnessX.wrappedValue == 2.5e6
    assert condition.RotationalStiffnessY.wrappedValue == 3e7
    told = of_element.get_psets(model.by_type("IfcBearing")[-1])["Pset_BearingCommon"]
    assert told["DisplacementAccommodated"][0]
    assert faults(model) == []


def test_effects_are_those_of_the_schedule_in_their_units(case) -> None:
    of, model = case
    symbols = {"KILO NEWTON": "kN", "MILLI METRE": "mm", "MILLI RADIAN": "mrad"}
    count = 0
    for bearing in model.by_type("IfcBearing"):
        own = next(
            relation.RelatingPropertyDefinition
            for relation in bearing.IsDefinedBy
            if relation.RelatingPropertyDefinition.Name == "Bedstone_Effects"
        )
        found = {item.Name: item for item in own.HasProperties}
        for line in of.schedule.seat_lines:
            item = found.get(f"{line.limit_state}: {line.effect} {line.sense}")
            if line.place == bearing.Tag and item is not None:
                assert item.NominalValue.wrappedValue == shown(line.effect, line.value)
                unit = f"{item.Unit.Prefix} {item.Unit.Name}"
                assert symbols[unit] == UNITS[line.effect]
                count += 1
    assert count >= 2 * 7 * 2 * len(of.schedule.seats)  # senses, effects, two limit states


def test_unknown_kinds_are_told_by_their_own_name() -> None:
    of = example("truss")
    functions = {
        mark: seat.model_copy(update={"kind": kind})
        for (mark, seat), kind in zip(
            of.functions.items(), ("pin", "disc", "uplift restraint", None), strict=True
        )
    }
    model = opened(written(of, functions=functions, designs=()))
    told = [(one.PredefinedType, one.ObjectType) for one in model.by_type("IfcBearing")]
    assert told == [
        ("USERDEFINED", "pin"),
        ("DISK", "disc"),
        ("USERDEFINED", "uplift restraint"),
        ("NOTDEFINED", None),
    ]
    assert faults(model) == []


# ------------------------------------------------------------------ reactions
def test_reactions_are_the_forces_at_the_bearings_turned_and_reversed(case) -> None:
    of, model = case
    angles = {seat.mark: seat.angle for seat in of.schedule.seats}
    loads = {one.Name: one.AppliedLoad for one in model.by_type("IfcStructuralPointReaction")}
    count = 0
    for line in of.schedule.seat_lines:
        load = loads.get(f"{line.place}: {line.limit_state}: {line.effect} {line.sense}")
        if load is None:
            continue
        count += 1
        own = dict(zip(SEAT_EFFECTS, line.acting, strict=True))
        force = np.array([load.ForceX, load.ForceY])
        moment = np.array([load.MomentX, load.MomentY])
        angle = angles[line.place]
        ahead = np.array([math.cos(angle), math.sin(angle)])
        left = np.array([-math.sin(angle), math.cos(angle)])
        assert load.ForceZ == pytest.approx(own["N"], abs=1e-3)  # up where it presses
        assert [force @ ahead, force @ left] == pytest.approx([-own["Hx"], -own["Hy"]], abs=2e-3)
        assert [moment @ ahead, moment @ left] == pytest.approx([-own["Mx"], -own["My"]], abs=2e-3)
    assert count >= 2 * 3 * 2 * len(angles)
    permanent = sum(
        load.ForceZ for name, load in loads.items() if name.endswith("permanent actions")
    )
    # equilibrium: the bearings carry the weight that was put in
    assert permanent == pytest.approx(of.schedule.checks.weight_applied, rel=1e-6)


def test_every_reaction_stands_at_the_support_of_its_bearing(case) -> None:
    _, model = case
    for reaction in model.by_type("IfcStructuralPointReaction"):
        (relation,) = reaction.AssignedToStructuralItem
        assert reaction.Name.startswith(f"{relation.RelatingElement.Name}: ")
    for bearing in model.by_type("IfcBearing"):
        (relation,) = bearing.ReferencedBy
        assert [point.Name for point in relation.RelatedObjects] == [bearing.Tag]


# ------------------------------------------------------------------ alignment
def test_the_arc_ends_where_the_circle_does() -> None:
    model = opened(written(example("curved")))
    (curve,) = model.by_type("IfcCompositeCurve")
    settings = ifcopenshell.geom.settings()
    line = ifcopenshell_wrapper.map_shape(settings, curve)
    walk = ifcopenshell_wrapper.function_item_evaluator(settings, line)
    radius, length = 180.0, 76.0  # of the example: a turn to the left
    for run in (0.0, 38.0, length):
        turn = run / radius
        place = np.array(walk.evaluate(run))
        expected = [radius * math.sin(turn), radius * (1.0 - math.cos(turn))]
        assert place[:2, 3] == pytest.approx(expected, abs=1e-6)
        assert place[:2, 0] == pytest.approx([math.cos(turn), math.sin(turn)], abs=1e-6)


def test_chainages_stand_on_the_line(case) -> None:
    of, model = case
    told = {
        referent.Name: of_element.get_psets(referent)["Pset_Stationing"]["Station"]
        for referent in model.by_type("IfcReferent")
        if referent.PredefinedType == "REFERENCEMARKER"
    }
    assert told == {support.mark: support.chainage for support in of.schedule.supports}


# ------------------------------------------------------------------ solids
@pytest.fixture(scope="module")
def every_kind():
    """A truss with as many bearings at its first seat as there are kinds."""
    of = example("truss")
    info = of.schedule.seats[0]
    marks = {f"A1-{place}": kind for place, kind in enumerate(KINDS, start=1)}
    seats = tuple(replace(info, mark=mark) for mark in marks)
    schedule = replace(
        of.schedule,
        seats=seats,
        seat_lines=(),
        permanent_seats=dict.fromkeys(marks, of.schedule.permanent_seats[info.mark]),
    )
    designs = []
    for mark, kind in marks.items():
        bearing = made(kind)
        demand = replace(bearing.demand, seat=mark)
        designs.append(SeatDesign(demand, "asked for", Choice(bearing.design.kind, bearing.design)))
    functions = dict.fromkeys(marks, of.functions[info.mark])
    return marks, opened(
        written(of, schedule=schedule, functions=functions, designs=tuple(designs))
    )


def test_solids_have_the_size_of_every_kind(every_kind) -> None:
    marks, model = every_kind
    settings = ifcopenshell.geom.settings()
    for bearing in model.by_type("IfcBearing"):
        kind = marks[bearing.Tag]
        design = made(kind).design
        corners = of_shape.get_vertices(ifcopenshell.geom.create_shape(settings, bearing).geometry)
        low, high = corners.min(axis=0), corners.max(axis=0)
        if kind == "uplift restraint":  # its rods stand out beyond what they span
            assert high[2] - low[2] >= design.height
            continue
        # millimetres: dowels and pintles may stand in the plates, but never beyond them
        tall = high[2] - low[2]
        if not any("dowel" in part.name for part in design.parts):
            assert tall == pytest.approx(design.height, abs=1e-4), kind
        assert high[0] - low[0] == pytest.approx(design.reach[0], abs=1e-3), kind
        assert high[1] - low[1] == pytest.approx(design.reach[1], abs=1e-3), kind
        assert low[2] < 0.0 < high[2], kind  # the origin stands where it turns


def test_what_is_not_drawn_is_named(every_kind) -> None:
    marks, model = every_kind
    for kind in model.by_type("IfcBearingType"):
        told = of_element.get_psets(kind)["Bedstone_Parts"]
        aspects = {aspect.Name for aspect in kind.RepresentationMaps[0].HasShapeAspects}
        names = {name for name in aspects if not name.endswith(")")}
        left = set(told.get("Not drawn") or ())
        design = made(marks[_mark(kind)]).design
        assert names | left == {part.name for part in design.parts}
        assert names.isdisjoint(left)
        assert len(told["Parts"]) == len(design.parts)


def _mark(kind) -> str:
    (relation,) = kind.Types
    return relation.RelatedObjects[0].Tag


def test_every_kind_is_valid(every_kind) -> None:
    assert faults(every_kind[1]) == []


def test_bearings_alike_share_a_type() -> None:
    of = example("curved")
    model = opened(written(of))
    for kind in model.by_type("IfcBearingType"):
        (relation,) = kind.Types
        marks = {bearing.Tag for bearing in relation.RelatedObjects}
        designs = {item.choice.design.bearing for item in of.designs if item.seat in marks}
        assert len(designs) == 1


# ------------------------------------------------------------------ names and size
HOSTILE = [
    "it's a \\ bridge; #1=IFCWALL();",
    'Brücke "Süd", km 3,5',
    "橋梁 №7 \\X2\\00E4\\X0\\",
    "ENDSEC;END-ISO-10303-21;",
    "x" * 300,
]


@pytest.mark.parametrize("name", HOSTILE)
def test_names_stay_as_they_are(name: str) -> None:
    of = example("truss")
    model = opened(written(of, schedule=replace(of.schedule, bridge=name, reference=name)))
    (bridge,) = model.by_type("IfcBridge")
    assert bridge.Description == name
    assert bridge.Name == (name if len(name) <= 255 else name[:254] + "…")
    assert len(model.by_type("IfcBearing")) == len(of.functions)
    assert faults(model, rules=False) == []


def test_sixty_bearings() -> None:
    of = example("curved")
    marks = [seat.mark for seat in of.schedule.seats]
    copies = range(5)
    seats = tuple(
        replace(seat, mark=f"{seat.mark}/{copy}") for copy in copies for seat in of.schedule.seats
    )
    lines = tuple(
        replace(line, place=f"{line.place}/{copy}")
        for copy in copies
        for line in of.schedule.seat_lines
    )
    permanent = {f"{m}/{c}": of.schedule.permanent_seats[m] for c in copies for m in marks}
    schedule = replace(of.schedule, seats=seats, seat_lines=lines, permanent_seats=permanent)
    functions = {f"{m}/{c}": of.functions[m] for c in copies for m in marks}
    designs = tuple(
        dataclasses.replace(item, demand=replace(item.demand, seat=f"{item.seat}/{c}"))
        for c in copies
        for item in of.designs
    )
    model = opened(written(of, schedule=schedule, functions=functions, designs=designs))
    assert len(model.by_type("IfcBearing")) == 60
    assert len(model.by_type("IfcBearingType")) <= 12
