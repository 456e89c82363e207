"""Detail sheets of every kind: parts numbered, to scale, no text over another."""

import math
from itertools import pairwise

import pytest
from scenes import KINDS, made

from bedstone.bearings import catalogue
from bedstone.bearings.base import Design
from bedstone.errors import BedstoneError
from bedstone.output.drawing import picture as pictures
from bedstone.output.drawing import pieces
from bedstone.output.drawing.details import ASSEMBLIES, assembly_of, detail
from bedstone.output.drawing.picture import Circle, Dimension, Group, Path, every
from bedstone.output.drawing.pieces import Block, Upright, top


def sheet(kind):
    return detail("Bridge of trial", "a reference", made(kind), "3")


def test_every_kind_is_drawn():
    assert set(catalogue.kinds()) <= set(KINDS)
    assert {type(made(kind).design.bearing) for kind in KINDS} == set(ASSEMBLIES)


def test_an_unknown_record_is_refused():
    design = made("pot").design
    other = Design(**{**vars(design), "bearing": object()})
    with pytest.raises(BedstoneError, match="no drawing for object"):
        assembly_of(other)


@pytest.mark.parametrize("kind", KINDS)
def test_no_text_lies_over_another_or_leaves_the_sheet(kind):
    assert pictures.collisions(sheet(kind)) == []


@pytest.mark.parametrize("kind", KINDS)
def test_every_part_has_its_number_or_stands_among_what_is_not_drawn(kind):
    design = made(kind).design
    picture = sheet(kind)
    numbered = {i for i in pictures.identifiers(picture) if i.startswith("part-")}
    notes = " ".join(text.text for text in pictures.texts(picture))
    for number, part in enumerate(design.parts, start=1):
        assert f"part-{number}" in numbered or f"{part.name}" in notes.partition("Not drawn:")[2]
    assert len(numbered) > 0


@pytest.mark.parametrize("kind", KINDS)
def test_solids_have_the_height_of_the_design(kind):
    design = made(kind).design
    assembly = assembly_of(design)
    if kind == "uplift restraint":
        # the rod is longer than what it spans between its ends
        assert max(assembly.levels) - min(assembly.levels) > design.height
        return
    assert max(assembly.levels) == pytest.approx(design.height)
    solid = [p for p in assembly.pieces if p.part != "grout" and "bolt" not in p.part]
    assert max(map(top, solid)) == pytest.approx(design.height)


@pytest.mark.parametrize("kind", KINDS)
def test_pieces_are_parts_of_the_design(kind):
    design = made(kind).design
    known = {part.name for part in design.parts} | {"grout"}
    assert {piece.part for piece in assembly_of(design).pieces} <= known


@pytest.mark.parametrize("kind", KINDS)
def test_plates_have_the_mass_that_the_list_gives(kind):
    # A block or an upright cylinder of steel weighs its volume times 7850 kg/m3 (common practice,
    # no source), less bores and recesses: what is drawn is what is weighed.
    design = made(kind).design
    masses = {part.name: part.mass for part in design.parts}
    for piece in assembly_of(design).pieces:
        form = piece.form
        if piece.part not in ("base plate", "sole plate", "middle plate", "outer plate", "key"):
            continue
        if isinstance(form, Block):
            volume = form.length * form.width * form.height
        else:
            assert isinstance(form, Upright)
            volume = math.pi / 4.0 * form.diameter**2 * form.height
        assert masses[piece.part] == pytest.approx(7850.0 * volume, rel=1e-6)


@pytest.mark.parametrize("kind", KINDS)
def test_dimensions_say_the_length_that_they_show(kind):
    picture = sheet(kind)
    told = [s for s in every(picture.shapes) if isinstance(s, Dimension) and s.text]
    assert told
    for dimension in told:
        length = math.dist(*dimension.feet) * picture.true
        assert length == pytest.approx(float(dimension.text), abs=0.051)


