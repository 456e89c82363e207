"""The arrangements to compare: those that the rules allow, that stand, and that are not twins."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from threadpoolctl import threadpool_limits

from bedstone.articulation.arrangement import HELD, arrange, direction, fixed_point
from bedstone.articulation.ground import axes_in_plan
from bedstone.articulation.prepared import Prepared
from bedstone.bridge.schema import Function, Seat
from bedstone.comparison.choices import (
    FUNCTIONS,
    HOLDS_ALONG,
    Codes,
    within_reach,
)
from bedstone.comparison.inherited import Inherited, inherited
from bedstone.comparison.twins import SAME, Symmetry, symmetries
from bedstone.mechanics.frame import Bools, Floats, Ints
from bedstone.mechanics.support import FREE_MOTION, free_motions

_CHUNK = 65_536  # arrangements looked at together: their arrays stay in cache
#: Least ratio of eigenvalues of held directions; squares of those in `mechanics.support`, and
#: above the rounding of the squares.
_LOOSE = 1e-12
_FIXED = FUNCTIONS.index("fixed")
_SHOWN: tuple[Function, ...] = ("fixed", "guided across", "guided along")


@dataclass(frozen=True)
class Dropped:
    """Arrangements that do not stand: how many, the free motion in words, one of them by name."""

    count: int
    motion: str
    example: str


@dataclass(frozen=True)
class Arrangements:
    """The arrangements to compare.

    `codes` (n, ns) places in `words` (`FUNCTIONS`), seats in the order of `marks`; `weight` (n,)
    how many each stands for, itself and its twins; `total` number that the rules allow, which is
    the sum of `weight` and of what was `dropped`; `ways`: in which the bridge looks the same, or
    why not.
    """

    marks: tuple[str, ...]
    codes: Codes
    words: tuple[Function, ...]
    weight: Ints
    total: int
    dropped: tuple[Dropped, ...]
    ways: tuple[Symmetry, ...]
    supports: tuple[str, ...]  # of each seat
    passed_on: Inherited
    prepared: Prepared = field(repr=False, compare=False)

    def __len__(self) -> int:
        return len(self.codes)

    def functions(self, index: int) -> dict[str, Seat]:
        """The bearing of every seat, by mark, of one arrangement."""
        own = [
            self.passed_on.bearing(mark, self.words[code])
            for mark, code in zip(self.marks, self.codes[index], strict=True)
        ]
        return _aimed(self.prepared, self.passed_on, own, self.point(index))

    def point(self, index: int) -> str | None:
        """The seat or support for directions "toward fixed point", as `arrange` takes it.

        None: the fixed seats. Where none is fixed, the support that holds along; where several
        do, there is no point (None) and such bearings follow the axis.
        """
        return _point(self.codes[index], self.supports)

    def name(self, index: int) -> str:
        """An arrangement in words: the seats that hold; all others are free or as in the file."""
        return _name(self.codes[index], self.marks)

    def find(self, functions: Mapping[str, Seat]) -> int | None:
        """Place of the arrangement with these functions, or of its twin; None: not among them."""
        codes = np.array(
            [self.words.index(functions[mark].function) for mark in self.marks], dtype=np.uint8
        )
        images = [codes]
        for way in self.ways:
            if way.holds:
                image = np.zeros_like(codes)
                image[way.seats] = codes
                images.append(image)
        for image in images:
            found = np.flatnonzero((self.codes == image).all(axis=1))
            if len(found):
                return int(found[0])
        return None


def generate(
    prepared: Prepared,
    *,
    places: Collection[str] = (),
    fold: bool = True,
    seconds: float = 0.005,
) -> Arrangements:
    """All arrangements that the rules of the bridge allow and that stand, twins folded.

    `places`: marks of which something particular is asked (see `twins.symmetries`); `fold` False
    keeps all twins; `seconds`: time an arrangement takes, for the refusal of too many.

    The order is that of the rules; of twins the first is kept.

    Raises
    ------
    InputError
        For more arrangements than ``compare.rules.largest``, for none, and as `choices`.
    """
    bridge, structure = prepared.bridge, prepared.structure
    offered = within_reach(bridge, prepared.tables, seconds)
    order = {seat.mark: place for place, seat in enumerate(offered.seats)}
    marks = tuple(seat.mark for seat in structure.seats)
    codes = offered.codes()[:, [order[mark] for mark in marks]]
    supports = tuple(seat.support for seat in structure.seats)
    with threadpool_limits(limits=1, user_api="blas"):
        plan = _Plan(prepared, inherited(bridge, prepared.tables))
        groups = list(_by_point(codes, supports, plan))
        stands, dropped = _standing(codes, groups, plan, marks)
        ways = symmetries(prepared, places) if fold else ()
        kept, weight = _fold(codes, stands, groups, plan, [way for way in ways if way.holds])
    return Arrangements(
        marks=marks,
        codes=codes[kept],
        words=FUNCTIONS,
        weight=weight,
        total=len(codes),
        dropped=dropped,
        ways=ways,
        supports=supports,
        passed_on=plan.passed_on,
        prepared=prepared,
    )


def _aimed(
    prepared: Prepared, passed_on: Inherited, own: Sequence[Seat], wanted: str | None
) -> dict[str, Seat]:
    """Bearings of all seats by mark, those with the fixed point abeam turned square."""
    structure = prepared.structure
    by_mark = {support.mark: support for support in prepared.bridge.support}
    point = fixed_point(structure, tuple(own), wanted)
    return {
        place.mark: passed_on.aimed(bearing, place, structure, by_mark[place.support], point)
        for place, bearing in zip(structure.seats, own, strict=True)
    }


def _name(codes: Codes, marks: tuple[str, ...]) -> str:
    parts = []
    for function in _SHOWN:
        code = FUNCTIONS.index(function)
        own = [mark for mark, one in zip(marks, codes, strict=True) if one == code]
        if own:
            parts.append(f"{function} {', '.join(own)}")
    return "; ".join(parts) or "nothing held"


def _point(codes: Codes, supports: tuple[str, ...]) -> str | None:
    if np.any(codes == _FIXED):
        return None
    along = {supports[seat] for seat in np.flatnonzero(HOLDS_ALONG[codes])}
    return along.pop() if len(along) == 1 else None


# ------------------------------------------------------------------ directions
class _Plan:
    """Directions of every bearing at every function, and the plan motions they can hold."""

    def __init__(self, prepared: Prepared, passed_on: Inherited) -> None:
        self.prepared = prepared
        self.passed_on = passed_on
        self.condensed = prepared.condensed[prepared.final]
        structure = prepared.structure
        by_mark = {support.mark: support for support in prepared.bridge.support}
        self.supports = [by_mark[place.support] for place in structure.seats]
        self.bearings = tuple(
            tuple(passed_on.bearing(place.mark, function) for function in FUNCTIONS)
            for place in structure.seats
        )
        self.turning = any(
            bearing.direction == "toward fixed point" for row in self.bearings for bearing in row
        )
        self.held = np.array([[_held(bearing) for bearing in row] for row in self.bearings])

    def angles(self, point: Floats | None) -> Floats:
        """(ns, functions) direction of x' in plan, rad from global x; `point` (2,) or None."""
        structure = self.prepared.structure
        return np.array(
            [
                [
                    direction(
                        self.passed_on.aimed(bearing, place, structure, support, point),
                        place,
                        structure,
                        support,
                        point,
                    )
                    for bearing in row
                ]
                for row, place, support in zip(
                    self.bearings, structure.seats, self.supports, strict=True
                )
            ]
        )


