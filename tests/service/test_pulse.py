"""Signs of life end when something that matters is stuck, and only then."""

from __future__ import annotations

import pytest

from supervisor.service.pulse import STUCK_S, Pulse


class Bench:
    """A pulse whose clock and record are in the test's hand."""

    def __init__(self, interval_s: float = 1.0) -> None:
        self.now_s = 5_000.0
        self.writes = True
        self.asked_for_s: list[float] = []
        self.pulse = Pulse(lambda: self.now_s, self._is_written, interval_s)

    def _is_written(self, longest_s: float) -> bool:
        self.asked_for_s.append(longest_s)
        return self.writes


def test_a_daemon_that_has_just_begun_is_given_time() -> None:
    bench = Bench()
    bench.now_s += STUCK_S
    assert bench.pulse.standstill() is None
    assert bench.asked_for_s == [STUCK_S]
    bench.now_s += 1.0
    assert bench.pulse.standstill() is not None


def test_each_of_the_three_alone_stops_the_signs_of_life() -> None:
    bench = Bench()
    for stuck in ("answered", "taken", "writer"):
        bench.now_s += STUCK_S + 1.0
        bench.writes = stuck != "writer"
        if stuck != "answered":
            bench.pulse.answered(with_reading=True)
        if stuck != "taken":
            bench.pulse.taken()
        word = {"answered": "thermocouples", "taken": "watch", "writer": "writer"}[stuck]
        assert word in str(bench.pulse.standstill())
        bench.writes = True
        bench.pulse.answered(with_reading=False)
        bench.pulse.taken()
        assert bench.pulse.standstill() is None


@pytest.mark.parametrize("interval_s", [1.0, 60.0, 600.0])
def test_a_slow_rhythm_is_no_standstill(interval_s: float) -> None:
    bench = Bench(interval_s)
    for _ in range(20):
        bench.now_s += interval_s
        assert bench.pulse.standstill() is None
        bench.pulse.answered(with_reading=True)
        bench.pulse.taken()


def test_when_the_readings_are_over_only_the_writer_must_live() -> None:
    bench = Bench()
    bench.pulse.over()
    bench.now_s += 1e6
    assert bench.pulse.standstill() is None
    bench.writes = False
    assert bench.pulse.standstill() is not None


def test_it_has_read_once_a_reading_came_and_for_good() -> None:
    pulse = Bench().pulse
    pulse.answered(with_reading=False)
    pulse.taken()
    assert not pulse.has_read
    pulse.answered(with_reading=True)
    pulse.answered(with_reading=False)
    assert pulse.has_read


def test_while_the_disk_refuses_nothing_else_ends_what_is_kept_in_memory() -> None:
    is_refused = True
    now_s = 0.0
    pulse = Pulse(lambda: now_s, lambda _longest_s: True, is_refused=lambda: is_refused)
    now_s = 1e5
    assert pulse.standstill() is None
    is_refused = False
    assert pulse.standstill() is not None
