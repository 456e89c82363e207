"""The calculation package as PDF, set by Typst offline, with the faces that Typst carries.

The same contents, paper and date give the same bytes.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import UTC, date, datetime
from importlib.resources import files
from typing import Final

from bedstone import __version__
from bedstone.cautions import FULL
from bedstone.errors import BedstoneError, Fault, InputError
from bedstone.output import words
from bedstone.output.report.chapters import chapters, failing, verdict
from bedstone.output.report.contents import Contents
from bedstone.output.report.markup import PAPERS, Paper, flow, listed, quoted, shortened, text
from bedstone.output.shown import plain

#: Scripts that the faces Typst carries do not hold: only a text in one of them makes it look for
#: faces of the machine.
_OTHER_SCRIPTS: Final = re.compile("[\u0590-\u1dff\u2c00-\ua63f\ua6a0-\uffef\U00010000-\U0010ffff]")


def paper_of(told: str) -> Paper:
    """A size of paper as told by a person; raises `InputError` for another word."""
    for known in PAPERS:
        if told.strip().lower() == known:
            return known
    raise InputError([Fault("command line", "--paper", repr(told[:60]), " or ".join(PAPERS))])


def date_of(told: str | None, environment: Mapping[str, str]) -> date:
    """The date of a package: as told, else of SOURCE_DATE_EPOCH, else of today.

    Raises `InputError` for what is no date.
    """
    if told is not None:
        try:
            return date.fromisoformat(told.strip())
        except ValueError as error:
            allowed = "a date such as 2026-05-31"
            raise InputError([Fault("command line", "--date", repr(told[:60]), allowed)]) from error
    epoch = environment.get("SOURCE_DATE_EPOCH", "").strip()
    if not epoch:
        return datetime.now(tz=UTC).astimezone().date()
    try:
        return datetime.fromtimestamp(int(epoch), tz=UTC).date()
    except (ValueError, OverflowError, OSError) as error:
        allowed = "seconds since 1970-01-01, a whole number"
        raise InputError(
            [Fault("environment", "SOURCE_DATE_EPOCH", repr(epoch[:60]), allowed)]
        ) from error


def report_source(found: Contents, paper: Paper, made: date) -> str:
    """The whole package as Typst source that needs no other file."""
    schedule = found.schedule
    title = words.title(schedule)
    template = files("bedstone.output.report").joinpath("template.typ").read_text(encoding="utf-8")
    head = (
        f"#show: package.with(title: {quoted(title)}, top: {text(shortened(title, 80))}, "
        f"foot: {text(f'bedstone {__version__}, {made.isoformat()}')}, "
        f"paper: {quoted(paper)}, date: {_typst_date(made)})\n"
    )
    body = flow(chapters(found, paper))
    return f"{template}\n{head}\n{_cover(found, made)}\n#page[#contents()]\n{body}"


def report_pdf(found: Contents, paper: Paper, made: date) -> bytes:
    """The package as PDF. Raises `BedstoneError` when it cannot be set."""
    import typst

    source = report_source(found, paper, made)
    noon = datetime(made.year, made.month, made.day, 12, tzinfo=UTC)
    try:
        return typst.compile(
            source.encode("utf-8"),
            format="pdf",
            ignore_system_fonts=_OTHER_SCRIPTS.search(source) is None,
            timestamp=noon,
            pdf_tags=False,  # they make the file eight times as large and take as long as the rest
        )
    except typst.TypstError as error:
        raise BedstoneError(f"the package cannot be set: {error.message}") from error


def _typst_date(made: date) -> str:
    return f"datetime(year: {made.year}, month: {made.month}, day: {made.day})"


def _cover(found: Contents, made: date) -> str:
    schedule = found.schedule
    rows = [
        ("Standard", plain(schedule.standard_title)),
        ("Editions", plain(schedule.edition)),
        ("Arrangement", plain(schedule.arrangement)),
        ("Date", made.isoformat()),
        ("Program", f"bedstone {__version__}"),
        *(
            ("Input" if number == 0 else "", f"{plain(name)}, SHA-256 {digest[:16]}…")
            for number, (name, digest) in enumerate(found.files.items())
        ),
    ]
    told = (
        text(plain(schedule.bridge)),
        text(plain(schedule.reference)),
        text("Bearings: actions, schedule and design"),
        listed(listed(map(text, row)) for row in rows),
        text(FULL),
        text(verdict(found)),
        "true" if failing(found) else "false",
    )
    return f"#page(header: none)[#cover({', '.join(told)})]"
