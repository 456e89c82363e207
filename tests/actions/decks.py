"""Bridges of girders on their bearings for the tests of this folder."""

import copy
from dataclasses import dataclass

import numpy as np
from girder_cases import PLATE, SLAB, girder_data

from bedstone.actions.effects import Layout
from bedstone.actions.traffic import fine_field, traffic_extremes
from bedstone.articulation.arrangement import Arranged, Standing, arrange, stand
from bedstone.articulation.prepared import Prepared, prepare
from bedstone.bridge.schema import Bridge
from bedstone.bridge.seats import arrangement_functions

#: Properties alone, for decks that are meant to be soft across.
GIRDERS = {
    "number": 4,
    "spacing": "2.5 m",
    "sections": {"g": PLATE, "d": {**PLATE, "web_depth": "900 mm"}},
    "slab": {**SLAB, "overhang_left": "1 m", "overhang_right": "1 m"},
    "diaphragms": {"section": "d", "spacing": "8 m"},
    "mesh": "2 m",
}


@dataclass(frozen=True)
class Stood:
    """A bridge on its bearings, in its final state."""

    prepared: Prepared
    arranged: Arranged
    standing: Standing

    @property
    def structure(self):
        return self.prepared.structure

    @property
    def condensed(self):
        return self.prepared.condensed[self.prepared.final]

    @property
    def deck(self):
        return self.structure.states[self.prepared.final].deck

    @property
    def layout(self) -> Layout:
        return self.standing.effects.layout

    def lead(self, place, effect):
        return self.layout.index(place, effect)

    def effects(self, vector):
        """(size,) or (size, k) effects of load vectors on the frame."""
        load = self.condensed.load(vector)
        result = self.standing.effects.effects(load.g, load.r, load.s)
        return result[:, 0] if getattr(vector, "ndim", 2) == 1 else result

    def extremes(self, models, edges, reach=None, interior=()):
        """The traffic engine's worst of load models."""
        field, error = fine_field(self.condensed, self.deck, [self.standing.effects])
        assert error < 1e-3
        return traffic_extremes(
            models,
            field,
            self.standing.effects,
            edges=edges,
            kinks=np.unique(np.round([seat.chainage for seat in self.structure.seats], 6)),
            reach=reach or (self.deck.first, self.deck.last),
            interior=np.array(interior, dtype=np.intp),
        )


def bridge_data(radius=None, turn="left", arrangement=None, **rest):
    """Data of a bridge file of girders; fixed at the first line, guided along at the others."""
    data = copy.deepcopy(girder_data(**{**GIRDERS, **rest}))
    if radius is not None:
        data["alignment"] = {"radius": f"{radius} m", "turn": turn}
    data["arrangement"] = arrangement or {}
    if arrangement is None:
        marks = [support["mark"] for support in data["support"]]
        number = data["superstructure"].get("number") or 1
        lines = {mark: ["guided along"] + ["free"] * (number - 1) for mark in marks}
        lines[marks[0]] = ["fixed"] + ["guided along"] * (number - 1)
        data["arrangement"] = {"supports": lines}
    return data


def stood(data, bound="given") -> Stood:
    """Stand the bridge of a file's data on its bearings."""
    bridge = data if isinstance(data, Bridge) else Bridge.model_validate(data)
    prepared = prepare(bridge)
    supports = list(bridge.support)
    arranged = arrange(
        prepared.structure,
        supports,
        arrangement_functions(bridge, prepared.tables),
        bridge.arrangement.fixed_point,
    )
    condensed = prepared.condensed[prepared.final]
    return Stood(
        prepared, arranged, stand(prepared.structure, supports, condensed, arranged, bound)
    )


def simple_lines(marks, number=4):
    """Bearings of simple spans: fixed at the start of each span, free to move along at its end."""
    lines = {}
    start, end = (
        ["fixed"] + ["guided along"] * (number - 1),
        ["guided along"] + ["free"] * (number - 1),
    )
    for place, mark in enumerate(marks):
        if place == 0:
            lines[mark] = start
        elif place == len(marks) - 1:
            lines[mark] = end
        else:  # right to left, the back span first
            lines[mark] = [w for pair in zip(end, start, strict=True) for w in pair]
    return {"supports": lines}
