"""A rig that is not there: MAX31856 chips seen from the SPI bus, the bus, and the chip selects.

Fakes stand beneath the real driver, so that the very code that runs on a Pi reads them.
Nothing here knows who reads the chips.
"""

from simulator.chip.bench import SimulatedBench
from simulator.chip.bus import BusCall, BusMisuseError, FakeChipSelect, FakeSpi
from simulator.chip.max31856 import Max31856Chip
from simulator.chip.spidev import FakeSpidev

__all__ = [
    "BusCall",
    "BusMisuseError",
    "FakeChipSelect",
    "FakeSpi",
    "FakeSpidev",
    "Max31856Chip",
    "SimulatedBench",
]
