from collections.abc import Callable
from pathlib import Path

import pytest

from bedstone.bridge import FrameData, ReactionData, parse_bridge, read_bridge, read_tables
from bedstone.errors import InputError

LayOut = Callable[..., Path]


def tables_of(path: Path) -> FrameData | ReactionData | None:
    return read_tables(parse_bridge(path.read_text()), path.parent)


def test_frame_tables_are_si(lay_out: LayOut) -> None:
    data = tables_of(lay_out("frame"))
    assert isinstance(data, FrameData)
    assert data.nodes.node[:2] == ("R0", "L0")
    assert (data.nodes.x[2], data.nodes.y[2], data.nodes.z[2]) == (4.0, -3.0, -0.95)
    assert data.sections.E[0] == 210e9
    assert data.sections.A[0] == pytest.approx(0.0396)
    assert data.sections.Iy[0] == pytest.approx(1.3356e-2)
    assert data.sections.density[0] == 77e3
    assert data.members.release_i[-1] == {"my", "mz"}
    assert data.members.release_i[0] == set()
    assert data.members.up[0] is None
    assert data.seats.contact == (0.85,) * 4
    assert data.deck_lines is not None
    assert len(data.deck_lines.member) == 14


def test_effects_are_si(lay_out: LayOut) -> None:
    data = tables_of(lay_out("reactions"))
    assert isinstance(data, ReactionData)
    assert data.effects.N[0] == 820e3
    assert data.effects.vx[2] == pytest.approx(3.4e-3)
    assert data.effects.ry[0] == pytest.approx(3.1e-3)
    assert data.seats.y[0] == -2.1


def test_girders_have_no_tables(lay_out: LayOut) -> None:
    assert tables_of(lay_out("girders")) is None


def test_columns_in_any_order_with_any_unit(lay_out: LayOut) -> None:
    path = lay_out("frame")
    nodes = path.with_name("frame_nodes.csv")
    lines = [line for line in nodes.read_text().splitlines() if line and line[0] != "#"]
    turned = ["z [mm], y [ft] ,x [m],node"]
    for line in lines[1:]:
        node, x, y, z = line.split(",")
        turned.append(f"{float(z) * 1000},{float(y) / 0.3048!r},{x}, {node}")
    before = tables_of(path)
    nodes.write_bytes(b"\xef\xbb\xbf" + "\r\n".join(["", "# ours", *turned, ""]).encode())
    after = tables_of(path)
    assert isinstance(before, FrameData)
    assert isinstance(after, FrameData)
    assert after.nodes.node == before.nodes.node
    assert after.nodes.y == pytest.approx(before.nodes.y)
    assert after.nodes.z == pytest.approx(before.nodes.z)


def test_optional_columns(lay_out: LayOut) -> None:
    data = tables_of(
        lay_out(
            "frame",
            ("frame_sections.csv", ",81,39600", ",81,39600"),
            ("frame_sections.csv", "16667,19600,77,1.2e-5", ",,,"),
            ("frame_members.csv", "release_i,release_j", "up_x,up_y"),
            ("frame_members.csv", "up_x,up_y", "release_i,release_j"),
        )
    )
    assert isinstance(data, FrameData)
    assert data.sections.Ay[0] is None
    assert data.sections.Az[0] is None
    assert data.sections.density[0] == 0.0
    assert data.sections.alpha[0] is None
    assert data.sections.Ay[1] is not None


@pytest.mark.parametrize(
    ("name", "old", "new", "where", "found", "allowed"),
    [
        ("nodes", "y [m]", "y [kN]", "line 2, column 3", "'y [kN]'", "y [m]"),
        ("nodes", "y [m]", "y", "line 2, column 3", "'y'", "y [m]"),
        ("nodes", "z [m]", "w [m]", "line 2, column 4", "'w [m]'", "node, x, y, z"),
        ("nodes", "y [m]", "x [m]", "line 2, column 3", "'x [m]'", "each column once"),
        ("nodes", "node,", "node [m],", "line 2, column 1", "'node [m]'", "without unit"),
        ("nodes", ",z [m]", "", "line 2", "no column z", "z [m]"),
        ("nodes", "R3,12,", "R3,12.,5,", "line 9", "5 columns", "4"),
        ("nodes", "R3,12,", "R3,twelve,", "line 9, column x [m]", "'twelve'", "a number"),
        ("nodes", "R3,12,", "R3,nan,", "line 9, column x [m]", "'nan'", "a number"),
        ("nodes", "R3,12,", "R3,1e999,", "line 9, column x [m]", "'1e999'", "a number"),
        ("members", "B2,L1", "B1,L1", "line 26, column member", "'B1'", "once only"),
        ("nodes", "R3,12,", '"R3,12,', "line 9", "", "cells parted by commas"),
        ("nodes", "R3,12,", "R\0,12,", "file", "null", "UTF-8"),
        ("members", "GR1,R0,R1", "GR1,R0,R9", "line 3, column j", "'R9'", "a node"),
        ("members", "GR1,R0,R1", "GR1,R1,R1", "line 3, column j", "'R1'", "elsewhere"),
        (
            "members",
            "R1,main",
            "R1,mian",
            "line 3, column section",
            "'mian'",
            "did you mean 'main'",
        ),
        (
            "members",
            "my mz,my mz",
            "my tz,my mz",
            "line 25, column release_i",
            "'my tz'",
            "fx fy fz",
        ),
        ("sections", "210,81,39600", "210,81,0", "line 3, column A [mm2]", "'0'", "above 0"),
        ("sections", "210,81,39600", "-1,81,39600", "line 3, column E [GPa]", "'-1'", "above 0"),
        ("sections", "210,81,39600", "210,81,", "line 3, column A [mm2]", "''", "above 0"),
        (
            "seats",
            "A1-1,A1,R0",
            "A1-1,A9,R0",
            "line 3, column support",
            "'A9'",
            "mark of a support",
        ),
        ("seats", "A1-1,A1,R0", "A1-2,A1,R0", "line 4, column seat", "'A1-2'", "once only"),
        ("seats", "A1-1,A1,R0", "A1-1,A1,Q0", "line 3, column node", "'Q0'", "a node"),
        (
            "seats",
            "R0,0.85",
            "R0,-0.85",
            "line 3, column contact [m]",
            "'-0.85'",
            "not less than 0",
        ),
        ("seats", "A1-1,A1,R0", "A1 1,A1,R0", "line 3, column seat", "'A1 1'", "P1-2"),
        ("deck_lines", "right,GR3", "right,GR9", "line 5, column member", "'GR9'", "a member"),
    ],
)
def test_a_fault_has_line_and_column(
    lay_out: LayOut, name: str, old: str, new: str, where: str, found: str, allowed: str
) -> None:
    path = lay_out("frame", (f"frame_{name}.csv", old, new))
    with pytest.raises(InputError) as caught:
        read_bridge(path)
    got = [(fault.where, fault.found, fault.allowed) for fault in caught.value.faults]
    assert any(w == where and found in f and allowed in a for w, f, a in got), got
    assert {fault.file for fault in caught.value.faults} == {f"frame_{name}.csv"}


