"""Probabilities as they leave the program: tables and JSON, from an answer made by hand."""

import json
import math
import re
from dataclasses import replace

import jsonschema
import pytest

from bedstone.bridge.schema import Spread
from bedstone.comparison.uncertainty import Asked, Chance, Exceedance, Varied
from bedstone.errors import CheckError
from bedstone.output.chance_data import chance_schema, chance_to_dict, chance_to_json
from bedstone.output.chance_tables import answer, chance_view, percent, probability, spread_words
from bedstone.output.tables import to_text

STOP = Asked("A2-1 stop ahead, 60 mm", "A2-1", "vx", "ahead", 0.060)
FORCE = Asked("A1.Hx < 800 kN", "A1", "Fx", "<", 800e3)
LEAST = Asked("A1-1.N > 50 kN", "A1-1", "N", ">", 50e3)


def exceedance(asked, count, interval, quantiles, matters=(("friction", 1.0),)):
    return Exceedance(asked, count, count / 1024, interval, quantiles, matters)


NEVER = exceedance(FORCE, 0, (0.0, 0.0035959), (310e3, 420e3, 520e3, 561e3))
SOME = exceedance(
    STOP, 46, (0.03310, 0.05949), (0.0312, 0.0441, 0.0595, 0.0661),
    (("setting", -0.71), ("warmest", 0.62), ("stiffness P1", 0.04)),
)  # fmt: skip
ALWAYS = exceedance(LEAST, 1024, (0.9964041, 1.0), (11e3, 12e3, 13e3, 14e3), (("setting", 0.02),))


@pytest.fixture
def chance():
    return Chance(
        bridge="Road bridge",
        reference="sheet 4",
        standard="eurocode",
        arrangement="as drawn",
        sampling="sobol",
        seed=17,
        wanted=1000,
        samples=1024,
        scrambles=8,
        confidence=0.95,
        varied=(
            Varied("setting", "degC", Spread(shape="normal", a=12.0, b=4.0)),
            Varied("coldest", "degC", Spread(shape="fixed", a=-12.0)),
            Varied("stiffness", "", Spread(shape="lognormal", a=1.0, b=0.3), ("P1", "P2")),
        ),
        play={"A1-3": 0.0015},
        traffic=True,
        results=(SOME, NEVER, ALWAYS),
        notes=("friction: \x1b[31mnothing moves",),
        residual=2e-16,
    )


# ------------------------------------------------------------------ words
@pytest.mark.parametrize(
    ("value", "text"),
    [
        (0.44, "44 %"),
        (0.046, "4.6 %"),
        (0.004883, "0.49 %"),
        (0.0000037, "0.00037 %"),
        (0.9964, "99.64 %"),
        (0.97, "97.0 %"),
        (0.0, "0 %"),
        (1.0, "100 %"),
    ],
)
def test_two_figures_of_a_probability_or_of_what_is_left(value, text):
    assert percent(value) == text


def test_no_sample_shows_that_a_limit_is_never_exceeded():
    assert probability(NEVER, 1024) == "below 0.36 %"
    assert probability(ALWAYS, 1024) == "above 99.64 %"
    assert probability(SOME, 1024) == "4.5 % (3.3 to 5.9)"


def test_answer_names_the_likeliest(chance):
    assert answer(replace(chance, results=(NEVER, SOME))) == (
        "Most likely exceeded: A2-1 stop ahead, 60 mm, 46 of 1,024, 4.5 % "
        "(3.3 % to 5.9 % with 95 % confidence)."
    )
    none = answer(replace(chance, results=(NEVER,)))
    assert none == "None is exceeded: 0 of 1,024, each below 0.36 % with 95 % confidence."
    assert "A1-1.N > 50 kN, 1,024 of 1,024, above 99.64 %" in answer(chance)


@pytest.mark.parametrize(
    ("spread", "text"),
    [
        (Spread(shape="normal", a=-12.0, b=3.0), "normal, mean −12, standard deviation 3"),
        (
            Spread(shape="lognormal", a=1.0, b=0.25),
            "lognormal, median 1, standard deviation of the logarithm 0.25",
        ),
        (Spread(shape="uniform", a=0.5, b=2.0), "uniform, 0.5 to 2"),
        (Spread(shape="triangular", a=0.2, b=1.0, mode=0.5), "triangular, 0.2 to 1, mode 0.5"),
        (Spread(shape="fixed", a=38.0), "fixed at 38"),
    ],
)
def test_spreads_in_words(spread, text):
    assert spread_words(Varied("coldest", "degC", spread)) == text


