"""What the rig needs of an SPI bus and of a chip-select pin, and nothing more.

Blinka's ``busio.SPI`` and ``digitalio.DigitalInOut`` fit; so do fakes.
"""

from __future__ import annotations

from typing import Protocol


class SpiBus(Protocol):
    """An SPI bus as a bus device uses it."""

    def try_lock(self) -> bool:
        """Take the bus if nobody has it."""
        ...

    def unlock(self) -> None:
        """Give the bus back."""
        ...

    def configure(
        self, baudrate: int = 100_000, polarity: int = 0, phase: int = 0, bits: int = 8
    ) -> None:
        """Set clock (Hz) and mode; the lock is held."""
        ...

    def write(self, buffer: bytes | bytearray, start: int = 0, end: int | None = None) -> None:
        """Send bytes; the lock is held."""
        ...

    def readinto(
        self, buffer: bytearray, start: int = 0, end: int | None = None, write_value: int = 0
    ) -> None:
        """Fill the buffer; the lock is held."""
        ...


class ChipSelectPin(Protocol):
    """An output pin that selects one chip when it is low."""

    value: bool
    """The level of the pin."""

    def switch_to_output(self, value: bool = False) -> None:
        """Drive the pin with this level."""
        ...
