"""The command line: what it prints, what it writes and with which code it leaves."""

import errno
import json
import os
import re
import subprocess
import sys
import xml.etree.ElementTree as ET
from collections.abc import Callable
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from bedstone import __version__, cli
from bedstone.bearings.constants import load_constants
from bedstone.bridge import read_bridge
from bedstone.bridge.templates import KINDS, template, template_files
from bedstone.cautions import SHORT
from bedstone.errors import CheckError
from bedstone.schedule import make
from bedstone.schedule.result import Schedule
from bedstone.standards.values import load_pack

BROKEN = Path(__file__).parent / "broken"
ALLOWED = "allowed: a file that can be read, a folder that can be made and written"


Run = Callable[..., Any]


@pytest.fixture
def run(command: Run) -> Run:
    """In an empty folder."""
    return command


@pytest.fixture(scope="module")
def computed(tmp_path_factory: pytest.TempPathFactory) -> Schedule:
    folder = tmp_path_factory.mktemp("computed")
    (folder / "bridge.toml").write_text(template("truss"), encoding="utf-8")
    return make.make_schedule(read_bridge(folder / "bridge.toml"), folder)


@pytest.fixture
def bridge(run: Run, computed: Schedule, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The truss template in the folder; its schedule, made once, for every run."""
    Path("bridge.toml").write_text(template("truss"), encoding="utf-8")
    monkeypatch.setattr(make, "make_schedule", lambda *_: computed)
    return Path("bridge.toml")


# ------------------------------------------------------------------ help
def test_help_shows_the_verbs_that_are_built_and_the_caution(run: Run) -> None:
    done = run("--help")
    assert done.code == 0
    listed = done.out.split("Commands:\n")[1].split("\n\n")[0].splitlines()
    verbs = [line.split()[0] for line in listed]
    assert verbs == [
        *("new", "check", "schedule", "serve", "size"),
        *("compare", "sharing", "what-if", "chance"),
        *("setting", "draw", "report", "export"),
        *("record", "inspect", "monitor", "replace"),
        *("stock", "draft", "stock-sample"),
        *("token", "changes"),
        *("schema", "demo", "sources"),
    ]
    assert SHORT in " ".join(done.out.split())


@pytest.mark.parametrize("verb", ["new", "check", "schedule", "size", "sources", "schema", "demo"])
def test_every_verb_has_help_with_the_caution(run: Run, verb: str) -> None:
    done = run(verb, "--help")
    assert done.code == 0
    assert SHORT in " ".join(done.out.split())


def test_help_loads_nothing_heavy() -> None:
    script = (
        "import sys; from bedstone.cli import main; sys.argv = ['bedstone', '--help']\n"
        "try: main()\n"
        "finally: print('LOADED', *{name.partition('.')[0] for name in sys.modules})"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True)
    loaded = set(done.stdout.split("LOADED")[1].split())
    assert loaded & {"numpy", "scipy", "pydantic", "pint", "ezdxf", "rich", "tomlkit"} == set()
    assert "typer" in loaded


def test_version(run: Run) -> None:
    assert run("--version") == (0, f"bedstone {__version__}\n", "")


@pytest.mark.parametrize(
    "arguments",
    [(), ("fly",), ("check",), ("schedule", "--loud"), ("new",), ("schedule", "a.toml", "b.toml")],
)
def test_a_wrong_call_is_bad_input(run: Run, arguments: tuple[str, ...]) -> None:
    assert run(*arguments).code == 2


# ------------------------------------------------------------------ new
@pytest.mark.parametrize("kind", KINDS)
def test_a_new_file_of_each_kind_passes_the_check(run: Run, kind: str) -> None:
    done = run("new", "--kind", kind, "mine.toml")
    assert done.code == 0
    assert Path("mine.toml").read_text(encoding="utf-8") == template(kind)
    assert {path.name for path in Path().iterdir()} == {"mine.toml", *template_files(kind)}
    checked = run("check", "mine.toml")
    assert checked.code == 0
    assert checked.out.startswith("mine.toml: ok: ")
    assert checked.err == ""


def test_nothing_is_overwritten_without_force(run: Run) -> None:
    Path("bridge.toml").write_text("mine", encoding="utf-8")
    Path("frame_nodes.csv").write_text("mine too", encoding="utf-8")
    done = run("new", "--kind", "frame")
    assert done.code == 2
    assert len(done.err.splitlines()) == 2
    assert Path("bridge.toml").read_text(encoding="utf-8") == "mine"
    assert len(list(Path().iterdir())) == 2
    assert run("new", "--kind", "frame", "--force").code == 0
    assert Path("bridge.toml").read_text(encoding="utf-8") == template("frame")
    assert run("check", "bridge.toml").code == 0


def test_an_unknown_kind_or_folder_is_bad_input(run: Run) -> None:
    done = run("new", "--kind", "tunnel")
    assert done.code == 2
    assert "'tunnel'; allowed: girders, truss, frame, reactions" in done.err
    assert run("new", "--kind", "truss", "nowhere/bridge.toml").code == 2
    assert list(Path().iterdir()) == []


# ------------------------------------------------------------------ check
def test_check_sums_up_what_stands(run: Run, bridge: Path) -> None:
    done = run("check", bridge)
    assert done.code == 0
    # two trusses on two abutments, as the template says; vertical loads at four points of a stiff
    # body are once indeterminate, and A1 holds along at both seats
    for words in ("4 seats", "2 supports", "1 span", "arrangement fixed at A1", "to degree 2"):
        assert words in done.out


@pytest.mark.parametrize("file", sorted(BROKEN.glob("*.toml")), ids=lambda path: path.stem)
def test_a_broken_file_is_told_in_lines_that_name_it(run: Run, file: Path) -> None:
    done = run("check", file)
    assert done.code == 2
    assert done.out == ""
    lines = done.err.splitlines()
    assert lines
    assert len(set(lines)) == len(lines)
    assert all(file.stem.split("_")[0] in line for line in lines)


def test_an_unstable_arrangement_names_its_motion(run: Run) -> None:
    assert "slides freely along the bridge" in run("check", BROKEN / "unstable.toml").err
    assert "freely" in run("check", BROKEN / "disconnected.toml").err


def test_good_files_are_told_beside_bad_ones(run: Run, bridge: Path) -> None:
    done = run("check", "missing.toml", bridge, BROKEN / "spans.toml")
    assert done.code == 2
    assert done.out.startswith("bridge.toml: ok")
    assert "missing.toml" in done.err
    assert "spans.toml" in done.err


def test_a_file_cannot_steer_the_terminal(run: Run) -> None:
    text = template("truss").replace("Through truss", "a\\u001b[2J")
    Path("odd.toml").write_text(text, encoding="utf-8")
    told = run("check", "odd.toml")
    assert "\x1b" not in told.out + told.err
    Path("odd.toml").write_text("[bridge]\nname = '\\u001b'\n\"\\u001b[2J\" = 1", encoding="utf-8")
    told = run("check", "odd.toml")
    assert told.code == 2
    assert "\x1b" not in told.out + told.err


# ------------------------------------------------------------------ schedule
def test_schedule_prints_tables_without_colours_into_a_pipe(run: Run, bridge: Path) -> None:
    done = run("schedule", bridge)
    assert done.code == 0
    assert done.err == ""
    assert "ULS persistent: what each abutment and pier takes" in done.out
    assert "\x1b" not in done.out
    assert max(map(len, done.out.splitlines())) <= 120


def test_schedule_as_json_is_json_alone(run: Run, bridge: Path) -> None:
    done = run("schedule", bridge, "--json", "--csv", "out/tables")
    assert done.code == 0
    told = json.loads(done.out)
    described = json.loads(run("schema", "schedule").out)
    jsonschema.Draft202012Validator(described).validate(told)
    assert {path.name for path in Path("out/tables").iterdir()} == {"seats.csv", "supports.csv"}
    assert len(done.err.splitlines()) == 2


def test_one_seat_and_one_limit_state(run: Run, bridge: Path) -> None:
    done = run("schedule", bridge, "--seat", "A2-1", "--limit-state", "quasi")
    assert done.code == 0
    assert "A2-1, SLS quasi-permanent: the actions in each extreme" in done.out
    assert "ULS persistent:" not in done.out


@pytest.mark.parametrize(
    ("option", "word", "allowed"),
    [
        ("--seat", "A9-9", "A1-1, A1-2, A2-1, A2-2"),
        ("--limit-state", "fatigue", "SLS frequent"),
        ("--standard", "klingon", "eurocode, aashto, irc"),
    ],
)
def test_an_unknown_word_is_told_before_anything_is_written(
    run: Run, bridge: Path, option: str, word: str, allowed: str
) -> None:
    done = run("schedule", bridge, "--csv", "out", option, word)
    assert done.code == 2
    assert len(done.err.splitlines()) == 1
    assert f"found '{word}'" in done.err
    assert allowed in done.err
    assert not Path("out").exists()


def test_given_reactions_claim_no_check_of_a_model(run: Run) -> None:
    assert run("new", "--kind", "reactions", "given.toml").code == 0
    done = run("schedule", "given.toml")
    assert done.code == 0
    told = " ".join(done.out.split())
    assert "No self-check: the effects were brought from elsewhere" in told
    assert "permanent weight put in" not in told


def test_another_family_is_passed_on(
    run: Run, bridge: Path, computed: Schedule, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[object] = []

    def note(_bridge: object, _folder: object, family: object, *_: object) -> Schedule:
        asked.append(family)
        return computed

    monkeypatch.setattr(make, "make_schedule", note)
    assert run("schedule", bridge).code == 0
    assert run("schedule", bridge, "--standard", "irc").code == 0
    assert asked == [None, "irc"]


def test_a_folder_that_cannot_be_made_is_bad_input(run: Run, bridge: Path) -> None:
    done = run("schedule", bridge, "--csv", bridge)
    assert done.code == 2
    assert done.err == f"bridge.toml: cannot be read or written: File exists; {ALLOWED}\n"
    below = run("schedule", bridge, "--csv", "bridge.toml/tables")
    assert below.code == 2
    assert below.err.startswith("bridge.toml/tables: cannot be read or written: Not a directory;")
    assert len(below.err.splitlines()) == 1


def test_the_plan_and_the_page_are_written_where_asked(run: Run, bridge: Path) -> None:
    done = run("schedule", bridge, "--plan", "out/plan.svg", "--page", "out/page.html")
    assert done.code == 0
    assert done.err == "written: out/plan.svg\nwritten: out/page.html\n"
    assert {path.name for path in Path("out").iterdir()} == {"plan.svg", "page.html"}
    plan = Path("out/plan.svg").read_text(encoding="utf-8")
    assert ET.fromstring(plan).tag.endswith("svg")
    page = Path("out/page.html").read_text(encoding="utf-8")
    assert page.startswith("<!doctype html>")
    assert plan[plan.index("<svg") :].strip() in page
    assert "ULS persistent: what each abutment and pier takes" in page
    one = run("schedule", bridge, "--json", "--plan", "alone.svg")
    assert json.loads(one.out)
    assert one.err == "written: alone.svg\n"


@pytest.mark.parametrize(("option", "ending"), [("--plan", ".svg"), ("--page", ".html")])
def test_a_plan_or_page_never_takes_the_name_of_another_file(
    run: Run, bridge: Path, option: str, ending: str
) -> None:
    before = bridge.read_bytes()
    done = run("schedule", bridge, option, bridge)
    assert done.code == 2
    assert f"{option}: found 'bridge.toml'; allowed: a file whose name ends in {ending}" in done.err
    assert bridge.read_bytes() == before
    assert run("schedule", bridge, option, f"bridge.toml/x{ending}").code == 2


def test_a_fault_of_the_system_is_one_line_with_what_is_allowed(
    run: Run, bridge: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(*_: object) -> Schedule:
        raise FileNotFoundError(2, "No such file or directory", "gone.csv")

    monkeypatch.setattr(make, "make_schedule", fail)
    done = run("schedule", bridge)
    assert done.code == 2
    told = f"gone.csv: cannot be read or written: No such file or directory; {ALLOWED}\n"
    assert done.err == told


def test_a_schedule_with_bearings_says_its_rounds_and_shows_them(run: Run) -> None:
    Path("bridge.toml").write_text(template("truss"), encoding="utf-8")
    done = run("schedule", "bridge.toml", "--with-bearings", "--csv", "out")
    assert done.code == 0
    assert "of design and analysis; the governing forces changed by" in done.out
    assert "governs, or why not" in done.out
    assert "\x1b" not in done.out
    plain = run("schedule", "bridge.toml")
    assert "of design and analysis" not in plain.out


# ------------------------------------------------------------------ size
def test_size_shows_one_bearing_in_full(run: Run, bridge: Path) -> None:
    done = run("size", bridge, "A2-1")
    assert done.code == 0
    assert done.err == ""
    for words in ("A2-1: rocker on nest, guided along", "Parts", "Checks, worst first", "Passes"):
        assert words in done.out
    assert max(map(len, done.out.splitlines())) <= 120
    longer = run("size", bridge, "A2-1", "--full")
    assert "Every line in full" in longer.out
    assert len(longer.out) > len(done.out)


def test_size_of_all_seats_is_one_line_each(run: Run, bridge: Path, computed: Schedule) -> None:
    done = run("size", bridge, "--kind", "spherical")
    for seat in computed.seats:
        assert f"\n{seat.mark}  " in done.out
    assert done.out.count("spherical") >= len(computed.seats)


def test_size_leaves_with_one_where_nothing_serves(run: Run, bridge: Path) -> None:
    refused = run("size", bridge, "A2-1", "--kind", "guide")
    assert refused.code == 1
    assert "NO BEARING: " in refused.out
    compared = run("size", bridge, "A2-1", "--compare")
    assert compared.code == 0  # the kind of the file serves
    assert "the kinds side by side" in compared.out


def test_size_as_json_is_json_alone(run: Run, bridge: Path) -> None:
    done = run("size", bridge, "A2-1", "--json", "--compare")
    assert done.code == 0
    told = json.loads(done.out)
    described = json.loads(run("schema", "bearings").out)
    jsonschema.Draft202012Validator(described).validate(told)
    assert [item["seat"] for item in told["bearings"]] == ["A2-1"]
    assert len(told["bearings"][0]["compared"]) == 16


GIVEN = """
[[bearings.given]]
seat = "A2-1"
kind = "rocker on nest"
sizes = { diameter = "%s", length = "900 mm", spacing = "200 mm", rocker_radius = "400 mm", """
GIVEN += """rocker_length = "900 mm", rollers = 3 }
"""


def test_a_given_bearing_is_assessed(run: Run, bridge: Path) -> None:
    bridge.write_text(template("truss") + GIVEN % "60 mm", encoding="utf-8")
    done = run("size", bridge, "A2-1")
    assert done.code == 1  # rollers far too thin for two thousand kN: they fail
    assert "given in the file: assessed, not sized" in done.out
    assert "DOES NOT PASS" in done.out
    assert "60 dia." in done.out
    assert "kind asked for" in run("size", bridge, "A2-1", "--kind", "spherical").out
    assert "rocker on nest (given)" in run("size", bridge).out


def test_faults_of_bearings_are_told_by_check_and_size(run: Run, bridge: Path) -> None:
    bridge.write_text(template("truss") + GIVEN % "60 kN", encoding="utf-8")
    for verb in ("check", "size"):
        done = run(verb, bridge)
        assert done.code == 2
        assert done.err.startswith("bridge.toml: bearings.given[1].sizes.diameter: found '60 kN'")
        assert len(done.err.splitlines()) == 1
    text = "\n[bearings.options]\n'roller.cleerance' = '1 mm'\n"
    bridge.write_text(template("truss") + text, encoding="utf-8")
    for verb in ("check", "size"):
        done = run(verb, bridge)
        assert done.code == 2
        assert "did you mean 'roller.clearance'?" in done.err


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("A9-9",), "found 'A9-9'; allowed: A1-1, A1-2"),
        (("A2-1", "--kind", "swing"), "found 'swing'; allowed: single roller"),
        (("A2-1", "--standard", "klingon"), "eurocode, aashto, irc"),
    ],
)
def test_size_tells_unknown_words(
    run: Run, bridge: Path, arguments: tuple[str, ...], words: str
) -> None:
    done = run("size", bridge, *arguments)
    assert done.code == 2
    assert words in done.err
    assert len(done.err.splitlines()) == 1


# ------------------------------------------------------------------ faults of other kinds
def test_a_result_that_fails_its_own_check(
    run: Run, bridge: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(*_: object) -> Schedule:
        raise CheckError("equilibrium 3e-4 of the load, allowed 1e-9")

    monkeypatch.setattr(make, "make_schedule", fail)
    assert run("schedule", bridge) == (1, "", "equilibrium 3e-4 of the load, allowed 1e-9\n")


def test_a_fault_of_the_program_is_one_line(
    run: Run, bridge: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(*_: object) -> Schedule:
        raise RuntimeError("odd")

    monkeypatch.setattr(make, "make_schedule", fail)
    done = run("schedule", bridge)
    assert done.code == 3
    assert len(done.err.splitlines()) == 1
    assert "RuntimeError: odd" in done.err
    assert "BEDSTONE_TRACEBACK=1" in done.err
    monkeypatch.setenv("BEDSTONE_TRACEBACK", "1")
    monkeypatch.setattr(sys, "argv", ["bedstone", "schedule", str(bridge)])
    with pytest.raises(RuntimeError, match="odd"):
        cli.main()


def test_an_interruption_leaves_as_the_shell_expects(
    run: Run, bridge: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def stop(*_: object) -> Schedule:
        raise KeyboardInterrupt

    monkeypatch.setattr(make, "make_schedule", stop)
    # 128 + SIGINT, the convention of shells
    assert run("schedule", bridge) == (130, "", "interrupted\n")


def test_an_interruption_while_the_program_still_loads_is_one_line() -> None:
    script = (
        "import sys\n"
        "class Stop:\n"
        "    def find_spec(self, name, *rest):\n"
        "        if name == 'typer': raise KeyboardInterrupt\n"
        "sys.meta_path.insert(0, Stop())\n"
        "from bedstone.cli import main\n"
        "main()"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True)
    assert (done.returncode, done.stdout, done.stderr) == (130, "", "interrupted\n")


@pytest.mark.parametrize("arguments", [("--help",), ("schema",), ("sources", "irc")])
@pytest.mark.skipif(sys.platform == "win32", reason="no SIGPIPE")
def test_output_that_nobody_reads_ends_it_quietly(arguments: tuple[str, ...]) -> None:
    reading, writing = os.pipe()
    os.close(reading)
    try:
        done = subprocess.run(
            [sys.executable, "-m", "bedstone.cli", *arguments],
            stdout=writing, stderr=subprocess.PIPE, text=True,
        )  # fmt: skip
    finally:
        os.close(writing)
    # 128 + SIGPIPE, what a shell tells of other tools that lose their reader
    assert (done.returncode, done.stderr) == (141, "")


def test_another_pipe_that_breaks_is_told(
    run: Run, bridge: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(*_: object) -> Schedule:
        raise BrokenPipeError(errno.EPIPE, "Broken pipe")

    monkeypatch.setattr(make, "make_schedule", fail)
    done = run("schedule", bridge)
    assert (done.code, done.out) == (2, "")
    assert "Broken pipe" in done.err
    assert len(done.err.splitlines()) == 1


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no full device here")
def test_a_full_disk_is_told_for_short_output_too() -> None:
    with Path("/dev/full").open("w") as full:
        done = subprocess.run(
            [sys.executable, "-m", "bedstone.cli", "--version"],
            stdout=full, stderr=subprocess.PIPE, text=True,
        )  # fmt: skip
    assert done.returncode == 2
    assert len(done.stderr.splitlines()) == 1


# ------------------------------------------------------------------ sources, schema, demo
def test_sources_lists_every_value_once(run: Run) -> None:
    done = run("sources", "irc")
    assert done.code == 0
    for name in load_pack("irc"):
        assert name in done.out
    assert f"{len(load_pack('irc'))} values" in done.out


@pytest.mark.parametrize("width", [60, 80, 100, 115, 120])
def test_sources_break_no_word_at_any_width(
    run: Run, monkeypatch: pytest.MonkeyPatch, width: int
) -> None:
    monkeypatch.setenv("COLUMNS", str(width))
    for family in ("eurocode", "aashto", "irc"):
        done = run("sources", family)
        assert max(map(len, done.out.splitlines())) <= width
        printed = set(done.out.split())
        for value in load_pack(family).values():
            assert set(value.name.split()) <= printed
            # short words stand whole; punctuation hangs on them where entries are put together
            words = [word for word in value.source.split() if len(word) <= 12]
            assert {word.rstrip(":") for word in words} <= {word.rstrip(":") for word in printed}


def test_sources_of_the_bearings_are_listed_too(run: Run) -> None:
    done = run("sources", "bearings")
    assert done.code == 0
    for one in load_constants():
        assert one.name in done.out
    assert f"{len(load_constants())} values" in done.out
    number = int(re.findall(r"(\d+) values", run("sources").out)[-1])
    packs = sum(len(load_pack(name)) for name in ("eurocode", "aashto", "irc"))
    assert number == packs + len(load_constants())


def test_sources_by_basis(run: Run) -> None:
    memory = [value for value in load_pack("aashto").values() if value.basis == "memory"]
    done = run("sources", "aashto", "--basis", "memory")
    assert f"{len(memory)} values: {len(memory)} memory" in done.out
    assert "secondary" not in done.out.split("values:")[1]
    assert run("sources", "jis").code == 2
    assert "allowed: print, secondary, memory" in run("sources", "--basis", "hearsay").err


def test_schema_of_a_bridge_file(run: Run) -> None:
    done = run("schema")
    jsonschema.Draft202012Validator.check_schema(json.loads(done.out))
    assert run("schema", "bridge").out == done.out
    assert run("schema", "house").code == 2


def test_demo_leaves_everything_and_the_same_twice(run: Run, bridge: Path) -> None:
    done = run("demo")
    assert done.code == 0
    folder = Path("bedstone-demo")
    assert "index.html" in done.err
    first = {path.name: path.read_bytes() for path in folder.iterdir()}
    assert set(first) == {
        "bridge.toml",
        "schedule.json",
        "seats.csv",
        "supports.csv",
        "schedule.txt",
        "plan.svg",
        "index.html",
    }
    assert run("check", folder / "bridge.toml").code == 0
    assert first["schedule.txt"].decode() == done.out
    assert run("demo").code == 0
    assert {path.name: path.read_bytes() for path in folder.iterdir()} == first


def test_demo_leaves_a_changed_bridge_alone(run: Run, bridge: Path) -> None:
    Path("kept").mkdir()
    Path("kept/bridge.toml").write_text("mine", encoding="utf-8")
    done = run("demo", "--out", "kept")
    assert done.code == 2
    assert [path.name for path in Path("kept").iterdir()] == ["bridge.toml"]
