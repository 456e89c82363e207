"""Drafts from a sheet: each row a bridge that stands, or its faults by row and column.

What a draft is held against is the reader and the model of the program (as `bedstone check` asks
them); proportions are common practice, no source.
"""

import datetime as dt
import io
import re
import tomllib
import zipfile
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bedstone.articulation.arrangement import arrange
from bedstone.articulation.prepared import prepare
from bedstone.bridge import read_bridge, read_tables, seat_marks
from bedstone.bridge.seats import arrangement_functions
from bedstone.bridge.units import unit_factor
from bedstone.errors import InputError
from bedstone.output.draft_form import draft_form, draft_form_csv
from bedstone.schedule.analysis import analyse
from bedstone.schedule.combine import extremes
from bedstone.schedule.context import context_of
from bedstone.schedule.designs import design_seat, seats_of
from bedstone.schedule.facts import bridge_facts
from bedstone.schedule.make import examine, make_schedule
from bedstone.site.reading_grids import Formula
from bedstone.site.tolerances import read_tolerances, usual
from bedstone.stock.draft import FAMILIES, TYPES, Line, Outline, draft, fixed_line
from bedstone.stock.draft_files import draft_sheet, file_name
from bedstone.stock.draft_rows import COLUMNS, RowReader, read_rows
from bedstone.stock.draft_sizes import pad_stiffness

HEAD = "Name,Type,Spans [m]"


def sheet(folder: Path, *lines: str, head: str = HEAD) -> Path:
    path = folder / "register.csv"
    path.write_text("\n".join([head, *lines]) + "\n", encoding="utf-8")
    return path


# ------------------------------------------------------------------ drafts
@pytest.mark.parametrize("of_type", TYPES)
@pytest.mark.parametrize("family", FAMILIES)
def test_a_draft_of_little_stands(tmp_path, of_type, family):
    made = draft(Outline("Little", of_type, (24.0, 30.0), family))
    file = tmp_path / "little.toml"
    file.write_text(made.text, encoding="utf-8")
    examine(read_bridge(file), tmp_path)


def test_every_assumption_stands_beside_its_value():
    made = draft(Outline("Little", "composite girders", (24.0, 30.0)))
    beside = [line for line in made.text.splitlines() if "    # assumed: " in line]
    assert len(beside) == len(made.assumed)
    for line, one in zip(beside, made.assumed, strict=True):
        key = one.where.rpartition(".")[2].strip('"')
        assert line.lstrip('"').startswith(key)
        assert one.value in line
        assert line.endswith(one.why)


def test_what_is_told_is_not_assumed():
    little = draft(Outline("Little", "composite girders", (24.0,)))
    more = draft(Outline("More", "composite girders", (24.0,), girders=4, spacing=2.6, depth=1.1))
    assert len(more.assumed) == len(little.assumed) - 3
    assert "number = 4" in more.text
    assert 'spacing = "2.6 m"' in more.text


def test_the_depth_follows_the_span():
    # 33 m / 22 (common practice, no source): 1.5 m of steel in all.
    text = draft(Outline("Deep", "composite girders", (33.0,))).text
    plates = [line for line in text.splitlines() if "thickness" in line or "web_depth" in line]
    web, top, bottom = (
        float(next(line for line in plates if line.startswith(key)).split('"')[1].split()[0])
        for key in ("web_depth", "top_thickness", "bottom_thickness")
    )
    assert web + top + bottom == pytest.approx(1500.0, abs=2.0)


def test_the_reason_beside_a_value_is_what_governs_it():
    # 2.0 m / 12 = 0.167 m is less than the least slab, 3.6 m / 12 = 0.30 m more; a pier 5 m high is
    # slimmer by its slenderness than the least column, one of 12 m is not (data of the draft).
    for spacing, thickness, why in ((2.0, "0.22 m", "least thickness"), (3.6, "0.3 m", "spacing")):
        made = draft(Outline("Slab", "composite girders", (20.0,), spacing=spacing))
        (found,) = (one for one in made.assumed if one.where.endswith("slab.thickness"))
        assert found.value == f'"{thickness}"'
        assert why in found.why
    for height, why in ((5.0, "least diameter"), (12.0, "height / diameter")):
        made = draft(Outline("Pier", "composite girders", (20.0, 20.0), heights=(height,)))
        (found,) = (one for one in made.assumed if one.where.endswith("below.diameter"))
        assert why in found.why