def _held(bearing: Seat) -> tuple[bool, bool]:
    """Whether x' and y' are held or sprung."""
    along, across, _ = HELD[bearing.function]
    springs = bearing.stiffness
    if springs is not None:
        along = along or springs.kx is not None
        across = across or springs.ky is not None
    return along, across


@dataclass(frozen=True)
class _Group:
    """Arrangements (rows) whose bearings point to the same point, and their directions."""

    rows: Ints
    point: Floats | None
    angles: Floats


def _by_point(codes: Codes, supports: tuple[str, ...], plan: _Plan) -> Iterator[_Group]:
    """Groups of arrangements with the same directions; one where nothing points anywhere."""
    if not plan.turning:
        yield _Group(np.arange(len(codes)), None, plan.angles(None))
        return
    key = np.packbits(codes == _FIXED, axis=1)
    marks = list(dict.fromkeys(supports))
    along = np.zeros((len(codes), len(marks)), dtype=bool)
    for seat, mark in enumerate(supports):
        along[:, marks.index(mark)] |= HOLDS_ALONG[codes[:, seat]]
    single = ~key.any(axis=1) & (along.sum(axis=1) == 1)
    alone = np.where(single, along.argmax(axis=1) + 1, 0)
    key = np.column_stack([key, alone.astype(np.uint16).view(np.uint8).reshape(-1, 2)])
    _, example, number = np.unique(key, axis=0, return_index=True, return_inverse=True)
    number = number.ravel()
    ordered = np.argsort(number, kind="stable")
    bounds = np.searchsorted(number[ordered], np.arange(len(example) + 1))
    for group, row in enumerate(example.tolist()):
        seats = tuple(plan.bearings[seat][code] for seat, code in enumerate(codes[row]))
        point = fixed_point(plan.prepared.structure, seats, _point(codes[row], supports))
        yield _Group(ordered[bounds[group] : bounds[group + 1]], point, plan.angles(point))


