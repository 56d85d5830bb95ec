"""A thread that does one thing after the other and never keeps the process from ending.

For work that may hang in the kernel: whoever asks waits as long as he likes, and goes.
"""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import Future, InvalidStateError
from contextlib import suppress
from queue import SimpleQueue
from threading import Thread
from typing import Generic, TypeVar

T = TypeVar("T")

_LAST_S = 0.5


class SideThread(Generic[T]):
    """Does what it is asked, in order."""

    def __init__(self, name: str) -> None:
        self._asked: SimpleQueue[tuple[Callable[[], T], Future[T]] | None] = SimpleQueue()
        self._thread = Thread(target=self._work, name=name, daemon=True)
        self._thread.start()

    def ask(self, what: Callable[[], T]) -> Future[T]:
        """Have ``what`` called in the thread; its answer or its error comes with the future."""
        answer: Future[T] = Future()
        self._asked.put((what, answer))
        return answer

    def stop(self) -> None:
        """Let what goes on come to its end, but don't wait for what hangs."""
        self._asked.put(None)
        self._thread.join(_LAST_S)

    def _work(self) -> None:
        while (asked := self._asked.get()) is not None:
            what, answer = asked
            # Whoever asked may have gone in the meantime.
            with suppress(InvalidStateError):
                try:
                    answer.set_result(what())
                except InvalidStateError:
                    raise
                except BaseException as error:
                    answer.set_exception(error)
