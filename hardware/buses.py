"""The SPI buses of a Raspberry Pi by name, and the pins that each has for itself.

Knows pin numbers of the processor; opens nothing.

Sources: pins as Blinka's tables have them (``adafruit_blinka.microcontroller.bcm2711.pin`` and
its neighbours), the kernel's own selects as in Raspberry Pi's device tree overlays ``spi0-2cs``,
``spi1-3cs``, ``spi3-2cs``, ``spi4-2cs`` and ``spi5-2cs`` (github.com/raspberrypi/linux,
arch/arm/boot/dts/overlays; their parameters ``cs0_pin`` and so on can move each). The chip wants
clock phase 1 (data sheet: SPI modes 1 and 3); the auxiliary SPI1 of every Pi up to the Pi 4 has
phase 0 only (raspberrypi.stackexchange.com, questions 106456 and 142495), the Pi 5's SPI1 is a
full one. None of this was tried on a Pi.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

DEFAULT_BUS: Final = "SPI0"


@dataclass(frozen=True, slots=True)
class BusPins:
    """A bus's leads and the selects that the kernel moves by itself, and where the bus is.

    ``selects`` are CE0, CE1 and so on, as many as an overlay can make; ``always`` of them are
    the kernel's wherever the bus is switched on.
    """

    clock: int
    mosi: int
    miso: int
    selects: tuple[int, ...]
    found_on: str
    always: int = 1

    def role(self, number: int, selects: int = 0) -> str | None:
        """What the bus needs this pin for, None where it does not.

        ``selects`` is how many of the kernel's selects are in use.
        """
        own = {self.clock: "SCLK", self.mosi: "MOSI", self.miso: "MISO"}
        kernels = self.selects[: max(self.always, selects)]
        own |= {pin: f"CE{place}" for place, pin in enumerate(kernels)}
        return own.get(number)


BUSES: Final = {
    DEFAULT_BUS: BusPins(11, 10, 9, (8, 7), "every Raspberry Pi", always=2),
    "SPI1": BusPins(21, 20, 19, (18, 17, 16), "the Raspberry Pi 5"),
    "SPI3": BusPins(3, 2, 1, (0, 24), "the Raspberry Pi 4"),
    "SPI4": BusPins(7, 6, 5, (4, 25), "the Raspberry Pi 4"),
    "SPI5": BusPins(15, 14, 13, (12, 26), "the Raspberry Pi 4 and 5"),
}
"""The names that ``bus`` may have."""
