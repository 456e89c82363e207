"""How far a check is from holding, in words for the reason of a refusal."""

from __future__ import annotations

import math

from bedstone.bearings.base import Demand
from bedstone.standards.record import Line


def nothing_carries(line: Line, demand: Demand) -> str | None:
    """Why nothing is left that could carry, for a check of infinite utilisation; None for others.

    An area that carries has gone where the resultant stands outside it; a force without a fixing
    has nothing from the start.
    """
    if line.utilisation is None or math.isfinite(line.utilisation):
        return None
    if line.title.startswith("No "):
        what = f"nothing holds the force ({line.title[:1].lower()}{line.title[1:]})"
    elif line.standard == "geometry":
        what = f"no room is left ({line.title[:1].lower()}{line.title[1:]})"
    else:
        what = f"the resultant leaves the {'sheet' if 'sheet' in line.part else line.part}"
    case = next((case for case in demand.cases if case.name == line.case), None)
    if case is None:
        return what
    H, turn = math.hypot(case.Hx, case.Hy), math.hypot(case.rx, case.ry)
    return (
        f"{what}: N {case.N / 1e3:.0f} kN with H {H / 1e3:.0f} kN and a rotation of "
        f"{turn * 1e3:.1f} mrad in {case.name}"
    )
