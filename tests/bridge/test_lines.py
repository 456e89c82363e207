"""Lines of seats and separate pieces: each span of simple spans, each connected part of a frame."""

from collections.abc import Callable
from pathlib import Path

from bedstone.bridge import parse_bridge, read_bridge, read_tables, seat_marks
from bedstone.bridge.lines import kept_functions, seat_lines
from bedstone.bridge.templates import template

GIRDERS = template("girders")
EXAMPLES = Path(__file__).parents[2] / "examples"


def test_a_continuous_bridge_is_one_piece_with_a_line_for_each_support() -> None:
    lines = seat_lines(parse_bridge(GIRDERS))
    assert [(line.support, line.piece) for line in lines] == [("A1", 0), ("P1", 0), ("A2", 0)]
    assert [place for line in lines for place in line.seats] == list(range(12))


def test_simple_spans_are_pieces_with_two_lines_on_the_pier() -> None:
    bridge = read_bridge(EXAMPLES / "railway.toml")
    marks = [seat.mark for seat in seat_marks(bridge)]
    found = [
        (line.support, line.piece, [marks[place] for place in line.seats])
        for line in seat_lines(bridge)
    ]
    assert found == [
        ("A1", 0, ["A1-1", "A1-2"]),
        ("P1", 0, ["P1-1b", "P1-2b"]),
        ("P1", 1, ["P1-1a", "P1-2a"]),
        ("A2", 1, ["A2-1", "A2-2"]),
    ]


def test_a_frame_has_the_pieces_that_its_members_connect(lay_out: Callable[..., Path]) -> None:
    path = lay_out("frame")
    bridge = read_bridge(path)
    tables = read_tables(bridge, path.parent)
    assert {line.piece for line in seat_lines(bridge, tables)} == {0}
    assert len(seat_lines(bridge, tables)) == len(bridge.support)


def test_seats_without_bearing_or_on_springs_are_kept() -> None:
    text = GIRDERS + (
        '[arrangement.seats.A1-1]\nfunction = "none"\n'
        '[arrangement.seats.A1-3]\nfunction = "elastic"\nstiffness = { kx = "2 MN/m" }\n'
        '[arrangement.seats.A1-4]\nfunction = "free"\nstiffness = { ky = "2 MN/m" }\n'
        '[arrangement.seats.P1-1]\nfunction = "fixed"\nstiffness = { kz = "2 GN/m" }\n'
        '[compare.rules]\nkeep = { A1-3 = "free", A2-1 = "fixed" }\n'
    )
    bridge = parse_bridge(text)
    assert kept_functions(bridge, seat_marks(bridge)) == {
        "A1-1": "none",
        "A1-3": "free",  # what the rules say comes first
        "A1-4": "free",  # sprung across, whatever it is called
        "A2-1": "fixed",
    }
