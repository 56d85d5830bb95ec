"""The pins of a real Raspberry Pi: the only place that knows a board.

Opens the SPI buses and the chip selects, nothing else; no other pin is ever touched. Blinka is
loaded only when a rig is opened. Chip selects are plain pins: the driver writes and reads in
separate transfers, and the kernel's own chip selects (CE0, CE1) would let go in between.
"""

from __future__ import annotations

import importlib
import io
import re
from collections.abc import Callable, Sequence
from contextlib import ExitStack, redirect_stdout, suppress
from typing import Any, Final

from hardware.buses import BUSES, DEFAULT_BUS
from hardware.channel import ThermocoupleChannel
from hardware.max31856_rig import Max31856Rig, check_rig
from supervisor.core.errors import InputError, RigError

_PIN = re.compile(r"(?:D|GPIO)(\d{1,2})", re.IGNORECASE)
_HIGHEST_PIN: Final = 27
_EXAMPLE: Final = "a free pin such as D5, D6 or D13 is allowed."


def open_rig(
    channels: Sequence[ThermocoupleChannel], *, interval_s: float = 1.0, mains_hz: int = 50
) -> Max31856Rig:
    """The rig on this machine's SPI buses.

    ``chip_select`` of a channel is a pin as "D5" or "GPIO5" (the number of the processor, not
    of the header). Raises InputError for a pin that can't be a chip select and RigError when
    this machine has no such bus or does not let it be used.
    """
    check_rig(channels, interval_s=interval_s, mains_hz=mains_hz)
    numbers = pin_numbers(channels)
    what = ""
    # Blinka prints its warnings to stdout, where a program may be writing JSON.
    with ExitStack() as opened, redirect_stdout(io.StringIO()):
        try:
            board = importlib.import_module("board")
            busio = importlib.import_module("busio")
            digitalio = importlib.import_module("digitalio")
            buses: dict[str, Any] = {}
            for bus in dict.fromkeys(channel.bus for channel in channels):
                what = _closed_bus(bus)
                buses[bus] = _open_bus(board, busio, bus)
                opened.callback(_quietly, buses[bus].deinit)
            pins: dict[str, Any] = {}
            for name, number in numbers.items():
                what = _closed_pin(name)
                pins[name] = digitalio.DigitalInOut(getattr(board, f"D{number}"))
                opened.callback(_quietly, pins[name].deinit)
            what = _closed_pin(", ".join(numbers))
            kept = ExitStack()
            rig = Max31856Rig(
                buses,
                channels,
                pins,
                interval_s=interval_s,
                mains_hz=mains_hz,
                release=kept.close,
            )
            kept.callback(opened.pop_all().close)
            return rig
        except (ImportError, AttributeError, NotImplementedError) as error:
            raise RigError(
                "This machine has no SPI bus with pins that spyhole knows: run the rig on a "
                "Raspberry Pi, or try it here without one (spyhole demo, spyhole rig --simulated)."
            ) from error
        except (OSError, RuntimeError, ValueError) as error:
            raise RigError(f"{what}, and stop other programs that use these pins.") from error


def _closed_bus(name: str) -> str:
    how = (
        "raspi-config, Interface Options"
        if name == DEFAULT_BUS
        else f"dtoverlay={name.lower()}-1cs in config.txt; it is on {BUSES[name].found_on}"
    )
    return (
        f"The SPI bus {name} can't be opened: switch it on ({how}), let this user into the groups "
        "spi and gpio"
    )


def _closed_pin(name: str) -> str:
    return f"The chip select {name} can't be opened: let this user into the group gpio"


def pin_numbers(channels: Sequence[ThermocoupleChannel]) -> dict[str, int]:
    """Numbers of the processor's pins that the channels' ``chip_select``s name.

    Raises InputError for a pin that can't be a chip select beside the buses that are used.
    """
    # The first bus is the kernel's wherever SPI is switched on at all.
    used = dict.fromkeys([DEFAULT_BUS, *(channel.bus for channel in channels)])
    numbers = {channel.chip_select: _pin_number(channel, tuple(used)) for channel in channels}
    if len(set(numbers.values())) < len(numbers):
        raise InputError("two channels use the same pin as chip select; each needs its own.")
    return numbers


def _pin_number(channel: ThermocoupleChannel, buses: Sequence[str]) -> int:
    where = f"channel {channel.name}"
    text = channel.chip_select.strip()
    match = _PIN.fullmatch(text)
    if match is None or not 2 <= int(match[1]) <= _HIGHEST_PIN:
        taken = "the kernel's own chip select" if text.upper() in ("CE0", "CE1") else "no such pin"
        raise InputError(f'chip select "{text[:20]}" is {taken}: {_EXAMPLE}', where=where)
    number = int(match[1])
    for bus in buses:
        role = BUSES[bus].role(number)
        if role is not None:
            raise InputError(
                f"chip select {text} is {bus}'s own pin {role}: {_EXAMPLE}", where=where
            )
    return number


def _open_bus(board: Any, busio: Any, name: str) -> Any:
    if name == DEFAULT_BUS:
        return busio.SPI(board.SCLK, MOSI=board.MOSI, MISO=board.MISO)
    pins = BUSES[name]
    clock, mosi, miso = (getattr(board, f"D{n}") for n in (pins.clock, pins.mosi, pins.miso))
    return busio.SPI(clock, MOSI=mosi, MISO=miso)


def _quietly(let_go: Callable[[], None]) -> None:
    """Letting go of a pin that is already gone is no news on the way out."""
    with suppress(OSError, RuntimeError, AttributeError, ValueError):
        let_go()
