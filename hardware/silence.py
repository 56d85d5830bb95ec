"""How a converter does not answer: what came over the wires tells which wire to look at.

Pure: sixteen bytes in, a name out. Refuses to judge a chip that holds its configuration.
"""

from __future__ import annotations

from enum import StrEnum
from typing import Final

POWER_ON: Final = bytes.fromhex("00 03 ff 7f c0 7f ff 80 00 00")
"""Registers 00h to 09h as the chip wakes up (data sheet, memory map)."""


class Silence(StrEnum):
    """Why a chip counts as silent."""

    LOW = "low"
    """Zeros only: the data line is held low, or nobody drives it."""
    HIGH = "high"
    """Ones only: the data line is held high, or nobody drives it."""
    DEAF = "deaf"
    """It answers as after power-up, whatever is written to it."""
    GARBLED = "garbled"
    """What comes is neither that nor twice alike."""
    IDLE = "idle"
    """It holds its configuration and has never converted."""
    REFUSED = "refused"
    """The machine's own bus or pin raised an error."""
    BUSY = "busy"
    """Somebody else holds the bus."""
    HANGS = "hangs"
    """A transfer has begun and does not end."""


def silence_of(raw: bytes) -> Silence:
    """What the sixteen bytes of a chip without its configuration look like.

    >>> silence_of(bytes(16)).value, silence_of(bytes([255] * 16)).value
    ('low', 'high')
    """
    if not any(raw):
        return Silence.LOW
    if all(byte == 0xFF for byte in raw):
        return Silence.HIGH
    if raw.startswith(POWER_ON):
        return Silence.DEAF
    return Silence.GARBLED


WHAT_IT_MEANS: Final = {
    Silence.LOW: "Only zeros come back: the board has no power, or its SDO (MISO), its SCK or "
    "its chip select is not connected, or SDO touches ground.",
    Silence.HIGH: "Only ones come back: SDO (MISO) touches 3.3 V, or SDO or the chip select is "
    "not connected.",
    Silence.DEAF: "The board answers but takes nothing in: its SDI (MOSI) lead is not connected.",
    Silence.GARBLED: "What comes back is garbled: make the SPI leads shorter, keep them away from "
    "mains leads, give every board its own ground lead, and look whether a board with a loose chip "
    "select talks in between.",
    Silence.IDLE: "The board answers but does not measure: an input with nothing connected can "
    "do this, so connect the probe; if it stays so, exchange the board.",
    Silence.REFUSED: "The machine refuses the transfer: this bus may be switched off or unable "
    "to do what the chip needs (up to the Pi 4, SPI1 can't).",
    Silence.BUSY: "Another program holds the bus: stop it.",
    Silence.HANGS: "The transfer does not end: stop other programs that use the bus, then "
    "restart the machine.",
}
"""What to add to the fault's own words, on the day of wiring."""
