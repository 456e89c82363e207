"""Cards for the day of setting: one A4 page for each bearing, as PDF.

Typeset offline with the fonts that come with the typesetter, so that the same settings give the
same bytes on every machine. What a bridge file says is put in as text, never as markup.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import cache
from pathlib import Path

from bedstone import __version__
from bedstone.cautions import SHORT
from bedstone.errors import Fault, InputError
from bedstone.output import setting_tables as tables
from bedstone.output import setting_words as words
from bedstone.output.setting_sketch import HEIGHT, NAMES, WIDTH, Sketch, sketch
from bedstone.output.shown import plain
from bedstone.site.setting import Setting

_HEAD = """\
#set document(title: TITLE, date: none)
#set page(paper: "a4", margin: (x: 13mm, y: 11mm))
#set text(font: "Libertinus Serif", size: 8.6pt, lang: "en", hyphenate: true)
#set par(leading: 0.45em, spacing: 0.6em)
#let ink = rgb("#1b1f24")
#let soft = rgb("#5b6470")
#let above = rgb("#0b5cad")
#let band = rgb("#e8eff7")
#let warn = rgb("#a8281e")
#let field(label) = box(width: 100%, height: 9mm, stroke: 0.5pt + ink, inset: 1.2mm,
  text(size: 6.8pt, fill: soft, label))
