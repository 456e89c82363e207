"""The chapters of a calculation package, in the order in which a checker reads them."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from bedstone.bridge.schema import Column as PierColumn
from bedstone.bridge.schema import GivenSprings, Reactions, Support
from bedstone.comparison.compare import Shown, reason
from bedstone.output import (
    bearings,
    compare_tables,
    setting_tables,
    setting_words,
    sharing_tables,
    sheets,
    words,
)
from bedstone.output.compare_tables import Beside
from bedstone.output.drawing.to_svg import to_svg
from bedstone.output.report import customary
from bedstone.output.report.contents import UPRIGHT, Contents
from bedstone.output.report.lines import MARKS, by_part, calculations
from bedstone.output.report.markup import (
    NEW_PAGE,
    Block,
    Chapter,
    Paper,
    bullets,
    heading,
    own_page,
    pairs,
    paragraph,
    paragraphs,
    picture,
    table,
)
from bedstone.output.sheets import NOTHING, Cell, Column, Sheet
from bedstone.output.shown import (
    SEAT_SIGNS,
    SUPPORT_SIGNS,
    UNITS,
    decimals,
    figure,
    plain,
    shown,
)
from bedstone.schedule.designs import SeatDesign
from bedstone.standards.values import Value

CUSTOMARY = (
    "Figures in US customary units stand below or behind those in SI and are converted from them: "
    "1 kip = 4.448 kN, 1 in = 25.4 mm, 1 ft = 0.3048 m, 1 lb = 0.4536 kg, 1 ksi = 6.895 MPa."
)
#: Arrangements beside today's in one table.
_BESIDE = 3


def chapters(found: Contents, paper: Paper) -> Iterator[Chapter]:
    """One chapter after the other."""
    yield Chapter("Results at a glance", _results(found, paper))
    yield Chapter("The bridge", _bridge(found, paper))
    yield Chapter("Model and self-checks", _model(found, paper))
    yield Chapter("Actions", _actions(found, paper), fresh=False)
    yield Chapter("Arrangement of the bearings", _arrangement(found, paper))
    if found.sharing is not None and found.still is not None:
        yield Chapter("Sharing of horizontal forces", _sharing(found, paper))
    yield Chapter("Schedule of bearings", _schedule(found, paper))
    if found.designs:
        yield Chapter("Design of the bearings", _bearings(found, paper))
        yield Chapter("Plates, plinths and anchors", _seating(found, paper))
        yield Chapter("Drawings of the bearings", _drawings(found, paper), fresh=False)
    if found.settings or found.no_settings:
        yield Chapter("Setting", _setting(found, paper))
    yield Chapter("Values to be confirmed", _memory(found, paper))
    yield Chapter("Assumptions and notes", _notes(found), fresh=False)
    yield Chapter("Governing cases in full", _governing(found, paper))
    yield Chapter("The bridge file as read", _file(found, paper))


# ------------------------------------------------------------------ what holds and what does not
def failing(found: Contents) -> list[str]:
    """Seats of which a check does not hold, or for which there is no bearing."""
    return [item.seat for item in found.designs if not item.choice.passes]


def verdict(found: Contents) -> str:
    """Whether all checks of the bearings hold, in a sentence for the cover."""
    if not found.designs:
        return "Schedule of bearings alone: no bearing is designed or checked in this package."
    wrong = failing(found)
    count = len(found.designs)
    if not wrong:
        return f"All checks of all {count} bearings hold. Open points are told under 1."
    return (
        f"NOT ALL CHECKS HOLD: {len(wrong)} of {count} bearings do not pass or are not there: "
        f"{', '.join(wrong)}."
    )


def _results(found: Contents, paper: Paper) -> list[Block]:
    schedule = found.schedule
    blocks = [paragraph(verdict(found), "warning" if failing(found) else "")]
    if found.designs:
        sheet = bearings.overview(found.designs)
        blocks.append(_sheet(found, replace(sheet, title="Bearings, one line each"), paper))
        blocks.append(paragraph(bearings.COLUMNS, "soft"))
    blocks.append(_sheet(found, _supports_take(found), paper))
    open_points = [
        *(f"Does not pass: {mark}" for mark in failing(found)),
        *(f"Uplift: {told}" for told in words.uplift(schedule)),
        *(f"Locked temperature force: {told}" for told in words.locked(schedule)),
    ]
    for item in found.settings:
        open_points += [
            f"Setting of {item.seat}: {plain(told)}"
            for told in setting_words.windows(item)
            if told.startswith("TRAVEL")
        ]
    recalled = _recalled(found)
    if recalled:
        open_points.append(
            f"{len(recalled)} values of standards were recalled and are to be confirmed; they are "
            "listed in a chapter of their own."
        )
    if open_points:
        blocks += [heading("Open points"), *bullets([_both(found, told) for told in open_points])]
    return blocks


def _supports_take(found: Contents) -> Sheet:
    """Largest and smallest of each effect at each support over all ultimate limit states."""
    schedule = found.schedule
    states = [state for state in schedule.limit_states if sheets.is_ultimate(state)]
    told = [
        line
        for line in schedule.support_lines
        if line.limit_state in (states or [line.limit_state])
    ]
    rows: list[tuple[Cell, ...]] = []
    for support in schedule.supports:
        if rows:
            rows.append(())
        for effect in ("V", "Fx", "Fy", "Mx", "My"):
            own = [line for line in told if (line.place, line.effect) == (support.mark, effect)]
            if not own:
                continue
            ends = (max(own, key=lambda line: line.value), min(own, key=lambda line: line.value))
            places = decimals([shown(effect, line.value) for line in ends])
            cells = [
                cell
                for line in ends
                for cell in (
                    Cell(figure(shown(effect, line.value), places)),
                    Cell(plain(line.limit_state)),
                )
            ]
            rows.append((Cell(support.mark), Cell(f"{effect} [{UNITS[effect]}]"), *cells))
    columns = (
        Column("support"),
        Column("effect"),
        Column("max", holds="numbers"),
        Column("limit state", holds="text"),
        Column("min", holds="numbers"),
        Column("limit state", holds="text"),
    )
    title = "What each abutment and pier takes, over all ultimate limit states"
    return Sheet(title, columns, tuple(rows))


# ------------------------------------------------------------------ input
def _bridge(found: Contents, paper: Paper) -> list[Block]:
    bridge, schedule = found.bridge, found.schedule
    own = bridge.superstructure
    spans = [
        b.chainage - a.chainage for a, b in zip(bridge.support, bridge.support[1:], strict=False)
    ]
    told = [
        ("Name", bridge.bridge.name),
        ("Reference", bridge.bridge.reference or NOTHING),
        ("Use", bridge.bridge.use),
        ("Superstructure", _superstructure(found)),
        ("Spans", " + ".join(f"{span:g}" for span in spans) + " m" if spans else NOTHING),
        ("Alignment", _alignment(found)),
        ("Bearings", f"{len(schedule.seats)} on {len(schedule.supports)} supports"),
        ("Bearings set at stage", schedule.set_at),
    ]
    if bridge.bridge.note:
        told.append(("Note", bridge.bridge.note))
    blocks = [pairs([(name, plain(value)) for name, value in told]), heading("Supports")]
    blocks.append(_sheet(found, _supports(found), paper, title=False))
    if isinstance(own, Reactions):
        blocks.append(
            paragraph(
                "The effects of the actions were brought from elsewhere; there is no model here."
            )
        )
    turned = found.plan is not None and found.plan.size[0] > UPRIGHT
    high = 145.0 if turned else 108.0 if paper == "a4" else 99.0
    pictures = (
        (found.plan, "Plan: a bar across each direction held, an arrow along each left free."),
        (found.elevation, "Elevation, with what each support takes."),
    )
    drawn = [(drawing, caption) for drawing, caption in pictures if drawing is not None]
    if drawn:
        blocks += [NEW_PAGE, heading("Plan and elevation")]
    for drawing, caption in drawn:
        blocks.append(picture(to_svg(drawing), caption, high=high, landscape=turned))
    return blocks


def _superstructure(found: Contents) -> str:
    own = found.bridge.superstructure
    if isinstance(own, Reactions):
        return "effects brought from elsewhere"
    told: list[str] = [own.kind]
    for name in ("type", "form", "deck", "continuity", "deck_type"):
        value = getattr(own, name, None)
        if isinstance(value, str):
            told.append(value)
    return ", ".join(told)


def _alignment(found: Contents) -> str:
    axis = found.bridge.alignment
    radius = getattr(axis, "radius", None)
    if not radius:
        return "straight"
    return f"circular arc, radius {radius:g} m, turning {getattr(axis, 'turn', '')}".rstrip(" ,")


def _supports(found: Contents) -> Sheet:
    columns = (
        Column("support"),
        Column("chainage", "m", "numbers"),
        Column("skew", "deg", "numbers"),
        Column("base below bearings", "m", "numbers"),
        Column("factors on stiffness", holds="numbers"),
        Column("below the bearings", holds="text"),
    )
    known = {support.mark: support for support in found.bridge.support}
    rows = []
    for info in found.schedule.supports:
        own = known[info.mark]
        bounds = (own.bounds.lower, own.bounds.upper)
        rows.append(
            (
                Cell(info.mark),
                Cell(figure(info.chainage, 3)),
                Cell(figure(math.degrees(info.skew), 2)),
                Cell(figure(info.depth, 2)),
                Cell(NOTHING if bounds == (1.0, 1.0) else f"{bounds[0]:g} to {bounds[1]:g}"),
                Cell(plain(_below(own))),
            )
        )
    return Sheet("Supports", columns, tuple(rows))


def _below(support: Support) -> str:
    own = support.below
    if isinstance(own, PierColumn):
        size = (
            f"diameter {own.diameter:g} m"
            if own.diameter is not None
            else f"{own.along:g} m along x {own.across:g} m across"
            if own.along is not None and own.across is not None
            else "section given"
        )
        number = "column" if own.count == 1 else f"{own.count} columns"
        cap = f", cap {own.cap:g} m" if own.cap else ""
        return f"{number} {own.height:g} m high, {size}, E {own.E / 1e9:g} GPa{cap}, on foundation"
    if isinstance(own, GivenSprings):
        return "springs given at bearing level"
    return "rigid"


def _file(found: Contents, paper: Paper) -> list[Block]:
    """Every entry of the bridge file as it was written, table by table."""
    blocks = [
        paragraph(
            "Entries as written, comments left out. What is not told has the default of the format."
        )
    ]
    rows: list[tuple[Cell, ...]] = []
    for name, value in _flat(tomllib.loads(found.source)):
        rows.append((Cell(plain(name)), Cell(plain(value))))
    columns = (Column("entry", holds="text"), Column("value", holds="text"))
    return [*blocks, table(Sheet("", columns, tuple(rows)), paper)]


def _flat(data: object, place: str = "") -> Iterator[tuple[str, str]]:
    """Leaves of the file with their dotted names; lists of plain values in one line."""
    if isinstance(data, Mapping):
        for name, value in data.items():
            yield from _flat(value, f"{place}.{name}" if place else str(name))
    elif isinstance(data, list) and any(isinstance(item, (Mapping, list)) for item in data):
        for number, item in enumerate(data, start=1):
            yield from _flat(item, f"{place}[{number}]")
    elif isinstance(data, list):
        yield place, ", ".join(map(_written, data)) or "nothing"
    else:
        yield place, _written(data)


def _written(value: object) -> str:
    return str(value).lower() if isinstance(value, bool) else str(value)


# ------------------------------------------------------------------ model and actions
def _model(found: Contents, paper: Paper) -> list[Block]:
    schedule = found.schedule
    blocks = [paragraph(words.self_check(schedule))]
    if not found.extents:
        return blocks
    blocks.insert(
        0,
        paragraph(
            "Space frame with six freedoms at a node, shear deformation and rigid offsets. It is "
            "condensed once to the bearing seats; every arrangement, stiffness below and friction "
            "is then solved on the seats, and what is held is held exactly."
        ),
    )
    names = {"steel": "steel alone", "long": "long term", "short": "short term"}
    states = Sheet(
        "States of the superstructure",
        (
            Column("state"),
            *(Column(head, holds="numbers") for head in ("nodes", "members", "freedoms")),
        ),
        tuple(
            (
                Cell(names.get(item.name, item.name)),
                *(Cell(f"{count:,}") for count in (item.nodes, item.members, item.freedoms)),
            )
            for item in found.extents
        ),
    )
    blocks += [_sheet(found, states, paper), _sheet(found, _residuals(found), paper)]
    if schedule.periods is not None:
        along, across = schedule.periods
        blocks.append(paragraph(f"Periods: {along:.2f} s along, {across:.2f} s across."))
    return blocks


def _residuals(found: Contents) -> Sheet:
    checks = found.schedule.checks
    rows = [
        ("equilibrium of the whole bridge", f"{checks.equilibrium:.1e}", "relative to the load"),
        ("compatibility at the seats", f"{checks.compatibility:.1e}", "relative"),
        ("symmetry of the condensed stiffness", f"{checks.symmetry:.1e}", "relative"),
        ("energy of rigid-body motions", f"{checks.rigid_body:.1e}", "relative, nothing if exact"),
        ("solution of the equations", f"{checks.solution:.1e}", "relative"),
        ("traffic envelopes", f"{checks.influence_error:.2%}", "bound of the error of placing"),
        ("permanent weight put in", f"{checks.weight_applied / 1e3:.1f} kN", "sum of all stages"),
        ("permanent weight found", f"{checks.weight_found / 1e3:.1f} kN", "sum at the bearings"),
    ]
    columns = (Column("self-check"), Column("found", holds="numbers"), Column("what", holds="text"))
    told = tuple(tuple(Cell(_both(found, cell)) for cell in row) for row in rows)
    return Sheet("Self-checks, the worst over all solutions", columns, told)


def _actions(found: Contents, paper: Paper) -> list[Block]:
    schedule = found.schedule
    blocks = [
        *paragraphs([plain(f"{schedule.standard_title}: {schedule.edition}")]),
        paragraph(MARKS, "soft"),
    ]
    if schedule.calculations:
        blocks += [
            heading("Values of the actions"),
            calculations([("", schedule.calculations)], paper, found.us),
        ]
    blocks.append(heading("Permanent actions"))
    blocks += [_sheet(found, sheet, paper) for sheet in sheets.permanent(schedule)]
    return blocks


# ------------------------------------------------------------------ arrangement
def _arrangement(found: Contents, paper: Paper) -> list[Block]:
    schedule = found.schedule
    told = [plain(line) for line in words.basis(schedule)[1:]]
    blocks = [*paragraphs(told), _sheet(found, sheets.bearings(schedule.seats), paper)]
    locked = words.locked(schedule)
    if locked:
        blocks += [heading("Locked temperature forces"), *bullets(_all(found, locked))]
    else:
        blocks.append(paragraph("Temperature locks in no force worth telling."))
    blocks.append(heading("Why this arrangement"))
    if found.today is None:
        blocks.append(
            paragraph(
                "No other arrangement is pinned in the bridge file, so none stands beside it here."
            )
        )
        return blocks + bullets(list(found.unstable))
    blocks += _alternatives(found, "Pinned", found.pinned, paper)
    blocks += bullets([f"Does not stand: {plain(told)}" for told in found.unstable])
    if found.comparison is not None:
        counted = f"{len(found.comparison.arrangements):,}"
        blocks.append(
            paragraph(
                f"Of {counted} arrangements that the rules of the bridge file allow, "
                f"{len(found.comparison.order):,} keep all limits; ranked by "
                f"{found.comparison.objective}."
            )
        )
        blocks += _alternatives(found, "Best", found.comparison.best, paper)
    blocks.append(paragraph(compare_tables.READING, "soft"))
    return blocks


def _alternatives(found: Contents, role: str, others: Sequence[Shown], paper: Paper) -> list[Block]:
    """The arrangement of the file beside others: numbers, then reasons in words."""
    today = found.today
    if today is None or not others:
        return []
    blocks = [heading(f"{role} beside the arrangement of the file", 3)]
    marked = [
        Beside(chr(ord("A") + number % 26) if role == "Pinned" else str(number + 1), "pinned", one)
        for number, one in enumerate(others)
    ]
    blocks += bullets(
        [
            plain(f"today: {today.name}: {compare_tables.held(today.functions)}"),
            *(
                plain(f"{one.label}: {one.item.name}: {compare_tables.held(one.item.functions)}")
                for one in marked
            ),
        ]
    )
    for start in range(0, len(marked), _BESIDE):
        block = [Beside("today", "today", today), *marked[start : start + _BESIDE]]
        sheet = compare_tables.values(f"{role}, beside today's", block, {})
        blocks.append(_sheet(found, sheet, paper, title=False))
    for one in marked:
        told = reason(today, one.item)
        blocks.append(paragraph(_both(found, plain(f"{one.label}: {'; '.join(told)}."))))
        if one.item.broken:
            broken = ", ".join(one.item.broken)
            blocks.append(paragraph(plain(f"{one.label} does not keep: {broken}."), "warning"))
    return blocks


def _sharing(found: Contents, paper: Paper) -> list[Block]:
    sharing, still = found.sharing, found.still
    assert sharing is not None
    assert still is not None
    blocks = paragraphs(_all(found, sharing_tables.acting(sharing)))
    reading = sharing_tables.READING if sharing.timeline is not None else _READING_WITHOUT_PATH
    blocks.append(paragraph(reading, "soft"))
    for way in ("along", "across"):
        blocks.append(_sheet(found, sharing_tables.three_ways(sharing, "support", way), paper))
    blocks += bullets(sharing_tables.not_covered(sharing))
    ruled = [item.line for item in sharing.ruled if item.line is not None]
    if ruled and sharing.force > 0.0:
        lines = [
            replace(item.line, part=f"{item.bearings.support}, {item.bearings.holds}")
            for item in sharing.ruled
            if item.line is not None
        ]
        blocks += [
            heading("By the rule of the family"),
            calculations(by_part(lines), paper, found.us),
        ]
    for way in ("along", "across"):
        blocks.append(_sheet(found, sharing_tables.three_ways(sharing, "seat", way), paper))
    blocks += [heading("Point of no movement"), paragraph(sharing_tables.STILL, "soft")]
    blocks.append(_sheet(found, sharing_tables.still_along(still), paper))
    across = sharing_tables.still_across(still)
    if across.rows:
        blocks.append(_sheet(found, across, paper))
    blocks.append(paragraph(sharing_tables.self_check(sharing, still)))
    return blocks


_READING_WITHOUT_PATH = (
    "Sizes without sign, characteristic, at supports along and across the bridge, at bearings by "
    "x' and y'. Rule: the clause of the family, with the braking where it is worst. Elastic: by "
    "stiffness alone, nothing rubs; traffic that brakes along, wind across. Locked: by the uniform "
    "temperature farthest from that of setting, elastic. Two numbers are the bounds over stiffness "
    "below."
)


# ------------------------------------------------------------------ schedule
def _schedule(found: Contents, paper: Paper) -> list[Block]:
    schedule = found.schedule
    states = sheets.chosen_limit_states(schedule, None)
    own = [
        sheet
        for state in states
        for sheet in (sheets.seats_in(schedule, state), sheets.supports_in(schedule, state))
    ]
    blocks = [paragraph(f"Limit states told here: {', '.join(states)}.")]
    others = [state for state in schedule.limit_states if state not in states]
    if others:
        blocks.append(
            paragraph(
                f"Not told here, because they govern nothing that is not told: {', '.join(others)}."
            )
        )
    blocks += _turned_alike(found, own, paper)
    blocks += paragraphs((SEAT_SIGNS, SUPPORT_SIGNS, sheets.DASH), "soft")
    if schedule.uplift:
        blocks += [heading("Uplift"), *bullets(_all(found, words.uplift(schedule)))]
    return blocks


def _governing(found: Contents, paper: Paper) -> list[Block]:
    """Each extreme of each seat with what acts with it."""
    schedule = found.schedule
    states = sheets.chosen_limit_states(schedule, None)
    own = [sheets.acting(schedule, seat.mark, state) for seat in schedule.seats for state in states]
    blocks = [
        paragraph("Every extreme in bold, and all effects of the same bearing at the same moment.")
    ]
    return [*blocks, *_turned_alike(found, own, paper), paragraph(SEAT_SIGNS, "soft")]


def _of_seat(sheet: Sheet, mark: str) -> Sheet:
    """With the seat in every row, as the table may go on over a page."""
    rows = tuple((Cell(mark), *row) for row in sheet.rows)
    return Sheet(sheet.title, (Column("seat"), *sheet.columns), rows)


# ------------------------------------------------------------------ bearings
def _bearings(found: Contents, paper: Paper) -> list[Block]:
    blocks = [paragraph(MARKS, "soft")]
    if found.us:
        blocks.append(paragraph(CUSTOMARY, "soft"))
    for item in found.designs:
        blocks += _bearing(found, item, paper)
    return blocks


def _bearing(found: Contents, item: SeatDesign, paper: Paper) -> list[Block]:
    blocks = [heading(bearings.title(item))]
    design = item.choice.design
    for told in bearings.summary(item):
        wrong = told.startswith(("DOES NOT PASS", "NO BEARING"))
        blocks.append(paragraph(_both(found, told), "warning" if wrong else ""))
    if item.origin == "chosen" and not item.choice.passes and item.compared:
        blocks.append(_sheet(found, bearings.compared(item.seat, item.compared), paper))
    if design is None:
        return blocks
    parts = _parts(found, item)
    blocks.append(table(customary.beside(parts) if found.us else parts, paper, upright=True))
    blocks += bullets(_all(found, bearings.remarks(item)))
    order = [part.name for part in design.parts]
    blocks.append(calculations(by_part(design.lines, order), paper, found.us))
    return blocks


def _parts(found: Contents, item: SeatDesign) -> Sheet:
    """The parts; under AASHTO with their sizes in inches besides."""
    design = item.choice.design
    assert design is not None
    sheet = bearings.parts(design)
    # names and materials may take two lines, so that the table stands upright
    columns = tuple(
        replace(column, holds="text") if column.head in ("part", "material") else column
        for column in sheet.columns
    )
    if not found.us:
        return Sheet(sheet.title, columns, sheet.rows)
    rows = []
    for row, part in zip(sheet.rows, design.parts, strict=True):
        inches = ", ".join(
            f"{name} {length / 0.0254:.2f}" for name, length in part.dimensions.items()
        )
        rows.append((*row[:4], Cell(plain(inches)), *row[4:]))
    columns = (*columns[:4], Column("size, in", holds="text"), *columns[4:])
    return Sheet(sheet.title, columns, tuple(rows))


#: Words in the names of parts that stand between bearing and structure.
_PLATES = ("plate", "bolt", "dowel", "weld", "anchor", "plinth")


def _seating(found: Contents, paper: Paper) -> list[Block]:
    """Sole and base plates, plinths and anchors: what stands between bearing and structure."""
    columns = (
        Column("seat"),
        Column("no.", holds="numbers"),
        Column("part"),
        Column("material"),
        Column("size, mm", holds="text"),
        Column("used", holds="numbers"),
        Column("by", holds="text"),
    )
    rows: list[tuple[Cell, ...]] = []
    for item in found.designs:
        design = item.choice.design
        if design is None:
            continue
        own = [
            (part, row)
            for part, row in zip(design.parts, bearings.parts(design).rows, strict=True)
            if any(word in part.name for word in _PLATES)
        ]
        if rows and own:
            rows.append(())
        for number, (_, row) in enumerate(own):
            mark = item.seat if number == 0 else ""
            rows.append((Cell(mark), *row[:4], *row[5:]))
    given = found.bridge.bearings
    told = [f"Concrete below: characteristic strength {given.concrete_below / 1e6:g} MPa."]
    if given.concrete_above is not None:
        told.append(f"Concrete above: characteristic strength {given.concrete_above / 1e6:g} MPa.")
    if given.plinth_along is not None and given.plinth_across is not None:
        told.append(
            f"Plinth that may spread the load: {given.plinth_along * 1e3:.0f} x "
            f"{given.plinth_across * 1e3:.0f} mm (along x', across)."
        )
    else:
        told.append("No plinth is given: the load is not spread beyond the plate.")
    told.append(
        "Anchorage in the concrete, reinforcement below the bearings and the structure above are "
        "designed with pier, abutment and superstructure; they are not part of this package."
    )
    blocks = paragraphs(_all(found, told))
    if rows:
        sheet = Sheet("Plates, bolts and welds by seat", columns, tuple(rows))
        blocks.append(_sheet(found, sheet, paper))
    heights = _heights(found)
    if heights.rows:
        blocks.append(_sheet(found, heights, paper))
    return blocks


def _heights(found: Contents) -> Sheet:
    """Height and plan of each bearing, which set the level of the plinth."""
    columns = (
        Column("seat"),
        Column("kind"),
        Column("height", "mm", "numbers"),
        Column("along x'", "mm", "numbers"),
        Column("across", "mm", "numbers"),
        Column("mass", "kg", "numbers"),
    )
    rows = tuple(
        (
            Cell(item.seat),
            Cell(item.choice.kind),
            Cell(f"{design.height * 1e3:.0f}"),
            *(Cell(f"{reach * 1e3:.0f}") for reach in design.reach),
            Cell(f"{design.mass:.0f}"),
        )
        for item in found.designs
        if (design := item.choice.design) is not None
    )
    return Sheet("Height and plan of the bearings", columns, rows)


def _drawings(found: Contents, paper: Paper) -> list[Block]:
    """A list of the sheets, then each on a page of its own size."""
    columns = (Column("sheet", holds="numbers"), Column("kind"), Column("for", holds="text"))
    kinds = {item.seat: item.choice.kind for item in found.designs}
    rows = tuple(
        (Cell(str(number)), Cell(kinds[marks[0]]), Cell(", ".join(marks)))
        for number, marks in enumerate(found.drawings, start=1)
    )
    if not rows:
        return [paragraph("No bearing could be made, so none is drawn.")]
    told = "Bearings that are equal share a sheet. The sheets follow at their own size, to scale."
    return [
        paragraph(told),
        _sheet(found, Sheet("", columns, rows), paper),
        *(own_page(to_svg(sheet), sheet.title, *sheet.size) for sheet in found.drawings.values()),
    ]


def _setting(found: Contents, paper: Paper) -> list[Block]:
    """What to do at every bearing, then the table of each that moves."""
    if found.no_settings:
        return [paragraph(plain(found.no_settings))]
    blocks = bullets(_all(found, setting_words.general()))
    for item in found.settings:
        sheet = setting_tables.table(item)
        if sheet is None:
            blocks.append(heading(plain(setting_words.title(item)), 3))
        else:
            blocks.append(_sheet(found, sheet, paper))
        told = [*setting_words.rule(item), *setting_words.still_to_come(item)]
        told += [*setting_words.joint(item), *setting_words.budget(item)]
        blocks += paragraphs([plain(sentence) for sentence in _all(found, told)], "soft")
        for sentence in setting_words.windows(item):
            wrong = sentence.startswith("TRAVEL")
            blocks.append(paragraph(_both(found, plain(sentence)), "warning" if wrong else ""))
    signs = (setting_words.SIGNS, setting_words.COLUMNS, setting_words.JOINT)
    return [*blocks, *paragraphs(signs, "soft")]


# ------------------------------------------------------------------ closing
def _recalled(found: Contents) -> list[Value]:
    """Values known from memory on which anything here leans, by name."""
    known: dict[str, Value] = {value.name: value for value in found.schedule.memory}
    if found.sharing is not None:
        known |= {value.name: value for value in found.sharing.memory}
    if found.settings:
        recalled = setting_tables.from_memory(found.settings[0])
        known |= {value.name: value for value in recalled}
    for item in found.designs:
        known |= {value.name: value for value in item.memory}
    return [known[name] for name in sorted(known)]


def _memory(found: Contents, paper: Paper) -> list[Block]:
    recalled = _recalled(found)
    confirmed = found.bridge.values
    blocks = []
    if recalled:
        sheet = sheets.sources(recalled)
        keep = [0, 1, 2, 3, 5]
        columns = (*(sheet.columns[place] for place in keep), Column("confirmed", "name, date"))
        rows = tuple((*(row[place] for place in keep), Cell("." * 18)) for row in sheet.rows)
        blocks += [
            paragraph(
                "These values were recalled, not read. Each is to be confirmed against the printed "
                "clause, or replaced under [values] in the bridge file with its source."
            ),
            table(Sheet("", columns, rows), paper),
        ]
    else:
        blocks.append(paragraph("No value from memory was used."))
    if confirmed:
        columns = (Column("name"), Column("value"), Column("unit"), Column("source", holds="text"))
        given = tuple(
            (Cell(plain(name)), Cell(plain(_given(value.value))), Cell(plain(value.unit)),
             Cell(plain(value.source)))
            for name, value in confirmed.items()
        )  # fmt: skip
        blocks += [
            heading("Given or confirmed by the engineer"),
            table(Sheet("", columns, given), paper),
        ]
    return blocks


def _given(value: float | list[float]) -> str:
    return ", ".join(f"{item:g}" for item in value) if isinstance(value, list) else f"{value:g}"


def _notes(found: Contents) -> list[Block]:
    schedule = found.schedule
    groups: dict[str, list[str]] = {"Schedule": [plain(note) for note in schedule.notes]}
    if found.sharing is not None and found.still is not None:
        groups["Sharing of horizontal forces"] = sharing_tables.notes(found.sharing, found.still)
    seats: dict[str, list[str]] = {}
    for item in found.designs:
        for note in bearings.remarks(item):
            seats.setdefault(note, []).append(item.seat)
    groups["Bearings"] = [f"{', '.join(marks)}: {note}" for note, marks in seats.items()]
    chosen = found.bridge.choices
    groups["Choices of the engineer"] = [
        plain(f"{family}: {name} = {_written(value)}")
        for family, values in chosen.items()
        for name, value in values.items()
    ]
    blocks: list[Block] = []
    for head, notes in groups.items():
        if notes:
            blocks += [heading(head), *bullets(_all(found, notes))]
    return blocks or [paragraph("No assumptions beyond those in the chapters before.")]


# ------------------------------------------------------------------ inside
def _sheet(found: Contents, sheet: Sheet, paper: Paper, *, title: bool = True) -> Block:
    return table(customary.beside(sheet) if found.us else sheet, paper, title=title)


def _turned_alike(found: Contents, own: Sequence[Sheet], paper: Paper) -> list[Block]:
    """Tables that follow one another on pages turned the same way."""
    shown = [customary.beside(sheet) if found.us else sheet for sheet in own]
    turned = any(table(sheet, paper).landscape for sheet in shown)
    return [table(sheet, paper, landscape=turned) for sheet in shown]


def _both(found: Contents, told: str) -> str:
    return customary.sentence(told) if found.us else told


def _all(found: Contents, told: Sequence[str]) -> list[str]:
    return [_both(found, sentence) for sentence in told]
