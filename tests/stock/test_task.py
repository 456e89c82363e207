"""A task is a pure function of bytes and options; its key names all that its rows depend on."""

import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from bedstone.actions.effects import SEAT_EFFECTS
from bedstone.bridge import read_bridge
from bedstone.errors import Fault, InputError
from bedstone.schedule.make import make_schedule
from bedstone.stock import task as tasks
from bedstone.stock.members import task_of
from bedstone.stock.tables import TABLES, digest, gathered, row
from bedstone.stock.task import Options, Task, parts_of, work_out

TESTS = Path(__file__).parents[1]
QUICK = TESTS / "comparison" / "one_line.toml"
PLAIN = Options(parts=("schedule",))
MakeTask = Callable[..., Task]


def column(rows: object, table: str, name: str) -> list[object]:
    place = list(TABLES[table].columns).index(name)
    return [cells[place] for cells in rows.get(table, ())]  # type: ignore[attr-defined]


def test_rows_are_those_of_the_schedule() -> None:
    answer = work_out(task_of(QUICK.parent, QUICK.name, PLAIN))
    assert answer.broken == ""
    made = make_schedule(read_bridge(QUICK), QUICK.parent)
    assert column(answer.rows, "bridges", "state") == ["done"]
    lines = [*made.seat_lines, *made.support_lines]
    assert column(answer.rows, "effects", "value") == [line.value + 0.0 for line in lines]
    for mark, most in zip(
        column(answer.rows, "seats", "seat"), column(answer.rows, "seats", "N_max_N"), strict=True
    ):
        # largest compression of a seat over its limit states but that of equilibrium alone
        own = [
            line.value
            for line in made.seat_lines
            if (line.place, line.effect, line.sense) == (mark, "N", "max")
            and line.limit_state != "ULS equilibrium"
        ]
        assert most == max(own)
    permanent = [made.permanent_seats[s.mark][SEAT_EFFECTS.index("N")] for s in made.seats]
    assert column(answer.rows, "seats", "N_permanent_N") == permanent


def test_a_seat_that_lifts_and_one_that_is_out_of_travel() -> None:
    """Held against the schedule and the settings themselves, on a bridge with stops and uplift."""
    file = TESTS / "schedule" / "three_points.toml"
    bridge = read_bridge(file)
    made = make_schedule(bridge, file.parent)
    lifting = {item.seat: item for item in made.uplift}
    assert lifting  # or the test says nothing
    rows = work_out(task_of(file.parent, file.name, PLAIN)).rows
    margins = dict(
        zip(column(rows, "seats", "seat"), column(rows, "seats", "uplift_margin"), strict=True)
    )
    for mark, margin in margins.items():
        assert isinstance(margin, float)
        permanent = made.permanent_seats[str(mark)][SEAT_EFFECTS.index("N")]
        pulls = [item.hold_down for item in made.uplift if item.seat == mark]
        if pulls:
            assert margin == pytest.approx(-max(pulls) / permanent)
        else:
            least = min(
                line.value
                for line in made.seat_lines
                if (line.place, line.effect, line.sense) == (mark, "N", "min")
            )
            assert margin == pytest.approx(least / permanent)


def test_travel_left_is_that_of_the_setting(tmp_path: Path) -> None:
    """A stop in the file 60 mm off: what is left is 60 mm less the way at the extremes."""
    text = QUICK.read_text(encoding="utf-8")
    before = work_out(task_of(QUICK.parent, QUICK.name, Options(parts=("schedule", "setting"))))
    assert column(before.rows, "seats", "travel_left_m") == [None, None]  # nothing ends it
    stops = 'function = "guided along"\ntravel = { back = "60 mm", ahead = "60 mm" }'
    own = text.replace('function = "guided along"', stops)
    assert own != text
    (tmp_path / "a.toml").write_text(own, encoding="utf-8")
    rows = work_out(task_of(tmp_path, "a.toml", Options(parts=("schedule", "setting")))).rows
    assert column(rows, "remarks", "text") == []
    found = dict(
        zip(column(rows, "seats", "seat"), column(rows, "seats", "travel_left_m"), strict=True)
    )
    seats = column(rows, "seats", "seat")
    number = seats.index("A2-1")
    most = max(
        abs(column(rows, "seats", name)[number])  # type: ignore[arg-type]
        for name in ("vx_max_m", "vx_min_m")
    )
    assert found["A1-1"] is None
    # the envelopes of the settings are those of the screening, a thousandth off at most
    assert found["A2-1"] == pytest.approx(0.060 - most, abs=1e-3)


_SCRIPT = """
import sys
from pathlib import Path
from bedstone.stock.members import task_of
from bedstone.stock.task import Options, work_out
file = Path(sys.argv[1])
task = task_of(file.parent, file.name, Options())
print(task.key(), work_out(task).digest)
"""


def test_same_bits_in_another_process_with_other_hashes(tmp_path: Path) -> None:
    """Order of sets, name of the temporary folder, threads of BLAS: none may be in the rows."""
    own = work_out(task_of(QUICK.parent, QUICK.name, Options()))
    assert own.broken == ""
    told = subprocess.run(
        [sys.executable, "-c", _SCRIPT, str(QUICK)],
        env=os.environ
        | {"PYTHONHASHSEED": "4321", "OPENBLAS_NUM_THREADS": "4", "TMPDIR": str(tmp_path)},
        capture_output=True,
        text=True,
        check=True,
    )
    assert told.stdout.split() == [
        task_of(QUICK.parent, QUICK.name, Options()).key(),
        own.digest,
    ]
    assert list(tmp_path.iterdir()) == []


