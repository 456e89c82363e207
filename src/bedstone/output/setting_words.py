"""Sentences about setting a bearing, the same in the terminal, on a card and in a report."""

from __future__ import annotations

import math

from bedstone.output.shown import figure, plain
from bedstone.site.setting import Setting, Window
from bedstone.site.stages import StageEffect

#: What the signs of every table and card mean.
SIGNS = (
    "Signs: x' along the bearing's own direction, + toward rising chainage; y' to its left. An "
    "offset is the upper part's middle against the lower part's. Temperatures are those of the "
    "steel, not of the air."
)
COLUMNS = (
    "Offset: upper plate (sole or slide plate) against the lower one. Rollers: their middle "
    "against that of the lower plate, half of the offset; stop: gap from roller to stop. Overhang: "
    "slide plate beyond the sheet. Behind and ahead: at the end against x' and with it; right and "
    "left: across. Spare: travel left at the design extremes if set by this row, before the error "
    "budget."
)
JOINT = (
    "Joint: square to the joint at road level; + wider than at the middle temperature with all "
    "that is still to come. Closes: at most after the day, serviceability limit states, extremes "
    "of movement and rotation added."
)


def mm(value: float, places: int = 1) -> str:
    """A length (m) in mm with its sign."""
    text = figure(value * 1e3, places)
    return text if text == "0" or text.startswith("−") else f"+{text}"


def size(value: float, places: int = 1) -> str:
    """The size of a length (m) in mm, without a sign."""
    return figure(abs(value) * 1e3, places)


def degrees(temperature: float) -> str:
    """A temperature, degC."""
    return f"{figure(temperature, 0 if float(temperature).is_integer() else 1)} degC"


def joint(found: Setting) -> list[str]:
    """The joint above a seat whose joint hardly follows the temperature."""
    openings = [row.opening for row in found.rows if row.opening is not None]
    if not openings or joint_varies(found):
        return []
    closes = max(item.closes for item in openings)
    told = (
        f"Joint above it: {mm(openings[0].change)} mm against its width when all has come; closes "
        f"by {size(closes)} mm at most."
    )
    return [told]


def joint_varies(found: Setting) -> bool:
    """Whether the joint above a seat follows the temperature by what a rule can read."""
    changes = [row.opening.change for row in found.rows if row.opening is not None]
    return bool(changes) and max(changes) - min(changes) > 0.5e-3


def title(found: Setting) -> str:
    """Seat, kind, function and how it moves."""
    return plain(f"{found.seat}: {found.kind or 'bearing'}, {found.function}, {found.form}")


def free_axes(found: Setting) -> list[int]:
    """0 for x', 1 for y': directions in which the bearing moves."""
    return [axis for axis, held in enumerate(found.held) if not held]


def stage(found: Setting) -> str:
    """When it is set, and what it carries then and in the end."""
    when = f'after stage "{found.set_at}"' if found.set_at else "before the first stage"
    return plain(
        f"Set {when}: carries {figure(found.load_set / 1e3, 0)} kN then, "
        f"{figure(found.load_final / 1e3, 0)} kN under all permanent actions."
    )


def rule(found: Setting) -> list[str]:
    """The line of the table as a formula, for each free direction."""
    sentences = []
    if found.form == "shears":
        return ["Set without shear, at any temperature of the window: no offset."]
    for axis in free_axes(found):
        speed, rest = found.growth.own[axis], found.remaining[axis]
        later = size(rest)
        come_later = f" {'−' if rest > 0.0 else '+'} {later} mm" if later != "0" else ""
        sentences.append(
            f"Offset along {'xy'[axis]}' = {mm(speed, 3)} mm/degC × (T − "
            f"{degrees(found.datum)}){come_later}."
        )
    return sentences


def come(found: Setting, axis: int) -> list[tuple[StageEffect, float]]:
    """What comes after setting and moves the bearing along x' (0) or y' (1), with how far (m)."""
    pairs = [(item, (item.vx, item.vy)[axis]) for item in found.stages if not item.before]
    return [(item, value) for item, value in pairs if abs(value) >= 0.5e-4]


def still_to_come(found: Setting) -> list[str]:
    """Movement and rotation after setting, and what the stages before it have done."""
    early = [item for item in found.stages if item.before]
    sentences = []
    for axis in free_axes(found):
        parts = ", ".join(f"{item.name} {mm(value)}" for item, value in come(found, axis))
        sentences.append(
            f"Still to come along {'xy'[axis]}': {mm(found.remaining[axis])} mm "
            f"({parts or 'nothing'})."
        )
    sentences.append(rotation(found))
    if early:
        told = "; ".join(
            f"{item.name}: {mm(item.vx)} mm, {figure(item.ry * 1e3, 2)} mrad" for item in early
        )
        sentences.append(
            f"Before setting, on the erection supports (along x', about y'): {told}. None of it is "
            "the bearing's."
        )
    return [plain(sentence) for sentence in sentences]


