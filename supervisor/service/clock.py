"""The firing's clock. Elapsed time never jumps; the wall clock only lends its label.

A Pi has no battery clock and may boot with a wrong one that is set right hours later. So
elapsed time comes from CLOCK_BOOTTIME, which goes on through suspend and is not set by anybody,
and the wall clock is looked at only to write labels: when it is found to have been stepped,
labels follow it from then on and nothing else changes.
"""

from __future__ import annotations

import asyncio
import time
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Protocol

STEPPED_S = 2.0
"""Two readings of a wall clock that differ by more were not made by one that merely drifts."""
_BOOT_ID = Path("/proc/sys/kernel/random/boot_id")


class Clock(Protocol):
    """What the service needs of time."""

    @property
    def speed(self) -> float:
        """Firing seconds per real second; 1 for a real firing."""
        ...

    def elapsed_s(self) -> float:
        """Seconds since the log began. Never goes back."""
        ...

    def real_s(self) -> float:
        """Real seconds on a clock that never jumps, from an arbitrary zero."""
        ...

    def label(self, elapsed_s: float) -> str:
        """The wall clock's label of a firing time, ISO 8601 with offset."""
        ...

    async def sleep_until(self, elapsed_s: float) -> None:
        """Wait until the firing is at ``elapsed_s``; at once when it is already."""
        ...


def label_now(clock: Clock) -> str:
    """The wall clock's label of this instant."""
    return clock.label(clock.elapsed_s())


def boottime_s() -> float:
    """Seconds since this machine booted; not set by anybody, not stopped by suspend."""
    return time.clock_gettime(time.CLOCK_BOOTTIME)


def boot_id() -> str | None:
    """What tells this boot of the machine from every other; None where the kernel tells none."""
    try:
        return _BOOT_ID.read_text(encoding="ascii").strip()
    except OSError:
        return None


def wall_now() -> datetime:
    """The wall clock with the machine's own offset."""
    return datetime.now(tz=UTC).astimezone()


def wall_label() -> str:
    """The wall clock's label of now, to the second."""
    return wall_now().isoformat(timespec="seconds")


class FiringClock:
    """A clock that stands at ``start_s`` now and runs at ``speed``.

    A clock at another speed than 1 labels times as if the firing began now and took as long as
    it would. ``boottime`` and ``wall`` are passed in so that tests can step them.
    """

    def __init__(
        self,
        start_s: float = 0.0,
        *,
        speed: float = 1.0,
        base: datetime | None = None,
        boottime: Callable[[], float] = boottime_s,
        wall: Callable[[], datetime] = wall_now,
    ) -> None:
        """``base`` is what the wall clock showed at elapsed second 0, where that is known."""
        self._boottime = boottime
        self._wall = wall
        self._speed = speed
        self.boot_id = boot_id()
        self._zero_s = boottime() - start_s / speed
        self._base = base or wall() - timedelta(seconds=start_s)

    @property
    def speed(self) -> float:
        return self._speed

    @property
    def boottime_zero_s(self) -> float:
        """When, on the machine's clock, the firing's clock stood at 0."""
        return self._zero_s

    def elapsed_s(self) -> float:
        return round((self._boottime() - self._zero_s) * self._speed, 3)

    def real_s(self) -> float:
        return self._boottime()

    def label(self, elapsed_s: float) -> str:
        if self._speed == 1.0:
            now_base = self._wall() - timedelta(seconds=self._boottime() - self._zero_s)
            if abs((now_base - self._base).total_seconds()) > STEPPED_S:
                self._base = now_base
        return (self._base + timedelta(seconds=elapsed_s)).isoformat(timespec="milliseconds")

    async def sleep_until(self, elapsed_s: float) -> None:
        left_s = elapsed_s / self._speed - (self._boottime() - self._zero_s)
        await asyncio.sleep(max(left_s, 0.0))
