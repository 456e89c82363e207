"""Counts against brute force: every combination of functions, kept where a plain reading agrees."""

import itertools
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bedstone.bridge import parse_bridge, read_bridge, read_tables, seat_marks
from bedstone.bridge.lines import kept_functions, seat_lines
from bedstone.bridge.schema import Bridge, Rules
from bedstone.bridge.templates import template, template_files
from bedstone.comparison.choices import FUNCTIONS, choices, count, within_reach
from bedstone.errors import InputError

EXAMPLES = Path(__file__).parents[2] / "examples"
RAILWAY = read_bridge(EXAMPLES / "railway.toml")
TRUSS = read_bridge(EXAMPLES / "truss.toml")
GIRDERS = parse_bridge(template("girders"))  # three supports, four girders
BROKEN = Path(__file__).parents[1] / "broken"
THREE = parse_bridge(  # one span on three girders
    (BROKEN / "rules_contradict.toml")
    .read_text(encoding="utf-8")
    .split("[compare.rules]")[0]
    .replace("number = 2", "number = 3")
    .replace('A1 = ["fixed", "guided across"]', 'A1 = ["fixed", "guided across", "free"]')
    .replace('A2 = ["guided along", "free"]', 'A2 = "free"')
)


def ruled(bridge: Bridge, **rules: Any) -> Bridge:
    changed = Rules.model_validate(rules)
    return bridge.model_copy(
        update={"compare": bridge.compare.model_copy(update={"rules": changed})}
    )


def brute(bridge: Bridge) -> set[tuple[str, ...]]:
    """The rules as the page on the bridge file tells them, read word by word, on everything."""
    rules, seats, lines = bridge.compare.rules, seat_marks(bridge), seat_lines(bridge)
    kept = kept_functions(bridge, seats)
    ways: list[list[str]] = []
    for seat in seats:
        never = set(rules.exclude.get(seat.mark, []))
        if rules.only_across is not None and seat.line not in rules.only_across:
            never |= {"fixed", "guided along"}
        if rules.only_along is not None and seat.support not in rules.only_along:
            never |= {"fixed", "guided across"}
        own = [function for function in FUNCTIONS[:4] if function not in never]
        ways.append([kept[seat.mark]] if seat.mark in kept else own)
    whole = [all(seats[place].mark in kept for place in line.seats) for line in lines]

    def allowed(functions: tuple[str, ...]) -> bool:
        pieces: dict[int, int] = {}
        for line, is_kept in zip(lines, whole, strict=True):
            own = [functions[place] for place in line.seats if functions[place] != "none"]
            held = [n for n, function in enumerate(own) if function in ("fixed", "guided across")]
            pieces[line.piece] = pieces.get(line.piece, 0) + bool(held)
            if is_kept:
                continue
            if held and not rules.along[0] <= len(held) <= rules.along[1]:
                return False
            across = sum(function in ("fixed", "guided along") for function in own)
            if not rules.across[0] <= across <= rules.across[1]:
                return False
            if rules.neighbours and held and held[-1] - held[0] >= len(held):
                return False
        least, most = rules.supports_along
        asked = {line.piece for line, is_kept in zip(lines, whole, strict=True) if not is_kept}
        return all(least <= pieces[piece] <= most for piece in asked)

    return {functions for functions in itertools.product(*ways) if allowed(functions)}


def listed(bridge: Bridge) -> set[tuple[str, ...]]:
    codes = choices(bridge).codes()
    found = {tuple(FUNCTIONS[code] for code in row) for row in codes}
    assert len(found) == len(codes)  # none twice
    return found


def test_hand_counts() -> None:
    # truss: a support holds along with 1, 2 or both of 2 bearings (3 ways), each is held across at
    # one of 2: 2 supports x (3 x 2) x 2; two such spans by themselves: the square
    assert count(TRUSS) == 24
    assert count(RAILWAY) == 24**2
    # 3 supports of 4: runs of neighbours 4 + 3 + 2 + 1 = 10, one of 4 across at each
    assert count(GIRDERS) == 3 * 10 * 4**3
    # anything at all: 4 functions at each of 12 seats
    free = ruled(GIRDERS, supports_along=[0, 3], across=[0, 4], neighbours=False)
    assert count(free) == 4**12


RANGE = st.tuples(st.integers(0, 3), st.integers(0, 3)).map(sorted)
MARKS = st.sampled_from([seat.mark for seat in seat_marks(THREE)])
SOME = st.sampled_from(FUNCTIONS[:4])


