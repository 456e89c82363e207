"""Pin bearing: a pin through one upper and two lower lugs. Fixed; turns about y'; may pull.

The pin lies along y'. It passes N and Hx as one force across its axis, Hy by collars against the
lugs. It does not turn about x': a rotation there is free only within the play of the hole.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from itertools import islice

from bedstone.bearings import knuckle
from bedstone.bearings.base import (
    Basis,
    Demand,
    DemandCase,
    Design,
    Refusal,
)
from bedstone.bearings.common import materials, series, sizes
from bedstone.bearings.common.rules import placed
from bedstone.bearings.common.seating import OPTIONS, SeatingCase
from bedstone.bearings.pin_checks import (
    PinBearing,
    joint_lines,
    joint_of,
    lug_stress_lines,
    lug_weld_lines,
    own_parts,
    resultant,
    rotation_line,
)
from bedstone.bearings.two_plates import (
    blank_plate,
    connected,
    mass_of,
    plate_lines,
    plated,
    sized_plates,
    stays,
    ultimate,
)
from bedstone.bridge.schema import BearingKind
from bedstone.standards.eurocode import pins as en_pins

_PLAY = 0.001  # m, hole over pin; common practice, no source
_GAP = 0.002  # m between lugs; common practice, no source
_FRICTION = 0.2  # of a greased steel pin; common practice, no source
_SIDE, _END = 0.6, 0.75  # lug beyond the hole in diameters; common practice, no source
_BATCH, _SEATED = 3, 2  # diameters looked at together, and of these with plates (bounds)
_LUGS_TRIED = 4  # thicknesses of lugs for one pin (a bound of the search)
_CLEAR = 0.01  # m between a lug's end and the plate opposite; common practice, no source


@dataclass(frozen=True)
class Pin:
    """The kind: see `bedstone.bearings.base.Kind`."""

    name: BearingKind = "pin"

    @property
    def options(self) -> Mapping[str, str]:
        """What each option means."""
        return {
            **OPTIONS,
            "pin.form": "pin (default) | knuckle: a hollow saddle on a convex block",
            "pin.replaceable": "true (default): EN limits of serviceability for pins that can be "
            "taken out; false: ultimate limit states alone",
            "pin.friction": f"friction of the pin in its lugs; default {_FRICTION:g}",
            "pin.play": f"hole wider than the pin (m); default {_PLAY:g}",
        }

    def fields(self) -> Mapping[str, str]:
        """Sizes that `given` takes."""
        return {
            "diameter": "m, of the pin",
            "hole": "m, diameter of the hole",
            "middle": "m, thickness of the upper lug",
            "outer": "m, thickness of each lower lug",
            "gap": "m, between lugs",
            "lug_width": "m, along x'",
            "height_below": "m, axis of the pin above the base plate",
            "height_above": "m, axis of the pin below the sole plate",
            "weld": "m, throat of the fillets on both faces of each lug",
            "steel_pin": "name of the steel of the pin",
            "steel_plate": "name of the steel of the lugs",
            **{name: f"{text} (knuckle)" for name, text in knuckle.FIELDS.items()},
            **sizes.seating_fields("base"),
            **sizes.seating_fields("sole"),
        }

    def refuse(self, demand: Demand, basis: Basis) -> Refusal | None:
        """A pin holds x' and y' and turns about y' alone."""
        if not all(demand.held):
            direction = "along x'" if not demand.held[0] else "along y'"
            return Refusal(
                self.name,
                f"the seat must move {direction}; a pin holds both directions",
                _suitability(basis),
                "a roller, a rocker on a nest or a sliding bearing; or a pin on a slide plate",
            )
        play = sizes.number(basis, "pin.play", _PLAY)
        turned = 0.0 if _form(basis) == "knuckle" else demand.largest("rx")
        # The shortest pin of the series still spans the two lugs: about three diameters of contact.
        least = 3.0 * series.sizes("pins", basis.family)[0]
        if turned * least > play:
            return Refusal(
                self.name,
                f"rotation {turned * 1e3:.2f} mrad about x', which a pin cannot follow within "
                f"the play of its hole",
                _suitability(basis),
                "a point rocker, a spherical or a pot bearing",
            )
        return None

    def size(self, demand: Demand, basis: Basis) -> Design | Refusal:
        """The lightest pin of the series with its lugs and plates."""
        refusal = self.refuse(demand, basis)
        if refusal is not None:
            return refusal
        if _form(basis) == "knuckle":
            return knuckle.size(demand, basis)
        best: Design | None = None
        nearest: Design | None = None
        # Pin and lugs alone are quick: the most promising of the first few get their plates, and
        # the search goes on to thicker pins only while none has passed.
        frames = _frames(demand, basis)
        while best is None and (batch := list(islice(frames, _BATCH))):
            for frame in sorted(batch, key=_likely_mass)[:_SEATED]:
                design = _design(_seated(frame, demand, basis), demand, basis)
                if design.passes and (best is None or design.mass < best.mass):
                    best = design
                if nearest is None or design.utilisation < nearest.utilisation:
                    nearest = design
        if best is not None:
            return best
        if nearest is None:
            return Refusal(
                self.name,
                "no pin of the series carries the force",
                _suitability(basis),
                "stronger steel for pin and plates, or several bearings",
            )
        return stays(
            nearest, demand, "a larger plinth, stronger concrete or steel, or another kind"
        )

    def given(self, sizes_: Mapping[str, object], demand: Demand, basis: Basis) -> Design:
        """Check a given pin bearing; raises `InputError` for impossible sizes."""
        if _form(basis) == "knuckle":
            return knuckle.given(sizes_, demand, basis)
        read = sizes.Reader(sizes_)
        plate = materials.default("plate", basis)
        bearing = PinBearing(
            diameter=read.length("diameter"),
            hole=read.length("hole"),
            middle=read.length("middle"),
            outer=read.length("outer"),
            gap=read.length("gap", 0.0, zero=True),
            lug_width=read.length("lug_width"),
            height_below=read.length("height_below"),
            height_above=read.length("height_above"),
            weld=read.length("weld"),
            steel_pin=read.word("steel_pin", materials.default("pin", basis)),
            steel_plate=read.word("steel_plate", plate),
            base=read.seating("base", plate, "concrete"),
            sole=read.seating("sole", plate, connected(basis, above=True)),
        )
        read.require(
            bearing.hole >= bearing.diameter,
            "hole",
            f"{bearing.hole * 1e3:g} mm",
            "the diameter of the pin or more",
        )
        read.require(
            bearing.lug_width > bearing.hole,
            "lug_width",
            f"{bearing.lug_width * 1e3:g} mm",
            "wider than the hole",
        )
        for name in ("height_below", "height_above"):
            read.require(
                getattr(bearing, name) > bearing.hole / 2.0,
                name,
                f"{getattr(bearing, name) * 1e3:g} mm",
                "more than half the hole",
            )
        read.finish()
        return _design(bearing, demand, basis)

    def check(self, bearing: object, demand: Demand, basis: Basis) -> Design:
        """Check a pin or knuckle as it was made for another demand."""
        if isinstance(bearing, knuckle.KnuckleBearing):
            return knuckle.check(bearing, demand, basis)
        assert isinstance(bearing, PinBearing)
        return _design(bearing, demand, basis)


