"""Looking anew for many who ask: one look at a time, none that began before it was asked."""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable


class Looking:
    """Calls `look` so often as is needed that everybody sees what was there when they asked.

    Whoever asks while one is under way is answered by the next one, all of them together: what the
    one under way has read may be older than what they just did.
    """

    def __init__(self, look: Callable[[], Awaitable[None]]) -> None:
        self._look = look
        self._order = asyncio.Lock()
        self._asked = 0
        self._answered = 0

    async def __call__(self) -> None:
        """Look, or wait for a look that began after this was called."""
        self._asked += 1
        own = self._asked
        async with self._order:
            if self._answered >= own:
                return
            self._answered = self._asked
            await self._look()
