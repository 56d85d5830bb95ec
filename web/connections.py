"""How many clients may be connected, and how long one may keep the page waiting.

Knows connections, not requests: a page in a pocket, a program that leaks connections or a
scanner in the house costs a bounded number of files and a bounded time. Without that, the files
that a process may open run out, and with them the record's and the broker's.
"""

from __future__ import annotations

import asyncio
from typing import Any

from uvicorn.protocols.http.auto import AutoHTTPProtocol

MOST = 200
"""Connections at the same time; a phone with the page open has one or two. The rest is hung up
on at once. Debian lets a process open 1,024 files."""
REQUEST_WITHIN_S = 30.0
"""Real seconds that a client has for a whole request, body and all."""
TAKES_WITHIN_S = 60.0
"""Real seconds after which a client that takes nothing of what it is sent is given up. A page
that has only been asleep connects anew."""
LOOK_EVERY_S = 5.0

_Base: Any = AutoHTTPProtocol


class PatientProtocol(_Base):  # type: ignore[misc]
    """uvicorn's HTTP protocol, with an end to its patience."""

    _look: asyncio.TimerHandle | None = None
    _asks_for_s = 0.0
    _is_stuck_for_s = 0.0
    _is_refused = False
    _has_begun = False
    """Bytes have come that make no whole request yet."""

    def connection_made(self, transport: asyncio.Transport) -> None:
        """Take the connection, or hang up when there are too many."""
        if len(self.connections) >= MOST:
            self._is_refused = True
            transport.abort()
            return
        super().connection_made(transport)
        self._look_later()

    def connection_lost(self, exc: Exception | None) -> None:
        """Forget it."""
        if self._look is not None:
            self._look.cancel()
        if not self._is_refused:
            super().connection_lost(exc)

    def data_received(self, data: bytes) -> None:
        """What comes from a client that is hung up on is dropped."""
        if self._is_refused:
            return
        super().data_received(data)
        self._has_begun = self.cycle is None or self.cycle.response_complete

    def _look_later(self) -> None:
        self._look = self.loop.call_later(LOOK_EVERY_S, self._look_at_it)

    def _look_at_it(self) -> None:
        cycle = self.cycle
        asks = cycle is None or (self._has_begun if cycle.response_complete else cycle.more_body)
        self._asks_for_s = self._asks_for_s + LOOK_EVERY_S if asks else 0.0
        is_stuck = self.flow.write_paused
        self._is_stuck_for_s = self._is_stuck_for_s + LOOK_EVERY_S if is_stuck else 0.0
        if self._asks_for_s >= REQUEST_WITHIN_S or self._is_stuck_for_s >= TAKES_WITHIN_S:
            self.transport.abort()
            return
        self._look_later()
