"""Demands for bearings that slide or turn; loads and movements of our own invention."""

from bedstone.bearings.base import Basis, Demand, DemandCase, Design
from bedstone.standards.values import Values

FAMILIES = ("eurocode", "aashto", "irc")
HELD = {
    "fixed": (True, True),
    "guided along": (False, True),
    "guided across": (True, False),
    "free": (False, False),
}


def basis(family="eurocode", **changes) -> Basis:
    options = {name.replace("__", "."): value for name, value in changes.items()}
    return Basis(family, Values(family), options, 30e6)


def demand(
    function="guided along",
    *,
    N=3000e3,
    H=150e3,
    v=0.04,
    ry=0.006,
    rx=0.001,
    permanent=0.5,
    uplift=0.0,
) -> Demand:
    """A seat with permanent, characteristic and ultimate cases; N at ULS, permanent a share."""
    x, y = HELD.get(function, (False, False))

    def case(limit_state, name, load, force, turn):
        return DemandCase(
            limit_state,
            name,
            N * load,
            Hx=H * force if x else 0.0,
            Hy=0.6 * H * force if y else 0.0,
            vx=0.0 if x else v * turn,
            vy=0.0 if y else 0.25 * v * turn,
            rx=rx * turn,
            ry=ry * turn,
            lasting_rx=0.4 * rx * turn,
            lasting_ry=0.4 * ry * turn,
        )

    cases = (
        case("permanent", "G", permanent, 0.1, 0.4),
        case("SLS characteristic", "most", 0.75, 0.7, 0.75),
        case("SLS characteristic", "least", permanent, 0.5, 0.5),
        case("ULS persistent", "strength", 1.0, 1.0, 1.0),
        case("ULS persistent", "light", 0.7, 0.9, 0.9),
        case("ULS seismic", "earthquake", 0.6, 1.2, 0.5),
    )
    return Demand("P1-1", function, (x, y), cases, N * permanent, uplift)


def line(design: Design, title: str, part: str | None = None):
    """The one line of a title (and part) in a design."""
    found = [
        item
        for item in design.lines
        if item.title.startswith(title) and (part is None or item.part == part)
    ]
    assert len(found) == 1, [item.title for item in design.lines]
    return found[0]


def slide_sizes(slide) -> dict[str, object]:
    """The sizes by which `given` makes the same slide again."""
    sizes: dict[str, object] = {
        "sheet.length": slide.sheet.length,
        "sheet.thickness": slide.sheet.thickness,
        "sheet.protrusion": slide.sheet.protrusion,
        "stainless.length": slide.stainless_length,
        "stainless.width": slide.stainless_width,
        "stainless.thickness": slide.stainless_thickness,
    }
    if not slide.sheet.round:
        sizes["sheet.width"] = slide.sheet.width
    if slide.guides:
        pair = slide.guides[0]
        sizes |= {
            "guide.strip_length": pair.strip_length,
            "guide.strip_height": pair.strip_height,
            "guide.bar_width": pair.bar_width,
            "guide.bar_height": pair.bar_height,
            "guide.play": pair.play,
        }
    return sizes


def plate_sizes(bearing) -> dict[str, object]:
    """The sizes by which `given` makes the same outer plates again."""
    sizes: dict[str, object] = {}
    for name, plate in (("lower", bearing.lower), ("upper", bearing.upper)):
        sizes |= {
            f"{name}.length": plate.length,
            f"{name}.width": plate.width,
            f"{name}.thickness": plate.thickness,
            f"{name}.anchors": plate.anchors,
            f"{name}.anchor": plate.anchor,
            f"{name}.grade": plate.anchor_grade,
            f"{name}.weld": plate.weld,
            f"{name}.grout": plate.grout,
        }
    return sizes
