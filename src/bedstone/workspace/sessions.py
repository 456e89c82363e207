"""Signed cookies: who signed in, until when. They end with the server, and at sign-out."""

from __future__ import annotations

import base64
import binascii
import hashlib
import hmac
import secrets
import threading
import time
from collections.abc import Callable, Mapping
from typing import Final

#: How long a cookie holds, s.
LASTS: Final = 12 * 3600.0


class Sessions:
    """Cookies of this run of the server: no other run knows the secret that signs them.

    A cookie is bound to the token it was given for: it ends when that token does. `clock`: seconds
    that only go forward.
    """

    def __init__(self, lasts: float = LASTS, clock: Callable[[], float] = time.monotonic) -> None:
        self._secret = secrets.token_bytes(32)
        self._lasts = lasts
        self._clock = clock
        self._ended: dict[str, float] = {}
        self._lock = threading.Lock()

    def begin(self, name: str, token: str) -> str:
        """The value of a cookie for a person; `token`: what the team file has of the token."""
        told = base64.urlsafe_b64encode(name.encode()).decode().rstrip("=")
        head = f"{told}.{int(self._clock() + self._lasts)}.{secrets.token_urlsafe(16)}"
        return f"{head}.{self._signed(head, token)}"

    def holder(self, value: str, tokens: Mapping[str, str]) -> str | None:
        """The name in a cookie that holds; `tokens`: by name, as the team file has them now."""
        head, _, mark = value.rpartition(".")
        parts = head.split(".")
        if len(value) > 1000 or len(parts) != 3 or not parts[1].isdecimal():
            return None
        try:
            filled = parts[0] + "=" * (-len(parts[0]) % 4)
            name = base64.b64decode(filled, b"-_", validate=True).decode()
        except (binascii.Error, ValueError):
            return None
        token = tokens.get(name)
        signed = self._signed(head, token or "")
        if not hmac.compare_digest(signed.encode(), mark.encode()) or token is None:
            return None
        with self._lock:
            over = int(parts[1]) <= self._clock() or parts[2] in self._ended
        return None if over else name

    def end(self, value: str, tokens: Mapping[str, str]) -> None:
        """Let a cookie hold no longer, also where somebody kept a copy of it."""
        if self.holder(value, tokens) is None:
            return
        _, until, number, _ = value.split(".")
        with self._lock:
            now = self._clock()
            self._ended = {told: end for told, end in self._ended.items() if end > now}
            self._ended[number] = float(until)

    def _signed(self, head: str, token: str) -> str:
        told = f"{head}\n{token}".encode()
        return hmac.new(self._secret, told, hashlib.sha256).hexdigest()
