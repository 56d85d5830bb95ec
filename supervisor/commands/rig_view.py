"""How a rig is shown on a terminal: a table that is drawn anew, lines, or one JSON document.

Knows text only. Temperatures come in °C and are shown in the potter's scale.
"""

from __future__ import annotations

import shutil
import sys
import textwrap
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from hardware.channel import ThermocoupleChannel
from hardware.explain import ChannelReport
from supervisor.core.units import Unit, difference_from_c, from_c

_NOISY_C = 2.0
"""A probe in a sheath and a board with its filters are far below this (common practice, no
source)."""
_NOISY = (
    "It is noisy: look for a loose or wet terminal, for leads beside mains cables, and whether "
    "mains_hz is your mains' own."
)
_NOTHING = "–"


@dataclass(frozen=True, slots=True)
class Row:
    """A channel with its report, and how much it jitters in °C."""

    channel: ThermocoupleChannel
    report: ChannelReport
    noise_c: float | None

    @property
    def is_noisy(self) -> bool:
        """Whether it jitters more than a sound probe does."""
        return self.noise_c is not None and self.noise_c > _NOISY_C

    @property
    def is_fine(self) -> bool:
        """Whether there is nothing to mend."""
        return self.report.is_fine and not self.is_noisy

    @property
    def short(self) -> str:
        """Its state in a word or two."""
        return "noisy" if self.is_noisy and self.report.short == "ok" else self.report.short

    @property
    def sentences(self) -> tuple[str, ...]:
        """What there is to say of it."""
        if not self.is_noisy:
            return self.report.sentences
        others = self.report.sentences if self.report.short != "ok" else ()
        return (*others, _NOISY)


def degrees(temp_c: float | None, unit: Unit) -> str:
    """A temperature to a tenth.

    >>> degrees(21.44, Unit.C), degrees(100.0, Unit.F), degrees(None, Unit.C)
    ('21.4 °C', '212.0 °F', '–')
    """
    return _NOTHING if temp_c is None else f"{from_c(temp_c, unit):,.1f} °{unit.value}"


def difference(degrees_c: float, unit: Unit) -> str:
    """A difference of temperatures to a tenth, with its sign where it is below zero.

    >>> difference(-1.0, Unit.F)
    '−1.8 °F'
    """
    shown = f"{difference_from_c(degrees_c, unit):,.1f} °{unit.value}"
    return shown.replace("-", "−")


def table(rows: Sequence[Row], unit: Unit, width: int) -> list[str]:
    """The channels as lines of a table, and below it what there is to say."""
    heads = ("channel", "type", "reading", "noise", "terminals", "state")
    cells = [heads, *(_cells(row, unit) for row in rows)]
    widths = [max(len(line[column]) for line in cells) for column in range(len(heads))]
    lines = [
        "  ".join(cell.ljust(room) for cell, room in zip(line, widths, strict=True)).rstrip()[
            :width
        ]
        for line in cells
    ]
    for row in rows:
        if row.short != "ok":
            lines.append("")
            for sentence in row.sentences:
                lines += textwrap.wrap(f"{row.report.name}: {sentence}", width)
    return lines


def _cells(row: Row, unit: Unit) -> tuple[str, ...]:
    report = row.report
    noise = _NOTHING if row.noise_c is None else f"±{difference_from_c(row.noise_c, unit):.1f}"
    return (
        report.name,
        report.thermocouple_type,
        degrees(report.temp_c, unit),
        noise,
        degrees(report.cold_junction_c, unit),
        row.short,
    )


def one_line(rows: Sequence[Row], unit: Unit) -> str:
    """All channels in one line, for what is no terminal."""
    return ", ".join(
        f"{row.report.name} {degrees(row.report.temp_c, unit)}"
        + ("" if row.short == "ok" else f" ({row.short})")
        for row in rows
    )


def at_length(rows: Sequence[Row], unit: Unit) -> str:
    """Every channel with all that is to be said of it."""
    parts = []
    for row in rows:
        report, channel = row.report, row.channel
        noise = "" if row.noise_c is None else f", noise ±{difference(row.noise_c, unit)}"
        terminals = degrees(report.cold_junction_c, unit)
        parts.append(
            f"{report.name} (type {channel.thermocouple_type}, {channel.bus}, "
            f"{channel.chip_select}): {row.short}\n"
            f"  reads {degrees(report.temp_c, unit)}{noise}; terminals {terminals}\n"
            + "\n".join(
                textwrap.fill(sentence, 98, initial_indent="  ", subsequent_indent="  ")
                for sentence in row.sentences
            )
        )
    return "\n\n".join(parts)


def as_json(rows: Sequence[Row]) -> dict[str, Any]:
    """The JSON of a look at the rig; °C throughout."""
    return {
        "ok": all(row.is_fine for row in rows),
        "channels": [
            {
                "channel": row.report.name,
                "type": row.channel.thermocouple_type,
                "bus": row.channel.bus,
                "chip_select": row.channel.chip_select,
                "ok": row.is_fine,
                "state": row.short,
                "temp_c": _rounded(row.report.temp_c),
                "noise_c": _rounded(row.noise_c),
                "cold_junction_c": _rounded(row.report.cold_junction_c),
                "offset_c": _rounded(row.channel.offset_c),
                "fault": None if row.report.fault is None else row.report.fault.value,
                "says": list(row.sentences),
            }
            for row in rows
        ],
    }


def _rounded(value: float | None) -> float | None:
    return None if value is None else round(value, 3)


class Screen:
    """A terminal that is drawn anew each time, or plain lines where stdout is none."""

    def __init__(self) -> None:
        self.is_terminal = sys.stdout.isatty()
        self._is_fresh = True

    @property
    def width(self) -> int:
        """Columns, at most 100."""
        return max(20, min(shutil.get_terminal_size().columns - 1, 100))

    def draw(self, lines: Sequence[str]) -> None:
        """Show these lines in place of the last ones."""
        shown = list(lines)[: max(1, shutil.get_terminal_size().lines - 1)]
        begin = "\x1b[2J\x1b[H" if self._is_fresh else "\x1b[H"
        self._is_fresh = False
        sys.stdout.write(begin + "".join(f"{line}\x1b[K\n" for line in shown) + "\x1b[J")
        sys.stdout.flush()

    def line(self, text: str) -> None:
        """A line below the others, at once."""
        print(text, flush=True)

    def passing(self, text: str) -> None:
        """A line that the next one takes the place of; nothing where stdout is no terminal."""
        if self.is_terminal:
            sys.stdout.write(f"\r{text[: self.width]}\x1b[K")
            sys.stdout.flush()

    def end_passing(self) -> None:
        """Clear the passing line."""
        if self.is_terminal:
            sys.stdout.write("\r\x1b[K")
            sys.stdout.flush()
