"""Formulas as mathematics: every one in the code reads, compiles, and keeps what it says.

How a product written on one line is read (from the left, as arithmetic does) is the usual order of
operations; there is no source for it but that.
"""

import ast
import re
from pathlib import Path

import pytest
import typst

import bedstone
from bedstone.output.report.formulas import is_typeset, typeset
from bedstone.output.report.markup import quoted

ROOT = Path(bedstone.__file__).parent
_RELATION = re.compile(r" (=|<=|>=|<|>) ")


def formulas_in_code() -> list[str]:
    """Texts of the rules and kinds that hold a relation, and all that are given as a formula.

    What a program puts into braces is replaced by a symbol.
    """
    found = set()
    for room in ("standards", "bearings", "comparison"):
        for path in sorted((ROOT / room).rglob("*.py")):
            tree = ast.parse(path.read_text(encoding="utf-8"))
            for node in ast.walk(tree):
                if not isinstance(node, ast.Call):
                    continue
                for text in _texts(node):
                    found.add(text)
    return sorted(found)


def _texts(call: ast.Call) -> list[str]:
    """Strings handed over as `formula`, or in a call that makes a line, with a relation in them."""
    name = call.func.attr if isinstance(call.func, ast.Attribute) else getattr(call.func, "id", "")
    told = [keyword.value for keyword in call.keywords if keyword.arg == "formula"]
    if name in ("state", "at_most", "at_least", "Line"):
        told += call.args[3:5]
    return [text for node in told if (text := _text(node)) and _RELATION.search(text)]


def _text(node: ast.expr) -> str:
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        return node.value
    if isinstance(node, ast.JoinedStr):
        parts = [part.value if isinstance(part, ast.Constant) else "q" for part in node.values]
        return "".join(map(str, parts))
    return ""


FORMULAS = formulas_in_code()


def test_the_code_is_searched():
    assert len(FORMULAS) > 80


@pytest.mark.parametrize("formula", FORMULAS)
def test_every_formula_of_the_code_becomes_mathematics(formula):
    assert is_typeset(formula)


@pytest.mark.parametrize("formula", FORMULAS)
def test_nothing_is_lost_or_moved(formula):
    """Letters and digits come out in the order in which they stand in the formula."""
    assert _bare_output(" ".join(typeset(formula))) == _bare_input(formula)


def test_every_formula_compiles():
    source = "\n\n".join(f"${part}$" for formula in FORMULAS for part in typeset(formula))
    assert typst.compile(source.encode(), format="pdf", ignore_system_fonts=True)[:4] == b"%PDF"


def _bare_input(formula: str) -> str:
    renamed = {"asin": "arcsin", "acos": "arccos", "atan": "arctan", "INT": "int", "Int": "int"}
    text = re.sub(r"\b(asin|acos|atan|INT|Int)\b", lambda m: renamed[m[0]], formula)
    text = re.sub(r"(?<![A-Za-z])eps(?![a-z])", "epsilon", text)
    text = re.sub(r"\bdegC\b|\bdeg\b", "", text)
    return re.sub(r"[^A-Za-z0-9]", "", text)


def _bare_output(source: str) -> str:
    text = re.sub(r"°C|°", "", source)
    text = re.sub(r"paren\.[lr]|dot\.op|plus\.minus|minus\.plus|\bslash\b", "", text)
    text = re.sub(r"\b(frac|lr|op|thin|thick)\b", "", text)
    return re.sub(r"[^A-Za-z0-9]", "", text)


@pytest.mark.parametrize(
    ("formula", "expected"),
    [
        ("V_Rd = mu_k/gamma_mu N_d", 'V_("Rd") = frac(mu_(k), gamma_(mu)) thin N_("d")'),
        ("N_Rd <= A fu/(sqrt(3) gamma_M2)",
         'N_("Rd") <= frac(A thin f_("u"), sqrt(3) thin gamma_("M2"))'),
        ("a/b c", "frac(a, b) thin c"),
        ("a/(b c)", "frac(a, b thin c)"),
        ("a/b/c", "frac(a slash b, c)"),
        ("(a/b + c)/d", "frac(a slash b + c, d)"),
        ("(a/b c)/d", "frac(lr(paren.l a slash b paren.r) thin c, d)"),
        ("a - b/c", "a - frac(b, c)"),
        ("x^2/y", "frac(x^(2), y)"),
        ("a^(1/3)", "a^(1 slash 3)"),
        ("N'Sd <= 23 R fu^2/(E gamma_M^2)",
         'N\'_("Sd") <= frac(23 thin R thin f_("u")^(2), E thin gamma_("M")^(2))'),
        ("phi 0.85 A1", "phi dot.op 0.85 thin A_(1)"),
        ("D <= 1500 mm", 'D <= 1500 thin "mm"'),
        ("2 m", '2 thin "m"'),
        ("2 m v^2", "2 thin m thin v^(2)"),
        ("F_i = F_h K_i / sum K",
         'F_(i) = frac(F_("h") thin K_(i), sum thin K)'),
        ("sum a/b", "sum thin frac(a, b)"),
        ("round D/4", '"round" thick frac(D, 4)'),
    ],
)  # fmt: skip
def test_what_stands_over_and_below_the_stroke(formula, expected):
    assert typeset(formula) == (expected,)


def test_parts_are_divided_at_commas_outside_brackets():
    assert len(typeset("max(a, b) <= 1, c = 2; d")) == 3


@pytest.mark.parametrize(
    "text",
    [
        "",
        "(a + b",
        "a + b)",
        "a ** b",
        "a {b}",
        "a ^ ",
        "/ 2",
        "#import",
        "$x$",
        "a*b",
        "= ",
        "a,,b",
    ],
)
def test_what_is_no_formula_stays_as_it_was_written(text):
    assert typeset(text) == (quoted(text),)
    assert not is_typeset(text)
