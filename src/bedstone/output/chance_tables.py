"""Probabilities that limits and stops are exceeded, printed for people."""

from __future__ import annotations

import math
from collections.abc import Iterator

from rich.console import RenderableType
from rich.padding import Padding
from rich.text import Text

from bedstone.bridge.schema import Spread
from bedstone.cautions import FULL
from bedstone.comparison.uncertainty import QUANTILES, Chance, Exceedance, Varied
from bedstone.output.sheets import NOTHING, Cell, Column, Sheet
from bedstone.output.shown import UNITS, decimals, figure, plain, shown
from bedstone.output.tables import printed

#: Rank correlation below which a spread is not named beside a limit.
NOTICED = 0.1
_NAMED = 2  # spreads named beside a limit
_ROOM = 18  # letters that a name and its rank correlation have on 100 columns
_WORDS = {
    "setting": "temperature of setting",
    "coldest": "coldest bridge temperature",
    "warmest": "warmest bridge temperature",
    "friction": "factor on all friction",
    "stiffness": "factor on stiffness below",
    "play": "play, each side",
}


def chance_view(chance: Chance) -> Iterator[RenderableType]:
    """Everything of a `Chance`: how it was asked, what varies, how likely each limit is passed."""
    reference = f" ({chance.reference})" if chance.reference else ""
    yield Text(plain(f"{chance.bridge}{reference}"), style="bold")
    yield Text(plain(f"Arrangement: {chance.arrangement}; family: {chance.standard}"))
    yield Text(sampled(chance))
    yield from printed(spreads(chance))
    yield from printed(likelihood(chance))
    yield Text(f"\n{answer(chance)}", style="bold")
    notes = [plain(note) for note in chance.notes]
    if notes:
        yield Text("\nNotes", style="bold")
        yield from (Padding(Text(note), (0, 0, 0, 2)) for note in notes)
    yield Text(f"\nSelf-check: worst relative residual {chance.residual:.0e}.")
    yield Text(f"\n{reading(chance)}", style="dim")
    yield Text(f"\n{FULL}", style="dim")


def sampled(chance: Chance) -> str:
    """How the samples were taken, so that they can be taken again."""
    if chance.sampling == "plain":
        how = "independent"
    else:
        each = chance.samples // chance.scrambles
        how = f"{chance.scrambles} independent sets of {each:,} scrambled Sobol points"
    more = ""
    if chance.samples != chance.wanted:
        more = f" for {chance.wanted:,} asked (whole powers of two)"
    return f"{chance.samples:,} samples{more}, {how}; seed {chance.seed}"


def spreads(chance: Chance) -> Sheet:
    """What varies and how; what is fixed, and at what."""
    columns = (
        Column("quantity"),
        Column("spread", holds="text"),
        Column("unit"),
        Column("each on its own at", holds="text"),
    )
    rows = [
        (
            Cell(_WORDS[item.name]),
            Cell(spread_words(item)),
            Cell(item.unit or NOTHING),
            Cell(", ".join(item.places) if item.columns and item.places else NOTHING),
        )
        for item in chance.varied
    ]
    if chance.play:
        told = ", ".join(f"{mark} {1e3 * value:g}" for mark, value in chance.play.items())
        rows.append((Cell(_WORDS["play"]), Cell(f"as in the file: {told}"), Cell("mm"), Cell("–")))
    return Sheet("What varies from sample to sample", columns, tuple(rows))


def likelihood(chance: Chance) -> Sheet:
    """One row for each limit and stop."""
    told = [matters(item) or NOTHING for item in chance.results]
    # a line of its own for each name, unless the names leave no room for the numbers
    long = max(len(line) for text in told for line in text.splitlines()) > _ROOM
    columns = (
        Column("limit or stop", holds="text"),
        Column("exceeded in", "samples", "numbers"),
        Column("probability", f"{100.0 * chance.confidence:g} % interval"),
        *(Column(f"{100.0 * level:g} %", holds="numbers") for level in QUANTILES),
        Column("unit"),
        Column("matters most", "rank correlation", "text" if long else "words"),
    )
    rows = []
    for item, names in zip(chance.results, told, strict=True):
        values = [shown(item.asked.effect, value) for value in item.quantiles]
        places = decimals(values)
        rows.append(
            (
                Cell(plain(item.asked.text)),
                Cell(f"{item.count:,}", "strong" if item.count else ""),
                Cell(probability(item, chance.samples)),
                *(Cell(figure(value, places)) for value in values),
                Cell(UNITS[item.asked.effect]),
                Cell(names),
            )
        )
    return Sheet(f"How likely it is, by {chance.samples:,} samples", columns, tuple(rows))


