"""The fake bus refuses what real wires would not carry, and its record is complete."""

from __future__ import annotations

import adafruit_max31856  # type: ignore[import-untyped]
import pytest
from adafruit_bus_device.spi_device import SPIDevice  # type: ignore[import-untyped]

from simulator.chip import BusCall, BusMisuseError, FakeSpi, SimulatedBench


def ready(bench: SimulatedBench) -> FakeSpi:
    for pin in bench.pins.values():
        pin.switch_to_output(value=True)
    assert bench.spi.try_lock()
    bench.spi.configure(baudrate=500_000, polarity=0, phase=1)
    return bench.spi


def test_a_transfer_needs_a_selected_chip() -> None:
    spi = ready(SimulatedBench(["a", "b"]))
    with pytest.raises(BusMisuseError, match="0 chips"):
        spi.write(b"\x00")


def test_a_transfer_to_two_chips_at_once_is_refused() -> None:
    bench = SimulatedBench(["a", "b"])
    spi = ready(bench)
    bench.pins["a"].value = False
    bench.pins["b"].value = False
    with pytest.raises(BusMisuseError, match="2 chips"):
        spi.readinto(bytearray(1))


def test_a_select_pin_left_floating_is_refused() -> None:
    bench = SimulatedBench(["a", "b"])
    with pytest.raises(BusMisuseError, match="b is not driven"):
        adafruit_max31856.MAX31856(bench.spi, bench.pins["a"])


def test_a_pin_must_be_an_output_before_it_is_set_or_read() -> None:
    pin = SimulatedBench(["a"]).pins["a"]
    with pytest.raises(BusMisuseError):
        pin.value = False
    with pytest.raises(BusMisuseError):
        _ = pin.value


@pytest.mark.parametrize(
    "settings",
    [
        {"baudrate": 5_000_001, "phase": 1},
        {"baudrate": 0, "phase": 1},
        {"baudrate": 500_000, "phase": 0},
        {"baudrate": 500_000, "phase": 0, "polarity": 1},
        {"baudrate": 500_000, "phase": 1, "bits": 16},
    ],
)
def test_a_wrong_clock_or_mode_is_refused(settings: dict[str, int]) -> None:
    spi = SimulatedBench(["a"]).spi
    spi.try_lock()
    with pytest.raises(BusMisuseError):
        spi.configure(**settings)


def test_mode_3_is_as_good_as_mode_1() -> None:
    bench = SimulatedBench(["a"])
    device = SPIDevice(bench.spi, bench.pins["a"], baudrate=5_000_000, polarity=1, phase=1)
    answer = bytearray(2)
    with device as spi:
        spi.write_readinto(bytes([0x01, 0x00]), answer)
    assert answer[1] == 0x03


def test_the_bus_belongs_to_who_holds_its_lock() -> None:
    bench = SimulatedBench(["a"])
    with pytest.raises(BusMisuseError, match="lock"):
        bench.spi.configure(phase=1)
    assert bench.spi.try_lock()
    assert not bench.spi.try_lock()
    bench.spi.unlock()
    assert bench.spi.try_lock()
    bench.pins["a"].switch_to_output(value=False)
    with pytest.raises(BusMisuseError, match="configured"):
        bench.spi.write(b"\x00")


def test_every_call_is_in_the_record() -> None:
    bench = SimulatedBench(["a"], record_last=None)
    spi = ready(bench)
    bench.pins["a"].value = False
    spi.write(b"\x01")
    spi.readinto(bytearray(2))
    bench.pins["a"].value = True
    spi.unlock()
    assert bench.calls == (
        BusCall("a", "switch_to_output", True),
        BusCall("spi", "try_lock"),
        BusCall("spi", "configure", 500_000),
        BusCall("a", "value", False),
        BusCall("spi", "write", b"\x01"),
        BusCall("spi", "readinto", 2),
        BusCall("a", "value", True),
        BusCall("spi", "unlock"),
    )


@pytest.mark.parametrize(("last", "kept"), [(0, 0), (5, 5)])
def test_the_record_is_bounded(last: int, kept: int) -> None:
    bench = SimulatedBench(["a"], record_last=last)
    driver = adafruit_max31856.MAX31856(bench.spi, bench.pins["a"])
    for _ in range(20):
        driver.unpack_temperature()
    assert len(bench.calls) == kept


def test_a_one_shot_by_the_driver_is_pending_until_time_has_passed() -> None:
    bench = SimulatedBench(["a"])
    driver = adafruit_max31856.MAX31856(bench.spi, bench.pins["a"])
    bench.show({"a": 812.5}, cold_junction_c=31.25)
    driver.initiate_one_shot_measurement()
    assert driver.oneshot_pending
    bench.advance(0.2)
    assert not driver.oneshot_pending
    assert driver.read_high_res_temp() == 812.5
    assert driver.unpack_reference_temperature() == 31.25


def test_the_drivers_own_fault_names_match_the_chips_bits() -> None:
    bench = SimulatedBench(["a"])
    driver = adafruit_max31856.MAX31856(bench.spi, bench.pins["a"])
    driver.start_autoconverting()
    bench.show({"a": None})
    bench.advance(2.0)
    assert [name for name, is_set in driver.fault.items() if is_set] == ["open_tc"]
    bench.chips["a"].set_over_voltage(True)
    assert driver.fault["voltage"]


def test_thresholds_written_by_the_driver_read_back() -> None:
    bench = SimulatedBench(["a"])
    driver = adafruit_max31856.MAX31856(bench.spi, bench.pins["a"])
    driver.temperature_thresholds = (-10.5, 1250.0)
    driver.reference_temperature_thresholds = (-20.0, 85.0)
    assert driver.temperature_thresholds == (-10.5, 1250.0)
    assert driver.reference_temperature_thresholds == (-20.0, 85.0)
