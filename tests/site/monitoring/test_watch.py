"""Judgements of logs whose truth is known, one for each word, and what is never said."""

from dataclasses import replace

import numpy as np
import pytest

from bedstone.errors import InputError
from bedstone.site.monitoring import watch
from bedstone.site.monitoring.judge import WORDS, mobility
from bedstone.site.monitoring.normal import Interval
from bedstone.site.monitoring.siblings import apart
from bedstone.site.tolerances import read_tolerances, usual


@pytest.fixture
def judged(made):
    """What is said of one log: judged(seed, setting=..., cut=..., **truth)."""

    def make(seed=1, setting=None, cut=None, how=None, **truth):
        item = made.series("A2-1", made.log(seed, **truth))
        if cut is not None:
            item = cut(item)
        (found,) = watch([item], [setting or made.setting()], **(how or {}))
        return found

    return make


def said(found):
    return [(item.word, item.kind) for item in found.findings]


def test_free(judged):
    found = judged(half=0.5, lag=1.0)
    assert said(found) == [("free", "")]
    assert not found.action
    assert found.ratio.low < 1.0 < found.ratio.high


@pytest.mark.parametrize(
    ("ratio", "word"), [(0.65, "sluggish"), (0.3, "restricted"), (0.03, "frozen")]
)
def test_classes_of_mobility(judged, ratio, word):
    found = judged(ratio=ratio)
    assert said(found) == [(word, "")] if word != "sluggish" else [("sluggish", "slope")]
    assert found.action


def test_sticking_longer_than_a_day_swings_is_sluggish_although_the_slope_is_whole(judged):
    found = judged(half=6.0)
    assert found.ratio.value == pytest.approx(1.0, abs=0.02)
    assert said(found) == [("sluggish", "stick")]


def test_a_bearing_that_froze_is_judged_from_then_on(made, judged):
    def cut(item):
        late = item.time > made.START + 200 * 24 * made.HOUR
        rng = np.random.default_rng(0)
        held = item.movement[late][0] + 2e-4 * rng.normal(size=late.sum())
        moved = item.movement.copy()
        moved[late] = held
        return replace(item, movement=moved)

    found = judged(cut=cut)
    assert said(found) == [("frozen", "")]
    days = (found.since.time - made.START) / (24 * made.HOUR)
    assert days == pytest.approx(200, abs=1.0)
    assert found.since.before.value == pytest.approx(made.SLOPE, rel=0.05)


def test_ratcheting_tells_when_the_end_is_reached(made, judged):
    def cut(item):
        ways = np.diff(item.movement)
        kept = np.concatenate([[0.0], np.cumsum(np.where(ways > 0.0, ways, 0.994 * ways))])
        return replace(item, movement=item.movement[0] + kept)

    # without noise of the gauge: noise would ratchet as well
    found = judged(cut=cut, noise=0.0, setting=made.setting(ahead=0.07))
    assert found.judgement.word == "ratcheting"
    path = float(np.abs(np.diff(made.log(1, noise=0.0)[1])).sum())
    yearly = 0.006 * path / 2.0 * 8766.0 / 8760.0
    assert found.fit.drift.value == pytest.approx(yearly, rel=0.03)
    years = (found.forecast.likely - found.last) / made.HOUR / 8766.0
    assert years == pytest.approx(found.left.ahead / yearly, rel=0.03)
    assert found.forecast.side == "ahead"
    assert found.forecast.earliest <= found.forecast.likely <= found.forecast.latest


def test_a_drift_too_small_for_its_travel_is_no_matter(made, judged):
    # 10 years of 0.3 mm are less than a quarter of what is left
    assert said(judged(drift=3e-4)) == [("free", "")]


def test_a_drift_is_weighed_against_the_travel_on_its_own_side(made, judged):
    # 1.5 mm a year: 15 mm in ten years, of about 10 mm left ahead but 160 mm behind
    narrow = made.setting(back=-0.2, ahead=0.045)
    assert ("travel short", "") not in said(judged(setting=narrow))
    toward = judged(drift=1.5e-3, setting=narrow)
    assert toward.judgement.word in ("ratcheting", "substructure moved")
    assert said(judged(drift=-1.5e-3, setting=narrow)) == [("free", "")]


