"""Probabilities from samples against closed forms.

Source: elementary mechanics (movement alpha L (T - T0), force of a spring, friction mu N of a beam
that statics decides) with elementary probability: sums of normal, products of lognormal, linear
functions of uniform and triangular quantities. Worked by hand beside each check; no published
figure. The reactions of four equal spans are those of the usual handbooks, from memory.
"""

from statistics import NormalDist

import numpy as np
import pytest
from scipy.stats import norm

from bedstone.articulation.prepared import prepare
from bedstone.bridge.schema import Bridge
from bedstone.comparison.uncertainty import chance, interval, points

SOURCE = "Elementary probability: normal, lognormal, uniform and triangular quantities"
KNOWN = "derived"
ALPHA, SPAN = 12e-6, 40.0
NORMAL = NormalDist()
#: Axis of the girder at the level of the bearings, and hardly any strain along it.
STIFF = {
    "kind": "given", "A": "50 m2", "Iy": "1 m4", "Iz": "1 m4", "J": "0.01 m4", "depth": "1.5 m",
    "centroid": "1.5 m",
}  # fmt: skip


def span(uncertainty, chainages=(0.0, SPAN), below=None, friction=False, **seats):
    """A girder on bearings S1, S2, ... that move along unless `seats` says else."""
    marks = [f"S{k + 1}" for k in range(len(chainages))]
    slide = {"function": "guided along", "hold_rotation": ["x"], "kind": "pot on slide"}
    data = {
        "bridge": {"name": "case"},
        "support": [
            {"mark": mark, "chainage": f"{c} m"} for mark, c in zip(marks, chainages, strict=True)
        ],
        "materials": {"steel_alpha": "12e-6 1/K"},
        "superstructure": {
            "kind": "girders", "type": "steel", "number": 1, "sections": {"g": STIFF},
            "segments": [{"start": "0 m", "end": f"{chainages[-1]} m", "section": "g"}],
        },
        "stage": [
            {"name": "all", "carries": "steel",
             "loads": [{"kind": "line", "line_value": "200 kN/m", "y": "0 m"}]}
        ],
        "actions": {
            "temperature": {"air_min": "-10 degC", "air_max": "35 degC", "setting": "10 degC"},
            "friction": friction,
        },
        "arrangement": {
            "seats": {f"{mark}-1": {**slide, **seats.get(mark, {})} for mark in marks}
        },
        "uncertainty": uncertainty,
    }  # fmt: skip
    for mark, springs in (below or {}).items():
        data["support"][marks.index(mark)]["below"] = {"kind": "springs", "springs": springs}
    return prepare(Bridge.model_validate(data))


FIXED = {"function": "fixed"}
NORMALS = {
    "samples": 4096,
    "setting": {"shape": "normal", "a": 12.0, "b": 4.0},
    "warmest": {"shape": "normal", "a": 38.0, "b": 3.0},
}


def held(found, by_hand):
    """One answer with the closed form within its interval; returns the probability."""
    (result,) = found.results
    low, high = result.interval
    assert low < by_hand < high
    return result.probability


@pytest.mark.parametrize("sampling", ["sobol", "plain"])
@pytest.mark.parametrize("stop", [12.48, 16.0, 18.0])
def test_movement_of_a_span_between_normal_temperatures(published, stop, sampling):
    """alpha L = 0.48 mm/K, T - T0 ~ N(26, 5): the movement is N(12.48 mm, 2.4 mm)."""
    travel = {"travel": {"ahead": f"{stop} mm"}}
    one = span(NORMALS, S1=FIXED, S2=travel)
    by_hand = 1.0 - NORMAL.cdf((stop - 12.48) / 2.4)
    found = held(chance(one, "eurocode", sampling=sampling), by_hand)
    within = 0.004 if sampling == "sobol" else 0.02
    what = f"movement beyond {stop:g} mm, 4096 samples, {sampling}"
    published(what, by_hand, found, abs=within)


