"""A stock of bridges that is made up, with readings whose truth is known: to try things on.

Nothing in it stands anywhere and nothing was measured. The rules stand in
``stock/data/synthetic.toml``; sizes come from the assumptions of a draft. Bridge number n of a seed
is the same however many are made.
"""

from __future__ import annotations

import csv
import datetime as dt
import io
import math
import os
import shutil
import tempfile
import tomllib
from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any, Final

import numpy as np

from bedstone.bridge.schema import BearingKind, FamilyName, Function
from bedstone.bridge.templates import template, template_files
from bedstone.cautions import MADE_UP
from bedstone.errors import Fault, InputError
from bedstone.site.log_forms import SUSPICIONS, LogForm
from bedstone.site.record import new_record, open_record, record_file
from bedstone.site.synthetic import (
    DAY,
    START,
    Made,
    as_csv,
    climate,
    make,
    modes,
    times,
    usual,
    weather,
)
from bedstone.site.tolerances import Tolerances
from bedstone.site.tolerances import usual as assumptions
from bedstone.standards.values import load_pack
from bedstone.stock.draft import (
    FAMILIES,
    Line,
    Outline,
    draft,
    fixed_line,
    line_marks,
    moving_line,
)

__all__ = ["MADE_UP", "MOST", "TRUTH", "Bridge", "Truth", "Written", "bridge", "write_stock"]

#: File with the truth of the readings.
TRUTH: Final = "truth.csv"
MOST: Final = 100_000

_PARTS: Final = ("north", "east", "south", "west", "middle")
_OVER: Final = (
    "Vessa", "Drune", "Halmer Beck", "Iskel", "Morvane", "Pellow", "Tarrick", "Ulgen Water",
    "Wendrel", "Yarse", "Old Cut", "Sand Lane", "Mill Road", "Northern Line",
)  # fmt: skip

#: Expansion by which stops were set (1/K): EN 1991-1-5, Table C.1, steel, from memory.
_ALPHA: Final = 12e-6

#: What carries a track.
_BY_TRACK: Final = {
    "girders under a track": "composite girders",
    "truss under a track": "through truss",
}

Draw = np.random.Generator


@dataclass(frozen=True)
class Truth:
    """What a log that was made up does: SI, m, K; see `bedstone.site.synthetic.Truth`."""

    path: str
    seat: str
    mode: str
    expected: float
    ratio: float
    drift: float
    offset: float


@dataclass(frozen=True)
class Bridge:
    """A made-up bridge: its files by path from the stock's folder, the bridge file first.

    `outline`: None where it is no draft; `kind`: by the rules.
    """

    number: int
    kind: str
    files: tuple[tuple[str, str], ...]
    outline: Outline | None

    @property
    def path(self) -> str:
        """Path of the bridge file."""
        return self.files[0][0]


@dataclass(frozen=True)
class Written:
    """What was written: number of bridges, how many of each kind, and the truth of the logs."""

    bridges: int
    kinds: Mapping[str, int]
    truths: tuple[Truth, ...]


@cache
def _rules() -> Mapping[str, Any]:
    place = files("bedstone.stock").joinpath("data", "synthetic.toml")
    return tomllib.loads(place.read_text(encoding="utf-8"))


@cache
def _assumed() -> Tolerances:
    """The assumptions of a draft, with those of the rules in their place."""
    values = dict(assumptions("draft", "stock").values)
    for name, value in _rules()["assumptions"].items():
        source = _rules()["pack"]["source"]
        values[name] = replace(values[name], value=float(value), source=source)
    return Tolerances(values)


# ------------------------------------------------------------------ one bridge
def bridge(number: int, seed: int) -> Bridge:
    """Bridge `number` (from 1) of a seed."""
    draw = np.random.default_rng([seed, number])
    rules = _rules()["kinds"]
    kind = _one_of(draw, {name: row["share"] for name, row in rules.items()})
    family: FamilyName = FAMILIES[0]
    wanted = _one_of(draw, _rules()["families"])
    if kind not in _BY_TRACK and kind != "reactions":
        family = next(name for name in FAMILIES if name == wanted)
    name = f"Made-up bridge {number:04d} over {_OVER[int(draw.integers(len(_OVER)))]}"
    part = _PARTS[int(draw.integers(len(_PARTS)))]
    stem = f"{part}/made-up-{number:04d}-{kind.replace(' ', '-')}"
    span = round(_between(draw, rules[kind]["spans"]), 1)
    reference = f"made up, seed {seed}, number {number}"
    if kind in ("frame", "reactions"):
        own = _frame if kind == "frame" else _reactions
        head = {"name": name, "reference": reference, "standard": family}
        return Bridge(number, kind, own(stem, span, head, draw), None)
    outline = _outline(draw, kind, rules[kind], span, family)
    outline = replace(outline, name=name, reference=reference)
    text = draft(outline, _assumed(), head=[MADE_UP]).text
    return Bridge(number, kind, ((f"{stem}.toml", text),), outline)


