"""The data formats of the MAX31856, from registers through Adafruit's driver to degrees.

Source of the tables: Maxim Integrated (Analog Devices), "MAX31856 Precision Thermocouple to
Digital Converter with Linearization", data sheet: table of thermocouple data format (24-bit
word), table of cold-junction data format (16-bit word), memory map and configuration tables;
further rows between its own were worked out from the same scale of 2^-7 °C and 2^-6 °C.
Source of the reference functions: NIST Monograph 175 (1993), through ``thermocouple_its90``.
"""

from __future__ import annotations

import adafruit_max31856  # type: ignore[import-untyped]
import pytest
from thermocouple_its90 import TYPES

from hardware.channel import TYPE_RANGE_C, ThermocoupleChannel
from hardware.converter import Snapshot
from hardware.max31856_rig import Max31856Rig
from simulator.chip import SimulatedBench, registers
from supervisor.core.readings import FaultCause

THERMOCOUPLE_WORDS = [
    (1600.0, "640000"),
    (1222.5078125, "4C6820"),
    (1000.0, "3E8000"),
    (100.9375, "064F00"),
    (25.0, "019000"),
    (0.0625, "000100"),
    (0.0078125, "000020"),
    (0.0, "000000"),
    (-0.0078125, "FFFFE0"),
    (-0.0625, "FFFF00"),
    (-1.0, "FFF000"),
    (-250.0, "F06000"),
]
COLD_JUNCTION_WORDS = [
    (127.0, "7F00"),
    (127.984375, "7FFC"),
    (64.0, "4000"),
    (25.5, "1980"),
    (25.0, "1900"),
    (0.5, "0080"),
    (0.015625, "0004"),
    (0.0, "0000"),
    (-0.015625, "FFFC"),
    (-1.0, "FF00"),
    (-20.0, "EC00"),
    (-55.0, "C900"),
]
TYPE_CODES = {"B": 0, "E": 1, "J": 2, "K": 3, "N": 4, "R": 5, "S": 6, "T": 7}


def driver_on(bench: SimulatedBench) -> adafruit_max31856.MAX31856:
    return adafruit_max31856.MAX31856(bench.spi, bench.pins["kiln"])


@pytest.mark.parametrize(("temp_c", "word"), THERMOCOUPLE_WORDS)
def test_a_thermocouple_word_of_the_data_sheet_decodes_exactly(temp_c: float, word: str) -> None:
    bench = SimulatedBench(["kiln"])
    driver = driver_on(bench)
    driver.start_autoconverting()
    bench.show({"kiln": temp_c})
    bench.convert()
    assert bench.chips["kiln"].registers[registers.LTCBH : registers.SR].hex().upper() == word
    assert driver.read_high_res_temp() == temp_c
    assert Snapshot(bench.chips["kiln"].registers).temp_c == temp_c


@pytest.mark.parametrize(("temp_c", "word"), COLD_JUNCTION_WORDS)
def test_a_cold_junction_word_of_the_data_sheet_decodes_exactly(temp_c: float, word: str) -> None:
    bench = SimulatedBench(["kiln"])
    driver = driver_on(bench)
    driver.start_autoconverting()
    bench.show({}, cold_junction_c=temp_c)
    bench.convert()
    assert bench.chips["kiln"].registers[registers.CJTH : registers.LTCBH].hex().upper() == word
    assert driver.unpack_reference_temperature() == temp_c
    assert Snapshot(bench.chips["kiln"].registers).cold_junction_c == temp_c


def test_the_unused_low_bits_are_dropped() -> None:
    """The driver's older call keeps the five bits below the value, its newer one drops them."""
    raw = bytes(12) + bytes.fromhex("3E801F00")
    assert Snapshot(raw).temp_c == 1000.0
    assert int.from_bytes(raw[12:15], "big") / 4096 != 1000.0


def test_the_chip_wakes_up_with_the_power_on_values_of_the_memory_map() -> None:
    """Data sheet, memory map (power-on values)."""
    assert SimulatedBench(["kiln"]).chips["kiln"].registers == bytes(
        [0x00, 0x03, 0xFF, 0x7F, 0xC0, 0x7F, 0xFF, 0x80, 0x00, 0x00, 0, 0, 0, 0, 0, 0]
    )


@pytest.mark.parametrize("letter", TYPE_CODES)
def test_every_type_is_set_by_its_code(letter: str) -> None:
    bench = SimulatedBench(["kiln"])
    channel = ThermocoupleChannel("kiln", "kiln", thermocouple_type=letter)
    Max31856Rig(bench.spi, [channel], bench.pins)
    assert bench.chips["kiln"].registers[registers.CR1] & 0x0F == TYPE_CODES[letter]


