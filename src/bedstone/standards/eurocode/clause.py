"""How a clause of this family writes its `Line`, with the weakest basis it leaned on."""

from __future__ import annotations

from bedstone.standards.record import Line, Quantity, weakest
from bedstone.standards.values import Values, load_pack


def state(
    values: Values,
    names: tuple[str, ...],
    *,
    title: str,
    formula: str,
    inputs: tuple[Quantity, ...],
    result: Quantity,
    limit: Quantity | None = None,
    utilisation: float | None = None,
    note: str = "",
) -> Line:
    """The line of a clause; `names` are the values it used, the first one names the clause.

    Standard, edition and clause are those of the pack even where the engineer has replaced the
    value: his figure still stands in for that clause. The basis is the weakest of all.
    """
    entries = [values.entry(name) for name in names]
    head = load_pack(values.family)[names[0]]
    return Line(
        title=title,
        standard=head.standard,
        edition=head.edition,
        clause=head.clause,
        formula=formula,
        inputs=inputs,
        result=result,
        basis=weakest(*(entry.basis for entry in entries)),
        limit=limit,
        utilisation=utilisation,
        note=note,
    )
