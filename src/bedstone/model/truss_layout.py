r"""The lines of a truss: joints and bars of one plane, and the bracing between two planes.

Everything here is counted in panels from the first support of a part (a truss in one piece):
`point` 0 is the first support, 1 the first panel point, 0.5 the middle of the first panel. Where
the points stand in metres is decided by the caller.

Forms (through trusses of six panels; ``o`` a joint)::

    pratt                             n
        o---o---o---o---o                 o---o---o---o---o
       /|\  |\  |  /|  /|\               /|  /|  /|\  |\  |\
      / | \ | \ | / | / | \             / | / | / | \ | \ | \
     o--o---o---o---o---o--o           o--o---o---o---o---o--o
    diagonals fall towards mid-span   diagonals rise towards mid-span
    (tension under gravity)           (compression under gravity)

    warren with posts                 warren
        o---o---o---o---o              o---o---o---o---o---o
       /|\  |  /|\  |  /|\            / \ / \ / \ / \ / \ / \
      / | \ | / | \ | / | \          o---o---o---o---o---o---o
     o--o---o---o---o---o--o         (top joints stand at mid-panel)

- The two halves of a span mirror each other. Where the number of panels is odd, the middle panel of
  a form with posts has both diagonals (they pass each other without a joint).
- Through: the end members are inclined, from the support up to the first top joint.
- Deck: the top chord runs from support to support. On a bottom-chord seat an upright end post
  carries its end; on a top-chord seat the outermost bottom joint is left out where no diagonal
  needs it (every form but n). A Warren deck truss is the through form turned upside down.
- Continuous: each span has its own pattern; both chords run on over the inner supports, where a
  post stands in every form.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import accumulate, pairwise
from typing import Literal

Form = Literal["pratt", "n", "warren", "warren with posts"]
Chord = Literal["top", "bottom"]
DeckKind = Literal["through", "deck"]


@dataclass(frozen=True, order=True)
class Joint:
    """A joint of a truss plane: its place in panels from the part's start and its chord."""

    point: float
    chord: Chord


@dataclass(frozen=True)
class Bar:
    """A member of a truss plane between two joints, in the order of rising point."""

    i: Joint
    j: Joint
    group: str


@dataclass(frozen=True)
class Plane:
    """Joints and bars of one truss plane; `supports`: points of its supports."""

    joints: tuple[Joint, ...]
    bars: tuple[Bar, ...]
    supports: tuple[int, ...]
    loaded: Chord

    def chord(self, chord: Chord) -> tuple[Joint, ...]:
        """Joints of a chord in order."""
        return tuple(joint for joint in self.joints if joint.chord == chord)


@dataclass(frozen=True)
class Brace:
    """A member from a joint of the right plane to one of the left plane.

    `beam`: a strut or portal that bends with what it joins; else a bar (bracing).
    """

    right: Joint
    left: Joint
    group: str
    beam: bool = False


def other(chord: Chord) -> Chord:
    """The chord that is not this one."""
    return "bottom" if chord == "top" else "top"


def truss_plane(form: Form, deck: DeckKind, seat_chord: Chord, panels: tuple[int, ...]) -> Plane:
    """Joints and bars of a part with `panels` in each of its spans (module's head)."""
    supports = (0, *accumulate(panels))
    joints = _joints(form, deck, seat_chord, supports)
    ordered = tuple(sorted(joints))
    bars = [*_chords(ordered), *_posts(joints, supports)]
    if form == "warren":
        bars += _warren(deck, supports[-1])
    else:
        bars += _panelled(form, deck, seat_chord, supports)
    loaded: Chord = "bottom" if deck == "through" else "top"
    return Plane(ordered, tuple(bars), supports, loaded)


def _joints(
    form: Form, deck: DeckKind, seat_chord: Chord, supports: tuple[int, ...]
) -> frozenset[Joint]:
    end = supports[-1]
    loaded: Chord = "bottom" if deck == "through" else "top"
    if form == "warren":
        opposite = {point + 0.5 for point in range(end)} | {float(p) for p in supports[1:-1]}
    else:
        opposite = {float(point) for point in range(1, end)}
    needed_at_ends = deck == "deck" and (seat_chord == "bottom" or form == "n")
    if needed_at_ends:
        opposite |= {0.0, float(end)}
    return frozenset(
        [Joint(float(point), loaded) for point in range(end + 1)]
        + [Joint(point, other(loaded)) for point in opposite]
    )


