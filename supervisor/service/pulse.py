"""Whether the daemon really watches, and if not, what is stuck.

Knows when the thermocouples last answered, when the last reading was taken in, and whether the
record is being written. A broken thermocouple, an absent broker or a disk that refuses is no
standstill: those are told to people, and a restart would mend nothing.
"""

from __future__ import annotations

from collections.abc import Callable

STUCK_S = 180.0
"""Real seconds without news after which something is stuck for good: a look at the thermocouples
takes a tenth of a second, a commit rarely one. Longer than a person is left blind before the
watch says so (``no_readings_min``, by default 2), so that the word goes out before a restart."""
_MISSED = 3.0
"""Readings in a row that a slow rhythm may miss."""


class Pulse:
    """Signs of life; ``real_s`` is a clock that never jumps.

    ``is_written`` tells whether the record's writer is at work, for a commit that may take as
    many seconds as it is given, ``is_refused`` whether the disk refuses, so that what was accepted
    is in memory alone and would be lost by a restart. ``interval_s`` lies between two readings.
    """

    def __init__(
        self,
        real_s: Callable[[], float],
        is_written: Callable[[float], bool],
        interval_s: float = 1.0,
        *,
        is_refused: Callable[[], bool] = lambda: False,
    ) -> None:
        self._real_s = real_s
        self._is_written = is_written
        self._is_refused = is_refused
        self._patience_s = max(STUCK_S, _MISSED * interval_s)
        self._answered_s = self._taken_s = real_s()
        self._is_over = False
        self.has_read = False
        """Whether the thermocouples have given a reading, with values or faults, at least once."""

    def answered(self, *, with_reading: bool) -> None:
        """The source has come back from a look, with a reading or with an error."""
        self._answered_s = self._real_s()
        self.has_read = self.has_read or with_reading

    def taken(self) -> None:
        """A reading, be it an empty one, has gone through the watch."""
        self._taken_s = self._real_s()

    def over(self) -> None:
        """The source has no more readings and none is missed."""
        self._is_over = True

    def standstill(self) -> str | None:
        """What is stuck, a whole sentence; None while all goes on."""
        if not self._is_written(STUCK_S):
            return "The record's writer is dead or stuck: nothing is being kept."
        if self._is_over or self._is_refused():
            return None
        now_s = self._real_s()
        if now_s - self._answered_s > self._patience_s:
            return "The look at the thermocouples is stuck: nothing has come back for minutes."
        if now_s - self._taken_s > self._patience_s:
            return "The watch is stuck: no reading has gone through it for minutes."
        return None
