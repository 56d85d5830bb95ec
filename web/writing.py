"""How long a page waits for the disk: what is written is answered in time, kept or on its way.

Knows tasks and seconds, nothing of notes or alerts. A phone gives up after some seconds and its
owner tries again; so an answer comes before that, and says which of the two it is.
"""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Coroutine
from typing import Any, TypeVar

from starlette.responses import JSONResponse, Response

from web.models import Accepted

T = TypeVar("T")

KEPT = Accepted(message="Kept in memory; it is written when the disk takes it.")
ACCEPTED: dict[int | str, dict[str, Any]] = {
    202: {
        "model": Accepted,
        "description": "The disk has not taken it within 3 seconds. It is kept in memory and "
        "written when the disk takes it; there is no need to send it again.",
    }
}
"""Among a route's ``responses``."""

WAIT_S = 3.0
"""Longest wait for the disk, in real seconds: well below the 10 s after which a page gives up."""


class Writings:
    """What has been handed to the desk and is not on disk yet."""

    def __init__(self) -> None:
        self._under_way: set[asyncio.Task[Any]] = set()

    async def in_time(self, writing: Coroutine[Any, Any, T]) -> T | None:
        """What ``writing`` returns, or None when it is not done after 3 s; it then goes on.

        Raises what ``writing`` raises in that time. A later failure is told to the event
        loop's exception handler, for nobody asks any more. That nobody waits any more (the
        request is cancelled) does not end the writing.
        """
        task = asyncio.ensure_future(writing)
        self._under_way.add(task)
        task.add_done_callback(self._under_way.discard)
        # Unlike wait_for, wait leaves the task alone when the time is over or the waiter ends.
        done, _ = await asyncio.wait([task], timeout=WAIT_S)
        if done:
            return task.result()
        task.add_done_callback(_tell_of_failure)
        return None


def _tell_of_failure(task: asyncio.Task[Any]) -> None:
    error = None if task.cancelled() else task.exception()
    if error is not None:
        task.get_loop().call_exception_handler(
            {
                "message": "what the page was told is kept in memory could not be written",
                "exception": error,
                "task": task,
            }
        )


async def done(writing: Awaitable[None]) -> bool:
    """True once it is written."""
    await writing
    return True


def or_kept(written: T | None) -> T | Response:
    """What was written; what the disk has not taken yet is told as kept."""
    return JSONResponse(KEPT.model_dump(), status_code=202) if written is None else written


def empty_or_kept(written: bool | None) -> Response:
    """An answer without a body for what is written; what the disk has not taken is told as kept."""
    return or_kept(None if written is None else Response(status_code=204))