def _outline(
    draw: Draw, kind: str, rule: Mapping[str, Any], span: float, family: FamilyName
) -> Outline:
    by_track = kind.endswith("a track")
    of_type = _BY_TRACK.get(kind, kind)
    shares = np.array(rule["counts"])
    count = 1 + int(draw.choice(len(shares), p=shares / shares.sum()))
    middle, end = span, round(span * float(draw.uniform(0.75, 1.0)), 1)
    runs = count == 1 or (
        float(draw.random()) < rule["continuous"] and end >= rule["continuous_from"]
    )
    spans = (end, *((middle,) * (count - 2)), end) if runs and count > 1 else (middle,) * count
    truss = of_type.endswith("truss")
    curved = runs and float(draw.random()) < rule["curve"]
    skewed = not curved and float(draw.random()) < rule["skew"]
    ranges, known, numbers = _rules()["ranges"], _rules()["knowledge"], _rules()["girders"]
    weights = np.array(numbers["weights"])
    made = Outline(
        name="-",
        type=of_type,  # type: ignore[arg-type]  # the data file names types alone
        spans=spans,
        family=family,
        use="rail" if by_track else "road",
        year=int(draw.integers(*ranges["year"])),
        continuous=runs,
        girders=None if truss else 2
        if by_track
        else int(draw.choice(numbers["numbers"], p=weights / weights.sum())),
        spacing=None
        if truss
        else round(_between(draw, ranges["track_girders" if by_track else "spacing"]), 2),
        width=round(_between(draw, ranges["width"]), 1) if truss and not by_track else None,
        skew=math.radians(round(_squared(draw, ranges["skew"]))) * _sign(draw) if skewed else 0.0,
        radius=round(_between(draw, ranges["radius"])) * _sign(draw) if curved else None,
        heights=tuple(round(_between(draw, ranges["height"]), 1) for _ in spans[1:])
        if float(draw.random()) < known["heights"]
        else None,
    )  # fmt: skip
    if float(draw.random()) < known["depth"]:
        made = replace(made, depth=round(_usual_depth(made) * _between(draw, ranges["depth"]), 2))
    made = replace(made, lines=_lines(draw, made))
    if float(draw.random()) < known["travel"]:
        length = sum(spans) if runs else max(spans)
        kelvin = _between(draw, ranges["travel"])
        made = replace(made, travel=round(_ALPHA * kelvin * length, 3))
    return made


def _usual_depth(outline: Outline) -> float:
    values = _assumed()
    name = "truss" if outline.truss else outline.type.split()[0]
    if outline.use == "rail" and name == "composite":
        name = "rail"
    return max(outline.spans) / values.number(f"ratio_{name}")