def rotation(found: Setting) -> str:
    """Rotation still to come, and by how much the upper plate is set out of level against it."""
    rx, ry = found.turns
    told = (
        f"Rotation still to come: {figure(rx * 1e3, 2)} mrad about x', {figure(ry * 1e3, 2)} mrad "
        "about y'"
    )
    if found.design is None:
        return f"{told}."
    length = found.design.length
    # about y', + dips the end ahead: set against it that end stands high
    rise = mm(ry * length)
    return (
        f"{told}; to be level in the end, set the upper plate with its end ahead {rise} mm against "
        f"the end behind, over {size(length, 0)} mm."
    )


def growth(found: Setting) -> list[str]:
    """How far and where temperature moves it, with alpha L beside."""
    own, plain_one = found.growth.own, found.growth.plain
    if found.form == "holds":
        return []
    told = ", ".join(f"{mm(own[axis], 3)} mm/degC along {'xy'[axis]}'" for axis in free_axes(found))
    sentences = [f"Temperature moves it {told} (the arrangement's own solution)."]
    if len(free_axes(found)) == 2 and found.growth.moves:
        turn = math.degrees(found.growth.angle)
        side = "left" if turn >= 0.0 else "right"
        sentences.append(f"That is {figure(abs(turn), 1)} deg to the {side} of x'.")
    away = math.degrees(_turned(found.angle - found.axis_angle))
    if abs(away) >= 0.05:
        side = "left" if away >= 0.0 else "right"
        sentences.append(
            f"x' points {figure(abs(away), 1)} deg to the {side} of the bridge's axis."
        )
    reach = found.growth.from_point
    if plain_one is not None and reach is not None:
        parts = []
        for axis in free_axes(found):
            off = own[axis] - plain_one[axis]
            share = abs(off / plain_one[axis]) if abs(plain_one[axis]) > 1e-9 else None
            words = f"alpha L {mm(plain_one[axis], 3)} (L {figure(reach[axis], 2)} m)"
            parts.append(
                f"along {'xy'[axis]}' {words}, "
                + ("nothing to compare" if share is None else f"{share:.1%} off")
            )
        sentences.append(f"Check: {'; '.join(parts)}.")
    else:
        sentences.append("Check by alpha L: no fixed bearing on this piece to count from.")
    return [plain(sentence) for sentence in sentences]


def budget(found: Setting) -> list[str]:
    """The error budget in each free direction."""
    sentences = []
    for axis in free_axes(found):
        part = found.budget[axis]
        sentences.append(
            f"Error along {'xy'[axis]}': ± {size(part.total)} mm (thermometer "
            f"{size(part.temperature)}, survey {size(part.survey)}, still to come "
            f"{size(part.remaining)}, stiffness below {size(part.stiffness)}); air taken for "
            f"steel would add {size(part.air)}."
        )
    if free_axes(found) and found.allowance > 0.05:
        sentences.append(
            f"The design movements hold {figure(found.allowance, 0)} K besides, the family's own "
            "allowance for the day of setting."
        )
    return sentences


def between(window: Window) -> str:
    """A window in words."""
    if window.first is None or window.last is None:
        return "at no temperature of the range"
    if window.whole:
        return (
            f"at any temperature of the range ({degrees(window.first)} to {degrees(window.last)})"
        )
    return f"from {figure(window.first, 0)} to {degrees(round(window.last))}"


def windows(found: Setting) -> list[str]:
    """Where the middle position, or the offset of the file's temperature, may be left."""
    if found.upright is None or found.fixed_offset is None:
        if found.moves:
            return [
                "Nothing known ends its movement: no window (design the bearing, or give stops)."
            ]
        return []
    stand = "upright" if found.form == "rolls" else "in its middle"
    sentences = [f"May be left {stand} (no offset) {between(found.upright)}."]
    if found.form != "shears":
        told = found.temperatures
        kind = "of the file" if told.told else "usual with the family"
        offsets = ", ".join(
            f"{mm(found.fixed_offset.offset[axis])} mm along {'xy'[axis]}'"
            for axis in free_axes(found)
        )
        sentences.append(
            f"Fixed at the works for {degrees(told.setting)} ({kind}; {offsets}) it may be left "
            f"{between(found.fixed_offset)}."
        )
    short = [row for row in found.rows if row.left is not None and row.left < found.most]
    if short:
        worst = min(short, key=lambda row: row.left or 0.0)
        assert worst.left is not None
        sentences.append(
            f"TRAVEL DOES NOT SUFFICE: set by the row of {degrees(worst.temperature)}, "
            f"{mm(worst.left)} mm are left at the extremes, less than the budget of "
            f"{size(found.most)} mm"
            + (f" ({len(short)} of {len(found.rows)} rows)." if len(short) > 1 else ".")
        )
    return sentences