def _chords(joints: tuple[Joint, ...]) -> list[Bar]:
    return [
        Bar(i, j, f"{chord}_chord")
        for chord in ("bottom", "top")
        for i, j in pairwise(joint for joint in joints if joint.chord == chord)
    ]


def _posts(joints: frozenset[Joint], supports: tuple[int, ...]) -> list[Bar]:
    ends = (0, supports[-1])
    return [
        Bar(joint, top, "end_posts" if joint.point in ends else "posts")
        for joint in sorted(joints)
        if joint.chord == "bottom" and (top := Joint(joint.point, "top")) in joints
    ]


def _warren(deck: DeckKind, end: int) -> list[Bar]:
    loaded: Chord = "bottom" if deck == "through" else "top"
    bars: list[Bar] = []
    for panel in range(end):
        near, far = Joint(float(panel), loaded), Joint(panel + 1.0, loaded)
        middle = Joint(panel + 0.5, other(loaded))
        inclined_end = "end_posts" if deck == "through" else "diagonals"
        bars.append(Bar(near, middle, inclined_end if panel == 0 else "diagonals"))
        bars.append(Bar(middle, far, inclined_end if panel == end - 1 else "diagonals"))
    return bars


def _panelled(
    form: Form, deck: DeckKind, seat_chord: Chord, supports: tuple[int, ...]
) -> list[Bar]:
    """Diagonals of the forms with a post at every panel point."""
    bars: list[Bar] = []
    for start, stop in pairwise(supports):
        count = stop - start
        for index in range(count):
            low, high = float(start + index), float(start + index + 1)
            mirrored = index >= (count + 1) // 2
            if count % 2 and index == count // 2:
                bars.append(Bar(Joint(low, "bottom"), Joint(high, "top"), "diagonals"))
                bars.append(Bar(Joint(low, "top"), Joint(high, "bottom"), "diagonals"))
                continue
            place = count - 1 - index if mirrored else index
            outer = place == 0 and (high == supports[-1] if mirrored else low == 0.0)
            end_post = deck == "through" and outer
            rises = end_post or _rises(form, seat_chord, place)
            # a diagonal that rises towards mid-span falls, seen with rising point, in the half
            # that is mirrored
            upward = rises != mirrored
            i = Joint(low, "bottom" if upward else "top")
            j = Joint(high, "top" if upward else "bottom")
            bars.append(Bar(i, j, "end_posts" if end_post else "diagonals"))
    return bars


def _rises(form: Form, seat_chord: Chord, place: int) -> bool:
    """Whether the diagonal in the panel at `place` from the support rises towards mid-span."""
    if form == "warren with posts":
        # the first diagonal starts where the reaction enters
        return (place % 2 == 0) == (seat_chord == "bottom")
    return form == "n"


def bracing(plane: Plane) -> list[Brace]:
    """Members between two equal planes.

    - `lateral`: crosses in the planes of both chords, panel by panel, and, for a deck truss, sway
      crosses at the posts and struts between the bottom chords;
    - `portals`: through: beams between the top ends of the inclined end posts and of the posts
      over inner supports, which bend with them; deck: cross and strut at each support;
    - `top_struts`: between the other joints of the top chord of a through truss.
    """
    braces: list[Brace] = []
    for chord in ("bottom", "top"):
        for i, j in pairwise(plane.chord(chord)):
            braces += [Brace(i, j, "lateral"), Brace(j, i, "lateral")]
    return braces + (_through(plane) if plane.loaded == "bottom" else _deck(plane))


def _through(plane: Plane) -> list[Brace]:
    top = plane.chord("top")
    portals = {top[0], top[-1], *(joint for joint in top if joint.point in plane.supports)}
    return [
        Brace(joint, joint, "portals" if joint in portals else "top_struts", beam=True)
        for joint in top
    ]


def _deck(plane: Plane) -> list[Brace]:
    bottom = plane.chord("bottom")
    # the bottom joint each support frame reaches down to: upright, or along the end diagonal
    frames = {
        Joint(float(point), "top"): min(bottom, key=lambda joint: abs(joint.point - point))
        for point in plane.supports
    }
    braces: list[Brace] = []
    for top, low in frames.items():
        braces += [Brace(top, low, "portals"), Brace(low, top, "portals")]
    for joint in bottom:
        group = "portals" if joint in frames.values() else "lateral"
        braces.append(Brace(joint, joint, group, beam=True))
    for bar in plane.bars:
        if bar.group == "posts" and bar.j not in frames:
            braces += [Brace(bar.j, bar.i, "lateral"), Brace(bar.i, bar.j, "lateral")]
    return braces
