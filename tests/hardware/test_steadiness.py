"""Noise and drift of a stretch of values."""

from __future__ import annotations

from random import Random

import pytest

from hardware.steadiness import Spell


def test_a_straight_line_drifts_and_has_no_noise() -> None:
    spell = Spell()
    for second in range(60):
        spell.add(float(second), 20.0 + 0.01 * second)
    assert spell.drift_c_per_min == pytest.approx(0.6)
    assert spell.noise_c == pytest.approx(0.0, abs=1e-9)
    assert spell.lasted_s == 59.0


def test_noise_is_one_standard_deviation_whatever_the_drift() -> None:
    dice = Random(5)
    spell = Spell(most=5000)
    for second in range(5000):
        spell.add(float(second), 0.05 * second + dice.gauss(0.0, 0.4))
    assert spell.noise_c == pytest.approx(0.4, rel=0.05)
    assert spell.drift_c_per_min == pytest.approx(3.0, rel=0.01)


def test_what_is_older_than_the_window_is_forgotten() -> None:
    spell = Spell(60.0)
    for second in range(200):
        spell.add(float(second), 1000.0 if second < 100 else 0.0)
    assert spell.mean_c == 0.0
    assert spell.lasted_s == 60.0
    assert len(spell) == 61


def test_a_few_values_say_nothing() -> None:
    spell = Spell()
    assert (spell.mean_c, spell.noise_c, spell.drift_c_per_min) == (None, None, None)
    for second in range(4):
        spell.add(float(second), 1.0)
    assert spell.noise_c is None
    assert spell.mean_c == 1.0
    spell.clear()
    assert spell.lasted_s == 0.0


def test_values_of_one_instant_have_no_slope() -> None:
    spell = Spell()
    for _ in range(9):
        spell.add(3.0, 1.0)
    assert spell.drift_c_per_min is None
