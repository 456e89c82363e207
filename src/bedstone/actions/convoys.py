"""Trains as they can stand: variable gaps, following trains, both senses."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from bedstone.mechanics.frame import Floats
from bedstone.standards.traffic import Axle, Train


@dataclass(frozen=True)
class Convoy:
    """A train as it stands, one sense: its k axles and strips of load.

    `position` (k,) behind the first, m along the lane (of a strip: its middle); `force` (k,);
    `half` (k,): half the length of a strip, 0 for an axle.
    """

    train: Train
    position: Floats
    force: Floats
    half: Floats
    note: str

    @property
    def length(self) -> float:
        """From the first to the last axle, m."""
        return float(self.position[-1])


def convoys(train: Train, longest: float) -> Iterator[Convoy]:
    """All shapes of a train: variable gaps, one or more following, both senses.

    `longest`: loaded length, m; as many trains follow as can touch it, or fewer, since those that
    would relieve need not be there.
    """
    gaps: tuple[float | None, ...] = train.spread[1] if train.spread else (None,)
    for gap in gaps:
        axles = _spread(train, gap)
        length = axles[-1].position - axles[0].position
        most = 1
        if train.follow is not None:
            most = 1 + int((longest + length) / (length + train.follow) + 1e-9)
        for count in range(1, most + 1):
            note = "" if gap is None else f", {gap:g} m apart"
            note += f", {count} in a row" if count > 1 else ""
            row = _repeat(axles, train.follow or 0.0, count)
            position, force, half = np.array([(a.position, a.force, a.length / 2.0) for a in row]).T
            convoy = Convoy(train, position - position[0], force, half, note)
            yield convoy
            back = convoy.length - convoy.position[::-1]
            if not (
                np.allclose(back, convoy.position) and np.allclose(convoy.force[::-1], convoy.force)
            ):
                yield replace(
                    convoy,
                    position=back,
                    force=convoy.force[::-1].copy(),
                    half=convoy.half[::-1].copy(),
                    note=note + ", facing back",
                )


def _spread(train: Train, gap: float | None) -> tuple[Axle, ...]:
    if gap is None or train.spread is None:
        return train.axles
    index = train.spread[0]
    extra = gap - (train.axles[index + 1].position - train.axles[index].position)
    return tuple(
        replace(axle, position=axle.position + (extra if number > index else 0.0))
        for number, axle in enumerate(train.axles)
    )


def _repeat(axles: tuple[Axle, ...], gap: float, count: int) -> tuple[Axle, ...]:
    pitch = axles[-1].position - axles[0].position + gap
    return tuple(
        replace(axle, position=axle.position + number * pitch)
        for number in range(count)
        for axle in axles
    )
