"""An SPI bus and chip-select pins that refuse what real ones would suffer from, and take notes.

The notes are the proof that a reader of thermocouples touches nothing but the bus and its chip
selects: there is nothing else here to touch, and every call is written down when asked for.
Strict: a transfer with no chip selected, with two, with a select pin left floating, without
the lock, too fast or in the wrong clock mode raises ``BusMisuseError``, which no reader catches.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from simulator.chip.max31856 import Max31856Chip

FASTEST_CLOCK_HZ = 5_000_000
"""Serial clock of the MAX31856 at most (data sheet)."""


class BusMisuseError(AssertionError):
    """The reader did something that would not work on real wires."""


@dataclass(frozen=True, slots=True)
class BusCall:
    """One call of a reader: on which device, which call, and what came with it."""

    device: str
    action: str
    detail: bytes | bool | int | None = None


class Notebook:
    """The calls of a bench in their order.

    ``last`` bounds how many are kept: 0 keeps none, ``None`` keeps all.
    """

    def __init__(self, last: int | None) -> None:
        self.calls: deque[BusCall] = deque(maxlen=last)
        self._keeps = last != 0

    def note(self, device: str, action: str, detail: bytes | bool | int | None = None) -> None:
        """Write one call down."""
        if self._keeps:
            self.calls.append(BusCall(device, action, detail))


class FakeChipSelect:
    """A pin with as much of the DigitalInOut interface as a chip select needs."""

    def __init__(self, name: str, chip: Max31856Chip, notebook: Notebook) -> None:
        self.name = name
        self._chip = chip
        self._notebook = notebook
        self._value: bool | None = None

    def switch_to_output(self, value: bool = False) -> None:
        """Drive the pin; an active-low select starts high."""
        self._notebook.note(self.name, "switch_to_output", value)
        self._drive(value)

    @property
    def value(self) -> bool:
        """The level of the pin; a pin that is not driven yet has none."""
        if self._value is None:
            raise BusMisuseError(f"Chip select {self.name} is read before it is driven.")
        return self._value

    @value.setter
    def value(self, level: bool) -> None:
        self._notebook.note(self.name, "value", level)
        if self._value is None:
            raise BusMisuseError(f"Chip select {self.name} is set before it is an output.")
        self._drive(level)

    def deinit(self) -> None:
        """Let go of the pin."""
        self._notebook.note(self.name, "deinit")
        self._drive(True)
        self._value = None

    @property
    def floats(self) -> bool:
        """Whether nothing drives the pin."""
        return self._value is None

    @property
    def selects(self) -> bool:
        """Whether the pin is driven low."""
        return self._value is False

    def _drive(self, level: bool) -> None:
        was, self._value = self._value, level
        if not level and was is not False:
            self._chip.select()
        elif level and was is False:
            self._chip.deselect()


class FakeSpi:
    """The bus, with as much of the busio.SPI interface as a bus device needs.

    ``floating`` is what the data line reads while nothing drives it (a pull-down: 0x00).
    """

    def __init__(
        self,
        chips: Mapping[str, Max31856Chip],
        pins: Mapping[str, FakeChipSelect],
        notebook: Notebook,
        floating: int = 0x00,
        name: str = "spi",
    ) -> None:
        self.floating = floating
        self.name = name
        self.corrupt: Callable[[bytes], bytes] | None = None
        """Set by tests: what becomes of bytes on their way to the reader."""
        self.failure: OSError | None = None
        """Set by tests: raised by the kernel's driver on every call but the lock's."""
        self._chips = chips
        self._pins = pins
        self._notebook = notebook
        self._stuck: int | None = None
        self._locked = False
        self._configured = False

    @property
    def calls(self) -> tuple[BusCall, ...]:
        """The calls kept so far, pins and bus, oldest first."""
        return tuple(self._notebook.calls)

    @property
    def locked(self) -> bool:
        """Whether somebody holds the bus."""
        return self._locked

    def stick_miso(self, level: int | None) -> None:
        """Hold the data line of the whole bus at 0 or 1; ``None`` frees it."""
        self._stuck = None if level is None else (0xFF if level else 0x00)

    def try_lock(self) -> bool:
        """Take the bus if nobody has it."""
        self._notebook.note(self.name, "try_lock")
        if self._locked:
            return False
        self._locked = True
        return True

    def unlock(self) -> None:
        """Give the bus back."""
        self._notebook.note(self.name, "unlock")
        self._locked = False

    def deinit(self) -> None:
        """Let go of the bus for good."""
        self._notebook.note(self.name, "deinit")
        self._locked = self._configured = False

    def configure(
        self, baudrate: int = 100_000, polarity: int = 0, phase: int = 0, bits: int = 8
    ) -> None:
        """Set clock and mode: at most 5 MHz, phase 1 (modes 1 and 3), 8 bits."""
        self._notebook.note(self.name, "configure", baudrate)
        self._needs_lock()
        if not 0 < baudrate <= FASTEST_CLOCK_HZ:
            raise BusMisuseError(f"A clock of {baudrate} Hz: the chip takes 5 MHz at most.")
        if phase != 1 or polarity not in (0, 1):
            raise BusMisuseError(
                f"Polarity {polarity}, phase {phase}: the chip speaks modes 1 and 3, phase 1."
            )
        if bits != 8:
            raise BusMisuseError(f"Words of {bits} bits: the chip's are 8 bits long.")
        self._may_fail()
        self._configured = True

    def write(self, buffer: bytes | bytearray, start: int = 0, end: int | None = None) -> None:
        """Send bytes; what comes back is dropped."""
        sent = bytes(buffer[start:end])
        self._notebook.note(self.name, "write", sent)
        self._transfer(sent)

    def readinto(
        self, buffer: bytearray, start: int = 0, end: int | None = None, write_value: int = 0
    ) -> None:
        """Fill the buffer, sending ``write_value`` meanwhile."""
        wanted = len(buffer[start:end])
        self._notebook.note(self.name, "readinto", wanted)
        buffer[start : start + wanted] = self._transfer(bytes([write_value]) * wanted)

    def write_readinto(
        self,
        out_buffer: bytes | bytearray,
        in_buffer: bytearray,
        out_start: int = 0,
        out_end: int | None = None,
        in_start: int = 0,
        in_end: int | None = None,
    ) -> None:
        """Send and fill at once; both pieces are of the same length."""
        sent = bytes(out_buffer[out_start:out_end])
        wanted = len(in_buffer[in_start:in_end])
        self._notebook.note(self.name, "write_readinto", sent)
        if len(sent) != wanted:
            raise BusMisuseError(f"{len(sent)} bytes to send and {wanted} to receive.")
        in_buffer[in_start : in_start + wanted] = self._transfer(sent)

    def _transfer(self, sent: bytes) -> bytes:
        self._needs_lock()
        if not self._configured:
            raise BusMisuseError("A transfer before the bus was configured.")
        floats = [name for name, pin in self._pins.items() if pin.floats]
        if floats:
            raise BusMisuseError(f"A transfer while chip select {floats[0]} is not driven.")
        selected = [name for name, pin in self._pins.items() if pin.selects]
        if len(selected) != 1:
            raise BusMisuseError(f"A transfer with {len(selected)} chips selected.")
        self._may_fail()
        chip = self._chips[selected[0]]
        received = bytes(chip.exchange(byte, self.floating) for byte in sent)
        if self._stuck is not None:
            received = bytes([self._stuck]) * len(sent)
        return received if self.corrupt is None else self.corrupt(received)

    def _needs_lock(self) -> None:
        if not self._locked:
            raise BusMisuseError("The bus is used by somebody who does not hold its lock.")

    def _may_fail(self) -> None:
        if self.failure is not None:
            raise self.failure
