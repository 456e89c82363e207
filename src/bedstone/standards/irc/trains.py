"""Live load trains (IRC:6 clause 204.1) and how much of a train stands on a length."""

from __future__ import annotations

from itertools import accumulate

from bedstone.standards.traffic import Axle, Train
from bedstone.standards.values import Values


def _axles(values: Values, key: str) -> tuple[Axle, ...]:
    """Axles of a wheeled vehicle from its rows of forces and spacings."""
    forces = values.row(f"traffic.{key}.axles")
    positions = accumulate(values.row(f"traffic.{key}.spacing"), initial=0.0)
    return tuple(Axle(at, force) for at, force in zip(positions, forces, strict=True))


def class_a(values: Values) -> Train:
    """Class A train, followed by equal trains."""
    return Train(
        name="Class A",
        axles=_axles(values, "class_a"),
        track=values.number("traffic.class_a.track"),
        follow=values.number("traffic.class_a.follow"),
    )


def wheeled_70r(values: Values) -> Train:
    """Class 70R wheeled vehicle, followed by equal vehicles."""
    return Train(
        name="Class 70R wheeled",
        axles=_axles(values, "70r_wheeled"),
        track=values.number("traffic.70r_wheeled.track"),
        follow=values.number("traffic.70r_wheeled.follow"),
    )


def bogie_70r(values: Values) -> Train:
    """Class 70R maximum bogie, alone on the bridge."""
    return Train(
        name="Class 70R bogie",
        axles=_axles(values, "70r_bogie"),
        track=values.number("traffic.70r_wheeled.track"),
    )


def _tracked(values: Values, key: str, name: str) -> Train:
    """A tracked vehicle; the next one follows nose to tail at the least gap."""
    gap = values.number(f"traffic.{key}.gap") + values.number(f"traffic.{key}.vehicle")
    return Train(
        name=name,
        axles=(
            Axle(
                0.0,
                values.number(f"traffic.{key}.force"),
                length=values.number(f"traffic.{key}.length"),
            ),
        ),
        track=values.number(f"traffic.{key}.track"),
        follow=gap,
    )


def tracked_70r(values: Values) -> Train:
    """Class 70R tracked vehicle."""
    return _tracked(values, "70r_tracked", "Class 70R tracked")


def tracked_aa(values: Values) -> Train:
    """Class AA tracked vehicle."""
    return _tracked(values, "aa_tracked", "Class AA tracked")


def wheeled_aa(values: Values) -> Train:
    """Class AA wheeled vehicle, alone on the bridge."""
    return Train(
        name="Class AA wheeled",
        axles=_axles(values, "aa_wheeled"),
        track=values.number("traffic.aa_wheeled.track"),
    )


def _within(axles: tuple[Axle, ...], start: float, end: float) -> float:
    """Force (N) of the axles and strips, or parts of strips, from `start` to `end` (m)."""
    total = 0.0
    for axle in axles:
        if axle.length == 0.0:
            total += axle.force if start <= axle.position <= end else 0.0
        else:
            first = max(start, axle.position - axle.length / 2)
            last = min(end, axle.position + axle.length / 2)
            total += axle.force * max(last - first, 0.0) / axle.length
    return total


def weights(train: Train, length: float) -> tuple[float, float]:
    """(first train, trains that follow or part of them) in N that stand on `length` (m).

    Where the whole first train has no room, the heaviest part of it that has, and none follow.
    """
    starts = [axle.position - axle.length / 2 for axle in train.axles]
    ends = [axle.position + axle.length / 2 for axle in train.axles]
    begin, own = min(starts), max(ends) - min(starts)
    if length < own:
        # The heaviest window begins or ends at an axle.
        windows = [(at, at + length) for at in starts] + [(at - length, at) for at in ends]
        return max(_within(train.axles, *window) for window in windows), 0.0
    first = sum(axle.force for axle in train.axles)
    following = 0.0
    if train.follow is not None:
        step = train.axles[-1].position - train.axles[0].position + train.follow
        shift = step
        while shift < length:
            following += _within(train.axles, begin, begin + length - shift)
            shift += step
    return first, following
