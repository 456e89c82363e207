"""Sentences about what a log says of a bearing, the same in the terminal and in a report."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping

from bedstone.output.shown import figure, plain
from bedstone.site.monitoring.judge import Finding
from bedstone.site.monitoring.normal import Interval
from bedstone.site.monitoring.watch import Watched

SIGNS = (
    "Signs: movement is the offset of the upper plate against the lower one, + toward rising "
    "chainage (along y': to the left). Temperatures are those of the steel; times are UTC."
)
COLUMNS = (
    "Mobility: measured movement per degC over that of the arrangement; 1 is free. Lag: of the "
    "movement behind the thermometer. Stands still: change of temperature that friction swallows "
    "when it turns. Left: travel to the nearest end at the extremes of temperature, other actions "
    "kept off. Way: gone in a year, slow movements alone. In brackets: 95 % intervals, unless the "
    "thresholds say otherwise."
)
_NOTHING = "–"


def mm(value: float, places: int = 1) -> str:
    """A length (m) in mm with its sign."""
    text = figure(value * 1e3, places)
    return text if text.startswith("−") or text == "0" else f"+{text}"


def size(value: float, places: int = 1) -> str:
    """A length (m) in mm without a sign."""
    return figure(abs(value) * 1e3, places)


def day(time: float) -> str:
    """The day of a time (ns since 1970, UTC)."""
    return (dt.datetime(1970, 1, 1, tzinfo=dt.UTC) + dt.timedelta(days=time / 8.64e13)).strftime(
        "%Y-%m-%d"
    )


def minute(time: float) -> str:
    """A time (ns since 1970, UTC) to the minute."""
    stamp = dt.datetime(1970, 1, 1, tzinfo=dt.UTC) + dt.timedelta(seconds=time / 1e9)
    return stamp.strftime("%Y-%m-%d %H:%M")


def between(item: Interval | None, factor: float, places: int) -> str:
    """A number with its interval, or a dash."""
    if item is None:
        return _NOTHING
    value, low, high = (
        figure(number * factor, places) for number in (item.value, item.low, item.high)
    )
    return f"{value} ({low} to {high})"


def judgement(found: Finding) -> str:
    """The word of a finding with what kind of it."""
    kinds = {
        "stuck": "sensor at fault: stuck",
        "coarse": "sensor at fault: too coarse",
        "thermometer stuck": "sensor at fault: thermometer stuck",
        "sign reversed": "sensor at fault: sign reversed",
        "wrong length": "sensor at fault: moves too much",
        "clock shifted": "sensor at fault: clock shifted",
        "warmer": "stop reached when warm",
        "colder": "stop reached when cold",
        "stick": "sluggish: sticks",
    }
    return kinds.get(found.kind, found.word)


def end_reached(found: Watched) -> str:
    """The day on which a drift uses up the travel, with its interval."""
    item = found.forecast
    if item is None:
        return _NOTHING
    likely = "beyond a working life" if item.likely is None else day(item.likely)[:7]
    early = "later" if item.earliest is None else day(item.earliest)[:7]
    late = "open" if item.latest is None else day(item.latest)[:7]
    sure = item.earliest is None or early == late
    return likely if sure else f"{likely} ({early} to {late})"


def title(found: Watched) -> str:
    """Seat, direction, readings, from when to when, over which range."""
    seat = found.seat
    return plain(
        f"{seat.seat} along {seat.axis}': {found.readings} "
        f"{'reading' if found.readings == 1 else 'readings'} from {day(found.first)} to "
        f"{day(found.last)} over {figure(found.span, 0)} K"
    )


def sentences(found: Watched) -> list[str]:
    """Every finding with its numbers and what to do next, the worst first."""
    return [plain(f"{_told(item, found)} {_next(item, found)}".strip()) for item in found.findings]


def background(found: Watched) -> list[str]:
    """What the fit rests on, and what is not judged."""
    fit = found.fit
    if fit is None:
        return []
    seat = found.seat
    told = []
    if seat.slope:
        told.append(
            f"Moves {figure(fit.slope.value * 1e3, 3)} mm/degC where {figure(seat.slope * 1e3, 3)} "
            f"is expected. The {fit.count} readings count as {figure(fit.effective, 0)} "
            f"independent ones; scatter {size(fit.scatter, 2)} mm."
        )
    if found.since is not None:
        told.append(
            f"Another slope from {day(found.since.time)} on: "
            f"{figure(found.since.before.value * 1e3, 3)} mm/degC before, "
            f"{figure(found.since.after.value * 1e3, 3)} after. Judged from then on."
        )
    if fit.swing is not None and fit.warming is not None and fit.cooling is not None:
        told.append(
            f"Over half a day{', surer and judged by' if fit.from_swings else ''}: "
            f"{figure(fit.swing.value * 1e3, 3)} mm/degC; warming "
            f"{figure(fit.warming.value * 1e3, 3)}, cooling {figure(fit.cooling.value * 1e3, 3)}."
        )
    if fit.stick is not None and seat.slope:
        told.append(
            f"When temperature turns, it stands still for {between(fit.stick, 1.0, 1)} K "
            f"({size(fit.stick.value * fit.slope.value)} mm held back by friction)."
        )
    if found.off is not None and not seat.held:
        where = f"at {figure(seat.datum, 1)} degC"
        told.append(
            f"Stands {mm(fit.offset(seat.datum).value)} mm {where} at the end of the log "
            f"(expected {mm(seat.centre[0])} to {mm(seat.centre[1])}, ± {size(seat.budget)})."
        )
    if found.yearly is not None:
        share = ""
        if found.tested is not None:
            share = f", {figure(found.tested * 100.0, 2)} % of the tested sliding path in this log"
        told.append(f"Goes {figure(found.yearly, 2)} m in a year{share}; traffic adds to it.")
    if found.wear is not None:
        told.append(f"Wear of the sliding sheet in this log: {size(found.wear, 3)} mm.")
    if found.siblings is not None:
        item = found.siblings
        others = ", ".join(item.others)
        more = ""
        if item.mobility is not None:
            more = f"; mobility {figure(item.mobility, 2)} more than theirs"
        told.append(
            f"Against {others}: {mm(item.by)} mm apart ({size(item.allowed)} allowed){more}."
        )
    return [plain(text) for text in told]


def _told(item: Finding, found: Watched) -> str:
    """The numbers of a finding."""
    number = item.numbers
    match item.word, item.kind:
        case "sensor at fault", "stuck":
            return (
                f"Sensor stuck at {mm(number['value'])} mm from {day(number['first'])} to "
                f"{day(number['last'])}; that stretch is left out."
            )
        case "sensor at fault", "thermometer stuck":
            return (
                f"Thermometer stuck at {figure(number['temperature'], 1)} degC from "
                f"{day(number['first'])} to {day(number['last'])} while the bearing moves; that "
                "stretch is left out."
            )
        case "sensor at fault", "coarse":
            return (
                f"The gauge tells steps of {size(number['step'], 2)} mm; "
                f"{figure(number['apart'], 0)} K move this bearing by "
                f"{size(number['moved'], 2)} mm. Nothing is said of it."
            )
        case "sensor at fault", "sign reversed":
            return f"Moves the wrong way: mobility {_ratio(item)}."
        case "sensor at fault", "wrong length":
            return f"Moves more than the bridge can: mobility {_ratio(item)}.{_unit(item)}"
        case "sensor at fault", _:
            return (
                f"The lag jumps from {figure(number['before'], 1)} h to "
                f"{figure(number['after'], 1)} h about {day(number['time'])}."
            )
        case "clamp left", _:
            return f"Has not moved from the first reading on: mobility {_ratio(item)}.{_unit(item)}"
        case "frozen", _:
            since = "" if found.since is None else f" since {day(found.since.time)}"
            return f"Frozen{since}: mobility {_ratio(item)}.{_unit(item)}"
        case "restricted", _:
            return f"Restricted: mobility {_ratio(item)}.{_unit(item)}"
        case "sluggish", "stick":
            return f"Sticks over {figure(number['stick'], 1)} K before it follows."
        case "sluggish", _:
            return f"Sluggish: mobility {_ratio(item)}.{_unit(item)}"
        case "free", _:
            return f"Free: mobility {_ratio(item)}."
        case "stop reached", _:
            way = "Above" if item.kind == "warmer" else "Below"
            return (
                f"{way} {figure(number['temperature'], 1)} degC it no longer follows "
                f"({figure(number['beyond'] * 1e3, 3)} mm/degC there)."
            )
        case "ratcheting", _:
            return f"Creeps {mm(number['drift'])} mm a year, {_evidence(number)}."
        case "substructure moved", "step":
            return (
                f"A step of {mm(number['size'])} mm on {minute(number['time'])}, slope unchanged."
            )
        case "substructure moved", _:
            return f"Drifts {mm(number['drift'])} mm a year, {_evidence(number)}."
        case "wrong preset", _:
            return (
                f"Stood {mm(number['off'])} mm off at its first reading; {size(number['budget'])} "
                "mm is the error budget of setting."
            )
        case "moves though held", _:
            return (
                f"Holds, yet moved {size(number['moved'])} mm ({size(number['allowed'])} of play "
                "and survey)."
            )
        case "travel short", _:
            return f"At the extremes of temperature {size(number['left'])} mm of travel lack."
        case "out of line", _:
            return f"Stands {mm(number['by'])} mm apart from {', '.join(item.shared)}."
        case "holds", _:
            return f"Holds: moved {size(number['moved'])} mm."
        case _, "span":
            return f"Not enough range of temperature yet: {figure(number['span'], 1)} K."
        case _, "days":
            return f"Not long enough yet: {figure(number['days'], 1)} days."
        case _, "between":
            return f"May be free or not, not sure yet: mobility {_ratio(item)}."
        case _:
            error = figure(number["error"], 2)
            return f"Not enough yet to judge: standard error of the mobility {error}."


def _next(item: Finding, found: Watched) -> str:
    """What to do."""
    match item.word, item.kind:
        case "sensor at fault", "stuck":
            return "Look at gauge and cable; if the bearing itself stood, it is stuck there."
        case "sensor at fault", "thermometer stuck":
            return "Look at thermometer, cable and the logger's channel."
        case "sensor at fault", "coarse":
            return "Log with a finer gauge, or one beside a bearing that moves more."
        case "sensor at fault", "sign reversed":
            return "Turn the sign of the gauge, or see on which side of the fixed point it stands."
        case "sensor at fault", "wrong length":
            return (
                "Check scale and unit of the gauge, the length to the fixed point, and whether the "
                "pier moves as well."
            )
        case "sensor at fault", _:
            return "Set logger and thermometer to one clock (UTC), then judge again."
        case "clamp left", _:
            return "Look for transport clamps, formwork and mortar first; then as frozen."
        case "frozen", _:
            return (
                "Look for clamps and dirt, then for rust; check fixed bearing and piers for the "
                "force that is held back; clean, oil or replace, and log again."
            )
        case "restricted", _:
            return "Clean and oil, look for rust, dirt and skewed guides; log again after it."
        case "sluggish", _:
            return "Clean and oil at the next visit; keep the log going."
        case "stop reached", _:
            return (
                "See what it touches: stop, edge of plate, joint, abutment wall; free it before "
                "the next season of that side."
            )
        case "ratcheting", _:
            return (
                f"Use up of the travel: {end_reached(found)}. Inspect tracks and contact lines; "
                "mark its place; set back before the end is near."
            )
        case "substructure moved", _:
            return _where(item, found)
        case "wrong preset", _:
            return (
                "Compare with the setting table and the record of setting; set again if needed. A "
                "log that counts from a zero of its own is judged with --relative."
            )
        case "moves though held", _:
            return "Look at pin, keeper plates and anchors, and at the pier below."
        case "travel short", _:
            return "Measure the gaps by hand; set back, or find out what else moved."
        case "out of line", _:
            return "Compare both on site: gauge zero, plates, seat below."
        case "not enough yet", "span":
            apart = figure(item.numbers["apart"], 0)
            return f"Read again at another temperature, {apart} K apart or more."
        case "not enough yet", _:
            return "Log on, or read again at temperatures further apart."
        case _:
            return ""


def _where(item: Finding, found: Watched) -> str:
    """What moved, by who else shows it."""
    same = {mark for mark in item.shared if mark.split("-")[0] == found.seat.support}
    if item.shared and same == set(item.shared):
        return (
            f"{', '.join(item.shared)} shows the same: survey {found.seat.support} and its joint."
        )
    if item.shared:
        return (
            f"{', '.join(item.shared)} on other supports shows the same: survey the support that "
            "holds the bridge along, and the joints at both ends."
        )
    return (
        f"No other log shows it: survey {found.seat.support} and its joint, and see whether the "
        "gauge was knocked or the bearing shifted."
    )


def _ratio(item: Finding) -> str:
    number = item.numbers
    return between(Interval(number["ratio"], number["low"], number["high"]), 1.0, 2)


#: What a unit that was mistaken makes of the mobility of a free bearing.
_MISTAKEN = (
    (1.8, "degC under a head of degF"),
    (1.0 / 1.8, "degF under a head of degC"),
    (25.4, "mm under a head of inches"),
    (1.0 / 25.4, "inches under a head of mm"),
    (10.0, "mm under a head of cm"),
    (0.1, "cm under a head of mm"),
)
#: How near, as a share, a mobility must come to it, and how wide its interval may be.
_NEAR = 0.05


def _unit(item: Finding) -> str:
    """A unit that would explain a mobility, as a sentence; nothing where there is none."""
    ratio, half = item.numbers["ratio"], (item.numbers["high"] - item.numbers["low"]) / 2.0
    for value, what in _MISTAKEN:
        if abs(ratio - value) <= _NEAR * value and half <= _NEAR * value:
            return f" A free bearing gives as much with {what}: see to the units first."
    return ""


def _evidence(number: Mapping[str, float]) -> str:
    """With what a drift goes."""
    value = number["evidence"]
    if abs(value) < number["needed"]:
        return "with cycles or with time, which cannot be told apart yet"
    return "with the cycles of temperature" if value > 0.0 else "steadily with time"
