"""The drawings of a bridge as files: layout plan, elevation, and a sheet for each bearing as made.

Equal bearings share a sheet that lists their marks.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Final, Literal

from bedstone.output.drawing.details import Made, detail
from bedstone.output.drawing.elevation import elevation
from bedstone.output.drawing.layout import layout
from bedstone.output.drawing.lettering import clean
from bedstone.output.drawing.overlay import NONE, of_schedule, still
from bedstone.output.drawing.picture import Picture
from bedstone.output.drawing.scene import Scene
from bedstone.output.drawing.to_dxf import dxf_text
from bedstone.output.drawing.to_pdf import to_pdf
from bedstone.output.drawing.to_svg import to_svg
from bedstone.schedule.designs import SeatDesign
from bedstone.schedule.result import Schedule

Format = Literal["dxf", "svg", "pdf"]
FORMATS: Final[tuple[Format, ...]] = ("dxf", "svg", "pdf")
#: Plan and elevation together, and all sheets together.
TOGETHER: Final = "plan-and-elevation.dxf"
BOOK: Final = "drawings.pdf"


def pictures(
    scene: Scene, schedule: Schedule | None, designs: Iterable[SeatDesign] = ()
) -> tuple[Picture, ...]:
    """Layout plan, elevation, then the bearings in the order of their first seats.

    `schedule`: for the forces and movements that are laid over plan and elevation; None: bare.
    """
    told = list(designs)
    bridge, structure, arranged = scene.bridge, scene.structure, scene.arranged
    points = still(structure, arranged, bridge.arrangement.fixed_point)
    over = replace(of_schedule(schedule) if schedule is not None else NONE, fixed_points=points)
    kinds = {item.seat: item.choice.kind for item in told if item.choice.design is not None}
    found = [
        layout(bridge, structure, arranged, overlay=over, kinds=kinds, number="1"),
        elevation(bridge, structure, arranged, overlay=over, number="2"),
    ]
    head = bridge.bridge
    for number, made in enumerate(equal(told), start=3):
        found.append(detail(head.name, head.reference, made, str(number)))
    return tuple(found)


def drawings(
    scene: Scene,
    schedule: Schedule | None,
    designs: Iterable[SeatDesign] = (),
    formats: Sequence[Format] = FORMATS,
) -> dict[str, str | bytes]:
    """All files by name: DXF and SVG as text, PDF as bytes; the same input gives the same files."""
    sheets = pictures(scene, schedule, designs)
    names = [file_name(picture) for picture in sheets]
    files: dict[str, str | bytes] = {}
    if "dxf" in formats:
        files[TOGETHER] = dxf_text(sheets[:2])
        for name, picture in zip(names[2:], sheets[2:], strict=True):
            files[f"{name}.dxf"] = dxf_text([picture])
    if "svg" in formats:
        files |= {f"{name}.svg": to_svg(p) for name, p in zip(names, sheets, strict=True)}
    if "pdf" in formats:
        for name, picture in zip(names, sheets, strict=True):
            files[f"{name}.pdf"] = to_pdf([picture], picture.title)
        files[BOOK] = to_pdf(sheets, f"Drawings of the bearings, {clean(scene.bridge.bridge.name)}")
    return files


def file_name(picture: Picture) -> str:
    """Name of a drawing's files without their ending: letters, digits and hyphens."""
    return re.sub(r"[^a-z0-9]+", "-", picture.name.lower()).strip("-")


def equal(designs: Iterable[SeatDesign]) -> list[Made]:
    """Bearings as made, equal ones together; seats without a bearing that could be made left out.

    What is told of one of them (its notes, checks that do not hold) stands on the common sheet.
    """
    groups: dict[tuple[object, ...], list[SeatDesign]] = {}
    for item in designs:
        design = item.choice.design
        if design is not None:
            sizes = (design.kind, repr(design.bearing), repr(design.parts), item.demand.function)
            groups.setdefault(sizes, []).append(item)
    found = []
    for alike in groups.values():
        made = [item.choice.design for item in alike if item.choice.design is not None]
        worst = max(made, key=lambda design: design.utilisation)
        notes = tuple(dict.fromkeys(note for design in made for note in design.notes))
        marks = tuple(item.seat for item in alike)
        found.append(Made(marks, replace(worst, notes=notes), alike[0].demand))
    return found


def undrawn(designs: Iterable[SeatDesign]) -> tuple[str, ...]:
    """Seats whose bearing is not drawn, each with the reason."""
    return tuple(
        f"{item.seat}: {item.choice.refusal.reason}"
        for item in designs
        if item.choice.design is None and item.choice.refusal is not None
    )
