"""Each formula keeps its dimensions: in other units of length and force it says the same.

Every number of the data files that has a unit is given in the new units too, pad and loads
likewise; then each input, result and limit must change as pint says its unit does. Rules that put a
number without its unit into the formula (MPa in friction and in the layers' rotation of 1987)
are left out by name.
"""

from dataclasses import fields, replace

import pint
import pytest

from bedstone.standards.aashto import elastomeric as aashto
from bedstone.standards.elastomeric_pad import Loading, Pad
from bedstone.standards.eurocode import elastomeric as en
from bedstone.standards.irc import elastomeric_1987 as old
from bedstone.standards.values import Value, Values, load_pack

LENGTH, FORCE = 3.0, 7.0
UNITS = pint.UnitRegistry()


def factor(unit):
    """What a number of this unit becomes when lengths count LENGTH times, forces FORCE times."""
    dimensions = UNITS.parse_units(unit or "dimensionless").dimensionality
    force = dimensions.get("[mass]", 0)
    return FORCE**force * LENGTH ** (dimensions.get("[length]", 0) - force)


def scaled(values):
    def change(value: Value) -> Value:
        def times(number):
            if isinstance(number, tuple):
                return tuple(times(one) for one in number)
            return number * factor(value.unit)

        return replace(value, value=times(value.value))

    return Values(values, {name: change(value) for name, value in load_pack(values).items()})


PADS = {
    "rectangular": Pad(0.30, 0.45, 5, 0.010, 0.003, 0.005, 0.006),
    "round": Pad(0.40, 0.40, 5, 0.010, 0.003, 0.005, 0.006, round=True),
}
LOAD = Loading(900e3, 0.012, 0.007, 0.004, 0.002)
LIVE = Loading(300e3, 0.004, 0.001, 0.001, 0.001)


def bigger(pad):
    sides = ("length", "width", "layer", "plate", "cover", "side_cover")
    return replace(pad, **{name: LENGTH * getattr(pad, name) for name in sides})


def heavier(load):
    return replace(load, N=load.N * FORCE, vx=load.vx * LENGTH, vy=load.vy * LENGTH)


# name: family, rule of (values, pad, load, live, G, force unit, pressure unit)
RULES = {
    "en scope": ("eurocode", lambda v, p, a, b, G, F, S: en.scope(v, p)),
    "en side cover": ("eurocode", lambda v, p, a, b, G, F, S: en.side_cover(v, p)),
    "en compression": ("eurocode", lambda v, p, a, b, G, F, S: en.compression_strain(v, p, a, G)),
    "en shear": ("eurocode", lambda v, p, a, b, G, F, S: en.shear_strain(v, p, a)),
    "en rotation": ("eurocode", lambda v, p, a, b, G, F, S: en.rotation_strain(v, p, a)),
    "en total": ("eurocode", lambda v, p, a, b, G, F, S: en.total_strain(v, p, a, G)),
    "en plates": ("eurocode", lambda v, p, a, b, G, F, S: en.plate_thickness(v, p, a, 5 * S)),
    "en deflection": ("eurocode", lambda v, p, a, b, G, F, S: en.deflection(v, p, a, G)),
    "en rotation limit": ("eurocode", lambda v, p, a, b, G, F, S: en.rotation_limit(v, p, a, G)),
    "en stability": ("eurocode", lambda v, p, a, b, G, F, S: en.buckling(v, p, a, G)),
    "en permanent": ("eurocode", lambda v, p, a, b, G, F, S: en.permanent_pressure(v, p, a)),
    "en moment": ("eurocode", lambda v, p, a, b, G, F, S: en.moment(v, p, 0.01, G, "x")),
    "irc total": ("irc", lambda v, p, a, b, G, F, S: en.total_strain(v, p, a, G)),
    "1987 sides": ("irc", lambda v, p, a, b, G, F, S: old.side_ratio(v, p)),
    "1987 thickness": ("irc", lambda v, p, a, b, G, F, S: old.thickness_range(v, p)),
    "1987 layers": ("irc", lambda v, p, a, b, G, F, S: old.layers(v, p)),
    "1987 shape": ("irc", lambda v, p, a, b, G, F, S: old.shape_factor(v, p)),
    "1987 pressure": ("irc", lambda v, p, a, b, G, F, S: old.pressure(v, p, a)),
    "1987 strain": ("irc", lambda v, p, a, b, G, F, S: old.shear_strain(v, p, a, F, F / 2)),
    "aashto range": ("aashto", lambda v, p, a, b, G, F, S: aashto.modulus_range(v, G, G)),
    "aashto scope": ("aashto", lambda v, p, a, b, G, F, S: aashto.applicability(v, p)),
    "aashto stress": ("aashto", lambda v, p, a, b, G, F, S: aashto.stress_a(v, p, a, G, "2009")),
    "aashto layer": (
        "aashto",
        lambda v, p, a, b, G, F, S: aashto.layer_compression(v, p, a, G, "2009"),
    ),
    "aashto deflection": ("aashto", lambda v, p, a, b, G, F, S: aashto.deflection(v, p, F, G)),
    "aashto live": ("aashto", lambda v, p, a, b, G, F, S: aashto.live_deflection(v, p, F, G)),
    "aashto shear": ("aashto", lambda v, p, a, b, G, F, S: aashto.shear(v, p, a)),
    "aashto rotation": ("aashto", lambda v, p, a, b, G, F, S: aashto.rotation_a_1998(v, p, a, G)),
    "aashto height": ("aashto", lambda v, p, a, b, G, F, S: aashto.height(v, p)),
    "aashto plates": (
        "aashto",
        lambda v, p, a, b, G, F, S: aashto.plates(v, p, 9 * F, 4 * F, 9 * S, holes=True),
    ),
    "aashto combined": (
        "aashto",
        lambda v, p, a, b, G, F, S: aashto.combined_strain(v, p, a, b, G),
    ),
    "aashto axial": (
        "aashto",
        lambda v, p, a, b, G, F, S: aashto.static_axial_strain(v, p, F, G),
    ),
    "aashto hydrostatic": (
        "aashto",
        lambda v, p, a, b, G, F, S: aashto.hydrostatic(v, p, replace(a, tilt_x=0.03), G),
    ),
    "aashto stability": (
        "aashto",
        lambda v, p, a, b, G, F, S: aashto.stability(v, p, a, G, fixed=False),
    ),
    "aashto old stress": (
        "aashto",
        lambda v, p, a, b, G, F, S: aashto.stress_b_1998(v, p, 2 * F, F, G, prevented=False),
    ),
    "aashto old rotation": (
        "aashto",
        lambda v, p, a, b, G, F, S: aashto.rotation_b_1998(v, p, a, G, prevented=True),
    ),
    "aashto moment": ("aashto", lambda v, p, a, b, G, F, S: aashto.moment(v, p, 0.01, G, "y")),
    "aashto slip": ("aashto", lambda v, p, a, b, G, F, S: aashto.slip(v, F, 9 * F)),
    "txdot stress": ("aashto", lambda v, p, a, b, G, F, S: aashto.txdot_stress(v, p, 2 * F, F, G)),
    "txdot rotation": ("aashto", lambda v, p, a, b, G, F, S: aashto.txdot_rotation(v, p, a, G)),
    "txdot slip": ("aashto", lambda v, p, a, b, G, F, S: aashto.txdot_slip(v, p, a, F, 0.02)),
}


