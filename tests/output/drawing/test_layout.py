"""Plan and elevation: to scale, everything named, no text over another.

Where a text ends is measured by ezdxf's own extents of the written entities, apart from the code
that places it. That an arrow marks a free direction and a bar a held one is the rule of these
drawings themselves.
"""

import itertools
import math

import pytest
from ezdxf import bbox
from ezdxf.math import BoundingBox2d, Vec2
from scenes import EXAMPLES, NAMES, example, girder_bridge
from threadpoolctl import threadpool_limits

from bedstone.articulation.prepared import prepare
from bedstone.bridge.reader import read_bridge
from bedstone.bridge.tables import read_tables
from bedstone.bridge.templates import template, template_files
from bedstone.comparison.screen import Screen
from bedstone.output.drawing import picture as pictures
from bedstone.output.drawing.elevation import elevation
from bedstone.output.drawing.layout import layout
from bedstone.output.drawing.overlay import Overlay, of_look, still
from bedstone.output.drawing.picture import Circle, Dimension, Group, Path, Picture, every
from bedstone.output.drawing.scene import Scene, scene_of
from bedstone.output.drawing.to_dxf import to_dxf

LONG = "Überführung der Straße nach Kąty, 橋 & <№ 7> " * 4

HARD = {
    "sixty bearings": lambda: girder_bridge((40, 45, 45, 40), 12, 1.2),
    "strong skew": lambda: girder_bridge((30, 40, 30), 5, 2.6, skew=60),
    "tight curve": lambda: girder_bridge((30,) * 4, 5, 2.5, radius=60.0),
    "many spans, long name": lambda: girder_bridge((12,) * 14, 4, 2.0, skew=-40, name=LONG),
    "short and wide": lambda: girder_bridge((8,), 8, 1.0),
    "simple spans, skew": lambda: girder_bridge((20,) * 3, 6, 2.0, skew=45, continuity="simple"),
}
ALL = (*NAMES, *HARD)


def scene(name: str) -> Scene:
    return example(name) if name in NAMES else HARD[name]()


def loaded(of: Scene) -> Overlay:
    """Everything that can be laid over a plan, with figures of usual length."""
    marks = of.structure.supports
    return Overlay(
        forces={
            mark: {"V": (1e5, 12.3e6), "Fx": (-2.3e6, 2.1e6), "Fy": (-3e5, 1e5)} for mark in marks
        },
        movements=dict.fromkeys(marks, (-0.031, 0.042)),
        fixed_points=still(of.structure, of.arranged),
        moved={seat.mark: (0.0004 * seat.chainage, 0.003) for seat in of.structure.seats},
        unstable="the superstructure turns about an upright axis through A1-1, " * 4,
        caption="Forces of one kind or another, not acting together. " * 8,
    )


def drawn(name: str, *, framed: bool = True, over: bool = True) -> tuple[Picture, Picture]:
    of = scene(name)
    given = {"overlay": loaded(of)} if over else {}
    return (
        layout(of.bridge, of.structure, of.arranged, framed=framed, **given),
        elevation(of.bridge, of.structure, of.arranged, framed=framed, **given),
    )


@pytest.mark.parametrize("over", [True, False], ids=["overlay", "bare"])
@pytest.mark.parametrize("framed", [True, False], ids=["sheet", "picture"])
@pytest.mark.parametrize("name", ALL)
def test_no_text_lies_over_another_or_leaves_the_sheet(name, framed, over):
    for picture in drawn(name, framed=framed, over=over):
        assert pictures.collisions(picture) == []


@pytest.mark.parametrize("name", ["girders", "many spans, long name"])
def test_no_text_lies_over_another_as_ezdxf_measures_it(name):
    for picture in drawn(name):
        document = to_dxf([picture])
        space = document.modelspace()
        texts = [*space.query("TEXT")]
        for dimension in space.query("DIMENSION"):
            block = document.blocks.get(dimension.dxf.geometry)
            texts += [text for text in block.query("TEXT") if text.dxf.text]
        boxes = [(text.dxf.text, BoundingBox2d(bbox.extents([text]))) for text in texts]
        for (first, a), (second, b) in itertools.combinations(boxes, 2):
            # the face may be another here: letters may come nearer by a tenth of their height
            grown = Vec2(0.2, 0.2) * picture.true
            smaller = BoundingBox2d([a.extmin + grown, a.extmax - grown])
            assert not smaller.has_overlap(b), (first, second)


