"""One MAX31856 through Adafruit's driver, used so that nothing ever waits.

Knows which configuration a chip must have and how its sixteen registers are decoded. The
driver does all the talking: this class adds one read of all registers at once, so that value,
faults and configuration are of the same instant. It refuses to judge what it read.

Source of registers and times: Maxim Integrated (Analog Devices), MAX31856 data sheet, 19-7534;
the times as public drivers quote its electrical characteristics.
"""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass
from typing import Final, cast

from hardware.bus import ChipSelectPin, SpiBus
from hardware.channel import ThermocoupleChannel
from hardware.driver import adafruit_max31856

FAULT_CJ_RANGE: Final = 0x80
FAULT_TC_RANGE: Final = 0x40
FAULT_CJ_HIGH: Final = 0x20
FAULT_CJ_LOW: Final = 0x10
FAULT_TC_HIGH: Final = 0x08
FAULT_TC_LOW: Final = 0x04
FAULT_VOLTAGE: Final = 0x02
FAULT_OPEN: Final = 0x01

_CLOCK_HZ: Final = 100_000
"""A fiftieth of what the chip takes: leads beside a kiln are long, and 17 bytes take 1.4 ms."""

_REGISTERS: Final = 16
_CONFIGURATION: Final = slice(0x00, 0x0A)
_VALUES: Final = slice(0x0A, 0x0F)
_CR0: Final = 0x00
_CR1: Final = 0x01
_COLD_JUNCTION_OFFSET: Final = 0x09
_CR0_AUTOMATIC: Final = 0x80
_CR0_50_HZ: Final = 0x01
_UNTOUCHED: Final = bytes.fromhex("00 7f c0 7f ff 80 00")
"""MASK as the driver sets it, and the widest thresholds."""
_COLD_JUNCTION_STEPS_PER_C: Final = 16

# A first conversion takes at most 155 ms (60 Hz) or 185 ms (50 Hz) and, for each further
# sample averaged, typically 33.3 ms or 40 ms.
_FIRST_CONVERSION_S: Final = {50: (0.185, 0.040), 60: (0.155, 0.0334)}
# Each further conversion in the same way.
_NEXT_CONVERSION_S: Final = {50: (0.110, 0.020), 60: (0.090, 0.0167)}
_CONVERSIONS_PER_OPEN_CHECK: Final = 16

# CR0's open-circuit bits by the circuit's resistance (table 4), and what the check adds to a
# conversion at most.
_OPEN_CHECK: Final = {"low": (0x10, 0.015), "high": (0x20, 0.037), "slow": (0x30, 0.125)}
_SLACK: Final = 1.1
"""The steps of averaging have no maxima; the chip's clock is within some percent."""


@dataclass(frozen=True, slots=True)
class Snapshot:
    """All sixteen registers of a chip at one instant."""

    raw: bytes

    @property
    def configuration(self) -> bytes:
        """Registers 00h to 09h, which only the driver writes."""
        return self.raw[_CONFIGURATION]

    @property
    def values(self) -> bytes:
        """Cold junction and thermocouple as the chip holds them; all zero since power-up means
        that it has not converted yet."""
        return self.raw[_VALUES]

    @property
    def temp_c(self) -> float:
        """Hot junction in °C, in steps of 2^-7: 19 bits, the five bits below are dropped.

        >>> Snapshot(bytes(12) + bytes.fromhex("3e801f00")).temp_c
        1000.0
        """
        return (int.from_bytes(self.raw[0x0C:0x0F], "big", signed=True) >> 5) / 128

    @property
    def cold_junction_c(self) -> float:
        """Terminals in °C, in steps of 2^-6: 14 bits, the two bits below are dropped.

        >>> Snapshot(bytes(10) + bytes.fromhex("198300000000")).cold_junction_c
        25.5
        """
        return (int.from_bytes(self.raw[0x0A:0x0C], "big", signed=True) >> 2) / 64

    @property
    def fault_bits(self) -> int:
        """The fault status register."""
        return self.raw[0x0F]


