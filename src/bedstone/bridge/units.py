"""Quantities with units: text in, SI out, and the way back for people.

A quantity is a number followed by a unit ("48 m", "25 kN/m3", "2.5 kN/m^2", "1.2e-5 1/K"). The
text is taken apart here; pint is asked once for the factor of each unit name and is not imported
before the first quantity is read. Angle counts as a dimension of its own, so a slope cannot be
taken for an angle nor a moment for a rotational stiffness.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import TYPE_CHECKING, Any, cast

from pydantic_core import PydanticCustomError, core_schema

if TYPE_CHECKING:
    import pint
    from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler
    from pydantic.json_schema import JsonSchemaValue

NUMBER = r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d{1,4})?"
_QUANTITY = re.compile(rf"({NUMBER})\s*(.*)", re.ASCII | re.DOTALL)
_FACTOR = re.compile(r"([*/]?)([A-Za-z_%°µ]+|1(?=/))(?:(?:\^|\*\*)?(-?[1-9])(?![0-9]))?")
_LONGEST = 64  # characters of one quantity; anything longer is a slip

# Joined forms that engineers write and a general units library reads as something else, or not.
_JOINED = {
    "Nm": "N*m",
    "kNm": "kN*m",
    "MNm": "MN*m",
    "psf": "lbf/ft^2",
    "ksf": "kip/ft^2",
    "pcf": "lbf/ft^3",
    "plf": "lbf/ft",
    "klf": "kip/ft",
}
_SYMBOLS = str.maketrans({"²": "^2", "³": "^3", "⁴": "^4", "·": "*", "−": "-", "μ": "µ"})
_CELSIUS = frozenset({"degC", "°C"})
_FAHRENHEIT = frozenset({"degF", "°F"})
_ABSOLUTE_ZERO = -273.15  # degC

# What each SI unit measures, and an example to copy.
_WORDS = {
    "m": ("length", "48 m"),
    "m**2": ("area", "0.05 m2"),
    "m**4": ("second moment of area", "0.012 m4"),
    "rad": ("angle", "15 deg"),
    "Pa": ("stress or pressure", "210 GPa"),
    "N": ("force", "120 kN"),
    "N*m": ("moment", "350 kN*m"),
    "N/m": ("force for each length", "12 kN/m"),
    "N/m**3": ("weight density", "25 kN/m3"),
    "N*m/rad": ("rotational stiffness", "3000 MN*m/rad"),
    "degC": ("temperature", "12 degC"),
    "K": ("temperature difference", "15 K"),
    "1/K": ("strain for each kelvin", "1.2e-5 1/K"),
    "m/s": ("speed", "80 km/h"),
    "": ("plain number", "0.0003"),
}

Dimension = tuple[tuple[str, float], ...]


class UnitError(ValueError):
    """Text that is no quantity of the wanted dimension; the message says what would do."""


# ------------------------------------------------------------------ factors of units
@cache
def _registry() -> pint.UnitRegistry[Any]:
    import pint  # here, because it takes longer than reading a bridge file

    return pint.UnitRegistry()


@lru_cache(maxsize=512)
def _atom(name: str) -> tuple[float, dict[str, float]]:
    """Return factor to SI and powers of the base units of one unit name without operators."""
    if name == "1":
        return 1.0, {}
    if name == "%":
        return 0.01, {}
    name = {"°C": "degC", "°F": "degF", "°": "deg"}.get(name, name)
    try:
        factor, base = _registry().get_base_units(name)
    except Exception as error:  # the library fails in many ways on unknown names
        raise UnitError(f"unknown unit {name!r}") from error
    powers: dict[str, Any] = dict(base._units)
    return float(cast(float, factor)), {unit: float(power) for unit, power in powers.items()}


@lru_cache(maxsize=1024)
def unit_factor(text: str) -> tuple[float, Dimension]:
    """Return the factor to SI of a unit and its dimension as sorted powers of the base units.

    Products are written with ``*``, ``·`` or a space, powers as ``m2``, ``m^2``, ``m**2`` or
    ``m²``; a slash divides by the one unit that follows it.

    Raises
    ------
    UnitError
        For anything that is no unit.
    """
    if len(text) > _LONGEST:
        raise UnitError("unit text too long")
    rest = re.sub(r"\s*([*/])\s*", r"\1", text.strip().translate(_SYMBOLS))
    rest = re.sub(r"\s+", "*", rest)
    for joined, plain in _JOINED.items():
        rest = re.sub(rf"(?<![A-Za-z_]){joined}(?![A-Za-z_0-9^])", plain, rest)
    if rest.startswith("/"):
        rest = "1" + rest
    factor, powers, at = 1.0, dict[str, float](), 0
    while at < len(rest):
        match = _FACTOR.match(rest, at)
        if match is None or (at > 0) != bool(match[1]):
            raise UnitError(f"unknown unit {text!r}")
        power = int(match[3] or 1) * (-1 if match[1] == "/" else 1)
        atom_factor, base = _atom(match[2])
        factor *= atom_factor**power
        for name, base_power in base.items():
            powers[name] = powers.get(name, 0.0) + power * base_power
        at = match.end()
    return factor, tuple(sorted((name, power) for name, power in powers.items() if power))


# ------------------------------------------------------------------ text to SI
@dataclass(frozen=True)
class Quantity:
    """What a quantity must be: its SI unit (`unit`) and the bounds of its value in SI.

    Used as pydantic metadata, ``Annotated[float, quantity("m", above=0.0)]``: text with a unit is
    read into a float in SI (temperatures in degC).
    """

    unit: str
    minimum: float | None = None
    above: float | None = None
    maximum: float | None = None

    @property
    def words(self) -> str:
        """What is allowed, for a message: "length with unit, above 0, e.g. '48 m'"."""
        name, example = _WORDS.get(self.unit, (f"quantity in {self.unit}", f"1 {self.unit}"))
        parts = [name + (" with unit" if self.unit else "")]
        shown = "rad" if self.unit == "rad" else self.unit.replace("**", "")
        for label, bound in (
            ("above", self.above),
            ("not less than", self.minimum),
            ("not more than", self.maximum),
        ):
            if bound is not None:
                parts.append(f"{label} {bound:g}{f' {shown}' if shown and bound else ''}")
        return ", ".join([*parts, f"e.g. '{example}'"])

    def value(self, found: object) -> float:
        """Return the quantity in SI.

        Raises
        ------
        UnitError
            When `found` is no text with a unit of this dimension within the bounds.
        """
        if isinstance(found, bool) or not isinstance(found, str | int | float):
            raise UnitError(self.words)
        if not isinstance(found, str):
            if self.unit:
                raise UnitError(f"{self.words} (write the unit, in quotes)")
            try:
                return self._bounded(float(found))
            except OverflowError as error:
                raise UnitError(f"{self.words} (a finite number)") from error
        text = found.strip().translate(_SYMBOLS)
        match = _QUANTITY.fullmatch(text) if len(text) <= _LONGEST else None
        if match is None or "," in text:
            raise UnitError(f"{self.words} (a number with a decimal point, then the unit)")
        return self._bounded(self._to_si(float(match[1]), match[2]))

    def _to_si(self, number: float, unit: str) -> float:
        if self.unit == "degC":
            if unit in _CELSIUS:
                return number
            if unit in _FAHRENHEIT:
                return (number - 32.0) / 1.8
            raise UnitError(f"{self.words} (in degC or degF)")
        if not unit:
            if self.unit:
                raise UnitError(f"{self.words} (the unit is missing)")
            return number
        if self.unit == "K" and unit in _CELSIUS | _FAHRENHEIT:
            raise UnitError(f"{self.words} (a difference is written in K)")
        try:
            factor, dimension = unit_factor(unit)
        except UnitError as error:
            raise UnitError(f"{self.words} ({error})") from error
        if dimension != unit_factor(self.unit)[1]:
            raise UnitError(f"{self.words} ({unit!r} is no unit of this kind)")
        return number * factor

    def _bounded(self, value: float) -> float:
        if not math.isfinite(value):
            raise UnitError(f"{self.words} (a finite number)")
        if (
            (self.minimum is not None and value < self.minimum)
            or (self.above is not None and value <= self.above)
            or (self.maximum is not None and value > self.maximum)
            or (self.unit == "degC" and value < _ABSOLUTE_ZERO)
        ):
            raise UnitError(self.words)
        return value

    def _validate(self, found: object) -> float:
        try:
            return self.value(found)
        except UnitError as error:
            message = str(error).replace("{", "(").replace("}", ")")  # braces are placeholders
            raise PydanticCustomError("quantity", message) from error

    def __get_pydantic_core_schema__(
        self, source: Any, handler: GetCoreSchemaHandler
    ) -> core_schema.CoreSchema:
        """Read text with a unit in place of a plain float."""
        return core_schema.no_info_plain_validator_function(self._validate)

    def __get_pydantic_json_schema__(
        self, schema: core_schema.CoreSchema, handler: GetJsonSchemaHandler
    ) -> JsonSchemaValue:
        """Describe the quantity as text, with its SI unit under ``x-unit``."""
        example = _WORDS.get(self.unit, ("", f"1 {self.unit}"))[1]
        return {
            "type": "string" if self.unit else ["string", "number"],
            "description": self.words,
            "examples": [example],
            "x-unit": self.unit,
        }


def quantity(
    unit: str,
    *,
    minimum: float | None = None,
    above: float | None = None,
    maximum: float | None = None,
) -> Quantity:
    """Return the annotation of a quantity in the SI unit `unit`, with bounds in that unit."""
    return Quantity(unit, minimum, above, maximum)


# ------------------------------------------------------------------ SI to text
# The units engineers read results in, for each SI unit; the arrow back from `Quantity`.
_SHOWN = {
    "m": "mm",
    "m**2": "m2",
    "m**4": "m4",
    "rad": "mrad",
    "Pa": "MPa",
    "N": "kN",
    "N*m": "kN*m",
    "N/m": "kN/m",
    "N/m**3": "kN/m3",
    "N*m/rad": "kN*m/rad",
}


def format_quantity(value: float, unit: str, shown: str | None = None, digits: int = 6) -> str:
    """Return an SI value (temperature: degC) as text with a unit that reads back.

    `unit` is the SI unit as in `quantity`; `shown` the unit to write (default: kN, mm, mrad, MPa,
    degC); `digits` the number of significant digits.
    """
    shown = _SHOWN.get(unit, unit) if shown is None else shown
    if shown != unit:
        factor, dimension = unit_factor(shown)
        if dimension != unit_factor(unit)[1]:
            raise UnitError(f"{shown!r} is no unit for {unit!r}")
        value = value / factor
    return f"{value:.{digits}g} {shown.replace('**', '')}".strip()
