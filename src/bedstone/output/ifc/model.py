"""What every part of the IFC file needs: the library, identifiers, units, places, property sets."""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Iterable, Mapping, Sequence
from typing import Any, Final, Literal

from bedstone import __version__
from bedstone.errors import Fault, InputError
from bedstone.output.shown import plain

SCHEMA: Final = "IFC4X3_ADD2"
_SPACE: Final = uuid.UUID("6f0a2f6e-3d1b-5c55-9c37-3a1f5b1f0d4e")  # ours, drawn once
_LABEL = 255  # letters in an IfcLabel
#: Stands for the time of writing where none is told: the same input gives the same file.
_NO_TIME = "1970-01-01T00:00:00"

Entity = Any  # an entity of the library, which carries no types
Quantity = tuple[Literal["kN", "kN m", "mm", "mrad", "deg", "kg", "MPa", "m", ""], float]


def library() -> Any:
    """IfcOpenShell; raises `InputError` that tells how to add it where it is not installed."""
    try:
        import ifcopenshell
        import ifcopenshell.guid
        import ifcopenshell.util.element
        import ifcopenshell.util.placement
    except ImportError as error:
        allowed = 'the extra "ifc": pip install "bedstone[ifc]" (about 200 MB)'
        fault = Fault("command line", "ifc", "IfcOpenShell is not installed", allowed)
        raise InputError([fault]) from error
    return ifcopenshell


