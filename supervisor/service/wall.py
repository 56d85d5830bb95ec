"""Whether the wall clock may be believed when it says that it is night.

A Pi without a battery clock boots with whatever hour it had last, and is set right when it finds
the network. Until then, and for long after a step, nobody is to be left asleep by it.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path

from supervisor.service.clock import STEPPED_S, boottime_s, wall_now
from supervisor.service.clock_trust import TIMESYNC, is_time_believed

_DOUBT_S = 12 * 3600.0
"""So long after a step the clock is doubted: over the night that it may be wrong about."""
_FIRST_YEAR = 2026
"""No clock that has ever been set shows less."""


def minute_of_label(label: str) -> int:
    """The minute of the day in a label, as a simulation's own wall clock shows it.

    >>> minute_of_label("2026-11-25T22:30:00+00:00")
    1350
    """
    shown = datetime.fromisoformat(label)
    return shown.hour * 60 + shown.minute


class WallDoubt:
    """Follows the wall clock beside the machine's own. Everything is passed in for tests."""

    def __init__(
        self,
        *,
        boottime: Callable[[], float] = boottime_s,
        wall: Callable[[], datetime] = wall_now,
        timesync: Path = TIMESYNC,
    ) -> None:
        self._boottime = boottime
        self._wall = wall
        self._timesync = timesync
        self._zero: datetime | None = None
        self._stepped_s: float | None = None

    def minute(self) -> int | None:
        """The local minute of the day; None where the clock is not to be believed."""
        if not self.is_believed():
            return None
        shown = self._wall()
        return shown.hour * 60 + shown.minute

    def is_believed(self) -> bool:
        """To be asked every few seconds, so that a step is seen."""
        now_s, shown = self._boottime(), self._wall()
        zero, before = shown - timedelta(seconds=now_s), self._zero
        self._zero = zero
        if before is not None and abs((zero - before).total_seconds()) > STEPPED_S:
            self._stepped_s = now_s
        if self._stepped_s is not None and now_s - self._stepped_s < _DOUBT_S:
            return False
        return shown.year >= _FIRST_YEAR and is_time_believed(self._timesync) is not False
