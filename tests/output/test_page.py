"""The page of a schedule: one whole file, well formed, nothing from outside."""

import dataclasses
import re
from html.parser import HTMLParser

from bedstone.cautions import FULL
from bedstone.output.page import page
from bedstone.output.plan import plan_svg
from bedstone.schedule.result import Schedule

VOID = {"meta", "br"}


class Nesting(HTMLParser):
    """Follows opening and closing tags."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.seen: list[str] = []
        self.texts: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.seen.append(tag)
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.seen.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        self.texts.append(data)


def read(text: str) -> Nesting:
    parser = Nesting()
    parser.feed(text)
    parser.close()
    return parser


def test_the_page_is_whole_and_stands_alone(schedule: Schedule) -> None:
    text = page(schedule, plan_svg(schedule), ("ULS persistent",))
    parser = read(text)
    assert parser.open == []
    assert parser.seen.count("svg") == 1
    assert parser.seen.count("table") == 5  # bearings, seats, supports, two permanent ones
    assert not re.search(r"(src|href)\s*=|url\(|@import", text)
    assert "prefers-color-scheme: dark" in text
    assert "@media print" in text
    said = " ".join(parser.texts)
    assert schedule.bridge in said
    assert FULL in said
    assert all(seat.mark in said for seat in schedule.seats)


def test_what_a_file_says_is_text(truss: Schedule) -> None:
    name = '<script>alert(1)</script> & "so"'
    odd = dataclasses.replace(truss, bridge=name, notes=(name,), arrangement=name)
    text = page(odd, plan_svg(odd), ("ULS persistent",))
    assert "<script" not in text
    assert name in " ".join(read(text).texts)


def test_the_same_schedule_gives_the_same_page(truss: Schedule) -> None:
    pages = {page(truss, plan_svg(truss), truss.limit_states) for _ in range(2)}
    assert len(pages) == 1
