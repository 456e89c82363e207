"""Sentences about lifting bearings free, the same in the terminal and in a report."""

from __future__ import annotations

from collections.abc import Sequence

from bedstone.output.shown import figure, plain
from bedstone.site.replacement.result import Held, Lift
from bedstone.standards.values import Value

SIGNS = (
    "Signs: + in compression; along: toward rising chainage, across: to the left; turns "
    "right-handed about x' and y' of the bearing. Lift: travel of the heads of the jacks from "
    "touching. Forces of bearings and jacks are characteristic, design forces are named so."
)
NOT_COVERED = (
    "Not covered: local bearing and buckling of web, stiffeners, diaphragm and cross beam over a "
    "jack, pressure below it, hydraulics joined to equal pressure, and tilt of the jack's head."
)
#: Change of temperature (K) that does not come while a bridge stands on jacks.
_NO_MATTER = 50.0
#: Parts of the largest below which a change is not told.
_TOLD = 0.02


def kN(value: float, places: int = 0) -> str:
    """A force (N) in kN."""
    return figure(value * 1e-3, places)


def mm(value: float, places: int = 1) -> str:
    """A length (m) in mm."""
    return figure(value * 1e3, places)


def marks(names: Sequence[str]) -> str:
    """Marks in a row."""
    return ", ".join(names)


def title(found: Lift) -> str:
    """What is lifted."""
    what = "whole line" if not found.partial else f"without {marks(found.partial)}"
    where = marks(found.supports)
    return plain(f"Lifting {marks(found.seats)} free at {where} ({what})")


def basis(found: Lift) -> str:
    """Under which loads."""
    told = "kept on" if found.traffic else "kept off"
    return (
        "Under permanent load, the superstructure as it carries traffic, supports as given; "
        f"traffic {told}."
    )


def need(found: Lift) -> str:
    """How much lift, and whether it is allowed."""
    own = found.need
    if own.total is None:
        return (
            f"NOT ENOUGH LIFT: an opening of {mm(own.clearance)} mm over every bearing is not "
            f"reached within {mm(own.tried, 0)} mm. Looked at: {mm(found.lift)} mm."
        )
    start = "hand over their load at once (rigid under load)"
    if own.free is not None and own.free > 0.0:
        start = f"are all free at {mm(own.free, 2)} mm"
    text = (
        f"The bearings {start}; with {mm(own.clearance)} mm over each the lift is "
        f"{mm(own.total, 2)} mm, of {mm(own.allowed)} mm allowed."
    )
    if not own.enough:
        text = f"MORE LIFT THAN ALLOWED. {text}"
    if found.lift > own.allowed * (1.0 + 1e-9):
        text = f"BEYOND WHAT IS ALLOWED: looked at here is a lift of {mm(found.lift, 2)} mm. {text}"
    elif found.lift < own.total - 1e-6 and own.enough:
        text = f"NOT ENOUGH: looked at here is a lift of {mm(found.lift, 2)} mm. {text}"
    elif abs(found.lift - own.total) > 1e-6:
        text += f" Looked at here: {mm(found.lift, 2)} mm."
    return text


def stiffness(found: Lift) -> list[str]:
    """Forces for a millimetre."""
    told = [
        f"All jacks together: {kN(found.line_stiffness * 1e-3, 1)} kN for each mm more, once free."
    ]
    if len(found.seats) > 1:
        step = found.tolerances.number("out_of_step")
        worst = max(found.seats, key=lambda mark: found.stiffness[mark][mark])
        row = found.stiffness[worst]
        other = min((m for m in found.seats if m != worst), key=lambda mark: row[mark])
        told.append(
            f"One seat ahead of the others, worst at {worst}: {kN(row[worst] * 1e-3)} kN more for "
            f"each mm and {kN(row[other] * 1e-3)} kN at {other}; with {mm(step)} mm allowed "
            f"between jacks {kN(row[worst] * step)} kN. A new bearing that much too high does the "
            "same for good."
        )
    return told


