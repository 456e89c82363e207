"""Bearings that can only push: find the gaps that open, and check the state found.

With N the compressions of the linear (two-sided) solution at the seats that can lift, and A the
change of these compressions when the superstructure is raised by a unit at one of them (symmetric,
positive semidefinite), the gaps d and the true compressions n satisfy

    n = N + A d,   n >= 0,   d >= 0,   n . d = 0,

a linear complementarity problem, solved by principal pivoting (Murty's least-index rule, finite).
"""

from __future__ import annotations

import numpy as np

from bedstone.errors import CheckError, UnstableError
from bedstone.mechanics.frame import Floats

#: Relative size of forces and gaps that counts as zero.
SMALL = 1e-9


def open_gaps(compression: Floats, raising: Floats) -> Floats:
    """Gaps d (k,) in m that open at k one-sided seats; zero where the seat stays in contact.

    - `compression` (k,): N of the two-sided solution, N, + in compression
    - `raising` (k, k): A, N/m

    Raises `UnstableError` when lifting needs no force (the bridge overturns), `CheckError` when no
    state of contact is found.
    """
    count = len(compression)
    if count == 0 or compression.min() >= 0.0:
        return np.zeros(count)
    top = float(np.abs(compression).max())
    stiff = float(np.abs(np.diag(raising)).max(initial=0.0))
    lifted = np.zeros(count, dtype=bool)
    for _ in range(50 * count + 50):
        gap = np.zeros(count)
        if lifted.any():
            block = raising[np.ix_(lifted, lifted)]
            if np.linalg.eigvalsh(block)[0] <= SMALL * max(stiff, 1e-300):
                raise UnstableError(
                    "the superstructure lifts off its bearings and overturns: nothing holds it down"
                )
            gap[lifted] = np.linalg.solve(block, -compression[lifted])
        force = compression + raising @ gap
        wrong = np.where(lifted, gap < 0.0, force < -SMALL * top)
        if not wrong.any():
            return gap
        first = int(np.argmax(wrong))
        lifted[first] = not lifted[first]
    raise CheckError("no state of contact was found for bearings that can only push")
