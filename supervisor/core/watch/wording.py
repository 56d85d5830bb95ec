"""How the watch says times and temperatures. Knows words, not firings."""

from __future__ import annotations

from dataclasses import dataclass

from supervisor.core.units import Unit, show_difference, show_rate, show_temp

WITNESS = "this is calculated from the thermocouple, the witness cones decide"


def witness(words: Words, offset_c: float = 0.0) -> str:
    """``WITNESS``, or the same of a calculation that is corrected by what real cones did.

    >>> witness(Words(Unit.C), 4.2)
    'this is calculated from the thermocouple and corrected by +4 °C, the witness cones decide'
    """
    if offset_c == 0.0:
        return WITNESS
    sign = "+" if offset_c > 0.0 else "−"
    by = words.difference(abs(offset_c))
    return (
        f"this is calculated from the thermocouple and corrected by {sign}{by}, the witness "
        f"cones decide"
    )


def show_duration(seconds: float) -> str:
    """A length of time in words, to the minute.

    >>> show_duration(59), show_duration(60), show_duration(3 * 3600 + 540), show_duration(7200)
    ('less than a minute', '1 minute', '3 h 9 min', '2 h')
    """
    # By whole seconds, which is what a phone is sent: both then round alike.
    whole_s = int(seconds + 0.5)
    minutes = (whole_s + 30) // 60 if whole_s >= 60 else 0
    if minutes == 0:
        return "less than a minute"
    if minutes == 1:
        return "1 minute"
    if minutes < 90:
        return f"{minutes} minutes"
    hours, left = divmod(minutes, 60)
    return f"{hours} h {left} min" if left else f"{hours} h"


def show_clock(seconds: float) -> str:
    """Hours and minutes on the clock of a firing or a plan.

    >>> show_clock(0.0), show_clock(12.5 * 3600.0)
    ('0:00', '12:30')
    """
    minutes = round(seconds / 60.0)
    return f"{minutes // 60}:{minutes % 60:02d}"


def show_share(work: float) -> str:
    """How much of its heat-work a cone has had; what is not whole is never shown as whole.

    >>> show_share(0.424), show_share(0.998), show_share(1.0)
    ('42%', '99%', '100%')
    """
    return f"{percent_of(work)}%"


def percent_of(work: float) -> int:
    """The number of ``show_share``."""
    return min(round(work * 100.0), 99) if work < 1.0 else 100


@dataclass(frozen=True, slots=True)
class Words:
    """The same words in the scale that the potter reads."""

    unit: Unit

    def temp(self, temp_c: float) -> str:
        return show_temp(temp_c, self.unit)

    def difference(self, difference_c: float) -> str:
        return show_difference(difference_c, self.unit)

    def rate(self, rate_c_per_h: float) -> str:
        return show_rate(rate_c_per_h, self.unit)
