"""One open bridge file: its text, what was changed, and what stands on what. No page, no browser.

The text is what counts; comments survive every change. A change of a bearing is made on the parsed
bridge first, so that its forces are there at once; the text follows when it is asked for and is
read back to see that it says the same.
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, Final, Literal, get_args

from bedstone.articulation.arrangement import Arranged, arrange
from bedstone.articulation.prepared import Prepared, prepare
from bedstone.bridge.checks import check_bridge, check_seats
from bedstone.bridge.edit import change_text
from bedstone.bridge.findings import Finding
from bedstone.bridge.reader import LARGEST_FILE, read_text_of_bridge, where
from bedstone.bridge.schema import Bridge, FamilyName, Function, Reactions, Seat
from bedstone.bridge.seats import arrangement_functions
from bedstone.bridge.tables import FrameData, ReactionData, read_tables
from bedstone.bridge.templates import KINDS, template
from bedstone.comparison.screen import Look, Screen
from bedstone.errors import BedstoneError, CheckError, Fault, InputError, UnstableError
from bedstone.files import read_text
from bedstone.model.structure import SeatPlace
from bedstone.workspace.autosave import Autosave, Kept, forget, left
from bedstone.workspace.blas import one_thread
from bedstone.workspace.writer import ALONE, Writer

#: Steps that can be undone.
_STEPS: Final = 200
#: Bridges whose condensed superstructure is kept at a time.
_KEPT: Final = 4
#: What a change of function may make pointless, so that it goes with it.
_DEPENDENT: Final = ("travel", "play", "stiffness", "hold_rotation")

FUNCTIONS: Final[tuple[Function, ...]] = get_args(Function)
TEMPLATES: Final = KINDS
Before = Literal["last change", "as opened"]


class StaleError(BedstoneError):
    """The file on disk is not what was read; `mine` is the text here, `theirs` the one there."""

    def __init__(self, name: str, mine: str, theirs: str) -> None:
        self.mine, self.theirs = mine, theirs
        super().__init__(
            f"{name}: changed on disk since it was read; nothing was written. "
            "Keep yours, take the one on disk, or save yours under another name."
        )


@dataclass
class _Step:
    """One state of the file: the bridge and, once made, its text, its look, or why there is none.

    `changes`: what makes this text out of the one of the step before, until it is made.
    """

    bridge: Bridge
    text: str | None
    changes: dict[str, object]
    told: str = ""
    look: Look | None = None
    motion: str = ""
    functions: dict[str, Seat] | None = None


@dataclass
class _Shared:
    """What does not depend on the bearings, shared by all desks; `lock` while it is used."""

    prepared: Prepared
    lock: threading.Lock
    screens: dict[str, Screen]


@dataclass(frozen=True)
class _Stood:
    """What the desk stood on last: it holds for every bridge that differs in its bearings alone."""

    bridge: Bridge
    shared: _Shared
    family: FamilyName | None = None
    screen: Screen | None = None

    def holds(self, bridge: Bridge) -> bool:
        """Whether all but the bearings of a bridge are the very objects of this one."""
        own = self.bridge
        return own is bridge or (
            own.arrangement.set_at == bridge.arrangement.set_at
            and all(getattr(own, name) is getattr(bridge, name) for name in _LASTING)
        )

    def screen_of(self, bridge: Bridge, family: FamilyName) -> Screen | None:
        """The quick envelopes of a bridge, where they are those stood on last."""
        return self.screen if self.family == family and self.holds(bridge) else None


#: Parts of a bridge file that a change of a bearing leaves as they are.
_LASTING: Final = tuple(name for name in Bridge.model_fields if name != "arrangement")

_shared: dict[str, _Shared] = {}
_sharing = threading.Lock()


class Desk:
    """One open bridge file. Its methods may be called from any thread.

    Changes run one at a time. What only tells (`bridge`, `changed`, `looked`) waits for nothing, so
    that a page may ask while a look is under way.

    `writer`: the one way by which anything of this desk comes to the disk.

    Raises what reading the file raises: `InputError` with every fault in the file's own words.
    """

    def __init__(
        self,
        text: str,
        name: str,
        folder: Path,
        path: Path | None = None,
        writer: Writer = ALONE,
    ) -> None:
        self.name = name
        self.writer = writer
        self.folder = folder
        self.path = path
        self.read = text
        self.against: Before = "last change"
        self.standard: FamilyName | None = None
        self.notes: tuple[str, ...] = ()
        self._lock = threading.RLock()
        self._watchers: list[Callable[[], None]] = []
        self._autosave = None if path is None else Autosave(path, writer.kept_by)
        self._steps = [_Step(read_text_of_bridge(text, name, folder), text, {}, "opened")]
        self._at = 0
        self._now = self._steps[0]
        self._opened = self.bridge.arrangement
        self._before: _Step | None = None
        self._tables = read_tables(self.bridge, folder)
        self._own: tuple[Bridge, Prepared] | None = None
        self._stood: _Stood | None = None

    @classmethod
    def open(cls, path: Path, writer: Writer = ALONE) -> Desk:
        """Open a bridge file."""
        return cls(read_text(path, LARGEST_FILE), path.name, path.parent, path, writer)

    @classmethod
    def from_template(cls, kind: str, folder: Path, writer: Writer = ALONE) -> Desk:
        """Start from the template of a kind of superstructure; it has no file until it is saved."""
        return cls(template(kind), f"{kind}.toml", folder, writer=writer)

    def reopen(self) -> None:
        """Come back to a desk that was left."""
        if self._autosave is not None:
            self._autosave.open()

    def close(self) -> None:
        """Leave the desk; edits that are not saved are offered when the file is opened next."""
        if self._autosave is not None:
            self._autosave.close()

    # ------------------------------------------------------------------ what is open
    @property
    def bridge(self) -> Bridge:
        """The bridge as it is now."""
        return self._now.bridge

    @property
    def family(self) -> FamilyName:
        """The family of standards looked at: the one chosen, or the file's own."""
        return self.standard or self.bridge.bridge.standard

    @property
    def modelled(self) -> bool:
        """Whether the file brings a model, not only reactions from elsewhere."""
        return not isinstance(self.bridge.superstructure, Reactions)

    @property
    def text(self) -> str:
        """The text of the file as it is now, comments and all.

        Raises `CheckError` when the text would not say what is shown.
        """
        with self._lock:
            return self._text(self._at)

    def _text(self, at: int) -> str:
        step = self._steps[at]
        if step.text is None:
            text = change_text(self._text(at - 1), step.changes, self.name)
            said = arrangement_functions(
                read_text_of_bridge(text, self.name, self.folder), self._tables
            )
            if said != arrangement_functions(step.bridge, self._tables):
                raise CheckError(f"{self.name}: the changed text does not say what is shown")
            step.text = text
        return step.text

    @property
    def functions(self) -> dict[str, Seat]:
        """The bearing of each seat by mark."""
        step = self._now
        if step.functions is None:
            step.functions = arrangement_functions(step.bridge, self._tables)
        return step.functions

    @property
    def changed(self) -> bool:
        """Whether there is something to save."""
        step = self._now
        return (step.text is None or step.text != self.read) or self.path is None

    @property
    def can_undo(self) -> bool:
        """Whether a change can be taken back."""
        return self._at > 0

    @property
    def can_redo(self) -> bool:
        """Whether a change that was taken back can be made again."""
        return self._at + 1 < len(self._steps)

    @property
    def undoes(self) -> str:
        """What undo would take back."""
        return self._now.told if self.can_undo else ""

    def watch(self, told: Callable[[], None]) -> Callable[[], None]:
        """Call `told` after every change; returns what ends that."""
        self._watchers.append(told)

        def end() -> None:
            if told in self._watchers:
                self._watchers.remove(told)

        return end

    def tell(self) -> None:
        """Tell all who watch that something changed."""
        for told in list(self._watchers):
            told()

    # ------------------------------------------------------------------ what it computes
    @property
    def prepared(self) -> Prepared:
        """The condensed superstructure with this bridge on it; made once for equal ones.

        Raises as `bedstone.articulation.prepared.prepare`.
        """
        bridge = self.bridge
        own = self._own
        if own is None or own[0] is not bridge:
            own = self._own = (bridge, replace(self._share(bridge).prepared, bridge=bridge))
        return own[1]

    @property
    def seats(self) -> tuple[SeatPlace, ...]:
        """All seats with their places."""
        return self.prepared.structure.seats

    @property
    def arranged(self) -> Arranged:
        """The bearings as they are now."""
        return arrange(
            self.prepared.structure,
            list(self.bridge.support),
            self.functions,
            self.bridge.arrangement.fixed_point,
        )

    @property
    def screen(self) -> Screen:
        """Quick envelopes for this superstructure, its actions and the family; made once."""
        shared = self._share(self.bridge)
        with shared.lock:
            return self._screen(shared, self.bridge, self.family)

    @property
    def look(self) -> Look | None:
        """Envelopes of the arrangement as it is now; None when it does not stand (see `motion`)."""
        return self._seen(self._now)

    @property
    def looked(self) -> bool:
        """Whether `look` is there, or comes at once because the loads are worked out already."""
        step, stood = self._now, self._stood
        if step.look is not None or step.motion:
            return True
        return stood is not None and stood.screen_of(step.bridge, self.family) is not None

    @property
    def motion(self) -> str:
        """The motion that nothing holds, in words; empty when the bridge stands."""
        return self._now.motion

    @property
    def before(self) -> Look | None:
        """What the numbers are compared with: the look before the last change, or as opened."""
        step = self._steps[0] if self.against == "as opened" else self._before
        return None if step is None else self._seen(step)

    def use(self, standard: FamilyName) -> None:
        """Look at the bridge by another family of standards."""
        with self._lock:
            self.standard = standard
            self._before = None
            for step in self._steps:
                step.look, step.motion = None, ""
        self.tell()

    def _share(self, bridge: Bridge) -> _Shared:
        stood = self._stood
        if stood is not None and stood.holds(bridge):
            return stood.shared
        key = _prepared_key(bridge, self.folder)
        with _sharing:
            if key not in _shared:
                while len(_shared) >= _KEPT:
                    _shared.pop(next(iter(_shared)))
                assert not isinstance(self._tables, ReactionData)
                with one_thread():
                    made = prepare(bridge, self._tables)
                _shared[key] = _Shared(made, threading.Lock(), {})
            shared = _shared[key]
        self._stood = _Stood(bridge, shared)
        return shared

    def _screen(self, shared: _Shared, bridge: Bridge, family: FamilyName) -> Screen:
        stood = self._stood
        if stood is not None and stood.shared is shared:
            found = stood.screen_of(bridge, family)
            if found is not None:
                return found
        # worst traffic is looked for on the arrangement that was opened, so that the same file
        # gives the same numbers whatever was changed or opened before
        reference = bridge.model_copy(
            update={
                "arrangement": self._opened.model_copy(update={"set_at": bridge.arrangement.set_at})
            }
        )
        others = any(True for _ in check_seats(reference, self._tables))
        if others:
            reference = bridge  # other seats by now
        key = _screen_key(reference, family)
        if key not in shared.screens:
            while len(shared.screens) >= _KEPT:
                shared.screens.pop(next(iter(shared.screens)))
            shared.screens[key] = _screen(replace(shared.prepared, bridge=reference), family)
        if not others:  # else the bearings themselves are part of what it depends on
            self._stood = _Stood(bridge, shared, family, shared.screens[key])
        return shared.screens[key]

    def _seen(self, step: _Step) -> Look | None:
        """The look of a step, made when there is none; None where it does not stand."""
        while step.look is None and not step.motion and self.modelled:
            family = self.family
            look, motion = self._see(step, family)
            with self._lock:  # another family may have been chosen meanwhile
                if family == self.family:
                    step.look, step.motion = look, motion
        return step.look

    def _see(self, step: _Step, family: FamilyName) -> tuple[Look | None, str]:
        """Look at the arrangement of a step, or say why it does not stand."""
        shared = self._share(step.bridge)
        with shared.lock, one_thread():
            if family == self.family and (step.look is not None or step.motion):
                return step.look, step.motion  # another thread was faster
            screen = self._screen(shared, step.bridge, family)
            # the very objects of the screen, which knows by them that its loads still hold
            bridge = screen.prepared.bridge.model_copy(
                update={"arrangement": step.bridge.arrangement}
            )
            try:
                return screen.look(bridge), ""
            except UnstableError as error:
                return None, str(error)

    # ------------------------------------------------------------------ changes
    def set_function(
        self,
        seat: str,
        function: Function | None = None,
        direction: str | None = None,
        kind: str | None = None,
    ) -> bool:
        """Change the bearing of one seat; what is None stays as it is. Whether anything changed.

        What the new function makes pointless (stops along a held direction, springs) goes with it
        and is told in `notes`. Raises `InputError` for what the file could not say.
        """
        with self._lock:
            bridge = self.bridge
            if seat not in self.functions:
                raise InputError([Fault(self.name, "seat", repr(seat), ", ".join(self.functions))])
            told: dict[str, Any] = {"function": function, "direction": direction, "kind": kind}
            told = {name: value for name, value in told.items() if value is not None}
            changes, arrangement = _change_seat(self, seat, told)
            dropped: list[str] = []
            while True:
                changed = bridge.model_copy(update={"arrangement": arrangement})
                findings = [*check_bridge(changed), *check_seats(changed, self._tables)]
                pointless = _pointless(findings, seat, dropped)
                if not pointless:
                    break
                dropped += pointless
                own = arrangement.seats[seat].model_copy(update=dict.fromkeys(pointless))
                for name in pointless:
                    own = own.model_copy(update={name: Seat.model_fields[name].get_default()})
                    changes[f'arrangement.seats."{seat}".{name}'] = None
                arrangement = arrangement.model_copy(
                    update={"seats": {**arrangement.seats, seat: own}}
                )
            if findings:
                raise _input_error(self.name, findings, changed)
            if arrangement_functions(changed, self._tables) == self.functions:
                return False
            self.notes = tuple(
                f"{seat}: {name} taken out, a bearing that is {function} has none"
                for name in dropped
            )
            words = ", ".join(str(value) for value in told.values())
            self._push(_Step(changed, None, changes, f"{seat} {words}"))
        self.tell()
        return True

    def edit(self, text: str, told: str = "text edited") -> None:
        """Take another text; raises `InputError` with every fault, and nothing changes."""
        with self._lock:
            bridge = read_text_of_bridge(text, self.name, self.folder)
            tables = read_tables(bridge, self.folder)
            if text == self.text:
                return
            self._use_tables(tables)
            self.notes = ()
            self._push(_Step(bridge, text, {}, told))
        self.tell()

    def _push(self, step: _Step) -> None:
        self._leave()
        del self._steps[self._at + 1 :]
        self._steps.append(step)
        if len(self._steps) > _STEPS:
            self._text(1)  # the next one has to stand by itself
            del self._steps[0]
        self._at = len(self._steps) - 1
        self._now = step

    def _leave(self) -> None:
        """Numbers are compared with those of this step, unless it does not stand."""
        if not self._now.motion:
            self._before = self._now

    def undo(self) -> None:
        """Take the last change back."""
        self._go(-1)

    def redo(self) -> None:
        """Make a change again that was taken back."""
        self._go(1)

    def _go(self, way: int) -> None:
        with self._lock:
            to = self._at + way
            if not 0 <= to < len(self._steps):
                return
            self._leave()
            self._at, self._now = to, self._steps[to]
            self.notes = ()
            self._use_tables(read_tables(self.bridge, self.folder))
        self.tell()

    def _use_tables(self, tables: FrameData | ReactionData | None) -> None:
        """Take other tables; what was made from those before goes."""
        if tables != self._tables:
            self._tables = tables
            self._stood = None
            for step in self._steps:
                step.functions = None

    # ------------------------------------------------------------------ files
    def save(self, path: Path | None = None, *, force: bool = False) -> Path:
        """Write the text to its file, or to another one, in one step.

        Raises `StaleError` when the file on disk is not what was read, unless `force`; `InputError`
        when it cannot be written or there is no name yet; `RoleError` and `JournalError` as
        `Writer.write`.
        """
        with self._lock, self.writer.held():
            target = path or self.path
            if target is None:
                raise InputError([Fault(self.name, "file", "no name yet", "a name to save under")])
            text = self.text
            if not force and target.exists():
                there = read_text(target, LARGEST_FILE)
                own = self.path is not None and target.resolve() == self.path.resolve()
                if there != text and not (own and there == self.read):
                    raise StaleError(target.name, text, there)
            elif not force and path is None:
                raise StaleError(target.name, text, "")
            self.writer.write(target, text)
            if self._autosave is not None:
                self._autosave.drop()
            if path is not None and path != self.path:
                self.close()
                self.path, self.name, self.folder = path, path.name, path.parent
                self._autosave = Autosave(path, self.writer.kept_by)
            self.read = text
        self.tell()
        return target

    def theirs(self) -> str | None:
        """The text on disk where it is no longer what was read; None where it is.

        None as well where there is no file, or none that can be read: saving tells that.
        """
        with self._lock:  # not while it is being saved from here
            if self.path is None:
                return None
            try:
                there = read_text(self.path, LARGEST_FILE)
            except InputError:
                return None
            return None if there == self.read else there

    def take_theirs(self) -> None:
        """Take the file as it is on disk; the own text can be had back by undo."""
        assert self.path is not None
        text = read_text(self.path, LARGEST_FILE)
        self.edit(text, "file on disk taken")
        with self._lock:
            self.read = text
        self.tell()

    def autosave(self) -> None:
        """Keep what is not saved yet where a crash does not reach it."""
        with self._lock:
            if self._autosave is None:
                return
            text = self.text
            if text == self.read:
                self._autosave.drop()
            else:
                self._autosave.keep(self.read, text)

    def left(self) -> tuple[Kept, ...]:
        """Edits of this file that a desk no longer at work left behind."""
        return left(self.path, self.writer.kept_by) if self.path is not None else ()

    def recover(self, kept: Kept) -> None:
        """Go on with edits that were left behind; they can be undone and are not saved yet."""
        self.edit(kept.text, "edits of before taken up")
        self.autosave()
        forget(kept)

    def forget(self, kept: Kept) -> None:
        """Throw edits away that were left behind."""
        forget(kept)


