"""The schedule as labelled arrays, for further work in Python."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from bedstone.actions.effects import SEAT_EFFECTS, SUPPORT_EFFECTS
from bedstone.schedule.result import Governing, Schedule

if TYPE_CHECKING:
    import xarray

SENSES = ("max", "min")


def to_dataset(schedule: Schedule) -> xarray.Dataset:
    """Extremes of a schedule, SI units, signs as in the schedule.

    Variables ``seats`` (limit_state, seat, sense, effect) and ``supports`` (limit_state, support,
    sense, support_effect) hold the extremes; ``seats_acting`` has a further dimension
    ``acting`` with the effects acting at the same moment. NaN where an effect is nothing at all.
    """
    import xarray  # a slow import that only this function needs

    states = list(schedule.limit_states)
    seats = [info.mark for info in schedule.seats]
    supports = [info.mark for info in schedule.supports]
    seat_values, acting = _table(schedule.seat_lines, states, seats, SEAT_EFFECTS)
    support_values, _ = _table(schedule.support_lines, states, supports, SUPPORT_EFFECTS)
    dims = ("limit_state", "seat", "sense", "effect")
    return xarray.Dataset(
        {
            "seats": (dims, seat_values),
            "seats_acting": ((*dims, "acting"), acting),
            "supports": (("limit_state", "support", "sense", "support_effect"), support_values),
        },
        coords={
            "limit_state": states,
            "seat": seats,
            "support": supports,
            "sense": list(SENSES),
            "effect": list(SEAT_EFFECTS),
            "acting": list(SEAT_EFFECTS),
            "support_effect": list(SUPPORT_EFFECTS),
        },
        attrs={
            "bridge": schedule.bridge,
            "standard": schedule.standard_title,
            "arrangement": schedule.arrangement,
            "units": "N, N m, m, rad",
        },
    )


def _table(
    lines: tuple[Governing, ...], states: list[str], places: list[str], effects: tuple[str, ...]
) -> tuple[np.ndarray, np.ndarray]:
    """Extremes (states, places, 2, effects) and what acts with each (..., effects)."""
    shape = (len(states), len(places), 2, len(effects))
    values = np.full(shape, np.nan)
    acting = np.full((*shape, len(effects)), np.nan)
    for line in lines:
        where = (
            states.index(line.limit_state),
            places.index(line.place),
            SENSES.index(line.sense),
            effects.index(line.effect),
        )
        values[where] = line.value
        acting[where] = line.acting
    return values, acting