def test_quantiles_of_a_normal_movement(published):
    one = span(NORMALS, S1=FIXED, S2={"travel": {"ahead": "16 mm"}})
    (result,) = chance(one, "eurocode").results
    by_hand = [12.48 + 2.4 * NORMAL.inv_cdf(level) for level in (0.05, 0.5, 0.95, 0.99)]
    found = [1e3 * value for value in result.quantiles]
    published("movement, quantiles 5, 50, 95 and 99 %", by_hand, found, "mm", abs=0.08)


def test_rank_correlations_of_a_normal_movement(published):
    """Spearman of joint normals is 6/pi asin(r/2), r = 3/5 and -4/5 (Pearson 1907, memory)."""
    one = span(NORMALS, S1=FIXED, S2={"travel": {"ahead": "16 mm"}})
    (result,) = chance(one, "eurocode").results
    by_hand = [6.0 / np.pi * np.arcsin(r / 2.0) for r in (-0.8, 0.6)]
    assert [name for name, _ in result.matters] == ["setting", "warmest"]
    found = [value for _, value in result.matters]
    what = "movement, rank correlation with setting and warmest temperature"
    published(what, by_hand, found, abs=0.01, known="from memory")


@pytest.mark.parametrize("limit", [400.0, 800.0])
def test_force_as_a_product_of_lognormals(published, limit):
    """F = k f alpha L T with f ~ LN(1, 0.3), T ~ LN(30 K, 0.2): ln F has sigma = sqrt(0.13)."""
    uncertainty = {
        "samples": 4096,
        "setting": {"shape": "fixed", "a": 0.0},
        "coldest": {"shape": "fixed", "a": 0.0},
        "warmest": {"shape": "lognormal", "a": 30.0, "b": 0.2},
        "stiffness": {"shape": "lognormal", "a": 1.0, "b": 0.3},
        "limits": [f"S2.Fx < {limit} kN"],
    }
    one = span(uncertainty, S1=FIXED, S2=FIXED, below={"S2": {"kx": "40 MN/m"}})
    middle = 40e3 * ALPHA * SPAN * 30.0  # kN
    by_hand = 1.0 - NORMAL.cdf(np.log(limit / middle) / np.sqrt(0.13))
    found = held(chance(one, "eurocode"), by_hand)
    published(f"spring force beyond {limit:g} kN, lognormal", by_hand, found, abs=0.006)


def test_friction_on_a_fixed_bearing(published):
    """Four spans of 30 m, 200 kN/m: f (0.05 - 0.03) (0.392857 + 1.142857) 6000 kN = 184.286 f.

    f uniform from 0.5 to 1.5: beyond 220 kN with probability 1.5 - 220/184.286.
    """
    uncertainty = {
        "samples": 4096,
        "friction": {"shape": "uniform", "a": 0.5, "b": 1.5},
        "limits": ["S3.Fx < 220 kN"],
    }
    one = span(uncertainty, (0.0, 30.0, 60.0, 90.0, 120.0), friction=True, S3=FIXED)
    by_hand = 1.5 - 220.0 / (0.02 * (0.392857 + 1.142857) * 6000.0)
    found = held(chance(one, "irc"), by_hand)
    published("friction on a fixed bearing, uniform", by_hand, found, abs=0.004)