# ------------------------------------------------------------------ what stands
def _standing(
    codes: Codes, groups: list[_Group], plan: _Plan, marks: tuple[str, ...]
) -> tuple[Bools, tuple[Dropped, ...]]:
    """(n,) which arrangements stand; of the others the motion that is free.

    The held directions of a piece as rows on the motions that its vertical bearings leave (in plan,
    as a rule three): it stands if they have full rank. Their squares summed (G = rows' rows) decide
    that for all arrangements at once; those in doubt go through the eigenvalues of G, and what
    their free motion is gets its words from one of each kind.
    """
    condensed = plan.condensed
    stands = np.ones(len(codes), dtype=bool)
    kinds = np.zeros((len(codes), len(condensed.centre)), dtype=np.intp)  # 0: the piece stands
    names: dict[tuple[int, bytes], int] = {}
    for part in range(len(condensed.centre)):
        own = np.flatnonzero(condensed.part == part)
        motions = _left_by_vertical(plan, codes[0], own, part)
        size = motions.shape[1]
        if not size:
            continue
        for group in groups:
            squares = _squares(plan, group.angles, own, part, motions)
            for start in range(0, len(group.rows), _CHUNK):
                rows = group.rows[start : start + _CHUNK]
                total = np.zeros((len(rows), size * size))
                for seat, square in zip(own, squares, strict=True):
                    total += square[codes[rows, seat]]
                grams = total.reshape(-1, size, size)
                doubt = np.flatnonzero(~_surely(grams))
                if not len(doubt):
                    continue
                for place, null in zip(doubt, _free(grams[doubt]), strict=True):
                    if null is not None:
                        key = (part, null.tobytes())
                        kinds[rows[place], part] = names.setdefault(key, len(names) + 1)
    loose = np.flatnonzero(kinds.any(axis=1))
    if not len(loose):
        return stands, ()
    _, example, number, count = np.unique(
        kinds[loose], axis=0, return_index=True, return_inverse=True, return_counts=True
    )
    number = number.ravel()
    dropped: dict[str, tuple[int, int]] = {}
    for kind, row in enumerate(loose[example].tolist()):
        words = "; ".join(_words(plan, codes[row], marks))
        if not words:  # the full check finds it stands, by a hair
            continue
        stands[loose[number == kind]] = False
        before, first = dropped.get(words, (0, row))
        dropped[words] = (before + int(count[kind]), min(first, row))
    return stands, tuple(
        Dropped(count, words, _name(codes[row], marks))
        for words, (count, row) in sorted(dropped.items(), key=lambda item: -item[1][0])
    )


