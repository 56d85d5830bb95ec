"""The MAX31856 at the bus, byte by byte (Maxim, MAX31856 data sheet)."""

from __future__ import annotations

import pytest

from simulator.chip import Max31856Chip
from simulator.chip import registers as reg

AUTOMATIC = reg.CR0_AUTOMATIC | 0x10
HIGH_Z = 0xA5


def transfer(chip: Max31856Chip, *sent: int) -> bytes:
    chip.select()
    received = bytes(chip.exchange(byte, HIGH_Z) for byte in sent)
    chip.deselect()
    return received


def read(chip: Max31856Chip, address: int, count: int = 1) -> bytes:
    return transfer(chip, address, *[0] * count)[1:]


def write(chip: Max31856Chip, address: int, *values: int) -> None:
    transfer(chip, 0x80 | address, *values)


def converting(cr0: int = AUTOMATIC, cr1: int = 0x03) -> Max31856Chip:
    chip = Max31856Chip()
    write(chip, reg.CR1, cr1)
    write(chip, reg.CR0, cr0)
    return chip


def temp_c(chip: Max31856Chip) -> float:
    return reg.signed(int.from_bytes(read(chip, reg.LTCBH, 3), "big"), 24) / 4096


def cold_junction_c(chip: Max31856Chip) -> float:
    return reg.signed(int.from_bytes(read(chip, reg.CJTH, 2), "big"), 16) / 256


def status(chip: Max31856Chip) -> int:
    return read(chip, reg.SR)[0]


def test_the_address_steps_on_and_wraps() -> None:
    chip = Max31856Chip()
    assert read(chip, 0x0E, 4) == bytes([0x00, 0x00, 0x00, 0x03])
    assert read(chip, 0x00, 16) == reg.POWER_ON


def test_writing_steps_on_too() -> None:
    chip = Max31856Chip()
    write(chip, reg.CJHF, 70, 0xF6, 0x12, 0x34)
    assert chip.registers[reg.CJHF : reg.LTLFTH] == bytes([70, 0xF6, 0x12, 0x34])


@pytest.mark.parametrize("address", range(reg.CJTH, 0x10))
def test_read_only_registers_stay(address: int) -> None:
    chip = Max31856Chip()
    write(chip, address, 0x55)
    assert chip.registers == reg.POWER_ON


def test_the_cold_junction_can_be_written_while_its_sensor_is_off() -> None:
    chip = converting(AUTOMATIC | reg.CR0_COLD_JUNCTION_OFF)
    chip.set_thermocouple(500.0)
    chip.set_cold_junction(20.0)
    write(chip, reg.CJTH, 30, 0)
    chip.advance(1.0)
    assert cold_junction_c(chip) == 30.0
    assert temp_c(chip) == 510.0


def test_addresses_beyond_the_map_hold_nothing() -> None:
    chip = Max31856Chip()
    assert read(chip, 0x10, 3) == bytes(3)
    write(chip, 0x20, 0xFF)
    assert chip.registers == reg.POWER_ON


def test_nothing_is_converted_until_asked_for() -> None:
    chip = Max31856Chip()
    chip.set_thermocouple(1000.0)
    chip.advance(3600.0)
    chip.convert()
    assert temp_c(chip) == 0.0


def test_automatic_conversion_follows_the_probe_as_time_passes() -> None:
    chip = converting()
    chip.set_thermocouple(1000.0)
    chip.advance(0.142)
    assert temp_c(chip) == 0.0
    chip.advance(0.002)
    assert temp_c(chip) == 1000.0
    chip.set_thermocouple(1001.0)
    chip.advance(0.080)
    assert temp_c(chip) == 1000.0
    chip.advance(0.003)
    assert temp_c(chip) == 1001.0


def test_averaging_and_the_50_hz_filter_take_their_time() -> None:
    chip = converting(AUTOMATIC | reg.CR0_50_HZ, 0x43)
    chip.set_thermocouple(1000.0)
    chip.advance(0.169 + 15 * 0.040 - 0.001)
    assert temp_c(chip) == 0.0
    chip.advance(0.002)
    assert temp_c(chip) == 1000.0