def answer(chance: Chance) -> str:
    """The limit that is most likely exceeded, in one sentence."""
    worst = max(chance.results, key=lambda item: item.count)
    many, sure = f"{chance.samples:,}", f"{100.0 * chance.confidence:g} % confidence"
    if worst.count == 0:
        most = percent(worst.interval[1])
        return f"None is exceeded: 0 of {many}, each below {most} with {sure}."
    text = plain(worst.asked.text)
    low, high = (percent(end) for end in worst.interval)
    if worst.count == chance.samples:
        return f"Exceeded in every sample: {text}, {many} of {many}, above {low} with {sure}."
    return (
        f"Most likely exceeded: {text}, {worst.count:,} of {many}, {percent(worst.probability)} "
        f"({low} to {high} with {sure})."
    )


def probability(item: Exceedance, samples: int) -> str:
    """A probability with its interval; never plainly 0 or 100 %, which no sample can show."""
    low, high = item.interval
    if item.count == 0:
        return f"below {percent(high)}"
    if item.count == samples:
        return f"above {percent(low)}"
    return f"{percent(item.probability)} ({_number(low)} to {_number(high)})"


def percent(value: float) -> str:
    """A probability in per cent, two figures of it or of what is left to 100."""
    return f"{_number(value)} %"


def _number(value: float) -> str:
    rest = 100.0 * min(value, 1.0 - value)
    places = 0 if rest <= 0.0 else max(0, 1 - math.floor(math.log10(rest)))
    return f"{100.0 * value:.{min(places, 9)}f}"


def matters(item: Exceedance) -> str:
    """The spreads that go with the measure, the strongest first, one on a line."""
    named = [pair for pair in item.matters if abs(pair[1]) >= NOTICED][:_NAMED]
    return "\n".join(f"{name} {figure(rank, 2)}" for name, rank in named)


def spread_words(item: Varied) -> str:
    """A spread in words."""
    spread: Spread = item.spread
    a, b = _plain(spread.a), _plain(spread.b or 0.0)
    cut = ", cut off at 0" if item.name in ("friction", "stiffness", "play") else ""
    return {
        "fixed": f"fixed at {a}",
        "normal": f"normal, mean {a}, standard deviation {b}{cut}",
        "lognormal": f"lognormal, median {a}, standard deviation of the logarithm {b}",
        "uniform": f"uniform, {a} to {b}",
        "triangular": f"triangular, {a} to {b}, mode {_plain(spread.mode or 0.0)}",
    }[spread.shape]


def _plain(value: float) -> str:
    return f"{value:.6g}".replace("-", "−")


def reading(chance: Chance) -> str:
    """What a sample is, what acts and what is left out."""
    traffic = (
        "forces with the characteristic envelope of traffic and braking, the same in all samples"
        if chance.traffic
        else "no traffic and no braking"
    )
    return (
        "In each sample: permanent actions, uniform temperature from that of setting to the "
        "coldest and to the warmest, friction in its worst case at each; "
        f"{traffic}; movements without traffic; "
        "no wind, settlement, temperature difference or earthquake. A probability is "
        "that of the time to which coldest and warmest belong: a year if they are spread as those "
        "of a year, the time behind the characteristic values where they are fixed at them. "
        "Columns in per cent are quantiles of the samples: of the largest size, of the least "
        "compression for >, of the movement toward a stop as if it were not there, from the place "
        "of setting. Rank correlation (Spearman): 1 or −1 where this spread alone decides, below "
        f"{NOTICED:g} not shown."
    )
