"""One page for a browser: the plan and the main tables, in one file that needs nothing else."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape

from bedstone import __version__
from bedstone.cautions import FULL
from bedstone.output import sheets, words
from bedstone.output.sheets import Sheet
from bedstone.output.shown import SEAT_SIGNS, SUPPORT_SIGNS
from bedstone.schedule.result import Schedule

_STYLE = """
:root { color-scheme: light dark; --ink: #1b1f24; --paper: #ffffff; --rule: #d4d9df;
  --soft: #5b6470; --head: #f2f4f6; --warn: #a8281e; --note: #fff6dd; }
@media (prefers-color-scheme: dark) { :root { --ink: #e6e9ed; --paper: #16191d; --rule: #39414a;
  --soft: #9aa4af; --head: #20252b; --warn: #ff8a7d; --note: #3a3216; } }
* { box-sizing: border-box; }
body { margin: 0 auto; padding: 2rem 1.25rem 3rem; max-width: 72rem; color: var(--ink);
  background: var(--paper); font: 15px/1.5 system-ui, "Liberation Sans", Arial, sans-serif; }
h1 { margin: 0 0 .25rem; font-size: 1.6rem; line-height: 1.25; }
h2 { margin: 2.25rem 0 .6rem; font-size: 1.1rem; }
p { margin: .3rem 0; }
.soft { color: var(--soft); }
.note { padding: .6rem .8rem; background: var(--note); border-radius: 4px;
  overflow-wrap: anywhere; }
.plan { margin: 1.25rem 0; padding: 0; border: 1px solid var(--rule); border-radius: 4px;
  overflow: hidden; background: #ffffff; }
.plan svg { display: block; width: 100%; height: auto; }
.wide { overflow-x: auto; }
table { border-collapse: collapse; font-size: .875rem; font-variant-numeric: tabular-nums; }
th, td { padding: .18rem .6rem; text-align: left; vertical-align: top; }
th { background: var(--head); vertical-align: bottom; font-weight: 600; white-space: nowrap; }
th span { display: block; color: var(--soft); font-weight: 400; }
td { border-top: 1px solid var(--rule); }
.words, .numbers { white-space: nowrap; }
.numbers { text-align: right; }
.gap td { padding: .3rem; }
.strong { font-weight: 700; }
.warning { color: var(--warn); font-weight: 700; }
footer { margin-top: 2.5rem; padding-top: 1rem; border-top: 1px solid var(--rule);
  font-size: .85rem; color: var(--soft); }
@media print { :root { --ink: #000; --paper: #fff; --rule: #bbb; --soft: #444; --head: #f2f2f2;
  --warn: #900; --note: #fff; } @page { size: A4 landscape; margin: 12mm; }
  body { max-width: none; padding: 0; font-size: 9.5pt; } .wide { overflow: visible;
  break-inside: avoid; }
  table { font-size: 8pt; } thead { display: table-header-group; } tr { break-inside: avoid; }
  h2 { break-after: avoid; } .plan { border: 0; margin: 0; } .plan svg { max-height: 150mm; }
  .note { padding: 0; } }
"""


def page(schedule: Schedule, plan: str, limit_states: Sequence[str]) -> str:
    """Return the page as HTML; `plan` is an SVG picture, which is set in as it is."""
    title = escape(words.title(schedule))
    parts = [
        f"<h1>{title}</h1>",
        *_paragraphs(words.basis(schedule)),
        '<figure class="plan" role="img" aria-label="Plan of the bearings">',
        _inline(plan),
        "</figure>",
        _table(sheets.bearings(schedule.seats)),
    ]
    for state in limit_states:
        parts += [
            _table(sheets.seats_in(schedule, state)),
            _table(sheets.supports_in(schedule, state)),
        ]
    parts += [_table(sheet) for sheet in sheets.permanent(schedule)]
    parts += _paragraphs((SEAT_SIGNS, SUPPORT_SIGNS, sheets.DASH), "soft")
    for head, sentences in words.remarks(schedule).items():
        parts += [f"<h2>{escape(head)}</h2>", *_paragraphs(sentences)]
    parts += ["<h2>What stands behind the numbers</h2>", *_paragraphs([words.self_check(schedule)])]
    if schedule.memory:
        parts += _paragraphs([words.from_memory(schedule)], "note")
    parts.append(f"<footer>{escape(FULL)}<br>bedstone {__version__}</footer>")
    body = "\n".join(parts)
    return (
        '<!doctype html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{title}</title>\n<style>{_STYLE}</style>\n</head>\n<body>\n{body}\n</body>\n</html>\n"
    )


def _inline(svg: str) -> str:
    """The picture without the XML declaration, which HTML does not know."""
    return svg[svg.index("<svg") :].strip()


def _paragraphs(sentences: Iterable[str], kind: str = "") -> list[str]:
    attribute = f' class="{kind}"' if kind else ""
    return [f"<p{attribute}>{escape(sentence)}</p>" for sentence in sentences]


def _table(sheet: Sheet) -> str:
    heads = "".join(
        f'<th class="{column.holds}" scope="col">{escape(column.head)}'
        + (f"<span>[{escape(column.unit)}]</span>" if column.unit else "")
        + "</th>"
        for column in sheet.columns
    )
    rows = []
    for row in sheet.rows:
        if not row:
            rows.append(f'<tr class="gap"><td colspan="{len(sheet.columns)}"></td></tr>')
            continue
        cells = "".join(
            f'<td class="{f"{column.holds} {cell.tone}".strip()}">{escape(cell.text)}</td>'
            for column, cell in zip(sheet.columns, row, strict=True)
        )
        rows.append(f"<tr>{cells}</tr>")
    return (
        f'<h2>{escape(sheet.title)}</h2>\n<div class="wide"><table>\n'
        f"<thead><tr>{heads}</tr></thead>\n"
        "<tbody>\n" + "\n".join(rows) + "\n</tbody></table></div>"
    )
