"""Words of files, paths and errors on a page: what cannot be seen is written out."""

from __future__ import annotations

from typing import Final

from bedstone.errors import BedstoneError, InputError

#: Blanks that the pages themselves set between digits.
_BLANKS: Final = "\u00a0\u202f"


def visible(text: str) -> str:
    r"""Text with an escape for every letter that cannot be seen, ``\u202e`` for one that turns it.

    A name that hides or turns letters would be read as another one.
    """
    return "".join(
        letter
        if letter.isprintable() or letter in _BLANKS
        else letter.encode("unicode_escape").decode()
        for letter in text
    )


def faults(error: BedstoneError) -> tuple[str, ...]:
    """An error in lines as they may be shown, one for each fault."""
    told = error.faults if isinstance(error, InputError) else (error,)
    return tuple(visible(str(line)) for line in told)
