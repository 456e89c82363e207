"""What varies, what is counted, how sure the count is."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import scipy.stats
from hypothesis import given
from hypothesis import strategies as st

from bedstone.actions.effects import SUPPORT_EFFECTS
from bedstone.articulation.prepared import prepare
from bedstone.bridge import read_bridge
from bedstone.bridge.schema import Bounds, Rigid, Spread, Stops, Uncertainty
from bedstone.bridge.seats import arrangement_functions
from bedstone.comparison import uncertainty
from bedstone.comparison.screen import Screen
from bedstone.comparison.uncertainty import (
    FLOAT,
    SCRAMBLES,
    Asked,
    chance,
    interval,
    points,
    slip,
    spread_values,
)
from bedstone.errors import InputError, UnstableError

ROOT = Path(__file__).parents[2]
SETTING = Spread(shape="normal", a=12.0, b=4.0)


@pytest.fixture(scope="module")
def prepared():
    made = {}

    def get(name):
        if name not in made:
            made[name] = prepare(read_bridge(ROOT / f"examples/{name}.toml"))
        return made[name]

    return get


def asking(prepared, **more):
    """The same bridge with other questions."""
    bridge = prepared.bridge.model_copy(update={"uncertainty": Uncertainty(**more)})
    return replace(prepared, bridge=bridge)


def results(answer):
    return {item.asked.text: item for item in answer.results}


# ------------------------------------------------------------------ samples
def test_sobol_points_are_independent_sets_of_a_power_of_two():
    found = points(3, 1000, 7, "sobol")
    assert found.shape == (SCRAMBLES, 128, 3)
    assert found.min() > 0.0
    assert found.max() < 1.0
    # every set by itself fills each axis evenly, which independent points do not
    for one in found:
        assert sorted(np.floor(one[:, 0] * 128).astype(int)) == list(range(128))
    assert not np.allclose(found[0], found[1])


def test_plain_points_are_one_set_of_as_many_as_asked():
    assert points(2, 1000, 7, "plain").shape == (1, 1000, 2)


@pytest.mark.parametrize("sampling", ["sobol", "plain"])
def test_the_seed_decides(sampling):
    first = points(2, 64, 3, sampling)
    assert np.array_equal(first, points(2, 64, 3, sampling))
    assert not np.array_equal(first, points(2, 64, 4, sampling))


@pytest.mark.parametrize(
    ("spread", "at", "by_hand"),
    [
        (Spread(shape="normal", a=12.0, b=4.0), 0.97725, 20.0),
        (Spread(shape="lognormal", a=2.0, b=0.5), 0.84134, 2.0 * np.exp(0.5)),
        (Spread(shape="uniform", a=0.5, b=2.0), 0.2, 0.8),
        # rising edge: half of (x - a)^2 / ((b - a)(mode - a)) = 0.25
        (Spread(shape="triangular", a=0.0, b=2.0, mode=1.0), 0.125, 0.5),
        (Spread(shape="fixed", a=3.0), 0.9, 3.0),
    ],
)
def test_spreads(spread, at, by_hand):
    """Tables of the normal distribution; the others by hand."""
    assert spread_values(spread, np.array([at]))[0] == pytest.approx(by_hand, rel=1e-4)


def test_a_normal_spread_of_what_is_positive_is_cut_off_at_zero():
    spread = Spread(shape="normal", a=1.0, b=1.0)
    unit = (np.arange(4000) + 0.5) / 4000
    found = spread_values(spread, unit, positive=True)
    assert found.min() > 0.0
    # mean of a normal cut off one deviation below: 1 + phi(1) / Phi(1), by hand
    assert found.mean() == pytest.approx(1.0 + 0.241971 / 0.841345, abs=2e-3)
    assert spread_values(spread, unit).min() < 0.0


# ------------------------------------------------------------------ confidence
@pytest.mark.parametrize("count", [0, 1, 7, 100, 255, 256])
def test_interval_of_independent_samples_is_that_of_clopper_and_pearson(count):
    """Against scipy's own test of a proportion."""
    exceeded = np.arange(256)[None] < count
    proportion = scipy.stats.binomtest(count, 256).proportion_ci(0.9, "exact")
    assert interval(exceeded, 0.9) == pytest.approx((proportion.low, proportion.high), abs=1e-9)


