"""One chip on the kernel's spidev, which moves the chip's select by itself.

Looks like a bus to a bus device, and is a bus with one chip. The kernel holds the select for one
request and lets go at its end (Linux, Documentation/spi/spidev.rst: "the chipselect is
deactivated between those operations"); Adafruit's driver sends a register's address and fetches
its value in two. So a lone address is held back until it is known how much is to be read, and
goes out with it in one request. From taking the lock to giving it back there is one request at
most: whatever would need the select to be held longer is refused, not sent otherwise than on
wires with a select of their own. The kernel sees to it that chips on one bus take turns.

It refuses to know registers, but for the top bit of an address, which writes (MAX31856 data
sheet). No pin is opened here, nor is Blinka loaded.
"""

from __future__ import annotations

import fcntl
import importlib
import os
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any, Final, Protocol

from hardware.buses import BUSES, DEFAULT_BUS
from supervisor.core.errors import RigError

_WRITES: Final = 0x80
_PHASE: Final = 0x01
_POLARITY: Final = 0x02
"""Bits of a mode (Linux, include/uapi/linux/spi/spi.h: SPI_CPHA, SPI_CPOL)."""

_ONE_REQUEST_BYTES: Final = 4096
"""What spidev takes at once (its bufsiz); PureIO cuts longer ones, or where SPI_BUFSIZE says so,
and a cut lets go of the select."""


class Spidev(Protocol):
    """An open spidev as PureIO has it."""

    mode: int
    max_speed_hz: int
    bits_per_word: int

    def transfer(self, data: Sequence[int]) -> Sequence[int]:
        """Send and receive in one request, with the chip selected throughout."""
        ...


class KernelSpi:
    """A bus on which the kernel selects the one chip; fits where ``SpiBus`` does.

    ``release`` lets go of the device. Used from one thread at a time.
    """

    def __init__(self, device: Spidev, release: Callable[[], None] | None = None) -> None:
        self._device = device
        self._release = release
        self._is_locked = False
        self._has_sent = False
        self._address: int | None = None

    def try_lock(self) -> bool:
        """Take the bus if nobody has it."""
        if self._is_locked:
            return False
        self._is_locked = True
        self._begin()
        return True

    def unlock(self) -> None:
        """Give the bus back. An address that nobody read from is forgotten and never sent."""
        self._is_locked = False
        self._begin()

    def configure(
        self, baudrate: int = 100_000, polarity: int = 0, phase: int = 0, bits: int = 8
    ) -> None:
        """Set clock (Hz) and mode; the lock is held. Raises OSError.

        Set each time: others who open the same device set it for everybody.
        """
        self._needs_lock()
        self._device.mode = (_POLARITY if polarity else 0) | (_PHASE if phase else 0)
        self._device.max_speed_hz = baudrate
        self._device.bits_per_word = bits

    def write(self, buffer: bytes | bytearray, start: int = 0, end: int | None = None) -> None:
        """Send an address and values at once, or hold back a lone address to be read from.

        Raises OSError, and RuntimeError for what one request can't do.
        """
        sent = bytes(buffer[start:end])
        if not sent:
            return
        self._needs_fresh()
        if len(sent) > 1:
            self._send(sent)
        elif sent[0] & _WRITES:
            raise RuntimeError("A register's address came without the value to write.")
        else:
            self._address = sent[0]

    def readinto(
        self, buffer: bytearray, start: int = 0, end: int | None = None, write_value: int = 0
    ) -> None:
        """Send the address held back and fill the buffer, in one request.

        Raises OSError, and RuntimeError where no address came before.
        """
        wanted = len(buffer[start:end])
        if not wanted:
            return
        self._needs_lock()
        if self._address is None:
            raise RuntimeError("A read came without a register's address.")
        address, self._address = self._address, None
        received = self._send(bytes([address]) + bytes([write_value]) * wanted)
        buffer[start : start + wanted] = received[1:]

    def write_readinto(
        self,
        out_buffer: bytes | bytearray,
        in_buffer: bytearray,
        out_start: int = 0,
        out_end: int | None = None,
        in_start: int = 0,
        in_end: int | None = None,
    ) -> None:
        """Send and fill at once, in one request; both pieces are of the same length.

        Raises OSError, and RuntimeError for what one request can't do.
        """
        sent = bytes(out_buffer[out_start:out_end])
        wanted = len(in_buffer[in_start:in_end])
        if len(sent) != wanted:
            raise RuntimeError("What is sent and what is received differ in length.")
        if not sent:
            return
        self._needs_fresh()
        in_buffer[in_start : in_start + wanted] = self._send(sent)

    def deinit(self) -> None:
        """Let go of the device. May be called twice."""
        self.unlock()
        release, self._release = self._release, None
        if release is not None:
            release()

    def _send(self, sent: bytes) -> bytes:
        if len(sent) > _ONE_REQUEST_BYTES:
            raise RuntimeError("More bytes than one request takes.")
        self._has_sent = True
        received = bytes(self._device.transfer(sent))
        if len(received) != len(sent):
            raise OSError("The SPI device gave back less than was sent.")
        return received

    def _begin(self) -> None:
        self._has_sent = False
        self._address = None

    def _needs_lock(self) -> None:
        if not self._is_locked:
            raise RuntimeError("The bus is used without its lock.")

    def _needs_fresh(self) -> None:
        self._needs_lock()
        if self._has_sent or self._address is not None:
            raise RuntimeError("The kernel's select can't be held for a second request.")


def open_kernel_spi(bus: str, select: int) -> KernelSpi:
    """The device of a bus ("SPI0") and of the kernel's select (0 is CE0) on this machine.

    Raises RigError when it is not there, may not be opened or is in use.
    """
    number = int(bus.removeprefix("SPI"))
    path = f"/dev/spidev{number}.{select}"
    if not Path(path).exists():
        raise RigError(
            f"There is no {path} for CE{select} of {bus}: {_switch_on(bus, select)} and restart "
            f"the Pi, or try spyhole here without boards (spyhole demo, spyhole rig --simulated)."
        )
    try:
        library: Any = importlib.import_module("Adafruit_PureIO.spi")
        device = library.SPI((number, select))
    except ImportError as error:
        raise RigError(
            "The library Adafruit_PureIO is missing: install spyhole anew (pip install .)."
        ) from error
    except PermissionError as error:
        raise RigError(f"{path} may not be opened: let this user into the group spi.") from error
    except OSError as error:
        raise RigError(f"{path} can't be opened ({error.strerror or error}).") from error
    device.chunk_size = _ONE_REQUEST_BYTES
    try:
        # The kernel lets many programs have a device, and they would undo each other's set-up.
        fcntl.flock(device.handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError as error:
        os.close(device.handle)
        raise RigError(f"{path} is in use: stop the other program that reads it.") from error
    return KernelSpi(device, lambda: os.close(device.handle))


def _switch_on(bus: str, select: int) -> str:
    if bus == DEFAULT_BUS:
        return "switch SPI on (sudo raspi-config, Interface Options)"
    selects = len(BUSES[bus].selects) if select else 1
    overlay = f"dtoverlay={bus.lower()}-{selects}cs in config.txt"
    return f"switch it on ({overlay}; it is on {BUSES[bus].found_on})"