def _lines(draw: Draw, outline: Outline) -> tuple[Line, ...]:
    """Bearings of every line by the rules; a piece is fixed at one line, or on springs."""
    rules = _rules()
    sets = [row for row in rules["bearings"] if row.get("family", outline.family) == outline.family]
    weights = np.array([row["share"] for row in sets])
    kinds = sets[int(draw.choice(len(sets), p=weights / weights.sum()))]
    count = 2 if outline.truss else outline.girders or 2
    fixed = replace(fixed_line(count), kind=kinds["fixed"], others=kinds["moving"])
    moving = replace(moving_line(count), kind=kinds["moving"])
    total = outline.line_count
    by_track = outline.use == "rail"
    where = _one_of(draw, rules["fixed_at_more" if len(outline.spans) > 2 else "fixed_at"])
    soft = 0.0 if by_track else rules["elastic"].get(outline.type, 0.0)
    if float(draw.random()) < soft and outline.radius is None:
        stiff = round(_between(draw, rules["ranges"]["elastic"]), 1) * 1e6
        functions: tuple[Function, ...] = tuple(["elastic"] * count)
        kind: BearingKind = "laminated elastomeric"
        return (Line(functions, kind, stiff),) * total
    if not outline.runs_through:
        # each span by itself: fixed at its first end, or at its last
        ends = (moving, fixed) if where == "last" else (fixed, moving)
        return ends * len(outline.spans)
    at = {"last": {total - 1}, "pier": {total // 2}, "both": {0, total - 1}}.get(where, {0})
    return tuple(fixed if place in at else moving for place in range(total))


def _one_of(draw: Draw, shares: Mapping[str, float]) -> str:
    """One name, by the weights."""
    names = list(shares)
    weights = np.array([float(shares[name]) for name in names])
    return names[int(draw.choice(len(names), p=weights / weights.sum()))]


def _between(draw: Draw, bounds: Sequence[float]) -> float:
    return float(draw.uniform(bounds[0], bounds[1]))


def _squared(draw: Draw, bounds: Sequence[float]) -> float:
    """Between two bounds, small ones more often: the square root of the way is drawn evenly."""
    return bounds[0] + (bounds[1] - bounds[0]) * float(draw.random()) ** 2


def _sign(draw: Draw) -> int:
    return 1 if draw.random() < 0.5 else -1


# ------------------------------------------------------------------ tables
def _frame(
    stem: str, span: float, head: Mapping[str, str], draw: Draw
) -> tuple[tuple[str, str], ...]:
    """A ladder deck like the template, of another length and width; its tables beside it."""
    panels = max(4, round(span / 4.0))
    half = round(float(draw.uniform(2.7, 3.3)), 2)
    nodes = ["node,x [m],y [m],z [m]"]
    members = ["member,i,j,section,release_i,release_j"]
    lines = ["line,member"]
    for n in range(panels + 1):
        x = f"{span * n / panels:.6g}"
        nodes += [f"R{n},{x},{-half:g},-0.95", f"L{n},{x},{half:g},-0.95"]
        members.append(f"C{n},R{n},L{n},cross,,")
    for n in range(1, panels + 1):
        members += [f"GR{n},R{n - 1},R{n},main,,", f"GL{n},L{n - 1},L{n},main,,"]
        i, j = (f"R{n - 1}", f"L{n}") if n % 2 else (f"L{n - 1}", f"R{n}")
        members.append(f"B{n},{i},{j},brace,my mz,my mz")
    lines += [f"right,GR{n}" for n in range(1, panels + 1)]
    lines += [f"left,GL{n}" for n in range(1, panels + 1)]
    seats = ["seat,support,node,contact [m]", "A1-1,A1,R0,0.85", "A1-2,A1,L0,0.85",
             f"A2-1,A2,R{panels},0.85", f"A2-2,A2,L{panels},0.85"]  # fmt: skip
    tables = {
        "frame_nodes": nodes,
        "frame_members": members,
        "frame_deck_lines": lines,
        "frame_seats": seats,
        "frame_sections": template_files("frame")["frame_sections.csv"].splitlines(),
    }
    choices = (
        "\n" if head["standard"] == "eurocode" else
        f'\n[choices.{head["standard"]}]\n"thermal.heat" = 12.0\n"thermal.cool" = 4.0\n'
    )  # fmt: skip
    text = _from_template("frame", stem, span, head, "28 m") + choices
    edge = f"{half - 0.3:g} m"
    for old, new in (("2.6 m", edge), ("2.75 m", f"{half - 0.25:g} m"), ("2.9 m", f"{half:g} m")):
        text = text.replace(f'y = "{old}"', f'y = "{new}"').replace(
            f'y = "-{old}"', f'y = "-{new}"'
        )
        text = text.replace(f'left = "{old}"', f'left = "{new}"')
        text = text.replace(f'right = "-{old}"', f'right = "-{new}"')
    return _with_tables(stem, text, tables)


def _reactions(
    stem: str, span: float, head: Mapping[str, str], draw: Draw
) -> tuple[tuple[str, str], ...]:
    """Reactions of the template, changed in the ratio of the spans and by one factor of weight."""
    factor = round(span / 24.0 * float(draw.uniform(0.9, 1.2)), 3)
    tables = {}
    for name, text in template_files("reactions").items():
        rows = [line for line in text.splitlines() if not line.startswith("#")]
        if name == "reactions_effects.csv":
            cells = [row.split(",") for row in rows]
            rows = [",".join(cells[0])] + [
                ",".join([*row[:3], *(f"{float(value) * factor:.6g}" for value in row[3:])])
                for row in cells[1:]
            ]
        tables[name.removesuffix(".csv")] = rows
    return _with_tables(stem, _from_template("reactions", stem, span, head, "24 m"), tables)


def _from_template(kind: str, stem: str, span: float, head: Mapping[str, str], length: str) -> str:
    """The template with a head and a length of its own, its tables called by the stem."""
    lines = [f"# {MADE_UP}"]
    left = dict(head)  # each once: stages have names too
    for line in template(kind).splitlines():
        key = line.split(" = ")[0]
        if key in left:
            line = f'{key} = "{left.pop(key)}"'
        elif line == f'chainage = "{length}"':
            line = f'chainage = "{span:g} m"'
        lines.append(line.replace(f'"{kind}_', f'"{Path(stem).name}_'))
    return "\n".join(lines) + "\n"


def _with_tables(
    stem: str, text: str, tables: Mapping[str, Sequence[str]]
) -> tuple[tuple[str, str], ...]:
    written = [(f"{stem}.toml", text)]
    for name, rows in tables.items():
        path = f"{stem}_{name.partition('_')[2]}.csv"
        written.append((path, "\n".join([f"# {MADE_UP}", *rows]) + "\n"))
    return tuple(written)


# ------------------------------------------------------------------ readings
def _moves_simply(made: Bridge) -> bool:
    """Whether a bridge is one of those whose movement by temperature is distance times warmth."""
    own = made.outline
    return (
        own is not None
        and own.family == _rules()["readings"]["family"]
        and own.radius is None
        and not own.skew
        and sum("fixed" in line.functions for line in own.lines or ()) in (1, len(own.spans))
    )


def _expected(outline: Outline) -> dict[str, float]:
    """Movement for 1 K (m/K, + toward rising chainage) of every bearing that moves along.

    By its distance from the line that holds its piece along, and the expansion of the deck
    (EN 1991-1-5 Annex C): no pier, and no joint between spans, changes it here.
    """
    pack = load_pack("eurocode")
    steel = outline.type.startswith("steel") or outline.truss
    alpha = pack["thermal.alpha.steel" if steel else "thermal.alpha.concrete"].value
    assert isinstance(alpha, float)
    stations = [0.0, *np.cumsum(outline.spans)]
    lines = outline.lines or ()
    if outline.runs_through:
        pieces = [list(zip(line_marks(outline), lines, stations, strict=True))]
    else:
        every = [stations[0], *(x for x in stations[1:-1] for _ in "ba"), stations[-1]]
        named = list(zip(line_marks(outline), lines, every, strict=True))
        pieces = [named[at : at + 2] for at in range(0, len(named), 2)]
    found = {}
    for piece in pieces:
        fixed = [x for _, line, x in piece if "fixed" in line.functions]
        for mark, line, x in piece:
            support, side = (mark[:-1], mark[-1]) if mark[-1] in "ab" else (mark, "")
            for place, function in enumerate(line.functions, start=1):
                if function in ("guided along", "free") and len(fixed) == 1:
                    found[f"{support}-{place}{side}"] = alpha * (x - fixed[0])
    return found


def _logs(made: Bridge, seed: int) -> tuple[Made, ...]:
    """Logs of the bearings that move most, each in a mode of its own."""
    assert made.outline is not None
    rules = _rules()["readings"]
    draw = np.random.default_rng([seed, made.number, 7])
    expected = _expected(made.outline)
    seats = sorted(expected, key=lambda seat: (-abs(expected[seat]), seat))[: rules["seats"]]
    step = rules["hours"] * 3600.0
    time = times(START, rules["days"], step)
    of = weather(START - DAY, int(time[-1]), seed * 1_000_003 + made.number)
    others = [mode for mode in modes() if mode != "free"]
    told = []
    for place, seat in enumerate(seats):
        well = draw.random() < rules["free"]
        mode = "free" if well else others[int(draw.integers(len(others)))]
        truth = usual(mode, expected[seat], datum=12.0)
        told.append(make(seat, truth, time, of, seed * 1_000_003 + made.number * 8 + place))
    same = all(np.array_equal(item.series.time, told[0].series.time) for item in told)
    # a log with stretches missing has times of its own: it then comes alone
    return tuple(told) if same else tuple(told[:1])


def _record(folder: Path, made: Bridge, logs: Sequence[Made]) -> None:
    """The record beside the bridge file, with the logs as a logger would have sent them."""
    assert made.outline is not None
    path = folder / made.path
    own = climate()
    now = dt.datetime(2024, 11, 1, tzinfo=dt.UTC)
    wanted = LogForm(
        tuple(item.series.seat for item in logs), zone="UTC", now=now, accept=frozenset(SUSPICIONS),
        steel=(own.mean - 60.0, own.mean + 60.0),
    )  # fmt: skip
    with tempfile.TemporaryDirectory(prefix="made-up-") as place:
        log = Path(place) / f"{path.stem}.csv.gz"
        log.write_bytes(as_csv(made.outline.name, logs))
        new_record(record_file(path), made.outline.name)
        with open_record(record_file(path), write=True, logs=True) as record:
            record.add_log(log, wanted, "made up", now)


# ------------------------------------------------------------------ the stock
def write_stock(
    folder: Path,
    count: int = 1000,
    seed: int = 1,
    *,
    logged: int = 40,
    advance: Callable[[int, int], None] | None = None,
) -> Written:
    """Write a stock of `count` bridges into a new folder; `logged` of them have readings.

    `advance`: told how many are done, of how many. Raises `InputError` where the folder is there
    already or cannot be made, and for numbers that cannot be. It appears whole or not at all;
    folders above it that are missing are made.
    """
    faults = [
        Fault("command line", name, str(value), allowed)
        for name, value, wrong, allowed in (
            ("--count", count, not 1 <= count <= MOST, f"1 to {MOST}"),
            ("--seed", seed, not 0 <= seed < 2**31, "0 to 2147483647"),
            ("--logged", logged, not 0 <= logged <= count, f"0 to {count}"),
        )
        if wrong
    ]
    if os.path.lexists(folder):
        faults.append(Fault(str(folder), "folder", "something of this name", "a new folder"))
    if faults:
        raise InputError(faults)
    missing = [place for place in folder.absolute().parents if not place.exists()]
    fresh: Path | None = None
    done = False
    try:
        folder.absolute().parent.mkdir(parents=True, exist_ok=True)
        fresh = Path(tempfile.mkdtemp(prefix=".made-up-", dir=folder.absolute().parent))
        written = _fill(fresh, count, seed, logged, advance)
        fresh.chmod(0o755)  # a temporary folder is for its owner alone
        fresh.rename(folder)
        done = True
    except OSError as error:
        raise _no_folder(folder, error) from error
    finally:
        if not done:
            if fresh is not None:
                shutil.rmtree(fresh, ignore_errors=True)
            for place in missing:  # those that were made for it alone, the deepest first
                with suppress(OSError):
                    place.rmdir()
    return written


def _no_folder(folder: Path, error: OSError) -> InputError:
    reason = error.strerror or str(error)
    return InputError([Fault(str(folder), "folder", reason, "a new folder that can be made")])


def _fill(
    folder: Path, count: int, seed: int, logged: int, advance: Callable[[int, int], None] | None
) -> Written:
    kinds: dict[str, int] = {}
    truths: list[Truth] = []
    for part in _PARTS:
        (folder / part).mkdir()
    with_logs = 0
    for number in range(1, count + 1):
        made = bridge(number, seed)
        kinds[made.kind] = kinds.get(made.kind, 0) + 1
        for path, text in made.files:
            (folder / path).write_text(text, encoding="utf-8", newline="\n")
        if with_logs < logged and _moves_simply(made):
            logs = _logs(made, seed)
            _record(folder, made, logs)
            with_logs += 1
            truths += [
                Truth(made.path, item.series.seat, item.truth.mode, item.truth.expected,
                      item.truth.ratio, item.truth.drift, item.truth.offset)
                for item in logs
            ]  # fmt: skip
        if advance is not None:
            advance(number, count)
    (folder / TRUTH).write_text(_truth_table(truths), encoding="utf-8", newline="\n")
    return Written(count, kinds, tuple(truths))


def _truth_table(truths: Sequence[Truth]) -> str:
    stream = io.StringIO(newline="")
    stream.write(f"# {MADE_UP} What was put into the logs of the records.\n")
    writer = csv.writer(stream, lineterminator="\n")
    writer.writerow(
        ["bridge", "seat", "mode", "expected [mm/K]", "ratio", "drift [mm/year]", "offset [mm]"]
    )
    for one in truths:
        writer.writerow(
            [one.path, one.seat, one.mode, f"{one.expected * 1e3:.6g}", f"{one.ratio:g}",
             f"{one.drift * 1e3:.6g}", f"{one.offset * 1e3:.6g}"]
        )  # fmt: skip
    return stream.getvalue()
