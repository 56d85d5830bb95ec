"""The reference functions against NIST's own, and against figures printed in its tables.

Sources: NIST Monograph 175 (1993) through ``thermocouple_its90``, which parsed the files of NIST
Standard Reference Database 60 by machine; the printed figures (mV, terminals at 0 °C) are from
memory.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from thermocouple_its90 import TYPES

from supervisor.core.its90 import (
    LETTERS,
    emf_mv,
    range_c,
    read_as_c,
    slope_mv_per_c,
    temp_c,
)

PRINTED = [
    ("B", 1000.0, 4.834),
    ("E", 500.0, 37.005),
    ("J", 500.0, 27.393),
    ("K", 100.0, 4.096),
    ("K", 1000.0, 41.276),
    ("N", 1000.0, 36.256),
    ("R", 1000.0, 10.506),
    ("S", 1000.0, 9.587),
    ("T", 100.0, 4.279),
]


@pytest.mark.parametrize(("letter", "at_c", "mv"), PRINTED)
def test_a_printed_figure_is_met_to_its_last_digit(letter: str, at_c: float, mv: float) -> None:
    assert emf_mv(letter, at_c) == pytest.approx(mv, abs=0.00051)


@pytest.mark.parametrize("letter", LETTERS)
def test_every_degree_agrees_with_the_reference(letter: str) -> None:
    reference = TYPES[letter]
    low_c, high_c = range_c(letter)
    assert (low_c, high_c) == reference.range
    for step in range(int(high_c - low_c) + 1):
        at_c = low_c + step
        assert emf_mv(letter, at_c) == pytest.approx(reference.emf(at_c), abs=1e-9)
        assert slope_mv_per_c(letter, at_c) == pytest.approx(reference.seebeck(at_c), abs=1e-9)


@given(letter=st.sampled_from(LETTERS), part=st.floats(0.0, 1.0))
def test_there_and_back_is_the_same_temperature(letter: str, part: float) -> None:
    low_c, high_c = range_c(letter)
    low_c = max(low_c, 50.0 if letter == "B" else -200.0)
    at_c = low_c + part * (high_c - low_c)
    assert temp_c(letter, emf_mv(letter, at_c)) == pytest.approx(at_c, abs=1e-3)


@pytest.mark.parametrize("letter", LETTERS)
def test_a_voltage_that_the_type_does_not_give_has_no_temperature(letter: str) -> None:
    assert temp_c(letter, 100.0) is None
    assert temp_c(letter, -20.0) is None


def test_type_b_has_no_temperature_where_it_has_two() -> None:
    """Its function is below zero from 0 to 42 °C (NIST Monograph 175)."""
    assert emf_mv("B", 21.0) < 0.0
    assert temp_c("B", 0.0) is None


@pytest.mark.parametrize(
    ("letter", "set_to", "hot_c", "terminals_c"),
    [("S", "K", 0.0, 20.0), ("K", "N", 100.0, 20.0), ("N", "K", 800.0, 30.0), ("R", "S", 900, 25)],
)
def test_a_wrong_type_reads_as_the_reference_says(
    letter: str, set_to: str, hot_c: float, terminals_c: float
) -> None:
    measured_mv = TYPES[letter].emf(hot_c, reference=terminals_c)
    expected_c = TYPES[set_to].temperature(measured_mv, reference=terminals_c)
    assert read_as_c(letter, set_to, hot_c, terminals_c) == pytest.approx(expected_c, abs=1e-4)


def test_swapped_leads_read_down_as_far_as_the_kiln_goes_up() -> None:
    measured_mv = -TYPES["K"].emf(60.0, reference=20.0)
    expected_c = TYPES["K"].temperature(measured_mv, reference=20.0)
    assert read_as_c("K", "K", 60.0, 20.0, swapped=True) == pytest.approx(expected_c, abs=1e-4)
    assert expected_c == pytest.approx(-21.7, abs=0.5)


def test_a_probe_as_warm_as_its_terminals_reads_right_whatever_the_type() -> None:
    """Why a wrong type can't be told in a cold kiln."""
    for letter in LETTERS:
        assert read_as_c(letter, "K", 20.0, 20.0) == pytest.approx(20.0, abs=1e-4)
