"""Single rollers, hardened rollers and nests: refusals, sizes, checks, what goes back."""

import math
import tomllib
from dataclasses import replace
from importlib.resources import files

import numpy as np
import pint
import pytest
from roller_cases import FAMILIES, basis, changed, demand, fixed

from bedstone.bearings import hertz, nest, roller, roller_basis, rolling
from bedstone.bearings.base import Design, Refusal
from bedstone.bearings.roller import HARDENED, NEST, SINGLE
from bedstone.bearings.roller_details import guide_lines
from bedstone.bearings.roller_given import FIELDS, Sizes, given_rollers
from bedstone.bearings.roller_set import (
    contact_lines,
    forces,
    lift_off_line,
    seating_cases,
)
from bedstone.bearings.roller_setting import across_push, setting
from bedstone.bearings.roller_sizing import (
    candidate,
    complete,
    counted,
    least_mass,
    refined,
    sketches,
)
from bedstone.errors import InputError
from bedstone.standards.aashto import rollers as aashto
from bedstone.standards.eurocode import rollers as en
from bedstone.standards.values import Values

SMALL = {"eurocode": 1.2e6, "aashto": 0.8e6, "irc": 1.2e6}


def sized(kind, given, at):
    found = kind.size(given, at)
    assert isinstance(found, Design), found
    return found


def named(design, title, part=None):
    found = [line for line in design.lines if line.title == title and part in (None, line.part)]
    assert found, [line.title for line in design.lines]
    return found[0]


# ------------------------------------------------------------------ refusals
@pytest.mark.parametrize(
    ("given", "words"),
    [
        (fixed(), "holds nothing along"),
        (demand(function="guided across"), "holds nothing along"),
        (replace(demand(), uplift=50e3), "no pull"),
        (changed(demand(function="free"), vy=0.02), "20.0 mm across"),
        (demand(ry=0.06), "60.0 mrad"),
    ],
    ids=["fixed", "guided across", "uplift", "moves across", "turns too far"],
)
@pytest.mark.parametrize("kind", [SINGLE, NEST], ids=lambda kind: kind.name)
def test_refusals(kind, given, words):
    found = kind.size(given, basis())
    assert isinstance(found, Refusal)
    assert words in found.reason
    assert found.clause
    assert found.remedy


def test_free_seat_within_the_clearance_of_the_guides():
    given = changed(demand(function="free", Hy=0.0), vy=0.0008)
    assert isinstance(SINGLE.size(given, basis()), Design)
    wide = changed(given, vy=0.004)
    assert isinstance(SINGLE.size(wide, basis()), Refusal)
    assert isinstance(SINGLE.size(wide, basis(roller__clearance=0.005)), Design)


@pytest.mark.parametrize("family", ["aashto", "irc"])
def test_hardened_rollers_are_outside_two_families(family):
    found = HARDENED.size(demand(), basis(family))
    assert isinstance(found, Refusal)
    assert found.clause


@pytest.mark.parametrize("family", FAMILIES)
def test_nest_under_a_girder_that_turns_is_refused(family):
    # A girder's end turns some milliradians; a nest lifts a roller off at tenths of one.
    found = NEST.size(demand(SMALL[family], ry=0.004), basis(family))
    assert isinstance(found, Refusal)
    assert "lifts a roller off" in found.reason
    assert "rocker on nest" in found.remedy


def test_no_roller_is_strong_enough():
    found = SINGLE.size(demand(60e6), basis())
    assert isinstance(found, Refusal)
    assert "no roller of the series" in found.reason


def test_no_case_that_presses():
    with pytest.raises(InputError, match="cases"):
        SINGLE.size(changed(demand(), N=-1.0), basis())


# ------------------------------------------------------------------ sizes
@pytest.mark.parametrize("family", FAMILIES)
@pytest.mark.parametrize("kind", [SINGLE, NEST], ids=lambda kind: kind.name)
def test_a_passing_design(kind, family):
    turned = 0.003 if kind is SINGLE else 0.00005
    design = sized(kind, demand(SMALL[family], ry=turned), basis(family))
    assert design.passes
    uses = [line.utilisation for line in design.lines if line.utilisation is not None]
    assert uses == sorted(uses, reverse=True)
    assert design.mass == pytest.approx(sum(part.mass * part.number for part in design.parts))
    assert all(part.mass > 0 for part in design.parts)
    names = {part.name for part in design.parts}
    assert {"roller", "guide rib", "tooth bar", "stop bar", "base plate", "sole plate"} <= names
    assert ("link bar" in names) == (kind is NEST)
    for line in design.lines:
        assert line.part, line.title
        assert line.clause or line.standard, line.title
        if line.limit is not None:
            assert line.limit.unit == line.result.unit, line.title