def test_up_takes_three_numbers(lay_out: LayOut) -> None:
    path = lay_out("frame")
    members = path.with_name("frame_members.csv")
    rows = [line for line in members.read_text().splitlines() if line[0] != "#"]
    members.write_text(
        "\n".join([rows[0] + ",up_x,up_y,up_z", *(row + ",0,0,1" for row in rows[1:])])
    )
    data = tables_of(path)
    assert isinstance(data, FrameData)
    assert data.members.up[0] == (0.0, 0.0, 1.0)
    members.write_text(members.read_text().replace("main,,,0,0,1", "main,,,0,,1", 1))
    with pytest.raises(InputError, match="all three of up_x, up_y, up_z"):
        read_bridge(path)


def test_every_case_needs_every_seat(lay_out: LayOut) -> None:
    path = lay_out("reactions", ("reactions_effects.csv", "wind,from the left,A2-2", "# "))
    with pytest.raises(InputError) as caught:
        read_bridge(path)
    (fault,) = caught.value.faults
    assert fault.where == "action wind, case from the left"
    assert "A2-2" in fault.found


def test_every_support_needs_a_seat(lay_out: LayOut) -> None:
    path = lay_out("reactions")
    path.with_name("reactions_seats.csv").write_text("seat,support,y [m]\nA1-1,A1,0\n")
    with pytest.raises(InputError, match="no seat on support A2"):
        read_bridge(path)


def test_faults_of_all_tables_come_together(lay_out: LayOut) -> None:
    path = lay_out(
        "frame",
        ("frame_nodes.csv", "y [m]", "y [kN]"),
        ("frame_seats.csv", "A1-1,A1,R0", "A1-1,A9 9,R0"),
    )
    path.with_name("frame_sections.csv").unlink()
    with pytest.raises(InputError) as caught:
        read_bridge(path)
    assert {fault.file for fault in caught.value.faults} == {
        "frame_nodes.csv",
        "frame_seats.csv",
        "frame_sections.csv",
    }


@pytest.mark.parametrize(
    "name", ["../nodes.csv", "/etc/passwd", "/etc/x.csv", "a/../../b.csv", "x\\0.csv", "nodes.txt"]
)
def test_tables_stay_in_the_folder(lay_out: LayOut, name: str) -> None:
    path = lay_out("frame", ('"frame_nodes.csv"', f"'{name}'"))
    with pytest.raises(InputError) as caught:
        read_bridge(path)
    (fault,) = caught.value.faults
    assert fault.where in ("superstructure.nodes", "file")


def test_a_link_does_not_lead_out(
    lay_out: LayOut, tmp_path_factory: pytest.TempPathFactory
) -> None:
    path = lay_out("frame")
    nodes = path.with_name("frame_nodes.csv")
    away = tmp_path_factory.mktemp("away") / "nodes.csv"
    away.write_text(nodes.read_text())
    nodes.unlink()
    nodes.symlink_to(away)
    with pytest.raises(InputError) as caught:
        read_bridge(path)
    (fault,) = caught.value.faults
    assert (fault.file, fault.where) == ("frame.toml", "superstructure.nodes")


def test_a_table_may_lie_below(lay_out: LayOut) -> None:
    path = lay_out("frame", ('"frame_nodes.csv"', '"tables/nodes.csv"'))
    (path.parent / "tables").mkdir()
    path.with_name("frame_nodes.csv").rename(path.parent / "tables" / "nodes.csv")
    read_bridge(path)


def test_too_large_a_table_is_not_read(lay_out: LayOut) -> None:
    path = lay_out("frame")
    with path.with_name("frame_nodes.csv").open("wb") as stream:
        stream.truncate(50_000_000)
    with pytest.raises(InputError, match="at most 20 MB"):
        read_bridge(path)


def test_faults_of_a_table_are_cut_short(lay_out: LayOut) -> None:
    path = lay_out("frame")
    rows = "\n".join(f"n{i},x,0,0" for i in range(5000))
    path.with_name("frame_nodes.csv").write_text("node,x [m],y [m],z [m]\n" + rows)
    with pytest.raises(InputError) as caught:
        read_bridge(path)
    assert len(caught.value.faults) == 101