class Model:
    """An IFC file being written.

    Identifiers follow from the name of the bridge and what they stand for (a mark, a role), so the
    bearing of a seat keeps its own through every revision of the numbers.
    """

    def __init__(self, bridge: str, reference: str, made: dt.date | None) -> None:
        self.tools = library()
        self.file = self.tools.file(schema=SCHEMA)
        self.space = (bridge, reference)
        self._units: dict[str, Entity] = {}
        self._points: dict[tuple[str, tuple[float, ...]], Entity] = {}
        header = self.file.header
        view = "ViewDefinition [Alignment-basedReferenceView]"
        header.file_description.description = (view,)
        header.file_name.name = label(bridge)
        header.file_name.time_stamp = f"{made.isoformat()}T00:00:00" if made else _NO_TIME
        header.file_name.author = ("",)
        header.file_name.organization = ("",)
        header.file_name.preprocessor_version = f"bedstone {__version__}"
        header.file_name.originating_system = f"bedstone {__version__}"
        header.file_name.authorization = ""

    # ---------------------------------------------------------------- entities
    def make(self, name: str, *values: object, **named: object) -> Entity:
        """An entity without an identifier."""
        return self.file.create_entity(name, *values, **named)

    def root(self, name: str, key: str, **named: object) -> Entity:
        """An entity with an identifier that follows from its class and `key`."""
        words = "\x1f".join((*self.space, name, key))
        code = self.tools.guid.compress(uuid.uuid5(_SPACE, words).hex)
        return self.file.create_entity(name, GlobalId=code, **named)

    def relate(
        self, name: str, key: str, one: tuple[str, Entity], many: tuple[str, object]
    ) -> None:
        """A relation between `one` and `many`, each told with the name of its attribute."""
        self.root(name, key, **{one[0]: one[1], many[0]: many[1]})

    # ---------------------------------------------------------------- places
    def point(self, *values: float) -> Entity:
        """A point; equal ones are written once."""
        return self._shared("IfcCartesianPoint", values)

    def direction(self, *values: float) -> Entity:
        """A direction; equal ones are written once."""
        return self._shared("IfcDirection", values)

    def _shared(self, name: str, values: tuple[float, ...]) -> Entity:
        key = (name, tuple(round(float(value), 9) + 0.0 for value in values))
        if key not in self._points:
            self._points[key] = self.make(name, key[1])
        return self._points[key]

    def axes(
        self,
        at: Sequence[float] = (0.0, 0.0, 0.0),
        up: Sequence[float] = (0.0, 0.0, 1.0),
        ahead: Sequence[float] = (1.0, 0.0, 0.0),
    ) -> Entity:
        """Axes in space: origin, z and x."""
        return self.make(
            "IfcAxis2Placement3D",
            self.point(*at),
            self.direction(*up),
            self.direction(*ahead),
        )

    def placed(
        self,
        within: Entity | None,
        at: Sequence[float] = (0.0, 0.0, 0.0),
        ahead: Sequence[float] = (1.0, 0.0, 0.0),
    ) -> Entity:
        """A place within another one, upright."""
        return self.make("IfcLocalPlacement", within, self.axes(at, ahead=ahead))

    # ---------------------------------------------------------------- units and properties
    def unit(self, name: str) -> Entity:
        """A unit by the name under which results are shown."""
        if name not in self._units:
            self._units[name] = self._unit(name)
        return self._units[name]

    def _unit(self, name: str) -> Entity:
        single = {
            "kN": ("FORCEUNIT", "KILO", "NEWTON"),
            "N": ("FORCEUNIT", None, "NEWTON"),
            "m": ("LENGTHUNIT", None, "METRE"),
            "mm": ("LENGTHUNIT", "MILLI", "METRE"),
            "rad": ("PLANEANGLEUNIT", None, "RADIAN"),
            "mrad": ("PLANEANGLEUNIT", "MILLI", "RADIAN"),
            "m2": ("AREAUNIT", None, "SQUARE_METRE"),
            "m3": ("VOLUMEUNIT", None, "CUBIC_METRE"),
            "kg": ("MASSUNIT", "KILO", "GRAM"),
            "s": ("TIMEUNIT", None, "SECOND"),
            "MPa": ("PRESSUREUNIT", "MEGA", "PASCAL"),
            "Pa": ("PRESSUREUNIT", None, "PASCAL"),
        }
        if name in single:
            kind, prefix, word = single[name]
            return self.make("IfcSIUnit", UnitType=kind, Prefix=prefix, Name=word)
        built = {
            "kN m": ("TORQUEUNIT", (("kN", 1), ("m", 1))),
            "N m": ("TORQUEUNIT", (("N", 1), ("m", 1))),
            "N/m": ("LINEARSTIFFNESSUNIT", (("N", 1), ("m", -1))),
            "N m/rad": ("ROTATIONALSTIFFNESSUNIT", (("N", 1), ("m", 1), ("rad", -1))),
        }
        kind, factors = built[name]
        elements = [
            self.make("IfcDerivedUnitElement", self.unit(word), power) for word, power in factors
        ]
        return self.make("IfcDerivedUnit", elements, kind)

    def properties(self, of: Entity, key: str, name: str, values: Mapping[str, object]) -> None:
        """A property set on an entity.

        A value is a word, a truth, a number with its shown unit as `Quantity`, an entity made
        already, or a list of words.
        """
        made = [
            self._property(title, value) for title, value in values.items() if value is not None
        ]
        if not made:
            return
        own = self.root("IfcPropertySet", f"{key}/{name}", Name=name, HasProperties=made)
        if of.is_a("IfcTypeObject"):
            of.HasPropertySets = [*(of.HasPropertySets or ()), own]
            return
        self.relate(
            "IfcRelDefinesByProperties",
            f"{key}/{name}",
            ("RelatingPropertyDefinition", own),
            ("RelatedObjects", [of]),
        )

    def _property(self, name: str, value: object) -> Entity:
        if isinstance(value, list):
            words = [self.make("IfcText", plain(str(item))) for item in value]
            return self.make("IfcPropertyListValue", Name=label(name), ListValues=words)
        unit = None
        if isinstance(value, bool):
            told = self.make("IfcBoolean", value)
        elif isinstance(value, str):
            told = self.make("IfcText", plain(value))
        elif isinstance(value, tuple):
            word, number = value
            told = self.make(_MEASURES[word], float(number))
            unit = self.unit(word) if word else None
        else:
            told = value
        return self.make("IfcPropertySingleValue", Name=label(name), NominalValue=told, Unit=unit)

    def text(self) -> bytes:
        """The file as text in the encoding of STEP."""
        return str(self.file.to_string()).encode("ascii")


_MEASURES: Final = {
    "kN": "IfcForceMeasure",
    "kN m": "IfcTorqueMeasure",
    "mm": "IfcLengthMeasure",
    "m": "IfcLengthMeasure",
    "mrad": "IfcPlaneAngleMeasure",
    "rad": "IfcPlaneAngleMeasure",
    "kg": "IfcMassMeasure",
    "MPa": "IfcPressureMeasure",
    "N/m": "IfcLinearStiffnessMeasure",
    "N m/rad": "IfcRotationalStiffnessMeasure",
    "": "IfcReal",
}


def label(text: str) -> str:
    """Text as a label: without control characters, at most 255 letters."""
    told = plain(text)
    return told if len(told) <= _LABEL else told[: _LABEL - 1] + "…"


def group(model: Model, key: str, members: Iterable[Entity], of: Entity) -> None:
    """Put entities into a group, where there are any."""
    found = list(members)
    if found:
        model.relate("IfcRelAssignsToGroup", key, ("RelatingGroup", of), ("RelatedObjects", found))
