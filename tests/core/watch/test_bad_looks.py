"""What looks without a value prove, one after the other."""

from __future__ import annotations

import pytest

from supervisor.core.readings import FaultCause
from supervisor.core.watch.bad_looks import BLANK_LOOKS, FAULT_LOOKS, BadLooks


def proven_s(cause: FaultCause | None, every_s: float, *, was_seen: bool = True) -> float:
    """How long after a last good look it is proven that the channel is at fault."""
    bad, looks = BadLooks(), BLANK_LOOKS if cause is None else FAULT_LOOKS
    for count in range(1, 1000):
        at_s = count * every_s
        if bad.look(at_s, every_s, cause, looks, every_s, was_seen=was_seen) is not None:
            return at_s
    raise AssertionError("never proven")


@pytest.mark.parametrize("every_s", [1.0, 5.0, 10.0, 30.0, 60.0])
@pytest.mark.parametrize("cause", [None, FaultCause.OPEN])
def test_a_broken_probe_is_told_within_the_minute_or_at_the_second_look(
    cause: FaultCause | None, every_s: float
) -> None:
    assert proven_s(cause, every_s) <= max(60.0, 2.0 * every_s)


def test_what_the_hardware_names_is_told_before_a_mere_blank() -> None:
    assert proven_s(FaultCause.OPEN, 1.0) < proven_s(None, 1.0)


def test_one_bad_look_is_a_glitch() -> None:
    bad = BadLooks()
    assert bad.look(10.0, 10.0, FaultCause.OPEN, FAULT_LOOKS, 10.0, was_seen=True) is None
    bad.count = 0
    assert bad.look(30.0, 10.0, FaultCause.OPEN, FAULT_LOOKS, 10.0, was_seen=True) is None


def test_a_dangerous_voltage_among_other_causes_gives_the_stretch_its_name() -> None:
    bad = BadLooks()
    causes = [FaultCause.OPEN, FaultCause.VOLTAGE, FaultCause.OPEN]
    names = [
        bad.look(10.0 * at, 10.0, cause, FAULT_LOOKS, 10.0, was_seen=True)
        for at, cause in enumerate(causes)
    ]
    assert names[-1] is FaultCause.VOLTAGE


def test_another_cause_has_to_last_but_a_voltage_counts_at_once() -> None:
    bad = BadLooks()
    assert not bad.renames(0.0, FaultCause.OPEN, FaultCause.RANGE)
    assert not bad.renames(20.0, FaultCause.OPEN, FaultCause.RANGE)
    assert bad.renames(30.0, FaultCause.OPEN, FaultCause.RANGE)
    assert bad.renames(30.0, FaultCause.RANGE, FaultCause.VOLTAGE)


def test_causes_in_turns_give_no_new_name() -> None:
    bad = BadLooks()
    for at in range(100):
        bad.agree()
        assert not bad.renames(float(at), FaultCause.OPEN, FaultCause.RANGE)


@pytest.mark.parametrize("every_s", [15.0, 30.0])
def test_a_logger_that_loses_a_value_now_and_then_loses_several_in_a_row(every_s: float) -> None:
    """One of fifty, each by itself: two in a row come in 2,500 looks, three in 125,000."""
    bad, looked = BadLooks(), [n % 50 == 10 for n in range(1000)]
    for n, is_lost in enumerate(looked):
        if is_lost:
            at_s = n * every_s
            assert bad.look(at_s, every_s, None, BLANK_LOOKS, every_s, was_seen=True) is None
        elif bad.count:
            bad.ends(was_at_fault=False)
    proven = [
        bad.look(n * every_s, every_s, None, BLANK_LOOKS, every_s, was_seen=True)
        for n in range(1000, 1005)
    ]
    assert proven[:3] == [None, None, None]
    assert proven[3] is FaultCause.OPEN


def test_what_the_hardware_names_and_what_stood_for_a_fault_is_no_lost_value() -> None:
    bad = BadLooks()
    for n in range(300):
        bad.look(30.0 * n, 30.0, FaultCause.OPEN, FAULT_LOOKS, 30.0, was_seen=True)
        bad.ends(was_at_fault=False)
        bad.look(30.0 * n, 30.0, None, BLANK_LOOKS, 30.0, was_seen=True)
        bad.ends(was_at_fault=True)
    assert bad.look(9000.0, 30.0, None, BLANK_LOOKS, 30.0, was_seen=True) is None
    assert bad.look(9030.0, 30.0, None, BLANK_LOOKS, 30.0, was_seen=True) is FaultCause.OPEN
