"""One steel girder on two bearings, whose movements can be worked out by hand."""

import pytest

from bedstone.articulation.prepared import prepare
from bedstone.bridge.schema import Bridge
from bedstone.comparison.screen import Screen
from bedstone.site.setting import settings

E, ALPHA = 210e9, 12e-6
SEAT = {"function": "guided along", "hold_rotation": ["x"]}


def girder(
    span=45.7, fixed="A1", section=None, stages=None, set_at=None, below=None, seats=None,
    name="Beam", **actions,
):  # fmt: skip
    """The bridge file; A2 rolls where A1 is fixed. `seats`: more of a seat by mark."""
    section = section or {
        "kind": "given", "A": "0.1 m2", "Iy": "0.05 m4", "Iz": "0.02 m4", "J": "0.01 m4",
        "depth": "1.6 m", "centroid": "0.8 m",
    }  # fmt: skip
    free = "A2" if fixed == "A1" else "A1"
    own = {f"{fixed}-1": {**SEAT, "function": "fixed"}, f"{free}-1": {**SEAT}}
    for mark, more in (seats or {}).items():
        own[mark] = {**own.get(mark, SEAT), **more}
    data = {
        "bridge": {"name": name},
        "support": [
            {"mark": "A1", "chainage": "0 m"}, {"mark": "A2", "chainage": f"{span} m"},
        ],
        "materials": {"steel_alpha": "12e-6 1/K"},
        "superstructure": {
            "kind": "girders", "type": "steel", "number": 1, "contact": "0.2 m",
            "sections": {"g": section},
            "segments": [{"start": "0 m", "end": f"{span} m", "section": "g"}],
        },
        "stage": stages or [load("all", "20 kN/m")],
        "actions": {
            "friction": False,
            "temperature": {"air_min": "-20 degC", "air_max": "35 degC", "setting": "10 degC"},
            **actions,
        },
        "arrangement": {"set_at": set_at, "seats": own},
    }  # fmt: skip
    for place, springs in (below or {}).items():
        data["support"][int(place[1]) - 1]["below"] = {"kind": "springs", "springs": springs}
    return Bridge.model_validate(data)


def load(name, value):
    """A stage with one line load."""
    loads = [{"kind": "line", "line_value": value, "y": "0 m"}]
    return {"name": name, "carries": "steel", "loads": loads}


def found(bridge, mark="A2-1", **how):
    """The setting of one seat, and the screen it came from."""
    prepared = prepare(bridge)
    screen = Screen(prepared, "eurocode")
    by_mark = {item.seat: item for item in settings(prepared, "eurocode", screen, **how)}
    return by_mark[mark], screen


@pytest.fixture
def make():
    """Settings of a girder: make(mark, tolerances=..., **girder) -> (setting, screen)."""

    def maker(mark="A2-1", tolerances=None, datum=None, **how):
        return found(girder(**how), mark, tolerances=tolerances, datum=datum)

    return maker


@pytest.fixture
def load_of():
    """A stage with one line load: load_of(name, value)."""
    return load
