"""SVG, DXF and PDF of the same pictures: read back, audited, the same every time."""

import io
import math
import re
import xml.etree.ElementTree as ET
from collections import Counter

import ezdxf
import pytest
from scenes import KINDS, NAMES, example, made

from bedstone.errors import BedstoneError
from bedstone.output.drawing import picture as pictures
from bedstone.output.drawing.details import detail
from bedstone.output.drawing.elevation import elevation
from bedstone.output.drawing.layout import layout
from bedstone.output.drawing.picture import (
    LAYERS,
    Arc,
    Circle,
    Dimension,
    Group,
    Hatch,
    Path,
    Picture,
    Text,
)
from bedstone.output.drawing.to_dxf import dxf_text, to_dxf
from bedstone.output.drawing.to_pdf import to_pdf
from bedstone.output.drawing.to_svg import class_of, dark_colours, to_svg

SVG = "{http://www.w3.org/2000/svg}"


def everything() -> Picture:
    """A picture with one of each shape."""
    square = ((10.0, 10.0), (30.0, 10.0), (30.0, 30.0), (10.0, 30.0))
    hole = ((15.0, 15.0), (20.0, 15.0), (20.0, 20.0))
    shapes = (
        Path("deck", square, closed=True),
        Path("support line", square[:2]),
        Path("bearing", square[:3], closed=True, filled=True),
        Circle("cut", (50.0, 20.0), 5.0),
        Circle("bearing", (60.0, 20.0), 1.0, filled=True),
        Arc("seen", (70.0, 20.0), 5.0, 0.0, math.pi / 2.0),
        Hatch("hatch", square, math.pi / 4.0, 2.0, (hole,)),
        Text((80.0, 20.0), "Kąty <&> 橋", 3.0, "right", "top", math.pi / 2.0),
        Dimension((10.0, 40.0), (60.0, 40.0), 6.0, "5.000"),
        Group("seat-A1-1", (Circle("bearing", (90.0, 20.0), 2.0),), "a bearing & more"),
    )
    return Picture("all", "All <shapes> & more", shapes, 100.0, (120.0, 60.0), "m")


def sheets(name: str) -> list[Picture]:
    of = example(name)
    return [make(of.bridge, of.structure, of.arranged) for make in (layout, elevation)]


# ------------------------------------------------------------------ SVG
def test_svg_is_xml_with_ids_classes_and_titles():
    root = ET.fromstring(to_svg(everything()))
    assert root.get("viewBox") == "0 0 120 60"
    assert root.find(f"{SVG}title").text == "All <shapes> & more"
    group = root.find(f".//{SVG}g[@id='seat-A1-1']")
    assert group.find(f"{SVG}title").text == "a bearing & more"
    # a click beside the thin lines of a sign finds its seat
    target = group.find(f"{SVG}rect[@class='target']")
    assert [float(target.get(k)) for k in ("x", "width", "height")] == [88.0, 4.0, 4.0]
    classes = {c for e in root.iter() for c in (e.get("class") or "").split()}
    assert {class_of("deck"), class_of("support line"), "full"} <= classes


def test_svg_asks_for_nothing_from_outside():
    text = to_svg(everything(), themed=True)
    outside = text.replace("http://www.w3.org/2000/svg", "")
    assert "http" not in outside
    assert "url(" not in outside.replace("url(#", "")
    assert "@import" not in text


def test_a_themed_svg_takes_its_colours_from_the_page():
    text = to_svg(everything(), themed=True)
    for name, layer in LAYERS.items():
        word = name.replace(" ", "-")
        assert f"var(--drawing-{word}, {layer.colour})" in text
        assert f"--drawing-{word}:{layer.dark};" in dark_colours()
    assert "var(" not in to_svg(everything())


def test_text_of_svg_has_the_width_that_was_reckoned_with():
    root = ET.fromstring(to_svg(everything()))
    text = next(e for e in root.iter(f"{SVG}text") if e.text.startswith("Kąty"))
    box = pictures.corners(pictures.texts(everything())[0])
    assert float(text.get("textLength")) == pytest.approx(math.dist(box[0], box[1]), abs=1e-3)


@pytest.mark.parametrize("name", NAMES)
def test_svg_of_every_bridge_has_every_seat(name):
    of = example(name)
    plan, side = sheets(name)
    for picture in (plan, side):
        root = ET.fromstring(to_svg(picture))
        ids = [e.get("id") for e in root.iter(f"{SVG}g") if e.get("id")]
        assert len(ids) == len(set(ids))
        if picture is plan:
            assert {f"seat-{seat.mark}" for seat in of.structure.seats} <= set(ids)


# ------------------------------------------------------------------ DXF
def counts(document) -> Counter[str]:
    return Counter(entity.dxftype() for entity in document.modelspace())


def audited(text: str):
    document = ezdxf.read(io.StringIO(text))
    audit = document.audit()
    assert not audit.errors
    assert not audit.fixes
    assert document.dxfversion == "AC1024"  # R2010
    return document