@pytest.mark.parametrize("of_type", ["through truss", "deck truss"])
def test_a_truss_stands_on_a_column_below_each_plane(of_type):
    # A pier of one slim column tips under the wind (common practice, no source).
    outline = Outline("Pier", of_type, (40.0, 40.0), use="rail", spacing=4.2, heights=(8.0,))
    below = tomllib.loads(draft(outline).text)["support"][1]["below"]
    assert below["count"] == 2
    assert below["spacing"] == "4.2 m"
    assert below["diameter"] == "1.6 m"  # stiff for braking: 8 m / 5


def test_every_assumption_of_the_data_has_a_source():
    values = usual("draft", "stock").values
    assert all(one.source and one.basis == "memory" and one.clause for one in values.values())


lengths = st.floats(8.0, 60.0).map(lambda x: round(x, 1))


@st.composite
def outlines(draw: st.DrawFn) -> Outline:
    """Outlines that a register may hold: each fact is known or not."""

    def maybe(strategy: st.SearchStrategy) -> st.SearchStrategy:
        return st.none() | strategy

    of_type = draw(st.sampled_from(TYPES))
    spans = tuple(draw(st.lists(lengths, min_size=1, max_size=3)))
    truss = of_type.endswith("truss")
    girders = None if truss else draw(maybe(st.integers(2, 6)))
    outline = Outline(
        "Any", of_type, spans, draw(st.sampled_from(FAMILIES)),
        use=draw(st.sampled_from(("road", "rail"))),
        carried=draw(st.sampled_from(("", "B 12"))),
        year=draw(maybe(st.integers(1880, 2020))),
        continuous=draw(maybe(st.booleans())),
        girders=girders,
        spacing=draw(maybe(st.just(2.63))),
        width=draw(maybe(st.just(8.37))),
        depth=draw(maybe(st.just(2.91))),
        slab=draw(maybe(st.just(0.247))),
        skew=draw(st.sampled_from((0.0, 0.26))),
        radius=None if truss else draw(maybe(st.just(431.0))),
        heights=draw(maybe(st.just(tuple(7.77 for _ in spans[1:])))),
        travel=draw(maybe(st.just(0.0437))),
        air=draw(maybe(st.just((-21.3, 38.7)))),
        setting=draw(maybe(st.just(11.3))),
    )  # fmt: skip
    count = 2 if truss else girders
    if count is None or draw(st.booleans()):
        return outline
    known = Line(
        ("elastic",) * count, "laminated elastomeric", draw(maybe(st.just(2.37e6))),
        draw(st.sampled_from(((), PAD))),
    )  # fmt: skip
    if known.stiffness is None and not known.sizes:
        known = replace(fixed_line(count), kind="line rocker", sizes=(("radius", "317 mm"),))
    return replace(outline, lines=(known,) * outline.line_count)


#: What a draft may write without a comment: told by the outline, above.
TOLD = re.compile(
    r"^(mark|chainage|skew|name|reference|note|radius|number|spacing|heights|height|depth|"
    r"thickness|web_depth|air_min|air_max|setting|travel|seat|length|width|layers|layer|plate|"
    r"loads|set_at) = "
)
TOLD_NUMBERS = {
    "2.63", "2.91", "0.247", "7.77", "431", "43.7", "44", "21.3", "38.7", "11.3", "317", "300",
    "400", "5", "8", "3", "14.8969",
}  # fmt: skip


@settings(max_examples=120)
@given(outlines())
def test_no_assumed_number_is_without_its_comment(outline):
    made = draft(outline)
    tomllib.loads(made.text)
    lines = made.text.splitlines()
    beside = [line for line in lines if "    # assumed: " in line]
    assert len(beside) == len(made.assumed)
    told = TOLD_NUMBERS | {f"{x:g}" for x in (*outline.spans, *_sums(outline.spans))}
    for line in lines:
        bare = line.startswith(("#", "[", "note = ")) or not line
        if bare or "    # assumed: " in line or "    # follows: " in line:
            continue
        value = line.partition(" = ")[2]
        if not re.search(
            r"[0-9]", re.sub(r'"[^"]*[A-Za-z]{3,}[^"]*"|"[AP][0-9]+[^"]*"', "", value)
        ):
            continue  # words and marks
        assert TOLD.match(line), line
        for number in re.findall(r"(?<![A-Za-z0-9.])[0-9]+(?:\.[0-9]+)?", value):
            same = {f"{float(one):.4g}" for one in told}
            assert f"{float(number):.4g}" in same | {str(outline.girders), str(outline.year)}, line


def _sums(spans):
    return [sum(spans[:n]) for n in range(len(spans) + 1)]


def test_a_source_of_ones_own_cannot_end_its_comment(tmp_path):
    own = tmp_path / "own.toml"
    own.write_text(
        '[values.spacing]\nvalue = 2.5\nsource = """drawing\nname = 3"""\n', encoding="utf-8"
    )
    made = draft(
        Outline("Little", "steel girders", (20.0,)), read_tolerances(own, "draft", "stock")
    )
    assert "2.5 m" in made.text
    assert "name" not in tomllib.loads(made.text)["superstructure"]