@pytest.mark.parametrize("name", ALL)
def test_every_seat_and_support_has_its_id_once(name):
    of = scene(name)
    plan, side = drawn(name)
    ids = pictures.identifiers(plan)
    assert len(set(ids)) == len(ids)
    assert [i for i in ids if i.startswith("seat-")] == [
        f"seat-{seat.mark}" for seat in of.structure.seats
    ]
    for picture in (plan, side):
        supports = [i for i in pictures.identifiers(picture) if i.startswith("support-")]
        assert supports == [f"support-{mark}" for mark in of.structure.supports]
    told = {text.text for text in pictures.texts(plan)}
    assert {seat.mark for seat in of.structure.seats} <= told


def sign(picture: Picture, mark: str) -> Group:
    return next(
        shape
        for shape in every(picture.shapes)
        if isinstance(shape, Group) and shape.id == f"seat-{mark}"
    )


@pytest.mark.parametrize("name", NAMES)
def test_a_held_direction_has_two_bars_and_a_free_one_two_arrows(name):
    of = scene(name)
    plan = drawn(name)[0]
    for number, place in enumerate(of.structure.seats):
        shapes = sign(plan, place.mark).shapes
        heads = [s for s in shapes if isinstance(s, Path) and s.filled]
        held = of.held(number)
        assert len(heads) == 2 * held.count(False)
        lines = [s for s in shapes if isinstance(s, Path) and not s.filled]
        bars = [s for s in lines if math.dist(*s.points) > 0.6 * max_size(lines)]
        assert len(lines) - len(heads) == 2 * held.count(True)
        if all(held):
            assert len(bars) == 4


def max_size(lines: list[Path]) -> float:
    return max(math.dist(*line.points) for line in lines)


def centre(picture: Picture, mark: str) -> tuple[float, float]:
    return next(s.centre for s in sign(picture, mark).shapes if isinstance(s, Circle))


def test_signs_stand_to_scale():
    # girders.toml: P1 at 34 m, P2 at 76 m on the reference line, girders 2.6 m apart
    plan = drawn("girders")[0]
    a, b = centre(plan, "P1-3"), centre(plan, "P2-3")
    assert math.dist(a, b) * plan.true == pytest.approx(76.0 - 34.0)
    c = centre(plan, "P1-4")
    assert (c[1] - a[1]) * plan.true == pytest.approx(2.6)
    # skew 24 deg: the line of bearings leans back by tan 24 deg (geometry of the file)
    assert (a[0] - c[0]) / (c[1] - a[1]) == pytest.approx(math.tan(math.radians(24.0)))


def test_the_view_says_where_a_point_of_the_bridge_lies():
    for name in ("girders", "curved"):
        of = scene(name)
        plan = drawn(name)[0]
        for seat in of.structure.seats:
            x, y, _ = seat.point
            assert plan.view.at(x, y) == pytest.approx(centre(plan, seat.mark))


def test_spans_are_dimensioned_with_their_length():
    plan, side = drawn("girders")
    for picture in (plan, side):
        told = [s for s in every(picture.shapes) if isinstance(s, Dimension)]
        spans = [s for s in told if s.text in ("34.000", "42.000", "110.000")]
        assert len(spans) == 4
        for dimension in spans:
            length = math.dist(*dimension.feet) * picture.true
            assert length == pytest.approx(float(dimension.text))


def test_piers_stand_as_high_as_the_file_says():
    # girders.toml: column 6.5 m and cap 1.5 m below P1, 7.2 m and 1.5 m below P2
    side = drawn("girders")[1]
    told = {s.text: s for s in every(side.shapes) if isinstance(s, Dimension)}
    for text in ("8.00", "8.70"):
        assert math.dist(*told[text].feet) * side.true == pytest.approx(float(text))


def test_the_depth_of_the_deck_is_dimensioned():
    # curved.toml and girders.toml: from the top of the slab to the underside of the girder
    for name in ("curved", "girders"):
        of = scene(name)
        side = drawn(name)[1]
        state = of.structure.states["short"]
        line = min(state.deck.lines, key=lambda line: abs(line.offset))
        first = line.members[0]
        depth = float(state.top[first] - state.bottom[first])
        assert f"{depth:.2f}" in {text.text for text in pictures.texts(side)}


