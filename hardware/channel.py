"""One thermocouple of the rig as its owner describes it, and what its type can measure.

Knows the letters and their ranges; refuses to know registers and pins.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import Final

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

LARGEST_OFFSET_C: Final = 50.0
"""More than this is a wrong probe or a wrong type, not a correction (common practice, no
source)."""

_NAME = re.compile(r"[^\W\d_](?:[\w -]{0,38}\w)?")


@dataclass(frozen=True, slots=True)
class ThermocoupleChannel:
    """A probe, its converter chip and the pin that selects the chip.

    ``chip_select`` names a pin of the board ("D5"). ``offset_c`` is added to every value of
    the channel, -50 to 50 °C. ``averaging`` is 1, 2, 4, 8 or 16 samples. Raises InputError.
    """

    name: str
    chip_select: str
    thermocouple_type: str = "K"
    offset_c: float = 0.0
    averaging: int = 4

    def __post_init__(self) -> None:
        if not _NAME.fullmatch(self.name):
            raise InputError(
                f'"{self.name[:40]}" is not a name for a channel: a letter first, then letters, '
                "digits, spaces, hyphens and underscores, 40 characters at most."
            )
        where = f"channel {self.name}"
        if not self.chip_select:
            raise InputError('the chip select is missing: name a pin, such as "D5".', where=where)
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