def capacity(found: Lift) -> str:
    """The least rated capacity of the jacks, and the rule it comes from."""
    line = max((jack.checks[0] for jack in found.jacks), key=lambda item: item.value)
    used = found.tolerances.number("used")
    factors = ", ".join(
        f"{item.symbol} = {figure(item.value, 2)}" for item in line.inputs if item.unit == ""
    )
    return (
        f"Rated capacity of a jack at least {kN(line.value / used)} kN, {used:.0%} of it used. "
        f"Design force: {line.formula} with {factors} ({line.standard}, {line.clause}; "
        f"{line.basis}): {line.note}."
    )


def joint(found: Lift) -> list[str]:
    """The step at the joint above a lifted line."""
    if not found.joints:
        return []
    told = f"The deck stands up by {mm(found.lift)} mm at the joint over {marks(found.joints)}"
    return [f"{told}{': traffic runs over that step' if found.traffic else ''}."]


def off_centre(found: Lift) -> list[str]:
    """What jacks before or behind their bearings bring to the support, under permanent load."""
    told = []
    for support in found.supports:
        own = {item.seat for item in found.bearings if item.support == support}
        moment = sum(jack.lifted * jack.along for jack in found.jacks if jack.seat in own)
        if abs(moment) > 1e3:
            way = "ahead" if moment > 0.0 else "back"
            told.append(
                f"Jacks off the line of the bearings turn {support} {way} with {kN(abs(moment))} "
                "kN m of permanent load."
            )
    return told


def neighbours(found: Lift) -> list[str]:
    """What the lift does to the bearings that stay."""
    told = []
    staying = [item for item in found.bearings if not item.jacked]
    largest = max((item.before for item in found.bearings), default=0.0)
    changed = [item for item in staying if abs(item.change) > _TOLD * largest]
    changed.sort(key=lambda item: -abs(item.change))
    if changed:
        each = ", ".join(
            f"{item.seat} {kN(item.before)} to {kN(item.after)} kN" for item in changed[:6]
        )
        more = f" and {len(changed) - 6} more" if len(changed) > 6 else ""
        told.append(f"Bearings that stay: {each}{more}.")
    elif staying:
        told.append(f"No bearing that stays changes by more than {_TOLD:.0%} of the heaviest.")
    if found.unloads:
        told.append(f"OTHER BEARINGS COME FREE: {marks(found.unloads)}.")
    if found.overloads:
        told.append(
            f"OVERLOADED: {marks(found.overloads)}: more than they are designed for in service."
        )
    turned = max(staying, key=lambda item: max(map(abs, item.turns)), default=None)
    if turned is not None and max(map(abs, turned.turns)) > 1e-7:
        x, y = turned.turns
        told.append(
            f"Largest turn of a bearing that stays: {turned.seat}, {figure(x * 1e3, 2)} mrad about "
            f"x' and {figure(y * 1e3, 2)} mrad about y'."
        )
    return told


def alone(found: Lift) -> list[str]:
    """Whether the seats can be lifted one by one."""
    if found.together is None:
        return []
    most = max(item.force for item in found.alone)
    usual = max(sum(j.lifted for j in found.jacks if j.seat == mark) for mark in found.seats)
    ratio = most / usual if usual > 0.0 else 1.0
    if found.together:
        bad = [item.seat for item in found.alone if not item.possible]
        return [f"LIFT ALL TOGETHER: not to be lifted alone: {marks(bad)}."]
    text = "Lifted one by one, no other bearing comes free"
    known = any(item.greatest is not None for item in found.bearings)
    text += " or is overloaded" if known else " (what they may carry is not known here)"
    if ratio > 1.05:
        text += (
            f"; but a jack then lifts {kN(most)} kN at one seat, {figure(ratio, 1)} times what it "
            "does when all go together, and cross members carry the difference"
        )
    return [f"{text}."]


