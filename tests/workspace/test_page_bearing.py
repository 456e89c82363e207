"""The page of one bearing: solids, sizes in the words of the file, edited sizes held to demand."""

import math
import sys
import tomllib
from collections import Counter
from pathlib import Path

import numpy as np
import pytest

from bedstone.bearings import catalogue
from bedstone.bridge.units import UnitError
from bedstone.errors import InputError
from bedstone.output.drawing.details import assembly_of, detail
from bedstone.output.drawing.pieces import Lying, Upright
from bedstone.output.drawing.to_svg import to_svg
from bedstone.schedule.designs import design_seat, seats_of
from bedstone.workspace import sizes, solid
from bedstone.workspace.desk import Desk
from bedstone.workspace.pages import bearing
from bedstone.workspace.work import full_schedule

sys.path.insert(0, str(Path(__file__).parents[1] / "output" / "drawing"))
from scenes import FORMS, KINDS, SERVED, basis, demand, made

#: What words for sizes cannot say: two pairs of guides of different bars, a rocker strip.
UNSAID = ("spherical that holds", "key")


def asked(name: str):
    """Demand, basis and kind of a bearing that is drawn in the tests."""
    if name in FORMS:
        return FORMS[name]
    function, family, changes = SERVED[name]
    return demand(function, **changes), basis(family), name


# ------------------------------------------------------------------ solids
@pytest.mark.parametrize("name", KINDS)
def test_every_solid_is_closed_and_faces_outwards(name: str) -> None:
    for found in solid.solids(made(name).design):
        edges = Counter(
            (int(tri[a]), int(tri[b]))
            for tri in found.triangles
            for a, b in ((0, 1), (1, 2), (2, 0))
        )
        # on a closed surface every edge is run through once each way; a slit to a hole, or a
        # corner on the axis of a turned piece, has its two sides at one place
        assert all(edges[b, a] == count for (a, b), count in edges.items()), found.part
        assert found.volume > 0.0, found.part


@pytest.mark.parametrize("name", ["single roller", "pot", "hardened roller"])
def test_volumes_are_those_of_geometry(name: str) -> None:
    # cylinder: pi d^2 h / 4, less its hole; a polygon of 48 sides has 0.29 % less (geometry)
    design = made(name).design
    checked = 0
    for piece, found in zip(assembly_of(design).pieces, solid.solids(design), strict=True):
        form = piece.form
        if isinstance(form, Upright):
            whole = math.pi / 4.0 * (form.diameter**2 - form.hole**2) * form.height
        elif isinstance(form, Lying) and not form.grooves and form.flats is None:
            whole = math.pi / 4.0 * form.diameter**2 * form.length
        else:
            continue
        assert found.volume == pytest.approx(whole, rel=3.5e-3)
        checked += 1
    assert checked


@pytest.mark.parametrize("name", ["pin", "cylindrical", "roller nest", "spherical that is free"])
def test_masses_of_the_solids_are_those_of_the_parts(name: str) -> None:
    # 7850 kg/m3 for steel (EN 1991-1-1, Table A.4: 77 to 78.5 kN/m3; from memory)
    design = made(name).design
    volumes: Counter[str] = Counter()
    for found in solid.solids(design):
        volumes[found.part] += found.volume
    for word in ("plate", "roller", "lug", "segment", "block"):
        for part in design.parts:
            if part.name.endswith(word):
                told = sum(p.mass * p.number for p in design.parts if p.name == part.name)
                assert volumes[part.name] * 7850.0 == pytest.approx(told, rel=0.035), part.name


def test_a_hole_in_a_lug_is_left_open() -> None:
    design = made("pin").design
    lug = next(p for p in assembly_of(design).pieces if p.part == "upper lug")
    radius = lug.form.hole[2]
    whole = abs(solid._area(lug.form.profile)) / 2.0 * lug.form.width
    found = solid._solid(lug)
    assert found.volume == pytest.approx(whole - math.pi * radius**2 * lug.form.width, rel=3e-3)
    assert found.points[:, 1].min() == pytest.approx(lug.y - lug.form.width / 2.0)


def test_solids_fill_the_height_and_the_plan_of_the_bearing() -> None:
    design = made("single roller").design
    plates = [s for s in solid.solids(design) if s.part.endswith("plate")]
    points = np.vstack([s.points for s in plates])
    assert np.ptp(points[:, 2]) == pytest.approx(design.height)
    assert np.ptp(points[:, 0]) == pytest.approx(design.reach[0])
    assert np.ptp(points[:, 1]) == pytest.approx(design.reach[1])


