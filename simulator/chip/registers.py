"""The register map of the MAX31856: addresses, power-on values, bits, scales and ranges.

Source: Maxim Integrated (Analog Devices), "MAX31856 Precision Thermocouple to Digital
Converter with Linearization", data sheet. Map, power-on values and bits: its register tables.
Temperature ranges of the types: its table 1. Conversion times: its electrical characteristics
and the text on averaging, as public drivers quote them.
"""

from __future__ import annotations

import math
from typing import Final

CR0: Final = 0x00
CR1: Final = 0x01
MASK: Final = 0x02
CJHF: Final = 0x03
CJLF: Final = 0x04
LTHFTH: Final = 0x05
LTHFTL: Final = 0x06
LTLFTH: Final = 0x07
LTLFTL: Final = 0x08
CJTO: Final = 0x09
CJTH: Final = 0x0A
CJTL: Final = 0x0B
LTCBH: Final = 0x0C
LTCBM: Final = 0x0D
LTCBL: Final = 0x0E
SR: Final = 0x0F

POWER_ON: Final = bytes.fromhex("00 03 ff 7f c0 7f ff 80 00 00 00 00 00 00 00 00")
"""Registers 00h to 0Fh as the chip wakes up."""

CR0_AUTOMATIC: Final = 0x80
CR0_ONE_SHOT: Final = 0x40
CR0_OPEN_CHECK: Final = 0x30
CR0_COLD_JUNCTION_OFF: Final = 0x08
CR0_LATCHED: Final = 0x04
CR0_CLEAR_FAULTS: Final = 0x02
CR0_50_HZ: Final = 0x01

SR_CJ_RANGE: Final = 0x80
SR_TC_RANGE: Final = 0x40
SR_CJ_HIGH: Final = 0x20
SR_CJ_LOW: Final = 0x10
SR_TC_HIGH: Final = 0x08
SR_TC_LOW: Final = 0x04
SR_VOLTAGE: Final = 0x02
SR_OPEN: Final = 0x01

TYPE_LETTERS: Final = "BEJKNRST"
"""Letter of each type code 0 to 7 of CR1; codes from 8 measure a voltage."""

TC_RANGE_C: Final = {
    "B": (250.0, 1820.0),
    "E": (-200.0, 1000.0),
    "J": (-210.0, 1200.0),
    "K": (-200.0, 1372.0),
    "N": (-200.0, 1300.0),
    "R": (-50.0, 1768.0),
    "S": (-50.0, 1768.0),
    "T": (-200.0, 400.0),
}
"""Hot junction, °C, outside which the chip sets the range bit."""

CJ_RANGE_C: Final = {
    letter: (0.0, 125.0) if letter == "B" else (-50.0, 125.0) if letter in "RS" else (-55.0, 125.0)
    for letter in TYPE_LETTERS
}
"""Cold junction, °C, outside which the chip sets the cold junction's range bit."""

THRESHOLD_HYSTERESIS_C: Final = 2.0
"""In comparator mode a threshold's bit goes this far inside before it clears."""

CONVERSIONS_PER_OPEN_CHECK: Final = 16
"""In automatic conversion an open circuit is looked for once in so many conversions."""

TC_LSB_C: Final = 2.0**-7
CJ_LSB_C: Final = 2.0**-6
CJTO_LSB_C: Final = 2.0**-4
TC_THRESHOLD_LSB_C: Final = 2.0**-4


def samples_averaged(cr1: int) -> int:
    """How many samples the averaging bits of CR1 ask for: 1, 2, 4, 8 or 16.

    >>> [samples_averaged(code << 4) for code in range(8)]
    [1, 2, 4, 8, 16, 16, 16, 16]
    """
    return 1 << min((cr1 >> 4) & 0x07, 4)


def first_conversion_s(cr0: int, cr1: int) -> float:
    """Typical seconds of a one-shot conversion, or of the first automatic one.

    >>> first_conversion_s(0x00, 0x03), first_conversion_s(CR0_50_HZ, 0x03)
    (0.143, 0.169)
    """
    once_s, more_s = (0.169, 0.040) if cr0 & CR0_50_HZ else (0.143, 0.03333)
    return once_s + (samples_averaged(cr1) - 1) * more_s


def next_conversion_s(cr0: int, cr1: int) -> float:
    """Typical seconds of each further automatic conversion.

    >>> round(next_conversion_s(CR0_50_HZ, 0x13), 3)
    0.118
    """
    once_s, more_s = (0.098, 0.020) if cr0 & CR0_50_HZ else (0.082, 0.01667)
    return once_s + (samples_averaged(cr1) - 1) * more_s


def tc_code(temp_c: float) -> int:
    """The 24-bit word of a thermocouple temperature: 19 bits of 2^-7 °C, left-justified.

    Temperatures beyond 19 bits stop at the ends.

    >>> f"{tc_code(1000.0):06X} {tc_code(-0.0625):06X}"
    '3E8000 FFFF00'
    """
    steps = max(-(1 << 18), min((1 << 18) - 1, _nearest(temp_c / TC_LSB_C)))
    return (steps << 5) & 0xFF_FFFF


def cj_code(temp_c: float) -> int:
    """The 16-bit word of a cold junction: 14 bits of 2^-6 °C, left-justified.

    >>> f"{cj_code(25.5):04X} {cj_code(-20.0):04X}"
    '1980 EC00'
    """
    steps = max(-(1 << 13), min((1 << 13) - 1, _nearest(temp_c / CJ_LSB_C)))
    return (steps << 2) & 0xFFFF


def signed(value: int, bits: int) -> int:
    """The two's complement number that ``value`` stands for.

    >>> signed(0xC0, 8), signed(0x7F, 8)
    (-64, 127)
    """
    return value - (1 << bits) if value & (1 << (bits - 1)) else value


def _nearest(steps: float) -> int:
    return math.floor(steps + 0.5)