def test_a_spread_that_is_cut_off_says_so():
    normal = Spread(shape="normal", a=1.0, b=0.5)
    assert spread_words(Varied("friction", "", normal)).endswith("cut off at 0")


# ------------------------------------------------------------------ tables
@pytest.mark.parametrize("width", [100, 120, 200])
def test_the_tables_hold_every_number(chance, width):
    text = to_text(chance_view(chance), width)
    assert max(map(len, text.splitlines())) <= width
    assert "…" not in text
    assert "1,024 samples for 1,000 asked" in text
    whole = " ".join(text.split())
    assert "8 independent sets of 128 scrambled Sobol points; seed 17" in whole
    for number in ("31.2", "44.1", "59.5", "66.1", "310.0", "561.0", "below 0.36 %", "4.5 %"):
        assert number in text
    assert "setting −0.71" in text
    assert "stiffness P1 0.04" not in text
    assert "\x1b" not in text
    assert "as in the file: A1-3 1.5" in text
    assert "P1, P2" in text
    assert not re.search(r"(?<![\d.])0 %", text)


def test_long_marks_cut_no_number(chance):
    marked = replace(SOME, matters=(("play ABUTMENTWEST-10b", -0.71),))
    force = replace(NEVER, quantiles=(31_234e3, 42_345e3, 53_456e3, 64_567e3))
    text = to_text(chance_view(replace(chance, results=(marked, force))), 100)
    for number in ("31234", "42345", "53456", "64567", "31.2", "66.1", "(3.3 to 5.9)", "−0.71"):
        assert number in text


def test_what_was_left_out_is_told(chance):
    text = " ".join(to_text(chance_view(chance), 200).split())
    assert "envelope of traffic and braking" in text
    without = " ".join(to_text(chance_view(replace(chance, traffic=False)), 200).split())
    assert "no traffic and no braking" in without
    plain = replace(chance, sampling="plain", scrambles=1, wanted=1024)
    assert "1,024 samples, independent; seed 17" in to_text(chance_view(plain), 200)


# ------------------------------------------------------------------ JSON
def test_json_fits_its_schema(chance):
    schema = chance_schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    validator = jsonschema.Draft202012Validator(schema)
    data = json.loads(chance_to_json(chance))
    validator.validate(data)
    for broken in ({**data, "more": 1}, {**data, "seed": "17"}, {**data, "results": []}):
        assert not validator.is_valid(broken)
    for key in data:
        assert not validator.is_valid({k: v for k, v in data.items() if k != key})


def test_json_is_in_shown_units_and_whole(chance):
    data = chance_to_dict(chance)
    stop, force, least = data["results"]
    assert (stop["value"], stop["unit"], stop["sense"]) == (60.0, "mm", "ahead")
    assert (force["value"], force["unit"], force["effect"]) == (800.0, "kN", "Fx")
    assert force["quantiles"][3] == {"level": 0.99, "value": 561.0}
    assert force["interval"] == [0.0, 0.0035959]
    assert least["sense"] == ">"
    assert stop["rank_correlations"][2] == {"with": "stiffness P1", "value": 0.04}
    assert data["play_fixed_mm"] == {"A1-3": 1.5}
    assert data["spreads"][2] == {
        "name": "stiffness", "unit": "", "shape": "lognormal", "a": 1.0, "b": 0.3, "mode": None,
        "places": ["P1", "P2"],
    }  # fmt: skip
    assert (data["seed"], data["samples"], data["samples_wanted"]) == (17, 1024, 1000)
    assert chance_to_json(chance) == chance_to_json(replace(chance))


def test_a_number_that_is_not_finite_does_not_leave(chance):
    bad = replace(SOME, quantiles=(math.nan, 0.0, 0.0, 0.0))
    with pytest.raises(CheckError):
        chance_to_dict(replace(chance, results=(bad,)))
