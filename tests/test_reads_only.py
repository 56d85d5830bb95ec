"""The proof that spyhole reads only: from the imports, from a whole firing, from the wire.

What a rig alone does to its bus is shown in ``hardware/test_reads_only``; here it is the whole
program, from the thermocouples to the broker.
"""

from __future__ import annotations

import ast
import asyncio
import contextlib
import re
import subprocess
import sys
from collections import Counter
from dataclasses import replace
from functools import partial
from pathlib import Path

import pytest

from simulator.chip import SimulatedBench
from supervisor.core.errors import RigError
from supervisor.core.events import Kind
from supervisor.messaging import sender
from supervisor.messaging.mqtt import BrokerSettings
from supervisor.record.store import Record
from supervisor.service import trend_watch
from supervisor.service.reader import readings
from supervisor.service.reports import press
from supervisor.service.run import run
from supervisor.service.simulated_rig import SimulatedRig
from tests.messaging.brokers import Mosquitto
from tests.service.clocks import TestClock
from tests.service.firings import begin, keep, scenario
from tests.service.test_run import setup_in
from tests.test_layers import imported, modules, nodes

PIN_LIBRARIES = {
    "Adafruit_PureIO",
    "RPi",
    "adafruit_blinka",
    "adafruit_bus_device",
    "analogio",
    "bitbangio",
    "board",
    "busio",
    "digitalio",
    "gpiod",
    "gpiozero",
    "lgpio",
    "microcontroller",
    "periphery",
    "pigpio",
    "pulseio",
    "pwmio",
    "rpi_lgpio",
    "serial",
    "smbus",
    "smbus2",
    "spidev",
    "usb",
    "wiringpi",
}
"""Ways to reach a pin or another bus of a Pi from Python."""

PIN_FILES = re.compile(r"/sys/class/|/sys/bus/|/dev/(gpio|mem|i2c|spi|tty|port)")

CONFIGURATION = range(0x80, 0x8A)
"""Addresses at which a MAX31856 takes CR0 to CJTO, its own set-up (Maxim, MAX31856 data sheet,
register memory map)."""
READABLE = range(0x10)


def test_one_module_names_a_pin_library_and_one_the_buss_and_only_these() -> None:
    named = {
        (module, name.split(".")[0])
        for module, path in modules().items()
        for name in imported(path)
        if name.split(".")[0] in PIN_LIBRARIES
    }
    assert named == {
        ("hardware.board", "board"),
        ("hardware.board", "busio"),
        ("hardware.board", "digitalio"),
        ("hardware.kernel_spi", "Adafruit_PureIO"),
    }


def test_the_buss_library_is_asked_for_its_spi_alone() -> None:
    path = modules()["hardware.kernel_spi"]
    assert [name for name in imported(path) if name.startswith("Adafruit")] == [
        "Adafruit_PureIO.spi"
    ]


def test_only_the_commands_that_look_at_a_kiln_open_the_board() -> None:
    takers = {
        module for module, path in modules().items() if "hardware.board" in set(imported(path))
    }
    assert takers == {"supervisor.commands.rig", "supervisor.commands.watch"}


def test_no_module_names_a_file_behind_which_pins_lie_but_the_bus() -> None:
    naming = {
        (module, node.value)
        for module, path in modules().items()
        for node in nodes(path, ast.Constant)
        if isinstance(node.value, str) and PIN_FILES.search(node.value)
    }
    assert naming == {("hardware.kernel_spi", "/dev/spidev")}
    assert PIN_FILES.search("/sys/class/gpio/export")
    assert PIN_FILES.search("/dev/gpiochip0")


def test_nothing_runs_another_program() -> None:
    """What could not be reached by a library could be by a command."""
    runners = {"subprocess", "os.system", "os.popen", "pty", "ctypes", "cffi"}
    found = {
        (module, name)
        for module, path in modules().items()
        for name in imported(path)
        if name.split(".")[0] in runners
    }
    assert found <= {("web.build_chart", "subprocess")}, "the build may call pip, the program none"
    called = {
        module
        for module, path in modules().items()
        for node in nodes(path, ast.Attribute)
        if node.attr in ("system", "popen", "execv", "spawnv")
    }
    assert called == set()


