"""Word to the service manager: ready, alive, stopping, and one line of how things stand.

Knows the datagrams of sd_notify(3) and nothing of kilns. The protocol is a few lines of text to a
socket, systemd promises to keep it, and its manual says to speak it without a library where that
is easier; so there is none here. Without a manager nothing is sent. Whether there is a life to
tell of is ``pulse``'s business.
"""

from __future__ import annotations

import socket
from collections.abc import Mapping
from contextlib import suppress

_USUAL_S = 20.0
"""So often the manager hears how things stand if it does not ask for signs of life."""
_BEATS = 3.0
"""Signs of life in the time after which their absence counts as death; sd_watchdog_enabled(3)
asks for two."""


class Notifier:
    """Sends to ``address``, a socket's path or, after an ``@``, its abstract name.

    ``watchdog_s`` is the time without a sign of life after which the manager ends and restarts
    the daemon, None where it does not.
    """

    def __init__(self, address: str | None = None, watchdog_s: float | None = None) -> None:
        self._address = address
        self._is_stopping = False
        self.every_s = _USUAL_S if watchdog_s is None else min(watchdog_s / _BEATS, _USUAL_S)

    @classmethod
    def from_environment(cls, environment: Mapping[str, str], pid: int) -> Notifier:
        """What the manager has told the process ``pid`` when it started it."""
        address = environment.get("NOTIFY_SOCKET", "")
        if not address.startswith(("/", "@")):
            return cls()
        if environment.get("WATCHDOG_PID", str(pid)) != str(pid):
            return cls(address)
        try:
            watchdog_s = int(environment["WATCHDOG_USEC"]) / 1e6
        except (KeyError, ValueError):
            return cls(address)
        return cls(address, watchdog_s if watchdog_s > 0.0 else None)

    @property
    def is_heard(self) -> bool:
        """Whether there is a manager to tell."""
        return self._address is not None

    def ready(self) -> None:
        """The thermocouples are read and the record is open."""
        self._send("READY=1")

    def alive(self, how: str) -> None:
        """A sign of life, and how things stand."""
        self._send(f"WATCHDOG=1\nSTATUS={_line(how)}")

    def troubled(self, why: str) -> None:
        """How things stand, without a sign of life."""
        self._send(f"STATUS={_line(why)}")

    def stopping(self) -> None:
        """The end is near, and meant. It is the last word."""
        self._send("STOPPING=1\nSTATUS=Stopping")
        self._is_stopping = True

    def _send(self, text: str) -> None:
        if self._address is None or self._is_stopping:
            return
        # The first character of an abstract name is NUL (unix(7)).
        address = "\0" + self._address[1:] if self._address[0] == "@" else self._address
        # A manager that can't hear is no reason to stop watching a kiln.
        with suppress(OSError), socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as sender:
            sender.setblocking(False)
            sender.sendto(text.encode("utf-8", "replace"), address)


def _line(text: str) -> str:
    return " ".join(text.split())
