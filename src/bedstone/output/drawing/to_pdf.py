"""Write pictures as PDF, one page each, by setting their SVG with Typst."""

from __future__ import annotations

import json
from collections.abc import Sequence

from bedstone.errors import BedstoneError
from bedstone.output.drawing.picture import Picture
from bedstone.output.drawing.to_svg import to_svg

_SOURCE = """
#set document(title: sys.inputs.title, date: none)
#set page(margin: 0pt)
#for sheet in json(bytes(sys.inputs.sheets)) {
  page(
    width: sheet.wide * 1mm,
    height: sheet.high * 1mm,
    image(bytes(sheet.svg), format: "svg", width: 100%, height: 100%),
  )
}
"""


def to_pdf(pictures: Sequence[Picture], title: str) -> bytes:
    """One page for each picture, of the size of its sheet; the same pictures give the same bytes.

    Raises `BedstoneError` for no pictures.
    """
    if not pictures:
        raise BedstoneError("no drawing to make a page of")
    import typst  # loads its compiler, which only this needs

    sheets = [
        {"wide": picture.size[0], "high": picture.size[1], "svg": to_svg(picture)}
        for picture in pictures
    ]
    inputs = {"title": title, "sheets": json.dumps(sheets)}
    found = typst.compile(_SOURCE.encode(), sys_inputs=inputs)
    assert isinstance(found, bytes)
    return found