@pytest.mark.parametrize(("samples", "code"), [(1, 0), (2, 1), (4, 2), (8, 3), (16, 4)])
def test_every_averaging_is_set_by_its_code(samples: int, code: int) -> None:
    bench = SimulatedBench(["kiln"])
    Max31856Rig(bench.spi, [ThermocoupleChannel("kiln", "kiln", averaging=samples)], bench.pins)
    assert bench.chips["kiln"].registers[registers.CR1] >> 4 == code
    assert driver_on(bench).averaging == samples


@pytest.mark.parametrize(("mains_hz", "bit"), [(50, 1), (60, 0)])
def test_the_mains_filter_is_set_by_its_bit(mains_hz: int, bit: int) -> None:
    bench = SimulatedBench(["kiln"])
    Max31856Rig(bench.spi, [ThermocoupleChannel("kiln", "kiln")], bench.pins, mains_hz=mains_hz)
    cr0 = bench.chips["kiln"].registers[registers.CR0]
    assert cr0 & 0x01 == bit
    assert cr0 & 0x80, "automatic conversion is on"
    assert cr0 & 0x30 == 0x10, "open-circuit detection is on"


@pytest.mark.parametrize(("resistance", "bits"), [("low", 0b01), ("high", 0b10), ("slow", 0b11)])
def test_every_way_of_looking_for_a_broken_circuit_is_set_by_its_bits(
    resistance: str, bits: int
) -> None:
    """Data sheet, open-circuit detection modes: OCFAULT1 and OCFAULT0."""
    bench = SimulatedBench(["kiln"])
    channel = ThermocoupleChannel("kiln", "kiln", lead_resistance=resistance)
    rig = Max31856Rig(bench.spi, [channel], bench.pins)
    assert bench.chips["kiln"].registers[registers.CR0] >> 4 & 0b11 == bits
    bench.show({"kiln": None})
    bench.advance(rig.open_check_after_s)
    assert rig.read(1.0).faults == {"kiln": FaultCause.OPEN}


CJTO_CODES = [
    (7.9375, "7F"),
    (1.0, "10"),
    (0.0625, "01"),
    (0.0, "00"),
    (-0.0625, "FF"),
    (-8.0, "80"),
]
"""Data sheet, cold-junction temperature offset register: 2^-4 °C a step, two's complement."""


@pytest.mark.parametrize(("shift_c", "code"), CJTO_CODES)
def test_the_terminals_are_shifted_by_the_offset_registers_code(shift_c: float, code: str) -> None:
    bench = SimulatedBench(["kiln"])
    channel = ThermocoupleChannel("kiln", "kiln", cold_junction_offset_c=shift_c)
    rig = Max31856Rig(bench.spi, [channel], bench.pins)
    assert bench.chips["kiln"].registers[registers.CJTO] == int(code, 16)
    bench.show({}, cold_junction_c=25.0)
    bench.advance(1.0)
    rig.read(1.0)
    assert rig.cold_junctions_c() == {"kiln": 25.0 + shift_c}


def test_a_channels_own_mains_frequency_goes_before_the_rigs() -> None:
    bench = SimulatedBench(["top", "low"])
    channels = [ThermocoupleChannel("top", "top"), ThermocoupleChannel("low", "low", mains_hz=60)]
    Max31856Rig(bench.spi, channels, bench.pins, mains_hz=50)
    bits = [bench.chips[name].registers[registers.CR0] & 1 for name in ("top", "low")]
    assert bits == [1, 0]


@pytest.mark.parametrize("letter", sorted(TYPE_RANGE_C))
def test_a_types_range_lies_within_its_reference_function(letter: str) -> None:
    """NIST Monograph 175: outside the function the chip's linearisation would mean nothing."""
    low_c, high_c = TYPE_RANGE_C[letter]
    reference = TYPES[letter]
    for inside_c in (low_c + 1.0, high_c - 1.0):
        back_c = reference.temperature(reference.emf(inside_c))
        assert back_c == pytest.approx(inside_c, abs=0.01)
    assert registers.TC_RANGE_C[letter] == (low_c, high_c)


def test_degrees_of_the_cold_junction_must_not_simply_be_added() -> None:
    """NIST Monograph 175, type K, hot 1000 °C, cold 25 °C: why the chip compensates in mV."""
    reference = TYPES["K"]
    at_terminals_mv = reference.emf(1000.0) - reference.emf(25.0)
    assert at_terminals_mv == pytest.approx(40.2754, abs=5e-4)
    assert reference.temperature(at_terminals_mv) + 25.0 == pytest.approx(999.4, abs=0.05)
    assert reference.temperature(at_terminals_mv + reference.emf(25.0)) == pytest.approx(
        1000.0, abs=0.01
    )
