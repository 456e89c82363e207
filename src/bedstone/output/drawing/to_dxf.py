"""Write pictures as one DXF of true lengths: named layers, real texts, dimensions and hatches.

Pictures stand side by side in the model space, each with its own sheet around it; what has an id is
a named group, so that a click takes the whole symbol.
"""

from __future__ import annotations

import io
import math
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Final

import ezdxf
from ezdxf.document import Drawing
from ezdxf.entities.dxfgfx import DXFGraphic
from ezdxf.enums import TextEntityAlignment
from ezdxf.filemanagement import new
from ezdxf.layouts.base import BaseLayout
from ezdxf.layouts.layout import Modelspace
from ezdxf.lldxf import const

from bedstone.errors import BedstoneError
from bedstone.output.drawing.picture import (
    LAYERS,
    Arc,
    Circle,
    Dimension,
    Group,
    Hatch,
    Path,
    Picture,
    Point,
    Shape,
    Text,
)

STYLE: Final = "bedstone"
_OPTIONS: Final = ezdxf.options  # type: ignore[attr-defined]
_FONT: Final = "arial.ttf"  # readers take the nearest one where it is missing
_UNITS: Final = {"m": 6, "mm": 4}
_BETWEEN: Final = 30.0  # mm of the sheet between two pictures
_ALIGN: Final = {
    ("left", "bottom"): TextEntityAlignment.LEFT,
    ("left", "middle"): TextEntityAlignment.MIDDLE_LEFT,
    ("left", "top"): TextEntityAlignment.TOP_LEFT,
    ("centre", "bottom"): TextEntityAlignment.CENTER,
    ("centre", "middle"): TextEntityAlignment.MIDDLE_CENTER,
    ("centre", "top"): TextEntityAlignment.TOP_CENTER,
    ("right", "bottom"): TextEntityAlignment.RIGHT,
    ("right", "middle"): TextEntityAlignment.MIDDLE_RIGHT,
    ("right", "top"): TextEntityAlignment.TOP_RIGHT,
}


def to_dxf(pictures: Sequence[Picture]) -> Drawing:
    """Pictures with one unit as a drawing (R2010) in that unit.

    Raises `BedstoneError` for no pictures or for metres and millimetres together.
    """
    units = {picture.unit for picture in pictures}
    if len(units) != 1:
        raise BedstoneError(f"one drawing takes pictures of one unit, not of {sorted(units)}")
    document = new("R2010", units=_UNITS[units.pop()])
    document.styles.add(STYLE, font=_FONT)
    longest = max(picture.true for picture in pictures)
    for name, layer in LAYERS.items():
        linetype = "Continuous"
        if layer.dashes:
            parts = [part * longest * (-1.0) ** i for i, part in enumerate(layer.dashes)]
            document.linetypes.add(name, pattern=[sum(map(abs, parts)), *parts])
            linetype = name
        own = document.layers.add(name, lineweight=round(layer.weight * 100), linetype=linetype)
        red, green, blue = (int(layer.colour[i : i + 2], 16) for i in (1, 3, 5))
        own.rgb = (red, green, blue)
    right = 0.0
    space = document.modelspace()
    for picture in pictures:
        _Writer(document, space, picture, (right, 0.0)).write()
        right += (picture.size[0] + _BETWEEN) * picture.true
    return document


def dxf_text(pictures: Sequence[Picture]) -> str:
    """The pictures as DXF text; the same pictures give the same text."""
    with _same_every_time():
        stream = io.StringIO()
        to_dxf(pictures).write(stream)
    return stream.getvalue()


@contextmanager
def _same_every_time() -> Iterator[None]:
    """No time of day and no random identifier in what ezdxf writes."""
    before = _OPTIONS.write_fixed_meta_data_for_testing
    _OPTIONS.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        _OPTIONS.write_fixed_meta_data_for_testing = before


