"""A time within a firing, as a person gives it: by the clock, or by hours since the start.

Knows the labels of the firing's readings. The clock may have been set while the firing went on,
so a time is looked for among the labels and never computed from the first one.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Iterable
from datetime import datetime, timedelta
from itertools import pairwise

from supervisor.core.errors import InputError
from supervisor.core.readings import Reading
from supervisor.record.labels import Segment

_MINUTE_S = 60.0
"""People give times to the minute: so far before the first reading or after the last is within."""
_CLOCK = re.compile(r"([01]?\d|2[0-3]):([0-5]\d)")
_HOURS = re.compile(r"(\d{1,3}):([0-5]\d)")
_MOST_DAYS = 60


class FiringTimes:
    """The times and clock labels of a firing's readings, which must be some."""

    def __init__(self, readings: Iterable[Reading]) -> None:
        self._times_s: list[float] = []
        self._labels: list[str | None] = []
        for reading in readings:
            self._times_s.append(reading.elapsed_s)
            self._labels.append(reading.time)
        self._clock: list[tuple[float, datetime]] = []
        for elapsed_s, label in zip(self._times_s, self._labels, strict=True):
            at = _aware(label)
            if at is not None:
                self._clock.append((elapsed_s, at))

    @property
    def first_s(self) -> float:
        return self._times_s[0]

    @property
    def last_s(self) -> float:
        return self._times_s[-1]

    def label_at(self, elapsed_s: float) -> str | None:
        """What the clock showed then; None where the firing has no labels."""
        place = max(bisect_right(self._times_s, elapsed_s) - 1, 0)
        return Segment(self._times_s[place], self._labels[place]).label_at(elapsed_s)

    def by_hours(self, text: str) -> float:
        """Elapsed seconds of hours and minutes since the start, as in ``11:05``.

        Raises InputError where it is none, or outside the firing.
        """
        found = _HOURS.fullmatch(text.strip())
        if found is None:
            raise InputError(
                f'"{text[:40]}" is no time since the start: give hours and minutes, as 11:05'
            )
        elapsed_s = int(found[1]) * 3600.0 + int(found[2]) * 60.0
        if not self.first_s - _MINUTE_S <= elapsed_s <= self.last_s + _MINUTE_S:
            raise InputError(
                f"{text.strip()} h is outside the firing, which is recorded from "
                f"{_hours(self.first_s)} to {_hours(self.last_s)} h"
            )
        return min(max(elapsed_s, self.first_s), self.last_s)

    def by_clock(self, text: str) -> float:
        """Elapsed seconds of a time by the clock: ``07:12``, or with its day in ISO 8601.

        Raises InputError where it is none, is outside the firing, or came more than once.
        """
        said = text.strip()
        if not self._clock:
            raise InputError("this firing has no clock times: give the time since its start")
        found = {at_s for meant in self._meant(said) for at_s in self._find(meant)}
        if not found:
            raise InputError(
                f"{said[:40]} is outside the firing, which is recorded from "
                f"{_minute(self._clock[0][1])} to {_minute(self._clock[-1][1])}"
            )
        if len(found) > 1:
            first, *_, last = sorted(found)
            raise InputError(
                f"{said[:40]} came more than once in this firing, {_hours(first)} and "
                f"{_hours(last)} h after its start: give the time since the start, or the day too"
            )
        return found.pop()

    def _meant(self, said: str) -> list[datetime]:
        """What a person may mean: without an offset it is what the firing's clock showed."""
        first, last = (_shown(self._clock[place][1]) for place in (0, -1))
        clock = _CLOCK.fullmatch(said)
        if clock is not None:
            start = first.replace(
                hour=int(clock[1]), minute=int(clock[2]), second=0, microsecond=0
            ) - timedelta(days=1)
            days = min((last - first).days + 4, _MOST_DAYS)
            return [start + timedelta(days=n) for n in range(days)]
        try:
            at = datetime.fromisoformat(said)
        except ValueError:
            at = None
        if at is None or len(said) <= len("2026-11-25"):
            raise InputError(
                f'"{said[:40]}" is no time: give the clock, as 07:12, or with its day, as '
                f"{_minute(last, 'T')}"
            )
        return [at]

    def _find(self, meant: datetime) -> list[float]:
        """Every time at which the clock passed ``meant``; more than one where it was set back."""
        read = _shown if meant.tzinfo is None else _as_it_is
        (first_s, first), (last_s, last) = self._clock[0], self._clock[-1]
        found = []
        if 0.0 < (read(first) - meant).total_seconds() <= _MINUTE_S:
            found.append(first_s)
        for (here_s, here), (next_s, following) in pairwise(self._clock):
            if read(here) <= meant < read(following):
                found.append(min(here_s + (meant - read(here)).total_seconds(), next_s))
        if 0.0 <= (meant - read(last)).total_seconds() <= _MINUTE_S:
            found.append(last_s)
        return found


def _shown(at: datetime) -> datetime:
    """What the clock on the wall showed."""
    return at.replace(tzinfo=None)


def _as_it_is(at: datetime) -> datetime:
    return at


def _aware(label: str | None) -> datetime | None:
    try:
        at = None if label is None else datetime.fromisoformat(label)
    except ValueError:
        return None
    return at if at is not None and at.tzinfo is not None else None


def _minute(at: datetime, between: str = " ") -> str:
    return at.isoformat(sep=between, timespec="minutes")[:16]


def _hours(elapsed_s: float) -> str:
    return f"{int(elapsed_s // 3600)}:{int(elapsed_s % 3600 // 60):02}"
