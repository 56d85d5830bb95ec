"""What a chip makes of a probe that is not of its type, or whose leads are swapped.

Source: NIST Monograph 175, through ``thermocouple_its90``.
"""

from __future__ import annotations

import pytest
from thermocouple_its90 import TYPES

from simulator.chip import Max31856Chip
from simulator.chip import registers as reg
from simulator.chip.practice import PracticeBench


def converted(probe: str | None, set_to: str, hot_c: float, *, swapped: bool = False) -> bytes:
    chip = Max31856Chip()
    chip.set_probe(probe, swapped=swapped)
    chip.set_thermocouple(hot_c)
    chip.set_cold_junction(25.0)
    start(chip, set_to)
    chip.advance(1.0)
    return chip.registers


def start(chip: Max31856Chip, set_to: str) -> None:
    """Set its type, and let it convert by itself."""
    for address, value in ((reg.CR1, reg.TYPE_LETTERS.index(set_to)), (reg.CR0, 0x90)):
        chip.select()
        chip.exchange(0x80 | address, 0)
        chip.exchange(value, 0)
        chip.deselect()


def temp_c(registers: bytes) -> float:
    return (int.from_bytes(registers[0x0C:0x0F], "big", signed=True) >> 5) / 128


@pytest.mark.parametrize(
    ("probe", "set_to", "hot_c"),
    [
        ("N", "K", 1200.0),
        ("K", "N", 600.0),
        ("S", "K", 1200.0),
        ("R", "S", 1100.0),
        ("J", "E", 300.0),
    ],
)
def test_a_wrong_type_reads_what_its_voltage_stands_for(
    probe: str, set_to: str, hot_c: float
) -> None:
    mv = TYPES[probe].emf(hot_c, reference=25.0)
    expected_c = TYPES[set_to].temperature(mv, reference=25.0)
    assert temp_c(converted(probe, set_to, hot_c)) == pytest.approx(expected_c, abs=1 / 128)


@pytest.mark.parametrize("letter", ["K", "S", "N"])
def test_swapped_leads_read_the_opposite_voltage(letter: str) -> None:
    mv = -TYPES[letter].emf(50.0, reference=25.0)
    expected_c = TYPES[letter].temperature(mv, reference=25.0)
    found_c = temp_c(converted(None, letter, 50.0, swapped=True))
    assert found_c == pytest.approx(expected_c, abs=1 / 128)


@pytest.mark.parametrize(("probe", "set_to", "hot_c"), [("K", "S", 900.0), ("E", "T", 500.0)])
def test_a_voltage_beyond_the_types_range_sets_its_bit(
    probe: str, set_to: str, hot_c: float
) -> None:
    registers = converted(probe, set_to, hot_c)
    assert registers[reg.SR] & reg.SR_TC_RANGE
    assert temp_c(registers) == reg.TC_RANGE_C[set_to][1] + 1.0


def test_the_right_type_reads_exactly_what_it_is_put_into() -> None:
    for letter in reg.TYPE_LETTERS:
        assert temp_c(converted(letter, letter, 300.0)) == 300.0


def test_the_practice_bench_gives_the_same_noise_for_the_same_seed() -> None:
    def seen(seed: int) -> list[bytes]:
        bench = PracticeBench({"a": "K"}, on={}, faults={}, seed=seed)
        start(bench.bench.chips["a"], "K")
        found = []
        for second in range(1, 20):
            bench.advance_to(float(second))
            found.append(bench.bench.chips["a"].registers)
        return found

    assert seen(1) == seen(1)
    assert seen(1) != seen(2)
