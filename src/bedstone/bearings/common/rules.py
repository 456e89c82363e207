"""Which rules check plate, concrete, anchors and welds: by family and by limit state.

Serviceability cases of the IRC lead to its working-stress rules, ultimate ones to its limit
states. EN and AASHTO check strength alone: their rules take whatever case they are handed.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from bedstone.bridge.schema import FamilyName
from bedstone.standards.aashto import anchors as aashto_anchors
from bedstone.standards.aashto import concrete as aashto_concrete
from bedstone.standards.aashto import joints as aashto_joints
from bedstone.standards.aashto import plates as aashto_plates
from bedstone.standards.aashto import welds as aashto_welds
from bedstone.standards.eurocode import anchors as en_anchors
from bedstone.standards.eurocode import concrete as en_concrete
from bedstone.standards.eurocode import joints as en_joints
from bedstone.standards.eurocode import plates as en_plates
from bedstone.standards.eurocode import welds as en_welds
from bedstone.standards.irc import anchors as irc_anchors
from bedstone.standards.irc import concrete as irc_concrete
from bedstone.standards.irc import joints as irc_joints
from bedstone.standards.irc import plates as irc_plates
from bedstone.standards.irc import welds as irc_welds
from bedstone.standards.record import Line, weakest
from bedstone.standards.values import Basis as Provenance

Method = Literal["limit state", "working stress"]


@dataclass(frozen=True)
class Rules:
    """The rules of one family and method; signatures as of the functions of `standards`.

    `grip` is None where no friction is counted in a joint: AASHTO 14.8.3 leaves the force to
    anchors, and for the IRC no clause was read (the safe side).
    """

    stress: Callable[..., Line]
    bending: Callable[..., Line]
    least_thickness: Callable[..., float]
    bearing: Callable[..., Line]
    grip: Callable[..., Line] | None
    anchor: Callable[..., Line]
    dowel: Callable[..., Line]
    fillet: Callable[..., Line]
    bolt: Callable[..., Line]


_RULES: dict[tuple[FamilyName, Method], Rules] = {
    ("eurocode", "limit state"): Rules(
        stress=en_plates.stress,
        bending=en_plates.bending,
        least_thickness=en_plates.least_thickness,
        bearing=en_concrete.bearing,
        grip=en_joints.grip,
        anchor=en_anchors.anchor,
        dowel=en_anchors.dowel,
        fillet=en_welds.fillet,
        bolt=en_joints.fitted_bolt,
    ),
    ("aashto", "limit state"): Rules(
        stress=aashto_plates.stress,
        bending=aashto_plates.bending,
        least_thickness=aashto_plates.least_thickness,
        bearing=aashto_concrete.bearing,
        grip=None,
        anchor=aashto_anchors.anchor,
        dowel=aashto_anchors.dowel,
        fillet=aashto_welds.fillet,
        bolt=aashto_joints.fitted_bolt,
    ),
    ("irc", "limit state"): Rules(
        stress=irc_plates.stress,
        bending=irc_plates.bending,
        least_thickness=irc_plates.least_thickness,
        bearing=irc_concrete.bearing,
        grip=None,
        anchor=irc_anchors.anchor,
        dowel=irc_anchors.dowel,
        fillet=irc_welds.fillet,
        bolt=irc_joints.fitted_bolt,
    ),
    ("irc", "working stress"): Rules(
        stress=irc_plates.working_stress,
        bending=irc_plates.working_bending,
        least_thickness=irc_plates.working_least_thickness,
        bearing=irc_concrete.working_bearing,
        grip=None,
        anchor=irc_anchors.working_anchor,
        dowel=irc_anchors.working_dowel,
        fillet=irc_welds.working_fillet,
        bolt=irc_joints.working_fitted_bolt,
    ),
}


def method(family: FamilyName, limit_state: str) -> Method:
    """Working stress for serviceability cases of the IRC, limit state for all else."""
    return "working stress" if family == "irc" and limit_state.startswith("SLS") else "limit state"


def rules(family: FamilyName, limit_state: str) -> Rules:
    """The rules that check a case of this limit state."""
    return _RULES[family, method(family, limit_state)]


def placed(line: Line, part: str, case: str = "", *materials: Provenance) -> Line:
    """The line with the part and the case it belongs to, no better founded than the materials."""
    # Written out: searches place a line for every size and case, and `replace` costs twice that.
    return Line(
        title=line.title,
        standard=line.standard,
        edition=line.edition,
        clause=line.clause,
        formula=line.formula,
        inputs=line.inputs,
        result=line.result,
        basis=weakest(line.basis, *materials) if materials else line.basis,
        limit=line.limit,
        utilisation=line.utilisation,
        note=line.note,
        part=part,
        case=case,
    )


def governing(lines: list[Line]) -> Line:
    """The line with the largest utilisation; the first of equal ones."""
    return max(lines, key=lambda line: line.utilisation if line.utilisation is not None else -1.0)
