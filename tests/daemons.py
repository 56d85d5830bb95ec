"""The daemon as a process of its own, as a potter's Pi runs it, and what a person asks of it."""

from __future__ import annotations

import json
import signal
import subprocess
import sys
import threading
import time
import urllib.request
from collections.abc import Callable, Sequence
from pathlib import Path
from types import TracebackType
from typing import Any, Self

PATIENCE_S = 45.0
"""Real seconds that a busy machine may need for what takes an idle one a few."""


class Daemon:
    """``spyhole demo`` or ``spyhole watch``, until it is told to stop, or killed.

    What it prints is in ``lines``, what it complains of in ``complaints``.
    """

    def __init__(
        self, *words: str | Path, module: str = "supervisor", before: Sequence[str] = ()
    ) -> None:
        """``module`` is what Python runs; ``before`` are words in front of all (a wrapper)."""
        self.lines: list[str] = []
        self._changed = threading.Condition()
        self._process = subprocess.Popen(
            [*before, sys.executable, "-m", module, *map(str, words)],
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
            encoding="utf-8",
        )
        self._complaints: list[str] = []
        self._readers = [
            threading.Thread(target=self._read, args=(self._process.stdout, self.lines)),
            threading.Thread(target=self._read, args=(self._process.stderr, self._complaints)),
        ]
        for reader in self._readers:
            reader.start()

    def _read(self, stream: Any, into: list[str]) -> None:
        for line in stream:
            with self._changed:
                into.append(line.rstrip("\n"))
                self._changed.notify_all()
        with self._changed:
            self._changed.notify_all()

    def wait_for(self, beginning: str) -> str:
        """The rest of the first line that begins so; fails when none comes."""

        def said() -> str | None:
            return next((line for line in self.lines if line.startswith(beginning)), None)

        with self._changed:
            ended = lambda: said() is not None or self._process.poll() is not None  # noqa: E731
            self._changed.wait_for(ended, PATIENCE_S)
            line = said()
        assert line is not None, (beginning, self.lines, self._complaints)
        return line.removeprefix(beginning)

    @property
    def page(self) -> str:
        """Address of the page, once it is ready; ends in a slash."""
        return self.wait_for("page: ")

    @property
    def complaints(self) -> list[str]:
        """The lines on stderr."""
        return list(self._complaints)

    def stop(self, number: signal.Signals = signal.SIGTERM) -> tuple[int, float]:
        """Ask it to stop; its exit code, and how many real seconds it took."""
        begun_s = time.monotonic()
        self._process.send_signal(number)
        try:
            code = self._process.wait(30.0)
        finally:
            took_s = time.monotonic() - begun_s
            self.kill()
        return code, took_s

    @property
    def pid(self) -> int:
        """The process's number."""
        return self._process.pid

    @property
    def lives(self) -> bool:
        """Whether it has not ended yet."""
        return self._process.poll() is None

    def ends(self) -> int:
        """Wait until it ends by itself; its exit code."""
        code = self._process.wait(PATIENCE_S)
        self.kill()
        return code

    def kill(self) -> None:
        """End it at once, as a power cut does. May be called twice."""
        self._process.kill()
        self._process.wait(30.0)
        for reader in self._readers:
            reader.join(30.0)
        for stream in (self._process.stdout, self._process.stderr):
            if stream is not None:
                stream.close()

    def get(self, path: str) -> Any:
        """What the page's server answers."""
        return self._ask(urllib.request.Request(f"{self.page}{path}"))

    def post(self, path: str, body: dict[str, object]) -> Any:
        """What the page's server answers to something that a person writes."""
        return self._ask(
            urllib.request.Request(
                f"{self.page}{path}",
                json.dumps(body).encode(),
                {"Content-Type": "application/json"},
            )
        )

    def _ask(self, request: urllib.request.Request) -> Any:
        with urllib.request.urlopen(request, timeout=15.0) as answer:
            text = answer.read()
        return json.loads(text) if text else None

    def snapshot(self) -> dict[str, Any]:
        """How the firing stands."""
        found: dict[str, Any] = self.get("api/snapshot")
        return found

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.kill()


def wait_until(is_so: Callable[[], bool], what: str) -> None:
    """Ask again and again until it is so; fails when it never is."""
    gives_up_at_s = time.monotonic() + PATIENCE_S
    while not is_so():
        assert time.monotonic() < gives_up_at_s, f"it never came about that {what}"
        time.sleep(0.05)
