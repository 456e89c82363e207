"""One BLAS thread for small dense work, without looking for the libraries at every call."""

from __future__ import annotations

from contextlib import AbstractContextManager
from functools import cache
from typing import Any

from threadpoolctl import ThreadpoolController


@cache
def _controller() -> Any:
    return ThreadpoolController()


def one_thread() -> AbstractContextManager[Any]:
    """While it lasts, BLAS works in the calling thread alone: a second one only gets in the way."""
    made: AbstractContextManager[Any] = _controller().limit(limits=1, user_api="blas")
    return made