def test_wrong_preset_counts_what_is_still_to_come(made, judged):
    budget = made.setting().budget[0].total
    assert said(judged(offset=budget + 2e-3)) == [("wrong preset", ""), ("free", "")]
    assert said(judged(offset=budget - 1e-3)) == [("free", "")]
    # 20 mm are still to come: until then it may stand as far behind
    later = made.setting(rest=0.02)
    assert said(judged(offset=-0.02, setting=later)) == [("free", "")]
    assert said(judged(offset=-0.02 - budget - 2e-3, setting=later))[0] == ("wrong preset", "")
    # a log with a zero of its own says nothing of it
    found = judged(offset=0.05, how={"relative": True})
    assert said(found) == [("free", "")]
    assert found.left is None
    assert found.off is None


def test_a_pad_stands_without_shear_at_the_temperature_of_setting(made, judged):
    pad = made.setting(form="shears")
    at_setting = made.SLOPE * (made.DATUM - 12.0)  # set at 12 degC; the log is 0 at 14.5
    assert said(judged(setting=pad, offset=at_setting)) == [("free", "")]
    assert judged(setting=pad, offset=at_setting).off.value == pytest.approx(0.0, abs=2e-5)


@pytest.mark.parametrize(
    ("high", "low", "kind"), [(24.0, -np.inf, "warmer"), (99.0, 5.0, "colder")]
)
def test_stop_reached_leaves_no_travel_on_that_side(judged, high, low, kind):
    found = judged(high=high, low=low)
    assert said(found)[0] == ("stop reached", kind)
    assert found.ratio.value == pytest.approx(1.0, abs=0.02)
    assert (found.left.ahead if kind == "warmer" else found.left.back) <= 0.0


def test_travel_that_lacks_is_told(made, judged):
    # 0.768 mm/K from 14.5 to 53 degC: 29.6 mm ahead; 0.4 mm of scatter; 10 mm for other actions
    found = judged(setting=made.setting(ahead=0.035, others=0.01))
    assert found.left.ahead == pytest.approx(0.035 - 0.0296 - 0.0004 - 0.01, abs=2e-4)
    assert said(found) == [("travel short", ""), ("free", "")]


def test_faults_of_sensors(made, judged):
    assert judged(ratio=-1.0).judgement.kind == "sign reversed"
    assert judged(ratio=1.5).judgement.kind == "wrong length"

    def stuck(item):
        moved = item.movement.copy()
        moved[3000:4500] = moved[3000]
        return replace(item, movement=moved)

    found = judged(cut=stuck)
    assert said(found) == [("sensor at fault", "stuck"), ("free", "")]
    assert found.stuck[0].first == made.START + 3000 * made.HOUR
    assert found.stuck[0].last == made.START + 4499 * made.HOUR

    def late(item):
        shifted = np.interp(np.arange(8760.0) - 2.0, np.arange(8760.0), item.movement)
        return replace(item, movement=np.where(np.arange(8760) < 5000, item.movement, shifted))

    found = judged(cut=late, lag=1.0)
    assert said(found) == [("sensor at fault", "clock shifted")]
    assert found.clock.after.value - found.clock.before.value == pytest.approx(2.0, abs=0.1)


def test_a_bearing_that_sticks_again_and_again_is_no_gauge_that_does(judged):
    # a gauge without noise that reads to half a millimetre
    coarse = judged(
        half=7.0,
        noise=0.0,
        cut=lambda item: replace(item, movement=np.round(item.movement / 5e-4) * 5e-4),
    )
    assert said(coarse) == [("sluggish", "stick")]


@pytest.mark.parametrize("truth", [{"half": 1.0, "lag": 1.0}, {"ratio": 0.3}])
def test_a_mirrored_bridge_is_judged_alike(made, judged, truth):
    # the other side of the fixed point: slope and movement change their sign, nothing else does
    one = judged(**truth)
    two = judged(
        setting=made.setting(slope=-made.SLOPE),
        cut=lambda item: replace(item, movement=-item.movement),
        **truth,
    )
    assert said(one) == said(two)
    assert two.ratio.value == pytest.approx(one.ratio.value, rel=1e-9)
    assert two.left.back == pytest.approx(one.left.ahead, abs=1e-9)


def test_another_year_and_another_zero_change_no_slope(made, judged):
    one = judged(half=1.0)
    two = judged(
        half=1.0,
        cut=lambda item: replace(
            item, time=item.time + 9_000 * 24 * made.HOUR, movement=item.movement + 0.5
        ),
    )
    assert two.ratio.value == pytest.approx(one.ratio.value, rel=1e-6)
    assert two.fit.stick.value == pytest.approx(one.fit.stick.value, abs=1e-3)
    assert two.off.value == pytest.approx(0.5, abs=1e-3)


