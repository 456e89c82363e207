"""A bridge condensed once: everything that does not depend on the choice of bearings."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from bedstone.bridge.schema import Bridge, Reactions
from bedstone.bridge.tables import FrameData, ReactionData
from bedstone.errors import Fault, InputError
from bedstone.mechanics.condense import Condensed, condense
from bedstone.model.build import build
from bedstone.model.structure import StateName, Structure


@dataclass(frozen=True)
class Prepared:
    """The structure and its condensed states, ready for any arrangement."""

    bridge: Bridge
    tables: FrameData | ReactionData | None
    structure: Structure
    condensed: Mapping[StateName, Condensed]

    @property
    def final(self) -> StateName:
        """The state that carries traffic, wind and temperature."""
        return "short" if "short" in self.condensed else "steel"

    @property
    def slow(self) -> StateName:
        """The state that carries settlement, shrinkage and creep."""
        return "long" if "long" in self.condensed else self.final


def prepare(bridge: Bridge, tables: FrameData | ReactionData | None = None) -> Prepared:
    """Build the structure and condense each of its states once.

    Raises `InputError` for a superstructure without a model (reactions), `UnstableError` when the
    superstructure is not in one piece or a mechanism in itself.
    """
    if isinstance(bridge.superstructure, Reactions):
        raise InputError(
            [Fault("bridge file", "superstructure.kind", "reactions", "a kind with a model")]
        )
    assert not isinstance(tables, ReactionData)
    structure = build(bridge, tables)
    condensed = {
        name: condense(state.frame, state.seats) for name, state in structure.states.items()
    }
    return Prepared(bridge, tables, structure, condensed)
