"""Permanent loads of the stages: weights by hand, where they act, faults."""

import numpy as np
import pytest
from girder_cases import PLATE, girder_bridge, reactions, weight_down

from bedstone.bridge.schema import PlateGirder
from bedstone.errors import InputError
from bedstone.model.girders import build_girders
from bedstone.model.sections import section_properties
from bedstone.model.stages import usual_stages

AREA = section_properties(PlateGirder.model_validate({"kind": "plate girder", **PLATE})).A


def moment_about(structure, load, axis):
    """Moment of the node loads about the global x or y axis."""
    state = structure.states[load.state]
    nodes = load.vector.reshape(-1, 6)
    force, couple = nodes[:, :3], nodes[:, 3:]
    return float((np.cross(state.frame.nodes, force) + couple).sum(axis=0)[axis])


def test_usual_stages():
    def carried(stages):
        return [(stage.carries, [load.kind for load in stage.loads]) for stage in stages]

    steel = ("steel", ["self weight"])
    assert carried(usual_stages("composite", slab=True)) == [steel, ("steel", ["slab"])]
    assert carried(usual_stages("steel", slab=False)) == [steel]
    assert carried(usual_stages("concrete", slab=True)) == [("long", ["self weight", "slab"])]


@pytest.mark.parametrize("skew", [0.0, 35.0, -60.0])
def test_weights_by_hand(skew):
    structure = build_girders(girder_bridge(spans=(40.0,), skew=skew, diaphragms=None))
    own, wet = structure.loads
    # four girders of 40 m; slab 0.25 m x (3 gaps of 3 m + 2 x 1.2 m), haunch 50 mm x 400 mm
    assert own.total == pytest.approx(4 * 40.0 * AREA * 77e3)
    assert wet.total == pytest.approx(40.0 * 25e3 * (0.25 * 11.4 + 4 * 0.05 * 0.4))
    for load in (own, wet):
        assert weight_down(load.vector) == pytest.approx(load.total, rel=1e-9)
        # the centre of a parallelogram is its middle, whatever the skew (geometry)
        assert moment_about(structure, load, 1) == pytest.approx(20.0 * load.total, rel=1e-9)
        assert moment_about(structure, load, 0) == pytest.approx(0.0, abs=1e-6 * load.total)


def test_area_and_line_loads_stand_where_told():
    stage = {
        "name": "finish",
        "carries": "long",
        "loads": [
            {"kind": "area", "value": "2 kN/m2", "from_y": "-4 m", "to_y": "1 m",
             "action": "surfacing", "label": "asphalt"},
            {"kind": "line", "line_value": "5 kN/m", "y": "5.5 m"},
        ],
    }  # fmt: skip
    structure = build_girders(girder_bridge(spans=(40.0,), skew=20.0, stage=[stage]))
    asphalt, parapet = structure.loads
    assert (asphalt.stage, asphalt.label, asphalt.action) == ("finish", "asphalt", "surfacing")
    assert (parapet.state, parapet.label, parapet.action) == ("long", "line", "permanent")
    assert asphalt.total == pytest.approx(2e3 * 5.0 * 40.0)
    assert parapet.total == pytest.approx(5e3 * 40.0)
    for load, y in ((asphalt, -1.5), (parapet, 5.5)):
        # a load W down at y has the moment -W y about x
        assert moment_about(structure, load, 0) == pytest.approx(-load.total * y, rel=1e-9)
        assert reactions(structure, "long", load.vector).sum() == pytest.approx(load.total)
    # the line load runs between the skewed ends at its own y, so about y its arm is shifted
    shift = 5.5 * np.tan(np.radians(20.0))
    assert moment_about(structure, parapet, 1) == pytest.approx(parapet.total * (20.0 - shift))


def test_area_on_a_curve_weighs_its_true_area():
    # annulus sector: half the angle times the difference of the squared radii
    slab = {"thickness": "250 mm", "haunch": "50 mm", "overhang_left": "0.2 m",
            "overhang_right": "2.2 m"}  # fmt: skip
    structure = build_girders(
        girder_bridge(spans=(50.0,), radius=100.0, number=3, diaphragms=None, slab=slab)
    )
    wet = structure.loads[1]
    angle, out, inside = 0.5, 100.0 + 5.2, 100.0 - 3.2
    concrete = 25e3 * 0.25 * angle / 2 * (out**2 - inside**2)
    haunch = 25e3 * 0.05 * 0.4 * angle * 300.0  # on chords, a little short of the arcs
    assert wet.total == pytest.approx(concrete + haunch, rel=1e-5)
    assert weight_down(wet.vector) == pytest.approx(wet.total, rel=1e-9)


def test_concrete_rib_and_slab_weigh_by_hand():
    beam = {"kind": "concrete rectangle", "width": "0.5 m", "depth": "1.5 m"}
    structure = build_girders(
        girder_bridge(spans=(20.0,), type="concrete", sections={"g": beam}, diaphragms=None)
    )
    own, wet = structure.loads
    assert own.state == "long"
    assert own.total == pytest.approx(4 * 0.75 * 20.0 * 25e3)
    assert wet.total == pytest.approx(20.0 * 25e3 * (0.25 * 11.4 + 4 * 0.05 * 0.5))


def test_diaphragms_weigh():
    bare, braced = (
        build_girders(girder_bridge(spans=(40.0,), diaphragms=d)).loads[0].total
        for d in (None, {"section": "d", "chainages": []})
    )
    shallow = PlateGirder.model_validate({"kind": "plate girder", **PLATE, "web_depth": "900 mm"})
    six = 6 * 3.0 * section_properties(shallow).A * 77e3  # three gaps at two supports
    assert braced - bare == pytest.approx(six)


def test_slab_load_without_slab_is_one_fault():
    stage = {"name": "s", "carries": "short", "loads": [{"kind": "slab"}, {"kind": "self weight"}]}
    bridge = girder_bridge(type="steel", slab=None, stage=[stage])
    with pytest.raises(InputError) as caught:
        build_girders(bridge)
    (fault,) = caught.value.faults
    assert (fault.where, fault.found) == ("stage s: loads[1]", "'slab'")