@pytest.mark.parametrize("name", NAMES)
def test_dxf_of_a_bridge_is_sound_and_reads_back_the_same(name):
    made_of = sheets(name)
    document = audited(dxf_text(made_of))
    assert counts(document) == counts(to_dxf(made_of))
    assert document.units == 6  # metres, DXF header variable $INSUNITS
    groups = {name for name, _ in document.groups}
    assert {f"seat-{seat.mark}" for seat in example(name).structure.seats} <= groups


@pytest.mark.parametrize("kind", KINDS)
def test_dxf_of_a_bearing_is_sound_and_in_millimetres(kind):
    picture = detail("Bridge of trial", "", made(kind), "3")
    document = audited(dxf_text([picture]))
    assert document.units == 4  # millimetres
    assert counts(document) == counts(to_dxf([picture]))
    layers = {entity.dxf.layer for entity in document.modelspace()}
    assert layers <= set(LAYERS)
    assert "cut" in layers or kind == "uplift restraint"


def test_dxf_has_true_lengths_and_real_dimensions():
    document = audited(dxf_text([everything()]))
    space = document.modelspace()
    square = space.query('LWPOLYLINE[layer=="deck"]')[0]
    points = list(square.get_points("xy"))
    assert math.dist(points[0], points[1]) == pytest.approx(2.0)  # 20 mm at 1:100
    dimension = space.query("DIMENSION")[0]
    assert dimension.dxf.text == "5.000"
    assert dimension.dxf.defpoint2.distance(dimension.dxf.defpoint3) == pytest.approx(5.0)
    text = space.query("TEXT")[0]
    assert text.dxf.height == pytest.approx(0.3)
    assert text.dxf.text == "Kąty <&> 橋"
    assert [len(group) for _, group in document.groups] == [1]
    hatch = next(h for h in space.query("HATCH") if not h.dxf.solid_fill)
    assert len(hatch.paths) == 2


def test_the_deck_of_a_bridge_has_its_length_in_the_dxf():
    # truss.toml: supports 64 m apart, no overhang
    document = to_dxf(sheets("truss")[:1])
    edges = document.modelspace().query('LWPOLYLINE[layer=="deck"]')
    lengths = [math.dist(*list(edge.get_points("xy"))[:2]) for edge in edges]
    assert max(lengths) == pytest.approx(64.0)


def test_pictures_stand_side_by_side():
    two = [everything(), everything()]
    document = to_dxf(two)
    circles = sorted(c.dxf.center.x for c in document.modelspace().query("CIRCLE"))
    assert len(circles) == 4
    assert circles[2] - circles[0] == pytest.approx((120.0 + 30.0) * 0.1)
    assert {name for name, _ in document.groups} == {"seat-A1-1", "seat-A1-1_2"}


def test_metres_and_millimetres_do_not_go_together():
    other = detail("b", "", made("pot"), "3")
    for wrong in ([], [everything(), other]):
        with pytest.raises(BedstoneError, match="one unit"):
            to_dxf(wrong)


# ------------------------------------------------------------------ always the same
def test_the_same_picture_gives_the_same_bytes():
    made_of = [*sheets("girders")]
    again = [*sheets("girders")]
    assert [to_svg(p) for p in made_of] == [to_svg(p) for p in again]
    assert dxf_text(made_of) == dxf_text(again)


def test_pdf_has_a_page_of_the_sheet_and_is_the_same_every_time():
    pytest.importorskip("typst")
    made_of = [*sheets("girders"), everything()]
    first, second = to_pdf(made_of, "a title"), to_pdf(made_of, "a title")
    assert first == second
    assert first.startswith(b"%PDF-")
    # a page is measured in points of 1/72 in
    boxes = re.findall(rb"/MediaBox ?\[0 0 ([0-9.]+) ([0-9.]+)\]", first)
    sizes = [tuple(float(n) / 72.0 * 25.4 for n in box) for box in boxes]
    assert sizes == [pytest.approx(p.size, abs=0.01) for p in made_of]
    with pytest.raises(BedstoneError):
        to_pdf([], "none")


# ------------------------------------------------------------------ shapes
def test_boxes_of_turned_texts_meet_only_where_they_do():
    flat = pictures.corners(Text((0.0, 0.0), "mmmmmmmmmm", 2.0))
    above = pictures.corners(Text((0.0, 3.0), "mmmmmmmmmm", 2.0))
    upright = pictures.corners(Text((10.0, -5.0), "mmmmmmmmmm", 2.0, turn=math.pi / 2.0))
    assert not pictures.meet(flat, above)
    assert pictures.meet(flat, above, clear=1.0)
    assert pictures.meet(flat, upright)


@pytest.mark.parametrize("turn", [0.0, 0.7, math.pi / 2, math.pi, -math.pi / 2, 4.0])
def test_figures_of_dimensions_are_read_from_below_or_from_the_right(turn):
    end = (50.0 * math.cos(turn), 50.0 * math.sin(turn))
    label = Dimension((0.0, 0.0), end, 5.0, "50").label
    assert -math.pi / 2.0 - 1e-9 <= label.turn <= math.pi / 2.0 + 1e-9
    # beside the line, not on it
    box = pictures.corners(label)
    feet = Dimension((0.0, 0.0), end, 5.0, "50").feet
    assert not pictures.meet(box, feet)
