"""A slow search for the worst place of traffic, to hold against the quick one.

Nothing here comes from `bedstone.actions.placing`: the effect of a load is taken from single point
loads on the deck at a fine grid, trains are moved over that grid by plain loops, lanes are set side
by side by trying all pairs and triples of places.
"""

from itertools import permutations

import numpy as np

STEP = 0.1  # m, across
ALONG = 0.2  # m, along


class Surface:
    """Effect of unit downward loads on a grid of chainages (0.2 m) and offsets (0.1 m)."""

    def __init__(self, stood, leads, right, left):
        deck = stood.deck
        self.y = np.round(np.arange(round(right / STEP), round(left / STEP) + 1) * STEP, 9)
        count = round((deck.last - deck.first) / ALONG)
        seats = [seat.chainage for seat in stood.structure.seats]
        both = [[seat, seat + 1e-5] for seat in seats]  # both sides of a joint
        grid = np.concatenate([np.linspace(deck.first, deck.last, count + 1), np.ravel(both)])
        grid = np.unique(np.round(grid, 7))
        self.s = grid[(grid >= deck.first) & (grid <= deck.last)]
        self.edges = np.concatenate([self.s[:1], (self.s[1:] + self.s[:-1]) / 2, self.s[-1:]])
        self.curvature = deck.axis.curvature
        self.limits = np.stack(deck.limits(self.y), axis=1)
        self.stops = np.array([*seats, *self.limits.ravel()])
        s, y = np.meshgrid(self.s, self.y, indexing="ij")
        loads = deck.point_loads(stood.condensed.frame, s.ravel(), y.ravel())
        table = stood.effects(loads)[leads]
        self.table = table.T.reshape(len(self.s), len(self.y), len(leads))

    def column(self, offset):
        """Number of the grid line at an offset."""
        found = round(float((offset - self.y[0]) / STEP))
        assert abs(self.y[found] - offset) < 1e-6, offset
        return found

    def at(self, chainage, offset):
        """(k, leads) effect of unit loads at chainages (k,) on one offset; nothing off the deck."""
        column = self.column(offset)
        first, last = self.limits[column]
        low = np.clip(np.searchsorted(self.s, chainage, side="right") - 1, 0, len(self.s) - 2)
        part = (chainage - self.s[low]) / (self.s[low + 1] - self.s[low])
        part = np.clip(part, 0.0, 1.0)[:, None]
        line = self.table[:, column]
        value = line[low] * (1 - part) + line[low + 1] * part
        on = (chainage > first - 1e-9) & (chainage < last + 1e-9)
        return value * on[:, None]

    def strip_at(self, middle, length, offset):
        """(k, leads) effect of strips of a unit load in all, `length` (of chainage) long."""
        column = self.column(offset)
        line = self.table[:, column]
        first, last = self.limits[column]
        steps = (line[1:] + line[:-1]) / 2 * np.diff(self.s)[:, None]
        running = np.concatenate([np.zeros((1, line.shape[1])), np.cumsum(steps, axis=0)])

        def up_to(chainage):
            chainage = np.clip(chainage, first, last)
            low = np.clip(np.searchsorted(self.s, chainage, side="right") - 1, 0, len(self.s) - 2)
            run = (chainage - self.s[low])[:, None]
            slope = (line[low + 1] - line[low]) / (self.s[low + 1] - self.s[low])[:, None]
            return running[low] + line[low] * run + slope * run**2 / 2

        return (up_to(middle + length / 2) - up_to(middle - length / 2)) / length

    def metres(self, column):
        """(stations,) metres of deck for each grid place on a line."""
        first, last = self.limits[column]
        low, high = np.maximum(self.edges[:-1], first), np.minimum(self.edges[1:], last)
        return np.maximum(high - low, 0.0) * (1 - self.y[column] * self.curvature)

    def area(self, offset, width):
        """(stations, leads) effect of a unit load per metre of lane, spread over a width.

        Trapezoid rule over the lines 0.1 m apart.
        """
        half = round(width / 2 / STEP)
        columns = self.column(offset) + np.arange(-half, half + 1)
        weights = np.ones(len(columns))
        weights[[0, -1]] = 0.5
        weights /= weights.sum()
        return sum(
            weight * self.metres(column)[:, None] * self.table[:, column]
            for column, weight in zip(columns, weights, strict=True)
        )


def shapes(train, longest):
    """All shapes of a train as lists of (metres behind the first point, force, half length)."""
    found = []
    for gap in train.spread[1] if train.spread else (None,):
        axles = [[axle.position, axle.force, axle.length] for axle in train.axles]
        if gap is not None:
            index = train.spread[0]
            move = gap - (axles[index + 1][0] - axles[index][0])
            for axle in axles[index + 1 :]:
                axle[0] += move
        length = axles[-1][0] - axles[0][0]
        for count in range(1, 2 if train.follow is None else 20):
            if (count - 1) * (length + (train.follow or 0.0)) - length > longest:
                break
            row = [
                (axle[0] + k * (length + (train.follow or 0.0)), axle[1], axle[2])
                for k in range(count)
                for axle in axles
            ]
            found.append(row)
            found.append([(row[-1][0] - x, f, n) for x, f, n in reversed(row)])
    return found


