"""Parts of pages as HTML: tables of forces, the chosen bearing. Text in, text out; all escaped."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from html import escape
from typing import Final

from bedstone.bridge.schema import Seat
from bedstone.comparison.screen import Look
from bedstone.output.shown import UNITS, figure, shown
from bedstone.workspace.live import Moved, Standing
from bedstone.workspace.visible import visible

#: Columns of the table of forces: head, effect, sense.
FORCES: Final = (
    ("V max", "V", "max"),
    ("V min", "V", "min"),
    ("Fx", "Fx", "abs"),
    ("Fy", "Fy", "abs"),
    ("Mx", "Mx", "abs"),
    ("My", "My", "abs"),
)
_SEAT_ROWS: Final = (
    ("N", "ULS"),
    ("Hx", "ULS"),
    ("Hy", "ULS"),
    ("vx", "SLS"),
    ("vy", "SLS"),
    ("ry", "SLS"),
)
#: A difference below this part of the value is no change.
_SAME: Final = 5e-4


def states(look: Look, wanted: str) -> str:
    """Part of the names of limit states to be looked at; empty (all) where none is called so."""
    return wanted if any(wanted in name for name in look.limit_states) else ""


def governing(look: Look, place: str, effect: str, sense: str, wanted: str = "ULS") -> float:
    """An extreme in shown units; ``abs``: the one of largest size with its sign."""
    own = states(look, wanted)
    top = look.extreme(place, effect, "max", own)
    low = look.extreme(place, effect, "min", own)
    value = top if sense == "max" or (sense == "abs" and top >= -low) else low
    return shown(effect, value)


def forces(now: Look | None, before: Look | None, against: str) -> str:
    """Before and after for each abutment and pier."""
    if now is None:
        return ""
    heads = "".join(
        f'<th scope="col">{head}<span class="unit">{UNITS[effect]}</span></th>'
        for head, effect, _ in FORCES
    )
    rows = []
    differs = False
    for mark in now.layout.supports:
        cells = []
        for head, effect, sense in FORCES:
            value = governing(now, mark, effect, sense)
            old = None
            if before is not None and mark in before.layout.supports:
                old = governing(before, mark, effect, sense)
            size = sense == "abs"
            cells.append(_cell(value, old, f"{mark} {head}", size=size))
            differs = differs or _more(value, old, size=size) != 0.0
        rows.append(f'<tr><th scope="row">{escape(mark)}</th>{"".join(cells)}</tr>')
    return (
        f'<table class="forces{"" if differs else " quiet"}"><caption>Forces of the bridge on its '
        f"supports: governing values of the ultimate limit states; below each the value "
        f"{escape(_words(against))} and the difference (Fx to My: of the size)</caption>"
        f"<thead><tr>"
        f'<th scope="col">support</th>{heads}</tr></thead><tbody>{"".join(rows)}</tbody></table>'
    )


def summary(now: Look | None, before: Look | None) -> str:
    """Movements at the joints, least compression, largest horizontal force on one bearing."""
    if now is None:
        return ""
    items = []
    for name, value, unit, where in measures(now):
        old = None
        if before is not None:
            old = next((item[1] for item in measures(before) if item[0] == name), None)
        items.append(
            f"<div><dt>{escape(name)}</dt><dd><b>{_number(value)}</b> {unit}"
            f"{f' <span>at {escape(where)}</span>' if where else ''}"
            f"{_difference(value, old, size=name != 'Least N')}</dd></div>"
        )
    return f'<dl class="summary">{"".join(items)}</dl>'


def measures(look: Look) -> list[tuple[str, float, str, str]]:
    """(name, value, unit, where) of what is told beside the table of forces."""
    supports = look.layout.supports
    service, ultimate = states(look, "SLS"), states(look, "ULS")
    found = []
    for end in dict.fromkeys((supports[0], supports[-1])):
        seats = [seat for seat in look.layout.seats if seat.startswith(f"{end}-")]
        if seats:
            worst = max(seats, key=lambda seat: look.extreme(seat, "vx", "abs", service))
            value = governing(look, worst, "vx", "abs", "SLS")
            found.append((f"Movement at {end}", value, "mm", worst))
    seats = list(look.layout.seats)
    least = min(seats, key=lambda seat: look.extreme(seat, "N", "min", ultimate))
    found.append(("Least N", governing(look, least, "N", "min"), "kN", least))
    pairs = [(seat, effect) for seat in seats for effect in ("Hx", "Hy")]
    worst, effect = max(pairs, key=lambda pair: look.extreme(pair[0], pair[1], "abs", ultimate))
    value = abs(governing(look, worst, effect, "abs"))
    found.append(("Largest H on a bearing", value, "kN", f"{worst} ({effect})"))
    return found


def seat_values(mark: str, now: Look | None, before: Look | None) -> str:
    """Extremes of the chosen bearing."""
    if now is None or mark not in now.layout.seats:
        return ""
    rows = []
    for effect, wanted in _SEAT_ROWS:
        cells = []
        for sense in ("max", "min"):
            value = governing(now, mark, effect, sense, wanted)
            old = None
            if before is not None and mark in before.layout.seats:
                old = governing(before, mark, effect, sense, wanted)
            cells.append(_cell(value, old, f"{mark} {effect} {sense}"))
        rows.append(
            f'<tr><th scope="row">{effect}<span class="unit">{UNITS[effect]}</span></th>'
            f"{''.join(cells)}</tr>"
        )
    return (
        '<table class="forces seat"><caption>N and H: ultimate; v and r: serviceability</caption>'
        '<thead><tr><th scope="col">effect</th><th scope="col">max</th><th scope="col">min</th>'
        f"</tr></thead><tbody>{''.join(rows)}</tbody></table>"
    )


def choices(
    name: str, label: str, options: Iterable[tuple[str, str]], chosen: str, disabled: bool = False
) -> str:
    """A list to choose from; the page tells the server under `name`."""
    inner = "".join(
        f'<option value="{escape(value)}"{" selected" if value == chosen else ""}>'
        f"{escape(text)}</option>"
        for value, text in options
    )
    return (
        f'<label class="field"><span>{escape(label)}</span>'
        f'<select data-do="{name}" data-key="{name}"{" disabled" if disabled else ""}>{inner}'
        f"</select></label>"
    )


def buttons(name: str, label: str, options: Sequence[tuple[str, str]], chosen: str) -> str:
    """Buttons of which one is pressed."""
    inner = "".join(
        f'<button type="button" data-do="{name}" data-value="{escape(value)}" '
        f'data-key="{name}-{escape(value)}" aria-pressed="{str(value == chosen).lower()}">'
        f"{escape(text)}</button>"
        for value, text in options
    )
    return f'<div class="choice" role="group" aria-label="{escape(label)}">{inner}</div>'


def standing(told: Standing, head: str) -> str:
    """Reactions of a load or of a stage, support by support and seat by seat."""
    rows = "".join(
        f'<tr><th scope="row">{escape(mark)}</th><td>{_number(shown("V", value))}</td></tr>'
        for mark, value in told.supports.items()
    )
    seats = "".join(
        f'<tr><th scope="row">{escape(mark)}</th><td>{_number(shown("N", value))}</td></tr>'
        for mark, value in told.seats.items()
    )
    off = ""
    if told.left_out > 0.0:
        off = f'<p class="note">{_number(told.left_out / 1e3)} kN stand off the deck</p>'
    return (
        f'<p class="note">{escape(head)}</p>{off}'
        f'<div class="pair"><table class="forces plain"><thead><tr><th scope="col">support</th>'
        f'<th scope="col">V<span class="unit">kN</span></th></tr></thead><tbody>{rows}'
        f'<tr class="sum"><th scope="row">sum</th><td>{_number(told.total / 1e3)}</td></tr>'
        f'</tbody></table><table class="forces plain"><thead><tr><th scope="col">seat</th>'
        f'<th scope="col">N<span class="unit">kN</span></th></tr></thead><tbody>{seats}</tbody>'
        f"</table></div>"
    )


def bearing_section(mark: str, seat: Seat, moved: Moved, stretch: float = 1.0) -> str:
    """The chosen bearing from the side, along its x': plates, what rolls or slides, its stops.

    A sketch of how it moves, not of its sizes; `stretch`: units of the sketch for a millimetre.
    """
    shift = max(-26.0, min(26.0, moved.own[0] * 1e3 * stretch))
    rolling = moved.roller is not None
    parts = [
        '<rect class="ground" x="-60" y="28" width="120" height="6"/>',
        '<rect class="plate" x="-38" y="22" width="76" height="6"/>',
    ]
    if rolling:
        middle = shift / 2.0
        turn = shift / 2.0 / 11.0 * 57.29578
        parts.append(
            f'<g transform="translate({middle:.2f} 11) rotate({turn:.2f})">'
            '<circle class="plate" r="11"/><line class="mark" y1="-11" y2="11"/></g>'
        )
    elif seat.function in ("fixed", "guided across"):
        parts.append('<polygon class="plate" points="-14,0 14,0 22,22 -22,22"/>')
    else:
        parts.append('<rect class="plate" x="-20" y="2" width="40" height="20"/>')
        parts.append('<rect class="slide" x="-20" y="0" width="40" height="2"/>')
    parts.append(
        f'<g transform="translate({shift:.2f} 0)"><rect class="plate" x="-38" y="-8" width="76" '
        'height="8"/><rect class="deck" x="-60" y="-22" width="120" height="14"/></g>'
    )
    for sign, rest, whole in zip(
        (1.0, -1.0),
        moved.left,
        (
            seat.travel.ahead if seat.travel else None,
            seat.travel.back if seat.travel else None,
        ),
        strict=True,
    ):
        if rest is None or whole is None:
            continue
        gap = max(0.0, rest) / max(whole, 1e-6) * 14.0
        x = sign * (38.0 + gap) + shift
        name = "stop reached" if rest <= 0.0 else "stop"
        parts.append(f'<rect class="{name}" x="{x - 2.0:.2f}" y="-8" width="4" height="30"/>')
    words = [f"{mark}: superstructure {_signed(moved.own[0])} mm along x'"]
    if rolling:
        words.append(f"centre of the roller {_signed(moved.roller or 0.0)} mm, half of it")
    for name, rest in zip(("ahead", "back"), moved.left, strict=True):
        if rest is not None:
            told = f"{max(0.0, rest) * 1e3:.1f} mm left" if rest > 0.0 else "reached"
            words.append(f"stop {name}: {told}")
    told = "".join(f"<li>{escape(word)}</li>" for word in words)
    return (
        f'<svg class="sketch" viewBox="-66 -26 132 64" role="img" aria-label="{escape(mark)} from '
        f'the side">{"".join(parts)}</svg><ul class="words">{told}</ul>'
        f'<p class="note">A sketch, not to size: coldest and warmest fill it.</p>'
    )


def problem(lines: Sequence[str]) -> str:
    """Faults in words."""
    if not lines:
        return ""
    inner = "".join(f"<li>{escape(visible(line))}</li>" for line in lines)
    return f'<ul class="problem" role="alert">{inner}</ul>'


def notes(lines: Sequence[str]) -> str:
    """Remarks on what was done."""
    return "".join(f'<p class="note">{escape(visible(line))}</p>' for line in lines)


def rests(motion: str) -> str:
    """An arrangement that does not stand."""
    if not motion:
        return ""
    return (
        f'<p class="problem" role="alert"><b>This arrangement does not stand:</b> {escape(motion)}.'
        " No forces are given for it. Hold the motion with another bearing, or undo.</p>"
    )


# ------------------------------------------------------------------ figures
def _words(against: str) -> str:
    return "before the last change" if against == "last change" else "when the file was opened"


def _cell(value: float, old: float | None, name: str, *, size: bool = False) -> str:
    told = _difference(value, old, size=size)
    return f'<td data-value="{escape(name)}"><b>{_number(value)}</b>{told}</td>'


def _difference(value: float, old: float | None, *, size: bool = False) -> str:
    """The old value and the difference, or that of the `size`; nothing where there is none."""
    more = _more(value, old, size=size)
    if old is None or more == 0.0:
        return '<small class="same"></small>'
    way = "up" if more > 0.0 else "down"
    return f'<small class="{way}">{_number(old)} <i>{_signed_number(more)}</i></small>'


def _more(value: float, old: float | None, *, size: bool) -> float:
    """The difference, or that of the `size`; zero where it is not worth showing."""
    if old is None:
        return 0.0
    more = abs(value) - abs(old) if size else value - old
    return 0.0 if abs(more) <= max(_SAME * max(abs(value), abs(old)), 0.05) else more


def _number(value: float) -> str:
    places = 0 if abs(value) >= 100.0 else 1
    return _grouped(figure(value, places))


def _signed_number(value: float) -> str:
    text = _number(value)
    return text if text.startswith("−") or text == "0" else f"+{text}"


def _signed(value: float) -> str:
    return _signed_number(value * 1e3)


def _grouped(text: str) -> str:
    """Thousands apart by a narrow space."""
    sign, text = ("−", text[1:]) if text.startswith("−") else ("", text)
    whole, point, rest = text.partition(".")
    if len(whole) > 4:
        whole = f"{int(whole):,}".replace(",", "\u202f")
    return f"{sign}{whole}{point}{rest}"


def table(rows: Mapping[str, str]) -> str:
    """Names and values in two columns."""
    inner = "".join(
        f'<tr><th scope="row">{escape(name)}</th><td>{escape(value)}</td></tr>'
        for name, value in rows.items()
    )
    return f'<table class="forces plain"><tbody>{inner}</tbody></table>'


def script(value: object) -> str:
    """A value as it stands in a script of the page."""
    return json.dumps(value, ensure_ascii=False).replace("\u2028", " ").replace("\u2029", " ")
