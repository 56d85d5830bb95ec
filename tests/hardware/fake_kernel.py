"""Linux's spidev beneath the real PureIO: its ioctls, decoded, on register-level chips.

What an ioctl means is in include/uapi/linux/spi/spidev.h and Documentation/spi/spidev.rst of
Linux. Only opening, ioctl and closing are stood in for; the bytes are where PureIO has put them.
"""

from __future__ import annotations

import ctypes
import os
import shutil
import struct
import tempfile
import weakref
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import Adafruit_PureIO.spi as pureio  # type: ignore[import-untyped]
import pytest

from hardware import kernel_spi
from simulator.chip import FakeSpidev, SimulatedBench

_TRANSFER = "QQIIHBBBBH"
_MESSAGE_OF_ONE = 0x4020_6B00
_WRITE = {0x4001_6B01: ("mode", "B"), 0x4001_6B03: ("bits_per_word", "B")}
_WRITE[0x4004_6B04] = ("max_speed_hz", "I")


class FakeKernel:
    """Devices by their path, each on the select of a bench's chip."""

    def __init__(self, bench: SimulatedBench, names: dict[str, str]) -> None:
        self.devices = {
            path: FakeSpidev(self._bus_of(bench, name), bench.pins[name])
            for path, name in names.items()
        }
        for device in self.devices.values():
            device.keeps = True
        self.opened: list[str] = []
        self.closed: list[str] = []
        self.refusal: OSError | None = None
        """Raised when a device is opened."""
        self.failure: OSError | None = None
        """Raised by every ioctl, those that set clock and mode too."""
        self._handles: dict[int, str] = {}
        self._folder = Path(tempfile.mkdtemp())
        weakref.finalize(self, shutil.rmtree, self._folder)

    @staticmethod
    def _bus_of(bench: SimulatedBench, name: str) -> Any:
        return next(bus for bus in bench.buses.values() if name in bus._chips)

    @property
    def requests(self) -> list[bytes]:
        """What was sent to all devices."""
        return [sent for device in self.devices.values() for sent in device.requests]

    def install(self, monkeypatch: pytest.MonkeyPatch) -> None:
        path = SimpleNamespace(exists=lambda name: name in self.devices)
        stand_in = SimpleNamespace(path=path, open=self.open, O_RDWR=os.O_RDWR, environ=os.environ)
        monkeypatch.setattr(pureio, "os", stand_in)
        monkeypatch.setattr(pureio, "ioctl", self.ioctl)
        monkeypatch.setattr(kernel_spi, "Path", lambda name: _Place(name in self.devices))
        monkeypatch.setattr(kernel_spi, "os", SimpleNamespace(close=self.close))

    def open(self, path: str, flags: int) -> int:
        assert flags == os.O_RDWR
        if self.refusal is not None:
            raise self.refusal
        self.opened.append(path)
        # A file that is there, so that it can be locked as a device can.
        handle = os.open(self._folder / path.replace("/", "_"), os.O_RDWR | os.O_CREAT)
        self._handles[handle] = path
        return handle

    def close(self, handle: int) -> None:
        os.close(handle)
        self.closed.append(self._handles.pop(handle))

    def ioctl(self, handle: int, request: int, argument: bytes) -> int:
        device = self.devices[self._handles[handle]]
        if self.failure is not None:
            raise self.failure
        if request in _WRITE:
            name, kind = _WRITE[request]
            setattr(device, name, struct.unpack(f"={kind}", argument)[0])
            return 0
        assert request == _MESSAGE_OF_ONE, f"{request:#x} is no request of spidev's known here"
        sent_at, received_at, length, *_ = struct.unpack(_TRANSFER, argument)
        sent = ctypes.string_at(sent_at, length) if sent_at else bytes(length)
        received = bytes(device.transfer(sent))
        if received_at:
            ctypes.memmove(received_at, received, length)
        return int(length)


class _Place:
    def __init__(self, is_there: bool) -> None:
        self._is_there = is_there

    def exists(self) -> bool:
        return self._is_there


def kernel_of(
    monkeypatch: pytest.MonkeyPatch, bench: SimulatedBench, names: dict[str, str]
) -> FakeKernel:
    """A kernel that has devices for a bench's chips, installed."""
    kernel = FakeKernel(bench, names)
    kernel.install(monkeypatch)
    return kernel
