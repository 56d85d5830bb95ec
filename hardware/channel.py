"""One thermocouple of the rig as its owner describes it, and what its type can measure.

Knows the letters and their ranges; refuses to know registers and pins.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import Final

from hardware.buses import BUSES, DEFAULT_BUS
from supervisor.core.errors import InputError

TYPE_RANGE_C: Final = {
    "B": (250.0, 1820.0),
    "E": (-200.0, 1000.0),
    "J": (-210.0, 1200.0),
    "K": (-200.0, 1372.0),
    "N": (-200.0, 1300.0),
    "R": (-50.0, 1768.0),
    "S": (-50.0, 1768.0),
    "T": (-200.0, 400.0),
}
"""What the MAX31856 measures with each type, °C (its data sheet, table 1)."""

AVERAGING: Final = (1, 2, 4, 8, 16)
"""Samples that the chip can average into one value."""

MAINS_HZ: Final = (50, 60)
"""Hum that the chip can filter out."""

LEAD_RESISTANCES: Final = ("low", "high", "slow")
"""Which current the chip looks for a broken circuit with: for a circuit below 5 kΩ, as that of
every plain thermocouple is; for 5 to 40 kΩ, as with series resistors; and for such a circuit with
large capacitors, a time constant above 2 ms (data sheet, table 4)."""

COLD_JUNCTION_OFFSET_C: Final = (-8.0, 7.9375)
"""What the chip can add to its own temperature, in steps of 1/16 °C (data sheet)."""

LARGEST_OFFSET_C: Final = 50.0
"""More than this is a wrong probe or a wrong type, not a correction (common practice, no
source)."""

_KERNEL_SELECT = re.compile(r"CE(\d{1,2})", re.IGNORECASE)
_NAME = re.compile(r"[^\W\d_](?:[\w -]{0,38}\w)?")


@dataclass(frozen=True, slots=True)
class ThermocoupleChannel:
    """A probe, its converter chip and what selects the chip.

    ``chip_select`` names a select of the kernel's on that bus ("CE0") or a pin of the board
    ("D5"), ``bus`` one of ``BUSES``. ``offset_c`` is
    added to every value of the channel, -50 to 50 °C. ``averaging`` is 1, 2, 4, 8 or 16
    samples, ``mains_hz`` 50 or 60 (``None``: as the whole rig). ``cold_junction_offset_c`` is
    added to the terminals' temperature before the chip reckons with it. Raises InputError.
    """

    name: str
    chip_select: str
    thermocouple_type: str = "K"
    offset_c: float = 0.0
    averaging: int = 4
    bus: str = DEFAULT_BUS
    mains_hz: int | None = None
    lead_resistance: str = "low"
    cold_junction_offset_c: float = 0.0

    def __post_init__(self) -> None:
        if not _NAME.fullmatch(self.name):
            raise InputError(
                f'"{self.name[:40]}" is not a name for a channel: a letter first, then letters, '
                "digits, spaces, hyphens and underscores, 40 characters at most."
            )
        where = f"channel {self.name}"
        if not self.chip_select:
            raise InputError(
                'the chip select is missing: name one, such as "CE0" or "D5".', where=where
            )
        if self.thermocouple_type not in TYPE_RANGE_C:
            raise InputError(
                f'there is no thermocouple type "{self.thermocouple_type[:20]}" for this chip: '
                f"it knows {', '.join(TYPE_RANGE_C)}.",
                where=where,
            )
        if not (math.isfinite(self.offset_c) and abs(self.offset_c) <= LARGEST_OFFSET_C):
            raise InputError(
                f"an offset of {self.offset_c:g} °C is not a correction: "
                f"-{LARGEST_OFFSET_C:g} to {LARGEST_OFFSET_C:g} °C is allowed.",
                where=where,
            )
        if self.averaging not in AVERAGING:
            raise InputError(
                f"the chip can't average {self.averaging} samples: "
                f"{', '.join(map(str, AVERAGING[:-1]))} or {AVERAGING[-1]} is allowed.",
                where=where,
            )
        if self.bus not in BUSES:
            names = ", ".join(f"{name} ({pins.found_on})" for name, pins in BUSES.items())
            raise InputError(
                f'there is no bus "{self.bus[:20]}": the names are {names}.', where=where
            )
        if self.mains_hz is not None and self.mains_hz not in MAINS_HZ:
            raise InputError(
                f"a mains frequency of {self.mains_hz} Hz: 50 or 60 is allowed.", where=where
            )
        if self.lead_resistance not in LEAD_RESISTANCES:
            raise InputError(
                f'"{self.lead_resistance[:20]}" is no lead resistance: '
                f"{', '.join(LEAD_RESISTANCES[:-1])} or {LEAD_RESISTANCES[-1]} is allowed.",
                where=where,
            )
        low_c, high_c = COLD_JUNCTION_OFFSET_C
        if not low_c <= self.cold_junction_offset_c <= high_c:
            raise InputError(
                f"the chip can't shift its terminals by {self.cold_junction_offset_c:g} °C: "
                f"{low_c:g} to {high_c:g} °C is allowed.",
                where=where,
            )

    @property
    def kernel_select(self) -> int | None:
        """Which of its bus's selects the kernel moves for it: 0 is CE0. None for a plain pin."""
        match = _KERNEL_SELECT.fullmatch(self.chip_select.strip())
        return None if match is None else int(match[1])