def test_twice_the_length_moves_twice_as_far(made, judged):
    one = judged(half=1.0)
    two = judged(
        half=1.0,
        setting=made.setting(slope=2.0 * made.SLOPE, back=-0.2, ahead=0.2),
        cut=lambda item: replace(item, movement=2.0 * item.movement),
    )
    assert two.ratio.value == pytest.approx(one.ratio.value, rel=1e-9)
    assert two.fit.stick.value == pytest.approx(one.fit.stick.value, abs=1e-6)


def test_a_sensor_that_never_moves_is_not_called_a_frozen_bearing(judged):
    found = judged(cut=lambda item: replace(item, movement=np.zeros_like(item.movement)))
    assert said(found) == [("sensor at fault", "stuck")]
    assert found.fit is None


def test_clamps_are_looked_for_first_on_a_new_bearing(made, judged):
    still = {"ratio": 0.0}
    assert judged(**still).judgement.word == "frozen"
    month = made.START - 30 * 24 * made.HOUR
    assert judged(how={"opened": month}, **still).judgement.word == "clamp left"
    long = made.START - 3000 * 24 * made.HOUR
    assert judged(how={"opened": long}, **still).judgement.word == "frozen"
    seen = {"opened": long, "clamped": frozenset({"A2-1"})}
    assert judged(how=seen, **still).judgement.word == "clamp left"
    assert judged(how=seen).judgement.word == "free"


def test_not_enough_range_is_never_a_judgement(made, judged):
    found = judged(cut=lambda item: replace(item, temperature=14.0 + 0.2 * item.temperature))
    assert said(found) == [("not enough yet", "span")]
    assert found.fit is None
    assert not found.action


def test_one_rise_of_temperature_is_not_enough(made):
    # way of temperature and time are the same: a drift would be as good a reason
    hours = np.arange(0.0, 30.0, 0.1)
    warm = 5.0 + 0.6 * hours
    moved = 2e-5 * np.random.default_rng(1).normal(size=len(hours))
    (found,) = watch([made.series("A2-1", (hours, moved, warm))], [made.setting()])
    assert said(found) == [("not enough yet", "days")]


def test_never_frozen_while_the_standard_error_is_large():
    limits = usual("monitoring")
    for value in (0.0, 0.05, 0.3, 1.0):
        item = mobility(Interval(value, value - 0.7, value + 0.7), 0.35, limits)
        assert item.word == "not enough yet"
    # sure enough, but it may as well be sluggish: not frozen
    assert mobility(Interval(0.05, -0.45, 0.55), 0.25, limits).word == "restricted"
    assert mobility(Interval(0.05, -0.2, 0.3), 0.13, limits).word == "frozen"
    assert mobility(Interval(0.85, 0.75, 0.95), 0.05, limits).word == "sluggish"
    # it may as well move whole: nothing is said
    assert mobility(Interval(0.95, 0.7, 1.2), 0.13, limits).word == "not enough yet"
    assert mobility(Interval(0.68, 0.27, 1.09), 0.21, limits).word == "not enough yet"
    assert mobility(Interval(0.68, 0.40, 0.96), 0.14, limits).word == "sluggish"


def test_two_visits_are_judged_where_they_are_far_enough_apart(made):
    # budget of a reading: thermometer 1.5 and survey 3 mm, 3.35 together; over 25 K of 0.768 mm
    # root 2 3.35 / 19.2 = 0.25 of standard error: enough; over 15 K 0.41: not
    def visit(kelvin, ratio):
        warm = np.array([5.0, 5.0 + kelvin])
        return made.series(
            "A2-1", (np.array([0.0, 4000.0]), ratio * made.SLOPE * (warm - 14.5), warm)
        )

    (found,) = watch([visit(25.0, 1.0)], [made.setting()])
    assert found.error == pytest.approx(0.25, abs=0.01)
    assert said(found) == [("not enough yet", "between")]
    (free,) = watch([visit(70.0, 1.0)], [made.setting()])
    assert said(free) == [("free", "")]
    (frozen,) = watch([visit(40.0, 0.0)], [made.setting()])
    assert frozen.judgement.word == "frozen"
    (near,) = watch([visit(15.0, 0.0)], [made.setting()])
    assert said(near) == [("not enough yet", "uncertain")]


def test_a_bearing_that_holds(made):
    hours, _, warm = made.log(1)
    rng = np.random.default_rng(0)
    still = (hours, 1e-4 * rng.normal(size=len(hours)), warm)
    held = made.setting(held=True, play=1e-3)
    (found,) = watch([made.series("A2-1", still)], [held])
    assert said(found) == [("holds", "")]
    assert found.ratio is None
    (loose,) = watch([made.series("A2-1", made.log(1, ratio=0.5))], [held])
    assert said(loose) == [("moves though held", "")]
    assert loose.action
    # play of 1 mm each way and the survey of 3 mm: 5 mm are allowed, in one step as well
    hours, noise, warm = still
    for size, word in ((4.5e-3, "holds"), (5.5e-3, "moves though held")):
        jumped = (hours, noise + size * (hours > 4000.0), warm)
        (found,) = watch([made.series("A2-1", jumped)], [held])
        assert found.judgement.word == word
        assert found.judgement.numbers["allowed"] == pytest.approx(5e-3)