def test_the_figure_names_every_part_once_and_asks_for_nothing_from_elsewhere() -> None:
    design = made("pot on slide").design
    figure = solid.figure(design)
    legend = [item["name"] for item in figure["data"] if item.get("showlegend")]
    assert sorted(legend) == sorted({piece.part for piece in assembly_of(design).pieces})
    assert "http" not in str(figure)
    box = figure["layout"]["scene"]["aspectratio"]
    assert box["x"] / box["z"] == pytest.approx(
        np.ptp(np.vstack([s.points for s in solid.solids(design)]), axis=0)[0]
        / np.ptp(np.vstack([s.points for s in solid.solids(design)]), axis=0)[2],
        rel=1e-3,
    ), "true proportions"


# ------------------------------------------------------------------ sizes
@pytest.mark.parametrize("name", [name for name in KINDS if name not in UNSAID])
def test_a_bearing_given_by_its_own_sizes_is_the_same_bearing(name: str) -> None:
    wanted, on, kind = asked(name)
    design = made(name).design
    again = catalogue.kind_of(kind).given(sizes.restated(design), wanted, on)
    assert again.parts == design.parts
    assert again.utilisation == pytest.approx(design.utilisation, abs=1e-9)


@pytest.mark.parametrize("name", KINDS)
def test_written_sizes_are_read_back_to_the_same_values(name: str) -> None:
    design = made(name).design
    told = sizes.restated(design)
    fields = catalogue.kind_of(design.kind).fields()
    for size, text in sizes.as_written(design.kind, told).items():
        value = told[size]
        wanted = value if isinstance(value, str) else pytest.approx(value, rel=1e-6)
        assert sizes.typed(str(text), fields[size]) == wanted, size


@pytest.mark.parametrize(
    ("text", "words", "value"),
    [
        ("260", "m, of the pin", 0.26),
        ("0.26 m", "m", 0.26),
        ("10 in", "m", 0.254),  # an inch is 25.4 mm by definition (ISO 80000-3)
        ("35", "Pa, of the disc", 35e6),
        ("4", "number of inner layers", 4),
        ("M24", "name of the bolts, as M24", "M24"),
        ("8.8", "grade of the bolts, as 8.8", "8.8"),
        (" 12.5 mm ", "m", 0.0125),
    ],
)
def test_what_is_typed_comes_in_si(text: str, words: str, value: object) -> None:
    wanted = pytest.approx(value) if isinstance(value, float) else value
    assert sizes.typed(text, words) == wanted


@pytest.mark.parametrize("text", ["ten", "3 kN", "", "1,5", "nan"])
def test_what_is_no_length_is_refused(text: str) -> None:
    with pytest.raises(UnitError):
        sizes.typed(text, "m")


# ------------------------------------------------------------------ a seat of a bridge
def schedule_of(desk: Desk):
    return full_schedule(
        desk.text, desk.name, desk.folder, None, progress=lambda done, total, text: None
    )


@pytest.fixture
def desk(truss: Path) -> Desk:
    return Desk.open(truss)


def test_an_edited_size_moves_the_utilisation_and_the_file_says_the_same(desk: Desk) -> None:
    schedule = schedule_of(desk)
    seats = seats_of(desk.bridge, desk.folder)
    found = design_seat(schedule, desk.bridge, seats, "A2-2")
    told = bearing.base_sizes(desk.bridge, found)
    same = bearing.with_sizes(schedule, desk, "A2-2", found.choice.kind, told)
    assert found.choice.design is not None
    assert same.choice.design is not None
    named = [(part.name, part.size) for part in found.choice.design.parts]
    assert [(part.name, part.size) for part in same.choice.design.parts] == named
    assert bearing.misses(found, same) == ""
    thin = bearing.with_sizes(
        schedule, desk, "A2-2", found.choice.kind, told | {"pot.wall": "5 mm"}
    )
    assert thin.choice.design is not None
    assert found.choice.design.passes
    assert not thin.choice.design.passes
    # what is written is what was seen, and undo goes back
    text = sizes.with_given(
        desk.text, desk.bridge, "A2-2", found.choice.kind, told | {"pot.wall": "5 mm"}
    )
    before = desk.text
    desk.edit(text)
    written = design_seat(schedule, desk.bridge, seats_of(desk.bridge, desk.folder), "A2-2")
    assert written.origin == "given"
    assert written.choice.design == thin.choice.design
    desk.undo()
    assert desk.text == before


