"""Whatever the wires do to the bytes, the rig gives readings that can be used."""

from __future__ import annotations

import math
from collections.abc import Callable
from itertools import cycle
from random import Random

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from hardware.channel import TYPE_RANGE_C
from simulator.chip import registers as reg
from supervisor.core.readings import FaultCause, Reading
from tests.hardware.rigs import bench_and_rig


def check(reading: Reading, names: tuple[str, ...]) -> None:
    low_c, high_c = TYPE_RANGE_C["K"]
    assert tuple(reading.temps_c) == names
    for name, temp_c in reading.temps_c.items():
        if temp_c is not None:
            assert math.isfinite(temp_c)
            assert low_c - 1.0 <= temp_c <= high_c + 1.0
            assert name not in reading.faults
    assert set(reading.faults) <= set(names)
    assert all(isinstance(cause, FaultCause) for cause in reading.faults.values())


def flipping(random: Random, chance: float) -> Callable[[bytes], bytes]:
    def corrupt(received: bytes) -> bytes:
        return bytes(
            byte ^ (1 << random.randrange(8)) if random.random() < chance else byte
            for byte in received
        )

    return corrupt


@given(registers=st.lists(st.binary(min_size=16, max_size=16), min_size=1, max_size=12))
@settings(max_examples=80, deadline=None)
def test_random_registers_never_break_a_reading(registers: list[bytes]) -> None:
    bench, rig = bench_and_rig("top", "bottom")
    answers = cycle(registers)
    bench.spi.corrupt = lambda received: next(answers)[: len(received)]
    for elapsed_s in range(4):
        check(rig.read(float(elapsed_s)), rig.channels)
    bench.spi.corrupt = None
    for elapsed_s in range(4, 8):
        bench.advance(1.0)
        reading = rig.read(float(elapsed_s))
    assert reading.temps_c == {"top": 500.0, "bottom": 500.0}


@given(values=st.binary(min_size=6, max_size=6))
@settings(max_examples=120, deadline=None)
def test_random_values_of_a_good_chip_never_break_a_reading(values: bytes) -> None:
    bench, rig = bench_and_rig("kiln")
    bench.spi.corrupt = lambda received: received[:10] + values if len(received) == 16 else received
    for elapsed_s in range(3):
        check(rig.read(float(elapsed_s)), rig.channels)


@given(seed=st.integers(0, 2**32), chance=st.floats(0.0005, 0.3))
@settings(max_examples=60, deadline=None)
def test_flipped_bits_never_break_a_reading_and_never_stay(seed: int, chance: float) -> None:
    bench, rig = bench_and_rig("top", "bottom")
    bench.spi.corrupt = flipping(Random(seed), chance)
    for elapsed_s in range(20):
        bench.advance(1.0)
        check(rig.read(float(elapsed_s)), rig.channels)
    bench.spi.corrupt = None
    for elapsed_s in range(20, 24):
        bench.advance(1.0)
        reading = rig.read(float(elapsed_s))
    assert reading.temps_c == {"top": 500.0, "bottom": 500.0}


@given(
    configuration=st.binary(min_size=10, max_size=10),
    temp_c=st.floats(15.0, 1300.0),
    cold_junction_c=st.floats(5.0, 40.0),
)
@settings(max_examples=120, deadline=None)
def test_no_temperature_is_believed_without_its_configuration(
    configuration: bytes, temp_c: float, cold_junction_c: float
) -> None:
    """Every value is plausible; only the ten registers before it are not what was written."""
    bench, rig = bench_and_rig("kiln")
    assert rig.read(0.0).temps_c == {"kiln": 500.0}
    assume(configuration != bench.chips["kiln"].registers[:10])
    values = reg.cj_code(cold_junction_c).to_bytes(2, "big") + reg.tc_code(temp_c).to_bytes(
        3, "big"
    )
    bench.spi.corrupt = lambda received: (configuration + values + b"\0")[: len(received)]
    for elapsed_s in range(1, 5):
        bench.advance(1.0)
        reading = rig.read(float(elapsed_s))
        assert reading.temps_c == {"kiln": None}
        assert reading.faults == {"kiln": FaultCause.BUS}
    bench.spi.corrupt = None
    for elapsed_s in range(5, 8):
        bench.advance(1.0)
        reading = rig.read(float(elapsed_s))
    assert reading.temps_c == {"kiln": 500.0}


@given(
    register=st.integers(0, 9),
    bit=st.integers(0, 7),
    letter=st.sampled_from("BEJKNRST"),
)
@settings(max_examples=80, deadline=None)
def test_a_set_up_that_was_changed_behind_our_back_is_put_right_before_it_is_believed(
    register: int, bit: int, letter: str
) -> None:
    bench, rig = bench_and_rig("kiln", letter=letter)
    bench.show({"kiln": 390.0})
    bench.advance(1.0)
    assert rig.read(0.0).temps_c == {"kiln": 390.0}
    chip = bench.chips["kiln"]
    wanted = chip.registers[:10]
    chip.select()
    chip.exchange(0x80 | register, 0)
    chip.exchange(wanted[register] ^ (1 << bit), 0)
    chip.deselect()
    if chip.registers[:10] == wanted:
        return  # the bit that clears faults clears itself
    bench.advance(1.0)
    during = rig.read(1.0)
    assert during.temps_c == {"kiln": None}, "converted with another set-up"
    assert chip.registers[:10] == wanted
    bench.advance(1.0)
    assert rig.read(2.0).temps_c == {"kiln": 390.0}


def test_ten_thousand_readings_over_bad_wires_show_no_wrong_temperature() -> None:
    """One byte in 5,000 flipped; what passes for a value is the value, near enough."""
    bench, rig = bench_and_rig("kiln")
    rig.read(0.0)
    bench.spi.corrupt = flipping(Random(31856), 2e-4)
    missing = 0
    for elapsed_s in range(1, 10_001):
        bench.advance(1.0)
        reading = rig.read(float(elapsed_s))
        temp_c = reading.temps_c["kiln"]
        if temp_c is None:
            missing += 1
        else:
            assert abs(temp_c - 500.0) <= 10.0
        assert reading.faults == {}
    assert missing <= 10
