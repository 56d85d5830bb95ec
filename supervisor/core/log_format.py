"""How a log is written: the names of its columns, and one reading as a row of text cells.

Knows the columns of the format and how numbers are written. Refuses to know files, commas and
quotation marks: whoever writes a log hands the rows to a writer of CSV.
"""

from __future__ import annotations

from dataclasses import dataclass

from supervisor.core.readings import Reading
from supervisor.core.units import Unit, from_c

DIGITS_F = 7
"""Decimals of a temperature in °F. A thermocouple converter's steps are 1/128 °C, which are
0.0140625 °F (both by definition), so none is lost."""

_FORMULA = ("=", "+", "-", "@", "\t", "\r")


@dataclass(frozen=True, slots=True)
class LogFormat:
    """The columns of one log: ``elapsed_s``; ``time`` where readings have labels; each channel's
    temperature in ``unit``; a fault for each channel of ``faulty``.

    >>> from supervisor.core.readings import FaultCause
    >>> log = LogFormat(("top", "low"), Unit.C, faulty=frozenset({"low"}))
    >>> log.header()
    ['elapsed_s', 'top_c', 'low_c', 'low_fault']
    >>> log.cells(Reading(1.5, {"top": 20.0, "low": None}, {"low": FaultCause.OPEN}))
    ['1.5', '20', '', 'open']
    """

    channels: tuple[str, ...]
    unit: Unit = Unit.C
    with_time: bool = False
    faulty: frozenset[str] = frozenset()

    def header(self) -> list[str]:
        """The names of the columns."""
        return [
            "elapsed_s",
            *(["time"] if self.with_time else []),
            *(tame(f"{channel}_{self.unit.value.lower()}") for channel in self.channels),
            *(tame(f"{channel}_fault") for channel in self.channels if channel in self.faulty),
        ]

    def cells(self, reading: Reading) -> list[str]:
        """One reading as a row: seconds and °C read back as the very same numbers.

        A cell is blank where there is no value. Raises ValueError for a fault of a channel
        that has no column for it.
        """
        faults = reading.faults
        if faults and not faults.keys() <= self.faulty:
            raise ValueError(f"no column for a fault of {', '.join(faults.keys() - self.faulty)}")
        cells = [_shortest(reading.elapsed_s)]
        if self.with_time:
            cells.append(reading.time or "")
        for channel in self.channels:
            temp_c = reading.temps_c[channel]
            if temp_c is None:
                cells.append("")
            elif self.unit is Unit.C:
                cells.append(_shortest(temp_c))
            else:
                cells.append(_shortest(round(from_c(temp_c, self.unit), DIGITS_F)))
        for channel in self.channels:
            if channel in self.faulty:
                cause = faults.get(channel)
                cells.append("" if cause is None else cause.value)
        return cells


def tame(text: str) -> str:
    """A cell of text that no spreadsheet takes for a formula: an apostrophe before it if need be.

    For whatever people may have named or written (OWASP, CSV Injection); ``meant`` takes it away.

    >>> tame("=1+1"), tame("top_c")
    ("'=1+1", 'top_c')
    """
    return f"'{text}" if text.lstrip("'").startswith(_FORMULA) else text


def meant(text: str) -> str:
    """What ``tame`` was given."""
    is_tamed = text.startswith("'") and text.lstrip("'").startswith(_FORMULA)
    return text[1:] if is_tamed else text


def _shortest(value: float) -> str:
    """The shortest text that reads back as the very same number."""
    return repr(float(value)).removesuffix(".0")
