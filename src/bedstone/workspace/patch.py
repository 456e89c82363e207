"""New content for parts of a page by their ids, while focus and what is unfolded stay."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Final

from nicegui import Client

from bedstone.workspace import parts

_STATIC: Final = Path(__file__).parent / "static"
_PUT: Final = """
((told) => {
  for (const [id, html] of Object.entries(told)) {
    const place = document.getElementById(id);
    if (!place) continue;
    const held = document.activeElement;
    const key = held && held !== place && place.contains(held) ? held.dataset?.key : null;
    const dirty = key && held.matches("input, textarea") && held.value !== held.defaultValue;
    const typing = dirty ? [held.value, held.selectionStart, held.selectionEnd] : null;
    const open = [...place.querySelectorAll("details[data-fold]")]
      .filter((fold) => fold.open).map((fold) => fold.dataset.fold);
    const tops = [...place.querySelectorAll("[data-scroll]")]
      .map((box) => [box.dataset.scroll, box.scrollTop]);
    place.innerHTML = html;
    for (const fold of place.querySelectorAll("details[data-fold]"))
      if (open.includes(fold.dataset.fold)) fold.open = true;
    for (const [name, top] of tops) {
      const box = place.querySelector(`[data-scroll="${CSS.escape(name)}"]`);
      if (box) box.scrollTop = top;
    }
    if (key) {
      const same = place.querySelector(`[data-key="${CSS.escape(key)}"]`);
      same?.focus({ preventScroll: true });
      if (same && typing) {
        same.value = typing[0];
        same.setSelectionRange?.(typing[1], typing[2]);
      } else if (same?.matches("input")) same.select();
    }
  }
  document.body.dataset.ready = "yes";
})
"""


def style(name: str) -> str:
    """The style sheet of one page, to stand in it: what measures itself finds it there at once."""
    return f"<style>{(_STATIC / f'{name}.css').read_text(encoding='utf-8')}</style>"


def put(client: Client, content: Mapping[str, str]) -> None:
    """Put HTML into the elements of these ids; an id that is not on the page is passed over."""
    if content and not client.is_deleted:
        client.run_javascript(f"{_PUT}({parts.script(dict(content))})")