@pytest.mark.parametrize("family", FAMILIES)
def test_governing_contact_by_hand(family):
    # N'max = N/L_net (1 + 6 e/L_net), force across a radius above the contact; EN: e >= L/10.
    design = sized(SINGLE, demand(SMALL[family]), basis(family))
    rollers = design.bearing.rollers
    factor = 1.35 if family == "eurocode" else 1.0
    net = rollers.length - rollers.guide.width - 2 * rollers.guide.clearance
    worst = 0.0
    for share, sense in ((1.0, 1.0), (0.6, 1.0), (0.4, 0.5)):
        N, H = SMALL[family] * factor * share, 50e3 * factor * sense
        e = H * rollers.diameter / 2 / N
        if family == "eurocode":
            e = max(e, rollers.length / 10)
        worst = max(worst, N / net * (1 + 6 * e / net))
    assert named(design, "Line contact", "roller").value == pytest.approx(worst, rel=1e-9)


def test_hertz_stands_beside_the_rule():
    design = sized(SINGLE, demand(), basis())
    rule, shown = named(design, "Line contact"), named(design, "Hertz pressure beside the rule")
    steels = design.bearing.rollers.steels
    expected = hertz.line_contact(rule.value, design.bearing.rollers.radius, steels.contact_modulus)
    assert shown.value == pytest.approx(expected.peak)
    assert shown.utilisation is None
    # A fully used roller of EN stands at about twice fu (own arithmetic from 23 R fu^2/E).
    assert shown.value / steels.fu == pytest.approx(2.006 * math.sqrt(rule.utilisation), rel=1e-3)


@pytest.mark.parametrize("kind", [SINGLE, NEST], ids=lambda kind: kind.name)
def test_no_lighter_set_was_skipped(kind):
    given, at = demand(0.9e6, ry=0.00005), basis()
    best = sized(kind, given, at)
    held = setting(kind.name, given, at)
    masses = []
    for sketch in sketches(held, counted(held) if kind is NEST else (1,), None):
        rollers = candidate(held, sketch, None)
        longer = refined(held, rollers, None) if rollers else None
        if longer is None:
            continue
        bearing = complete(held, longer)
        assert bearing is not None
        design = roller.designed(held, bearing)
        assert design.mass >= least_mass(held, longer)
        assert design.mass >= sketch.mass
        if design.passes:
            masses.append(design.mass)
    assert best.mass == pytest.approx(min(masses))


def test_height_of_two_rollers():
    # A typical two-roller set stands about 250 mm (common practice, no source).
    design = sized(NEST, demand(1.0e6, ry=0.00005), basis(roller__count=2))
    assert design.bearing.rollers.number == 2
    assert 0.20 < design.height < 0.32


def test_travel():
    design = sized(SINGLE, demand(vx=0.04), basis())
    stop = design.bearing.rollers.stop
    # 40 mm + 20 mm of EN 1337-1, 5.4, each way: half of it to the stop.
    assert stop.gap == pytest.approx(0.030)
    assert design.left == pytest.approx(2 * 0.030 - 0.04)
    assert named(design, "Travel to the stops").limit.value == pytest.approx(0.060)
    # At its stop the outer roller still stands on both plates, with its stop bar.
    side = math.sqrt(design.bearing.rollers.diameter * stop.height - stop.height**2)
    assert design.bearing.base.length / 2 >= stop.gap + side + stop.thickness
    assert design.bearing.top.length / 2 >= stop.gap


def test_more_movement_more_plate():
    short = sized(SINGLE, demand(vx=0.02), basis())
    long = sized(SINGLE, demand(vx=0.10), basis())
    assert long.mass > short.mass
    assert long.bearing.base.length > short.bearing.base.length