@pytest.mark.parametrize("family", FAMILIES)
@pytest.mark.parametrize("of_type", TYPES)
def test_a_simple_straight_bridge_stands_on_all_its_bearings(tmp_path, of_type, family):
    """No bearing of a straight simple span lifts (common practice, no source)."""
    span = 48.0 if of_type.endswith("truss") else 22.0
    file = tmp_path / "simple.toml"
    file.write_text(draft(Outline("Simple", of_type, (span,), family)).text, encoding="utf-8")
    schedule = make_schedule(read_bridge(file), tmp_path)
    assert not schedule.uplift
    assert schedule.redundancy <= 1


def test_the_wind_meets_the_members_of_both_trusses():
    """By hand for 44 m: chord 0.4 m, web 0.32 m, height 5.5 m, panel 7 m, floor 1.2 m.

    Web 0.32 (hypot(7, 5.5) + 5.5) / 7 = 0.658; members 2 x 0.4 + 0.658 = 1.458, of both trusses
    2.917 (EN 1991-1-4, 8.3.1(4) b, from memory); with the floor 4.117 m. Its middle: (-0.72 +
    2.917 (2.75 - 1.2)) / 4.117 = 0.92 m above the road; below it, (-0.72 - 2.917 (2.75 + 1.2)) /
    4.117 = -2.97 m. Drag of both trusses on the faces of one, from memory, is what IRC:6, 209.3.3,
    and AASHTO LRFD, Table 3.8.1.2.1-2, have: 2.06 m there.
    """
    for of_type, level in (("through truss", 0.92), ("deck truss", -2.97)):
        for family, depth in (("eurocode", 4.12), ("aashto", 2.06), ("irc", 2.06)):
            found = tomllib.loads(draft(Outline("Wind", of_type, (44.0,), family)).text)
            told = found["actions"]["wind"]["depth"].split()[0]
            assert float(told) == pytest.approx(depth, abs=0.01)
            assert found["choices"][family]["wind.level"] == pytest.approx(level, abs=0.01)


def written(tmp_path, outline):
    """A draft as it is read again, with its file."""
    file = tmp_path / "made.toml"
    file.write_text(draft(outline).text, encoding="utf-8")
    return read_bridge(file), file


@pytest.mark.parametrize(
    ("of_type", "levels"), [("through truss", (-1.417, 4.517)), ("deck truss", (-6.917, -0.983))]
)
def test_a_truss_is_known_by_its_lowest_and_highest_edge(tmp_path, of_type, levels):
    # 44 m: chords of 400 mm and flanges of 17 mm, 5.5 m apart, the loaded one 1.2 m below the road
    # (geometry).
    bridge, file = written(tmp_path, Outline("Truss", of_type, (44.0,)))
    structure = prepare(bridge, read_tables(bridge, file.parent)).structure
    facts = bridge_facts(bridge, structure, "eurocode")
    assert facts.outline == pytest.approx(levels, abs=0.002)


def effects_of(bridge, folder):
    """What every action but traffic does to the bearings."""
    prepared = prepare(bridge, read_tables(bridge, folder))
    own = context_of(prepared, bridge.bridge.standard)
    arranged = arrange(
        prepared.structure, list(bridge.support), arrangement_functions(bridge, None)
    )
    quiet = bridge.model_copy(
        update={"actions": bridge.actions.model_copy(update={"traffic": None})}
    )
    return analyse(replace(prepared, bridge=quiet), arranged, own.family, own.values, own.facts, ())


