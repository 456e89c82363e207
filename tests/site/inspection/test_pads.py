"""Verdicts on laminated pads: shear against temperature and strain, bulge, wedge."""

from dataclasses import replace

import pytest

from bedstone.bearings import selection
from bedstone.bearings.asked import basis_of
from bedstone.site.inspection.verdicts import verdicts
from bedstone.standards.values import Values

PAD = {"length": 0.4, "width": 0.5, "layers": 6, "layer": 0.012, "plate": 0.004, "cover": 0.0025}


@pytest.fixture
def pad(truss):
    """Verdicts by name on a pad of six layers of 12 mm in the place of A2-2."""
    demand = next(item for item in truss.designs if item.seat == "A2-2").demand
    basis = basis_of(truss.prepared.bridge, "eurocode", Values("eurocode", {}))
    design = selection.assess(demand, basis, "laminated elastomeric", PAD).design
    setting = replace(truss.setting("A2-2"), kind="laminated elastomeric", form="shears", ends=())

    def judge(*readings, name="eurocode", told=True):
        own = replace(setting, temperatures=replace(setting.temperatures, told=told))
        visit = truss.visit("A2-2", *readings, setting=own, design=design, demand=demand)
        return {item.what: item for item in verdicts(replace(visit, name=name))}

    return judge


def test_a_pad_has_no_shear_at_the_temperature_of_setting(truss, pad, read):
    setting = truss.setting("A2-2")
    come = sum(stage.vx for stage in setting.stages if not stage.before)
    at = {t: pad(read("A2-2", "shear offset along", 0.01, t))["shear offset along"].expected
          for t in (12.0, 32.0)}  # fmt: skip
    assert at[12.0] == pytest.approx(come)  # set at 12 degC, as the file says
    assert at[32.0] - at[12.0] == pytest.approx(20.0 * 12e-6 * 64.0, rel=1e-6)


def test_an_unknown_temperature_of_setting_widens_what_is_allowed(pad, read):
    item = read("A2-2", "shear offset along", 0.01)
    known, unknown = (pad(item, told=told)["shear offset along"] for told in (True, False))
    assert unknown.high > known.high


@pytest.mark.parametrize(("name", "limit"), [("eurocode", 1.0), ("aashto", 0.5), ("irc", 0.7)])
def test_strain_over_all_elastomer(pad, read, name, limit):
    # EN 1337-3 1.0, AASHTO 14.7.5.3.2 0.5 (twice the movement), IRC 0.7: from memory
    thick = 6 * 0.012 + 2 * 0.0025
    for strain, state in ((0.98 * limit, "within"), (1.02 * limit, "out")):
        found = pad(
            read("A2-2", "shear offset along", 0.6 * strain * thick),
            read("A2-2", "shear offset across", 0.8 * strain * thick),
            name=name,
        )["shear strain"]
        assert found.found == pytest.approx(strain)
        assert found.state == state


def test_a_bulge_of_fifteen_per_cent_of_the_pad(pad, read):
    # AASHTO element inspection: 15 % of the thickness (restated in a public file)
    height = 6 * 0.012 + 2 * 0.0025 + 7 * 0.004
    for share, state in ((0.149, "within"), (0.151, "out")):
        found = pad(read("A2-2", "bulge/left", share * height), read("A2-2", "bulge/right", 0.001))
        assert found["bulge"].state == state


def test_four_heights_give_two_slopes(pad, read):
    # a plane z = 0.105 + 0.01 x + 0.02 y over the corners of 0.4 m by 0.5 m
    corners = {1: (-1, -1), 2: (1, -1), 3: (1, 1), 4: (-1, 1)}
    items = [
        read("A2-2", f"height/corner {n}", 0.105 + 0.01 * 0.2 * x + 0.02 * 0.25 * y)
        for n, (x, y) in corners.items()
    ]
    found = pad(*items)
    assert found["wedge along"].found == pytest.approx(0.01)
    assert found["wedge across"].found == pytest.approx(0.02)
    assert found["wedge across"].state == "out"
    assert pad(*items[:3])["wedge"].state == "not judged"