def test_eccentricity_below_a_single_roller():
    given, at = demand(vx=0.04), basis()
    design = sized(SINGLE, given, at)
    held, rollers = setting("single roller", given, at), design.bearing.rollers
    mu = held.mu(rollers.steels)
    found = forces(rollers, held.parts, at, held.chosen, mu, 0.05, None)
    # Half the movement and mu R, and mu N through plate and strip (own statics).
    t = 0.04
    (case, *_) = seating_cases(rollers, found, mu, "base", t)
    assert case.ex == pytest.approx(0.02 + mu * rollers.radius + mu * (t + rollers.strip))
    assert case.Hx == pytest.approx(mu * case.N)
    assert design.behaviour.eccentricity == 0.5
    assert design.horizontal == pytest.approx(mu * 1.35 * 1.2e6)


def test_nest_shares_by_statics_and_by_turning():
    given = demand(1.2e6, ry=0.00008, My=12e3)
    at = basis(roller__count=3)
    design = sized(NEST, given, at)
    rollers = design.bearing.rollers
    held = setting("roller nest", given, at)
    found = forces(rollers, held.parts, at, held.chosen, 0.02, 0.05, None)
    case = held.parts.cases[0]
    e = 12e3 / case.N + case.vx / 2
    assert found.along[0] >= e - 1e-12
    bed = rollers.bed(0.05)
    locked = nest.turned(case.N, np.array([8e-5]), rollers.x, rollers.carrying, bed)
    assert found.along[0] >= locked.moment[0] / case.N - 1e-12
    assert found.each[0].max() >= locked.loads.max() - 1e-6
    assert "sum N_i" in named(design, "Sharing in the nest").formula


def test_what_goes_back_into_the_model():
    given, at = demand(ry=0.00005), basis()
    one, two = sized(SINGLE, given, at).behaviour, sized(NEST, given, at).behaviour
    assert one.stiffness_x is None
    assert one.rotation_y is None  # a single roller turns freely
    assert two.rotation_y > 1e7  # a nest does not
    assert one.rotation_x > 1e7
    # Class C steel rolls with 0.02, and nothing may be counted as relief below four bearings.
    assert one.friction == (0.02, 0.0)
    assert one.play == pytest.approx(0.001)
    assert 1e9 < one.stiffness_z < 1e11


def test_turning_across_is_said_or_forced():
    given = changed(demand(), rx=0.0004)
    design = sized(SINGLE, given, basis())
    line = named(design, "Turning about the direction of movement")
    assert line.utilisation is None
    assert line.value > 0
    assert any("hold_rotation x" in note for note in design.notes)
    rollers = design.bearing.rollers
    at = setting("single roller", given, basis(roller__tilt="contact"))
    plain = setting("single roller", given, basis())
    forced = forces(rollers, at.contact, at.basis, at.chosen, 0.02, 0.05, None)
    free = forces(rollers, plain.contact, plain.basis, plain.chosen, 0.02, 0.05, None)
    assert (forced.peak > free.peak).all()


# ------------------------------------------------------------------ options and details
def test_flanges_instead_of_grooves():
    design = sized(SINGLE, demand(), basis(roller__guide="flanges"))
    assert {"collar"} <= {part.name for part in design.parts}
    assert design.bearing.rollers.guide.lost == 0.0
    named(design, "Root of the collar")


def test_segmental_nest_is_shorter():
    given = demand(1.2e6, ry=0.00005, vx=0.02)
    full = sized(NEST, given, basis(roller__count=3, roller__diameter=0.15))
    cut = sized(NEST, given, basis(roller__count=3, roller__diameter=0.15, roller__segment=0.6))
    rollers = cut.bearing.rollers
    assert rollers.width == pytest.approx(0.09)
    assert rollers.spacing < full.bearing.rollers.spacing
    assert cut.mass < full.mass
    assert named(cut, "Segment on its arc").utilisation <= 1
    assert named(cut, "Neighbouring segments").utilisation <= 1


def test_more_force_across_asks_for_a_stronger_rib():
    light = sized(SINGLE, demand(Hy=10e3), basis())
    heavy = sized(SINGLE, demand(Hy=150e3), basis())
    assert heavy.bearing.rollers.guide.width > light.bearing.rollers.guide.width
    line = named(heavy, "Root of the rib")
    assert line.utilisation <= 1
    inputs = {item.symbol: item.value for item in line.inputs}
    bent = 6 * inputs["H"] * inputs["h"] / (inputs["l"] * inputs["b"] ** 2)
    sheared = inputs["H"] / (inputs["l"] * inputs["b"])
    assert line.value == pytest.approx(math.sqrt(bent**2 + 3 * sheared**2))
    assert inputs["H"] == pytest.approx(1.35 * 150e3)


