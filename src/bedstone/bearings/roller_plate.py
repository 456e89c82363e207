"""Bending of a plate under rollers that stand off its middle. SI units, own statics.

The plate lies on a bed that answers with a linear pressure and cannot pull; the rollers press it
along lines. x (m) from the plate's middle.
"""

from __future__ import annotations

import numpy as np

from bedstone.mechanics.frame import Floats


def greatest_moment(loads: Floats, x: Floats, length: float) -> Floats:
    """Greatest bending moment (cases,) N m over the plate's whole width, sagging or hogging.

    `loads` (cases, lines) N and their places `x` (cases, lines) m on a plate `length` (m) long.
    Infinite where the resultant leaves the plate. Moments are taken under every line and at
    equal steps between.
    """
    total = loads.sum(axis=1)
    centre = (loads * x).sum(axis=1) / total
    places = np.concatenate(
        [x, np.broadcast_to(np.linspace(-0.5, 0.5, 21) * length, (len(x), 21))], axis=1
    )
    below = _pressure_moment(total, centre, places, length)
    arms = np.maximum(places[:, :, None] - x[:, None, :], 0.0)
    bending = np.abs(below - (loads[:, None, :] * arms).sum(axis=2)).max(axis=1)
    return np.where(np.abs(centre) < length / 2.0, bending, np.inf)


def moment_over_rollers(loads: Floats, x: Floats, place: Floats) -> Floats:
    """Moment (cases,) N m of a plate on rollers under one force at `place` (cases,) m.

    `loads` (cases, lines) N are what the rollers answer at `x` (lines,) or (cases, lines) m: those
    beyond the force bend the plate over it (the force is taken as a sharp line).
    """
    return np.asarray((loads * np.maximum(x - place[:, None], 0.0)).sum(axis=1))


def _pressure_moment(total: Floats, centre: Floats, places: Floats, length: float) -> Floats:
    """Moment (cases, places) at each place of the pressure on its left."""
    # Turned so that the force stands right of the middle: the pressure then ends on the left.
    e = np.minimum(np.abs(centre), 0.499999 * length)
    flip = centre < 0.0
    pressed = np.where(e <= length / 6.0, length, 3.0 * (length / 2.0 - e))
    left = np.where(e <= length / 6.0, 1.0 - 6.0 * e / length, 0.0) * total / length
    right = 2.0 * total / pressed - left
    start = length / 2.0 - pressed
    slope = (right - left) / pressed

    def on_the_left(at: Floats) -> Floats:
        run = np.clip(at - start[:, None], 0.0, pressed[:, None])
        return left[:, None] * run**2 / 2.0 + slope[:, None] * run**3 / 6.0

    mirrored = np.where(flip[:, None], -places, places)
    moment = on_the_left(mirrored)
    # Mirrored, what lay left lies right: M_left = M_right + N (x - centre) for the pressure alone.
    return np.where(flip[:, None], moment + total[:, None] * (places - centre[:, None]), moment)
