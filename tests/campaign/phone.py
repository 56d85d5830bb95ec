"""A page that is open: reads the live stream as a browser does, and fetches the chart at times."""

from __future__ import annotations

import http.client
import threading
import time
from contextlib import suppress
from types import TracebackType
from typing import Self
from urllib.parse import urlsplit

from tests.campaign.person import Page


class Phone:
    """An open page, in a thread of its own, until it is left."""

    def __init__(self, address: str, *, chart_every_s: float = 20.0) -> None:
        self.events = 0
        where = urlsplit(address)
        self._stream = http.client.HTTPConnection(str(where.hostname), where.port or 80, timeout=30)
        self._page = Page(address)
        self._chart_every_s = chart_every_s
        self._stop = threading.Event()
        self._threads = [
            threading.Thread(target=self._read, name="stream"),
            threading.Thread(target=self._draw, name="chart"),
        ]

    def _read(self) -> None:
        with suppress(OSError, http.client.HTTPException, ValueError, AttributeError):
            self._stream.request("GET", "/api/stream", headers={"Accept": "text/event-stream"})
            answer = self._stream.getresponse()
            while not self._stop.is_set() and (line := answer.readline()):
                self.events += line.startswith(b"event:")

    def _draw(self) -> None:
        while not self._stop.wait(self._chart_every_s):
            with suppress(OSError, http.client.HTTPException):
                self._page.ask("GET", "/api/chart")

    def __enter__(self) -> Self:
        for thread in self._threads:
            thread.start()
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._stop.set()
        deadline_s = time.monotonic() + 35.0
        for thread in self._threads:
            thread.join(max(deadline_s - time.monotonic(), 0.0))
        self._stream.close()