def test_stops_reached_with_a_speed():
    still = sized(SINGLE, demand(), basis())
    arriving = sized(
        SINGLE,
        demand(),
        basis(roller__stop_speed=0.05, roller__stop_stiffness=2e8, roller__stop_mass=1e5),
    )
    push = 0.02 * 1.35 * 1.2e6
    title = "Force at the stops, passed to the abutment"
    assert named(still, title).value == pytest.approx(2 * push)
    expected = rolling.stop_force(push, 1e5, 0.05, 2e8)
    assert named(arriving, title).value == pytest.approx(expected)


@pytest.mark.parametrize(
    ("options", "words"),
    [
        ({"roller__stop_speed": 0.1}, "stop_stiffness"),
        ({"roller__count": 5}, "roller.count"),
        ({"roller__guide": "glue"}, "grooves | flanges"),
        ({"roller__teeth": "yes"}, "true or false"),
        ({"roller__segment": 1.2}, "at most 1"),
        ({"steel__roller": "cheese"}, "steel"),
    ],
)
def test_bad_options(options, words):
    with pytest.raises(InputError) as caught:
        NEST.size(demand(ry=0.00005), basis(**options))
    assert words in str(caught.value)


def test_options_of_one_kind_go_before_the_general_ones():
    at = basis(roller__gap=0.05)
    at = replace(at, options={**at.options, "roller nest.gap": 0.08})
    rollers = sized(NEST, demand(ry=0.00005), at).bearing.rollers
    assert rollers.spacing - rollers.width >= 0.08 - 1e-9


def test_older_american_rule():
    given = demand(0.5e6)
    newer = sized(SINGLE, given, basis("aashto"))
    older = sized(SINGLE, given, basis("aashto", roller__rule="standard"))
    assert named(newer, "Line contact").clause == "14.7.1.4"
    assert named(older, "Line contact, Standard Specifications").standard.startswith("AASHTO Stand")
    assert named(older, "Least diameter").utilisation <= 1


def test_high_tensile_steel_of_the_irc():
    given = demand(1.0e6)
    mild = sized(SINGLE, given, basis("irc"))
    high = sized(SINGLE, given, basis("irc", roller__high_tensile=True))
    assert high.mass < mild.mass


# ------------------------------------------------------------------ assessment
def test_given_sizes_of_a_design_give_its_checks():
    design = sized(SINGLE, demand(), basis())
    rollers, base, top = design.bearing.rollers, design.bearing.base, design.bearing.top
    sizes = {
        "diameter": rollers.diameter,
        "length": rollers.length,
        "base_length": base.length,
        "base_width": base.width,
        "base_thickness": base.thickness,
        "top_length": top.length,
        "top_width": top.width,
        "top_thickness": top.thickness,
    }
    again = SINGLE.given(sizes, demand(), basis())
    assert [(line.title, line.utilisation) for line in again.lines] == [
        (line.title, line.utilisation) for line in design.lines
    ]
    weaker = SINGLE.given({**sizes, "diameter": 0.075}, demand(), basis())
    assert not weaker.passes
    thin = SINGLE.given({**sizes, "base_thickness": 0.012}, demand(), basis())
    assert named(thin, "Bending of the plate", "base plate").utilisation > 1


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"width": 0.2}, "segment width"),
        ({"groove_depth": 0.08}, "groove depth"),
        ({"spacing": 0.1}, "overlap"),
        ({"diameter": -0.1}, "diameter"),
        ({"length": "long"}, "length"),
        ({"rollers": 7}, "2, 3 or 4"),
        ({"groove_width": 0.001}, "rib"),
        ({"colour": 3}, "colour"),
        ({"rib_height": 0.4}, "rib height"),
    ],
    ids=lambda item: next(iter(item)) if isinstance(item, dict) else "",
)
def test_impossible_sizes(changes, words):
    sizes = {"diameter": 0.15, "length": 0.6, "spacing": 0.25, "rollers": 2}
    with pytest.raises(InputError) as caught:
        NEST.given({**sizes, **changes}, demand(ry=0.00005), basis())
    assert words in str(caught.value)
    assert all(fault.file == "bearing" for fault in caught.value.faults)