def _left_by_vertical(plan: _Plan, codes: Codes, own: Ints, part: int) -> Floats:
    """(6, d) motions of a piece that vertical bearings and held rotations do not stop.

    Seats without a bearing and held rotations are the same in all arrangements.
    """
    rigid = plan.condensed.rigid
    columns = slice(6 * part, 6 * part + 6)
    rows = []
    for seat in own:
        bearing = plan.bearings[seat][codes[seat]]
        if HELD[bearing.function][2] or (bearing.stiffness and bearing.stiffness.kz is not None):
            rows.append(rigid[6 * seat + 2, columns])
        springs = bearing.stiffness
        for axis, letter in enumerate("xyz"):
            sprung = springs is not None and getattr(springs, f"kr{letter}") is not None
            if letter in bearing.hold_rotation or sprung:
                rows.append(rigid[6 * seat + 3 + axis, columns])
    if not rows:
        return np.eye(6)
    _, values, vectors = np.linalg.svd(np.array(rows), full_matrices=True)
    rank = int(np.sum(values > FREE_MOTION * values[0])) if values[0] > 0.0 else 0
    return np.asarray(vectors[rank:].T)


def _squares(plan: _Plan, angles: Floats, own: Ints, part: int, motions: Floats) -> list[Floats]:
    """For each seat (functions, d d): the squares of the directions it holds."""
    rigid = plan.condensed.rigid[:, 6 * part : 6 * part + 6]
    result = []
    for seat in own:
        reach = rigid[6 * seat : 6 * seat + 3] @ motions
        square = []
        for code in range(len(FUNCTIONS)):
            rows = axes_in_plan(angles[seat, code])[:2][plan.held[seat, code]] @ reach
            square.append((rows.T @ rows).ravel())
        result.append(np.array(square))
    return result


def _surely(grams: Floats) -> Bools:
    """(n,) True where the determinant alone shows full rank (d, d) with room to spare.

    With d eigenvalues of mean m the smallest is at least det / (d m)^(d-1).
    """
    size = grams.shape[1]
    mean = np.trace(grams, axis1=1, axis2=2) / size
    return np.asarray(np.linalg.det(grams) > 1e3 * _LOOSE * (size * mean) ** size)


def _free(grams: Floats) -> Iterator[Floats | None]:
    """For each (d, d): None when it has full rank, else its null space as a rounded projector."""
    values, vectors = np.linalg.eigh(grams)
    free = values <= _LOOSE * np.maximum(values[:, -1:], 1e-300)
    kept = np.where(free[:, None, :], vectors, 0.0)
    projectors = np.round(kept @ kept.transpose(0, 2, 1), 6) + 0.0
    for any_free, projector in zip(free.any(axis=1), projectors, strict=True):
        yield projector if any_free else None


def _words(plan: _Plan, codes: Codes, marks: tuple[str, ...]) -> list[str]:
    """The free motions of one arrangement, by the check that the engine makes."""
    prepared = plan.prepared
    own = [plan.bearings[seat][codes[seat]] for seat in range(len(marks))]
    supports = tuple(seat.support for seat in prepared.structure.seats)
    wanted = _point(codes, supports)
    functions = _aimed(prepared, plan.passed_on, own, wanted)
    arranged = arrange(prepared.structure, prepared.bridge.support, functions, wanted)
    return free_motions(plan.condensed, arranged.bearings)