# ------------------------------------------------------------------ parts
def _change_seat(desk: Desk, seat: str, told: dict[str, Any]) -> tuple[dict[str, object], Any]:
    """The change in the words of the file, and the arrangement with it."""
    arrangement = desk.bridge.arrangement
    own = arrangement.seats.get(seat)
    support = next(place.support for place in desk.seats if place.mark == seat)
    line = arrangement.supports.get(support)
    if own is None and isinstance(line, list) and set(told) == {"function"}:
        # the function stands in the list of its line: it is changed there
        marks = [mark for mark in desk.functions if _support_of(desk, mark) == support]
        place = marks.index(seat)
        functions = [*line]
        functions[place] = told["function"]
        changed = arrangement.model_copy(
            update={"supports": {**arrangement.supports, support: functions}}
        )
        return {f'arrangement.supports."{support}"[{place + 1}]': told["function"]}, changed
    if own is None:
        told = {"function": desk.functions[seat].function, **told}
    read = Seat.model_validate({"function": "free", **told})
    values = {name: getattr(read, name) for name in told}
    if own is None:
        made = read.model_copy(update=values)
    else:
        made = own.model_copy(update=values)
    changed = arrangement.model_copy(update={"seats": {**arrangement.seats, seat: made}})
    return {f'arrangement.seats."{seat}".{name}': value for name, value in told.items()}, changed


