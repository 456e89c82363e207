"""All kinds of bearings by name; a kind is imported when it is asked for."""

from __future__ import annotations

import importlib
from difflib import get_close_matches
from functools import cache
from typing import get_args

from bedstone.bearings.base import Kind
from bedstone.bridge.schema import BearingKind
from bedstone.errors import Fault, InputError

#: Every kind of the bridge file and the module that holds it.
MODULES: dict[BearingKind, str] = {
    "single roller": "roller",
    "hardened roller": "roller",
    "roller nest": "roller",
    "rocker on nest": "rocker_nest",
    "line rocker": "rocker",
    "point rocker": "rocker",
    "pin": "pin",
    "laminated elastomeric": "elastomeric",
    "pot": "pot",
    "pot on slide": "pot_on_slide",
    "spherical": "spherical",
    "cylindrical": "cylindrical",
    "disc": "disc",
    "plane sliding": "sliding",
    "guide": "guide",
    "uplift restraint": "uplift",
}


def kinds() -> tuple[BearingKind, ...]:
    """Names of all kinds, in the order in which they are compared."""
    return tuple(MODULES)


def kind_name(word: str) -> BearingKind:
    """The name of a kind as told by a person; raises `InputError` for any other word."""
    for known in get_args(BearingKind):
        if word == known:
            name: BearingKind = known
            return name
    near = get_close_matches(word[:60], MODULES, 1)
    hint = f" (did you mean {near[0]!r}?)" if near else ""
    raise InputError([Fault("command line", "kind", repr(word[:60]), ", ".join(MODULES) + hint)])


@cache
def kind_of(name: BearingKind) -> Kind:
    """The kind of a name; raises `InputError` for one that nobody has built."""
    stem = MODULES.get(name)
    module = None
    if stem is not None:
        path = f"bedstone.bearings.{stem}"
        try:
            module = importlib.import_module(path)
        except ModuleNotFoundError as error:
            if error.name != path:  # the module is there and lacks something of its own
                raise
    offered: tuple[Kind, ...] = ()
    if module is not None:
        offered = getattr(module, "KINDS", None) or (module.KIND,)
    for kind in offered:
        if kind.name == name:
            return kind
    built = ", ".join(MODULES)
    raise InputError([Fault("bearing", "kind", repr(name), f"a kind that is designed: {built}")])
