"""The kernel's own chip selects: one request where one select is needed, through the real driver.

The semantics are the kernel's (Linux, Documentation/spi/spidev.rst): the select is held for one
request, and let go of at its end.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest
from adafruit_bus_device.spi_device import SPIDevice  # type: ignore[import-untyped]

from hardware.board import open_rig
from hardware.channel import ThermocoupleChannel
from hardware.kernel_spi import KernelSpi, open_kernel_spi
from hardware.max31856_rig import Max31856Rig
from hardware.selects import pin_numbers
from simulator.chip import FakeSpidev, SimulatedBench
from simulator.chip.bus import BusMisuseError
from supervisor.core.errors import InputError, RigError
from supervisor.core.readings import FaultCause
from tests.hardware.fake_kernel import FakeKernel, kernel_of
from tests.hardware.rigs import read_through, troubles_of

# A bus left locked is waited for without end: fail soon.
pytestmark = pytest.mark.timeout(20)

TOP = ThermocoupleChannel("top", "CE0", thermocouple_type="S")
BOTTOM = ThermocoupleChannel("bottom", "ce1")
DEVICES = {"/dev/spidev0.0": "top", "/dev/spidev0.1": "bottom"}
TEMPERATURE = 0x0C
CONFIGURATION = range(0x80, 0x8A)


def chip_at(temp_c: float) -> tuple[SimulatedBench, FakeSpidev]:
    """A chip that has converted, on a device that keeps what it is sent."""
    bench = SimulatedBench(["kiln"])
    device = FakeSpidev(bench.spi, bench.pins["kiln"])
    device.keeps = True
    device.mode, device.max_speed_hz = 1, 100_000
    device.transfer([0x80, 0x80])
    bench.show({"kiln": temp_c})
    bench.advance(1.0)
    device.requests.clear()
    return bench, device


def test_two_requests_lose_the_address_and_one_does_not() -> None:
    _, device = chip_at(1000.0)
    device.writebytes([TEMPERATURE])
    assert device.readbytes(3) != bytes.fromhex("3e8000"), "the second begins at register 0"
    assert bytes(device.transfer([TEMPERATURE, 0, 0, 0]))[1:] == bytes.fromhex("3e8000")


def test_an_address_waits_for_its_read_and_both_are_one_request() -> None:
    _, device = chip_at(1000.0)
    found = bytearray(5)
    with SPIDevice(KernelSpi(device), None, baudrate=100_000, phase=1) as spi:
        spi.write(bytes([TEMPERATURE]))
        assert device.requests == []
        spi.readinto(found, start=1, end=4)
    assert device.requests == [bytes([TEMPERATURE, 0, 0, 0])]
    assert bytes(found) == bytes.fromhex("00 3e8000 00")


def test_an_address_with_values_goes_out_at_once_and_as_it_is() -> None:
    bench, device = chip_at(20.0)
    with SPIDevice(KernelSpi(device), None, baudrate=100_000, phase=1) as spi:
        spi.write(bytearray([0xFF, 0x81, 0x43, 0xFF]), start=1, end=3)
        assert device.requests == [bytes([0x81, 0x43])]
    assert bench.chips["kiln"].registers[1] == 0x43


def test_an_address_that_nobody_reads_from_is_forgotten_and_nothing_is_sent() -> None:
    bench, device = chip_at(20.0)
    before = bench.chips["kiln"].registers
    spi = KernelSpi(device)
    for _ in range(3):
        assert spi.try_lock()
        spi.configure(100_000, 0, 1)
        spi.write(bytes([0x00]))
        spi.unlock()
    assert spi.try_lock()
    spi.configure(100_000, 0, 1)
    with pytest.raises(RuntimeError, match="without a register's address"):
        spi.readinto(bytearray(1))
    spi.write(bytes([0x81, 0x44]))
    spi.unlock()
    assert device.requests == [bytes([0x81, 0x44])], "the next one goes out as if it were the first"
    assert bench.chips["kiln"].registers[:1] == before[:1]


@pytest.mark.parametrize(
    "steps",
    [
        [lambda spi: spi.write(b"\x00"), lambda spi: spi.write(b"\x81\x03")],
        [lambda spi: spi.write(b"\x00"), lambda spi: spi.write(b"\x01")],
        [lambda spi: spi.write(b"\x00"), lambda spi: spi.write_readinto(b"\x81", bytearray(1))],
        [lambda spi: spi.write(b"\x81")],
        [lambda spi: spi.readinto(bytearray(2))],
        [lambda spi: spi.write_readinto(b"\x00\x00", bytearray(1))],
        [lambda spi: spi.write(bytes(5000))],
        [lambda spi: spi.unlock(), lambda spi: spi.write(b"\x81\x03")],
        [lambda spi: spi.unlock(), lambda spi: spi.configure(100_000, 0, 1)],
    ],
)
def test_what_would_need_a_select_held_longer_is_refused_and_nothing_is_sent(
    steps: list[Callable[[KernelSpi], object]],
) -> None:
    _, device = chip_at(20.0)
    spi = KernelSpi(device)
    assert spi.try_lock()
    spi.configure(100_000, 0, 1)
    for step in steps[:-1]:
        step(spi)
    with pytest.raises(RuntimeError):
        steps[-1](spi)
    assert device.requests == []


@pytest.mark.parametrize(
    "second",
    [
        lambda spi: spi.write(b"\x82\xff"),
        lambda spi: spi.readinto(bytearray(1)),
        lambda spi: spi.write_readinto(b"\x00", bytearray(1)),
    ],
)
def test_a_second_request_in_one_select_is_refused(second: Callable[[KernelSpi], object]) -> None:
    _, device = chip_at(20.0)
    spi = KernelSpi(device)
    assert spi.try_lock()
    spi.configure(100_000, 0, 1)
    spi.write(b"\x81\x03")
    with pytest.raises(RuntimeError):
        second(spi)
    assert device.requests == [b"\x81\x03"]


def test_both_ways_at_once_is_one_request_and_fills_its_piece() -> None:
    _, device = chip_at(1000.0)
    spi = KernelSpi(device)
    assert spi.try_lock()
    spi.configure(100_000, 1, 1)
    assert device.mode == 3
    found = bytearray(6)
    spi.write_readinto(bytes([9, TEMPERATURE, 0, 0, 0]), found, out_start=1, in_start=1, in_end=5)
    assert bytes(found[2:5]) == bytes.fromhex("3e8000")
    assert found[5] == 0
    assert device.requests == [bytes([TEMPERATURE, 0, 0, 0])]


def test_the_lock_is_taken_once() -> None:
    _, device = chip_at(20.0)
    spi = KernelSpi(device)
    assert spi.try_lock()
    assert not spi.try_lock()
    spi.unlock()
    assert spi.try_lock()


def test_a_device_as_an_overlay_leaves_it_is_told_clock_and_mode_first() -> None:
    bench = SimulatedBench(["kiln"])
    device = FakeSpidev(bench.spi, bench.pins["kiln"])
    with pytest.raises(BusMisuseError):
        device.transfer([0x00, 0x00])
    rig = Max31856Rig(
        {}, [ThermocoupleChannel("kiln", "CE0")], {}, selected={"kiln": KernelSpi(device)}
    )
    assert (device.mode, device.max_speed_hz, device.bits_per_word) == (1, 100_000, 8)
    bench.advance(1.0)
    assert rig.read(1.0).temps_c == {"kiln": 20.0}


class AtOnce(KernelSpi):
    """What a bus over spidev does that holds nothing back."""

    def write(self, buffer: bytes | bytearray, start: int = 0, end: int | None = None) -> None:
        self._device.transfer(buffer[start:end])

    def readinto(
        self, buffer: bytearray, start: int = 0, end: int | None = None, write_value: int = 0
    ) -> None:
        wanted = len(buffer[start:end])
        buffer[start : start + wanted] = bytes(self._device.transfer([write_value] * wanted))


def test_without_holding_back_the_driver_finds_no_chip() -> None:
    bench = SimulatedBench(["kiln"])
    device = FakeSpidev(bench.spi, bench.pins["kiln"])
    channels = [ThermocoupleChannel("kiln", "CE0")]
    rig = Max31856Rig({}, channels, {}, selected={"kiln": AtOnce(device)})
    bench.advance(1.0)
    assert rig.read(1.0).faults == {"kiln": FaultCause.BUS}


def two_devices(monkeypatch: pytest.MonkeyPatch) -> tuple[SimulatedBench, FakeKernel]:
    bench = SimulatedBench(["top", "bottom"], record_last=None)
    return bench, kernel_of(monkeypatch, bench, DEVICES)


def test_a_rig_of_two_selects_through_the_real_ioctls(monkeypatch: pytest.MonkeyPatch) -> None:
    bench, kernel = two_devices(monkeypatch)
    rig = open_rig([TOP, BOTTOM])
    bench.show({"top": 1000.0, "bottom": -12.5}, cold_junction_c=25.0)
    bench.advance(1.0)
    assert rig.read(1.0).temps_c == {"top": 1000.0, "bottom": -12.5}
    assert kernel.opened == ["/dev/spidev0.0", "/dev/spidev0.1"]
    rig.close()
    rig.close()
    assert sorted(kernel.closed) == kernel.opened


def test_in_trouble_only_registers_are_read_and_only_the_set_up_is_written(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    bench, kernel = two_devices(monkeypatch)
    rig = open_rig([TOP, BOTTOM])
    read_through(bench, rig, troubles_of(bench))
    assert kernel.opened == list(DEVICES)
    for sent in kernel.requests:
        is_read = sent[0] < 0x10 and not any(sent[1:])
        is_set_up = sent[0] in CONFIGURATION and len(sent) == 2
        assert is_read or is_set_up, sent.hex()
    assert any(sent[0] in CONFIGURATION for sent in kernel.requests)
    rig.close()


def test_a_device_that_fails_costs_its_channel_for_as_long_as_it_does(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    bench, kernel = two_devices(monkeypatch)
    rig = open_rig([TOP, BOTTOM])
    bench.advance(1.0)
    device, transfer = kernel.devices["/dev/spidev0.0"], kernel.devices["/dev/spidev0.0"].transfer

    def fail(data: object) -> list[int]:
        raise OSError(110, "Connection timed out")

    monkeypatch.setattr(device, "transfer", fail)
    assert rig.read(1.0).faults == {"top": FaultCause.BUS}
    monkeypatch.setattr(device, "transfer", transfer)
    assert rig.read(2.0).faults == {}
    rig.close()


def test_a_bus_whose_clock_can_not_be_set_is_a_fault_and_comes_back(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The bus device keeps the lock when it fails there; nobody may wait for it."""
    bench, kernel = two_devices(monkeypatch)
    rig = open_rig([TOP, BOTTOM])
    bench.advance(1.0)
    kernel.failure = OSError(22, "Invalid argument")
    assert rig.read(1.0).faults == {"top": FaultCause.BUS, "bottom": FaultCause.BUS}
    kernel.failure = None
    assert rig.read(2.0).faults == {}
    rig.close()


