"""Bridge files to start from, one for each kind of superstructure, with every choice explained."""

from __future__ import annotations

from pathlib import Path
from typing import Literal, get_args

from bedstone.errors import Fault, InputError

Kind = Literal["girders", "truss", "frame", "reactions"]
KINDS: tuple[Kind, ...] = get_args(Kind)

_FOLDER = Path(__file__).parent


def template(kind: str) -> str:
    """Return the text of a valid, commented bridge file of this kind.

    Raises
    ------
    InputError
        When there is no such kind.
    """
    return (_FOLDER / f"{_known(kind)}.toml").read_text(encoding="utf-8")


def template_files(kind: str) -> dict[str, str]:
    """Return the tables that belong beside the template, by file name; none for some kinds.

    Raises
    ------
    InputError
        When there is no such kind.
    """
    paths = sorted(_FOLDER.glob(f"{_known(kind)}_*.csv"))
    return {path.name: path.read_text(encoding="utf-8") for path in paths}


def _known(kind: str) -> str:
    if kind not in KINDS:
        raise InputError([Fault("command line", "kind", repr(kind[:60]), ", ".join(KINDS))])
    return kind