def _support_of(desk: Desk, mark: str) -> str:
    return next(place.support for place in desk.seats if place.mark == mark)


def _pointless(findings: list[Finding], seat: str, gone: list[str]) -> list[str]:
    """Fields of a seat that its function no longer allows."""
    head = ("arrangement", "seats", seat)
    names = [str(item.path[3]) for item in findings if item.path[:3] == head and len(item.path) > 3]
    return [name for name in dict.fromkeys(names) if name in _DEPENDENT and name not in gone]


def _input_error(name: str, findings: list[Finding], bridge: Bridge) -> InputError:
    data = bridge.model_dump()
    return InputError(
        [Fault(name, where(data, item.path), item.found, item.allowed) for item in findings]
    )


def _prepared_key(bridge: Bridge, folder: Path) -> str:
    """What the condensed superstructure depends on, as text."""
    own = bridge.model_dump_json(
        include={"bridge", "alignment", "materials", "superstructure", "stage"}
    )
    lines = [
        support.model_dump_json(include={"mark", "chainage", "skew", "below", "base_level"})
        for support in bridge.support
    ]
    # jacking, lengthening and traffic name members and lines of the model
    return "\n".join([str(folder.resolve()), own, *lines, bridge.actions.model_dump_json()])


def _screen_key(bridge: Bridge, family: FamilyName) -> str:
    """What the quick envelopes depend on beside the bearings looked at, as text."""
    rest = bridge.model_dump_json(exclude={"compare", "faults", "uncertainty"})
    return f"{family}\n{rest}"


def _screen(prepared: Prepared, family: FamilyName) -> Screen:
    """Quick envelopes; for a file whose own arrangement does not stand, worst traffic is looked for
    on one that does: fixed at the first support, guided along at all others.
    """
    with one_thread():
        try:
            return Screen(prepared, family)
        except UnstableError:
            bridge = prepared.bridge
            first = bridge.support[0].mark
            seats = {
                place.mark: Seat(function="fixed" if place.support == first else "guided along")
                for place in prepared.structure.seats
            }
            plain = bridge.arrangement.model_copy(
                update={"seats": seats, "fixed_point": None, "supports": {}}
            )
            stood = bridge.model_copy(update={"arrangement": plain})
            return Screen(replace(prepared, bridge=stood), family)
