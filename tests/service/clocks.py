"""Clocks that stand still until they are told to go on."""

from __future__ import annotations

import asyncio
from datetime import UTC, datetime, timedelta

BEGINNING = datetime(2026, 11, 25, 20, 0, 0, tzinfo=UTC)


class Machine:
    """A machine's two clocks: the one since its boot, and the one on the wall."""

    def __init__(self, up_s: float = 1000.0) -> None:
        self.up_s = up_s
        self.shown = BEGINNING

    def boottime(self) -> float:
        return self.up_s

    def wall(self) -> datetime:
        return self.shown

    def pass_time(self, seconds: float) -> None:
        """Both clocks go on."""
        self.up_s += seconds
        self.shown += timedelta(seconds=seconds)

    def set_wall(self, by: timedelta) -> None:
        """Somebody, or the network, sets the wall clock."""
        self.shown += by


class TestClock:
    """A firing's clock that jumps to whatever is waited for, so that nothing ever sleeps."""

    __test__ = False

    def __init__(self, elapsed_s: float = 0.0, speed: float = 1.0) -> None:
        self.now_s = elapsed_s
        self.speed = speed

    def elapsed_s(self) -> float:
        return self.now_s

    def real_s(self) -> float:
        return self.now_s / self.speed

    def label(self, elapsed_s: float) -> str:
        return (BEGINNING + timedelta(seconds=elapsed_s)).isoformat(timespec="milliseconds")

    async def sleep_until(self, elapsed_s: float) -> None:
        self.now_s = max(self.now_s, elapsed_s)
        await asyncio.sleep(0)
