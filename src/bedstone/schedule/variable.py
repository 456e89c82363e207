"""Variable actions as effects: for each effect the adverse part and what acts with it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Protocol

import numpy as np

from bedstone.actions.cases import Case, CaseAction
from bedstone.actions.effects import Layout
from bedstone.articulation.arrangement import Standing
from bedstone.mechanics.frame import Floats
from bedstone.model.structure import StateName


class Variable(Protocol):
    """A variable action: for each sign and lead the adverse effects, zero where it relieves."""

    @property
    def vectors(self) -> Floats:
        """(2, size, size): [sign (0 largest, 1 smallest), lead] -> all effects."""
        ...

    def where(self, sign: int, lead: int) -> str:
        """Which case or place of load it is, in words."""
        ...


@dataclass(frozen=True)
class WorstOf:
    """The worst ``one`` of given effect vectors (k, size), or ``any`` adverse ones together."""

    names: tuple[str, ...]
    table: Floats
    rule: str

    @property
    def vectors(self) -> Floats:
        """See `Variable`."""
        size = self.table.shape[1]
        result = np.zeros((2, size, size))
        for sign, sense in ((0, 1.0), (1, -1.0)):
            adverse = np.maximum(sense * self.table, 0.0)  # (k, lead)
            if self.rule == "any":
                result[sign] = (adverse > 0.0).T.astype(float) @ self.table
            elif len(self.table):
                pick = adverse.argmax(axis=0)
                chosen = self.table[pick]
                result[sign] = np.where((adverse.max(axis=0) > 0.0)[:, None], chosen, 0.0)
        return result

    def where(self, sign: int, lead: int) -> str:
        """See `Variable`."""
        if self.rule == "any":
            value = self.table[:, lead] * (1.0 if sign == 0 else -1.0)
            return ", ".join(name for name, v in zip(self.names, value, strict=True) if v > 0.0)
        if not self.names:
            return ""
        index = self._worst[sign][lead]
        return self.names[index] if index >= 0 else ""

    @cached_property
    def _worst(self) -> list[list[int]]:
        """[sign][lead] the case that is worst, -1 where none is adverse."""
        result = []
        for sense in (1.0, -1.0):
            value = sense * self.table
            pick = value.argmax(axis=0)
            result.append(np.where(value.max(axis=0) > 0.0, pick, -1).tolist())
        return result


@dataclass(frozen=True)
class Group:
    """Traffic that acts together: vertical load and horizontal forces, each adverse or absent."""

    parts: tuple[Variable, ...]

    @property
    def vectors(self) -> Floats:
        """See `Variable`."""
        return np.asarray(sum(part.vectors for part in self.parts))

    def where(self, sign: int, lead: int) -> str:
        """See `Variable`."""
        texts = [part.where(sign, lead) for part in self.parts]
        return "; ".join(text for text in texts if text and text != "no load") or "no load"


def case_effects(standing: Standing, case: Case) -> Floats:
    """(size,) effects of one case; movements from its own load where it has one."""
    result = standing.effects.effects(case.load.g, case.load.r, case.load.s)[:, 0]
    if case.movement is not None:
        moved = standing.effects.effects(case.movement.g, case.movement.r, case.movement.s)[:, 0]
        result = np.where(standing.effects.layout.movements, moved, result)
    return np.asarray(result)


def worst_of(action: CaseAction, standing: Mapping[StateName, Standing], layout: Layout) -> WorstOf:
    """An action made of cases, as effects on an arrangement."""
    rows = [case_effects(standing[case.state], case) for case in action.cases]
    table = np.array(rows).reshape(len(rows), layout.size)
    return WorstOf(tuple(case.name for case in action.cases), table, action.rule)
