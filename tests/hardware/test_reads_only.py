"""The proof that a rig reads only: which modules can reach a pin, and what it did to the bus."""

from __future__ import annotations

import ast
from collections.abc import Callable
from pathlib import Path

import pytest

from hardware.channel import ThermocoupleChannel
from hardware.max31856_rig import Max31856Rig
from simulator.chip import SimulatedBench
from supervisor.core.readings import FaultCause
from tests.hardware.rigs import bench_and_rig, read_through, troubles_of

# A bus left locked is waited for without end: fail soon.
pytestmark = pytest.mark.timeout(20)

ROOT = Path(__file__).parents[2]
PACKAGES = ("supervisor", "hardware", "simulator", "web")
PIN_LIBRARIES = {
    "board",
    "busio",
    "digitalio",
    "microcontroller",
    "analogio",
    "bitbangio",
    "pwmio",
    "RPi",
    "gpiod",
    "gpiozero",
    "lgpio",
    "periphery",
    "pigpio",
    "rpi_lgpio",
    "serial",
    "smbus",
    "spidev",
    "wiringpi",
    "Adafruit_PureIO",
    "adafruit_blinka",
}
DRIVERS = {"adafruit_max31856", "adafruit_bus_device"}
CONFIGURATION = range(0x80, 0x8A)


def modules_named(path: Path) -> set[str]:
    """Top names of what a file imports, by statement or by ``import_module``."""
    named: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            named |= {alias.name.split(".")[0] for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module and not node.level:
            named.add(node.module.split(".")[0])
        elif isinstance(node, ast.Call) and node.args:
            called = node.func
            name = called.attr if isinstance(called, ast.Attribute) else getattr(called, "id", "")
            first = node.args[0]
            if name in ("import_module", "__import__") and isinstance(first, ast.Constant):
                named.add(str(first.value).split(".")[0])
    return named


def importers(libraries: set[str]) -> dict[str, set[str]]:
    found = {}
    for package in PACKAGES:
        for path in (ROOT / package).rglob("*.py"):
            named = modules_named(path) & libraries
            if named:
                found[path.relative_to(ROOT).as_posix()] = named
    return found


def test_one_module_alone_can_reach_a_pin_and_one_the_bus() -> None:
    assert importers(PIN_LIBRARIES) == {
        "hardware/board.py": {"board", "busio", "digitalio"},
        "hardware/kernel_spi.py": {"Adafruit_PureIO"},
    }


def test_one_module_alone_loads_the_driver() -> None:
    assert importers(DRIVERS) == {"hardware/driver.py": {"adafruit_max31856"}}


def test_the_search_would_find_a_pin_library(tmp_path: Path) -> None:
    path = tmp_path / "sly.py"
    path.write_text("import RPi.GPIO\nimport importlib\nimportlib.import_module('gpiod')\n")
    assert modules_named(path) == {"RPi", "importlib", "gpiod"}


def test_the_simulator_knows_nothing_of_the_hardware_package() -> None:
    for path in (ROOT / "simulator").rglob("*.py"):
        assert "hardware" not in modules_named(path), path


def test_a_rig_in_trouble_touches_the_bus_and_its_chip_selects_and_nothing_else() -> None:
    bench, rig = bench_and_rig("top", "bottom", record_last=None)
    read_through(bench, rig, troubles_of(bench))
    rig.explain()
    rig.close()
    assert {call.device for call in bench.calls} == {"spi", "top", "bottom"}
    assert {call.action for call in bench.calls if call.device == "spi"} == {
        "try_lock",
        "unlock",
        "configure",
        "write",
        "readinto",
    }
    assert {call.action for call in bench.calls if call.device != "spi"} == {
        "switch_to_output",
        "value",
    }


def test_a_rig_of_two_buses_in_trouble_touches_them_and_its_chip_selects_and_nothing_else() -> None:
    bench = SimulatedBench(["top", "low"], on={"top": "SPI0", "low": "SPI5"}, record_last=None)
    channels = [ThermocoupleChannel("top", "top"), ThermocoupleChannel("low", "low", bus="SPI5")]
    rig = Max31856Rig(bench.buses, channels, bench.pins, patience_s=5.0)
    troubles: list[Callable[[], None]] = [
        lambda: bench.chips["top"].unplug(),
        lambda: bench.buses["SPI5"].stick_miso(1),
        lambda: bench.chips["top"].plug_in(),
        lambda: bench.buses["SPI5"].stick_miso(None),
        lambda: bench.chips["low"].brown_out(),
    ]
    read_through(bench, rig, troubles)
    rig.explain()
    rig.close()
    assert {call.device for call in bench.calls} == {"SPI0", "SPI5", "top", "low"}
    for piece in [call.detail for call in bench.calls if call.action == "write"]:
        assert isinstance(piece, bytes)
        assert len(piece) <= 2
        assert piece[0] in (range(0x10) if len(piece) == 1 else CONFIGURATION)


def test_only_a_chips_own_configuration_is_ever_written() -> None:
    bench, rig = bench_and_rig("kiln", record_last=None)
    bench.chips["kiln"].brown_out()
    rig.read(1.0)
    sent = [call.detail for call in bench.calls if call.action == "write"]
    assert sent
    for piece in sent:
        assert isinstance(piece, bytes)
        is_read = len(piece) == 1 and piece[0] < 0x10
        is_configuration = len(piece) == 2 and piece[0] in CONFIGURATION
        assert is_read or is_configuration, piece


def test_every_select_is_high_before_the_first_byte_and_after_the_last() -> None:
    bench, _ = bench_and_rig("top", "bottom", record_last=None)
    actions = [(call.device, call.action, call.detail) for call in bench.calls]
    assert actions[:2] == [("top", "switch_to_output", True), ("bottom", "switch_to_output", True)]
    assert all(pin.value for pin in bench.pins.values())


@pytest.mark.parametrize("cause", [FaultCause.BUS])
def test_a_broken_transfer_leaves_the_select_high(cause: FaultCause) -> None:
    bench, rig = bench_and_rig("kiln")
    bench.spi.failure = OSError(121, "Remote I/O error")
    assert rig.read(1.0).faults == {"kiln": cause}
    assert bench.pins["kiln"].value
