"""Small structures that the tests of mechanics share."""

import numpy as np
import pytest

from bedstone.mechanics.condense import SeatPoints
from bedstone.mechanics.frame import FrameBuilder
from bedstone.mechanics.support import Bearings

SECTION = {"E": 210e9, "G": 81e9, "A": 0.06, "Iy": 0.03, "Iz": 0.008, "J": 0.002}


class Small:
    """Makers of small frames, seats and bearings."""

    section = SECTION

    @staticmethod
    def beam(length=20.0, pieces=4, axis=(1.0, 0.0, 0.0), up=(0.0, 0.0, 1.0), **changes):
        """A straight member in pieces along `axis`."""
        build = FrameBuilder()
        direction = np.array(axis) / np.linalg.norm(axis)
        nodes = [build.node(*(direction * s)) for s in np.linspace(0, length, pieces + 1)]
        for i, j in zip(nodes[:-1], nodes[1:], strict=True):  # noqa: RUF007
            build.member(i, j, up=up, **(SECTION | changes))
        return build.frame()

    @staticmethod
    def grillage(lines=3, stations=9, length=40.0, width=6.0, turn=0.0, mirror=1.0, **changes):
        """Girders and cross beams, turned in plan about the origin, mirrored across; node grid."""
        build = FrameBuilder()
        c, s = np.cos(turn), np.sin(turn)
        grid = np.zeros((stations, lines), dtype=np.intp)
        for i, x in enumerate(np.linspace(0.0, length, stations)):
            for j, y in enumerate(np.linspace(-width / 2, width / 2, lines)):
                y_m = mirror * (y + 0.02 * x)  # a little skew, so that the mirror image differs
                grid[i, j] = build.node(c * x - s * y_m, s * x + c * y_m, 0.0)
        values = SECTION | changes
        for i in range(stations):
            for j in range(lines):
                if i + 1 < stations:
                    build.member(grid[i, j], grid[i + 1, j], **values, Az=0.02)
                if j + 1 < lines:
                    build.member(grid[i, j], grid[i, j + 1], **(values | {"Iy": 0.004, "J": 3e-4}))
        return build.frame(), grid

    @staticmethod
    def seats(nodes, arm=(0.0, 0.0, -1.0)):
        nodes = np.asarray(nodes, dtype=np.intp).ravel()
        return SeatPoints(nodes, np.tile(np.asarray(arm, dtype=float), (len(nodes), 1)))

    @staticmethod
    def bearings(functions, angle=0.0, springs=None):
        """`functions`: for each seat the held directions, e.g. "xyz", "z", "yz", "xyzabc".

        a, b, c are the rotations about x, y, z; `springs` {(seat, direction): stiffness}.
        """
        count = len(functions)
        turns = np.broadcast_to(np.asarray(angle, dtype=float), (count,))
        axes = np.array(
            [[[np.cos(t), np.sin(t), 0], [-np.sin(t), np.cos(t), 0], [0, 0, 1]] for t in turns]
        )
        held = np.array([[letter in text for letter in "xyzabc"] for text in functions])
        compliance = np.zeros((count, 6))
        for (seat, letter), stiffness in (springs or {}).items():
            compliance[seat, "xyzabc".index(letter)] = 1.0 / stiffness
        return Bearings(axes, held, compliance)

    @staticmethod
    def rigid_ground(count):
        return np.zeros((6 * count, 6 * count))


@pytest.fixture(scope="session")
def small():
    """Makers of small structures (see `Small`)."""
    return Small
