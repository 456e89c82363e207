"""Write a picture as SVG: a group for each id, a class for each layer, nothing from outside."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from html import escape

from bedstone.output.drawing.lettering import CAPITAL, width
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
    extent,
)

#: Faces with the widths that the boxes of texts are reckoned with.
FACES = "Liberation Sans, Arial, Helvetica, sans-serif"


def to_svg(picture: Picture, *, themed: bool = False) -> str:
    """The picture as SVG text, in millimetres of its sheet; the same picture gives the same text.

    `themed`: colours come from variables (``--drawing-deck`` and so on, ``--drawing-paper``), for a
    page that has a light and a dark side, with the light ones where a page sets none.
    """
    wide, high = picture.size
    writer = _Writer(high)
    body = writer.shapes(picture.shapes)
    defs = "".join(writer.patterns.values())
    title = escape(picture.title, quote=False)
    paper = "var(--drawing-paper, #fff)" if themed else "#fff"
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="bedstone-drawing" '
        f'width="{_n(wide)}mm" height="{_n(high)}mm" viewBox="0 0 {_n(wide)} {_n(high)}" '
        f'role="img" font-family="{FACES}">\n<title>{title}</title>\n'
        f"<style>{_style(themed)}</style>\n<defs>{defs}</defs>\n"
        f'<rect class="paper" width="{_n(wide)}" height="{_n(high)}" fill="{paper}"/>\n'
        f"{body}</svg>\n"
    )


def dark_colours() -> str:
    """Variables for a page on dark ground, to stand in a rule of its style sheet."""
    own = "".join(f"--drawing-{_word(name)}:{layer.dark};" for name, layer in LAYERS.items())
    return f"--drawing-paper:#16181b;{own}"


def class_of(layer: str) -> str:
    """Class that all shapes of a layer carry."""
    return f"layer-{_word(layer)}"


def _word(name: str) -> str:
    return name.replace(" ", "-")


def _style(themed: bool) -> str:
    rules = []
    for name, layer in LAYERS.items():
        colour = f"var(--drawing-{_word(name)}, {layer.colour})" if themed else layer.colour
        dashes = " ".join(map(_n, layer.dashes))
        dashed = f"stroke-dasharray:{dashes};" if dashes else ""
        own = f".bedstone-drawing .{class_of(name)}"
        rules.append(
            f"{own}{{fill:none;stroke:{colour};stroke-width:{layer.weight};{dashed}}}"
            f"{own}.full{{fill:{colour};stroke:none}}"
        )
    return "".join(rules)


def _n(value: float) -> str:
    """A number to a thousandth of a millimetre, as short as it goes."""
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


class _Writer:
    """Turns shapes into elements; y downwards."""

    def __init__(self, high: float) -> None:
        self.high = high
        self.patterns: dict[str, str] = {}

    def shapes(self, shapes: Sequence[Shape]) -> str:
        return "".join([self.shape(shape) for shape in shapes])

    def shape(self, shape: Shape) -> str:
        match shape:
            case Path():
                return self.path(shape)
            case Text():
                return self.text(shape)
            case Group():
                told = f"<title>{escape(shape.title, quote=False)}</title>" if shape.title else ""
                kind = escape(shape.id.partition("-")[0])
                return (
                    f'<g id="{escape(shape.id)}" class="{kind}">{told}{self.target(shape)}'
                    f"{self.shapes(shape.shapes)}</g>\n"
                )
            case Circle():
                full = " full" if shape.filled else ""
                return (
                    f'<circle class="{class_of(shape.layer)}{full}" cx="{_n(shape.centre[0])}" '
                    f'cy="{self.y(shape.centre[1])}" r="{_n(shape.radius)}"/>\n'
                )
            case Arc():
                return self.arc(shape)
            case Hatch():
                name = self.pattern(shape)
                rings = "".join(f"M{self.points(ring)}Z" for ring in (shape.points, *shape.holes))
                return f'<path d="{rings}" fill="url(#{name})" fill-rule="evenodd"/>\n'
            case Dimension():
                return (
                    f'<g class="dimension">{self.shapes(shape.strokes())}'
                    f"{self.text(shape.label)}</g>\n"
                )

    def target(self, group: Group) -> str:
        """What is not seen but can be clicked: the extent of a bearing's sign."""
        if not group.id.startswith("seat-"):
            return ""
        left, low, right, high = extent(group.shapes)
        return (
            f'<rect class="target" x="{_n(left)}" y="{self.y(high)}" width="{_n(right - left)}" '
            f'height="{_n(high - low)}" fill="#fff" fill-opacity="0" stroke="none"/>'
        )

    def y(self, value: float) -> str:
        return _n(self.high - value)

    def points(self, points: Sequence[Point]) -> str:
        return " ".join([f"{_n(x)},{self.y(y)}" for x, y in points])

    def path(self, shape: Path) -> str:
        if shape.filled:
            name = class_of(shape.layer)
            return f'<polygon class="{name} full" points="{self.points(shape.points)}"/>\n'
        tag = "polygon" if shape.closed else "polyline"
        return f'<{tag} class="{class_of(shape.layer)}" points="{self.points(shape.points)}"/>\n'

    def arc(self, shape: Arc) -> str:
        (x, y), r = shape.centre, shape.radius
        sweep = (shape.end - shape.start) % (2.0 * math.pi)
        large = int(sweep > math.pi)
        a = (x + r * math.cos(shape.start), y + r * math.sin(shape.start))
        b = (x + r * math.cos(shape.end), y + r * math.sin(shape.end))
        return (
            f'<path class="{class_of(shape.layer)}" d="M{_n(a[0])},{self.y(a[1])}'
            f'A{_n(r)},{_n(r)} 0 {large} 0 {_n(b[0])},{self.y(b[1])}"/>\n'
        )

    def text(self, shape: Text) -> str:
        if not shape.text:
            return ""
        size = shape.height / CAPITAL
        drop = {"bottom": 0.0, "middle": shape.height / 2.0, "top": shape.height}[shape.up]
        x, y = shape.at
        anchor = {"left": "", "centre": ' text-anchor="middle"', "right": ' text-anchor="end"'}
        turned = ""
        if abs(shape.turn) > 1e-9:
            turned = f' transform="rotate({_n(-math.degrees(shape.turn))} {_n(x)} {self.y(y)})"'
        # the width is told, so that another face does not run over its neighbour
        long = (
            f' textLength="{_n(width(shape.text, shape.height))}" lengthAdjust="spacingAndGlyphs"'
        )
        return (
            f'<text class="{class_of(shape.layer)} full" x="{_n(x)}" y="{self.y(y - drop)}" '
            f'font-size="{_n(size)}"{anchor[shape.across]}{turned}{long}>'
            f"{escape(_valid(shape.text), quote=False)}</text>\n"
        )

    def pattern(self, shape: Hatch) -> str:
        """Id of the pattern of a hatch."""
        degrees = round(math.degrees(shape.angle))
        name = f"hatch-{degrees}-{_n(shape.spacing).replace('.', '_')}"
        if name not in self.patterns:
            step = _n(shape.spacing)
            self.patterns[name] = (
                f'<pattern id="{name}" patternUnits="userSpaceOnUse" width="{step}" '
                f'height="{step}" patternTransform="rotate({-degrees})">'
                f'<line class="{class_of(shape.layer)}" x1="0" y1="0" x2="{step}" y2="0"/>'
                f"</pattern>"
            )
        return name


def _valid(text: str) -> str:
    """Text without what XML does not allow."""
    return re.sub(r"[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]", " ", text)