def test_sets_that_differ_more_than_chance_widen_the_interval():
    alike = np.tile(np.arange(64) < 16, (8, 1))
    apart = np.repeat(np.arange(8) < 2, 64).reshape(8, 64)  # all or nothing: 8 samples, not 512
    assert alike.mean() == apart.mean()
    one = alike.reshape(1, -1)
    assert interval(alike, 0.95) == interval(one, 0.95)  # never narrowed
    # variance between the sets: 8/7 of that of 8 independent samples
    wide = interval(apart, 0.95)
    n = 7.0
    by_hand = scipy.stats.beta.ppf([0.025, 0.975], [0.25 * n, 0.25 * n + 1], [0.75 * n + 1, 5.25])
    assert wide == pytest.approx(tuple(by_hand), rel=1e-9)


# ------------------------------------------------------------------ play
def test_slip_of_one_direction():
    force = np.array([0.0, 1e5, -1e5, 1e7]).reshape(4, 1, 1, 1)
    found = slip(np.full((1, 1, 1), 1e9), force, np.full((4, 1), 1e-3)).ravel()
    by_hand = [0.0, 1e5 / (1e9 + FLOAT), -1e5 / (1e9 + FLOAT), 1e-3]
    assert found == pytest.approx(by_hand, rel=1e-12)


def test_what_nothing_holds_goes_to_the_end_of_its_play_when_pushed():
    """Two bearings that share a force, with the superstructure rigid between them."""
    stiff = 1e9 * np.array([[[1.0, -1.0], [-1.0, 1.0]]])
    force = np.array([[[[5e4, 5e4]]]])  # net 100 kN: both go until the tighter one holds
    found = slip(stiff, force, np.array([[1e-3, 3e-3]]))[0, 0, 0]
    left = force[0, 0, 0] - stiff[0] @ found
    assert found[0] == pytest.approx(1e-3)
    assert left[1] == pytest.approx(0.0, abs=5.0)  # the other is loose, but for its spring
    assert left[0] == pytest.approx(1e5, rel=1e-4)
    rest = slip(stiff, np.zeros((1, 1, 1, 2)), np.array([[1e-3, 3e-3]]))
    assert not rest.any()


@given(st.integers(0, 10_000), st.integers(1, 9))
def test_every_direction_holds_at_its_ends_or_carries_nothing(seed, many):
    rng = np.random.default_rng(seed)
    factor = rng.normal(size=(many, rng.integers(1, many + 1)))  # often singular
    stiff = 1e8 * 10.0 ** rng.uniform(-1, 1) * (factor @ factor.T)
    force = 1e5 * rng.normal(size=(3, 2, 1, many))
    play = rng.uniform(0.0, 2e-3, (3, many)) * (rng.random((3, many)) < 0.8)
    found = slip(stiff[None], force, play)
    left = force - found @ (stiff + FLOAT * np.eye(many))
    limit = play[:, None, None]
    size = 1e-6 * np.abs(force).max() + 1e-6 * stiff.max() * 2e-3
    assert np.all(np.abs(found) <= limit * (1.0 + 1e-6) + 1e-15)
    inside = np.abs(found) < limit * (1.0 - 1e-6)
    assert np.all(np.abs(left[inside]) <= size)
    assert np.all((left * np.sign(found))[~inside] >= -size)


# ------------------------------------------------------------------ the model
def everything(prepared, name):
    """Response and look of all effects."""
    screen = Screen(prepared, name)
    arranged = screen.arranged(prepared.bridge)
    order = screen.layout
    asked = [Asked("", *order.name(index), "<", 0.0) for index in range(order.size)]
    return uncertainty._Model(prepared, screen.context, arranged, asked, ()), screen


@pytest.mark.parametrize("name", ["girders", "truss"])
def test_the_model_is_that_of_the_quick_envelopes(prepared, name):
    """With the stiffness as given, and with half of it."""
    one = prepared(name)
    for factor in (1.0, 0.5):
        supports = [
            item.model_copy(update={"bounds": Bounds(lower=factor, upper=factor)})
            for item in one.bridge.support
        ]
        actions = one.bridge.actions.model_copy(update={"traffic": None})  # takes longest
        bridge = one.bridge.model_copy(update={"support": supports, "actions": actions})
        model, screen = everything(replace(one, bridge=bridge), "eurocode")
        look = screen.look()
        found = model.solve(np.full(len(supports), factor))
        size = np.abs(look.permanent).max()
        assert found.permanent == pytest.approx(look.permanent, rel=1e-6, abs=1e-9 * size)
        assert found.heat == pytest.approx(look.unit_heat, rel=1e-6, abs=1e-6)
        adverse = [found.friction.max(axis=0), found.friction.min(axis=0)]
        assert look.actions["friction"].any()
        for ours, theirs in zip(adverse, look.actions["friction"], strict=True):
            assert ours == pytest.approx(theirs, rel=1e-6, abs=1e-9 * size)


