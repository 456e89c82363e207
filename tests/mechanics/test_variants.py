"""Many arrangements at once, against each arrangement alone (`Supported`) and against statics."""

import sys

import numpy as np
import pytest

from bedstone.errors import BedstoneError, CheckError, UnstableError
from bedstone.mechanics import variants_kernel as kernel
from bedstone.mechanics.condense import SeatLoad, SeatPoints, condense
from bedstone.mechanics.frame import FrameBuilder
from bedstone.mechanics.support import Bearings, Supported, free_motions
from bedstone.mechanics.variants import (
    Candidates,
    EffectRows,
    Shared,
    refuse_inexact,
    seat_effects,
)
from bedstone.mechanics.variants_gpu import envelopes_torch

KINDS = {"N": [0], "H": [1, 2], "M": [3, 4, 5], "v": [6, 7, 8], "r": [9, 10, 11]}


class Deck:
    """A random bridge of separate parts with three candidate directions at each seat.

    `frames` (ns,) angle of each seat's own axes; candidates 3 s and 3 s + 1 are its x' and y',
    3 s + 2 another direction of the plan.
    """

    def __init__(self, small, parts, seed, *, springs=True, sinking=True):
        rng = np.random.default_rng([parts, seed])
        build = FrameBuilder()
        nodes = []
        start = 0.0
        for _ in range(parts):
            spans = int(rng.integers(1, 3))
            stations, lines = 4 * spans + 1, 2
            grid = np.zeros((stations, lines), dtype=np.intp)
            for i in range(stations):
                for j in range(lines):
                    grid[i, j] = build.node(start + 5.0 * i + 0.4 * j, 3.0 * j, 0.02 * i)
            for i in range(stations):
                for j in range(lines):
                    size = {k: v * rng.uniform(0.7, 1.4) for k, v in small.section.items()}
                    if i + 1 < stations:
                        build.member(grid[i, j], grid[i + 1, j], **size, Az=0.02)
                    if j + 1 < lines:
                        build.member(grid[i, j], grid[i, j + 1], **size)
            nodes += list(grid[[0, 4, 8][: spans + 1]].ravel())
            start += 5.0 * (stations - 1) + 0.5
        count = len(nodes)
        arm = rng.normal(0.0, 0.2, (count, 3)) - [0.0, 0.0, 1.2]
        self.condensed = condense(build.frame(), SeatPoints(np.array(nodes), arm))
        self.frames = rng.uniform(-0.6, 0.6, count)
        self.third = self.frames + rng.uniform(0.3, 1.2, count)
        self.held = np.zeros((count, 6), dtype=bool)
        self.held[:, 2] = True
        self.held[rng.integers(count), 3] = True  # one bearing holds a rotation too
        self.compliance = np.zeros((count, 6))
        elastic = np.zeros((count, 3))
        self.ground = np.zeros((6 * count, 6 * count))
        if springs:
            self.compliance[rng.random(count) < 0.3, 2] = 1 / 4e8
            elastic[rng.random((count, 3)) < 0.3] = 1 / 2e7
        if sinking:  # each pair of seats shares a pier head
            for pair in range(count // 2):
                root = rng.normal(0.0, 1.0, (12, 6)) * np.tile([1e-4] * 3 + [1e-5] * 3, 2)[:, None]
                rows = slice(12 * pair, 12 * pair + 12)
                self.ground[rows, rows] = root @ root.T
        angles = np.stack([self.frames, self.frames + np.pi / 2, self.third], axis=1)
        self.candidates = Candidates(
            np.repeat(np.arange(count), 3), angles.ravel(), elastic.ravel()
        )
        self.elastic = elastic
        self.rng = rng
        self.count = count
        base = Bearings(self.axes(self.frames), self.held, self.compliance)
        self.rows = seat_effects(self.axes(self.frames))
        self.shared = Shared(self.condensed, self.ground, base, self.candidates, self.rows)

    @staticmethod
    def axes(angles):
        c, s, zero = np.cos(angles), np.sin(angles), np.zeros_like(angles)
        rows = [[c, s, zero], [-s, c, zero], [zero, zero, zero + 1.0]]
        return np.array(rows).transpose(2, 0, 1)

    def pick(self):
        """A random subset of the candidates and the same as plain bearings."""
        choice = self.rng.choice(5, self.count, p=[0.3, 0.15, 0.2, 0.2, 0.15])
        held, compliance = self.held.copy(), self.compliance.copy()
        angles = self.frames.copy()
        subset = []
        for seat, what in enumerate(choice):
            if what == 4:
                # the shared rotation is held about x' of the seat's own axes
                if held[seat, 3]:
                    continue
                angles[seat] = self.third[seat]
                held[seat, 0], compliance[seat, 0] = True, self.elastic[seat, 2]
                subset.append(3 * seat + 2)
                continue
            for way in {0: [], 1: [0], 2: [1], 3: [0, 1]}[int(what)]:
                held[seat, way], compliance[seat, way] = True, self.elastic[seat, way]
                subset.append(3 * seat + way)
        return np.array(subset, dtype=int), Bearings(self.axes(angles), held, compliance)

    def load(self, cases):
        frame = self.condensed.frame
        vectors = self.rng.normal(0.0, 1e5, (frame.freedoms, cases))
        warm = frame.strain_load(self.rng.uniform(0, 4e-4, len(frame.ends)))
        down = self.rng.normal(0.0, 5e-3, (6 * self.count, 1))
        down.reshape(-1, 6)[:, 3:] *= 0.02
        load = self.condensed.load(vectors + np.reshape(warm, (-1, 1)))
        return load + self.condensed.settlement(np.tile(down, cases))

    def alone(self, bearings, load):
        """All effects (12 ns, k) of one arrangement by `Supported`, in the seats' own axes."""
        effects = Supported(self.condensed, bearings, self.ground).effects(load)
        back = bearings.directions.T
        cases = load.g.shape[1]
        force = back @ effects.force.reshape(-1, cases)
        movement = back @ effects.movement.reshape(-1, cases)
        return self.rows.force @ force + self.rows.movement @ movement


def arranged(deck, wanted):
    """`wanted` arrangements that stand, as padded subsets and as bearings."""
    subsets, bearings = [], []
    while len(subsets) < wanted:
        subset, own = deck.pick()
        if not free_motions(deck.condensed, own):
            subsets.append(subset)
            bearings.append(own)
    return padded(subsets), bearings


def padded(subsets):
    result = np.full((len(subsets), max(map(len, subsets))), -1)
    for row, subset in enumerate(subsets):
        result[row, : len(subset)] = subset
    return result


def assert_same(found, expected):
    """To 1e-9 of the largest of each kind of effect; the last axis is the effect."""
    for kind, places in KINDS.items():
        one = found.reshape(*found.shape[:-1], -1, 12)[..., places]
        other = expected.reshape(*expected.shape[:-1], -1, 12)[..., places]
        assert np.abs(one - other).max() <= 1e-9 * np.abs(other).max(), kind


@pytest.mark.parametrize("parts", [1, 2, 3])
@pytest.mark.parametrize("seed", range(4))
def test_same_as_each_arrangement_alone(small, parts, seed):
    deck = Deck(small, parts, seed, springs=seed != 1, sinking=seed != 2)
    subsets, bearings = arranged(deck, 12)
    load = deck.load(45)
    columns = deck.shared.columns(load)
    groups = np.array([0, 1, 34, 45])
    found = deck.shared.envelopes(columns, subsets, groups)
    stacked = np.concatenate([load.g - load.s, load.r])
    choice = deck.candidates.rows(deck.count)
    assert found.stands.all()
    assert not found.held_twice.any()
    assert found.residual.max() < 1e-12
    for number, own in enumerate(bearings):
        every = deck.alone(own, load)
        for group in range(3):
            cut = every[:, groups[group] : groups[group + 1]]
            assert_same(found.top[number, group], cut.max(axis=1))
            assert_same(found.low[number, group], cut.min(axis=1))
        subset = subsets[number][subsets[number] >= 0]
        force, effects = deck.shared.operator(subset)
        assert_same((effects @ stacked).T, every.T)
        # forces in the held candidates: what the bearings of each seat take in the plan
        lateral = Supported(deck.condensed, own, deck.ground).effects(load)
        taken = own.directions.T @ lateral.force.reshape(-1, 45)
        given = choice[subset].T @ (force @ stacked)
        plan = (6 * np.arange(deck.count)[:, None] + [0, 1]).ravel()
        assert np.abs(given[plan] - taken[plan]).max() <= 1e-9 * np.abs(taken).max()
        for group in range(3):
            cut = (force @ stacked)[:, groups[group] : groups[group + 1]]
            size = 1e-9 * np.abs(force @ stacked).max()
            count = len(subset)
            assert np.abs(found.hold_top[number, group, :count] - cut.max(axis=1)).max() <= size
            assert np.abs(found.hold_low[number, group, :count] - cut.min(axis=1)).max() <= size
            assert np.isnan(found.hold_top[number, group, count:]).all()


@pytest.mark.parametrize("spans", [16, 40])
def test_a_long_viaduct_keeps_its_digits(small, spans):
    # unsupported, a viaduct is softer than on its piers by more than the digits of a double bear
    if spans > 16 and np.finfo(np.longdouble).eps > 1e-17:
        pytest.skip("this machine has no floating point longer than double")
    frame = small.beam(20.0 * spans, 4 * spans)
    nodes = np.arange(0, 4 * spans + 1, 4)
    condensed = condense(frame, small.seats(nodes, (0.0, 0.0, -1.0)))
    count = len(nodes)
    axes = np.tile(np.eye(3), (count, 1, 1))
    held = np.zeros((count, 6), dtype=bool)
    held[:, 2] = held[:, 3] = True
    base = Bearings(axes, held, np.zeros((count, 6)))
    ways = Candidates(
        np.repeat(np.arange(count), 2), np.tile([0.0, np.pi / 2], count), np.zeros(2 * count)
    )
    ground = np.zeros((6 * count, 6 * count))
    shared = Shared(condensed, ground, base, ways, seat_effects(axes))
    assert shared.residual < (1e-17 if spans > 16 else 1e-14)
    rng = np.random.default_rng(4)
    load = condensed.load(rng.normal(0.0, 1e5, (frame.freedoms, 40)))
    for _ in range(4):
        own = np.union1d(rng.choice(2 * count, 12, replace=False), [0, 1, 2 * count - 1])
        bearings = Bearings(axes, held.copy(), np.zeros((count, 6)))
        bearings.held[own // 2, own % 2] = True
        effects = Supported(condensed, bearings, ground).effects(load)
        force = effects.force.transpose(2, 0, 1)
        force = np.concatenate([-force[..., 2:3], force[..., :2], force[..., 3:]], axis=2)
        every = np.concatenate([force, effects.movement.transpose(2, 0, 1)], axis=2)
        found = shared.envelopes(shared.columns(load), own[None, :], np.array([0, 40]))
        assert_same(found.top[0, 0], every.max(axis=0).ravel())
        assert_same(found.low[0, 0], every.min(axis=0).ravel())


def test_a_part_that_needs_no_candidate_is_left_alone(small):
    # the shared bearings hold the second of two beams by themselves: its reactions are those of
    # statics, w L / 2, whatever holds the first
    build = FrameBuilder()
    for x in (0.0, 20.0, 21.0, 41.0):
        build.node(x, 0.0, 0.0)
    build.member(0, 1, **small.section)
    build.member(2, 3, **small.section)
    frame = build.frame()
    condensed = condense(frame, small.seats([0, 1, 2, 3], (0, 0, 0)))
    base = small.bearings(["za", "z", "xyza", "yz"])
    ways = Candidates(np.array([0, 0, 1, 1]), np.array([0, np.pi / 2] * 2), np.zeros(4))
    shared = Shared(condensed, small.rigid_ground(4), base, ways, seat_effects(base.axes))
    load = condensed.load(frame.line_load([1], np.array([0, 0, -1e4])))
    columns = shared.columns(load + load * 0.5)
    found = shared.envelopes(columns, np.array([[0, 1, 3], [1, 2, 3]]), np.array([0, 1]))
    for arrangement in found.top[:, 0].reshape(2, 4, 12):
        assert arrangement[:, 0] == pytest.approx([0, 0, 1.5e5, 1.5e5], rel=1e-9, abs=1e-3)
        assert arrangement[2:, 10] == pytest.approx(
            1.5 * np.array([1, -1]) * slope(small), rel=1e-9
        )


def slope(small):
    """End rotation of a simple beam, w L^3 / 24 E I, down at midspan: + about y at the start."""
    return 1e4 * 20.0**3 / (24 * small.section["E"] * small.section["Iy"])


def test_temperature_against_a_spring(small):
    # held by all but a spring k at one end: N = alpha dT L / (L / E A + 1 / k); moves by N / k
    stiffness = 3e8
    frame = small.beam(20.0, 4)
    condensed = condense(frame, small.seats([0, 4], (0, 0, 0)))
    base = small.bearings(["xyza", "yz"])
    ways = Candidates(np.array([1]), np.zeros(1), np.array([1 / stiffness]))
    shared = Shared(condensed, small.rigid_ground(2), base, ways, seat_effects(base.axes))
    assert shared.loose_count == 0
    columns = shared.columns(condensed.load(frame.strain_load(np.full(4, 3.6e-4))))
    found = shared.envelopes(columns, np.array([[0], [-1]]), np.array([0, 1]))
    flexible = 20.0 / (small.section["E"] * small.section["A"])
    force = 3.6e-4 * 20.0 / (flexible + 1 / stiffness)
    assert found.hold_top[0, 0, 0] == pytest.approx(force, rel=1e-9)
    assert found.top[:, 0, 12 + 6] == pytest.approx([force / stiffness, 7.2e-3], rel=1e-9)
    assert found.low[:, 0, 12 + 6] == pytest.approx([force / stiffness, 7.2e-3], rel=1e-9)


@pytest.fixture(scope="module")
def deck(small):
    return Deck(small, 2, 7)


@pytest.fixture(scope="module")
def batch(deck):
    """Columns and arrangements of the deck, some of which move."""
    subsets = padded([deck.pick()[0] for _ in range(60)])
    return deck.shared.columns(deck.load(70)), subsets


def test_temperature_between_two_fixed_bearings(small):
    # E A alpha dT on the axis of a beam held at both ends; guided at one end: alpha dT L, no force
    frame = small.beam(20.0, 4)
    condensed = condense(frame, small.seats([0, 4], (0, 0, 0)))
    base = small.bearings(["za", "z"])
    ways = Candidates(np.array([0, 0, 1, 1]), np.array([0, np.pi / 2] * 2), np.zeros(4))
    shared = Shared(condensed, small.rigid_ground(2), base, ways, seat_effects(base.axes))
    columns = shared.columns(condensed.load(frame.strain_load(np.full(4, 12e-6 * 30))))
    found = shared.envelopes(columns, np.array([[0, 1, 2, 3], [0, 1, 3, -1]]), np.array([0, 1]))
    locked = small.section["E"] * small.section["A"] * 3.6e-4
    assert found.hold_top[0, 0, [0, 2]] == pytest.approx([-locked, locked], rel=1e-9)
    assert np.abs(found.hold_top[1, 0, :3]).max() < 1e-9 * locked
    assert found.top[1, 0, 12 + 6] == pytest.approx(3.6e-4 * 20.0, rel=1e-9)


def test_any_effect_row_is_followed(deck):
    # sums of forces over a pier and a difference of movements, as rows of their own
    rng = np.random.default_rng(1)
    shape = (5, 6 * deck.count)
    rows = EffectRows(rng.normal(size=shape), rng.normal(size=shape))
    base = Bearings(deck.axes(deck.frames), deck.held, deck.compliance)
    shared = Shared(deck.condensed, deck.ground, base, deck.candidates, rows)
    (subset,), (bearings,) = arranged(deck, 1)
    load = deck.load(9)
    effects = Supported(deck.condensed, bearings, deck.ground).effects(load)
    back = bearings.directions.T
    expected = rows.force @ back @ effects.force.reshape(-1, 9)
    expected += rows.movement @ back @ effects.movement.reshape(-1, 9)
    found = shared.envelopes(shared.columns(load), subset[None, :], np.array([0, 9]))
    assert found.top[0, 0] == pytest.approx(expected.max(axis=1), rel=1e-9)
    assert found.low[0, 0] == pytest.approx(expected.min(axis=1), rel=1e-9)


def test_standing_agrees_with_the_motions_in_words(deck):
    picks = [deck.pick() for _ in range(200)]
    subsets = padded([subset for subset, _ in picks])
    stands = deck.shared.stands(subsets)
    words = [free_motions(deck.condensed, bearings) for _, bearings in picks]
    assert 20 < stands.sum() < 180
    assert list(stands) == [not one for one in words]
    for subset, one in zip(subsets, words, strict=True):
        assert len(deck.shared.motions(subset)) == len(one)


def test_free_motion_is_named(small):
    frame, grid = small.grillage()
    condensed = condense(frame, small.seats(grid[[0, 8]][:, [0, 2]]))
    base = small.bearings(["z"] * 4)
    ways = Candidates(np.array([0, 0, 2, 2]), np.array([0, np.pi / 2] * 2), np.zeros(4))
    shared = Shared(condensed, small.rigid_ground(4), base, ways, seat_effects(base.axes))
    assert shared.motions(np.array([1, 3])) == [
        "the superstructure slides freely along the bridge (x)"
    ]
    assert shared.motions(np.array([0, 1, 3])) == []
    with pytest.raises(UnstableError, match="slides freely along the bridge"):
        shared.operator(np.array([1, 3]))


def test_what_moves_is_flagged_and_not_solved(deck, batch):
    columns, subsets = batch
    found = deck.shared.envelopes(columns, subsets, np.array([0, 70]))
    assert 0 < found.stands.sum() < len(subsets)
    assert np.isnan(found.top[~found.stands]).all()
    assert np.isnan(found.residual[~found.stands]).all()
    assert not np.isnan(found.top[found.stands]).any()


def test_a_direction_held_twice_is_flagged_apart(small, deck):
    # the same rigid direction of one seat, given twice: nothing elastic between the two
    seat = int(np.flatnonzero(~deck.held[:, 3])[0])
    ways = Candidates(
        np.append(deck.candidates.seat, [seat, seat]),
        np.append(deck.candidates.angle, [0.2, 0.2]),
        np.append(deck.candidates.compliance, [0.0, 0.0]),
    )
    base = Bearings(deck.axes(deck.frames), deck.held, deck.compliance)
    shared = Shared(deck.condensed, deck.ground, base, ways, deck.rows)
    subsets, _ = arranged(deck, 30)
    clear = [row[(row >= 0) & (row // 3 != seat)] for row in subsets]
    clear = [row for row in clear if deck.shared.stands(row[None, :])[0]][:5]
    first = len(deck.candidates.seat)
    once = padded([np.append(row, first) for row in clear])
    twice = padded([np.append(row, [first, first + 1]) for row in clear])
    columns = shared.columns(deck.load(3))
    assert not shared.envelopes(columns, once, np.array([0, 3])).held_twice.any()
    found = shared.envelopes(columns, twice, np.array([0, 3]))
    assert found.held_twice.all()
    assert found.stands.all()
    assert np.isnan(found.top).all()
    with pytest.raises(UnstableError, match="hold the same movement twice"):
        shared.operator(twice[0])


def test_three_guides_on_one_rigid_node_are_held_twice(small):
    # the end node has two motions in the plan of these three (x and rotation): one is too many
    frame = small.beam(20.0, 1)
    seats = SeatPoints(
        np.array([0, 0, 0, 1]),
        np.array([[0, -1.03, -1], [0, 0.11, -1], [0, 0.97, -1], [0, 0, -1]]),
    )
    base = small.bearings(["", "za", "", "z"])
    seat = np.array([0, 1, 2, 1, 3])
    ways = Candidates(seat, np.array([0.3, 0.3, 0.3, 0.3 + np.pi / 2, 0.2]), np.zeros(5))
    condensed = condense(frame, seats)
    shared = Shared(condensed, small.rigid_ground(4), base, ways, seat_effects(base.axes))
    columns = shared.columns(condensed.load(np.ones(12)))
    subsets = np.array([[0, 1, 2, 3, 4], [0, 1, 3, 4, -1]])
    found = shared.envelopes(columns, subsets, np.array([0, 1]))
    assert list(found.held_twice) == [True, False]
    assert found.stands.all()


def test_chunks_and_threads_change_nothing(deck, batch):
    columns, subsets = batch
    groups = np.array([0, 32, 70])
    many = np.tile(subsets, (12, 1))  # more than one share of a thread
    whole = deck.shared.envelopes(columns, many, groups, threads=1)
    shared_out = deck.shared.envelopes(columns, many, groups, threads=3)
    memory = 50_000
    names = ("top", "low", "hold_top", "hold_low", "residual", "stands", "held_twice")
    for name in names:
        assert np.array_equal(getattr(whole, name), getattr(shared_out, name), equal_nan=True)
    next_row = 0
    for rows, part in deck.shared.stream(columns, many, groups, memory=memory):
        assert rows.start == next_row
        next_row = rows.stop
        assert sum(getattr(part, name).nbytes for name in names) <= memory
        for name in names:
            assert np.array_equal(getattr(part, name), getattr(whole, name)[rows], equal_nan=True)
    assert next_row == len(many)


def test_bad_input_is_refused(deck, batch):
    columns, subsets = batch
    with pytest.raises(BedstoneError, match="candidate 999 does not exist"):
        deck.shared.stands(np.array([[0, 999]]))
    with pytest.raises(BedstoneError, match="padded with -1"):
        deck.shared.stands(np.array([[0, -2]]))
    for groups in ([0, 69], [1, 70], [0, 40, 40, 70], [0]):
        with pytest.raises(BedstoneError, match="rise from 0 to the 70 load cases"):
            deck.shared.envelopes(columns, subsets, np.array(groups))
    load = deck.load(1)
    spoiled = SeatLoad(load.g * np.nan, load.r, load.s)
    with pytest.raises(BedstoneError, match="not finite"):
        deck.shared.columns(spoiled)


def test_shared_bearings_that_hold_one_movement_twice(small):
    frame = small.beam(20.0, 1)
    seats = SeatPoints(
        np.array([0, 0, 0, 1]),
        np.array([[0, -1.0, -1], [0, 0.0, -1], [0, 1.0, -1], [0, 0, -1]]),
    )
    base = small.bearings(["z", "z", "z", "z"])
    ways = Candidates(np.array([0]), np.zeros(1), np.zeros(1))
    with pytest.raises(UnstableError, match="hold the same movement twice"):
        Shared(condense(frame, seats), small.rigid_ground(4), base, ways, seat_effects(base.axes))


# ------------------------------------------------------------------ residuals
@pytest.mark.parametrize("row", [0, -1])
def test_a_spoiled_answer_shows_in_the_residual(deck, row):
    # row 0 of the system is compatibility, the last one equilibrium
    (subset,), _ = arranged(deck, 1)
    held = subset[subset >= 0].astype(np.int64)
    whole = kernel.system(deck.shared.matrix, deck.shared.border, held)
    inverse = np.empty_like(whole)
    assert kernel.invert(whole, inverse, 1e-15)
    right = np.random.default_rng(0).normal(size=(1, len(whole), kernel.TILE))
    answer = np.zeros_like(right)
    own = deck.shared.own[held]
    kernel._answers(inverse, right, answer)
    assert kernel._residual(whole, len(held), own, right, answer) < 1e-12
    # an answer to a slightly different right-hand side
    other = right.copy()
    other[0, row, 5] *= 1.001
    kernel._answers(inverse, other, answer)
    assert kernel._residual(whole, len(held), own, right, answer) > 1e-9


def test_soft_springs_beside_rigid_holds_keep_their_digits():
    # compliances graded over six powers of ten; the residual says how well each is solved
    rng = np.random.default_rng(0)
    for _ in range(50):
        root = rng.normal(size=(9, 9))
        soft = np.where(rng.random(9) < 0.5, 10.0 ** rng.uniform(-9, -3, 9), 0.0)
        matrix = 1e-9 * root @ root.T + np.diag(soft)
        matrix /= matrix.max()
        whole = kernel.system(matrix, rng.normal(size=(9, 3)), np.arange(9))
        inverse = np.empty_like(whole)
        assert kernel.invert(whole, inverse, 1e-15)
        right = rng.normal(size=(1, 12, kernel.TILE))
        answer = np.zeros_like(right)
        kernel._answers(inverse, right, answer)
        own = np.diag(matrix).copy()
        assert kernel._residual(whole, 9, own, right, answer) < 1e-14


def test_the_arrangement_that_fails_its_check_is_named():
    residual = np.array([1e-15, np.nan, 3e-9])
    with pytest.raises(CheckError, match=r"arrangement 12 \(candidates 4, 7\).*3.0e-09"):
        refuse_inexact(residual, np.array([[0, 1], [0, -1], [4, 7]]), 10)
    refuse_inexact(residual[:2], np.array([[0, 1], [0, -1]]))


def test_an_uneven_ground_is_an_error(deck):
    # a compliance that is not symmetric would make work from nothing
    uneven = deck.ground.copy()
    uneven[0, 1] += 1e-8
    base = Bearings(deck.axes(deck.frames), deck.held, deck.compliance)
    with pytest.raises(CheckError, match="one-sided"):
        Shared(deck.condensed, uneven, base, deck.candidates, deck.rows)


# ------------------------------------------------------------------ PyTorch
def test_the_same_by_pytorch(deck, batch):
    torch = pytest.importorskip("torch", reason="PyTorch (extra gpu) is not installed")
    columns, subsets = batch
    groups = np.array([0, 32, 70])
    one = deck.shared.envelopes(columns, subsets, groups)
    devices = ["cpu", "cuda"] if torch.cuda.is_available() else ["cpu"]
    for device, memory in [(device, memory) for device in devices for memory in (2**30, 400_000)]:
        other = envelopes_torch(deck.shared, columns, subsets, groups, device, memory=memory)
        assert np.array_equal(one.stands, other.stands)
        assert np.array_equal(one.held_twice, other.held_twice)
        stands = one.stands
        assert_same(other.top[stands], one.top[stands])
        assert_same(other.low[stands], one.low[stands])
        for name in ("hold_top", "hold_low"):
            mine, theirs = getattr(one, name), getattr(other, name)
            assert np.array_equal(np.isnan(mine), np.isnan(theirs))
            assert np.nanmax(np.abs(mine - theirs)) <= 1e-9 * np.nanmax(np.abs(mine))
        assert np.nanmax(other.residual) < 1e-12


def test_without_pytorch_the_extra_is_named(deck, batch, monkeypatch):
    monkeypatch.setitem(sys.modules, "torch", None)
    columns, subsets = batch
    with pytest.raises(BedstoneError, match="extra `gpu`"):
        envelopes_torch(deck.shared, columns, subsets, np.array([0, 70]))


def test_without_a_gpu_that_is_said(deck, batch):
    torch = pytest.importorskip("torch", reason="PyTorch (extra gpu) is not installed")
    if torch.cuda.is_available():
        pytest.skip("there is a GPU")
    columns, subsets = batch
    with pytest.raises(BedstoneError, match="finds no CUDA GPU"):
        envelopes_torch(deck.shared, columns, subsets, np.array([0, 70]))
