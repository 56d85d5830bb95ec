"""The ideal detector against the published run lengths of the CUSUM."""

from __future__ import annotations

import math
import statistics
from random import Random

import pytest

from supervisor.fleet.ideal import OFFSET_C, IdealDetector, threshold_for

SHIFT = 1.0
RUNS = 400


def run_length(dice: Random, threshold: float, *, is_faulty: bool, shift: float = SHIFT) -> int:
    """Readings until the threshold, where the courses are ``shift`` apart and noise is 1."""
    detector = IdealDetector((1.0,), threshold, within_c=0.0)
    for count in range(1, 100_000):
        value = dice.gauss(shift if is_faulty else 0.0, 1.0)
        if detector.add(((0, value, value - shift),)):
            return count
    return 100_000


@pytest.mark.parametrize(("h", "arl0", "arl1"), [(4.0, 168.0, 8.38), (5.0, 465.0, 10.4)])
def test_its_run_lengths_are_those_of_pages_sum(h: float, arl0: float, arl1: float) -> None:
    """One-sided CUSUM with k = 1/2, in standard deviations: average run lengths of 336 and 930
    two-sided at h = 4 and 5, 8.38 and 10.4 after a shift by one (D. C. Montgomery, Introduction
    to Statistical Quality Control, table of CUSUM run lengths, from memory); one side alone
    takes twice as long. With courses one standard deviation apart, nats are those units."""
    dice = Random(11)
    healthy = statistics.fmean(run_length(dice, h, is_faulty=False) for _ in range(RUNS))
    faulty = statistics.fmean(run_length(dice, h, is_faulty=True) for _ in range(RUNS))
    assert healthy == pytest.approx(2.0 * arl0, rel=0.15)
    assert faulty == pytest.approx(arl1, rel=0.08)


@pytest.mark.parametrize("h", [2.0, 4.0])
@pytest.mark.parametrize("shift", [0.3, 1.0, 3.0])
def test_false_alarms_are_no_more_often_than_lorden_allows(h: float, shift: float) -> None:
    """At least exp(h) readings between two (Lorden 1971)."""
    dice = Random(5)
    between = statistics.fmean(
        run_length(dice, h, is_faulty=False, shift=shift) for _ in range(RUNS // 2)
    )
    assert between > math.exp(h)


@pytest.mark.parametrize("off_c", [-OFFSET_C, 0.0, OFFSET_C])
def test_it_says_nothing_before_the_two_courses_can_be_told_apart(off_c: float) -> None:
    """Each is known to within 3 °C: until they have parted by 6 °C a reading may be of both."""
    dice = Random(3)
    detector = IdealDetector((0.5,), 14.0)
    for n in range(601):
        # The kiln goes as without the fault, off its told course; the other falls away slowly.
        value_c = off_c + dice.gauss(0.0, 0.5)
        assert not detector.add(((0, value_c, value_c + 0.01 * n),))
        assert detector.sum == 0.0
    for n in range(601, 900):
        # And then as with the fault, as far from that course as from the other before.
        value_c = off_c - 0.01 * n + dice.gauss(0.0, 0.5)
        if detector.add(((0, value_c, value_c + 0.01 * n),)):
            assert n < 680
            return
    pytest.fail("the fault was not found")


@pytest.mark.parametrize("apart_c", [6.3, 7.0, 9.0])
def test_whatever_a_course_does_within_its_3_degrees_is_no_alarm(apart_c: float) -> None:
    """At least exp(h) readings between two false ones, where the kiln without the fault is as
    near to the faulty course as it may be (Huber 1965)."""
    dice, threshold = Random(7), 3.0
    lengths = []
    for _ in range(RUNS):
        detector = IdealDetector((1.0,), threshold)
        for count in range(1, 100_000):
            value_c = dice.gauss(OFFSET_C, 1.0)
            if detector.add(((0, value_c, value_c - apart_c),)):
                lengths.append(count)
                break
    assert len(lengths) == RUNS
    assert statistics.fmean(lengths) > math.exp(threshold)


def test_a_spike_that_fits_neither_course_says_nothing() -> None:
    detector = IdealDetector((0.5,), 14.0)
    for from_faulty_c in (59.0, 51.0, 69.0):
        detector.add(((0, 60.0, from_faulty_c),))
        detector.add(((0, -60.0, -from_faulty_c),))
    assert detector.sum == 0.0


def test_two_channels_are_sooner_than_one() -> None:
    def needed(channels: int) -> int:
        dice = Random(8)
        detector = IdealDetector((1.0,) * channels, 10.0, within_c=0.0)
        count = 0
        while not detector.is_raised:
            values = [dice.gauss(0.5, 1.0) for _ in range(channels)]
            detector.add(tuple((n, value, value - 0.5) for n, value in enumerate(values)))
            count += 1
        return count

    assert needed(3) < needed(1)


def test_the_threshold_is_the_logarithm_of_the_looks_between_two_false_alarms() -> None:
    assert threshold_for(1000.0 * 3600.0, 1.0) == pytest.approx(math.log(3.6e6))
    assert threshold_for(1000.0 * 3600.0, 30.0) == pytest.approx(math.log(1.2e5))