@pytest.mark.parametrize("shape", PADS)
@pytest.mark.parametrize("rule", RULES)
def test_dimensions(rule, shape):
    family, call = RULES[rule]
    if rule.startswith("1987") and shape == "round":
        pytest.skip("the edition of 1987 knows rectangular pads")
    stress, pad = factor("Pa"), PADS[shape]
    before = call(Values(family), pad, LOAD, LIVE, 0.9e6, 1e5, 1e7)
    after = call(
        scaled(family), bigger(pad), heavier(LOAD), heavier(LIVE), 0.9e6 * stress, 1e5 * FORCE,
        1e7 * stress,
    )  # fmt: skip
    pairs = zip(
        before if isinstance(before, tuple) else (before,),
        after if isinstance(after, tuple) else (after,),
        strict=True,
    )
    for one, other in pairs:
        was, now = quantities(one), quantities(other)
        assert [q.unit for q in was] == [q.unit for q in now]
        for q, r in zip(was, now, strict=True):
            assert r.value == pytest.approx(q.value * factor(q.unit), rel=1e-9), q.symbol


def quantities(line):
    found = [*line.inputs, line.result]
    return [*found, line.limit] if line.limit is not None else found


def test_every_rule_of_the_modules_is_tried():
    """A rule that is added must be added here too, or named among those with MPa inside."""
    tried = {
        name
        for _, call in RULES.values()
        for name in call.__code__.co_names
    }  # fmt: skip
    inside = {"slip", "rotation", "friction", "shear_stress"}  # MPa in the formula
    parts = {"axial_strain", "layer_strain"}  # called by rules that are tried
    for module in (en, old, aashto):
        rules = {
            name
            for name, item in vars(module).items()
            if callable(item)
            and getattr(item, "__module__", "") == module.__name__
            and "Line" in str(getattr(item, "__annotations__", {}).get("return", ""))
        }
        assert rules - tried - inside - parts == set()


def test_pads_are_scaled_in_every_length():
    assert {f.name for f in fields(Pad)} == {
        "length", "width", "layers", "layer", "plate", "cover", "side_cover", "round",
    }  # fmt: skip