def test_a_look_is_one_request_a_chip(monkeypatch: pytest.MonkeyPatch) -> None:
    bench, kernel = two_devices(monkeypatch)
    rig = open_rig([TOP, BOTTOM])
    bench.advance(1.0)
    rig.read(1.0)
    rig.read(2.0)
    for device in kernel.devices.values():
        device.requests.clear()
    rig.read(3.0)
    assert kernel.requests == [bytes(17)] * 2
    rig.close()


def test_ce0_of_one_bus_is_not_ce0_of_another(monkeypatch: pytest.MonkeyPatch) -> None:
    bench = SimulatedBench(["top", "low"], on={"top": "SPI0", "low": "SPI5"})
    kernel = kernel_of(monkeypatch, bench, {"/dev/spidev0.0": "top", "/dev/spidev5.0": "low"})
    rig = open_rig([TOP, ThermocoupleChannel("low", "CE0", bus="SPI5")])
    bench.show({"top": 800.0, "low": 700.0})
    bench.advance(1.0)
    assert rig.read(1.0).temps_c == {"top": 800.0, "low": 700.0}
    assert kernel.opened == ["/dev/spidev0.0", "/dev/spidev5.0"]
    rig.close()


def test_a_short_buffer_setting_of_another_program_cuts_nothing(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """PureIO cuts requests to SPI_BUFSIZE bytes, and each piece is a select of its own."""
    monkeypatch.setenv("SPI_BUFSIZE", "4")
    bench, _ = two_devices(monkeypatch)
    rig = open_rig([TOP])
    bench.show({"top": 640.0})
    bench.advance(1.0)
    assert rig.read(1.0).temps_c == {"top": 640.0}
    rig.close()


@pytest.mark.parametrize(
    ("refusal", "words"),
    [
        (PermissionError(13, "Permission denied"), "let this user into the group spi"),
        (PermissionError(1, "Operation not permitted"), "let this user into the group spi"),
        (OSError(6, "No such device or address"), "No such device or address"),
    ],
)
def test_a_device_that_may_not_be_opened_is_one_sentence(
    monkeypatch: pytest.MonkeyPatch, refusal: OSError, words: str
) -> None:
    _, kernel = two_devices(monkeypatch)
    kernel.refusal = refusal
    with pytest.raises(RigError, match=words) as caught:
        open_rig([TOP])
    assert str(caught.value).startswith("/dev/spidev0.0 ")
    assert "\n" not in str(caught.value)


def test_a_second_program_is_told_that_the_device_is_in_use(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Two of them would set the chips up under each other."""
    _, kernel = two_devices(monkeypatch)
    rig = open_rig([TOP, BOTTOM])
    with pytest.raises(RigError, match=r"/dev/spidev0\.1 is in use: stop the other program"):
        open_rig([BOTTOM])
    assert kernel.closed == ["/dev/spidev0.1"], "the second one's own"
    rig.close()
    open_rig([BOTTOM]).close()


@pytest.mark.parametrize(
    ("bus", "select", "words"),
    [
        ("SPI0", 0, ["/dev/spidev0.0", "raspi-config, Interface Options", "spyhole demo"]),
        ("SPI5", 0, ["/dev/spidev5.0", "dtoverlay=spi5-1cs", "the Raspberry Pi 4 and 5"]),
        ("SPI5", 1, ["/dev/spidev5.1", "dtoverlay=spi5-2cs"]),
        ("SPI1", 2, ["/dev/spidev1.2", "dtoverlay=spi1-3cs", "the Raspberry Pi 5"]),
    ],
)
def test_a_device_that_is_not_there_is_named_with_the_way_to_it(
    monkeypatch: pytest.MonkeyPatch, bus: str, select: int, words: list[str]
) -> None:
    kernel_of(monkeypatch, SimulatedBench(["top"]), {})
    with pytest.raises(RigError) as caught:
        open_kernel_spi(bus, select)
    for word in words:
        assert word in str(caught.value)


def test_what_was_opened_is_let_go_of_when_a_later_one_is_not_there(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    bench = SimulatedBench(["top"])
    kernel = kernel_of(monkeypatch, bench, {"/dev/spidev0.0": "top"})
    with pytest.raises(RigError, match=r"no /dev/spidev0\.1"):
        open_rig([TOP, BOTTOM])
    assert kernel.closed == ["/dev/spidev0.0"]


@pytest.mark.parametrize(
    ("selects", "bus", "words"),
    [
        (["CE2"], "SPI0", "SPI0 has no CE2: CE0, CE1"),
        (["CE3"], "SPI1", "SPI1 has no CE3: CE0, CE1, CE2"),
        (["CE0", "ce0"], "SPI0", "two channels both use the chip select CE0 of SPI0"),
        (["CE0", "D5"], "SPI0", "CE0 of SPI0 can't be used beside plain pins"),
        (["CE1", "D26"], "SPI5", "SPI5's own pin CE1"),
    ],
)
def test_selects_that_can_not_be_are_refused(selects: list[str], bus: str, words: str) -> None:
    channels = [
        ThermocoupleChannel(f"place {number}", select, bus=bus)
        for number, select in enumerate(selects)
    ]
    with pytest.raises(InputError, match=words):
        open_rig(channels)


def test_ce1_goes_with_plain_pins_and_ce0_with_plain_pins_of_another_bus() -> None:
    assert pin_numbers([BOTTOM, ThermocoupleChannel("top", "D5")]) == {"D5": 5}
    assert pin_numbers([TOP, ThermocoupleChannel("low", "D22", bus="SPI5")]) == {"D22": 22}
    assert pin_numbers([TOP, BOTTOM]) == {}
    on_spi5 = [ThermocoupleChannel("low", "CE0", bus="SPI5"), ThermocoupleChannel("x", "D26")]
    assert pin_numbers(on_spi5) == {"D26": 26}, "one select leaves the second one's pin free"
