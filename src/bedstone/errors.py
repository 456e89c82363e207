"""The one error tree of bedstone: every fault a user can cause is a `BedstoneError`."""

from __future__ import annotations

from dataclasses import dataclass


class BedstoneError(Exception):
    """Base of every error bedstone raises on purpose."""


@dataclass(frozen=True)
class Fault:
    """One fault of an input: where it is, what was found and what is allowed.

    `where` is the field in the file's own words, e.g. ``support[2].below.height`` or
    ``line 14``; `found` is the offending text (shortened); `allowed` says what would do.
    """

    file: str
    where: str
    found: str
    allowed: str

    def __str__(self) -> str:
        return f"{self.file}: {self.where}: found {self.found}; allowed: {self.allowed}"


class InputError(BedstoneError):
    """Bad input; carries one or more `Fault` records (exit code 2 at the command line)."""

    def __init__(self, faults: list[Fault] | tuple[Fault, ...]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(str(fault) for fault in self.faults))


class UnstableError(BedstoneError):
    """An arrangement or a structure that can move freely; the message names the motion."""


class CheckError(BedstoneError):
    """A result that fails its own check (equilibrium, compatibility, symmetry)."""