# ------------------------------------------------------------------ several seats
def line(made, truths, supports=None):
    """Judgements of several seats with the same steel."""
    _, _, warm = made.log(1)
    items, settings = [], []
    for number, truth in enumerate(truths, 1):
        mark = f"A2-{number}" if supports is None else supports[number - 1]
        hours, moved, _ = made.log(1, **truth)
        rng = np.random.default_rng(100 + number)
        moved = moved + 1e-4 * rng.normal(size=len(moved))
        items.append(made.series(mark, (hours, moved, warm)))
        settings.append(made.setting(mark))
    return watch(items, settings)


def test_a_step_of_a_whole_line_is_its_support(made):
    step = {"steps": ((150.0, -8e-3),)}
    both = line(made, [step, step])
    assert [said(item)[0] for item in both] == [("substructure moved", "step")] * 2
    assert both[0].findings[0].shared == ("A2-2",)
    alone = line(made, [step, {}])
    assert alone[0].findings[0].shared == ()
    # the same size ten days later is another one
    later = line(made, [step, {"steps": ((160.0, -8e-3),)}])
    assert later[0].findings[0].shared == ()
    assert said(alone[1]) == [("free", "")]


def test_a_step_of_all_supports_is_the_one_that_holds(made):
    step = {"steps": ((150.0, -8e-3),)}
    found = line(made, [step, step], ["P1-1", "A2-1"])
    assert found[0].findings[0].shared == ("A2-1",)


def test_a_drift_of_a_whole_line_is_its_support(made):
    drift = {"drift": -12e-3}
    both = line(made, [drift, drift])
    assert {item.judgement.word for item in both} == {"substructure moved"}
    assert both[0].judgement.shared == ("A2-2",)
    # one of two is not the line: what creeps alone, with the cycles, is not put down to its support
    hours, moved, warm = made.log(1)
    crept = 12e-3 * np.cumsum(np.abs(np.diff(warm, prepend=warm[0])))
    alone, other = watch(
        [
            made.series("A2-1", (hours, moved + crept / np.abs(np.diff(warm)).sum(), warm)),
            made.series("A2-2", (hours, moved, warm)),
        ],
        [made.setting("A2-1"), made.setting("A2-2")],
    )
    assert alone.judgement.word == "ratcheting"
    assert alone.judgement.shared == ()
    assert said(other) == [("free", "")]


def test_who_stands_apart_by_hand():
    """Others 0, 1, 2, 10, 100: middle 2, deviations 2, 1, 0, 8, 98, their middle 2."""
    offsets = dict(zip("abcde", (0.0, 1.0, 2.0, 10.0, 100.0), strict=True))
    ratios = dict(zip("abcdef", (0.9, 1.0, 1.1, 0.2, 1.0, 0.5), strict=True))
    found = apart({**offsets, "f": 6.5}, ratios, "f", 2.5, 0.5)
    assert (found.by, found.allowed, found.out) == (4.5, 5.0, False)
    assert found.mobility == pytest.approx(-0.5)  # middle of the others 1.0
    assert apart({**offsets, "f": 7.5}, ratios, "f", 2.5, 0.5).out
    # no less than the survey
    assert apart({**offsets, "f": 7.5}, ratios, "f", 2.5, 3.0).allowed == 7.5
    assert apart({"f": 1.0}, ratios, "f", 2.5, 0.5) is None


def test_one_of_a_line_stands_apart(made):
    found = line(made, [{}, {}, {}, {"offset": 9e-3}])
    out = [item.seat.seat for item in found if ("out of line", "") in said(item)]
    assert out == ["A2-4"]
    # rule: more than 2.5 times the median deviation of the others, no less than of the survey
    assert found[3].siblings.by == pytest.approx(9e-3, abs=1e-4)
    assert found[3].siblings.allowed == pytest.approx(2.5 * 3e-3)
    assert line(made, [{}, {}, {}, {"offset": 7e-3}])[3].siblings.out is False


def test_of_two_the_one_further_off_is_looked_at(made):
    one, two = line(made, [{}, {"offset": 9e-3}])
    assert ("out of line", "") not in said(one)
    assert ("out of line", "") in said(two)