@pytest.mark.parametrize(
    ("of_type", "lever"), [("through truss", 1.8 + 0.92), ("deck truss", 7.3 - 2.97)]
)
def test_wind_on_a_truss_reaches_its_bearings(tmp_path, of_type, lever):
    """Force, height and overturning pair of a drafted truss of 44 m by hand.

    EN 1991-1-4, 8.3.2, from memory: b/d = 4.4/4.12, C = 6.7 - (1.068 - 0.5) / 3.5 x 3.1 = 6.197;
    1/2 x 1.25 x 26^2 x 6.197 x 4.12 = 10.79 kN/m across. Up, 8.3.3: c_e = 2.81 (terrain II, 20 m),
    1/2 x 1.25 x 26^2 x 2.81 x 0.9 x 4.4 = 4.70 kN/m, a quarter of 4.4 m to windward.

    Equilibrium of the whole truss, bearings 5.6 m apart: across 44 x 10.79 = 474.7 kN. It acts
    0.92 m above the road, or 2.97 m below it where the truss hangs; the bearings stand 1.2 + 0.6 m
    below the road, or 1.2 + 5.5 + 0.6 m. The two windward bearings lose 474.7 x lever / 5.6 and of
    the lift 44 x 4.70 (1/2 + 1.1 / 5.6) = 144.1 kN.
    """
    bridge, file = written(tmp_path, Outline("Truss", of_type, (44.0,)))
    effects = effects_of(bridge, file.parent)
    found, order = extremes(effects)["wind"], effects.layout

    for line in (1, 2):
        case = found[1, order.index(f"A1-{line}", "N")]  # that which lifts this side most

        def both(effect, side, case=case):
            return sum(case[order.index(f"{mark}-{side}", effect)] for mark in ("A1", "A2"))

        assert both("N", line) == pytest.approx(-(474.7e3 * lever / 5.6 + 144.1e3), rel=3e-3)
        assert abs(both("Hy", 1) + both("Hy", 2)) == pytest.approx(474.7e3, rel=2e-3)


@pytest.mark.parametrize("deck", ["through", "deck"])
def test_a_truss_with_its_deck_on_top_hangs_below_the_road(tmp_path, deck):
    """What the file says of the deck reaches the rules of wind (geometry)."""
    text = draft(Outline("Truss", f"{deck} truss", (44.0,))).text
    file = tmp_path / "truss.toml"
    file.write_text("".join(one for one in text.splitlines(True) if "wind.level" not in one))
    bridge = read_bridge(file)
    facts = bridge_facts(bridge, prepare(bridge, read_tables(bridge, tmp_path)).structure, "irc")
    assert (facts.exposed_middle > 0.0) == (deck == "through")


# ------------------------------------------------------------------ known bearings
PAD = (("length", "300 mm"), ("width", "400 mm"), ("layers", 5), ("layer", "8 mm"),
       ("plate", "3 mm"))  # fmt: skip
PADS = {
    "Type": "concrete girders", "Spans": "18", "Pier heights": "", "Slab": "", "Depth": "",
    "Functions": "elastic; elastic", "Kinds": "", "Pad stiffness": "", "Family": "eurocode",
    "Pad length": "300", "Pad width": "400", "Pad layers": "5", "Pad layer": "8", "Pad plate": "3",
}  # fmt: skip


def one(tmp_path, **told):
    """The draft of a full row with other cells."""
    head, row = full(**told)
    made = draft_sheet(sheet(tmp_path, row, head=head), tmp_path / "out")
    assert not made.faults, made.faults
    return made.drafted[0]


def test_stiffness_of_a_pad_by_its_sizes():
    """G A / T = 0.9 x 300 x 400 / (5 x 8) = 2700 N/mm in shear (EN 1337-3, 5.3.3.7, from memory).

    Down by the same clause with 5 mm of cover beside the plates: A1 290 x 390, S1 =
    290 x 390 / (2 (290 + 390) 8) = 10.395; 1 / (5 G S1^2) + 1 / 2000 MPa gives 390.9 MPa, and
    390.9 x 290 x 390 / 40 = 1105 kN/mm.
    """
    shear, down = pad_stiffness(PAD, 0.9e6)
    assert shear == pytest.approx(2.7e6, rel=1e-9)
    assert down == pytest.approx(1.105e9, rel=2e-3)


def test_alike_pads_are_told_once(tmp_path):
    # Two spans by themselves have four lines (geometry): one word stands for all of them.
    drafted = one(tmp_path, **PADS | {"Functions": "elastic", "Spans": "18; 18", "Continuous": ""})
    seats = read_bridge(drafted.file).arrangement.seats
    assert [seat.function for seat in seats.values()] == ["elastic"] * 16


NEST = {
    "Type": "through truss", "Spans": "48", "Girders": "", "Skew": "", "Pad length": "",
    "Pad width": "", "Pad layers": "", "Pad layer": "", "Pad plate": "", "Spacing": "",
    "Rollers": "4", "Roller diameter": "150", "Roller length": "700", "Roller spacing": "180",
}  # fmt: skip


def test_rollers_are_not_taken_for_what_holds_along(tmp_path):
    """Rollers move along (kinematics of rolling): a line that holds there stands on other bearings.

    A register often has one kind for a whole bridge.
    """
    drafted = one(tmp_path, **PADS | NEST | {"Functions": "fixed; moving", "Kinds": "roller nest"})
    seats = read_bridge(drafted.file).arrangement.seats
    assert {mark: seat.kind for mark, seat in seats.items()} == {
        "A1-1": "line rocker", "A1-2": "line rocker", "A2-1": "roller nest", "A2-2": "roller nest",
    }  # fmt: skip
    assert drafted.draft.given == ("A2-1", "A2-2")
    assert sum("holds nothing along" in item.why for item in drafted.draft.assumed) == 2
    (told,) = drafted.draft.notes
    assert told.startswith("A1: sizes of the roller nest left out")
    assert f"# {told}" in drafted.draft.text


