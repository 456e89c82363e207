"""Basis of a design for each family."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from bedstone.bearings.base import Basis
from bedstone.standards.values import Values


@pytest.fixture
def basis() -> Callable[..., Basis]:
    def make(family: str = "eurocode", **changes: Any) -> Basis:
        return Basis(family=family, values=Values(family), **changes)  # type: ignore[arg-type]

    return make
