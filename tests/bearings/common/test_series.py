"""Practical series, held against the formulas behind their tables."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest

from bedstone.bearings.common import series
from bedstone.errors import InputError

# Coarse pitches of ISO 261 (recalled), mm.
PITCH = {
    "M12": 1.75, "M16": 2.0, "M20": 2.5, "M22": 2.5, "M24": 3.0, "M27": 3.0, "M30": 3.5,
    "M33": 3.5, "M36": 4.0, "M39": 4.0, "M42": 4.5, "M45": 4.5, "M48": 5.0, "M52": 5.0,
    "M56": 5.5, "M60": 5.5, "M64": 6.0,
}  # fmt: skip


@pytest.mark.parametrize("name", PITCH)
def test_stress_area_follows_iso_898(name: str) -> None:
    # ISO 898-1: As = pi/4 (d - 0.9382 P)^2, rounded to three figures.
    d = float(name[1:])
    expected = math.pi / 4.0 * (d - 0.9382 * PITCH[name]) ** 2
    assert series.bolt(name).stress_area * 1e6 == pytest.approx(expected, rel=5e-3)


def test_inch_stress_area_follows_the_thread() -> None:
    # ASME B1.1: As = pi/4 (d - 0.9743/n)^2 with n threads an inch (recalled).
    threads = {"3/4 in": 10, "1 in": 8, "1 1/2 in": 6, "2 in": 4.5, "2 1/2 in": 4}
    diameters = {"3/4 in": 0.75, "1 in": 1.0, "1 1/2 in": 1.5, "2 in": 2.0, "2 1/2 in": 2.5}
    for name, n in threads.items():
        expected = math.pi / 4.0 * (diameters[name] - 0.9743 / n) ** 2
        assert series.bolt(name).stress_area / 0.0254**2 == pytest.approx(expected, rel=5e-3)


@pytest.mark.parametrize("family", ["eurocode", "aashto", "irc"])
@pytest.mark.parametrize("name", ["plates", "rollers", "pins", "welds"])
def test_sizes_rise(family, name) -> None:
    found = series.sizes(name, family)
    assert all(a < b for a, b in pairwise(found))


def test_next_size() -> None:
    assert series.at_least("plates", "eurocode", 0.0451) == 0.05
    assert series.at_least("plates", "eurocode", 0.05) == 0.05
    assert series.at_least("plates", "aashto", 0.04) == pytest.approx(1.75 * 0.0254)
    assert series.at_least("plates", "irc", 1.0) is None


def test_lengths_round_up() -> None:
    assert series.length(0.3301) == 0.34
    assert series.length(0.33) == 0.33
    assert series.length(0.0321, 0.005) == 0.035


@pytest.mark.parametrize("ask", [lambda: series.bolt("M25"), lambda: series.grade("9.9")])
def test_unknown_names_are_refused(ask) -> None:
    with pytest.raises(InputError) as caught:
        ask()
    assert len(caught.value.faults) == 1