def test_sizes_that_cannot_be_are_named_in_the_words_of_the_file(desk: Desk) -> None:
    schedule = schedule_of(desk)
    seats = seats_of(desk.bridge, desk.folder)
    found = design_seat(schedule, desk.bridge, seats, "A2-2")
    told = bearing.base_sizes(desk.bridge, found) | {"pot.depth": "1 mm"}
    with pytest.raises(InputError) as error:
        bearing.with_sizes(schedule, desk, "A2-2", found.choice.kind, told)
    assert "pot.depth" in [bearing._size_of(fault) for fault in error.value.faults]


def test_the_schedule_is_stale_when_forces_change_and_not_when_a_bearing_is_given(desk: Desk):
    key = bearing.key_of(desk.bridge, desk.family)
    desk.edit(sizes.with_given(desk.text, desk.bridge, "A1-2", "pot", {"pad.diameter": "300 mm"}))
    assert bearing.key_of(desk.bridge, desk.family) == key
    desk.set_function("A1-2", "fixed")
    assert bearing.key_of(desk.bridge, desk.family) != key
    assert bearing.key_of(desk.bridge, "aashto") != bearing.key_of(desk.bridge, "eurocode")


# ------------------------------------------------------------------ the text
def test_given_sizes_go_into_the_file_and_out_again_and_comments_stay(desk: Desk) -> None:
    text = desk.text
    comments = [line for line in text.splitlines() if "#" in line]
    first = sizes.with_given(text, desk.bridge, "A1-1", "line rocker", {"radius": "300 mm"})
    desk.edit(first)
    second = sizes.with_given(first, desk.bridge, "A2-2", "pot", {"pad.diameter": "300 mm"})
    desk.edit(second)
    assert [line for line in second.splitlines() if "#" in line] == comments
    assert tomllib.loads(second)["bearings"]["given"] == [
        {"seat": "A1-1", "kind": "line rocker", "sizes": {"radius": "300 mm"}},
        {"seat": "A2-2", "kind": "pot", "sizes": {"pad.diameter": "300 mm"}},
    ]
    third = sizes.with_given(second, desk.bridge, "A1-1", "pin", {"diameter": "90 mm"})
    assert tomllib.loads(third)["bearings"]["given"][0] == {
        "seat": "A1-1",
        "kind": "pin",
        "sizes": {"diameter": "90 mm"},
    }
    desk.edit(third)
    out = sizes.without_given(third, desk.bridge, "A1-1")
    assert [item["seat"] for item in tomllib.loads(out)["bearings"]["given"]] == ["A2-2"]


@pytest.mark.parametrize(
    "told",
    [
        "[bearings]\nconcrete_below = '35 MPa'\n",
        "[bearings]\nconcrete_below = '35 MPa' # core tests\n[bearings.kinds]\nA1 = 'pot'\n",
        "bearings = { concrete_below = '35 MPa' }\n",
        "[bearings]\ngiven = [ { seat = 'A2-1', kind = 'pot', sizes = {} } ]\n",
        "[bearings.options]\n'steel' = 'S275'\n",
    ],
)
@pytest.mark.parametrize("first", [True, False])
def test_a_given_bearing_finds_its_place_in_any_form_of_the_file(
    desk: Desk, told: str, first: bool
) -> None:
    if told.startswith("bearings =") and not first:
        pytest.skip("a table in one line stands above all others")
    text = f"{told}\n{desk.text}" if first else f"{desk.text}\n{told}"
    desk.edit(text)
    before = tomllib.loads(text)
    changed = sizes.with_given(text, desk.bridge, "A1-1", "line rocker", {"radius": "300 mm"})
    after = tomllib.loads(changed)
    given = after["bearings"].pop("given")
    assert given[-1] == {"seat": "A1-1", "kind": "line rocker", "sizes": {"radius": "300 mm"}}
    assert given[:-1] == before["bearings"].pop("given", [])
    assert after == before
    desk.edit(changed)


# ------------------------------------------------------------------ the drawing
def test_the_drawing_is_cut_to_its_views() -> None:
    own = made("pot")
    picture = detail("Bridge", "R", own, "1")
    svg = bearing.cropped(picture, to_svg(picture, themed=True))
    box = [float(part) for part in svg.split('viewBox="')[1].split('"')[0].split()]
    wide, high = picture.size
    assert box[0] > 0.0
    assert box[0] + box[2] < 0.75 * wide, "without the column of lists"
    assert box[1] + box[3] < high - 27.0, "without the title block"
    assert 'width="' not in svg.split(">")[0], "as wide as the page has room"
