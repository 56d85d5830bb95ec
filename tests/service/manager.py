"""A service manager's ear: the socket on which a daemon says how it is (sd_notify(3))."""

from __future__ import annotations

import asyncio
import socket
from collections.abc import Callable
from pathlib import Path
from types import TracebackType
from typing import Self

PATIENCE_S = 30.0


class Manager:
    """Holds the socket and what was said, a mapping for each datagram."""

    def __init__(self, folder: Path) -> None:
        self.path = folder / "notify"
        self.heard: list[dict[str, str]] = []
        self._socket = socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM)
        self._socket.bind(str(self.path))
        self._socket.setblocking(False)

    def listen(self) -> list[dict[str, str]]:
        """What has been said since the last time."""
        new = []
        while True:
            try:
                text = self._socket.recv(65_536).decode()
            except BlockingIOError:
                break
            new.append(dict(line.split("=", 1) for line in text.splitlines()))
        self.heard += new
        return new

    async def wait_for(self, is_said: Callable[[dict[str, str]], bool]) -> dict[str, str]:
        """The first thing that is said from now on for which that is so."""
        async with asyncio.timeout(PATIENCE_S):
            while True:
                for said in self.listen():
                    if is_said(said):
                        return said
                await asyncio.sleep(0.01)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._socket.close()