@pytest.mark.parametrize("of_type", ["through truss", "steel girders"])
@pytest.mark.parametrize("skew", [0.35, -0.35])
def test_what_slides_across_slides_along_a_skew_line(tmp_path, of_type, skew):
    """A deck that warms moves every point of a line of bearings along that line, seen from the
    fixed one of it (kinematics): guides along the line lock nothing.
    """
    count = 2 if of_type.endswith("truss") else 4
    line = Line(("fixed", *["guided across"] * (count - 1)))
    outline = Outline(
        "Skew", of_type, (36.0,), skew=skew, girders=None if count == 2 else count,
        lines=(line, Line(("guided along", *["free"] * (count - 1)))),
    )  # fmt: skip
    bridge, file = written(tmp_path, outline)
    other = tmp_path / "straight across.toml"
    other.write_text(file.read_text().replace('direction = "square"', 'direction = "axis"'))
    locked, free = (
        np.abs([effects.unit_heat[effects.layout.index(f"A1-{n}", "Hx")] for n in (1, count)])
        for effects in (effects_of(read_bridge(other), tmp_path), effects_of(bridge, tmp_path))
    )
    assert locked.max() > 500.0  # N per kelvin
    # girders of steel do not quite warm as their slab does
    assert free.max() < (0.001 if count == 2 else 0.15) * locked.max()


@pytest.mark.parametrize(
    ("functions", "told"),
    [
        ("fixed; moving", ()),
        ("fixed, fixed, fixed, fixed; moving", ("A1: 4 bearings hold across",)),
        ("fixed, guided across, guided across, guided across; moving", ()),
        ("fixed; guided along, guided along, free, guided along", ("A2: 3 bearings",)),
    ],
)
def test_bearings_that_lock_each_other_across_are_told(tmp_path, functions, told):
    """Only one bearing of a line need hold across (common practice, no source)."""
    head, row = full(
        Type="steel girders", Spans="18", Pier_heights="", Continuous="", Functions=functions,
        Kinds="", Pad_stiffness="", Depth="", Slab="",
    )  # fmt: skip
    (drafted,) = draft_sheet(sheet(tmp_path, row, head=head), tmp_path / "out").drafted
    assert len(drafted.draft.notes) == len(told)
    for note, start in zip(drafted.draft.notes, told, strict=True):
        assert note.startswith(start)
        assert f"# {note}" in drafted.draft.text


def test_known_pads_are_springs_and_are_assessed(tmp_path):
    drafted = one(tmp_path, **PADS)
    assert len(drafted.draft.given) == 8
    bridge = read_bridge(drafted.file)
    springs = bridge.arrangement.seats["A1-1"].stiffness
    assert springs is not None
    assert springs.kx == pytest.approx(2.7e6)
    assert springs.kz == pytest.approx(1.105e9, rel=2e-3)
    schedule = make_schedule(bridge, drafted.file.parent)
    found = design_seat(schedule, bridge, seats_of(bridge, drafted.file.parent), "A1-1")
    assert found.origin == "given"
    assert found.choice.design is not None


def test_known_rollers_and_rockers_are_assessed(tmp_path):
    drafted = one(
        tmp_path, **PADS | {"Type": "through truss", "Spans": "48", "Girders": "", "Skew": "",
        "Functions": "fixed; moving", "Kinds": "line rocker; single roller", "Pad length": "",
        "Pad width": "", "Pad layers": "", "Pad layer": "", "Pad plate": "", "Spacing": "",
        "Roller diameter": "220", "Roller length": "700", "Rocker radius": "300; ?",
        "Rocker length": "600"},
    )  # fmt: skip
    assert drafted.draft.given == ("A1-1", "A1-2", "A2-1", "A2-2")
    bridge = read_bridge(drafted.file)
    assert [dict(own.sizes) for own in bridge.bearings.given][::2] == [
        {"radius": "300 mm", "length": "600 mm"}, {"diameter": "220 mm", "length": "700 mm"},
    ]  # fmt: skip
    assert not bridge.arrangement.seats["A1-1"].stiffness


