"""The buses and pins of a real Raspberry Pi: the only place that knows a board.

Opens the SPI buses and the chip selects, nothing else; no other pin is ever touched. Selects
that the kernel moves come with its SPI devices (``kernel_spi``). Only where a select is a plain
pin is Blinka loaded, and then only when a rig is opened.
"""

from __future__ import annotations

import importlib
import io
from collections.abc import Callable, Mapping, Sequence
from contextlib import ExitStack, redirect_stdout, suppress
from typing import Any

from hardware.bus import SpiBus
from hardware.buses import BUSES, DEFAULT_BUS
from hardware.channel import ThermocoupleChannel
from hardware.kernel_spi import open_kernel_spi
from hardware.max31856_rig import Max31856Rig, check_rig
from hardware.selects import pin_numbers
from supervisor.core.errors import RigError


def open_rig(
    channels: Sequence[ThermocoupleChannel], *, interval_s: float = 1.0, mains_hz: int = 50
) -> Max31856Rig:
    """The rig on this machine's SPI buses.

    ``chip_select`` of a channel is a select of the kernel's as "CE0", or a pin as "D5" or "GPIO5"
    (the number of the processor, not of the header). Raises InputError for one that can't be a
    chip select and RigError when this machine has no such bus or does not let it be used.
    """
    check_rig(channels, interval_s=interval_s, mains_hz=mains_hz)
    numbers = pin_numbers(channels)
    with ExitStack() as opened:
        selected: dict[str, SpiBus] = {}
        for channel in channels:
            if channel.kernel_select is not None:
                device = open_kernel_spi(channel.bus, channel.kernel_select)
                selected[channel.name] = device
                opened.callback(_quietly, device.deinit)
        kept = ExitStack()

        def rig_with(buses: dict[str, Any], pins: dict[str, Any]) -> Max31856Rig:
            return Max31856Rig(
                buses,
                channels,
                pins,
                selected=selected,
                interval_s=interval_s,
                mains_hz=mains_hz,
                release=kept.close,
            )

        if numbers:
            by_pin = [channel.bus for channel in channels if channel.kernel_select is None]
            rig = _with_pins(tuple(dict.fromkeys(by_pin)), numbers, opened, rig_with)
        else:
            rig = rig_with({}, {})
        kept.callback(opened.pop_all().close)
        return rig


def _with_pins(
    names: Sequence[str],
    numbers: Mapping[str, int],
    opened: ExitStack,
    rig_with: Callable[[dict[str, Any], dict[str, Any]], Max31856Rig],
) -> Max31856Rig:
    """The rig, with Blinka's buses of these names and its pins of these numbers."""
    what = ""
    # Blinka prints its warnings to stdout, where a program may be writing JSON.
    with redirect_stdout(io.StringIO()):
        try:
            board = importlib.import_module("board")
            busio = importlib.import_module("busio")
            digitalio = importlib.import_module("digitalio")
            buses: dict[str, Any] = {}
            for name in names:
                what = _closed_bus(name)
                buses[name] = _open_bus(board, busio, name)
                opened.callback(_quietly, buses[name].deinit)
            pins: dict[str, Any] = {}
            for name, number in numbers.items():
                what = _closed_pin(name)
                pins[name] = digitalio.DigitalInOut(getattr(board, f"D{number}"))
                opened.callback(_quietly, pins[name].deinit)
            what = _closed_pin(", ".join(numbers))
            return rig_with(buses, pins)
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
    return (
        f"The chip select {name} can't be opened: let this user into the group gpio (a service: "
        f"run ./task install-pi again, which lets it use plain pins)"
    )


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