KIND = Pin()


def _form(basis: Basis) -> str:
    return sizes.word(basis, "pin.form", "pin", "knuckle")


def _suitability(basis: Basis) -> str:
    if basis.family == "aashto":
        return "AASHTO LRFD Table 14.6.2-1, knuckle (pinned)"
    return "mechanics of the pin; AASHTO LRFD Table 14.6.2-1 says the same of knuckles"


def _frames(demand: Demand, basis: Basis) -> Iterator[PinBearing]:
    """Pins of the series by rising diameter, with lugs that carry the demand, without plates."""
    made = materials.thickest(materials.default("pin", basis))
    for diameter in series.sizes("pins", basis.family):
        if diameter <= made:
            frame = _lightest_joint(diameter, demand, basis)
            if frame is not None:
                yield frame


def _lightest_joint(diameter: float, demand: Demand, basis: Basis) -> PinBearing | None:
    """Lugs that make a pin lightest of the thinnest few; None where no plate suits."""
    cases = ultimate(demand, basis)
    family = basis.family
    blank = blank_plate(materials.default("plate", basis))
    found: list[PinBearing] = []
    for outer in series.sizes("plates", family):
        # Thicker lugs relieve the holes and bend the pin more: past this width it only gets worse.
        if outer > diameter or len(found) == _LUGS_TRIED:
            break
        middle = series.at_least("plates", family, 2.0 * outer)
        if middle is None or middle > materials.thickest(materials.default("plate", basis)):
            break
        bearing = PinBearing(
            diameter=diameter,
            hole=diameter + sizes.number(basis, "pin.play", _PLAY),
            middle=middle,
            outer=outer,
            gap=_GAP,
            lug_width=0.0,
            height_below=0.0,
            height_above=0.0,
            weld=0.0,
            steel_pin=materials.default("pin", basis),
            steel_plate=materials.default("plate", basis),
            base=blank,
            sole=blank,
        )
        lines = joint_lines(joint_of(bearing, basis), cases, demand.service, basis)
        failing = [line.title for line in lines if (line.utilisation or 0.0) > 1.0]
        if any(title.startswith(("Bending", "Shear")) for title in failing):
            # Thicker lugs bend the pin more and shear it no less.
            break
        if failing:
            continue
        made = _with_lugs(bearing, cases, basis)
        if made is not None:
            found.append(made)
    return min(found, key=_likely_mass, default=None)