def test_every_part_has_rows() -> None:
    rows = work_out(task_of(QUICK.parent, QUICK.name, Options())).rows
    assert set(rows) >= {"bridges", "seats", "supports", "effects", "bearings", "single_faults"}
    ranks = [number for number in column(rows, "single_faults", "rank") if number is not None]
    assert ranks == sorted(ranks)
    harms = [h for h in column(rows, "single_faults", "harm") if h is not None]
    assert harms == sorted(harms, reverse=True)


def test_given_reactions_have_a_schedule_and_a_remark(tmp_path: Path) -> None:
    from bedstone.bridge.templates import template, template_files

    for name, text in template_files("reactions").items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    (tmp_path / "given.toml").write_text(template("reactions"), encoding="utf-8")
    rows = work_out(task_of(tmp_path, "given.toml", Options())).rows
    assert column(rows, "bridges", "state") == ["done"]
    assert rows["effects"]
    assert column(rows, "remarks", "part") == ["setting", "what-if"]


@pytest.mark.parametrize(
    ("file", "state"),
    [
        ("wrong_unit.toml", "faulty"),
        ("bad_toml.toml", "faulty"),
        ("random_bytes.toml", "faulty"),
        ("outside_folder.toml", "faulty"),
        ("unstable.toml", "unstable"),
    ],
)
def test_a_faulty_bridge_is_a_row_with_its_faults(file: str, state: str, tmp_path: Path) -> None:
    shutil.copy(TESTS / "broken" / file, tmp_path)
    answer = work_out(task_of(tmp_path, file, PLAIN))
    assert answer.broken == ""
    assert column(answer.rows, "bridges", "state") == [state]
    texts = column(answer.rows, "remarks", "text")
    assert texts
    assert all("bedstone-" not in str(text) for text in texts)  # the temporary folder
    assert answer.digest == work_out(task_of(tmp_path, file, PLAIN)).digest


def test_a_fault_of_the_program_ends_no_other_bridge(
    task: MakeTask, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fails(*_: object) -> None:
        raise ZeroDivisionError("on purpose")

    monkeypatch.setattr("bedstone.stock.results.results", fails)
    assert work_out(task()).broken == "ZeroDivisionError: on purpose"


def test_the_key_names_all_that_rows_depend_on(
    task: MakeTask, monkeypatch: pytest.MonkeyPatch
) -> None:
    own = task()
    others = [
        replace(own, path="b.toml"),
        replace(own, files=((own.files[0][0], own.files[0][1] + b" "),)),
        replace(own, files=(*own.files, ("nodes.csv", b""))),
        replace(own, files=(*own.files, ("nodes.csv", b"1"))),
        replace(own, files=(*own.files, ("members.csv", b"1"))),
        replace(own, options=Options("irc")),
        replace(own, options=PLAIN),
        replace(own, faults=(Fault("a.toml", "file", "x", "y"),)),
    ]
    assert len({item.key() for item in (own, *others)}) == len(others) + 1
    assert own.key() == task().key()
    before = own.key()
    monkeypatch.setattr(tasks, "program", lambda: "another")
    assert own.key() != before


def test_the_key_knows_no_clock(tmp_path: Path) -> None:
    file = shutil.copy(QUICK, tmp_path / "a.toml")
    before = task_of(tmp_path, "a.toml", PLAIN).key()
    os.utime(file, (1.0, 4e9))  # 1970, and the year 2096
    assert task_of(tmp_path, "a.toml", PLAIN).key() == before


def test_the_program_is_what_works_out_and_not_what_shows(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for room in ("mechanics", "output", "cli"):
        (tmp_path / room).mkdir()
        (tmp_path / room / "a.py").write_text("1", encoding="utf-8")
    monkeypatch.setattr(tasks.bedstone, "__file__", str(tmp_path / "__init__.py"))
    seen = []
    for file, text in (("output/a.py", "2"), ("cli/a.py", "2"), ("mechanics/a.py", "2")):
        seen.append(tasks.program.__wrapped__())
        (tmp_path / file).write_text(text, encoding="utf-8")
    seen.append(tasks.program.__wrapped__())
    assert seen[0] == seen[1] == seen[2] != seen[3]


def test_parts_by_name() -> None:
    assert parts_of(["what-if", "size"]) == ("schedule", "size", "what-if")
    with pytest.raises(InputError) as error:
        parts_of(["size", "weight", ""])
    assert len(error.value.faults) == 2


def test_rows_hold_no_endless_number_and_no_unknown_column() -> None:
    cells = row("bridges", {"bridge": "a", "length_m": float("inf"), "radius_m": -0.0, "seats": 4})
    told = dict(zip(TABLES["bridges"].columns, cells, strict=True))
    assert told["length_m"] is None
    assert str(told["radius_m"]) == "0.0"
    assert told["seats"] == 4
    with pytest.raises(KeyError):
        row("bridges", {"colour": "green"})


def test_the_digest_sees_the_last_bit() -> None:
    one = {"seats": gathered("seats", [{"bridge": "a", "N_min_N": 1.0}])}
    two = {"seats": gathered("seats", [{"bridge": "a", "N_min_N": 1.0 + 2.0**-52}])}
    assert digest(one) != digest(two)
