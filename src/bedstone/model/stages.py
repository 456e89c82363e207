"""Permanent loads of the stages of construction, for every kind of superstructure."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from bedstone.bridge.schema import Bridge, Load, Stage
from bedstone.errors import Fault, InputError
from bedstone.mechanics.frame import Floats
from bedstone.model.deck import Deck
from bedstone.model.structure import PermanentLoad, State, StateName


def usual_stages(deck_type: str, *, slab: bool) -> tuple[Stage, ...]:
    """Stages when the file names none.

    Concrete: one stage, carried with creep ("long"). Otherwise the steel carries itself, then the
    wet slab where there is one.
    """
    own, wet = Load(kind="self weight"), Load(kind="slab")
    if deck_type == "concrete":
        loads = [own, wet] if slab else [own]
        return (Stage(name="self weight", carries="long", loads=loads),)
    steel = Stage(name="steelwork", carries="steel", loads=[own])
    if not slab:
        return (steel,)
    return (steel, Stage(name="wet concrete", carries="steel", loads=[wet]))


def permanent_loads(
    bridge: Bridge,
    states: Mapping[StateName, State],
    usual: Sequence[Stage],
    slab_pressure: float | None = None,
    haunch: Mapping[StateName, Floats] | None = None,
) -> tuple[PermanentLoad, ...]:
    """Loads of all stages in their order, each on the state that carries it.

    Parameters
    ----------
    usual
        stages to take when the file names none (`usual_stages`)
    slab_pressure
        weight of the slab, N/m2 over the whole deck; None where there is no slab
    haunch
        for each state (m,) N/m along its members that comes with the load ``slab``

    Raises
    ------
    InputError
        For a load that has nothing to stand on: one fault for each.
    """
    result: list[PermanentLoad] = []
    faults: list[Fault] = []
    for stage in bridge.stage or usual:
        state = states.get(stage.carries)
        for number, load in enumerate(stage.loads, start=1):
            place = f"stage {stage.name}: loads[{number}]"
            if state is None:
                known = ", ".join(states)
                faults.append(
                    Fault("bridge file", f"{place}.carries", stage.carries, f"one of: {known}")
                )
                continue
            if load.kind == "self weight":
                vector, total = member_load(state, state.weight)
            elif state.deck is None:
                allowed = "a deck that carries in this stage"
                faults.append(Fault("bridge file", place, repr(load.kind), allowed))
                continue
            elif load.kind == "slab" and slab_pressure is None:
                faults.append(Fault("bridge file", place, "'slab'", "a superstructure with a slab"))
                continue
            elif load.kind == "slab":
                assert slab_pressure is not None
                vector, total = area_load(state, state.deck, slab_pressure)
                if haunch is not None:
                    extra, weight = member_load(state, haunch[stage.carries])
                    vector, total = vector + extra, total + weight
            elif load.kind == "area":
                assert load.value is not None
                vector, total = area_load(state, state.deck, load.value, load.from_y, load.to_y)
            else:
                assert load.line_value is not None
                assert load.y is not None
                vector, total = line_load(state, state.deck, load.line_value, load.y)
            result.append(
                PermanentLoad(
                    stage=stage.name,
                    state=stage.carries,
                    action=load.action,
                    label=load.label or load.kind,
                    vector=vector,
                    total=total,
                )
            )
    if faults:
        raise InputError(faults)
    return tuple(result)


def member_load(state: State, weight: Floats) -> tuple[Floats, float]:
    """Load vector and total (N) of weights (m,) N/m along the members themselves, downwards."""
    members = np.flatnonzero(weight)
    down = np.zeros((len(members), 3))
    down[:, 2] = -weight[members]
    vector = state.frame.line_load(members, down)
    return vector, float(weight[members] @ state.frame.length[members])


def line_load(state: State, deck: Deck, load: float, offset: float) -> tuple[Floats, float]:
    """Load vector and total (N) of a downward line load (N/m along itself) over the whole deck."""
    return _deck_load(state, deck, np.array([offset]), np.array([load]))


def area_load(
    state: State, deck: Deck, load: float, right: float | None = None, left: float | None = None
) -> tuple[Floats, float]:
    """Load vector and total (N) of a downward area load (N/m2) between two offsets.

    From end to end of the deck at each offset, so skewed ends are met; None: the deck's edge.
    """
    right = deck.right if right is None else right
    left = deck.left if left is None else left
    # Gauss points between the lines: the shares of the lines are cubic there
    edges = np.array([right, *(x.offset for x in deck.lines if right < x.offset < left), left])
    nodes, weights = np.polynomial.legendre.leggauss(3)
    half = np.diff(edges)[:, None] / 2.0
    offsets = (edges[:-1, None] + half + half * nodes).ravel()
    return _deck_load(state, deck, offsets, load * (half * weights).ravel())


def _deck_load(state: State, deck: Deck, offsets: Floats, loads: Floats) -> tuple[Floats, float]:
    """Line loads (k,) N/m along themselves at offsets (k,), each between the ends of the deck."""
    places = np.array([line.offset for line in deck.lines])
    nodes, weights = np.polynomial.legendre.leggauss(2)
    chainage: list[Floats] = []
    offset: list[Floats] = []
    force: list[Floats] = []
    for y, load, first, last in zip(offsets, loads, *deck.limits(offsets), strict=True):
        # cut where a member of one of the two lines ends: Gauss points are exact in between
        near = int(np.clip(np.searchsorted(places, y) - 1, 0, len(places) - 1))
        cuts = [np.array([first, last])]
        for line in deck.lines[near : near + 2]:
            ends = np.concatenate([line.start, line.end])
            cuts.append(ends[(ends > first) & (ends < last)])
        edges = np.unique(np.round(np.concatenate(cuts), 9))
        half = np.diff(edges)[:, None] / 2.0
        points = (edges[:-1, None] + half + half * nodes).ravel()
        chainage.append(points)
        offset.append(np.full(len(points), y))
        stretch = 1.0 - y * deck.axis.curvature
        force.append(load * stretch * (half * weights).ravel())
    total = np.concatenate(force)
    unit = deck.point_loads(state.frame, np.concatenate(chainage), np.concatenate(offset))
    return np.asarray(unit @ total), float(total.sum())