def test_the_only_process_that_is_started_is_this_python_with_a_file_of_ours() -> None:
    """It sends a message through Apprise, makes a report or looks for trends: none of it is part
    of the daemon's own memory."""
    starts = [
        (module, ast.unparse(node.func), [ast.unparse(argument) for argument in node.args])
        for module, path in modules().items()
        for node in nodes(path, ast.Call)
        if "create_subprocess" in ast.unparse(node.func)
    ]
    start = "asyncio.create_subprocess_exec"
    assert starts == [("supervisor.own_process", start, ["sys.executable", "'-P'", "str(file)"])]
    starters = {
        module
        for module in modules()
        if any(name.startswith("supervisor.own_process") for name in imported(modules()[module]))
    }
    assert starters == {"supervisor.messaging.sender", "supervisor.service.child"}
    asked = [
        ast.unparse(node.args[0])
        for node in nodes(Path(sender.__file__), ast.Call)
        if ast.unparse(node.func) == "ask_file"
    ]
    assert asked == ["_CHILD"]
    assert modules()["supervisor.messaging.apprise_child"] == sender._CHILD
    assert set(imported(sender._CHILD)) & {"supervisor", "hardware", *PIN_LIBRARIES} == set()
    askers = {
        module
        for module in modules()
        if any(name.startswith("supervisor.service.child") for name in imported(modules()[module]))
    }
    children = {
        "supervisor.service.reports.press": ("supervisor.service.reports.press_child", press),
        "supervisor.service.trend_watch": ("supervisor.service.trends_child", trend_watch),
    }
    assert askers == set(children)
    allowed = {"supervisor.core", "supervisor.picture", "supervisor.record", "supervisor.service"}
    for child, asker in children.values():
        assert modules()[child] == asker._CHILD
        names = {name for name in imported(asker._CHILD) if "." in name}
        assert {".".join(name.split(".")[:2]) for name in names} <= allowed
        assert {name for name in names if name.startswith("supervisor.service")} <= {
            "supervisor.service.manners",
            "supervisor.service.manners.stand_back",
        }


def test_nothing_listens_to_the_broker() -> None:
    calls = [
        (module, node.attr)
        for module, path in modules().items()
        for node in nodes(path, ast.Attribute)
        if "subscribe" in node.attr
    ]
    assert calls == []


WITH_THE_KERNELS_SELECTS = """
import sys
opened = []
def note(name, what):
    if name == "open" and str(what[0]).startswith(("/dev", "/sys", "/proc")):
        opened.append(str(what[0]))
sys.addaudithook(note)
import pytest
from hardware.board import open_rig
from hardware.channel import ThermocoupleChannel
from simulator.chip import SimulatedBench
from tests.hardware.fake_kernel import kernel_of
opened.clear()
with pytest.MonkeyPatch.context() as patch:
    bench = SimulatedBench(["top", "bottom"])
    kernel = kernel_of(patch, bench, {"/dev/spidev0.0": "top", "/dev/spidev0.1": "bottom"})
    rig = open_rig([ThermocoupleChannel("top", "CE0"), ThermocoupleChannel("bottom", "CE1")])
    bench.chips["bottom"].unplug()
    bench.advance(1.0)
    assert rig.read(1.0).temps_c == {"top": 20.0, "bottom": None}
    rig.close()
print(kernel.opened, kernel.closed)
print(opened)
names = ("board", "busio", "digitalio", "microcontroller", "gpiod", "adafruit_blinka", "lgpio")
print([name for name in names if name in sys.modules])
"""