class _Writer:
    """Puts one picture into the model space."""

    def __init__(
        self, document: Drawing, space: Modelspace, picture: Picture, corner: Point
    ) -> None:
        self.document = document
        self.space = space
        self.picture = picture
        self.corner = corner
        self.true = picture.true

    def write(self) -> None:
        """All shapes, and a named group for each id."""
        for shape in self.picture.shapes:
            self.put(shape)

    def at(self, point: Point) -> Point:
        """From the sheet (mm) to true lengths."""
        return self.corner[0] + point[0] * self.true, self.corner[1] + point[1] * self.true

    def put(self, shape: Shape) -> list[DXFGraphic]:
        if isinstance(shape, Group):
            entities = [entity for each in shape.shapes for entity in self.put(each)]
            name = _free_name(self.document, shape.id)
            self.document.groups.new(name, description=shape.title[:250]).extend(entities)
            return entities
        if isinstance(shape, Dimension):
            return [self.dimension(shape)]
        return self.plain(self.space, shape)

    def plain(self, space: BaseLayout, shape: Shape) -> list[DXFGraphic]:
        """A shape that is neither a group nor a dimension."""
        attributes = {"layer": getattr(shape, "layer", "0")}
        match shape:
            case Path(filled=True):
                fill = space.add_hatch(dxfattribs=attributes)
                fill.dxf.color = 256
                fill.paths.add_polyline_path([self.at(p) for p in shape.points], is_closed=True)
                return [fill]
            case Path():
                points = [self.at(p) for p in shape.points]
                return [space.add_lwpolyline(points, close=shape.closed, dxfattribs=attributes)]
            case Circle(filled=True):
                fill = space.add_hatch(dxfattribs=attributes)
                fill.dxf.color = 256
                edge = fill.paths.add_edge_path()
                edge.add_arc(self.at(shape.centre), shape.radius * self.true, 0.0, 360.0)
                return [fill]
            case Circle():
                return [
                    space.add_circle(
                        self.at(shape.centre), shape.radius * self.true, dxfattribs=attributes
                    )
                ]
            case Arc():
                return [
                    space.add_arc(
                        self.at(shape.centre),
                        shape.radius * self.true,
                        math.degrees(shape.start) % 360.0,
                        math.degrees(shape.end) % 360.0,
                        dxfattribs=attributes,
                    )
                ]
            case Hatch():
                fill = space.add_hatch(dxfattribs=attributes)
                step = shape.spacing * self.true
                across = shape.angle + math.pi / 2.0
                offset = (step * math.cos(across), step * math.sin(across))
                lines = [[math.degrees(shape.angle), (0.0, 0.0), offset, []]]
                fill.set_pattern_fill("BEDSTONE", color=256, definition=lines)
                fill.paths.add_polyline_path([self.at(p) for p in shape.points], is_closed=True)
                for hole in shape.holes:
                    fill.paths.add_polyline_path(
                        [self.at(p) for p in hole],
                        is_closed=True,
                        flags=const.BOUNDARY_PATH_DEFAULT,
                    )
                return [fill]
            case Text():
                return [self.text(space, shape)] if shape.text else []
        raise BedstoneError(f"no shape of a drawing: {type(shape).__name__}")

    def text(self, space: BaseLayout, shape: Text) -> DXFGraphic:
        entity = space.add_text(
            shape.text,
            height=shape.height * self.true,
            rotation=math.degrees(shape.turn),
            dxfattribs={"layer": shape.layer, "style": STYLE},
        )
        entity.set_placement(self.at(shape.at), align=_ALIGN[shape.across, shape.up])
        return entity

    def dimension(self, shape: Dimension) -> DXFGraphic:
        """A real dimension whose picture is drawn here, so that it looks the same everywhere."""
        block = self.document.blocks.new_anonymous_block(type_char="D")
        for stroke in shape.strokes():
            self.plain(block, stroke)
        self.text(block, shape.label)
        foot = self.at(shape.feet[1])
        entity = self.space.new_entity(
            "DIMENSION",
            {
                "layer": shape.layer,
                "geometry": block.name,
                "dimtype": 32,  # linear, with a block of its own
                "dimstyle": "Standard",
                "defpoint": (*foot, 0.0),
                "defpoint2": (*self.at(shape.start), 0.0),
                "defpoint3": (*self.at(shape.end), 0.0),
                "text_midpoint": (*self.at(shape.label.at), 0.0),
                "angle": math.degrees(shape.turn),
                "text": shape.text,
            },
        )
        assert isinstance(entity, DXFGraphic)
        return entity


def _free_name(document: Drawing, wanted: str) -> str:
    """A name for a group that no other has, without what DXF does not allow in names."""
    name = "".join(c if c.isalnum() or c in "-_" else "_" for c in wanted)
    known = {own for own, _ in document.groups}
    number, free = 2, name
    while free in known:
        free = f"{name}_{number}"
        number += 1
    return free
