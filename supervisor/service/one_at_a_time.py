"""Questions that take long, answered in a thread, one after the other. Knows no question.

However many pages ask, the watch then never waits for more than its share of one core.
"""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from typing import TypeVar

from supervisor.core.errors import PeerError

T = TypeVar("T")

MOST_WAITING = 8
"""Pages that may wait for an answer; one more is told to try again."""


class OneAtATime:
    """``too_many`` is the sentence for who is told to try again."""

    def __init__(self, too_many: str) -> None:
        self._too_many = too_many
        self._turn = asyncio.Lock()
        self._waiting = 0

    async def do(self, work: Callable[..., T], *given: object) -> T:
        """What ``work`` returns, from a thread, after whatever was asked for before.

        Raises PeerError while too many wait.
        """
        if self._waiting >= MOST_WAITING:
            raise PeerError(self._too_many)
        self._waiting += 1
        try:
            async with self._turn:
                return await asyncio.to_thread(work, *given)
        finally:
            self._waiting -= 1
