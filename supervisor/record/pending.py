"""The answer to what was given to the record: durable once it is done."""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Generator
from concurrent.futures import Future
from typing import Any, Generic, TypeVar

T = TypeVar("T")


class Pending(Generic[T]):
    """Something that is durable once it is done.

    In asyncio it is awaited; elsewhere ``result`` waits. Giving up waiting changes nothing: the
    record still writes it.
    """

    __slots__ = ("_future",)

    def __init__(self, future: Future[T]) -> None:
        self._future = future

    def __await__(self) -> Generator[Any, None, T]:
        return asyncio.wrap_future(self._future).__await__()

    def result(self, timeout_s: float | None = None) -> T:
        """Wait until it is on disk. Raises TimeoutError, or what went wrong."""
        return self._future.result(timeout_s)

    def when_done(self, call: Callable[[], None]) -> None:
        """Call once it is over, from the writing thread or, if it is already over, from here."""
        self._future.add_done_callback(lambda _future: call())

    def when_kept(self, call: Callable[[], None]) -> None:
        """Call once it is on disk, from where ``when_done`` calls; never if it fails."""

        def over(future: Future[T]) -> None:
            if future.exception() is None:
                call()

        self._future.add_done_callback(over)

    def when_failed(self, call: Callable[[BaseException], None]) -> None:
        """Call with what went wrong once it has failed for good, from where ``when_done`` calls.

        A disk that refuses for a while is no failure: that is tried again.
        """

        def over(future: Future[T]) -> None:
            error = future.exception()
            if error is not None:
                call(error)

        self._future.add_done_callback(over)