def test_what_is_known_in_part_is_told_and_the_bearing_designed(tmp_path):
    known = PADS | {"Functions": "fixed; moving", "Kinds": "pot; ?", "Pot diameter": "420"}
    for name in ("length", "width", "layers", "layer", "plate"):
        known[f"Pad {name}"] = ""
    drafted = one(tmp_path, **known)
    assert not drafted.draft.given
    (told,) = drafted.draft.partly
    assert told.startswith("A1: known of the pot alone: pad.diameter 420 mm")
    assert "pot.wall" in told
    assert f"# {told}" in drafted.draft.text
    assert not read_bridge(drafted.file).bearings.given
    more = ("pad.thickness 28 mm, pot.wall 30 mm, pot.bottom 25 mm, pot.depth 45 mm, "
            "piston.thickness 35 mm, piston.rim 12 mm")  # fmt: skip
    (tmp_path / "more").mkdir()
    drafted = one(tmp_path / "more", **known | {"Sizes": more})
    assert drafted.draft.given == tuple(f"A1-{n}" for n in range(1, 5))


@pytest.mark.parametrize(
    ("told", "column"),
    [
        ({"Pad length": ""}, "Pad stiffness [kN/mm]"),
        ({"Pad stiffness": "2500"}, "Pad stiffness [kN/mm]"),
        ({"Pad layers": "5.5"}, "Pad layers"),
        ({"Pad length": "300; 300; 300"}, "Pad length [mm]"),
        ({"Roller diameter": "150"}, "Roller diameter [mm]"),
        ({"Kinds": "pot"}, "Kinds"),
        ({"Functions": "", "Pad length": "", "Pad width": "", "Pad layers": "", "Pad layer": "",
          "Pad plate": "", "Pot diameter": "400"}, "Pot diameter [mm]"),
        ({"Sizes": "colour red"}, "Sizes"),
        ({"Sizes": "cover 5 kg"}, "Sizes"),
        ({"Sizes": "cover"}, "Sizes"),
        ({"Sizes": "length 300 mm"}, "Sizes"),
        ({"Sizes": "cover 5 mm; cover 5 mm; cover 5 mm"}, "Sizes"),
    ],
)  # fmt: skip
def test_sizes_that_cannot_be(tmp_path, told, column):
    head, row = full(**PADS | told)
    rows, faults = read_rows(sheet(tmp_path, row, head=head))
    assert not rows
    assert {fault.where for fault in faults} == {f"line 2, {column}"}


# ------------------------------------------------------------------ rows
FULL_ROW = {
    "Name": "Test Bridge", "Reference": "R 7", "Carries": "B 12", "Use": "road", "Family": "irc",
    "Type": "composite girders", "Spans": "30; 40; 30", "Continuous": "yes", "Girders": "4",
    "Spacing": "2.8", "Carriageway": "9", "Depth": "1.9", "Slab": "0.25", "Skew": "12",
    "Year": "1987", "Pier heights": "6; 8", "Functions": "moving; fixed; moving; elastic",
    "Kinds": "?; pot; ?; ?", "Travel": "60", "Pad stiffness": "2.5", "Air min": "2",
    "Air max": "44", "Setting": "28",
}  # fmt: skip


def full(**more: str) -> tuple[str, str]:
    """Head and row of a bridge of which everything is told."""
    told = FULL_ROW | {name.replace("_", " "): value for name, value in more.items()}
    head = [column.head for column in COLUMNS]
    row = [f'"{told.get(column.name, "")}"' for column in COLUMNS]
    return ",".join(head), ",".join(row)


def test_a_full_row(tmp_path):
    head, row = full()
    (found,), faults = read_rows(sheet(tmp_path, row, head=head))
    assert not faults
    own = found.outline
    assert own.spans == (30.0, 40.0, 30.0)
    assert own.heights == (6.0, 8.0)
    assert own.travel == pytest.approx(0.060)
    assert own.skew == pytest.approx(0.20944, abs=1e-5)
    assert own.air == (2.0, 44.0)
    assert own.lines is not None
    assert own.lines[1].functions == ("free", "fixed", "free", "free")
    assert own.lines[3].functions == ("elastic",) * 4
    assert own.lines[3].stiffness == pytest.approx(2.5e6)
    assert [line.kind for line in own.lines] == [None, "pot", None, "laminated elastomeric"]
    made = draft_sheet(tmp_path / "register.csv", tmp_path / "out")
    assert not made.faults
    bridge = read_bridge(made.drafted[0].file)
    assert bridge.arrangement.seats["P1-2"].function == "fixed"
    springs = bridge.arrangement.seats["A2-3"].stiffness
    assert springs is not None
    assert springs.kx == pytest.approx(2.5e6)
    assert len(seat_marks(bridge)) == 16


