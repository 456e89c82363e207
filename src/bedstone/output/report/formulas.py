"""Formulas of calculation lines, which are text, as mathematics for Typst.

The text is read by a small grammar: sums, products written side by side, fractions, powers, roots,
functions, relations, and words between them. A product and its division are read from the left, as
arithmetic reads them: ``a b/c d/e`` is (a b/c)(d/e). What the grammar does not know makes the whole
formula upright text as it was written: a formula may look plain, it never says something else.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache
from typing import Final, Literal

from bedstone.output.report.markup import quoted

#: Letters of which the name is written in formulas, and their name in Typst.
_GREEK: Final = {
    **{name: name for name in ("alpha", "beta", "gamma", "delta", "epsilon", "zeta", "eta")},
    **{name: name for name in ("theta", "kappa", "lambda", "mu", "nu", "xi", "pi", "rho")},
    **{name: name for name in ("sigma", "tau", "phi", "chi", "psi", "omega", "Gamma", "Delta")},
    **{name: name for name in ("Theta", "Lambda", "Sigma", "Phi", "Psi", "Omega")},
    "eps": "epsilon",
}
_FUNCTIONS: Final = {
    **{name: name for name in ("max", "min", "sin", "cos", "tan", "ln", "exp")},
    "asin": "arcsin", "acos": "arccos", "atan": "arctan", "Int": "int", "INT": "int",
}  # fmt: skip
#: Units beside a number; those that may be a symbol too only before a break.
_UNITS: Final = {
    "mm": "mm", "kN": "kN", "MPa": "MPa", "GPa": "GPa", "ksi": "ksi", "kip": "kip", "deg": "°",
    "degC": "°C", "rad": "rad", "mrad": "mrad", "km/h": "km/h", "kip/in": "kip/in", "ft": "ft",
}  # fmt: skip
_UNITS_OR_SYMBOLS: Final = {"m": "m", "in": "in", "K": "K"}
#: Symbols of three letters and more without a mark between base and index; other words are words.
_LONG_SYMBOLS: Final = frozenset(
    ("hri", "hrt", "fck", "fcd", "fyp", "fup", "Fub", "Fexx", "Wel", "Vxy", "Fxy")
)
#: Two letters that are a word, not a letter with an index.
_SHORT_WORDS: Final = frozenset(
    ("in", "of", "to", "at", "up", "or", "by", "on", "is", "as", "no", "if", "it", "be", "an")
)
_SIGNS: Final = {"+": "+", "-": "-", "+-": "plus.minus", "-+": "minus.plus"}
_INDEX_LETTERS: Final = frozenset("ijknxyz")
_COLON: Final = '":" thick '

_TOKEN = re.compile(
    r"""(?P<space>\s*)(?:
      (?P<code>\d+(?:\.\d+){2,}(?:-\d+)?            # number of a table or clause
        | (?:EN|ISO|IRC|ASTM)\ [A-Z]?\d+(?:[-:]\d+)*)  # or of a standard
    | (?P<number>\d+(?:\.\d+)?)
    | (?P<unit>km/h|kip/in)(?![A-Za-z])
    | (?P<name>[A-Za-z][A-Za-z0-9]*['*]?[A-Za-z0-9]*(?:_[A-Za-z0-9]+)*(?:,[A-Za-z0-9_]+)*)
    | (?P<relation><=|>=|=|<|>)
    | (?P<sign>\+-|-\+|\+|-)
    | (?P<mark>[/^(),;:%])
    | (?P<end>$)
    )""",
    re.VERBOSE,
)

Kind = Literal["code", "number", "unit", "name", "relation", "sign", "mark", "end"]


class _UnknownFormError(Exception):
    """The text is no formula that the grammar knows."""


@dataclass(frozen=True)
class _Token:
    kind: Kind
    text: str
    spaced: bool  # blank before it


@dataclass(frozen=True)
class _Both:
    """A piece of mathematics at full size, and small: with strokes for fractions in it."""

    large: str
    small: str = ""

    def __post_init__(self) -> None:
        object.__setattr__(self, "small", self.small or self.large)

    def __add__(self, other: _Both | str) -> _Both:
        other = _Both(other) if isinstance(other, str) else other
        return _Both(self.large + other.large, self.small + other.small)

    def __radd__(self, other: str) -> _Both:
        return _Both(other) + self

    def within(self, head: str, tail: str, *, small: bool = False) -> _Both:
        """Between two texts; `small`: small in any case."""
        return head + (_Both(self.small) if small else self) + tail


@dataclass(frozen=True)
class _Piece:
    """A factor. `bare`: inside of a bracket; words, sums and fractions end a numerator."""

    kind: Literal["plain", "number", "word", "unit", "sum", "fraction", "prefix"]
    text: _Both
    bare: _Both | None = None

    @property
    def stripped(self) -> _Both:
        """Without its bracket, where something else holds it together."""
        return self.bare or self.text


@cache
def typeset(formula: str) -> tuple[str, ...]:
    """Return a formula as Typst mathematics, without the dollars, in parts that may be broken.

    The parts are what stands between semicolons and commas outside brackets. Text that is no known
    form comes back as one part, an upright string.
    """
    try:
        return _Reader(_tokens(formula)).parts()
    except _UnknownFormError:
        return (quoted(formula),)


def is_typeset(formula: str) -> bool:
    """True for a formula that is set as mathematics, not as the text it was written in."""
    return typeset(formula) != (quoted(formula),)


def _tokens(text: str) -> list[_Token]:
    found: list[_Token] = []
    at = 0
    while True:
        match = _TOKEN.match(text, at)
        if match is None or match.lastgroup is None:
            raise _UnknownFormError(text[at : at + 10])
        kind: Kind = match.lastgroup  # type: ignore[assignment] # groups are named as kinds
        found.append(_Token(kind, match[kind], bool(match["space"])))
        if kind == "end":
            return found
        at = match.end()


class _Reader:
    """Reads tokens from left to right."""

    def __init__(self, tokens: list[_Token]) -> None:
        self.tokens = tokens
        self.at = 0

    # ------------------------------------------------------------------ tokens
    @property
    def here(self) -> _Token:
        return self.tokens[self.at]

    def is_mark(self, *texts: str) -> bool:
        return self.here.kind == "mark" and self.here.text in texts

    def take(self) -> _Token:
        token = self.here
        self.at += 1
        return token

    # ------------------------------------------------------------------ grammar
    def parts(self) -> tuple[str, ...]:
        """Chains up to the end; a comma or semicolon closes a part."""
        found: list[str] = []
        while True:
            text = self.chain()
            while self.is_mark(":"):
                self.take()
                text += _COLON + self.chain()
            if self.here.kind == "end":
                return (*found, text.large)
            if not self.is_mark(",", ";"):
                raise _UnknownFormError(self.here.text)
            found.append((text + quoted(self.take().text)).large)

    def chain(self) -> _Both:
        """``a <= b <= c``; a side may be missing, as in ``<= L/3``."""
        empty = self.ends()
        found = _Both("") if empty else self.sum()
        while self.here.kind == "relation":
            found += f" {self.take().text} "
            if not self.ends():
                found += self.sum()
                empty = False
        if empty:
            raise _UnknownFormError(self.here.text)
        return found

    def ends(self) -> bool:
        """Nothing of a sum stands here."""
        token = self.here
        return token.kind in ("end", "relation") or (token.kind == "mark" and token.text != "(")

    def sum(self) -> _Both:
        """Products with signs between them."""
        found = _Both("")
        if self.here.kind == "sign":
            found += _SIGNS[self.take().text] + " "
        found += self.product()
        while self.here.kind == "sign":
            found += f" {_SIGNS[self.take().text]} " + self.product()
        return found

    def product(self) -> _Both:
        """Factors side by side; a fraction takes those before it up to a word, sum or fraction."""
        pieces = [self.factor()]
        while True:
            token = self.here
            if self.is_mark("/"):
                self.take()
                above = _numerator(pieces)
                top = above[0].stripped if len(above) == 1 else _joined(above)
                slim = above[0].text if len(above) == 1 else _joined(above)
                below = self.below()
                large = f"frac({top.small}, {below.stripped.small})"
                text = _Both(large, f"{slim.small} slash {below.text.small}")
                pieces.append(_Piece("fraction", text))
            elif token.kind in ("number", "name", "code", "unit") or self.is_mark("("):
                pieces.append(self.factor(pieces[-1]))
            elif self.is_mark("%"):
                self.take()
                pieces.append(_Piece("unit", _Both(quoted("%"))))
            elif token.kind == "sign" and pieces[-1].kind == "word" and self.is_unary():
                sign = _SIGNS[self.take().text]
                pieces.append(_Piece("plain", sign + self.factor().text))
            else:
                return _joined(pieces)

    def is_unary(self) -> bool:
        """A sign that belongs to the number behind it, as in "colder than -5 degC"."""
        following = self.tokens[self.at + 1]
        return self.here.spaced and not following.spaced and following.kind == "number"

    def below(self) -> _Piece:
        """One factor below the stroke; a sum there takes what stands beside it."""
        piece = self.factor()
        if piece.kind != "sum":
            return piece
        pieces = [piece, self.factor()]
        while self.here.kind in ("number", "name"):
            pieces.append(self.factor(pieces[-1]))
        bare = _joined(pieces)
        return _Piece("plain", bare.within("lr(paren.l ", " paren.r)"), bare)

    def factor(self, before: _Piece | None = None) -> _Piece:
        """A number, symbol, function, bracket or word, with its power."""
        if self.is_mark("("):
            return self.powered(self.bracket())
        token = self.take()
        if token.kind == "number":
            return self.powered(_Piece("number", _Both(token.text)))
        if token.kind in ("code", "unit"):
            kind: Literal["word", "unit"] = "word" if token.kind == "code" else "unit"
            return _Piece(kind, _Both(quoted(token.text)))
        if token.kind != "name":
            raise _UnknownFormError(token.text)
        name = token.text
        counted = before is not None and before.kind in ("number", "fraction")
        if counted and (name in _UNITS or (name in _UNITS_OR_SYMBOLS and self.breaks())):
            return _Piece("unit", _Both(quoted((_UNITS | _UNITS_OR_SYMBOLS)[name])))
        if name == "sum":
            return _Piece("sum", _Both("sum"))
        if name == "sqrt":
            inner = self.bracket().stripped
            return self.powered(_Piece("plain", inner.within("sqrt(", ")")))
        if name in _FUNCTIONS:
            return self.function(_FUNCTIONS[name])
        symbol = _symbol(name)
        article = name == "a" and before is not None and before.kind == "word" and self.is_word()
        if symbol is None or article:
            return _Piece("word", _Both(quoted(name)))
        return self.powered(_Piece("prefix" if name == "Delta" else "plain", _Both(symbol)))

    def is_word(self) -> bool:
        """A word stands here, no symbol or function."""
        token = self.here
        return token.kind == "name" and token.text not in _FUNCTIONS and _symbol(token.text) is None

    def breaks(self) -> bool:
        """What follows cannot be multiplied with a unit, so the letter before is no symbol."""
        return (
            self.is_word()
            or self.here.kind in ("end", "relation")
            or self.is_mark(")", ",", ";", ":")
            or (self.is_mark("(") and self.here.spaced)
        )

    def function(self, name: str) -> _Piece:
        """``max(...)``, ``sin^2(...)``, or ``cos phi`` of one factor."""
        head = _Both(f'op("{name}")')
        if self.is_mark("^"):
            self.take()
            head += self.factor().stripped.within("^(", ")", small=True)
        inside = self.bracket() if self.is_mark("(") else self.factor()
        return _Piece("plain", head + (" " if inside.bare else " thin ") + inside.text)

    def bracket(self) -> _Piece:
        """A bracket with sums, words and commas in it."""
        if not self.is_mark("("):
            raise _UnknownFormError(self.here.text)
        self.take()
        inner = self.chain()
        while not self.is_mark(")"):
            if not self.is_mark(",", ";", ":"):
                raise _UnknownFormError(self.here.text)
            inner += f"{quoted(self.take().text)} thick " + self.chain()
        self.take()
        text = inner.within("lr(paren.l ", " paren.r)")
        token = self.here
        if token.kind == "name" and not token.spaced:  # (ga + gr + gs)st: an index of the bracket
            self.take()
            return _Piece("plain", text + f"_({quoted(token.text)})")
        return _Piece("plain", text, inner)

    def powered(self, piece: _Piece) -> _Piece:
        """With what stands behind ``^``."""
        if not self.is_mark("^"):
            return piece
        self.take()
        sign = _SIGNS[self.take().text] if self.here.kind == "sign" else ""
        power = self.factor().stripped.within(f"^({sign}", ")", small=True)
        return _Piece("plain", piece.text + power)


def _numerator(pieces: list[_Piece]) -> list[_Piece]:
    """Take from the end of a product what a stroke behind it divides."""
    above: list[_Piece] = []
    last = pieces[-1].kind
    if last == "fraction":  # a/b/c
        above.append(pieces.pop())
    kinds = ("word",) if last == "word" else ("plain", "number", "prefix")
    while last != "fraction" and pieces and pieces[-1].kind in kinds:
        above.insert(0, pieces.pop())
    if not above:
        raise _UnknownFormError("/")
    return above


def _joined(pieces: list[_Piece]) -> _Both:
    """Factors side by side: a dot before a number, blanks around words."""
    text = _Both("")
    for number, piece in enumerate(pieces):
        own = piece.text
        followed = pieces[number + 1].kind if number + 1 < len(pieces) else "word"
        if piece.kind == "fraction" and followed not in ("word", "unit"):
            # a stroke with factors behind it would be read as dividing by them too
            own = _Both(own.large, f"lr(paren.l {own.small} paren.r)")
        if number:
            text += _link(pieces[number - 1].kind, piece)
        text += own
    return text


def _link(before: str, piece: _Piece) -> str:
    if "word" in (before, piece.kind) or before == "unit":
        return " thick "
    if piece.kind == "unit":
        return "" if piece.text.large.startswith('"°') else " thin "
    if piece.kind == "number":
        return " dot.op "
    return " " if before == "prefix" else " thin "


def _symbol(name: str) -> str | None:
    """A name as letter and index; None for a word."""
    head, mark, tail = _split_mark(name)
    word, index = _head(head)
    if word is None:
        return None
    parts = [part for part in (index, *re.split(r"[_,]", tail.lstrip("_,"))) if part]
    if not (mark or tail) and not index and len(head) > 1 and head not in _GREEK:
        return quoted(head)  # BR, CE: the name of a load in capitals
    text = word
    if mark == "*":
        text += "^(*)"
    elif mark:
        text += "'"
    if parts:
        text += "_(" + '","'.join(_index(part) for part in parts) + ")"
    return text


def _split_mark(name: str) -> tuple[str, str, str]:
    """Head, prime or star, and what follows: ``N'Sd`` is N, ', Sd; ``T_e,max`` is T, nothing."""
    match = re.match(r"([A-Za-z0-9]+)(['*]?)(.*)$", name)
    if match is None:
        raise _UnknownFormError(name)
    head, mark, tail = match.groups()
    if mark == "*" and tail and not tail.startswith("_"):
        raise _UnknownFormError(name)  # a product with a star: not a form in use here
    return head, mark, tail


def _head(head: str) -> tuple[str | None, str]:
    """The letter of a name and the index that is written with it; (None, "") for a word."""
    for greek in sorted(_GREEK, key=len, reverse=True):
        rest = head.removeprefix(greek)
        if head.startswith(greek) and (rest == "" or re.fullmatch(r"\d+|[A-Za-z]", rest)):
            return _GREEK[greek], rest
    if len(head) == 1:
        return head, ""
    if head in _LONG_SYMBOLS or re.fullmatch(r"[A-Za-z][a-z]?\d+", head):
        return head[0], head[1:]
    if re.fullmatch(r"[A-Za-z][a-z]", head) and head not in _SHORT_WORDS and head not in _UNITS:
        return head[0], head[1:]
    if re.fullmatch(r"[A-Z]{2,3}", head):
        return quoted(head), ""
    return None, ""


def _index(part: str) -> str:
    if part in _GREEK:
        return _GREEK[part]
    if part in _INDEX_LETTERS or part.isdigit():
        return part
    return quoted(part)