class Converter:
    """A chip that converts by itself, with open-circuit detection on."""

    def __init__(
        self, spi: SpiBus, pin: ChipSelectPin | None, channel: ThermocoupleChannel, mains_hz: int
    ) -> None:
        """Makes the pin an output and talks to nobody yet; ``mains_hz`` is 50 or 60.

        No pin where the bus selects the chip by itself.
        """
        self._spi = spi
        self._pin = pin
        self._averaging = channel.averaging
        self._mains_hz = mains_hz = channel.mains_hz or mains_hz
        self._open_check, open_check_s = _OPEN_CHECK[channel.lead_resistance]
        self._cold_junction_shift = (
            round(channel.cold_junction_offset_c * _COLD_JUNCTION_STEPS_PER_C) & 0xFF
        )
        self._type_code: int = getattr(
            adafruit_max31856.ThermocoupleType, channel.thermocouple_type
        )
        once_s, more_s = _FIRST_CONVERSION_S[mains_hz]
        more_samples = channel.averaging - 1
        self.first_value_after_s: float = _SLACK * (once_s + more_samples * more_s) + open_check_s
        """Seconds from ``configure`` until the registers hold a value for certain."""
        next_s, more_s = _NEXT_CONVERSION_S[mains_hz]
        self.open_check_after_s: float = (
            self.first_value_after_s
            + _SLACK * _CONVERSIONS_PER_OPEN_CHECK * (next_s + more_samples * more_s)
            + open_check_s
        )
        """Seconds from ``configure`` until a broken circuit has been looked for for certain."""
        cr0 = _CR0_AUTOMATIC | self._open_check | (_CR0_50_HZ if mains_hz == 50 else 0)
        cr1 = (channel.averaging.bit_length() - 1) << 4 | self._type_code
        self.wanted: bytes = bytes([cr0, cr1]) + _UNTOUCHED + bytes([self._cold_junction_shift])
        """What ``Snapshot.configuration`` is on a chip that is as it should be."""
        self._driver: _Driver | None = None
        if pin is not None:
            pin.switch_to_output(value=True)

    def configure(self) -> Snapshot:
        """Set the chip up from whatever state it is in, start its conversions, and look.

        Filter and averaging may only change while it does not convert, which is how the
        driver's own start leaves it. The values in the answer are from before: the first
        conversion takes ``first_value_after_s``. Raises OSError or RuntimeError with the bus.
        """
        driver = _Driver(self._spi, self._pin, self._type_code)
        driver.start_clean(self._type_code, self._open_check, self._cold_junction_shift)
        driver.averaging = self._averaging
        driver.noise_rejection = self._mains_hz
        driver.start_autoconverting()
        self._driver = driver
        return self.look()

    def look(self) -> Snapshot:
        """All registers in one transaction; ``configure`` came before.

        Raises OSError or RuntimeError with the bus.
        """
        if self._driver is None:
            return self.configure()
        return Snapshot(self._driver.all_registers())

    def let_go_of_bus(self) -> None:
        """Deselect the chip and free the bus after an error in the middle of a transaction.

        The bus device takes the lock before it sets the clock, and keeps it for ever when
        setting the clock fails; the next transaction would then wait without end.
        """
        with suppress(OSError, RuntimeError):
            if self._pin is not None:
                self._pin.value = True
        with suppress(OSError, RuntimeError):
            self._spi.unlock()


class _Driver(adafruit_max31856.MAX31856):  # type: ignore[misc]
    """Adafruit's driver, and the two things that it has no public call for."""

    def __init__(self, spi: SpiBus, pin: ChipSelectPin | None, type_code: int) -> None:
        # The driver's own buffer is shared by all its instances; buses have threads of their own.
        self._BUFFER = bytearray(4)
        super().__init__(spi, pin, type_code, baudrate=_CLOCK_HZ)

    def all_registers(self) -> bytes:
        return bytes(cast("bytearray", self._read_sequential_registers(0x00, _REGISTERS)))

    def start_clean(self, type_code: int, open_check: int, cold_junction_shift: int) -> None:
        """Undo what another program, or a bad line, left in a chip that kept its power.

        The driver only ever changes single fields of what it reads, so a bit read wrongly
        once would stay for good.
        """
        self._write_u8(_CR0, open_check)
        self._write_u8(_CR1, type_code)
        self.temperature_thresholds = (-2048.0, 2047.9375)
        self.reference_temperature_thresholds = (-64.0, 127.0)
        self._write_u8(_COLD_JUNCTION_OFFSET, cold_junction_shift)