@pytest.mark.parametrize("family", ["eurocode", "aashto", "irc"])
def test_temperatures_that_are_not_spread_are_those_of_the_family(prepared, family):
    """Both ends stay where they are, whether the file gives a temperature of setting or not."""
    one = asking(prepared("girders"), friction=Spread(shape="uniform", a=0.5, b=1.0),
                 samples=16, limits=["A2-3.vx < 60 mm"])  # fmt: skip
    action = one.bridge.actions.temperature
    ends = []
    for told in (12.0, 15.0, None):
        changed = action.model_copy(update={"setting": told})
        actions = one.bridge.actions.model_copy(update={"temperature": changed})
        other = replace(one, bridge=one.bridge.model_copy(update={"actions": actions}))
        fixed = {item.name: item.spread for item in chance(other, family).varied}
        assert fixed["setting"].shape == "fixed"
        ends.append((fixed["coldest"].a, fixed["warmest"].a))
        if told is not None:
            assert fixed["setting"].a == told
        elif family == "eurocode":
            # EN 1991-1-5, A.1(3): 10 degC where nothing is known (from memory)
            assert fixed["setting"].a == pytest.approx(10.0)
        else:
            assert fixed["setting"].a == pytest.approx(sum(ends[-1]) / 2.0)
    assert ends[0] == pytest.approx(ends[1])
    assert ends[0] == pytest.approx(ends[2])
    assert ends[0][0] < 0.0 < 30.0 < ends[0][1]


def test_stops_are_counted_each_way_of_its_own(prepared):
    """A warm day of setting takes from the way back and gives to the way ahead."""
    one = asking(
        prepared("girders"), setting=SETTING, samples=256,
        coldest=Spread(shape="fixed", a=-12.0), warmest=Spread(shape="fixed", a=36.0),
    )  # fmt: skip
    seats = dict(one.bridge.arrangement.seats)
    seats["A1-3"] = seats["A1-3"].model_copy(update={"travel": None, "play": 0.0})
    stops = Stops(back="22 mm", ahead="18 mm")
    seats["A2-3"] = seats["A2-3"].model_copy(update={"travel": stops, "play": 0.0})
    arrangement = one.bridge.arrangement.model_copy(update={"seats": seats})
    actions = one.bridge.actions.model_copy(update={"friction": False})
    bridge = one.bridge.model_copy(update={"arrangement": arrangement, "actions": actions})
    found = results(chance(replace(one, bridge=bridge), "eurocode"))
    assert list(found) == ["A2-3 stop back, 22 mm", "A2-3 stop ahead, 18 mm"]
    back, ahead = found.values()
    assert back.matters == (("setting", pytest.approx(1.0)),)
    assert ahead.matters == (("setting", pytest.approx(-1.0)),)
    # together they go from the coldest to the warmest: 48 K on 76 m, 10e-6 or a little more
    assert back.quantiles[1] + ahead.quantiles[1] == pytest.approx(48 * 76 * 10.4e-6, rel=0.05)
    for item in found.values():
        assert 0 < item.count < 256
        assert item.probability == item.count / 256


def test_traffic_stands_with_the_forces_alone(prepared):
    # friction has no say in V here beyond a fraction, traffic has
    one = asking(prepared("truss"), setting=SETTING, samples=64,
                 limits=["A1.V < 1 kN", "A1-1.N > 1 kN", "A2-1.vx < 1 mm"])  # fmt: skip
    bare = results(chance(one, "eurocode", traffic=False))
    full_answer = chance(one, "eurocode")
    full = results(full_answer)
    assert full_answer.traffic
    look = Screen(one, "eurocode").look()
    groups = [value for name, value in look.actions.items() if name.startswith("traffic:")]
    for text, place, effect, side in (
        ("A1.V < 1 kN", "A1", "V", 0), ("A1-1.N > 1 kN", "A1-1", "N", 1),
    ):  # fmt: skip
        index = look.layout.index(place, effect)
        worst = (max if side == 0 else min)(group[side, index] for group in groups)
        assert worst != 0.0
        added = np.array(full[text].quantiles) - np.array(bare[text].quantiles)
        assert added == pytest.approx(worst)
    text = "A2-1.vx < 1 mm"
    assert full[text] == bare[text]
    moving = asking(prepared("truss"), setting=SETTING, samples=16, limits=[text])
    assert not chance(moving, "eurocode").traffic


