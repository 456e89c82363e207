"""Steels by name, with the strength at their thickness and where the figures come from."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache, lru_cache
from importlib.resources import files
from typing import Any, Literal

from bedstone.bearings.base import Basis
from bedstone.errors import Fault, InputError
from bedstone.standards.values import Basis as Provenance

Use = Literal["plate", "roller", "rocker", "pin"]

#: Density of steel, kg/m3 (EN 1991-1-1 gives 77 to 78.5 kN/m3; 7850 is common practice, no source).
STEEL_DENSITY = 7850.0

OPTIONS: Mapping[str, str] = {
    "steel": "steel of plates by name; default S355 (EN), M270 grade 50 (AASHTO), E250 (IRC)",
    "steel.roller": "steel of rollers by name; default class C, M102 class F, forged class 3",
    "steel.rocker": "steel of rockers and knuckles by name; default class B, M102 class F, "
    "forged class 3",
    "steel.pin": "steel of pins by name; default S355, M102 class F, forged class 3",
    "steel.<name>.fy": "the engineer's own yield strength of a steel (Pa)",
    "steel.<name>.fu": "the engineer's own tensile strength (Pa); S355: 470e6 (default), 490e6 or "
    "510e6 as sources differ; S275: 410e6 (default) or 430e6",
}


@dataclass(frozen=True)
class Steel:
    """A steel at one thickness: `fy`, `fu`, `E` in Pa.

    `hardness`: largest Vickers hardness HV 10 and `friction`: greatest rolling friction of a class
    of EN 1337-4, None for other steels. `basis`: the weakest of the figures used.
    """

    name: str
    fy: float
    fu: float
    E: float
    basis: Provenance
    standard: str
    source: str
    note: str = ""
    hardness: float | None = None
    friction: float | None = None


@cache
def _data() -> Mapping[str, Any]:
    path = files("bedstone.bearings").joinpath("data", "materials.toml")
    return tomllib.loads(path.read_text(encoding="utf-8"))


def names() -> tuple[str, ...]:
    """Names of all steels."""
    return tuple(_data()["steel"])


def thickest(name: str) -> float:
    """Greatest thickness (m) that the product standard of a steel covers; 0 for an unknown name."""
    row = _data()["steel"].get(name)
    return 0.0 if row is None else min(row["yield"][-1][0], row["tensile"][-1][0]) * 1e-3


def default(use: Use, basis: Basis) -> str:
    """Name of the steel for a use: option ``steel.<use>`` (plates: ``steel``), else the usual."""
    general = basis.options.get("steel") if use == "plate" else None
    chosen = basis.options.get(f"steel.{use}", general)
    return str(chosen) if chosen is not None else str(_data()["default"][basis.family][use])


def steel(name: str, thickness: float, basis: Basis) -> Steel:
    """The steel `name` at a thickness (plates) or diameter (bars), m.

    Raises `InputError` for an unknown name, a thickness outside the product standard or an own
    strength that is not positive. Source: the product standards, `data/materials.toml`.
    """
    made = _made(name, thickness, basis.family)
    own_fy = _own(name, "fy", basis)
    own_fu = _own(name, "fu", basis)
    if own_fy is None and own_fu is None:
        return made
    row = _data()["steel"][name]
    listed = [1e6 * value for value in row.get("alternative_tensile", ())]
    # An own figure for one strength does not confirm the other one, nor does a listed alternative.
    both = own_fy is not None and own_fu is not None and own_fu not in listed
    return replace(
        made,
        fy=own_fy if own_fy is not None else made.fy,
        fu=own_fu if own_fu is not None else made.fu,
        basis="confirmed" if both else made.basis,
    )


@lru_cache(maxsize=4096)
def _made(name: str, thickness: float, family: str) -> Steel:
    """The steel as its product standard has it: searches ask for the same one again and again."""
    row = _data()["steel"].get(name)
    if row is None:
        raise _fault("steel", repr(name), f"one of {', '.join(names())}")
    if thickness <= 0.0:
        raise _fault("thickness", f"{thickness * 1e3:g} mm", "more than 0 mm")
    fy, fu = (_at(name, row[which], thickness) for which in ("yield", "tensile"))
    return Steel(
        name=name,
        fy=fy,
        fu=fu,
        E=float(_data()["modulus"][family]["value"]),
        basis=row["basis"],
        standard=row["standard"],
        source=row["source"],
        note=row.get("note", ""),
        hardness=row.get("hardness"),
        friction=row.get("friction"),
    )


def steel_for(use: Use, thickness: float, basis: Basis) -> Steel:
    """The steel the engineer chose (or the usual one) for a use, at a thickness (m)."""
    return steel(default(use, basis), thickness, basis)


def _at(name: str, rows: list[list[float]], thickness: float) -> float:
    for largest, strength in rows:
        if thickness <= largest * 1e-3 * (1 + 1e-9):
            return strength * 1e6
    raise _fault(f"thickness of {name}", f"{thickness * 1e3:g} mm", f"at most {rows[-1][0]:g} mm")


def _own(name: str, which: str, basis: Basis) -> float | None:
    value = basis.options.get(f"steel.{name}.{which}")
    if value is None:
        return None
    if isinstance(value, bool) or not isinstance(value, (int, float)) or value <= 0.0:
        raise _fault(f"steel.{name}.{which}", repr(value), "a strength in Pa, more than 0")
    return float(value)


def _fault(where: str, found: str, allowed: str) -> InputError:
    return InputError([Fault("bearing", where, found, allowed)])