def test_a_pot_is_drawn_to_scale():
    design = made("pot that holds").design
    picture = sheet("pot that holds")
    plan = next(s for s in every(picture.shapes) if isinstance(s, Group) and s.id == "view-plan")
    radii = [s.radius * picture.true for s in plan.shapes if isinstance(s, Circle)]
    assert any(r == pytest.approx(design.bearing.body.outside / 2.0 * 1e3) for r in radii)


def test_rollers_stand_at_their_spacing():
    bearing = made("roller nest").design.bearing
    picture = sheet("roller nest")
    view = next(s for s in every(picture.shapes) if isinstance(s, Group) and s.id == "view-along")
    rings = [s for s in view.shapes if isinstance(s, Circle) and s.layer == "seen"]
    assert len(rings) == bearing.rollers.number
    xs = sorted(ring.centre[0] * picture.true for ring in rings)
    gaps = [b - a for a, b in pairwise(xs)]
    assert gaps == pytest.approx([bearing.rollers.spacing * 1e3] * (len(rings) - 1))
    assert rings[0].radius * picture.true == pytest.approx(bearing.rollers.radius * 1e3)


def test_layers_of_a_pad_are_all_there():
    pad = made("laminated elastomeric").design.bearing.pad
    picture = sheet("laminated elastomeric")
    view = next(s for s in every(picture.shapes) if isinstance(s, Group) and s.id == "view-along")
    plates = [s for s in view.shapes if isinstance(s, Path) and s.filled and s.layer == "hatch"]
    assert len(plates) == pad.layers + 1


def test_a_bearing_that_does_not_hold_is_told():
    own = made("pot")
    line = own.design.lines[0]
    worse = type(line)(**{**vars(line), "utilisation": 1.2})
    design = Design(**{**vars(own.design), "lines": (worse,)})
    bad = type(own)(own.marks, design, own.demand)
    told = " ".join(text.text for text in pictures.texts(detail("b", "r", bad, "3")))
    assert "A check does not hold (utilisation 1.20)" in told


def test_long_names_and_many_marks_fit():
    own = made("rocker on nest")
    marks = tuple(f"P{i}-{j}" for i in range(1, 13) for j in range(1, 6))
    many = type(own)(marks, own.design, own.demand)
    picture = detail("Überführung der Straße nach Kąty, 橋 & <№ 7> " * 4, "r" * 300, many, "3")
    assert pictures.collisions(picture) == []


# ------------------------------------------------------------------ what hides what
def test_a_line_shows_only_outside_what_covers_it():
    square = pieces.rectangle(1.0, -1.0, 2.0, 1.0)
    assert pieces.visible([(0.0, 0.0), (3.0, 0.0)], [square]) == [
        ((0.0, 0.0), (1.0, 0.0)),
        ((2.0, 0.0), (3.0, 0.0)),
    ]
    assert pieces.visible([(1.2, 0.0), (1.8, 0.0)], [square]) == []
    edge = [(1.0, -1.0), (1.0, 1.0)]  # along the edge of a cover a line is still seen
    assert pieces.visible(edge, [square]) == [tuple(edge)]


def test_a_turned_profile_is_cut_on_both_sides_of_its_axis():
    ring = pieces.Piece("ring", pieces.Turned(((1.0, 0.0), (2.0, 0.0), (2.0, 1.0), (1.0, 1.0))))
    found = pieces.shown(ring, "along")
    assert found is not None
    assert found.cut
    assert len(found.areas) == 2


def test_a_hole_parts_what_the_cross_section_cuts():
    lug = pieces.Extruded(pieces.rectangle(-1.0, 0.0, 1.0, 4.0), 0.5, (0.0, 2.0, 0.5))
    found = pieces.shown(pieces.Piece("lug", lug), "across")
    assert found is not None
    spans = [(min(y for _, y in a.points), max(y for _, y in a.points)) for a in found.areas]
    assert [s for span in spans for s in span] == pytest.approx([0.0, 1.5, 2.5, 4.0])