def test_play_of_the_file_is_that_of_a_fixed_spread(prepared):
    """A guide moves by its play, and no further, when friction pushes against it."""
    limits = ["A1-3.vy < 1 mm", "A2-3.vx < 30 mm"]
    told = asking(prepared("girders"), setting=SETTING, samples=16, limits=limits)
    marks = ("A1-3", "P1-2", "P1-3", "P1-4", "P2-3", "A2-3")
    functions = arrangement_functions(told.bridge)

    def given(play):
        change = {"play": play, "travel": None}
        seats = {mark: functions[mark].model_copy(update=change) for mark in marks}
        arrangement = told.bridge.arrangement.model_copy(update={"seats": seats})
        return replace(told, bridge=told.bridge.model_copy(update={"arrangement": arrangement}))

    file = chance(given(0.0015), "eurocode")
    assert dict(file.play) == dict.fromkeys(marks, 0.0015)
    millimetres = Spread(shape="fixed", a=1.5)
    other = asking(given(0.0), setting=SETTING, samples=16, limits=limits, play=millimetres)
    spread = chance(other, "eurocode")
    assert not spread.play
    for first, second in zip(file.results, spread.results, strict=True):
        assert first.quantiles == pytest.approx(second.quantiles, rel=1e-9)
    tight = results(chance(given(0.0), "eurocode"))
    assert max(tight["A1-3.vy < 1 mm"].quantiles) == pytest.approx(0.0, abs=1e-12)
    loose = results(file)["A1-3.vy < 1 mm"]
    assert loose.count == 16
    assert loose.quantiles == pytest.approx([0.0015] * 4)


def test_least_compression_is_exceeded_below(prepared):
    one = asking(prepared("truss"), setting=SETTING, samples=16,
                 limits=["A1-1.N > 1 kN", "A1-1.N > 100 MN"])  # fmt: skip
    found = results(chance(one, "eurocode", traffic=False))
    assert found["A1-1.N > 1 kN"].count == 0
    assert found["A1-1.N > 100 MN"].count == found["A1-1.N > 100 MN"].probability * 16 == 16


def test_the_answer_records_what_repeats_it(prepared):
    one = asking(prepared("truss"), setting=SETTING, samples=100, seed=5,
                 limits=["A2-1.vx < 50 mm"])  # fmt: skip
    first = chance(one, "eurocode")
    assert (first.seed, first.wanted, first.samples, first.scrambles) == (5, 100, 128, 8)
    assert chance(one, "eurocode") == first
    again = asking(prepared("truss"), setting=SETTING, limits=["A2-1.vx < 50 mm"])
    assert chance(again, "eurocode", samples=100, seed=5) == first
    assert chance(again, "eurocode", samples=100, seed=6) != first
    plain = chance(one, "eurocode", sampling="plain")
    assert (plain.samples, plain.scrambles) == (100, 1)


def test_each_pier_and_each_guide_varies_on_its_own(prepared):
    one = asking(
        prepared("girders"), samples=16, limits=["P1.Fx < 1 MN"],
        stiffness=Spread(shape="lognormal", a=1.0, b=0.3),
        play=Spread(shape="uniform", a=0.5, b=2.0),
    )  # fmt: skip
    found = {item.name: item.columns for item in chance(one, "eurocode", traffic=False).varied}
    assert found["stiffness"] == ("stiffness P1", "stiffness P2")
    assert found["play"] == (
        "play A1-3", "play P1-2", "play P1-3", "play P1-4", "play P2-3", "play A2-3",
    )  # fmt: skip
    assert found["setting"] == ()


