"""When somebody is told again, when others are told, and when nobody is to be woken.

Knows lengths of time and the time of day; knows no alert. The defaults are common practice, no
source.
"""

from __future__ import annotations

from dataclasses import dataclass

from supervisor.core.events import Severity

_LONGEST_TIMES = 6.0
"""Reminders come at twice the distance each time, up to so many times the first: after half an
hour nobody who sleeps through the fifth is woken by the ninth, and a phone that never stops is
switched off."""
FLAPS, FLAPS_WITHIN_S = 3, 30 * 60.0
"""What has come so often within this time comes and goes, as a loose terminal's faults do."""


@dataclass(frozen=True, slots=True)
class Now:
    """The moment at which the book is looked at.

    ``minute`` is the local wall clock's minute of the day; None where that clock is not known or
    not to be believed. ``temp_c`` is what the kiln reads, for the words of a reminder.
    """

    elapsed_s: float
    time: str | None = None
    minute: int | None = None
    temp_c: float | None = None


@dataclass(frozen=True, slots=True)
class AlertRules:
    """Times in seconds of the firing; 0 for never. Times of day in minutes since midnight."""

    remind_critical_s: float = 5 * 60.0
    """First reminder of a critical alert; a warning's takes longer."""
    remind_warning_s: float = 30 * 60.0
    escalate_s: float = 15 * 60.0
    """A critical alert that nobody has acknowledged for so long goes to others as well."""
    quiet_from_min: int | None = None
    """From here to ``quiet_to_min`` warnings and notices wait; both None: never."""
    quiet_to_min: int | None = None
    gather_s: float = 60.0
    """What comes so soon after a message is told together, but for a critical alert."""
    late_s: float = 120.0
    """A reminder later than this was due while nobody watched, and says so."""
    flapping_every_s: float = 10 * 60.0
    """What comes and goes is told of so seldom, but for a critical alert."""

    def spacing_s(self, severity: Severity, reminders: int) -> float | None:
        """How long after it was last told an alert is told again; None: never.

        >>> rules = AlertRules()
        >>> [rules.spacing_s(Severity.CRITICAL, n) / 60.0 for n in range(5)]
        [5.0, 10.0, 20.0, 30.0, 30.0]
        """
        first_s = 0.0
        if severity is Severity.CRITICAL:
            first_s = self.remind_critical_s
        elif severity is Severity.WARNING:
            first_s = self.remind_warning_s
        if first_s <= 0.0:
            return None
        return first_s * min(2.0 ** min(reminders, 16), _LONGEST_TIMES)

    def is_quiet(self, minute: int | None) -> bool:
        """Whether nobody is to be woken by less than a critical alert.

        >>> rules = AlertRules(quiet_from_min=22 * 60, quiet_to_min=7 * 60)
        >>> [rules.is_quiet(minute) for minute in (21 * 60 + 59, 22 * 60, 0, 7 * 60, None)]
        [False, True, True, False, False]
        """
        start, end = self.quiet_from_min, self.quiet_to_min
        if minute is None or start is None or end is None:
            return False
        if start <= end:
            return start <= minute < end
        return minute >= start or minute < end
