"""A bridge file is data: nothing in it is run, and no name in it leads out of its folder."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest
from team_cases import House, put, read

import bedstone
from bedstone.bridge.templates import template, template_files

PACKAGE = Path(bedstone.__file__).parent
#: Modules that make objects or programs of what they read.
RUNNING = {
    "pickle",
    "cPickle",
    "dill",
    "marshal",
    "shelve",
    "code",
    "codeop",
    "runpy",
    "subprocess",
}
CALLS = {"eval", "exec", "compile", "__import__"}
OF_SYSTEM = {"os.system", "os.popen", *(f"builtins.{name}" for name in CALLS)}


def found_in(tree: ast.Module) -> Iterator[str]:
    """What in a module could run what it reads."""
    for node in ast.walk(tree):
        match node:
            case ast.Import():
                yield from (item.name for item in node.names if item.name in RUNNING)
            case ast.ImportFrom() if node.module in RUNNING:
                yield str(node.module)
            case ast.Call(func=ast.Name(id=name)) if name in CALLS:
                yield name
            case ast.Call(func=ast.Attribute(attr=name, value=ast.Name(id=of))):
                if f"{of}.{name}" in OF_SYSTEM:
                    yield f"{of}.{name}"
            case ast.keyword(arg="allow_pickle", value=value):
                if not (isinstance(value, ast.Constant) and value.value is False):
                    yield "allow_pickle"


def test_nothing_runs_what_it_reads():
    told = {
        str(path.relative_to(PACKAGE)): list(found_in(ast.parse(path.read_text(encoding="utf-8"))))
        for path in PACKAGE.rglob("*.py")
    }
    assert len(told) > 100
    assert {path: found for path, found in told.items() if found} == {}


@pytest.mark.parametrize(
    "text",
    ["import pickle", "from marshal import loads", "eval(x)", "os.system(x)", "exec(x)",
     "numpy.load(x, allow_pickle=True)", "numpy.load(x, allow_pickle=y)", "builtins.eval(x)"],
)  # fmt: skip
def test_what_would_is_found(text: str):
    assert list(found_in(ast.parse(text)))


@pytest.fixture
def frame(tmp_path: Path) -> House:
    """A house with a frame whose tables lie beside it, and a secret beside the house."""
    house = House(tmp_path)
    for name, text in template_files("frame").items():
        (house.folder / "north" / name).write_text(text)
        (tmp_path / name).write_text("SECRET\n" + text)
        (house.folder / name).write_text("SECRET\n" + text)
    (house.folder / "north" / "frame.toml").write_text(template("frame"))
    (house.folder / "north" / "link.csv").symlink_to(tmp_path / "frame_nodes.csv")
    (house.folder / "north" / "way").symlink_to(tmp_path)
    (house.folder / "north" / "ring.csv").symlink_to(house.folder / "north" / "ring.csv")
    return house


@pytest.mark.parametrize(
    "name",
    [
        "../frame_nodes.csv", "../../frame_nodes.csv", "{place}/frame_nodes.csv", "link.csv",
        "way/frame_nodes.csv", "ring.csv", "..\\frame_nodes.csv", "/etc/passwd", "/dev/stdin",
        "/dev/zero", "frame.toml", "../truss.toml", "~/a.csv", "file:///etc/a.csv", "s3://a/b.csv",
        "http://127.0.0.1/a.csv", "", ".", "..", "a.csv\\u0000", "frame_nodes.csv/..", "*.csv",
        "north/../../frame_nodes.csv", "./../frame_nodes.csv",
        "．．/frame_nodes.csv",
    ],
)  # fmt: skip
def test_no_table_leads_out_of_the_folder_of_its_file(frame: House, name: str):
    anna = frame.client("anna")
    text, tag = read(anna, "north/frame.toml")
    told = name.replace("{place}", str(frame.folder.parent)).replace("\\f", "\\\\f")
    done = put(anna, "north/frame.toml", text.replace("frame_nodes.csv", told, 1), tag)
    assert done.status_code == 422, told
    assert "nodes" in done.text or "csv" in done.text
    assert "SECRET" not in done.text
    assert frame.lines() == []


def test_a_table_of_its_own_folder_is_read(frame: House):
    anna = frame.client("anna")
    text, tag = read(anna, "north/frame.toml")
    (frame.folder / "north" / "deeper").mkdir()
    stands = (frame.folder / "north" / "frame_nodes.csv").read_text()
    (frame.folder / "north" / "deeper" / "nodes.csv").write_text(stands)
    done = put(
        anna, "north/frame.toml", text.replace("frame_nodes.csv", "deeper/nodes.csv", 1), tag
    )
    assert done.status_code == 200, done.text


# ------------------------------------------------------------------ one way to write
#: Where the workspace writes, and what for. All else asks `writer.Writer`.
WRITERS = {
    "writer.py": {"write_atomically"},  # the one way into the folder
    "journal.py": {"write_atomically", "mkdir"},  # what it tells
    "autosave.py": {"write_atomically", "mkdir", "unlink"},  # edits not saved, in the cache
    "pages/reading_entry.py": {"write_text"},  # a form in a temporary folder of its own
    "pages/site_check.py": {"begin_record", "open_record"},  # within `writer.adding`
}
WRITING = {
    "write_atomically", "write_text", "write_bytes", "unlink", "mkdir", "makedirs", "rmtree",
    "rename", "copy", "copyfile", "copytree", "move", "touch", "symlink_to", "hardlink_to",
    "begin_record", "new_record", "chmod",
}  # fmt: skip


def writes_in(tree: ast.Module) -> set[str]:
    """Names of what is called to write."""
    found = set()
    for node in ast.walk(tree):
        if not isinstance(node, ast.Call):
            continue
        function = node.func
        name = function.attr if isinstance(function, ast.Attribute) else ""
        name = function.id if isinstance(function, ast.Name) else name
        told = {item.arg: item.value for item in node.keywords}
        if name in WRITING or (name == "open_record" and "write" in told):
            found.add(name)
        modes = [
            item for item in (*node.args[:2], told.get("mode")) if isinstance(item, ast.Constant)
        ]
        if name == "open" and any(set("wax+") & set(str(mode.value)) for mode in modes):
            found.add("open")
    return found


def test_the_workspace_writes_one_way():
    rooms = PACKAGE / "workspace"
    told = {
        path.relative_to(rooms).as_posix(): writes_in(ast.parse(path.read_text(encoding="utf-8")))
        for path in rooms.rglob("*.py")
    }
    assert {path: found for path, found in told.items() if found} == WRITERS


@pytest.mark.parametrize(
    "text", ["write_atomically(a, b)", "path.write_text(a)", "open(path, 'w')", "path.open('ab')",
             "open_record(a, write=True)", "path.unlink()", "open(path, mode='r+')"],
)  # fmt: skip
def test_another_way_is_found(text: str):
    assert writes_in(ast.parse(text))
