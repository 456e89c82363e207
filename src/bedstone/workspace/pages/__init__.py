"""Pages of the workspace: one module each with ``NAME``, ``ORDER`` and ``build(desk)``."""

from __future__ import annotations

import importlib
import pkgutil
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True)
class Page:
    """A page in the navigation: its name, the word in its address, and what builds it."""

    name: str
    word: str
    order: int
    build: Callable[[Any], Any]


def pages() -> tuple[Page, ...]:
    """All pages in their order. A module without the three names is part of another page."""
    found = []
    for module in pkgutil.iter_modules(__path__):
        made = importlib.import_module(f"{__name__}.{module.name}")
        if hasattr(made, "build") and hasattr(made, "NAME"):
            found.append(Page(made.NAME, module.name, made.ORDER, made.build))
    return tuple(sorted(found, key=lambda page: (page.order, page.name)))
