"""The files of all drawings of a bridge."""

import io
import sys
from dataclasses import replace
from pathlib import Path

import ezdxf
import pytest

sys.path.insert(0, str(Path(__file__).parent / "drawing"))

from scenes import KINDS, example, made

from bedstone.bearings.base import Refusal
from bedstone.bearings.selection import Choice
from bedstone.output.draw import BOOK, TOGETHER, drawings, equal, file_name, pictures, undrawn
from bedstone.output.drawing.picture import collisions
from bedstone.schedule.designs import SeatDesign


def seat(mark: str, kind: str, **changes: object) -> SeatDesign:
    own = made(kind)
    design = replace(own.design, **changes)  # type: ignore[arg-type]
    demand = replace(own.demand, seat=mark)
    return SeatDesign(demand, "asked for", Choice(design.kind, design))


def refused(mark: str) -> SeatDesign:
    own = made("pot")
    refusal = Refusal("pot", "it is too small", "")
    return SeatDesign(replace(own.demand, seat=mark), "asked for", Choice("pot", refusal=refusal))


DESIGNS = [seat("A1-1", "pot"), seat("A1-2", "line rocker"), seat("A2-1", "pot"), refused("A2-2")]


def test_equal_bearings_share_a_sheet_and_refused_ones_have_none():
    groups = equal(DESIGNS)
    assert [item.marks for item in groups] == [("A1-1", "A2-1"), ("A1-2",)]
    assert undrawn(DESIGNS) == ("A2-2: it is too small",)


def test_what_is_told_of_one_stands_on_the_common_sheet():
    both = [seat("A1-1", "pot", notes=("one",)), seat("A2-1", "pot", notes=("two", "one"))]
    (group,) = equal(both)
    assert group.design.notes == ("one", "two")


def test_files_of_a_bridge():
    pytest.importorskip("typst")
    files = drawings(example("truss"), None, DESIGNS)
    names = ["layout", "elevation", "bearing-3-pot", "bearing-4-line-rocker"]
    wanted = {f"{name}.{end}" for name in names for end in ("svg", "pdf")} | {BOOK, TOGETHER}
    wanted |= {f"{name}.dxf" for name in names[2:]}
    assert set(files) == wanted
    for name, content in files.items():
        if name.endswith(".dxf"):
            assert isinstance(content, str)
            audit = ezdxf.read(io.StringIO(content)).audit()
            assert not audit.errors
        elif name.endswith(".pdf"):
            assert isinstance(content, bytes)
    assert drawings(example("truss"), None, DESIGNS) == files


def test_only_the_formats_asked_for():
    files = drawings(example("truss"), None, DESIGNS, ["svg"])
    assert {name.rpartition(".")[2] for name in files} == {"svg"}


def test_names_of_files_are_plain():
    for kind in KINDS:
        sheet = pictures(example("truss"), None, [seat("A1-1", kind)])[2]
        assert set(file_name(sheet)) <= set("abcdefghijklmnopqrstuvwxyz0123456789-")


def test_a_schedule_brings_its_forces(schedule):
    # the schedule of the fixture stands on bridges of its own: only its marks matter here
    of = example("truss")
    marks = {support.mark for support in schedule.supports}
    sheets = pictures(of, schedule, [])
    told = {shape.id for shape in sheets[0].shapes if hasattr(shape, "id")}
    both = marks & set(of.structure.supports)
    assert {f"force-{mark}" for mark in both} <= told
    assert all(collisions(sheet) == [] for sheet in sheets)
