"""Sentences about a stock of bridges, the same in the terminal and as data."""

from __future__ import annotations

import math
from collections.abc import Sequence

from bedstone.output.shown import UNITS, decimals, figure, plain, shown
from bedstone.stock.ranking import Change, Reason
from bedstone.stock.run import Result

RANKING = (
    "Ranked by the largest concern: 0 where nothing asks for attention, 1 where something is to "
    "be done, 3 at most; the sum of all decides between equals, then how far the worst measure "
    "goes beyond. An order to look by: no probability, no check of a standard. The thresholds are "
    "judgements and can be replaced."
)
MEASURES = (
    "Travel left and utilisation are told of bearings the file gives and of its stops alone: a "
    "bearing that was just designed reaches its limits by design."
)


VERBS = (
    "In full, bridge by bridge: travel with `bedstone setting FILE`, uplift with `schedule`, "
    "utilisation and no bearing with `size`, single faults with `what-if`, logs with `monitor`, "
    "visits with `inspect`."
)


def reason(told: Reason) -> str:
    """A reason in one line."""
    return plain(_reason(told))


def _reason(told: Reason) -> str:
    match told.kind:
        case "unstable":
            return f"moves freely as it stands: {told.what}"
        case "travel":
            left = (told.value or 0.0) * 1e3
            if left < 0.0:
                beyond = figure(-left, decimals([left]))
                return f"{told.place}: out of travel by {beyond} mm at the design extremes"
            rest = figure(left, decimals([left]))
            return f"{told.place}: {rest} mm of travel left at the design extremes"
        case "uplift":
            share = (told.value or 0.0) * 100.0
            if share < 0.0:
                return f"{told.place}: lifts; pulled by {-share:.0f} % of its permanent load"
            return f"{told.place}: least compression {share:.0f} % of its permanent load"
        case "utilisation":
            use = "without end" if told.value is None else f"{told.value:.2f}"
            return f"{told.place}: utilisation {use} ({told.what})"
        case "no bearing":
            return f"{told.place}: no bearing holds ({told.what})"
        case "single fault":
            return f"{told.what}: {_grown(told)} (harm {told.value or 0.0:.1f})"
        case "loose":
            return told.what
        case "log":
            mobility = "" if told.value is None else f", mobility {told.value:.2f}"
            return f"{told.place}: {told.what}{mobility} (log)"
        case "visit":
            return f"{told.place}: {told.what} (visit)"
        case "travel found":
            left = (told.value or 0.0) * 1e3
            rest = figure(abs(left), decimals([left]))
            if left < 0.0:
                return f"{told.place}: as found, out of travel by {rest} mm at the extremes (visit)"
            return f"{told.place}: as found, {rest} mm of travel left at the extremes (visit)"


def _grown(told: Reason) -> str:
    before = shown(told.effect, told.before or 0.0)
    after = shown(told.effect, told.after or 0.0)
    places = decimals([before, after])
    return (
        f"{told.effect} of {told.place} from {figure(before, places)} to "
        f"{figure(after, places)} {UNITS[told.effect]}"
    )


def others(reasons: Sequence[Reason]) -> str:
    """What else asks for attention beside the first reason, by falling concern; "" for nothing."""
    kinds = dict.fromkeys(item.kind for item in reasons[1:] if item.kind != reasons[0].kind)
    same = sum(item.kind == reasons[0].kind for item in reasons[1:])
    told = [f"{counted(same, 'other')} of this kind"] if same else []
    return ", ".join([*told, *kinds])


def counted(number: int, thing: str) -> str:
    """A number of things in words."""
    return f"{number} {thing}" if number == 1 else f"{number} {thing}s"


def counts(found: Result) -> str:
    """What became of the bridges, in one sentence."""
    parts = [counted(found.bridges, "bridge")]
    parts += [f"{number} {state}" for state, number in found.states.items()]
    if found.untried:
        parts.append(f"{found.untried} not tried")
    return ", ".join(parts)


def work(found: Result) -> str:
    """What this run had to do, in one sentence."""
    told = [f"{found.taken} taken from the store", f"{found.worked_out} new or changed"]
    if found.damaged:
        were = "was" if found.damaged == 1 else "were"
        told.append(f"{counted(found.damaged, 'part')} of the store {were} damaged and made again")
    if found.removed:
        told.append(f"{found.removed} removed that are no longer in the stock")
    return "; ".join(told)


def change(told: Change) -> str:
    """How a bridge stands against the last run, in one line."""
    cause = f": {told.cause}" if told.cause else ""
    if told.rank is None:
        return plain(f"{told.bridge}: was rank {told.rank_before}{cause}")
    if told.rank_before is None:
        return plain(f"{told.bridge}: rank {told.rank}, concern {told.concern or 0.0:.2f}{cause}")
    before, now = told.concern_before or 0.0, told.concern or 0.0
    moved = (
        f"concern {before:.2f} to {now:.2f}"
        if not math.isclose(before, now, abs_tol=5e-3)
        else f"concern {now:.2f} as before"
    )
    return plain(f"{told.bridge}: rank {told.rank_before} to {told.rank}, {moved}{cause}")
