"""What is known of a bridge when readings of it come in: its seats, their kinds, how they move."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from bedstone.bridge.schema import BearingKind, Bridge, Function
from bedstone.bridge.seats import arrangement_functions, seat_marks
from bedstone.bridge.tables import read_tables
from bedstone.site.mechanism import Form, form_of
from bedstone.site.quantities import Quantity, Read, asked, catalogue
from bedstone.site.setting import Setting

__all__ = ["KnownBridge", "Seated", "known_bridge"]

#: Directions x' and y' that a function holds.
_HELD: Mapping[Function, tuple[bool, bool]] = {
    "fixed": (True, True),
    "guided along": (False, True),
    "guided across": (True, False),
    "free": (False, False),
    "elastic": (False, False),
    "none": (False, False),
}


@dataclass(frozen=True)
class Seated:
    """The bearing of a seat.

    `held`: x' and y' held; `setting`: None where it was not worked out; `told`: False where the
    bridge file names no kind, so that `kind` is what a design chose and another may stand there.
    """

    seat: str
    support: str
    function: Function
    kind: BearingKind | None
    form: Form
    held: tuple[bool, bool]
    setting: Setting | None = None
    told: bool = True

    def fits(self, quantity: Quantity) -> bool:
        """Whether a quantity can be read on it; any can where its kind is not told."""
        return not self.told or quantity.fits(self.kind)

    @property
    def segments(self) -> bool:
        """Whether it stands on rollers that are cut down on two sides."""
        made = None if self.setting is None else self.setting.design
        return made is not None and made.rollers is not None and made.rollers.segmental

    def asked(self) -> tuple[Read, ...]:
        """The readings to take on it at a visit."""
        return asked(self.kind, self.form, self.held, segments=self.segments)


@dataclass(frozen=True)
class KnownBridge:
    """A bridge as readings see it.

    `joints`: supports below a joint of the road; `reach`: coldest and warmest steel (degC), None
    where they are not worked out.
    """

    name: str
    reference: str
    seats: Mapping[str, Seated]
    supports: tuple[str, ...]
    joints: tuple[str, ...]
    reach: tuple[float, float] | None

    def asked(self, mark: str) -> tuple[Read, ...]:
        """The readings to take on a seat, or at a support with a joint."""
        if mark in self.seats:
            return self.seats[mark].asked()
        return (Read(catalogue()["joint gap"], ""),) if mark in self.joints else ()

    def settings(self) -> tuple[Setting, ...]:
        """How its bearings are set, as far as it was worked out."""
        return tuple(s.setting for s in self.seats.values() if s.setting is not None)


def known_bridge(
    bridge: Bridge,
    folder: Path,
    settings: Sequence[Setting] = (),
    chosen: Collection[str] = (),
) -> KnownBridge:
    """What is known of a bridge. `settings`: of its bearings, where they are worked out.

    `chosen`: seats whose kind no file names and a design chose.
    `folder`: where the tables of the bridge file lie. Raises `InputError` as those readers do.
    """
    tables = read_tables(bridge, folder)
    functions = arrangement_functions(bridge, tables)
    by_seat = {item.seat: item for item in settings}
    seats = {}
    marks = tuple(support.mark for support in bridge.support)
    jointed = {marks[0], marks[-1]}
    for seat in seat_marks(bridge, tables):
        own, found = functions[seat.mark], by_seat.get(seat.mark)
        if seat.side:
            jointed.add(seat.support)
        if own.function == "none":
            continue
        held = _HELD[own.function] if found is None else found.held
        kind = own.kind if found is None else found.kind
        form = form_of(kind, not all(held)) if found is None else found.form
        seats[seat.mark] = Seated(
            seat.mark, seat.support, own.function, kind, form, held, found,
            told=kind is not None and seat.mark not in chosen,
        )  # fmt: skip
    reach = None
    if settings:
        told = settings[0].temperatures
        reach = (told.coldest, told.warmest)
    joints = tuple(mark for mark in marks if mark in jointed)
    return KnownBridge(bridge.bridge.name, bridge.bridge.reference, seats, marks, joints, reach)