def test_a_one_shot_happens_once_and_clears_its_bit() -> None:
    chip = converting(reg.CR0_ONE_SHOT | 0x10)
    chip.set_thermocouple(700.0)
    assert read(chip, reg.CR0)[0] & reg.CR0_ONE_SHOT
    chip.advance(0.2)
    assert not read(chip, reg.CR0)[0] & reg.CR0_ONE_SHOT
    assert temp_c(chip) == 700.0
    chip.set_thermocouple(800.0)
    chip.advance(10.0)
    assert temp_c(chip) == 700.0


def test_leaving_automatic_conversion_stops_it() -> None:
    chip = converting()
    chip.advance(1.0)
    write(chip, reg.CR0, 0x10)
    chip.set_thermocouple(900.0)
    chip.advance(10.0)
    assert temp_c(chip) == 20.0


def test_an_open_circuit_is_found_once_in_sixteen_conversions() -> None:
    chip = converting()
    chip.advance(0.15)
    chip.set_thermocouple(None)
    chip.advance(15 * 0.082)
    assert status(chip) == 0
    chip.advance(2 * 0.082)
    assert status(chip) == reg.SR_OPEN
    assert temp_c(chip) == 20.0, "the last value stays, and only the status tells"
    chip.set_thermocouple(500.0)
    chip.advance(2.0)
    assert status(chip) == 0
    assert temp_c(chip) == 500.0


def test_an_open_circuit_goes_unseen_with_detection_off() -> None:
    chip = converting(reg.CR0_AUTOMATIC)
    chip.set_thermocouple(None)
    chip.advance(60.0)
    assert status(chip) == 0


def test_a_foreign_voltage_shows_at_once_and_stops_conversions() -> None:
    chip = converting()
    chip.advance(1.0)
    chip.set_over_voltage(True)
    chip.set_thermocouple(900.0)
    chip.advance(10.0)
    assert status(chip) == reg.SR_VOLTAGE
    assert temp_c(chip) == 20.0
    chip.set_over_voltage(False)
    chip.advance(1.0)
    assert status(chip) == 0
    assert temp_c(chip) == 900.0


@pytest.mark.parametrize(
    ("letter", "tc_c", "cj_c", "bits"),
    [
        ("K", 1372.0, 25.0, 0),
        ("K", 1373.0, 25.0, reg.SR_TC_RANGE),
        ("K", -201.0, 25.0, reg.SR_TC_RANGE),
        ("S", 1769.0, 25.0, reg.SR_TC_RANGE),
        ("B", 249.0, 25.0, reg.SR_TC_RANGE),
        ("B", 250.0, 25.0, 0),
        ("B", 300.0, -1.0, reg.SR_CJ_RANGE),
        ("R", 300.0, -51.0, reg.SR_CJ_RANGE),
        ("K", 300.0, -51.0, 0),
        ("K", 300.0, 125.5, reg.SR_CJ_RANGE),
        ("K", 300.0, -65.0, reg.SR_CJ_RANGE | reg.SR_CJ_LOW),
        ("K", 300.0, 127.5, reg.SR_CJ_RANGE | reg.SR_CJ_HIGH),
    ],
)
def test_ranges_set_their_bits(letter: str, tc_c: float, cj_c: float, bits: int) -> None:
    chip = converting(cr1=reg.TYPE_LETTERS.index(letter))
    chip.set_thermocouple(tc_c)
    chip.set_cold_junction(cj_c)
    chip.advance(1.0)
    assert status(chip) == bits