@settings(max_examples=60, deadline=None)
@given(
    supports=RANGE,
    along=st.tuples(st.integers(1, 3), st.integers(1, 3)).map(sorted),
    across=RANGE,
    neighbours=st.booleans(),
    only_along=st.none() | st.lists(st.sampled_from(["A1", "A2"]), unique=True),
    only_across=st.none() | st.lists(st.sampled_from([1, 2, 3]), unique=True),
    keep=st.dictionaries(MARKS, SOME | st.just("none"), max_size=2),
    exclude=st.dictionaries(MARKS, st.lists(SOME, max_size=2), max_size=2),
)
def test_lists_what_a_plain_reading_allows(
    supports: list[int], along: list[int], across: list[int], **rules: Any
) -> None:
    keep = rules.pop("keep")
    exclude = {mark: never for mark, never in rules.pop("exclude").items() if mark not in keep}
    bridge = ruled(
        THREE, supports_along=supports, along=along, across=across, keep=keep, exclude=exclude,
        **{name: value for name, value in rules.items() if value is not None},
    )  # fmt: skip
    expected = brute(bridge)
    assert listed(bridge) == expected
    assert count(bridge) == len(expected)


def test_single_spans_choose_by_themselves() -> None:
    bridge = ruled(RAILWAY, along=[1, 1])
    found = brute(bridge)
    assert listed(bridge) == found
    assert len(found) == (2 * 2 * 2 * 2) ** 2  # support, bearing along, one across at each


def test_neighbours_pass_over_seats_without_bearing() -> None:
    text = template("girders") + '[arrangement.seats.A1-2]\nfunction = "none"\n'
    text += "[compare.rules]\nalong = [2, 2]\nonly_along = ['A1']\nacross = [0, 0]\n"
    bridge = parse_bridge(text)
    held = {tuple(np.flatnonzero([f == "guided across" for f in row])) for row in listed(bridge)}
    assert held == {(0, 2), (2, 3)}


def test_a_bridge_on_springs_has_its_one_arrangement() -> None:
    springs = "".join(
        f'[arrangement.seats.{seat.mark}]\nfunction = "elastic"\n'
        'stiffness = { kx = "2 MN/m", ky = "2 MN/m" }\n'
        for seat in seat_marks(GIRDERS)
    )
    bridge = parse_bridge(template("girders") + springs)
    assert listed(bridge) == {("elastic",) * 12}


def test_the_order_is_the_same_every_time() -> None:
    assert np.array_equal(choices(RAILWAY).codes(), choices(RAILWAY).codes())


def test_too_many_states_the_count_the_time_and_what_narrows() -> None:
    bridge = ruled(GIRDERS, supports_along=[1, 3], across=[0, 4], neighbours=False)
    with pytest.raises(InputError) as caught:
        within_reach(bridge, seconds=0.01)
    (fault,) = caught.value.faults
    assert fault.where == "compare.rules"
    # 4^12 less those with nothing held along, 2^12
    assert "16 773 120 arrangements" in fault.found
    assert "about 46.6 hours" in fault.found
    assert "at most 100 000" in fault.allowed
    assert " would leave " in fault.allowed
    # the last hint is enough: it says so in numbers
    last = int(fault.allowed.rsplit("would leave ", 1)[1].replace(" ", ""))
    assert 0 < last <= 100_000


def test_a_count_beyond_any_list_is_still_exact() -> None:
    bridge = read_bridge(EXAMPLES / "girders.toml")
    bridge = ruled(bridge, supports_along=[0, 4], across=[0, 5], neighbours=False)
    assert count(bridge) == 4**20


@pytest.mark.parametrize(
    ("rules", "told"),
    [
        ({"across": [2, 2], "exclude": {"P1-1b": ["fixed", "guided along"]}}, "P1-1b, P1-2b"),
        (
            {"supports_along": [2, 2], "exclude": {
                "A2-1": ["fixed", "guided across"], "A2-2": ["fixed", "guided across"]}},
            "can hold it along: P1",
        ),
    ],
)  # fmt: skip
def test_none_names_the_line_or_the_piece(rules: dict[str, Any], told: str) -> None:
    with pytest.raises(InputError) as caught:
        within_reach(ruled(RAILWAY, **rules))
    (fault,) = caught.value.faults
    assert fault.found == "no arrangement"
    assert told in fault.allowed


def test_given_reactions_are_refused(tmp_path: Path) -> None:
    for name, text in {"r.toml": template("reactions"), **template_files("reactions")}.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    bridge = read_bridge(tmp_path / "r.toml")
    with pytest.raises(InputError) as caught:
        count(bridge, read_tables(bridge, tmp_path))
    (fault,) = caught.value.faults
    assert fault.where == "superstructure.kind"
    assert "belong to one arrangement alone" in fault.allowed