#let head(label) = text(weight: "bold", size: 9.2pt, label)
// A card is made smaller as a whole where it would not fit its page: nothing is cut or runs over.
#let card(body) = layout(size => {
  let tall = measure(block(width: size.width, body)).height
  if tall <= size.height { body } else {
    let part = size.height / tall
    scale(x: part * 100%, y: part * 100%, origin: top + left, reflow: true,
      block(width: size.width, body))
  }
})
"""


def cards(
    bridge: str,
    standard: str,
    found: Sequence[Setting],
    *,
    fonts: Sequence[Path] = (),
) -> bytes:
    """The cards of some bearings as one PDF, a page each, in the order given.

    `bridge`, `standard`: their titles; `fonts`: folders with more fonts, for letters that the
    typesetter's own do not have. Raises `InputError` where there is no bearing to print.
    """
    import typst  # only here: nothing else of the tables needs it

    # a fixed time stamp: the file must not tell when it was made
    return typst.compile(
        cards_source(bridge, standard, found).encode(),
        format="pdf",
        font_paths=typst.Fonts(
            include_system_fonts=False, font_paths=[str(path) for path in fonts]
        ),
        timestamp=0,
    )


def cards_source(bridge: str, standard: str, found: Sequence[Setting]) -> str:
    """The cards as text for the typesetter; raises `InputError` for none."""
    if not found:
        raise InputError([Fault("setting", "seats", "none", "a seat with a bearing")])
    head = _HEAD.replace("TITLE", literal(f"Setting cards, {bridge}"))
    pages = [f"#card[\n{_card(bridge, standard, item)}]\n" for item in found]
    return head + "#pagebreak()\n".join(pages)


@cache
def literal(text: str) -> str:
    """Text as a string of the typesetter: what it holds is shown, never obeyed."""
    safe = plain(text).replace("\\", "\\\\").replace('"', '\\"')
    return f'"{safe}"'


def _card(bridge: str, standard: str, found: Setting) -> str:
    row = found.row(_clamped(found))
    parts = [_title(bridge, standard, found)]
    drawn = sketch(found, row)
    if drawn is not None:
        parts.append(_drawing(found, drawn, words.degrees(row.temperature)))
    else:
        parts.append(_paragraph("No sizes are known: design the bearing to see it drawn here."))
    facts = [
        words.stage(found),
        *words.rule(found),
        *words.still_to_come(found)[: 1 + len(words.free_axes(found))],
        *words.joint(found),
        *words.guides(found),
        *words.budget(found)[: len(words.free_axes(found))],
    ]
    parts += [_paragraph(fact) for fact in facts]
    parts += [
        _paragraph(sentence, warn=sentence.startswith("TRAVEL"), strong=True)
        for sentence in words.windows(found)
    ]
    parts.append(_table(found))
    parts.append(_fields(found))
    steps = [*words.general(found), *words.landed(found)]
    parts.append("#v(1mm)#head[On the day]\n")
    parts += [_paragraph(f"{number}. {step}") for number, step in enumerate(steps, start=1)]
    parts += [_paragraph(" ".join(words.cautions(found)), strong=True)]
    parts.append(
        f"#text(size: 7pt, fill: soft)[#{literal(words.SIGNS)} #{literal(SHORT)} "
        f"#{literal(f'bedstone {__version__}')}]\n"
    )
    return "".join(parts)


def _title(bridge: str, standard: str, found: Setting) -> str:
    kind = f"{found.kind or 'bearing'}, {found.function}, {found.form}"
    return (
        "#grid(columns: (1fr, auto), column-gutter: 6mm, align: (left, right),\n"
        f"  [#box(width: 100%, height: 9.5mm, clip: true, text(size: 11.5pt, weight: "
        f'"bold", {literal(bridge)}))\n'
        f"   #text(fill: soft, {literal(f'Setting of a bearing. {standard}')})],\n"
        f'  [#text(size: 19pt, weight: "bold", {literal(found.seat)}) #linebreak() '
        f"#text({literal(kind)})])\n"
        "#line(length: 100%, stroke: 0.8pt + ink)\n"
    )


def _paragraph(text: str, *, strong: bool = False, warn: bool = False) -> str:
    weight = ', weight: "bold"' if strong else ""
    colour = ", fill: warn" if warn else ""
    return f"#par(text({literal(text)}{weight}{colour}))\n"


def _table(found: Setting) -> str:
    """The setting table over the whole width; nothing for a bearing that temperature leaves."""
    sheet = tables.table(found)
    if sheet is None:
        return ""
    heads = ", ".join(
        f'[#text(weight: "bold", {literal(c.head)}) #linebreak() #text(size: 6.8pt, '
        f"{literal(c.unit)})]"
        for c in sheet.columns
    )
    cells = []
    marked = [at for at, row in enumerate(sheet.rows, start=1) if row[0].tone == "strong"]
    rows = "".join(f"{at}, " for at in marked)
    for row in sheet.rows:
        for cell in row:
            style = {"": "", "strong": ', weight: "bold"', "warning": ", fill: warn"}[cell.tone]
            cells.append(f"text({literal(cell.text)}{style})")
    columns = ", ".join("1fr" for _ in sheet.columns)
    return (
        "#v(0.5mm)\n#text(size: 8.2pt, table(\n"
        f"  columns: ({columns}), align: right, inset: (x: 1.2mm, y: 0.72mm), "
        "stroke: (x, y) => (bottom: if y == 0 { 0.8pt } else { 0.25pt + soft }),\n"
        f"  fill: (x, y) => if y in ({rows}) {{ band }},\n"
        f"  table.header({heads}),\n  {', '.join(cells)}\n))\n"
    )


def _fields(found: Setting) -> str:
    """Boxes to fill in."""
    labels = ["Date", "Time", "Weather, sun on", "Name and signature"]
    labels += ["Steel 1, degC", "Steel 2, degC", "Steel 3, degC", "Mean of the three, degC"]
    axes = words.free_axes(found)
    for axis in axes if found.form != "shears" else []:
        sides = ("left", "right") if axis == 0 else ("behind", "ahead")
        name = "xy"[axis]
        labels += [
            f"Offset {name}' of the day's row, mm",
            f"Offset {name}' measured {sides[0]}, mm",
        ]
        labels += [f"Offset {name}' measured {sides[1]}, mm", "Shift still needed, mm"]
    if found.form == "rolls":
        labels += ["Roller measured left, mm", "Roller measured right, mm"]
        labels += ["Gap to stop behind, mm", "Gap to stop ahead, mm"]
    labels += ["Level along x', mm/m", "Level along y', mm/m", "Guide gaps right / left, mm"]
    labels += ["Joint gap, mm (at degC)"]
    cells = ", ".join(f"field({literal(label)})" for label in labels)
    return (
        f"#v(1mm)#head[Measured]\n#grid(columns: (1fr, 1fr, 1fr, 1.25fr), gutter: 1.1mm, {cells})\n"
    )


# ------------------------------------------------------------------ sketch
def _drawing(found: Setting, drawn: Sketch, temperature: str) -> str:
    """The sketch with its names, the middles of both parts and the sense of +."""
    stop = drawn.height + 1.5
    items = [
        _line(drawn.lower, -1.5, drawn.lower, stop, 'stroke: (paint: soft, thickness: 0.5pt, dash: '
              '"dash-dotted")'),
    ]  # fmt: skip
    fills = {"below": 'rgb("#dfe3e8")', "above": 'rgb("#cfe2f5")', "roller": 'rgb("#f4e3bf")'}
    for shape in drawn.shapes:
        points = ", ".join(f"({x:.3f}mm, {y:.3f}mm)" for x, y in shape.points)
        items.append(
            f"#place(top + left, polygon(fill: {fills[shape.part]}, stroke: 0.5pt + ink, {points}))"
        )
    for x, y, radius, turn in drawn.circles:
        items.append(
            f"#place(top + left, dx: {x - radius:.3f}mm, dy: {y - radius:.3f}mm, circle(radius: "
            f"{radius:.3f}mm, fill: {fills['roller']}, stroke: 0.5pt + ink))"
        )
        # a mark that was upright before it rolled
        dx, dy = radius * math.sin(turn), radius * math.cos(turn)
        items.append(_line(x - dx, y + dy, x + dx, y - dy, "stroke: 0.4pt + ink"))
    items.append(
        _line(drawn.lower, -1.5, drawn.lower, stop,
              'stroke: (paint: soft, thickness: 0.4pt, dash: "dash-dotted")')
    )  # fmt: skip
    items.append(
        _line(drawn.upper, -1.5, drawn.upper, drawn.height * 0.55,
              'stroke: (paint: above, thickness: 0.7pt, dash: "dash-dotted")')
    )  # fmt: skip
    for label in drawn.labels:
        items.append(_line(label.x, label.y, WIDTH + 2.0, label.at, "stroke: 0.25pt + soft"))
        items.append(
            f"#place(top + left, dx: {WIDTH + 3.0:.3f}mm, dy: {label.at - 1.5:.3f}mm, "
            f"text(size: 7.4pt, {literal(label.text)}))"
        )
    room = min(max(drawn.height, 3.8 * len(drawn.labels)), HEIGHT)
    sense = "+ x', rising chainage" if drawn.axis == "x" else "+ y', left"
    seen = "seen from the right" if drawn.axis == "x" else "seen looking back along the bridge"
    offset = found.row(_clamped(found)).offset[0 if drawn.axis == "x" else 1]
    told = (
        f"Drawn at {temperature}, 1 : {drawn.scale:g}, {seen}. Grey line: middle of the lower "
        f"part. Blue line: middle of the upper part, {words.mm(offset)} mm."
    )
    return (
        f"#v(2.5mm)#align(center, box(width: {WIDTH + NAMES:.0f}mm, height: {room + 1.5:.2f}mm)[\n"
        + "\n".join(items)
        + "\n])\n#align(center, grid(columns: 2, column-gutter: 3mm, align: horizon,\n"
        "  box(width: 24mm, height: 3mm)[#place(horizon + left, line(length: 22mm, stroke: 0.7pt + "
        "ink)) #place(horizon + right, polygon(fill: ink, (0mm, 0mm), (3mm, 1mm), (0mm, 2mm)))],\n"
        f'  text(weight: "bold", {literal(sense)})))\n'
        f"#align(center, text(size: 7.6pt, {literal(told)}))\n"
    )


def _clamped(found: Setting) -> float:
    first, last = found.rows[0].temperature, found.rows[-1].temperature
    return min(max(found.temperatures.setting, first), last)


def _line(x1: float, y1: float, x2: float, y2: float, style: str) -> str:
    start, end = f"({x1:.3f}mm, {y1:.3f}mm)", f"({x2:.3f}mm, {y2:.3f}mm)"
    return f"#place(top + left, line(start: {start}, end: {end}, {style}))"