def test_a_truss_shows_the_members_of_its_plane():
    # truss.toml: 64 m long, 8 panels, heights up to 10.0 m above the bottom chord
    of = scene("truss")
    side = drawn("truss")[1]
    group = next(s for s in every(side.shapes) if isinstance(s, Group) and s.id == "superstructure")
    points = [
        p for s in group.shapes if isinstance(s, Path) and s.layer == "deck" for p in s.points
    ]
    xs, ys = [x for x, _ in points], [y for _, y in points]
    assert (max(xs) - min(xs)) * side.true == pytest.approx(64.0)
    tallest = max(of.bridge.superstructure.heights)
    assert (max(ys) - min(ys)) * side.true == pytest.approx(tallest)


def test_arrows_of_forces_are_in_proportion():
    of = scene("girders")
    forces = {
        "A1": {"V": (1e6, 2e6), "Fx": (0.0, 1e6), "Fy": (0.0, 0.0)},
        "P1": {"V": (1e6, 4e6), "Fx": (0.0, 4e6), "Fy": (0.0, 0.0)},
    }
    plan = layout(of.bridge, of.structure, of.arranged, overlay=Overlay(forces=forces))
    reach = {}
    for shape in every(plan.shapes):
        if isinstance(shape, Group) and shape.id.startswith("force-"):
            ring = next(s for s in shape.shapes if isinstance(s, Circle))
            tips = [s.points[0] for s in shape.shapes if isinstance(s, Path) and s.filled]
            reach[shape.id] = [math.dist(ring.centre, tip) for tip in tips]
    assert reach["force-P1"][0] == pytest.approx(4.0 * reach["force-A1"][0])
    assert "Fx 4000 / 0 kN" in {text.text for text in pictures.texts(plan)}


def test_simple_spans_have_a_fixed_point_each():
    of = scene("railway")
    points = still(of.structure, of.arranged)
    assert [x for x, _ in points] == pytest.approx([0.0, 30.0])


def test_a_file_that_names_its_fixed_point_is_followed():
    of = scene("girders")
    point = still(of.structure, of.arranged, "P2-3")
    place = next(seat for seat in of.structure.seats if seat.mark == "P2-3")
    assert point == (place.point[:2],)


def test_instability_stands_in_words():
    of = scene("truss")
    over = Overlay(unstable="the bridge slides along x")
    for make in (layout, elevation):
        made = make(of.bridge, of.structure, of.arranged, overlay=over)
        found = [t for t in pictures.texts(made) if t.layer == "warning"]
        assert [t.text for t in found] == ["the bridge slides along x"]


def test_a_quick_look_brings_its_forces():
    bridge = read_bridge(EXAMPLES / "truss.toml")
    prepared = prepare(bridge)
    with threadpool_limits(1):
        look = Screen(prepared, "eurocode").look()
    over = of_look(look, prepared.structure)
    for mark in ("A1", "A2"):
        for effect in ("V", "Fx", "Fy"):
            low, high = over.forces[mark][effect]
            assert low == look.extreme(mark, effect, "min", "ULS")
            assert high == look.extreme(mark, effect, "max", "ULS")
    # truss.toml: rockers at A1 hold along the bridge, rollers at A2 move
    assert set(over.movements) == {"A2"}
    plan = layout(bridge, prepared.structure, look.arranged, overlay=over)
    assert {"force-A1", "force-A2", "fixed-point-1"} <= set(pictures.identifiers(plan))
    assert pictures.collisions(plan) == []


@pytest.mark.parametrize("kind", ["girders", "truss", "frame", "reactions"])
def test_every_kind_of_superstructure_is_drawn(kind, tmp_path):
    (tmp_path / "bridge.toml").write_text(template(kind))
    for name, text in template_files(kind).items():
        (tmp_path / name).write_text(text)
    bridge = read_bridge(tmp_path / "bridge.toml")
    of = scene_of(bridge, read_tables(bridge, tmp_path))
    for make in (layout, elevation):
        picture = make(bridge, of.structure, of.arranged)
        assert pictures.collisions(picture) == []
        told = " ".join(text.text for text in pictures.texts(picture))
        assert ("superstructure not in the bridge file" in told) == (
            kind == "reactions" and make is elevation
        )
