"""Questions that take long, answered one after the other. Knows no question.

However many pages ask, the watch then never waits for more than its share of one core.
"""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from typing import TypeVar

from supervisor.core.errors import PeerError
from supervisor.core.reasons import Reason

T = TypeVar("T")

MOST_WAITING = 8
"""Pages that may wait for an answer; one more is told to try again."""


class OneAtATime:
    """``too_many`` is the sentence for who is told to try again, being more than ``most``."""

    def __init__(self, too_many: str, most: int = MOST_WAITING) -> None:
        self._too_many = too_many
        self._most = most
        self._turn = asyncio.Lock()
        self._waiting = 0

    async def do(self, work: Callable[..., T], *given: object) -> T:
        """What ``work`` returns, from a thread, after whatever was asked for before.

        Raises PeerError while too many wait.
        """
        async with self.turn():
            return await asyncio.to_thread(work, *given)

    @asynccontextmanager
    async def turn(self) -> AsyncIterator[None]:
        """Nobody else's turn, after whatever was asked for before.

        Raises PeerError while too many wait.
        """
        if self._waiting >= self._most:
            raise PeerError(self._too_many).because(Reason.TOO_MANY_ASK)
        self._waiting += 1
        try:
            async with self._turn:
                yield
        finally:
            self._waiting -= 1