def test_thresholds_set_their_bits_and_clear_two_degrees_inside() -> None:
    chip = converting()
    high_c, low_c = 1250 * 16, -10 * 16
    write(chip, reg.LTHFTH, high_c >> 8, high_c & 0xFF, (low_c >> 8) & 0xFF, low_c & 0xFF)
    seen = []
    for now_c in (1250.0, 1250.5, 1249.0, 1247.5, -10.0, -10.5, -9.0, -7.5):
        chip.set_thermocouple(now_c)
        chip.advance(1.0)
        seen.append(status(chip))
    high, low = reg.SR_TC_HIGH, reg.SR_TC_LOW
    assert seen == [0, high, high, 0, 0, low, low, 0]


def test_cold_junction_thresholds_are_signed() -> None:
    chip = converting()
    write(chip, reg.CJHF, 60, 0xF6)
    seen = []
    for now_c in (25.0, 61.0, 25.0, -11.0):
        chip.set_cold_junction(now_c)
        chip.advance(1.0)
        seen.append(status(chip))
    assert seen == [0, reg.SR_CJ_HIGH, 0, reg.SR_CJ_LOW]


def test_the_cold_junction_offset_moves_both_values() -> None:
    chip = converting()
    chip.set_thermocouple(1000.0)
    chip.set_cold_junction(25.0)
    write(chip, reg.CJTO, 0xF8)
    chip.advance(1.0)
    assert cold_junction_c(chip) == 24.5
    assert temp_c(chip) == 999.5


def test_a_latched_fault_stays_until_it_is_cleared() -> None:
    chip = converting(AUTOMATIC | reg.CR0_LATCHED)
    chip.set_thermocouple(1500.0)
    chip.advance(1.0)
    chip.set_thermocouple(500.0)
    chip.advance(2.0)
    assert status(chip) == reg.SR_TC_RANGE
    write(chip, reg.CR0, AUTOMATIC | reg.CR0_LATCHED | reg.CR0_CLEAR_FAULTS)
    assert status(chip) == 0
    assert not read(chip, reg.CR0)[0] & reg.CR0_CLEAR_FAULTS


def test_clearing_does_nothing_in_comparator_mode() -> None:
    chip = converting()
    chip.set_thermocouple(1500.0)
    chip.advance(1.0)
    write(chip, reg.CR0, AUTOMATIC | reg.CR0_CLEAR_FAULTS)
    assert status(chip) == reg.SR_TC_RANGE


def test_the_mask_hides_a_fault_from_the_pin_and_not_from_the_status() -> None:
    chip = converting()
    chip.set_thermocouple(None)
    chip.advance(2.0)
    assert status(chip) == reg.SR_OPEN
    assert not chip.fault_pin_asserted
    write(chip, reg.MASK, 0x00)
    assert chip.fault_pin_asserted


def test_a_brown_out_takes_the_configuration_and_the_values() -> None:
    chip = converting()
    chip.advance(1.0)
    chip.brown_out()
    chip.advance(10.0)
    assert chip.registers == reg.POWER_ON


def test_an_unplugged_chip_leaves_the_line_alone() -> None:
    chip = converting()
    chip.unplug()
    assert read(chip, reg.CR0, 3) == bytes([HIGH_Z] * 3)
    chip.plug_in()
    assert read(chip, reg.CR0, 16) == reg.POWER_ON


@pytest.mark.parametrize(("level", "byte"), [(0, 0x00), (1, 0xFF)])
def test_a_stuck_output_says_the_same_whatever_is_read(level: int, byte: int) -> None:
    chip = converting()
    chip.stick_output(level)
    assert read(chip, reg.CR0, 16) == bytes([byte]) * 16
    chip.stick_output(None)
    assert read(chip, reg.CR0) == bytes([AUTOMATIC])


@pytest.mark.parametrize("pieces", [1, 7, 100])
def test_time_in_pieces_is_time_in_one_go(pieces: int) -> None:
    whole, pieced = converting(), converting()
    for chip in (whole, pieced):
        chip.advance(0.5)
        chip.set_thermocouple(None)
    whole.advance(1.3)
    for _ in range(pieces):
        pieced.advance(1.3 / pieces)
    assert pieced.registers == whole.registers
