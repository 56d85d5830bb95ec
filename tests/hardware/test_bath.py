"""The checks in ice water and in boiling water: what is proposed, and what is refused and why.

What a wrong type or swapped leads read in a bath is worked out with NIST's reference functions
(Monograph 175, through ``thermocouple_its90``), not with the program's own.
"""

from __future__ import annotations

from random import Random

import pytest
from thermocouple_its90 import TYPES

from hardware.bath import STEADY_S, BathCheck, BathResult, Refusal, judge
from hardware.channel import TYPE_RANGE_C, ThermocoupleChannel

TERMINALS_C = 22.0
BOILING_C = 99.6


def channel(letter: str = "K", offset_c: float = 0.0) -> ThermocoupleChannel:
    return ThermocoupleChannel("top", "D5", thermocouple_type=letter, offset_c=offset_c)


def reads(probe: str, set_to: str, bath_c: float, *, swapped: bool = False) -> float | None:
    mv = TYPES[probe].emf(bath_c, reference=TERMINALS_C) * (-1.0 if swapped else 1.0)
    try:
        read_c: float = TYPES[set_to].temperature(mv, reference=TERMINALS_C)
    except ValueError:
        return None
    low_c, high_c = TYPE_RANGE_C[set_to]
    return read_c if low_c <= read_c <= high_c else None


@pytest.mark.parametrize("off_c", [-3.9, -1.3, 0.7, 3.2])
@pytest.mark.parametrize("letter", ["K", "N", "S", "R", "J", "E", "T"])
@pytest.mark.parametrize("bath_c", [0.0, BOILING_C])
def test_the_offset_makes_the_reading_right(letter: str, off_c: float, bath_c: float) -> None:
    result = judge(channel(letter), bath_c, bath_c + off_c, TERMINALS_C)
    assert result.offset_c == pytest.approx(-off_c)
    assert result.is_needed
    assert result.refusals == ()


def test_an_offset_that_is_configured_already_is_replaced_and_not_added_to() -> None:
    result = judge(channel(offset_c=2.0), 0.0, 2.5, TERMINALS_C)
    assert result.off_c == pytest.approx(0.5)
    assert result.offset_c == pytest.approx(-0.5)
    assert result.is_needed


@pytest.mark.parametrize(("read_c", "offset_c"), [(0.4, 0.0), (-0.3, 0.0), (0.1, -1.2)])
def test_what_such_a_bath_can_not_tell_is_left_alone(read_c: float, offset_c: float) -> None:
    result = judge(channel(offset_c=offset_c), 0.0, read_c, TERMINALS_C)
    assert not result.is_needed
    assert result.refusals == ()


PAIRS = [
    ("K", "N"),
    ("N", "K"),
    ("S", "K"),
    ("J", "K"),
    ("E", "K"),
    ("K", "J"),
    ("T", "K"),
    ("S", "N"),
]


@pytest.mark.parametrize(("probe", "set_to"), PAIRS)
def test_a_wrong_type_in_boiling_water_is_named(probe: str, set_to: str) -> None:
    read_c = reads(probe, set_to, BOILING_C)
    assert read_c is not None
    result = judge(channel(set_to), BOILING_C, read_c, TERMINALS_C)
    assert result.offset_c is None
    assert Refusal.TYPE in result.refusals
    assert probe in result.fits


@pytest.mark.parametrize("letter", ["K", "N", "S", "R", "J"])
@pytest.mark.parametrize("bath_c", [0.0])
def test_swapped_leads_in_a_bath_are_named(letter: str, bath_c: float) -> None:
    read_c = reads(letter, letter, bath_c, swapped=True)
    assert read_c is not None
    result = judge(channel(letter), bath_c, read_c, TERMINALS_C)
    assert result.offset_c is None
    assert Refusal.SWAPPED in result.refusals


def test_a_tip_that_is_not_in_the_water_is_no_offset_of_20_degrees() -> None:
    result = judge(channel(), 0.0, 21.0, TERMINALS_C)
    assert result.offset_c is None
    assert Refusal.ROOM in result.refusals


def test_a_type_s_on_an_input_for_k_reads_nearly_as_the_room_and_both_are_said() -> None:
    read_c = reads("S", "K", 0.0)
    assert read_c == pytest.approx(18.9, abs=0.2)
    assert read_c is not None
    result = judge(channel("K"), 0.0, read_c, TERMINALS_C)
    assert set(result.refusals) == {Refusal.ROOM, Refusal.TYPE}
    assert {"S", "R"} <= set(result.fits)


def test_what_nothing_explains_is_refused_all_the_same() -> None:
    result = judge(channel(), 0.0, -17.0, TERMINALS_C)
    assert result.offset_c is None
    assert result.refusals == (Refusal.UNKNOWN,)


def test_terminals_as_cold_as_the_bath_tell_nothing_of_the_type() -> None:
    assert not judge(channel(), 0.0, 0.5, 4.0).tells_type
    assert judge(channel(), BOILING_C, BOILING_C, 4.0).tells_type


@pytest.mark.parametrize(("letter", "part"), [("S", 0.45), ("R", 0.38), ("K", 1.08), ("N", 0.70)])
def test_what_the_same_voltage_makes_in_a_hot_kiln_is_the_types_own(
    letter: str, part: float
) -> None:
    """NIST Monograph 175: the slopes at 0 and at 1,200 °C."""
    result = judge(channel(letter), 0.0, 2.0, TERMINALS_C)
    expected = TYPES[letter].seebeck(0.0) / TYPES[letter].seebeck(1200.0)
    assert expected == pytest.approx(part, abs=0.02)
    assert result.hot_c == pytest.approx(2.0 * expected)


def test_a_type_that_does_not_reach_so_far_says_nothing_of_it() -> None:
    assert judge(channel("T"), 0.0, 2.0, TERMINALS_C).hot_c is None


def dipped(check: BathCheck, seconds: int, *, noise_c: float = 0.1, lag_s: float = 15.0) -> None:
    dice = Random(9)
    temp_c = 21.0
    for second in range(seconds):
        if second > 20:
            temp_c += (0.8 - temp_c) / lag_s
        check.feed(float(second), temp_c + dice.gauss(0.0, noise_c), TERMINALS_C)
        if check.result is not None:
            return


def test_it_waits_until_the_probe_has_gone_cold() -> None:
    check = BathCheck(channel(), 0.0)
    dipped(check, 600)
    result = check.result
    assert isinstance(result, BathResult)
    assert result.offset_c == pytest.approx(-0.8, abs=0.15)


def test_a_slow_tube_is_waited_for() -> None:
    check = BathCheck(channel(), 0.0)
    dipped(check, 1500, lag_s=120.0)
    assert check.result is not None
    assert check.result.offset_c == pytest.approx(-0.8, abs=0.4)


def test_noise_is_never_steady() -> None:
    check = BathCheck(channel(), 0.0)
    dipped(check, 600, noise_c=3.0)
    assert check.result is None
    assert check.noise_c == pytest.approx(3.0, rel=0.4)


def test_a_reading_that_fails_begins_the_wait_anew() -> None:
    check = BathCheck(channel(), 0.0)
    for second in range(int(STEADY_S) - 10):
        check.feed(float(second), 0.2, TERMINALS_C)
    check.feed(STEADY_S - 10.0, None, None)
    for second in range(int(STEADY_S) - 9, 2 * int(STEADY_S) - 20):
        check.feed(float(second), 0.2, TERMINALS_C)
    assert check.result is None
    for second in range(2 * int(STEADY_S) - 20, 3 * int(STEADY_S)):
        check.feed(float(second), 0.2, TERMINALS_C)
    assert check.result is not None
