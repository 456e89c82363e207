"""Bearings that can only push: find the gaps that open, and check the state found.

With N the compressions of the linear (two-sided) solution at the seats that can lift, and A the
change of these compressions when the superstructure is raised by a unit at one of them (symmetric,
positive semidefinite), the gaps d and the true compressions n satisfy

    n = N + A d,   n >= 0,   d >= 0,   n . d = 0,

a linear complementarity problem. It says that of all states in equilibrium without tension the one
nearest to the two-sided solution is taken: with A = G G' minimise |x| subject to N + G x >= 0. This
has a solution exactly where some state without tension is in equilibrium, and then one only for n.
This least-distance problem is solved through non-negative least squares (Lawson and Hanson,
Solving Least Squares Problems, chapter 23), which ends after finitely many steps also where A is
singular, as it is for every bridge: its rigid motions need no force.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.optimize import nnls

from bedstone.errors import CheckError, UnstableError
from bedstone.mechanics.frame import Floats

#: Relative size of forces and stiffnesses that counts as zero.
SMALL = 1e-9
#: Relative error that a state of contact may show.
TOLERANCE = 1e-6


@dataclass(frozen=True)
class Contact:
    """Seats that can only push, as one arrangement has them: the same for every load on it.

    `shape` (k, r): G, whose G G' is A over `stiff` (N/m), without what is rounding in it.
    """

    shape: Floats
    stiff: float

    @classmethod
    def of(cls, raising: Floats, stiffness: float = 0.0) -> Contact:
        """Contact at k seats.

        - `raising` (k, k): A, N/m
        - `stiffness`: that of the superstructure between its seats, N/m: what is small beside it
          in A is rounding (bearings that statics alone decides cannot be relieved by raising)
        """
        stiff = max(float(np.abs(raising).max(initial=0.0)), stiffness)
        values, vectors = np.linalg.eigh((raising + raising.T) / (2.0 * max(stiff, 1e-300)))
        kept = values > SMALL
        return cls(vectors[:, kept] * np.sqrt(values[kept]), stiff)

    def gaps(self, compression: Floats) -> Floats:
        """Gaps d (k,) in m that open under N of the two-sided solution (k,), + in compression.

        Zero where the seat stays in contact. Raises `UnstableError` when no state without tension
        is in equilibrium (the bridge overturns), `CheckError` when the state found is not one of
        contact.
        """
        count = len(compression)
        if count == 0 or compression.min() >= 0.0:
            return np.zeros(count)
        force = float(np.abs(compression).max())
        shape = self.shape
        wanted = compression / force
        target = np.zeros(shape.shape[1] + 1)
        target[-1] = 1.0
        answer, _ = nnls(np.vstack([shape.T, -wanted]), target)
        # what the residual leaves of the target: 1 / (1 + |x|^2), zero where there is no solution
        left = 1.0 + float(wanted @ answer)
        if left <= SMALL:
            raise UnstableError(
                "the superstructure lifts off its bearings and overturns: nothing holds it down"
            )
        gap = answer / left
        found = wanted + shape @ (shape.T @ gap)
        error = max(float(-found.min()), float(np.abs(found[gap > 0.0]).max(initial=0.0)))
        if error > TOLERANCE:
            raise CheckError(
                f"contact of the bearings: forces are off by {error:.1e} of the largest compression"
            )
        return np.asarray(gap * (force / self.stiff))


def open_gaps(compression: Floats, raising: Floats, stiffness: float = 0.0) -> Floats:
    """Gaps d (k,) in m that open at k one-sided seats: `Contact` asked once."""
    if len(compression) == 0 or compression.min() >= 0.0:
        return np.zeros(len(compression))
    return Contact.of(raising, stiffness).gaps(compression)
