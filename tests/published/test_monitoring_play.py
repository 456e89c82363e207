"""What a bearing that sticks makes of a daily swing: the describing function of play (backlash).

Source: Gelb and Vander Velde, Multiple-Input Describing Functions and Nonlinear System Design
(1968), as in most textbooks of control: of a sine of amplitude A through play of half width b,
with c = 1 - 2 b/A, the part in phase is (1/pi) (pi/2 + asin c + c sqrt(1 - c^2)), and the part a
quarter behind (1 - c^2)/pi, for b < A; the size of what comes through is A - b. From memory.

The expected movement of 60 m of steel over 35 K, 25.2 mm, is that of a public worked example of an
expansion bearing, known second hand.
"""

import math
from types import SimpleNamespace

import numpy as np
import pytest

from bedstone.site.monitoring import sums
from bedstone.site.monitoring.fit import fit, prepare
from bedstone.site.monitoring.judge import ratio_of

SOURCE = "Gelb and Vander Velde, Describing Functions: a sine through play"
KNOWN = "from memory"
HOUR = 3_600_000_000_000


def through(amplitude, half, days=20, step=1 / 60):
    """Hours, a daily sine (K), and what follows it with play, after it has settled."""
    hours = np.arange(0.0, 24.0 * (days + 2), step)
    warm = amplitude * np.sin(2 * np.pi * hours / 24.0)
    followed = sums.followed(hours, warm, 0.0, half)[:, 0]
    late = hours >= 48.0
    return hours[late], warm[late], followed[late]


@pytest.mark.parametrize(("amplitude", "half"), [(6.0, 0.5), (6.0, 2.0), (6.0, 4.5)])
def test_a_sine_through_play(published, amplitude, half):
    hours, warm, followed = through(amplitude, half)
    c = 1.0 - 2.0 * half / amplitude
    phase = (math.pi / 2 + math.asin(c) + c * math.sqrt(1.0 - c**2)) / math.pi
    behind = (1.0 - c**2) / math.pi
    quarter = -amplitude * np.cos(2 * np.pi * hours / 24.0)
    ours = (
        float(warm @ followed / (warm @ warm)),
        float(quarter @ followed / (quarter @ quarter)),
    )
    case = f"{amplitude:g} K through {half:g} K each way: in phase, a quarter behind"
    published(case, (phase, behind), ours, "", abs=2e-5)
    size = float(np.ptp(followed)) / 2.0
    published(
        f"{amplitude:g} K through {half:g} K: amplitude", amplitude - half, size, "K", abs=1e-4
    )


@pytest.mark.parametrize("half", [0.5, 2.0])
def test_the_play_is_found_again_and_the_slope_is_whole(half):
    # days of different size, or a lag could take the place of the play
    hours = np.arange(0.0, 24.0 * 40)
    warm = (6.0 + 2.0 * np.sin(hours / 100.0)) * np.sin(2 * np.pi * hours / 24.0)
    followed = sums.followed(hours, warm, 0.0, half)[:, 0]
    noise = 1e-5 * np.random.default_rng(1).normal(size=len(hours))
    time = np.rint(hours * HOUR).astype(np.int64)
    found = fit(prepare(time, 0.5e-3 * followed + noise, warm), longest_lag=6.0)
    assert found.slope.value == pytest.approx(0.5e-3, rel=1e-3)
    assert found.stick.value == pytest.approx(2.0 * half, abs=0.02)


def test_sixty_metres_over_35_kelvin(published):
    case = SimpleNamespace(alpha=12e-6, length=60.0, cold=15.0, warm=50.0)
    expected = case.alpha * case.length
    warm = np.linspace(case.cold, case.warm, 100)
    rng = np.random.default_rng(2)
    time = np.arange(100, dtype=np.int64) * 24 * HOUR
    order = rng.permutation(100)
    moved = 0.0252 / 35.0 * (warm - case.cold) + 1e-5 * rng.normal(size=100)
    found = fit(prepare(time, moved[order], warm[order]), longest_lag=6.0)
    ours = found.offset(case.warm).value - found.offset(case.cold).value
    published("60 m of steel, 15 to 50 degC: movement", 25.2, ours * 1e3, "mm", abs=0.02,
              source="public worked example of an expansion bearing",
              known="quoted second hand")  # fmt: skip
    assert ratio_of(found.slope, expected, 0.0).value == pytest.approx(1.0, abs=1e-3)