def test_missing_sizes():
    with pytest.raises(InputError, match="must be given"):
        SINGLE.given({"length": 0.5}, demand(), basis())


def test_force_outside_a_given_nest_is_a_failed_check():
    sizes = {"diameter": 0.1, "length": 0.5, "spacing": 0.15, "rollers": 2}
    found = NEST.given(sizes, demand(ry=0.0, vx=0.2), basis())
    assert named(found, "Force within the rollers").utilisation == math.inf
    assert not found.passes


# ------------------------------------------------------------------ dimensions and data
def test_scaled_bearing_has_scaled_results():
    # Lengths times 2 and forces times 4 leave stresses alone: every formula that forgot a unit
    # would show. Sizes are given, so that practical steps do not enter.
    def lines(scale):
        sizes = {
            "diameter": 0.15 * scale, "length": 0.6 * scale, "spacing": 0.25 * scale, "rollers": 2,
            "strip": 0.025 * scale, "rib_width": 0.03 * scale, "rib_height": 0.02 * scale,
            "groove_width": 0.032 * scale, "groove_depth": 0.025 * scale,
        }  # fmt: skip
        at = basis(steel__roller="class C")
        held = setting(
            "roller nest", demand(1e6 * scale**2, 0.02 * scale, 5e-5, 4e4 * scale**2), at
        )
        rollers = given_rollers(Sizes(sizes, FIELDS), held, 2)
        mu = held.mu(rollers.steels)
        found = forces(rollers, held.contact, at, held.chosen, mu, 0.05 * scale, None)
        guide = replace(rollers.guide, weld=0.006 * scale)
        return [
            *contact_lines(rollers, found, at, held.chosen),
            lift_off_line(rollers, held.contact, 0.05 * scale),
            *guide_lines(guide, rollers.diameter, across_push(held, 2), at, "class C"),
        ]

    power = {"N": 2, "N/m": 1, "Pa": 0, "m": 1, "rad": 0, "": 0, "N*m": 3, "m**2": 2}
    for one, two in zip(lines(1.0), lines(2.0), strict=True):
        expected = one.value * 2.0 ** power[one.result.unit]
        assert two.value == pytest.approx(expected, rel=1e-6), one.title
        if one.utilisation is not None:
            assert two.utilisation == pytest.approx(one.utilisation, rel=1e-6), one.title


def test_resistance_carries_its_unit():
    unit = pint.UnitRegistry()
    R, f, E = 0.1 * unit.m, 490e6 * unit.Pa, 210e9 * unit.Pa
    for found in (
        en.line_resistance(Values("eurocode"), R, f, E, rocker=False),
        aashto.line_resistance(Values("aashto"), 2 * R, f, E, math.inf * unit.m),
    ):
        assert found.check("[force]/[length]")


@pytest.mark.parametrize("family", FAMILIES)
def test_every_value_of_the_standards_is_read(family):
    folder = files(f"bedstone.standards.{family}")
    code = folder.joinpath("rollers.py").read_text(encoding="utf-8")
    data = tomllib.loads(folder.joinpath("data", "rollers.toml").read_text(encoding="utf-8"))
    heads = ("rollers.rocker.line", "rollers.line")
    for key in data["values"]:
        name = f"rollers.{key}"
        put_together = name.rpartition(".")[0] in heads
        assert f'"{name}"' in code or put_together, f"{name} is read by no rule"


def test_every_usual_figure_is_read():
    folder = files("bedstone.bearings")
    code = "".join(
        entry.read_text(encoding="utf-8")
        for entry in folder.iterdir()
        if entry.name.endswith(".py")
    )
    data = tomllib.loads(folder.joinpath("data", "rollers.toml").read_text(encoding="utf-8"))
    for name, row in data.items():
        assert row["source"]
        assert row["basis"] in ("memory", "secondary", "print")
        assert f'"{name}"' in code, name
        for which in row.keys() - {"value", "source", "basis", "note"}:
            assert f'usual("{name}", "{which}")' in code or (
                f'usual_length("{name}", "{which}")' in code
            ), (name, which)
    assert roller_basis.usual("poisson") == 0.3
