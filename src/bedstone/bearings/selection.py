"""Sizing one kind for a seat, assessing a given bearing, and the kinds side by side."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from bedstone.bearings import catalogue, suitability
from bedstone.bearings.base import Basis, Demand, Design, Refusal
from bedstone.bridge.schema import BearingKind
from bedstone.standards.record import Line


@dataclass(frozen=True)
class Choice:
    """One kind at one seat: its design, or why it cannot serve.

    `remarks`: what the table of suitability says of it. A design that was given, or that is the
    nearest one, need not pass.
    """

    kind: BearingKind
    design: Design | None = None
    refusal: Refusal | None = None
    remarks: tuple[str, ...] = ()

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
    sieved = suitability.sieve(kind, demand, basis)
    remarks = sieved.remarks
    if sieved.refusal is not None:
        remarks = (f"{sieved.refusal.clause}: {sieved.refusal.reason}", *remarks)
    return _choice(kind, catalogue.kind_of(kind).size(demand, basis), remarks)


def assess(demand: Demand, basis: Basis, kind: BearingKind, sizes: Mapping[str, object]) -> Choice:
    """The checks of a bearing of given sizes (SI); raises `InputError` for impossible ones."""
    sieved = suitability.sieve(kind, demand, basis)
    remarks = sieved.remarks
    if sieved.refusal is not None:
        remarks = (f"{sieved.refusal.clause}: {sieved.refusal.reason}", *remarks)
    return _choice(kind, catalogue.kind_of(kind).given(sizes, demand, basis), remarks)


def compare(
    demand: Demand, basis: Basis, kinds: Sequence[BearingKind] | None = None
) -> tuple[Choice, ...]:
    """Kinds side by side: those that pass by rising mass, then the others by what they lack.

    A kind that the table of suitability finds unsuitable is refused without being sized. `kinds`:
    None for all.
    """
    choices = [_compared(demand, basis, kind) for kind in kinds or catalogue.kinds()]
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
        return Choice(kind, refusal=sieved.refusal, remarks=sieved.remarks)
    return _choice(kind, own.size(demand, basis), sieved.remarks)


def _choice(kind: BearingKind, found: Design | Refusal, remarks: tuple[str, ...]) -> Choice:
    if isinstance(found, Refusal):
        return Choice(kind, refusal=found, remarks=remarks)
    return Choice(kind, design=found, remarks=remarks)


def _rank(choice: Choice) -> tuple[int, float]:
    if choice.design is None:
        return 2, 0.0
    if not choice.passes:
        return 1, choice.design.utilisation
    return 0, choice.design.mass
