"""The firing's clock: what the wall clock does to it, which is nothing but labels."""

from __future__ import annotations

import asyncio
import time
from datetime import datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from supervisor.service.clock import FiringClock, boot_id, boottime_s
from tests.service.clocks import BEGINNING, Machine


def clock_on(machine: Machine, start_s: float = 0.0, speed: float = 1.0) -> FiringClock:
    return FiringClock(start_s, speed=speed, boottime=machine.boottime, wall=machine.wall)


@pytest.mark.parametrize("days", [1, -1, 20_000, -10_000])
def test_a_step_of_the_wall_clock_changes_labels_only(days: int) -> None:
    machine = Machine()
    clock = clock_on(machine)
    machine.pass_time(3600.0)
    assert clock.elapsed_s() == 3600.0
    assert datetime.fromisoformat(clock.label(3600.0)) == BEGINNING + timedelta(hours=1)
    machine.set_wall(timedelta(days=days))
    assert clock.elapsed_s() == 3600.0
    assert clock.real_s() == 4600.0
    moved = BEGINNING + timedelta(days=days)
    assert datetime.fromisoformat(clock.label(3600.0)) == moved + timedelta(hours=1)
    machine.pass_time(60.0)
    assert clock.elapsed_s() == 3660.0
    assert datetime.fromisoformat(clock.label(3660.0)) == moved + timedelta(seconds=3660)


def test_a_wall_clock_that_is_nudged_moves_no_label() -> None:
    machine = Machine()
    clock = clock_on(machine)
    before = clock.label(100.0)
    machine.set_wall(timedelta(seconds=1.5))
    assert clock.label(100.0) == before


@settings(deadline=None)
@given(
    st.lists(
        st.tuples(st.floats(0.0, 3600.0), st.timedeltas(timedelta(days=-400), timedelta(days=400))),
        max_size=20,
    ),
    st.sampled_from([1.0, 60.0, 1800.0]),
)
def test_elapsed_time_never_goes_back_whatever_the_wall_clock_does(
    moves: list[tuple[float, timedelta]], speed: float
) -> None:
    machine = Machine()
    clock = clock_on(machine, speed=speed)
    last_s, passed_s = clock.elapsed_s(), 0.0
    for seconds, step in moves:
        machine.pass_time(seconds)
        machine.set_wall(step)
        passed_s += seconds
        datetime.fromisoformat(clock.label(clock.elapsed_s()))
        assert clock.elapsed_s() >= last_s
        last_s = clock.elapsed_s()
    assert last_s == pytest.approx(passed_s * speed, abs=0.01)


def test_a_speeded_clock_runs_so_many_times_faster_and_labels_as_if_it_did_not() -> None:
    machine = Machine()
    clock = clock_on(machine, speed=60.0)
    machine.pass_time(10.0)
    assert clock.elapsed_s() == 600.0
    assert clock.real_s() == 1010.0
    assert datetime.fromisoformat(clock.label(600.0)) == BEGINNING + timedelta(minutes=10)
    machine.set_wall(timedelta(days=1))
    assert datetime.fromisoformat(clock.label(600.0)) == BEGINNING + timedelta(minutes=10)


@pytest.mark.parametrize("speed", [1.0, 60.0])
def test_a_clock_that_begins_in_the_middle_knows_when_it_began(speed: float) -> None:
    machine = Machine()
    clock = clock_on(machine, start_s=1200.0, speed=speed)
    assert clock.elapsed_s() == 1200.0
    assert datetime.fromisoformat(clock.label(1200.0)) == BEGINNING
    assert (machine.up_s - clock.boottime_zero_s) * speed == pytest.approx(1200.0)


def test_a_clock_that_goes_on_keeps_the_labels_of_its_beginning() -> None:
    machine = Machine()
    began = BEGINNING - timedelta(days=2)
    clock = FiringClock(
        1200.0, speed=60.0, base=began, boottime=machine.boottime, wall=machine.wall
    )
    assert datetime.fromisoformat(clock.label(1200.0)) == began + timedelta(minutes=20)


async def test_waiting_for_a_time_that_has_passed_takes_no_time() -> None:
    machine = Machine()
    clock = clock_on(machine, start_s=50.0)
    async with asyncio.timeout(1.0):
        await clock.sleep_until(10.0)
        await clock.sleep_until(50.0)
    assert clock.elapsed_s() == 50.0


async def test_waiting_is_in_real_seconds() -> None:
    clock = FiringClock(speed=3600.0)
    begun_s = time.monotonic()
    await clock.sleep_until(180.0)
    assert time.monotonic() - begun_s >= 0.04
    assert clock.elapsed_s() >= 170.0


def test_the_machine_tells_its_boot_and_its_time_since() -> None:
    assert boot_id() == boot_id()
    first_s = boottime_s()
    assert boottime_s() >= first_s > 0.0