def _with_lugs(bearing: PinBearing, cases: Sequence[DemandCase], basis: Basis) -> PinBearing | None:
    """Lugs wide and high enough round the hole, with their welds."""
    side, end = _SIDE * bearing.diameter, _END * bearing.diameter
    if basis.family == "eurocode":
        joint = joint_of(bearing, basis)
        pull = max(max(abs(case.Hx), -case.N) for case in cases)
        for share, thickness in ((0.5, bearing.outer), (1.0, bearing.middle)):
            along, across = en_pins.least_edges(basis.values, share * pull, joint, thickness)
            side, end = max(side, across), max(end, along)
    height = series.length(bearing.hole / 2.0 + end + _CLEAR, 0.005)
    for grow in range(12):
        trial = replace(
            bearing,
            lug_width=series.length(bearing.hole + 2.0 * side, 0.005) + 0.25 * grow * bearing.hole,
            height_below=height,
            height_above=height,
        )
        trial = replace(trial, lug_width=series.length(trial.lug_width, 0.005))
        if max(line.utilisation or 0.0 for line in lug_stress_lines(trial, cases, basis)) > 1.0:
            continue
        for weld in series.sizes("welds", basis.family):
            trial = replace(trial, weld=weld)
            if max(line.utilisation or 0.0 for line in lug_weld_lines(trial, cases, basis)) <= 1.0:
                return trial
    return None


def _seating_cases(
    bearing: PinBearing,
    cases: Sequence[DemandCase],
    basis: Basis,
    above: bool,
    plate: float,
) -> list[SeatingCase]:
    """Forces at the outer face of a plate (thickness m); the pin's friction resists rotation."""
    arm = (bearing.height_above if above else bearing.height_below) + plate
    mu = sizes.number(basis, "pin.friction", _FRICTION, most=1.0)
    patch_y = bearing.middle if above else bearing.span
    return [
        SeatingCase(
            limit_state=case.limit_state,
            name=case.name,
            N=case.N,
            Hx=case.Hx,
            Hy=case.Hy,
            patch_x=bearing.lug_width,
            patch_y=patch_y,
            overturning_x=abs(case.Hx) * arm
            + abs(case.My)
            + mu * resultant(case) * bearing.diameter / 2.0,
            overturning_y=abs(case.Hy) * arm + abs(case.Mx),
        )
        for case in cases
    ]


def _seated(bearing: PinBearing, demand: Demand, basis: Basis) -> PinBearing:
    cases = partial(_seating_cases, bearing, ultimate(demand, basis), basis)
    base, sole = sized_plates(cases, (bearing.lug_width, bearing.pin_length), demand, basis)
    return replace(bearing, base=base, sole=sole)


def _design(bearing: PinBearing, demand: Demand, basis: Basis) -> Design:
    cases = ultimate(demand, basis)
    pin = materials.steel(bearing.steel_pin, bearing.diameter, basis)
    plate = materials.steel(bearing.steel_plate, max(bearing.middle, bearing.outer), basis)
    lines = [
        placed(line, line.part, line.case, pin.basis, plate.basis)
        for line in joint_lines(joint_of(bearing, basis), cases, demand.service, basis)
    ]
    lines += lug_stress_lines(bearing, cases, basis) + lug_weld_lines(bearing, cases, basis)
    lines.append(rotation_line(bearing, demand))
    lines += plate_lines(bearing, partial(_seating_cases, bearing, cases, basis), demand, basis)
    notes = ["the axis of the pin lies along y'; collars against the lugs hold y'"]
    if demand.uplift > 0.0 and basis.family == "eurocode":
        notes.append(
            "EN 1337-1 has no rules for bearings that lift; pin, lugs and anchors are checked as "
            "steel and concrete under the pull"
        )
    return plated(
        "pin",
        bearing,
        own_parts(bearing),
        lines,
        basis,
        play=(bearing.hole - bearing.diameter) / 2.0,
        horizontal=demand.largest("Hx"),
        notes=notes,
    )


def _likely_mass(bearing: PinBearing) -> float:
    """Mass (kg) with two plates of 50 mm over lugs and pin, before these are sized."""
    plan = bearing.lug_width * bearing.pin_length
    return mass_of(own_parts(bearing)) + 2.0 * 0.05 * plan * materials.STEEL_DENSITY