def guides(found: Setting) -> list[str]:
    """Gaps of what holds it, alike at all temperatures."""
    return [
        plain(
            f"{end.what}: {size(end.ahead)} mm clear on each side along {end.axis}', the same on "
            "both; at all temperatures."
        )
        for end in found.ends
        if end.holds
    ]


def general(found: Setting | None = None) -> list[str]:
    """What to do at every bearing, or at one."""
    first = (
        "Take the temperature of the steel at three places in the shade, not that of the air; "
        "write down all three and take the mean."
    )
    second = (
        "Read the offset in the table at that temperature, between rows along a straight line. "
        "Measure it at the left and at the right side: both alike, or the bearing stands askew."
    )
    third = "Clamp, grout or weld in that position; take transport clamps off before the next load."
    holds = found is not None and found.form == "holds"
    return [first, third] if holds else [first, second, third]


def landed(found: Setting) -> list[str]:
    """What to do at this bearing if the span was landed at another temperature, with numbers."""
    lift = size(found.tolerances.number("lift"), 0)
    if found.form == "holds":
        return ["It holds: set it first, in its middle; all offsets count from it."]
    if found.form == "shears":
        told = (
            f"Landed at another temperature: lift one end by {lift} mm at most at a temperature of "
            "the window, let the pad come back to its shape, set down."
        )
        return [told]
    axis = max(free_axes(found), key=lambda axis: abs(found.growth.own[axis]))
    ten = found.growth.own[axis] * 10.0
    rollers = f", the rollers {mm(ten / 2.0)} mm" if found.form == "rolls" else ""
    between_plates = " with the rollers half-way" if found.form == "rolls" else ""
    shift = (
        "Landed with the offset of another temperature: shift = offset of the day's row − offset "
        f"measured (10 degC warmer: {mm(ten)} mm along {'xy'[axis]}'{rollers})."
    )
    then, finished = (figure(load / 1e3, 0) for load in (found.load_set, found.load_final))
    jack = (
        f"To shift, jack this seat free: about {then} kN at the stage of setting, {finished} kN "
        f"when finished; one end at a time, lift {lift} mm at most. The span stays where its "
        f"fixed bearing holds it; move the plate that is not yet fast (lower plate "
        f"before grouting, upper one before welding){between_plates}; "
        "set down, measure again, write down."
    )
    return [shift, jack, *recentred(found)]


def recentred(found: Setting) -> list[str]:
    """By how much the table changes where a bearing is set again after a later stage."""
    axes = [axis for axis in free_axes(found) if come(found, axis)]
    if not axes:
        return []
    parts = []
    sums = [0.0, 0.0]
    for item in (item for item in found.stages if not item.before):
        sums = [sums[0] + item.vx, sums[1] + item.vy]
        told = ", ".join(f"{mm(sums[axis])} mm along {'xy'[axis]}'" for axis in axes)
        parts.append(f"{item.name}: {told}")
    return [plain(f"Set again later: add to every offset of the table after {'; '.join(parts)}.")]


def cautions(found: Setting) -> list[str]:
    """What goes wrong with this kind of bearing on the day."""
    level = found.tolerances.number("level" if found.form in ("rolls", "slides") else "level_other")
    told = [f"Plates level within {figure(level * 1e3, 0)} mm per m, both ways."]
    if found.form == "rolls":
        told.append("Rollers square to the movement; tooth and link bars free; tracks clean, dry.")
        if found.design is not None and found.design.rollers and found.design.rollers.number > 1:
            told.append("Feeler: every roller in contact over its whole length.")
    elif found.form == "slides":
        told.append("Slide surface clean, no scratch, no weld spatter; cover against grit.")
    elif found.form == "shears":
        told.append("No edge of the pad free; no grout over the plinth's edge against it.")
    told.append("Sun on one side bends the span: set early in the morning or under cloud.")
    return told


def _turned(angle: float) -> float:
    """An angle between − pi and pi, rad."""
    return math.atan2(math.sin(angle), math.cos(angle))
