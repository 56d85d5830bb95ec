"""Several buses: names, pins, and that a bad one costs its own channels and nothing else."""

from __future__ import annotations

import threading

import adafruit_max31856  # type: ignore[import-untyped]
import pytest

from hardware.buses import BUSES
from hardware.channel import ThermocoupleChannel
from hardware.max31856_rig import Max31856Rig
from hardware.selects import pin_numbers
from simulator.chip import SimulatedBench
from simulator.chip.bus import BusMisuseError
from supervisor.core.errors import InputError
from supervisor.core.readings import FaultCause

pytestmark = pytest.mark.timeout(20)

ON = {"top": "SPI0", "middle": "SPI0", "low": "SPI5"}
PATIENCE_S = 0.5


def two_buses(patience_s: float = 5.0) -> tuple[SimulatedBench, Max31856Rig]:
    bench = SimulatedBench(["top", "low", "middle"], on=ON, record_last=None)
    channels = [ThermocoupleChannel(name, name, bus=ON[name]) for name in ("top", "low", "middle")]
    rig = Max31856Rig(bench.buses, channels, bench.pins, patience_s=patience_s)
    bench.show({"top": 900.0, "low": 880.0, "middle": 890.0}, cold_junction_c=25.0)
    bench.advance(1.0)
    return bench, rig


def test_channels_keep_their_order_whatever_bus_they_are_on() -> None:
    bench, rig = two_buses()
    assert list(rig.read(1.0).temps_c.items()) == [
        ("top", 900.0),
        ("low", 880.0),
        ("middle", 890.0),
    ]
    spoken = {call.device for call in bench.calls if call.action == "write"}
    assert spoken == {"SPI0", "SPI5"}
    rig.close()


@pytest.mark.parametrize("level", [0, 1])
def test_a_stuck_bus_leaves_the_other_alone(level: int) -> None:
    bench, rig = two_buses()
    bench.buses["SPI5"].stick_miso(level)
    reading = rig.read(1.0)
    assert reading.temps_c == {"top": 900.0, "low": None, "middle": 890.0}
    assert reading.faults == {"low": FaultCause.BUS}
    rig.close()


def test_a_bus_that_hangs_leaves_the_other_alone_and_is_not_waited_for_again() -> None:
    bench, rig = two_buses(PATIENCE_S)
    let_go = threading.Event()
    hangs = 0

    def hang(received: bytes) -> bytes:
        nonlocal hangs
        hangs += 1
        let_go.wait(15.0)
        return received

    bench.buses["SPI0"].corrupt = hang
    try:
        for elapsed_s in range(1, 6):
            reading = rig.read(float(elapsed_s))
            assert reading.temps_c["low"] == 880.0
            assert reading.faults == {"top": FaultCause.BUS, "middle": FaultCause.BUS}
            told = rig.explain()[0]
            assert "The transfer does not end" in " ".join(told.sentences)
        assert hangs == 1, "what hangs is not asked again"
    finally:
        bench.buses["SPI0"].corrupt = None
        let_go.set()
    elapsed_s = 6
    while rig.read(float(elapsed_s)).faults:
        elapsed_s += 1
        bench.advance(1.0)
    assert rig.read(elapsed_s + 1.0).temps_c == {"top": 900.0, "low": 880.0, "middle": 890.0}
    rig.close()


def test_a_bus_that_hangs_from_the_start_does_not_hold_the_rig_up() -> None:
    bench = SimulatedBench(["top", "low"], on={"top": "SPI0", "low": "SPI5"})
    let_go = threading.Event()

    def hang(received: bytes) -> bytes:
        let_go.wait(15.0)
        return received

    bench.buses["SPI5"].corrupt = hang
    channels = [ThermocoupleChannel("top", "top"), ThermocoupleChannel("low", "low", bus="SPI5")]
    rig = Max31856Rig(bench.buses, channels, bench.pins, patience_s=PATIENCE_S)
    try:
        bench.chips["top"].advance(1.0)
        reading = rig.read(1.0)
        assert reading.temps_c == {"top": 20.0, "low": None}
        assert reading.faults == {"low": FaultCause.BUS}
    finally:
        let_go.set()
        rig.close()


def test_a_fault_of_our_own_in_a_buss_thread_is_not_swallowed() -> None:
    bench, rig = two_buses()
    bench.pins["middle"].switch_to_output(value=False)
    with pytest.raises(BusMisuseError):
        rig.read(1.0)
    rig.close()


def test_two_threads_share_no_buffer_of_the_driver() -> None:
    """The driver's class-level buffer is not thread safe, as it says itself."""
    shared = adafruit_max31856.MAX31856._BUFFER
    before = bytes(shared)
    _, rig = two_buses()
    rig.read(1.0)
    assert bytes(shared) == before
    rig.close()


def test_chips_restarted_over_and_over_on_two_buses_never_mix_their_set_up() -> None:
    bench = SimulatedBench(["top", "low"], on={"top": "SPI0", "low": "SPI5"})
    channels = [
        ThermocoupleChannel("top", "top", thermocouple_type="S", averaging=16),
        ThermocoupleChannel("low", "low", thermocouple_type="N", averaging=1, bus="SPI5"),
    ]
    rig = Max31856Rig(bench.buses, channels, bench.pins, patience_s=5.0)
    for elapsed_s in range(1, 200):
        for chip in bench.chips.values():
            chip.brown_out()
        rig.read(float(elapsed_s))
        assert bench.chips["top"].registers[1] == 0x46
        assert bench.chips["low"].registers[1] == 0x04
    rig.close()


def test_a_bus_that_is_not_there_is_refused() -> None:
    bench = SimulatedBench(["top"])
    with pytest.raises(InputError, match="no bus SPI5"):
        Max31856Rig(
            {"SPI0": bench.spi}, [ThermocoupleChannel("top", "top", bus="SPI5")], bench.pins
        )


def test_every_name_of_a_bus_is_allowed_and_no_other() -> None:
    for name in BUSES:
        assert ThermocoupleChannel("top", "D22", bus=name).bus == name
    with pytest.raises(
        InputError, match=r"SPI0 \(every Raspberry Pi\), SPI1 \(the Raspberry Pi 5\)"
    ):
        ThermocoupleChannel("top", "D22", bus="SPI2")


@pytest.mark.parametrize(
    ("pin", "bus", "words"),
    [
        ("D20", "SPI1", "SPI1's own pin MOSI"),
        ("D18", "SPI1", "SPI1's own pin CE0"),
        ("D5", "SPI4", "SPI4's own pin MISO"),
        ("D11", "SPI5", "SPI0's own pin SCLK"),
    ],
)
def test_a_buss_own_pin_can_not_select_a_chip(pin: str, bus: str, words: str) -> None:
    channels = [ThermocoupleChannel("top", pin), ThermocoupleChannel("low", "D22", bus=bus)]
    with pytest.raises(InputError, match=words):
        pin_numbers(channels)


def test_the_same_pin_is_free_where_its_bus_is_not_used() -> None:
    assert pin_numbers([ThermocoupleChannel("top", "D20")]) == {"D20": 20}