def test_friction_and_a_spring(published):
    """Held at both ends: spring k alpha L T, T uniform 20 to 40 K, and friction f mu N between.

    Two spans of 20 m, N = 1.25 x 200 x 20 = 5000 kN: with mu = 0.05 and f triangular from 0 to 2,
    mode 1, the whole friction goes to the end on a rigid support (the other one is 10^4 times
    softer): F = 0.25 f MN + 4.8 kN/K T. Its distribution is worked out by adding up over T.
    """
    uncertainty = {
        "samples": 4096,
        "setting": {"shape": "fixed", "a": 0.0},
        "coldest": {"shape": "fixed", "a": 0.0},
        "warmest": {"shape": "uniform", "a": 20.0, "b": 40.0},
        "friction": {"shape": "triangular", "a": 0.0, "mode": 1.0, "b": 2.0},
        "limits": ["S1.Fx < 500 kN"],
    }
    one = span(
        uncertainty, (0.0, 20.0, 40.0), friction=True,
        below={"S3": {"kx": "10 MN/m"}},
        S1=FIXED, S2={"friction": 0.05}, S3=FIXED,
    )  # fmt: skip
    needed = (500.0 - 4.8 * np.linspace(20.0, 40.0, 20001)) / 250.0  # f for 500 kN
    beyond = np.where(needed < 1.0, 1.0 - needed**2 / 2.0, (2.0 - needed) ** 2 / 2.0)
    by_hand = float(beyond.mean())
    found = held(chance(one, "irc"), by_hand)
    published("friction and locked force together", by_hand, found, abs=0.006)


def test_play_takes_from_a_locked_force(published):
    """Ends held, each with a play of 1.5 mm: F = k (alpha L T - 3 mm), T uniform 20 to 40 K."""
    uncertainty = {
        "samples": 4096,
        "setting": {"shape": "fixed", "a": 0.0},
        "coldest": {"shape": "fixed", "a": 0.0},
        "warmest": {"shape": "uniform", "a": 20.0, "b": 40.0},
        "play": {"shape": "fixed", "a": 1.5},
        "limits": ["S2.Fx < 500 kN"],
    }
    one = span(uncertainty, S1=FIXED, S2=FIXED, below={"S2": {"kx": "40 MN/m"}})
    by_hand = (40.0 - (500.0 / 40e3 + 3e-3) / (ALPHA * SPAN)) / 20.0
    found = held(chance(one, "eurocode"), by_hand)
    published("locked force less the play of both ends", by_hand, found, abs=0.004)


def test_play_adds_to_a_movement(published):
    """The fixed bearing has a play of 2 mm and friction at the other end uses it up either way."""
    one = span(
        {**NORMALS, "play": {"shape": "fixed", "a": 2.0}}, friction=True,
        S1=FIXED, S2={"travel": {"ahead": "16 mm"}},
    )  # fmt: skip
    by_hand = 1.0 - NORMAL.cdf((16.0 - 12.48 - 2.0) / 2.4)
    found = held(chance(one, "eurocode"), by_hand)
    published("movement with the play of the fixed bearing", by_hand, found, abs=0.004)


@pytest.mark.parametrize("sampling", ["sobol", "plain"])
@pytest.mark.parametrize("limit", [0.0, 1.5, 2.2])
def test_the_interval_covers_as_often_as_it_says(sampling, limit):
    """200 seeds: at least 95 % less three standard errors hold the probability."""
    by_hand = 1.0 - NORMAL.cdf(limit)
    hits = 0
    for seed in range(200):
        three = norm.ppf(points(3, 256, seed, sampling)) @ np.array([0.48, 0.36, 0.8])
        low, high = interval(three > limit, 0.95)
        hits += low <= by_hand <= high
    assert hits / 200 >= 0.95 - 3.0 * np.sqrt(0.05 * 0.95 / 200)


def test_the_interval_of_a_bridge_covers_as_often_as_it_says():
    one = span({**NORMALS, "samples": 128}, S1=FIXED, S2={"travel": {"ahead": "16 mm"}})
    by_hand = 1.0 - NORMAL.cdf((16.0 - 12.48) / 2.4)
    hits = 0
    for seed in range(60):
        (result,) = chance(one, "eurocode", seed=seed).results
        hits += result.interval[0] <= by_hand <= result.interval[1]
    assert hits / 60 >= 0.95 - 3.0 * np.sqrt(0.05 * 0.95 / 60)
