"""New content for parts of a page by their ids, while focus and what is unfolded stay."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Final

from nicegui import Client

from bedstone.workspace import parts

_STATIC: Final = Path(__file__).parent / "static"


def style(name: str) -> str:
    """The style sheet of one page, to stand in it: what measures itself finds it there at once."""
    return f"<style>{(_STATIC / f'{name}.css').read_text(encoding='utf-8')}</style>"


def put(client: Client, content: Mapping[str, str]) -> None:
    """Put HTML into the elements of these ids; an id that is not on the page is passed over."""
    if content and not client.is_deleted:
        client.run_javascript(f"bedstone.put({parts.script(dict(content))})")
