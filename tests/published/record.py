"""Makes docs/validation.md from the checks of this folder.

    .venv/bin/python tests/published/record.py            runs them, writes the page
    .venv/bin/python tests/published/record.py --check    says whether the page tells what they find

The fixtures `published` and `agreement` (conftest.py) assert, and leave a row on the report of the
test; here the rows are gathered and printed. Exit codes: 0 done, 1 the page is not true, 2 a check
failed, so no page can be made.
"""

import difflib
import sys
from pathlib import Path

import pytest

HERE = Path(__file__).resolve().parent
PAGE = HERE.parents[1] / "docs" / "validation.md"

OPENING = """\
# Validation

Every figure below is asserted by a test in `tests/published`. The page is printed from those very
tests, and another test fails when it no longer says what they find. No reference figure was
computed by bedstone; how each is known:
"""
KNOWN = {
    "read there": "read in the source named in the heading",
    "quoted second hand": "read in a publication or an open program that quotes the source",
    "from memory": "a figure or formula of codes or handbooks, written down from memory",
    "derived": "no figure there: worked by hand, apart from bedstone, from given inputs or rules",
    "another program": "computed by an independent program",
}
CAUTION = """\
Most sources round, often at each step, so a difference in their last digit says nothing about
either side; a difference below 0.0001 % is printed as none. Several of the sources are public
design sheets and notes, no authority in themselves: they show that bedstone reads a rule as
engineers do, not that the rule is right. The tests say what they leave out of a source, and where
one departs from the standard.

Comparisons with OpenSees (`tests/published/test_opensees.py`, `test_stick_slip_opensees.py`,
`test_stock_opensees.py`) run only where a person has installed it, and have no figures here.
"""


class Rows:
    """Plugin of pytest that gathers the rows of passed tests."""

    def __init__(self):
        self.found = []

    def pytest_runtest_logreport(self, report):
        if report.when == "call" and report.passed:
            self.found += [row for name, row in report.user_properties if name == "published"]


def difference(row):
    """The worst (ours - reference) / reference of a row; without a reference to divide by, None."""
    if "error" in row:
        return row["error"]
    pairs = zip(row["ours"], row["figure"], strict=True)
    shares = [(ours - figure) / abs(figure) for ours, figure in pairs if figure]
    return max(shares, key=abs, default=None)


def percent(share):
    if share is None:
        return "–"
    return "none" if abs(share) < 1e-6 else f"{100 * share:+.2g} %"


def printed(numbers, digits, size):
    """Numbers in a row; what is nothing beside `size` is printed as 0."""
    return ", ".join(f"{0.0 if abs(x) < 1e-9 * size else x:.{digits}g}" for x in numbers)


def worst(rows):
    """The row that differs most, with the number of rows it stands for."""
    return {**max(rows, key=lambda row: abs(difference(row) or 0.0)), "cases": len(rows)}


def folded(rows):
    """Rows of one source; those of several cases with one reference become the worst of them."""
    kinds = {}
    for row in rows:
        kind = (row["what"], row.get("unit"), str(row.get("figure")), row["known"])
        kinds.setdefault(kind, []).append(row)
    return [worst(same) for same in kinds.values()]


def figures(rows):
    """The table of figures of one source."""
    head = "| what | unit | reference | bedstone | difference | known |"
    lines = [head, "|---|---|--:|--:|--:|---|"]
    for row in rows:
        what = row["what"] + (f" (worst of {row['cases']})" if row["cases"] > 1 else "")
        size = max(map(abs, row["figure"]))
        reference, ours = printed(row["figure"], 8, size), printed(row["ours"], 6, size)
        cells = (what, row["unit"], reference, ours, percent(difference(row)), row["known"])
        lines.append(f"| {' | '.join(cells)} |")
    return "\n".join(lines) + "\n"


def agreements(rows):
    """The table of one source with more figures than can be printed."""
    lines = ["| what | cases | largest difference | known |", "|---|--:|--:|---|"]
    for row in rows:
        cells = (row["what"], str(row["cases"]), percent(row["error"]), row["known"])
        lines.append(f"| {' | '.join(cells)} |")
    return "\n".join(lines) + "\n"


def page(found):
    """The page, from rows in the order in which the tests ran."""
    order = list(dict.fromkeys(row["source"] for row in found))
    sources = {source: [row for row in found if row["source"] == source] for source in order}
    overview = ["| source | figures | read or quoted | largest difference |", "|---|--:|--:|--:|"]
    count = dict.fromkeys(KNOWN, 0)
    parts = []
    for source, own in sources.items():
        files = ", ".join(f"`{name}`" for name in dict.fromkeys(row["file"] for row in own))
        rows = folded(own)
        for row in rows:
            count[row["known"]] += 1
        read = sum(row["known"] in ("read there", "quoted second hand") for row in rows)
        cells = (source, str(len(rows)), str(read), percent(difference(worst(rows))))
        overview.append(f"| {' | '.join(cells)} |")
        parts.append(f"## {source}\n\nChecked in {files}.\n")
        plain = [row for row in rows if "error" not in row]
        many = [row for row in rows if "error" in row]
        parts += [figures(plain)] * bool(plain) + [agreements(many)] * bool(many)
    known = ["| known | figures | meaning |", "|---|--:|---|"]
    known += [f"| {word} | {count[word]} | {meaning} |" for word, meaning in KNOWN.items()]
    total = f"{sum(count.values())} figures from {len(order)} sources:\n"
    lists = ("\n".join(known) + "\n", CAUTION, total, "\n".join(overview) + "\n")
    return "\n".join([OPENING, *lists, *parts])


def main(arguments):
    if arguments not in ([], ["--check"]):
        print(__doc__, file=sys.stderr)
        return 2
    rows = Rows()
    if pytest.main([str(HERE), "-q", "-p", "no:cacheprovider"], plugins=[rows]) != 0:
        print("checks failed: no page made", file=sys.stderr)
        return 2
    unknown = sorted({row["known"] for row in rows.found} - KNOWN.keys())
    if unknown:
        print(f"known: {', '.join(unknown)}; allowed: {', '.join(KNOWN)}", file=sys.stderr)
        return 2
    text = page(rows.found)
    if not arguments:
        PAGE.write_text(text, encoding="utf-8")
        return 0
    shipped = PAGE.read_text(encoding="utf-8") if PAGE.exists() else ""
    names = ("docs/validation.md", "what the checks find")
    texts = shipped.splitlines(), text.splitlines()
    print("\n".join(difflib.unified_diff(*texts, *names, n=0, lineterm="")))
    return int(shipped != text)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
