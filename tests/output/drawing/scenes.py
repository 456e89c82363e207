"""Bridges and bearings that are drawn in the tests; all of our own invention."""

import sys
from functools import cache
from pathlib import Path

from bedstone.bearings import selection
from bedstone.bearings.base import Basis, Demand, Design
from bedstone.bridge.reader import parse_bridge, read_bridge
from bedstone.bridge.tables import read_tables
from bedstone.output.drawing.details import Made
from bedstone.output.drawing.scene import Scene, scene_of

sys.path.insert(0, str(Path(__file__).parents[2] / "bearings"))

from sliding_cases import basis, demand
from test_check import SERVED

EXAMPLES = Path(__file__).parents[3] / "examples"
NAMES = ("girders", "truss", "curved", "railway")


@cache
def example(name: str) -> Scene:
    bridge = read_bridge(EXAMPLES / f"{name}.toml")
    return scene_of(bridge, read_tables(bridge, EXAMPLES))


def girder_bridge(
    spans: tuple[float, ...],
    girders: int,
    spacing: float,
    *,
    skew: float = 0.0,
    radius: float | None = None,
    name: str = "Bridge of trial",
    continuity: str = "continuous",
) -> Scene:
    """A composite girder bridge with a free bearing at every seat but the first."""
    chainages = [sum(spans[:i]) for i in range(len(spans) + 1)]
    marks = ["A1", *(f"P{i}" for i in range(1, len(spans))), "A2"]
    supports = "\n".join(
        f'[[support]]\nmark = "{mark}"\nchainage = "{chainage} m"\nskew = "{skew} deg"\n'
        'below = { kind = "rigid" }\n'
        for mark, chainage in zip(marks, chainages, strict=True)
    )
    curve = f'[alignment]\nradius = "{radius} m"\n' if radius else ""
    functions = "\n".join(f'{mark} = "{"fixed" if mark == "A1" else "free"}"' for mark in marks)
    return scene_of(
        parse_bridge(
            f"""
[bridge]
name = {name!r}
{curve}
{supports}
[superstructure]
kind = "girders"
type = "composite"
continuity = "{continuity}"
number = {girders}
spacing = "{spacing} m"
contact = "0.2 m"
[superstructure.sections.g]
kind = "plate girder"
top_width = "400 mm"
top_thickness = "25 mm"
web_depth = "1.2 m"
web_thickness = "14 mm"
bottom_width = "500 mm"
bottom_thickness = "35 mm"
[[superstructure.segments]]
start = "{chainages[0]} m"
end = "{chainages[-1]} m"
section = "g"
[superstructure.slab]
thickness = "220 mm"
overhang_left = "1 m"
overhang_right = "1 m"
[superstructure.diaphragms]
section = "g"
spacing = "10 m"
[arrangement.supports]
{functions}
""",
            "trial.toml",
        )
    )


#: Kinds that are drawn in more than one form: name, demand, basis, kind.
FORMS = {
    "knuckle": (demand("fixed", rx=0.0, H=60e3), basis(pin__form="knuckle"), "pin"),
    "pot that holds": (demand("fixed"), basis(), "pot"),
    "spherical that holds": (demand("fixed"), basis(), "spherical"),
    "spherical that is free": (demand("free"), basis(), "spherical"),
    "round pad": (
        demand("elastic", N=1000e3, v=0.01, ry=0.002),
        basis(elastomeric__shape="round"),
        "laminated elastomeric",
    ),
    "key": (demand("fixed", N=0.0), basis(), "guide"),
    "rollers with collars": (
        demand("guided along", rx=0.0, ry=0.0, H=30e3),
        basis(roller__guide="flanges"),
        "roller nest",
    ),
}
KINDS = (*SERVED, *FORMS)


@cache
def made(kind: str) -> Made:
    wanted: Demand
    on: Basis
    if kind in FORMS:
        wanted, on, own = FORMS[kind]
    else:
        function, family, changes = SERVED[kind]
        wanted, on, own = demand(function, **changes), basis(family), kind
    design = selection.size(wanted, on, own).design
    assert isinstance(design, Design)
    return Made((wanted.seat, "P1-2"), design, wanted)


__all__ = ["EXAMPLES", "FORMS", "KINDS", "NAMES", "example", "girder_bridge", "made"]
