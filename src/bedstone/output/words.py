"""Sentences about a schedule, the same in the terminal, on a page and in a report."""

from __future__ import annotations

import math
from collections.abc import Sequence

from bedstone.output.shown import decimals, figure, plain
from bedstone.schedule.result import Checks, Schedule, SeatInfo
from bedstone.standards.values import Value

_DIRECTIONS = ("x", "y", "z", "rx", "ry", "rz")


def title(schedule: Schedule) -> str:
    """Name and reference of the bridge."""
    reference = f" ({schedule.reference})" if schedule.reference else ""
    return plain(f"{schedule.bridge}{reference}")


def basis(schedule: Schedule) -> list[str]:
    """By what the schedule was made and on which arrangement."""
    periods = ""
    if schedule.periods is not None:
        along, across = schedule.periods
        periods = f" Periods {along:.2f} s along, {across:.2f} s across."
    return [
        plain(f"{schedule.standard_title}: {schedule.edition}"),
        plain(
            f"Arrangement: {schedule.arrangement}; bearings set: {schedule.set_at}; held in plan "
            f"{times(schedule.redundancy)} beyond what is needed.{periods}"
        ),
    ]


def times(number: int) -> str:
    """Once, twice, 3 times."""
    return {0: "nowhere", 1: "once", 2: "twice"}.get(number, f"{number} times")


def remarks(schedule: Schedule) -> dict[str, list[str]]:
    """Locked temperature forces, uplift and notes, where there are any."""
    found = {
        "Locked temperature forces": locked(schedule),
        "Uplift": uplift(schedule),
        "Notes": [plain(note) for note in schedule.notes],
    }
    return {head: sentences for head, sentences in found.items() if sentences}


def locked(schedule: Schedule) -> list[str]:
    """Forces of temperature that the arrangement locks in."""
    sentences = []
    for item in schedule.locked:
        force, per_kelvin = item.force / 1e3, item.per_kelvin / 1e3
        sentences.append(
            plain(
                f"{item.place}, {item.direction}: {figure(force, decimals([force]))} kN over the "
                f"temperature range, {figure(per_kelvin, 3)} kN per kelvin"
            )
        )
    return sentences


def uplift(schedule: Schedule) -> list[str]:
    """Bearings that would lift, and what it takes to hold them."""
    sentences = []
    for item in schedule.uplift:
        if item.held:
            rest = "the bearing holds it"
        elif math.isinf(item.gap):
            rest = "the bridge does not stand unless it is held down"
        else:
            rest = f"opens {_gap(item.gap)} if not held"
        force = item.hold_down / 1e3
        sentences.append(
            plain(
                f"{item.seat}, {item.limit_state}: {figure(force, decimals([force]))} kN to hold "
                f"it down; {rest} ({item.combination})"
            )
        )
    return sentences


def _gap(gap: float) -> str:
    """A gap (m) in mm; below 0.1 mm to a hundredth, so that what opens never reads as nothing."""
    millimetres = gap * 1e3
    if 0.0 < millimetres < 0.005:
        return "less than 0.01 mm"
    return f"{millimetres:.{2 if millimetres < 0.1 else 1}f} mm"


def self_check(schedule: Schedule) -> str:
    """What the analysis says of itself, in one line."""
    if _without_model(schedule.checks):
        return (
            "No self-check: the effects were brought from elsewhere; there is no model here, and "
            "nothing of one was checked."
        )
    checks = schedule.checks
    worst = max(
        checks.equilibrium,
        checks.compatibility,
        checks.symmetry,
        checks.rigid_body,
        checks.solution,
    )
    return (
        f"Self-check: worst relative residual {worst:.0e}; error of the traffic envelopes at most "
        f"{checks.influence_error:.2%}; permanent weight put in {checks.weight_applied / 1e3:.1f} "
        f"kN, found at the bearings {checks.weight_found / 1e3:.1f} kN."
    )


def _without_model(checks: Checks) -> bool:
    """Whether no model was made: rounding leaves something in one of these wherever one was."""
    residuals = (checks.symmetry, checks.rigid_body, checks.solution, checks.weight_applied)
    return not any(residuals)


def from_memory(schedule: Schedule) -> str:
    """Which values of the standards were recalled, not read; empty if none."""
    return memory_note(schedule.memory)


def memory_note(recalled: Sequence[Value]) -> str:
    """The sentence that names values known from memory; empty if there are none."""
    if not recalled:
        return ""
    count = len(recalled)
    names = ", ".join(value.name for value in recalled)
    values = "1 value" if count == 1 else f"{count} values"
    return f"From memory, confirm against the printed clause ({values}): {names}."


def holds(seat: SeatInfo) -> str:
    """Directions that a bearing holds and those it holds by springs: ``z, sprung x y``."""
    pairs = list(zip(_DIRECTIONS, seat.held, seat.sprung, strict=True))
    sprung = " ".join(name for name, _, is_sprung in pairs if is_sprung)
    held = " ".join(name for name, is_held, is_sprung in pairs if is_held and not is_sprung)
    return ", ".join(part for part in (held, f"sprung {sprung}" if sprung else "") if part)


def friction(seat: SeatInfo) -> str:
    """Adverse and relieving coefficient of friction; empty if none acts."""
    if seat.friction is None:
        return ""
    adverse, relieving = seat.friction
    return f"{adverse:.3g} / {relieving:.3g}"