def test_a_block_is_as_good_as_another(prepared, monkeypatch):
    one = asking(
        prepared("girders"), samples=32, limits=["P1-2.Hx < 1 kN", "P1.Fy < 1 kN"],
        stiffness=Spread(shape="lognormal", a=1.0, b=0.3),
        play=Spread(shape="uniform", a=0.5, b=2.0), setting=SETTING,
    )  # fmt: skip
    whole = chance(one, "eurocode", traffic=False)
    monkeypatch.setattr(uncertainty, "BLOCK", 5)
    parts = chance(one, "eurocode", traffic=False)
    for first, second in zip(whole.results, parts.results, strict=True):
        assert first.quantiles == pytest.approx(second.quantiles, rel=1e-9)
    told = []
    chance(one, "eurocode", traffic=False, progress=lambda *step: told.append(step))
    assert [step[0] for step in told] == list(range(0, 32, 5))


# ------------------------------------------------------------------ bad input
def fault(prepared, **how):
    with pytest.raises(InputError) as caught:
        chance(prepared, "eurocode", **how)
    (one,) = caught.value.faults
    return one


def test_no_table(prepared):
    one = prepared("truss")
    bare = replace(one, bridge=one.bridge.model_copy(update={"uncertainty": None}))
    found = fault(bare)
    assert (found.where, found.found) == ("uncertainty", "nothing")
    assert "[uncertainty]" in found.allowed
    assert 'shape = "normal"' in found.allowed
    # what it shows is a table that can be asked
    limit = found.allowed.split('["')[1].split('"]')[0]
    assert chance(asking(one, setting=SETTING, limits=[limit], samples=16), "eurocode").results


def test_no_spread(prepared):
    fixed = Spread(shape="fixed", a=12.0)
    one = asking(prepared("truss"), setting=fixed, limits=["A2-1.vx < 50 mm"])
    assert fault(one).found == "no spread"


def test_nothing_to_count(prepared):
    found = fault(asking(prepared("truss"), setting=SETTING))
    assert found.where == "uncertainty.limits"
    assert "travel" in found.allowed


@pytest.mark.parametrize("effect", ["vz", "rx", "ry", "rz"])
def test_an_effect_that_is_not_followed(prepared, effect):
    unit = "mm" if effect == "vz" else "mrad"
    texts = ["A2-1.vx < 50 mm", f"A2-1.{effect} < 5 {unit}"]
    found = fault(asking(prepared("truss"), setting=SETTING, limits=texts))
    assert found.where == "uncertainty.limits[2]"
    for name in ("N", "Hx", "vx", *SUPPORT_EFFECTS):
        assert name in found.allowed


@pytest.mark.parametrize(
    ("how", "where"),
    [
        ({"samples": 8}, "--samples"),
        ({"samples": 2_000_000}, "--samples"),
        ({"seed": -1}, "--seed"),
    ],
)
def test_a_number_that_cannot_be(prepared, how, where):
    one = asking(prepared("truss"), setting=SETTING, limits=["A2-1.vx < 50 mm"])
    assert fault(one, **how).where == where


def test_an_arrangement_that_does_not_stand(prepared):
    one = asking(prepared("truss"), setting=SETTING, limits=["A2-1.vx < 50 mm"])
    free = dict.fromkeys(("A1", "A2"), "free")
    arrangement = one.bridge.arrangement.model_copy(update={"supports": free, "seats": {}})
    loose = replace(one, bridge=one.bridge.model_copy(update={"arrangement": arrangement}))
    with pytest.raises(UnstableError, match="slides freely"):
        chance(loose, "eurocode")


def test_spreads_that_change_nothing_are_told(prepared):
    one = asking(prepared("truss"), setting=SETTING, limits=["A2-1.vx < 50 mm"], samples=16,
                 friction=Spread(shape="uniform", a=0.5, b=1.0),
                 stiffness=Spread(shape="uniform", a=0.5, b=1.0))  # fmt: skip
    actions = one.bridge.actions.model_copy(update={"friction": False})
    rigid = [item.model_copy(update={"below": Rigid(kind="rigid")}) for item in one.bridge.support]
    assert chance(one, "eurocode").notes == ()
    bridge = one.bridge.model_copy(update={"actions": actions, "support": rigid})
    found = chance(replace(one, bridge=bridge), "eurocode")
    assert [note.partition(":")[0] for note in found.notes] == ["friction", "stiffness"]
    assert [column for item in found.varied for column in item.columns] == ["setting"]