def test_with_the_kernels_selects_nothing_but_the_spi_devices_is_opened() -> None:
    """On a forced Raspberry Pi, where Blinka would load its pins' library.

    The devices are opened by PureIO, on a kernel that stands in for Linux's; whatever else the
    process opened would be seen by Python's own audit.
    """
    found = subprocess.run(
        [sys.executable, "-c", WITH_THE_KERNELS_SELECTS],
        cwd=Path(__file__).parents[1],
        env={"BLINKA_FORCEBOARD": "RASPBERRY_PI_4B", "BLINKA_FORCECHIP": "BCM2XXX"},
        capture_output=True,
        text=True,
        timeout=60.0,
    )
    assert (found.returncode, found.stderr) == (0, "")
    devices = ["/dev/spidev0.0", "/dev/spidev0.1"]
    assert found.stdout.splitlines() == [f"{devices} {devices[::-1]}", "[]", "[]"]


@pytest.mark.parametrize("name", ["tripped-breaker", "broken-probe"])
async def test_a_whole_firing_touches_nothing_but_the_bus_and_its_chip_selects(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    monkeypatch.setattr(
        "supervisor.service.simulated_rig.SimulatedBench",
        partial(SimulatedBench, record_last=None),
    )
    plan = scenario(name)
    rig = SimulatedRig(plan, 120.0)
    with Record.open(tmp_path) as record:
        kept = keep(record, begin(record, name), name=name)
        count = 0
        async for reading in readings(rig, TestClock(), None):
            count += 1
            kept.keeper.accept(reading)
        rig.close()
        with pytest.raises(RigError):
            rig.read(1e6)
        record.flush().result(10.0)
        kinds = {event.kind for event in record.events(kept.keeper.firing.id)}
    assert count > 750
    assert {Kind.CONE_DOWN, Kind.FIRING_FINISHED, Kind.COOL_TO_OPEN} <= kinds
    # A climb that dies for want of any heat is lost heat when it is looked at each two minutes.
    trouble = {Kind.STALL, Kind.HEAT_LOST, Kind.SENSOR_FAULT}
    assert kinds & trouble, "the firing had its trouble"

    calls = rig._bench.calls
    assert {call.device for call in calls} == {"spi", *plan.channels}
    selects = {(call.action, call.detail) for call in calls if call.device != "spi"}
    assert selects == {("switch_to_output", True), ("value", False), ("value", True)}
    bus = Counter(call.action for call in calls if call.device == "spi")
    assert set(bus) == {"try_lock", "unlock", "configure", "write", "readinto"}
    assert bus["write"] > 3 * 750
    written: Counter[int] = Counter()
    for call in calls:
        if call.action != "write":
            continue
        piece = call.detail
        assert isinstance(piece, bytes)
        if len(piece) == 1:
            assert piece[0] in READABLE, f"{piece.hex()} asks for no register"
        else:
            assert len(piece) == 2, f"{piece.hex()} is more than one register"
            assert piece[0] in CONFIGURATION, f"{piece.hex()} is no register of the set-up"
            written[piece[0]] += 1
    assert written, "the chips were set up"
    assert sum(written.values()) < 40 * len(plan.channels), "and then left alone"


@pytest.mark.broker
async def test_no_packet_of_spyholes_asks_the_broker_for_anything(
    tmp_path: Path, mosquitto: Mosquitto
) -> None:
    setup = replace(
        setup_in(tmp_path),
        kiln="Test kiln",
        broker=BrokerSettings("127.0.0.1", mosquitto.port),
    )
    task = asyncio.create_task(run(setup))
    received = re.compile(r"Received (\w+) from spyhole-test-kiln")

    def packets() -> Counter[str]:
        return Counter(received.findall(mosquitto.log.read_text(errors="replace")))

    async with asyncio.timeout(30.0):
        while packets()["PUBLISH"] < 8:
            assert not task.done()
            await asyncio.sleep(0.05)
    task.cancel()
    with contextlib.suppress(asyncio.CancelledError):
        await task
    async with asyncio.timeout(10.0):
        while not packets()["DISCONNECT"]:
            await asyncio.sleep(0.05)
    log = mosquitto.log.read_text(errors="replace")
    assert "as spyhole-test-kiln" in log
    assert set(packets()) <= {"PUBLISH", "DISCONNECT", "PINGREQ", "PUBACK"}
    assert not re.search(r"SUBSCRIBE .*spyhole-test-kiln", log)