def worst_train(surface, train, offset, factor, sign, uniform):
    """(leads,) worst of a train at one offset over all places, both ways, with the uniform load.

    `uniform` (stations, leads): adverse uniform load of each grid place, cleared by the train if
    it says so.
    """
    sense = 1.0 if sign == 0 else -1.0
    half = train.track / 2
    wheels = [(offset, 1.0)] if half == 0 else [(offset - half, 0.5), (offset + half, 0.5)]
    stretch = 1 - offset * surface.curvature
    running = np.concatenate([np.zeros((1, uniform.shape[1])), np.cumsum(uniform, axis=0)])

    def up_to(chainage):
        place = np.interp(chainage, surface.edges, np.arange(len(surface.edges)))
        low = np.minimum(place.astype(int), len(surface.edges) - 2)
        part = (place - low)[:, None]
        return running[low] * (1 - part) + running[low + 1] * part

    best = running[-1]
    for shape in shapes(train, (surface.s[-1] - surface.s[0]) * stretch):
        places = np.concatenate(
            # first and last load, and the front and rear of strips, at every place of the grid
            [
                surface.s + (x + e * n / 2) / stretch
                for x, _, n in shape[:: max(len(shape) - 1, 1)]
                for e in (-1, 0, 1)
            ]
            + [surface.stops + (x + e * n / 2) / stretch for x, _, n in shape for e in (-1, 0, 1)]
        )
        value = np.tile(running[-1], (len(places), 1))
        for x, force, length in shape:
            part = 0.0
            for y, weight in wheels:
                where = places - x / stretch
                if length:
                    one = surface.strip_at(where, length / stretch, y)
                else:
                    one = surface.at(where, y)
                part = part + weight * force * one
            part = sense * factor * part
            value += np.maximum(part, 0.0) if train.omit_relieving else part
        if train.clear is not None:
            ahead = train.clear / stretch
            value -= up_to(places + ahead) - up_to(places - shape[-1][0] / stretch - ahead)
        best = np.maximum(best, value.max(axis=0))
    return best


def lane_values(surface, lane, offsets, sign):
    """(offsets, leads) worst of one lane at each offset."""
    sense = 1.0 if sign == 0 else -1.0
    load = lane.uniform * lane.uniform_width * lane.uniform_factor
    rows = []
    for offset in offsets:
        uniform = np.zeros((len(surface.s), surface.table.shape[2]))
        if load:
            uniform = np.maximum(sense * load * surface.area(offset, lane.uniform_width), 0.0)
        value = uniform.sum(axis=0)
        for train in lane.trains:
            one = worst_train(surface, train, offset, lane.train_factor, sign, uniform)
            value = np.maximum(value, one)
        rows.append(value)
    return np.array(rows)


def worst(surface, placement, edges, sign):
    """(leads,) worst of a placement: lanes in every order and place 0.1 m apart that fit."""
    sense = 1.0 if sign == 0 else -1.0
    total = np.zeros(surface.table.shape[2])
    loose = []
    known = {}
    for lane in placement.lanes:
        if lane.offsets is not None:
            total += lane_values(surface, lane, lane.offsets, sign).max(axis=0)
            continue
        if lane not in known:
            low = edges[0] + lane.edge + lane.width / 2
            high = edges[1] - lane.edge - lane.width / 2
            offsets = np.arange(round(low / STEP), round(high / STEP) + 1) * STEP
            known[lane] = (offsets, lane_values(surface, lane, offsets, sign))
        loose.append(lane)
    rest = np.zeros((len(surface.y) + 1, len(total)))  # adverse remaining area up to each y edge
    if placement.rest:
        for column in range(len(surface.y)):
            line = sense * placement.rest * STEP
            line = line * surface.metres(column)[:, None] * surface.table[:, column]
            rest[column + 1] = rest[column] + np.maximum(line, 0.0).sum(axis=0)

    def up_to(y):
        place = np.clip((y - surface.y[0]) / STEP + 0.5, 0, len(surface.y))
        low = np.minimum(place.astype(int), len(surface.y) - 1)
        part = (place - low)[..., None]
        return rest[low] * (1 - part) + rest[low + 1] * part

    best = np.zeros(len(total))
    if placement.rest:
        area = up_to(np.array([edges[1]]))[0] - up_to(np.array([edges[0]]))[0]
    else:
        area = 0.0
    gains = {
        lane: value - (up_to(offsets + lane.width / 2) - up_to(offsets - lane.width / 2))
        for lane, (offsets, value) in known.items()
    }
    count = len(loose)
    best = np.zeros(len(total)) if placement.may_omit else np.full(len(total), -np.inf)
    for number in range(0 if placement.may_omit else count, count + 1):
        for order in set(permutations(loose, number)):
            best = np.maximum(best, _side_by_side(order, known, gains))
    return placement.factor * (total + best + area)


def _side_by_side(order, known, gains):
    """(leads,) best sum of gains with the lanes of `order` from right to left, no overlap."""
    if not order:
        return np.zeros(next(iter(gains.values())).shape[1]) if gains else 0.0
    grids = np.meshgrid(*[np.arange(len(known[lane][0])) for lane in order], indexing="ij")
    fits = np.ones(grids[0].shape, dtype=bool)
    for (a, i), (b, j) in zip(
        zip(order[:-1], grids[:-1], strict=True), zip(order[1:], grids[1:], strict=True),
        strict=True,
    ):  # fmt: skip
        gap = known[b][0][j] - known[a][0][i]
        fits &= gap > (a.width + b.width) / 2 - 1e-6
    if not fits.any():
        return np.full(next(iter(gains.values())).shape[1], -np.inf)
    total = sum(gains[lane][grid[fits]] for lane, grid in zip(order, grids, strict=True))
    return total.max(axis=0)