# ------------------------------------------------------------------ thresholds and bad input
def test_thresholds_can_be_replaced(made, judged, tmp_path):
    own = tmp_path / "own.toml"
    own.write_text('[values.free]\nvalue = 0.6\nsource = "owner\'s manual, 2026"\n')
    limits = read_tolerances(own, "monitoring")
    assert judged(ratio=0.65).judgement.word == "sluggish"
    assert judged(ratio=0.65, how={"limits": limits}).judgement.word == "free"


def test_wear_is_told_only_where_a_rate_is_known(made, judged, tmp_path):
    slides = made.setting(form="slides")
    assert judged(setting=slides).wear is None
    own = tmp_path / "own.toml"
    own.write_text('[values.wear_rate]\nvalue = 1e-6\nsource = "maker\'s tests"\n')
    found = judged(setting=slides, how={"limits": read_tolerances(own, "monitoring")})
    assert found.wear == pytest.approx(1e-6 * found.fit.path)
    assert found.tested == pytest.approx(found.fit.path / 10242.0)
    assert judged().tested is None  # rollers do not slide


def test_every_threshold_says_where_it_comes_from():
    for value in usual("monitoring").values.values():
        assert value.source
        assert value.clause


@pytest.mark.parametrize("what", ["seat", "twice", "empty", "order"])
def test_bad_series_are_refused(made, what):
    good = made.series("A2-1", made.log(1, days=5.0))
    items = {
        "seat": [replace(good, seat="X9")],
        "twice": [good, good],
        "empty": [made.series("A2-1", tuple(part[:0] for part in made.log(1, days=5.0)))],
        "order": [replace(good, time=good.time[::-1].copy())],
    }[what]
    with pytest.raises(InputError):
        watch(items, [made.setting()])


def test_the_same_logs_give_the_same_judgement(judged):
    one, two = judged(half=1.0), judged(half=1.0)
    assert one.fit.slope == two.fit.slope
    assert one.findings == two.findings


def test_a_judgement_is_one_of_the_words(judged):
    assert judged().judgement.word in WORDS


def test_a_thermometer_that_stuck_is_left_out(made, judged):
    def cut(item):
        warm = item.temperature.copy()
        warm[3000:4500] = warm[3000]
        return replace(item, temperature=warm)

    found = judged(cut=cut)
    assert said(found) == [("sensor at fault", "thermometer stuck"), ("free", "")]
    assert found.fit.count == len(made.log(1)[0]) - 1500
    told = found.findings[0].numbers
    assert told["first"] == made.START + 3000 * made.HOUR
    assert told["last"] == made.START + 4499 * made.HOUR
    assert found.ratio.value == pytest.approx(1.0, abs=0.02)

    def calm(item):  # three still days, the bearing still as well but for noise: no fault
        warm, moved = item.temperature.copy(), item.movement.copy()
        rng = np.random.default_rng(0)
        warm[3000:3072] = warm[3000]
        moved[3000:3072] = moved[3000] + 2e-4 * rng.normal(size=72)
        return replace(item, temperature=warm, movement=moved)

    assert said(judged(cut=calm)) == [("free", "")]
    # of a bearing that hardly moves, the noise of the gauge is larger than what 10 K ask of it
    assert np.ptp(2e-4 * np.random.default_rng(0).normal(size=72)) > 10.0 * 0.02e-3
    small = made.setting(slope=0.02e-3)
    assert said(judged(cut=calm, setting=small, slope=0.02e-3)) == [("free", "")]


def test_one_value_of_a_bearing_that_holds_is_no_fault(made):
    hours, moved, warm = made.log(1)
    (found,) = watch([made.series("A2-1", (hours, 0.0 * moved, warm))], [made.setting(held=True)])
    assert said(found) == [("holds", "")]


def test_a_gauge_coarser_than_the_movement_says_nothing(made, judged):
    # 0.02 mm/K: 10 K move it by 0.2 mm, a gauge of whole millimetres cannot see it
    def coarse(step):
        def cut(item):
            return replace(item, movement=np.rint(item.movement / step) * step)

        return cut

    small = made.setting(slope=0.02e-3)
    how = {"setting": small, "slope": 0.02e-3, "noise": 0.0, "offset": 0.4e-3}
    found = judged(cut=coarse(1e-3), **how)
    assert said(found) == [("sensor at fault", "coarse")]
    assert found.findings[0].numbers["step"] == pytest.approx(1e-3)
    assert found.ratio is None
    assert said(judged(cut=coarse(0.05e-3), **how)) == [("free", "")]