def restraint(found: Lift) -> list[str]:
    """What holds in plan."""
    own = found.restraint
    told = []
    for words, names in zip(("along", "across"), own.holds, strict=True):
        told.append(f"Holding {words} meanwhile: {marks(names) or 'no bearing'}.")
    if own.motions:
        told.append(
            f"TEMPORARY RESTRAINT IS NEEDED: with these bearings out {'; '.join(own.motions)}. It "
            "goes in before the jacks are pressed and stays until the new bearings carry."
        )
        told += [held(item) for item in own.temporary]
        told.append(
            "These are the forces that the bearings would hold there, temperature over its whole "
            "range; an earthquake is not in them."
        )
    gained = [
        (mark, name, before, after)
        for mark, name, before, after in own.more
        if after > before * 1.05 + 1e3
    ]
    if gained:
        each = ", ".join(
            f"{mark} {name} {kN(before)} to {kN(after)} kN" for mark, name, before, after in gained
        )
        told.append(
            f"The bearings that stay then hold more (greatest of all limit states): {each}."
        )
    for mark, (x, y) in own.released.items():
        if max(abs(x), abs(y)) > 1e3:
            told.append(
                f"{mark} gives up {kN(x)} kN along x' and {kN(y)} kN along y' of permanent load "
                "when it is freed."
            )
    lifts = [mark for mark, value in own.least.items() if value < 0.0]
    if lifts:
        told.append(f"WIND OR TRAFFIC LIFTS the bridge off its jacks at {marks(lifts)}.")
    return told


def held(item: Held) -> str:
    """What temporary restraint must take at one place."""
    each = ", ".join(
        f"{action.removeprefix('traffic:')} {kN(x)} / {kN(y)}"
        for action, (x, y) in item.actions.items()
    )
    text = f"{item.place}, {item.state}: {kN(item.along)} kN along, {kN(item.across)} kN across"
    if item.state.startswith("SLS"):
        return f"{text}. By action, along / across: {each}."
    return f"{text}."


def weather(found: Lift) -> str:
    """Movement while it stands on jacks."""
    own = found.restraint
    if own.window is None or own.window > _NO_MATTER:
        return "Temperature moves the bridge on these jacks in plan by next to nothing."
    allowed = found.tolerances.number("shift")
    return (
        f"Temperature moves the bridge on these jacks by {figure(own.shift * 1e3, 2)} mm/K: set a "
        f"jack anew after {figure(own.window, 0)} K ({mm(allowed)} mm). Lift in calm weather, with "
        "the steel temperature read when the bearings come free and when the new ones take over."
    )


def order_of_work(found: Lift) -> list[str]:
    """The stages in order, with this lift's numbers."""
    step, apart = found.tolerances.number("step"), found.tolerances.number("out_of_step")
    first = (
        "Keep traffic to what was taken here, slow and away from the joint."
        if found.traffic
        else "Close the bridge to traffic while it is lifted and until it is locked."
    )
    steps = [first]
    if found.restraint.motions:
        steps.append("Put in the temporary restraint and make it tight.")
    steps += [
        "Free joints, parapets, pipes and cables over the line; loosen anchors and transit bolts.",
        "Set all jacks to touch; read levels, gaps and steel temperature as zero.",
        (
            f"Lift {'all jacks together' if len(found.jacks) > 1 else 'the jack'} by steps of "
            f"{mm(step)} mm, not more than {mm(apart)} mm apart, lock nuts following; compare the "
            "forces with the table at every step and stop where they differ by more than a tenth."
        ),
        f"Stop at {mm(found.lift, 2)} mm and lock: nothing stays on oil pressure.",
        (
            "Change the bearings; set the new ones to the level of the old ones and to the offset "
            "of the day."
        ),
        "Lower by the same steps until the new bearings carry; compare forces and levels again.",
    ]
    if found.restraint.motions:
        steps.append("Take the temporary restraint out last.")
    return steps


def checks(found: Lift) -> str:
    """What the result says of itself."""
    own = found.checks
    return (
        f"Self-check: equilibrium {own.equilibrium:.0e}, lift at the jacks {own.compatibility:.0e},"
        f" reciprocity {own.reciprocity:.0e}, solution {own.solution:.0e} (relative)."
    )


def recalled(found: Lift) -> list[Value]:
    """Values from memory on which it leans, by name."""
    values = {item.name: item for item in found.memory}
    values |= {v.name: v for v in found.tolerances.values.values() if v.basis == "memory"}
    return [values[name] for name in sorted(values)]