# ------------------------------------------------------------------ twins
def _fold(
    codes: Codes, stands: Bools, groups: list[_Group], plan: _Plan, ways: list[Symmetry]
) -> tuple[Ints, Ints]:
    """Rows to keep, the first of each set of twins, and how many each stands for.

    Arrangements are looked up by a sum of random 64-bit numbers, one for each seat and function;
    what is found is compared code by code, so no accident of the sum can fold two that differ.
    """
    rows = np.flatnonzero(stands)
    if not ways or not len(rows):
        return rows, np.ones(len(rows), dtype=np.intp)
    random = np.random.default_rng(1)  # any fixed seed: it decides nothing but the order of sums
    marks = random.integers(0, 2**63, size=(codes.shape[1], len(FUNCTIONS)), dtype=np.uint64)
    keys = _sums(codes, marks)
    ordered = rows[np.argsort(keys[rows], kind="stable")]
    sorted_keys = keys[ordered]
    label = np.arange(len(codes))
    links = []
    for way in ways:
        image_keys = _sums(codes, marks[way.seats])
        for group in groups:
            alike = _alike(plan, group, way)
            own = group.rows[stands[group.rows]]
            own = own[_all_alike(codes, own, alike)]
            at = np.searchsorted(sorted_keys, image_keys[own])
            at = np.minimum(at, len(ordered) - 1)
            image = ordered[at]
            same = keys[image] == image_keys[own]
            own, image = own[same], image[same]
            for start in range(0, len(own), _CHUNK):  # by chunks: no second copy of the whole
                part = slice(start, start + _CHUNK)
                wrong = (codes[image[part]][:, way.seats] != codes[own[part]]).any(axis=1)
                image[part][wrong] = own[part][wrong]
            links.append((own, image))
    while True:  # the first of each set; three symmetries are closed after two rounds
        before = label.copy()
        for own, image in links:
            lower = np.minimum(label[own], label[image])
            np.minimum.at(label, own, lower)
            np.minimum.at(label, image, lower)
        if np.array_equal(before, label):
            break
    kept, weight = np.unique(label[rows], return_counts=True)
    return np.asarray(kept), np.asarray(weight)


def _sums(codes: Codes, marks: np.ndarray[tuple[int, ...], np.dtype[np.uint64]]) -> Ints:
    total = np.zeros(len(codes), dtype=np.uint64)
    for seat in range(codes.shape[1]):
        total += marks[seat][codes[:, seat]]  # wraps around, as a hash may
    return total.view(np.int64)


def _all_alike(codes: Codes, rows: Ints, alike: Bools) -> Bools:
    """(rows,) True where every bearing is the image of a like one."""
    result = np.ones(len(rows), dtype=bool)
    for seat in np.flatnonzero(~alike.all(axis=1)):
        result &= alike[seat][codes[rows, seat]]
    return result


def _alike(plan: _Plan, group: _Group, way: Symmetry) -> Bools:
    """(ns, functions) True where the bearing at the seat's image is the image of the bearing.

    Everything the file says of it must be the same, and its own axes must be images: a guide that
    points elsewhere, or a stop at another distance, is another bearing.
    """
    point = group.point
    if point is None:
        image_angles = plan.angles(None) if plan.turning else group.angles
    else:
        image_angles = plan.angles(way.image(np.append(point, way.centre[2]))[:2])
    own = np.stack([np.cos(group.angles), np.sin(group.angles)], axis=-1) @ way.turn[:2, :2].T
    there = np.stack([np.cos(image_angles), np.sin(image_angles)], axis=-1)[way.seats]
    crossed = own[..., 0] * there[..., 1] - own[..., 1] * there[..., 0]
    result = np.abs(crossed) <= SAME
    for seat, image in enumerate(way.seats):
        for code, function in enumerate(FUNCTIONS):
            if function == "none":
                result[seat, code] = True
            elif not _same_bearing(plan.bearings[seat][code], plan.bearings[image][code]):
                result[seat, code] = False
    return np.asarray(result)


def _same_bearing(one: Seat, other: Seat) -> bool:
    """All but the direction, which is compared as an angle. Stops must be alike both ways."""
    if one.model_copy(update={"direction": "axis"}) != other.model_copy(
        update={"direction": "axis"}
    ):
        return False
    stops = one.travel
    return stops is None or (stops.back == stops.ahead and stops.right == stops.left)
