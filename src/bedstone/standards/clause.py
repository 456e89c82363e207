"""One way to write a calculation line, so that none forgets its clause or its basis."""

from __future__ import annotations

from bedstone.standards.record import Line, Quantity, weakest
from bedstone.standards.values import Values, load_pack


def state(
    values: Values,
    names: tuple[str, ...],
    title: str,
    formula: str,
    inputs: tuple[Quantity, ...],
    result: Quantity,
    note: str = "",
    *,
    clause: str | None = None,
    limit: Quantity | None = None,
    utilisation: float | None = None,
) -> Line:
    """The line of a clause that leans on the values `names`; the first one names the clause.

    Standard, edition and clause are those of the pack even where the engineer has replaced the
    value: his figure still stands in for that clause. `clause` overrides the last. The basis is
    the weakest of all.
    """
    entries = [values.entry(name) for name in names]
    head = load_pack(values.family)[names[0]]
    return Line(
        title=title,
        standard=head.standard,
        edition=head.edition,
        clause=clause or head.clause,
        formula=formula,
        inputs=inputs,
        result=result,
        basis=weakest(*(entry.basis for entry in entries)),
        limit=limit,
        utilisation=utilisation,
        note=note,
    )
