"""The clock of a log from elsewhere: its time column as seconds, and as a label for people.

Knows elapsed time in any unit and wall clocks in any format: midnight where a clock has no date,
and the hour that comes twice when summer time ends. Refuses to know which rows follow.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import UTC, datetime, timedelta

from hardware.column_mapping import ISO, Decimal, TimeColumn, TimeUnits, number_in

_FARTHEST_S = 1e11
"""Seconds since 1970 until after the year 5000: what is beyond is no time."""
_HALF_DAY_S, _DAY_S = 43_200.0, 86_400.0
_CLOCK = re.compile(r"(-?)(\d{1,6}):(\d\d)(?::(\d\d(?:[.,]\d{1,9})?))?")
_NAMELESS_YEAR = "2000 "
"""For a format without a year: one that has a 29 February."""


class LogClock:
    """Reads times. ``last_s`` is that of the last row in order, for midnight and summer time."""

    __slots__ = ("_day_s", "_decimal", "_is_time_of_day", "_parse", "_time", "last_s")

    def __init__(self, time: TimeColumn, decimal: Decimal) -> None:
        self._time = time
        self._decimal = decimal
        self._is_time_of_day = time.is_time_of_day
        self._day_s = 0.0
        self.last_s: float | None = None
        self._parse: Callable[[str], datetime] | None = None
        if time.format == ISO:
            self._parse = datetime.fromisoformat
        elif time.format is not None:
            ahead, read = ("", time.format)
            if time.is_without_year:
                ahead, read = _NAMELESS_YEAR, f"%Y {time.format}"
            self._parse = lambda text: datetime.strptime(ahead + text, read)  # noqa: DTZ007

    def read(self, text: str) -> tuple[float, str | None] | None:
        """Seconds on the log's own clock and the wall-clock label; None where it is no time."""
        try:
            moment = self._elapsed_s(text) if self._parse is None else self._moment(text)
        except (ValueError, OverflowError):
            return None
        return moment if moment is not None and abs(moment[0]) <= _FARTHEST_S else None

    def _elapsed_s(self, text: str) -> tuple[float, None] | None:
        units = self._time.units
        if units is not TimeUnits.CLOCK:
            value = number_in(text, self._decimal)
            return None if value is None else (value * units.seconds, None)
        found = _CLOCK.fullmatch(text)
        if found is None:
            return None
        sign, hours, minutes, seconds = found.groups()
        total_s = (
            int(hours) * 3600.0 + int(minutes) * 60.0 + float((seconds or "0").replace(",", "."))
        )
        return (-total_s if sign else total_s), None

    def _moment(self, text: str) -> tuple[float, str | None] | None:
        assert self._parse is not None  # noqa: S101 - asked by the caller
        moment = self._parse(text)
        zone, last_s = self._time.zone, self.last_s
        if self._is_time_of_day:
            return self._time_of_day(moment), None
        if moment.tzinfo is None and zone is None:
            return moment.replace(tzinfo=UTC).timestamp(), None
        if moment.tzinfo is None:
            moment = moment.replace(tzinfo=zone)
        now_s = moment.timestamp()
        if last_s is not None and now_s <= last_s:
            # The hour that comes twice when summer time ends.
            again = moment.replace(fold=1)
            if again.timestamp() > last_s:
                moment, now_s = again, again.timestamp()
        return now_s, moment.isoformat()

    def _time_of_day(self, moment: datetime) -> float:
        midnight = moment.replace(hour=0, minute=0, second=0, microsecond=0)
        now_s = self._day_s + (moment - midnight) / timedelta(seconds=1)
        if self.last_s is not None and self.last_s - now_s > _HALF_DAY_S:
            self._day_s += _DAY_S
            now_s += _DAY_S
        return now_s