def test_units_of_the_head_count(tmp_path):
    path = sheet(tmp_path, "A,steel girders,30000,600", head="Name,Type,Spans [mm],Depth [mm]")
    (found,), _ = read_rows(path)
    assert found.outline.spans == (30.0,)
    assert found.outline.depth == pytest.approx(0.6)


@pytest.mark.parametrize(
    ("head", "row", "column"),
    [
        (HEAD, ",steel girders,30", "Name"),
        (HEAD, "A,glass girders,30", "Type"),
        (HEAD, "A,,30", "Type"),
        (HEAD, "A,steel girders,", "Spans [m]"),
        (HEAD, "A,steel girders,30-40", "Spans [m]"),
        (HEAD, "A,steel girders,nan", "Spans [m]"),
        (HEAD, "A,steel girders,30000", "Spans [m]"),
        (HEAD + ",Girders", "A,steel girders,30,2.5", "Girders"),
        (HEAD + ",Girders", "A,deck truss,40,2", "Girders"),
        (HEAD + ",Pier heights [m]", "A,steel girders,30,7", "Pier heights [m]"),
        (HEAD + ",Girders,Functions", "A,steel girders,30,3,fixed", "Functions"),
        (HEAD + ",Girders,Functions", "A,steel girders,30,3,fixed; sliding", "Functions"),
        (HEAD + ",Kinds", "A,steel girders,30,pot", "Kinds"),
        (HEAD + ",Air min [degC]", "A,steel girders,30,-20", "Air max [degC]"),
        (HEAD + ",Turn", "A,steel girders,30,left", "Turn"),
        (HEAD + ",Travel [mm]", "A,steel girders,30,=1+1", "Travel [mm]"),
    ],
)
def test_a_faulty_cell_is_told_by_row_and_column(tmp_path, head, row, column):
    made = draft_sheet(sheet(tmp_path, row, head=head), tmp_path / "out")
    assert not made.drafted
    assert not list((tmp_path / "out").iterdir())
    (fault,) = made.faults
    assert fault.where == f"line 2, {column}"


@pytest.mark.parametrize(
    "head",
    ["Name,Type", "Name,Type,Spans", "Name,Type,Spans [kg]", HEAD + ",Colour", HEAD + ",Name"],
)
def test_a_faulty_head_is_refused(tmp_path, head):
    with pytest.raises(InputError, match="head"):
        read_rows(sheet(tmp_path, "A,steel girders,30", head=head))


def test_a_faulty_row_leaves_the_others(tmp_path):
    path = sheet(
        tmp_path, "Good,steel girders,30", "Bad,steel girders,x", "Too narrow,steel girders,20,0.3"
    )
    made = draft_sheet(path, tmp_path / "out")
    assert [item.name for item in sorted((tmp_path / "out").iterdir())] == [
        "good.toml", "too-narrow.toml"
    ]  # fmt: skip
    assert [fault.where for fault in made.faults] == ["line 3, Spans [m]"]


def test_two_of_one_name_and_files_in_the_way(tmp_path):
    path = sheet(tmp_path, "One,steel girders,30", "one!,steel girders,30", "ONE,steel girders,30")
    made = draft_sheet(path, tmp_path / "out")
    assert len(made.drafted) == 1
    assert len(made.faults) == 2
    before = made.drafted[0].file.read_bytes()
    again = draft_sheet(path, tmp_path / "out")
    assert not again.drafted
    assert made.drafted[0].file.read_bytes() == before


def test_a_bridge_that_cannot_be_built_is_told_by_its_column(tmp_path):
    # The railway loading of this family is for simple spans, and asks for a longitudinal force.
    path = sheet(
        tmp_path, "Track,steel girders,10; 10,yes,rail,irc",
        head=HEAD + ",Continuous,Use,Family",
    )  # fmt: skip
    made = draft_sheet(path, tmp_path / "out")
    assert not made.drafted
    assert made.faults
    assert made.faults[0].where.startswith("line 2, ")


@given(st.text(max_size=60))
def test_any_name_gives_a_file_name(name):
    found = file_name(name)
    assert found.endswith(".toml")
    assert found[0] not in ".-"
    assert all(letter.isascii() and (letter.isalnum() or letter in "-.") for letter in found)


# ------------------------------------------------------------------ sheets from hand
def workbook(tmp_path: Path, *rows: list, merge: str = "", head: str = HEAD) -> Path:
    from openpyxl import Workbook

    book = Workbook()
    page = book.active
    page.title = "Bridges"
    page.append(head.split(","))
    for row in rows:
        page.append(row)
    if merge:
        page.merge_cells(merge)
    path = tmp_path / "hand.xlsx"
    book.save(path)
    return path


