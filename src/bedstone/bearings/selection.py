"""Sizing one kind for a seat, assessing a given bearing, and the kinds side by side."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from bedstone.bearings import catalogue, suitability
from bedstone.bearings.base import Basis, Demand, Design, Kind, Refusal
from bedstone.bridge.schema import BearingKind
from bedstone.errors import InputError
from bedstone.standards.record import Line

#: How a fault begins where a steel is not made as thick as a search would have it.
_THICKNESS = "thickness of "


@dataclass(frozen=True)
class Choice:
    """One kind at one seat: its design, or why it cannot serve.

    `remark`: what the table of suitability says of it, or "". A design that was given, or is the
    nearest one, need not pass.
    """

    kind: BearingKind
    design: Design | None = None
    refusal: Refusal | None = None
    remark: str = ""

    @property
    def passes(self) -> bool:
        """True for a design whose checks all hold."""
        return self.design is not None and self.design.passes

    @property
    def governing(self) -> Line | None:
        """The check with the largest utilisation."""
        return self.design.lines[0] if self.design is not None and self.design.lines else None


def size(demand: Demand, basis: Basis, kind: BearingKind) -> Choice:
    """The lightest bearing of a kind that the engineer asks for, or why there is none.

    What the table of suitability finds unsuitable is a remark here: the engineer decides. Raises
    `InputError` for options that the kind cannot take.
    """
    remark = suitability.sieve(kind, demand, basis).remark
    return _choice(demand, kind, _sized(catalogue.kind_of(kind), demand, basis), remark)


def assess(demand: Demand, basis: Basis, kind: BearingKind, sizes: Mapping[str, object]) -> Choice:
    """The checks of a bearing of given sizes (SI); raises `InputError` for impossible ones."""
    remark = suitability.sieve(kind, demand, basis).remark
    return _choice(demand, kind, catalogue.kind_of(kind).given(sizes, demand, basis), remark)


def recheck(design: Design, demand: Demand, basis: Basis) -> Choice:
    """A bearing as it was made, held against another demand of its seat.

    A refusal of the kind (the seat pulls, it turns too far) comes before all checks.
    """
    kind = catalogue.kind_of(design.kind)
    refusal = kind.refuse(demand, basis)
    if refusal is not None:
        return Choice(design.kind, refusal=refusal)
    return _choice(demand, design.kind, kind.check(design.bearing, demand, basis), "")


def compare(
    demand: Demand,
    basis: Basis,
    kinds: Sequence[BearingKind] | None = None,
    asked: BearingKind | None = None,
) -> tuple[Choice, ...]:
    """Kinds side by side: those that pass by rising mass, then the others by what they lack.

    A kind that the table of suitability finds unsuitable is refused without being sized, unless it
    is the one the engineer `asked` for. `kinds`: None for all.
    """
    choices = [
        size(demand, basis, kind) if kind == asked else _compared(demand, basis, kind)
        for kind in kinds or catalogue.kinds()
    ]
    # sorted is stable: refused kinds keep the order of the catalogue
    return tuple(sorted(choices, key=_rank))


def _compared(demand: Demand, basis: Basis, kind: BearingKind) -> Choice:
    own = catalogue.kind_of(kind)
    # the kind's own reason is nearer to the seat than the table's letter
    refusal = own.refuse(demand, basis)
    if refusal is not None:
        return Choice(kind, refusal=refusal)
    sieved = suitability.sieve(kind, demand, basis)
    if sieved.refusal is not None:
        return Choice(kind, refusal=sieved.refusal)
    return _choice(demand, kind, _sized(own, demand, basis), sieved.remark)


def _sized(kind: Kind, demand: Demand, basis: Basis) -> Design | Refusal:
    """What a kind finds; a part thicker than its steel is made is a refusal, not bad input."""
    try:
        return kind.size(demand, basis)
    except InputError as error:
        thick = [fault for fault in error.faults if fault.where.startswith(_THICKNESS)]
        if len(thick) < len(error.faults):
            raise
        steel = thick[0].where.removeprefix(_THICKNESS)
        return Refusal(
            kind.name,
            f"a part would need {thick[0].found} of {steel}; made is {thick[0].allowed}",
            "product standard of the steel",
            "another steel (option steel), or share the load among more bearings",
        )


def _choice(demand: Demand, kind: BearingKind, found: Design | Refusal, remark: str) -> Choice:
    if isinstance(found, Refusal):
        return Choice(kind, refusal=found, remark=remark)
    if demand.held[0]:
        # a bearing that holds sends below what it holds, whatever else it does
        held = max(found.horizontal, demand.largest("Hx"))
        found = replace(found, horizontal=held)
    return Choice(kind, design=found, remark=remark)


def _rank(choice: Choice) -> tuple[int, float]:
    if choice.design is None:
        return 2, 0.0
    if not choice.passes:
        return 1, choice.design.utilisation
    return 0, choice.design.mass
