"""The body of a pot sized part by part, each as thin as the rules of the family allow."""

from __future__ import annotations

import math
from collections.abc import Callable

from bedstone.bearings.base import Demand
from bedstone.bearings.common import series
from bedstone.bearings.pot_rules import PotRules
from bedstone.bearings.pot_sizes import PotBody, PotForce, leading_forces
from bedstone.bearings.sliding_element import worst

_STEP = 0.005
#: Least thickness that is made of a wall or a rim, m; common practice, no source.
_LEAST = 0.01


def size_body(
    rules: PotRules,
    diameter: float,
    acting: Callable[[PotBody], list[PotForce]],
    demand: Demand,
    *,
    head: float = 0.0,
    piston: float = 0.0,
) -> PotBody:
    """The body of a pot with a pad of a diameter (m): each part as thin as its rules allow.

    `acting` gives the forces on a body: they depend on its pad. `head`: least height (m) of the
    piston above the wall when turned, `piston`: its least thickness (m), for the slide on it.
    """
    rotation = rules.slide.rotation(
        max((math.hypot(c.rx, c.ry) for c in rules.slide.strength(demand)), default=0.0)
    )
    pad = series.length(rules.least_pad(diameter, rotation), 0.001)
    count, ring_width, ring_depth = rules.rings(diameter)

    def body(wall: float, bottom: float, rim: float) -> PotBody:
        depth = series.length(pad + rim + diameter / 2.0 * rotation, _STEP)
        outside = diameter + 2.0 * wall
        gap = max(rules.gap(outside, rotation), head + outside / 2.0 * rotation)
        thickness = max(depth - pad + gap, rules.least_piston(diameter), rim, piston)
        return PotBody(
            diameter,
            pad,
            wall,
            bottom,
            depth,
            series.length(thickness, _STEP),
            rim,
            rules.clearance(rim, diameter, rotation),
            count,
            ring_width,
            ring_depth,
            rules.rim_radius,
        )

    # The forces hang on the pad alone, and that is the same in every trial.
    forces = leading_forces(acting(body(_LEAST, _LEAST, _LEAST)))

    def smallest(least: float, most: float, use: Callable[[float], float]) -> float:
        """The smallest size in steps that holds; the last that still helps where none does."""
        size, now = least, use(least)
        while now > 1.0 and size < most:
            thicker = round(min(size + _STEP, most), 4)
            then = use(thicker)
            if then >= now - 1e-9:
                break
            size, now = thicker, then
        return size

    bottom = series.length(rules.least_bottom(diameter), _STEP)
    wall = series.length(max(_LEAST, rules.least_wall()), _STEP)
    rim = smallest(
        0.01, 0.1, lambda rim: worst(rules.piston_lines(body(wall, bottom, rim), forces, demand))
    )
    wall = smallest(
        wall, 0.25, lambda wall: worst(rules.ring_lines(body(wall, bottom, rim), forces, demand))
    )
    bottom = smallest(
        bottom,
        0.25,
        lambda bottom: worst(rules.bottom_lines(body(wall, bottom, rim), forces, demand)),
    )
    return body(wall, bottom, rim)