@pytest.mark.parametrize(
    ("cell", "head", "told"),
    [
        ("30,5", HEAD, "with a decimal point"),
        (dt.datetime.fromisoformat("2026-05-30T00:00"), HEAD, "a date, 2026-05-30"),
        (dt.date(1987, 1, 1), HEAD + ",Year", "a date, 1987-01-01"),
        (31778, HEAD + ",Year", "1700 to 2200"),
        ("=A2*2", HEAD, "a formula, =A2*2"),
        (True, HEAD, "numbers by semicolons"),
        (30000, HEAD, "2 to 300 m"),
        ("30 m", HEAD, "numbers by semicolons"),
        (float("1e308"), HEAD, "numbers by semicolons"),
        (10**40, HEAD, "numbers by semicolons"),
        (dt.time(7, 30), HEAD, "a time, 07:30:00"),
    ],
)
def test_a_cell_from_hand_is_one_clear_fault(tmp_path, cell, head, told):
    row = ["A", "steel girders", 30, cell] if "Year" in head else ["A", "steel girders", cell]
    rows, faults = read_rows(workbook(tmp_path, row, head=head))
    assert not rows
    (fault,) = faults
    assert told in str(fault)
    assert fault.where.startswith("Bridges row 2, ")


def test_merged_cells_and_empty_rows(tmp_path):
    path = workbook(
        tmp_path,
        ["A", "steel girders", 30],
        [],
        [None, "", "  "],
        ["B", "steel girders", 30],
        ["C", "steel girders", 30],
        merge="B5:B6",  # of merged cells the first alone holds anything
    )
    rows, faults = read_rows(path)
    assert [row.outline.name for row in rows] == ["A", "B"]
    (fault,) = faults
    assert fault.where == "Bridges row 6, Type"
    assert fault.found == "nothing"


def test_ten_thousand_rows_are_one_fault(tmp_path):
    path = sheet(tmp_path, *(f"B{n},steel girders,30" for n in range(10_000)))
    with pytest.raises(InputError, match="at most") as error:
        read_rows(path)
    assert len(error.value.faults) == 1


cells = (
    st.none()
    | st.text(max_size=20)
    | st.integers(-(10**20), 10**20)
    | st.floats()
    | st.booleans()
    | st.datetimes()
    | st.dates()
    | st.times()
    | st.timedeltas()
    | st.just(Formula("=1+1"))
    | st.sampled_from(
        ["30; 40", "fixed; moving", "elastic", "pot", "?", ";;;", "pad.x 3 mm", "2,5"]
    )
)


@settings(max_examples=300)
@given(st.dictionaries(st.sampled_from([column.name for column in COLUMNS]), cells))
def test_any_cells_are_an_outline_or_faults(told):
    """Never a traceback, and never both."""
    base = {"Name": "A", "Type": "steel girders", "Spans": 30.0, "Girders": 3}
    places = {
        column.name: (n, 1.0 if column.unit in ("", "degC") else unit_factor(column.unit)[0])
        for n, column in enumerate(COLUMNS)
    }
    reader = RowReader("a.xlsx", "row 2", base | told, places)
    outline = reader.outline()
    assert (outline is None) == bool(reader.faults)
    if outline is not None:
        tomllib.loads(draft(outline).text)


# ------------------------------------------------------------------ the form
def test_the_form_is_read_back(tmp_path):
    from openpyxl import load_workbook

    path = tmp_path / "form.xlsx"
    path.write_bytes(draft_form())
    book = load_workbook(path)
    page = book["Bridges"]
    page.append(["Filled", None, None, None, None, "through truss", "48"])
    page.append(["Formula", None, None, None, None, "through truss", "=48"])
    # rows with list formats are there already: what is appended stands below them
    book.save(path)
    rows, faults = read_rows(path)
    assert [row.outline.spans for row in rows] == [(48.0,)]
    assert [fault.where.partition(", ")[2] for fault in faults] == ["Spans [m]"]


def test_the_form_is_the_same_every_time_and_offers_words():
    assert draft_form() == draft_form()
    with zipfile.ZipFile(io.BytesIO(draft_form())) as archive:
        text = archive.read("xl/worksheets/sheet1.xml").decode()
    assert "through truss" in text
    assert "<f>" not in text


def test_the_text_form_is_read_back(tmp_path):
    path = tmp_path / "form.csv"
    path.write_bytes(draft_form_csv() + b"Filled,,,,,concrete girders,14\n")
    (row,), faults = read_rows(path)
    assert not faults
    assert row.outline.type == "concrete girders"


def test_an_empty_form_is_told(tmp_path):
    path = tmp_path / "form.csv"
    path.write_bytes(draft_form_csv())
    assert "no bridge" in str(read_rows(path)[1][0])
