"""Envelopes of many arrangements by PyTorch in double precision, on one CUDA GPU.

The same batch as `bedstone.mechanics.variants.Shared.envelopes`, as dense batched algebra: it runs
on PyTorch's CPU device too, where only tests want it. PyTorch is an extra of the installation.
"""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import numpy as np

from bedstone.errors import BedstoneError
from bedstone.mechanics.frame import Floats, Ints
from bedstone.mechanics.support import SINGULAR
from bedstone.mechanics.variants import Columns, Envelopes, Shared, group_bounds, refuse_inexact

#: Bytes of the device that one batch may take.
MEMORY = 2 * 2**30


def envelopes_torch(
    shared: Shared, columns: Columns, subsets: Ints, groups: Ints, device: str = "cuda",
    *, memory: int = MEMORY,
) -> Envelopes:  # fmt: skip
    """`Shared.envelopes` on a device of PyTorch: arguments, results and errors as there.

    `memory`: bytes of the device that one batch may take. Raises `BedstoneError` where PyTorch or
    the device is missing.
    """
    torch = _torch(device)
    bounds = group_bounds(columns, groups)
    subsets = shared.checked(subsets)
    count, width = subsets.shape
    loose, cases = shared.loose_count, columns.count
    effects, number = len(shared.influence), len(shared.matrix)
    size = width + loose

    def there(values: Any) -> Any:
        return torch.as_tensor(np.ascontiguousarray(values), device=device)

    # one candidate more than there are, which does nothing, stands for the padding
    matrix = there(np.pad(shared.matrix, (0, 1)))
    matrix[number, number] = 1.0
    border = there(np.pad(shared.border, ((0, 1), (0, 0))))
    own = there(np.append(shared.own, 1.0))
    movement = there(np.pad(columns.movement / shared.scale, ((0, 1), (0, 0))))
    resultant = there(columns.resultant)
    # rows that follow no candidate keep the envelope without one
    moving = np.flatnonzero(shared.influence.any(axis=1))
    held_gain = there(np.pad(shared.influence[moving, :number].T, ((0, 1), (0, 0))))
    loose_gain = there(shared.influence[moving, number:].T)
    direct = there(columns.effects[moving])

    edges = bounds[:-1]
    top = np.empty((count, len(edges), effects))
    low = np.empty_like(top)
    top[:] = np.maximum.reduceat(columns.effects, edges, axis=1).T
    low[:] = np.minimum.reduceat(columns.effects, edges, axis=1).T
    hold_top = np.full((count, len(edges), width), np.nan)
    hold_low = np.full_like(hold_top, np.nan)
    residual = np.full(count, np.nan)
    stands = shared.stands(subsets)
    held_twice = np.zeros(count, dtype=bool)

    standing = np.flatnonzero(stands)
    one = 8 * (cases * (2 * len(moving) + 6 * size) + 8 * size * size + len(moving) * size)
    step = max(1, memory // one)
    for first in range(0, len(standing), step):
        rows = standing[first : first + step]
        chosen = there(np.where(subsets[rows] >= 0, subsets[rows], number))
        whole = torch.zeros((len(rows), size, size), dtype=torch.float64, device=device)
        whole[:, :width, :width] = matrix[chosen[:, :, None], chosen[:, None, :]]
        # padding stands side by side without touching: a unit on its own diagonal only
        spare = (chosen == number).to(torch.float64)
        whole[:, :width, :width] *= 1.0 - spare[:, :, None] * spare[:, None, :]
        whole[:, :width, :width] += torch.diag_embed(spare)
        whole[:, :width, width:] = border[chosen]
        whole[:, width:, :width] = border[chosen].transpose(1, 2)
        inverse, singular = _inverse(torch, whole, SINGULAR)
        right = torch.cat([movement[chosen], resultant.expand(len(rows), -1, -1)], dim=1)
        answer = torch.bmm(inverse, right)
        lack = _residual(torch, whole, width, own[chosen], right, answer)
        gain = torch.cat([held_gain[chosen], loose_gain.expand(len(rows), -1, -1)], dim=1)
        moved = torch.baddbmm(direct.expand(len(rows), -1, -1), gain.transpose(1, 2), answer)
        held = torch.where(spare[:, :, None] > 0.0, torch.nan, answer[:, :width])
        for group, (begin, end) in enumerate(pairwise(bounds)):
            cut = moved[:, :, begin:end]
            top[rows[:, None], group, moving] = _back(cut.amax(dim=2))
            low[rows[:, None], group, moving] = _back(cut.amin(dim=2))
            hold_top[rows, group] = _back(held[:, :, begin:end].amax(dim=2))
            hold_low[rows, group] = _back(held[:, :, begin:end].amin(dim=2))
        residual[rows] = _back(lack)
        held_twice[rows] = _back(singular)
    unsolved = ~stands | held_twice
    for values in (top, low, hold_top, hold_low, residual):
        values[unsolved] = np.nan
    refuse_inexact(residual, subsets)
    return Envelopes(top, low, hold_top, hold_low, residual, stands, held_twice)


def _torch(device: str) -> Any:
    """PyTorch with this device, or `BedstoneError` saying how to come by it."""
    try:
        import torch
    except ImportError:
        raise BedstoneError(
            "PyTorch is not installed: add the extra `gpu`, as in pip install 'bedstone[gpu]'"
        ) from None
    if torch.device(device).type == "cuda" and not torch.cuda.is_available():
        raise BedstoneError(
            "PyTorch finds no CUDA GPU here: install its CUDA build (the extra `gpu`) on a machine "
            "with an NVIDIA driver, or work without the GPU"
        )
    return torch


def _back(values: Any) -> Floats:
    return np.asarray(values.cpu().numpy())


def _inverse(torch: Any, whole: Any, small: float) -> tuple[Any, Any]:
    """Inverses (n, s, s) as `variants_kernel.invert`, and which of them are singular (n,)."""
    weight = whole.abs().amax(dim=2).clamp_min(1e-300).rsqrt()
    both = weight[:, :, None] * weight[:, None, :]
    scaled = whole * both
    inverse, fault = torch.linalg.inv_ex(scaled)
    norm = scaled.abs().sum(dim=1).amax(dim=1) * inverse.abs().sum(dim=1).amax(dim=1)
    singular = (fault != 0) | ~(norm * small < 1.0)
    unit = torch.eye(whole.shape[1], dtype=torch.float64, device=whole.device)
    inverse = inverse + torch.bmm(inverse, unit - torch.bmm(scaled, inverse))  # Newton's step
    return torch.where(singular[:, None, None], 0.0, inverse * both), singular


def _residual(torch: Any, whole: Any, count: int, own: Any, right: Any, answer: Any) -> Any:
    """Worst relative residual (n,), measured as `variants_kernel` does."""
    lack = (right - torch.bmm(whole, answer)).abs()
    reach = right.abs() + torch.bmm(whole.abs(), answer.abs())
    loose = right[:, :count].abs() / own[:, :, None]
    reach[:, count:] += torch.bmm(whole[:, count:, :count].abs(), loose)
    worst = torch.zeros(len(whole), dtype=torch.float64, device=whole.device)
    for part in (slice(0, count), slice(count, None)):
        if lack[:, part].shape[1]:
            size = reach[:, part].amax(dim=1).clamp_min(1e-300)
            worst = torch.maximum(worst, (lack[:, part].amax(dim=1) / size).amax(dim=1))
    return worst
