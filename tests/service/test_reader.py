"""The reader: a source that hangs or fails costs readings, never the event loop."""

from __future__ import annotations

import asyncio
import subprocess
import sys
import threading
from collections.abc import AsyncIterator, Callable

import pytest

from supervisor.core.errors import RigError
from supervisor.core.readings import FaultCause, Reading
from supervisor.service.failed_looks import FailedLooks
from supervisor.service.pulse import Pulse
from supervisor.service.reader import readings
from tests.service.clocks import TestClock

CHANNELS = ("top", "bottom")
PATIENCE_S = 0.05


class Rig:
    """A source that does what it is told at each look; by default it reads 20 °C."""

    channels = CHANNELS

    def __init__(self, *looks: Callable[[float], Reading], ends_after_s: float = 1e9) -> None:
        self._looks = list(looks)
        self._ends_after_s = ends_after_s
        self.threads: set[int] = set()

    def due_s(self, after_s: float | None) -> float | None:
        due_s = 0.0 if after_s is None else after_s + 1.0
        return due_s if due_s <= self._ends_after_s else None

    def read(self, elapsed_s: float) -> Reading:
        self.threads.add(threading.get_ident())
        look = self._looks.pop(0) if self._looks else well
        return look(elapsed_s)

    def close(self) -> None:
        """Nothing is held."""


def well(elapsed_s: float) -> Reading:
    return Reading(elapsed_s, dict.fromkeys(CHANNELS, 20.0))


def unreachable(_elapsed_s: float) -> Reading:
    raise RigError("the bus is gone")


def wrong(_elapsed_s: float) -> Reading:
    raise ZeroDivisionError("no such thing")


def cut_short(_elapsed_s: float) -> Reading:
    raise IndexError


async def take(stream: AsyncIterator[Reading], number: int) -> list[Reading]:
    found: list[Reading] = []
    async with asyncio.timeout(20.0):
        async for reading in stream:
            found.append(reading)
            if len(found) == number:
                break
    await stream.aclose()  # type: ignore[attr-defined]
    return found


async def test_readings_come_when_they_are_due_until_there_are_no_more() -> None:
    rig = Rig(ends_after_s=4.0)
    found = await take(readings(rig, TestClock(), None), 100)
    assert [reading.elapsed_s for reading in found] == [0.0, 1.0, 2.0, 3.0, 4.0]
    assert all(reading.temps_c == {"top": 20.0, "bottom": 20.0} for reading in found)
    assert threading.get_ident() not in rig.threads
    assert len(rig.threads) == 1


async def test_reading_goes_on_after_what_is_known() -> None:
    found = await take(readings(Rig(), TestClock(), 41.5), 2)
    assert [reading.elapsed_s for reading in found] == [42.5, 43.5]


async def test_a_look_that_comes_late_is_labelled_with_the_time_it_is() -> None:
    found = await take(readings(Rig(), TestClock(elapsed_s=100.0), 10.0), 2)
    assert [reading.elapsed_s for reading in found] == [100.0, 101.0]


async def test_a_source_that_hangs_gives_readings_with_no_values_and_never_stops_the_loop() -> None:
    let_go = threading.Event()

    def hang(elapsed_s: float) -> Reading:
        let_go.wait(30.0)
        return well(elapsed_s)

    beats = 0

    async def beat() -> None:
        nonlocal beats
        while True:
            beats += 1
            await asyncio.sleep(0.001)

    heart = asyncio.create_task(beat())
    clock = TestClock()
    stream = readings(Rig(well, hang), clock, None, patience_s=PATIENCE_S)
    try:
        found = []
        async with asyncio.timeout(20.0):
            for _ in range(5):
                found.append(await anext(stream))
                before = beats
            assert [reading.temps_c for reading in found[1:]] == [dict.fromkeys(CHANNELS)] * 4
            assert found[0].faults == {}
            assert found[1].faults == dict.fromkeys(CHANNELS, FaultCause.BUS)
            assert beats >= before > 5, "the event loop lived on"
            times_s = [reading.elapsed_s for reading in found]
            assert times_s == sorted(set(times_s))
            let_go.set()
            while (after := await anext(stream)).temps_c["top"] is None:
                """The thread that hung needs a moment to come back."""
        assert after.temps_c == {"top": 20.0, "bottom": 20.0}
        assert after.elapsed_s > times_s[-1], "what the hanging look found is not given late"
    finally:
        let_go.set()
        heart.cancel()
        await stream.aclose()  # type: ignore[attr-defined]


async def test_hardware_that_cannot_be_reached_is_a_fault_of_every_channel_and_comes_back() -> None:
    found = await take(readings(Rig(well, unreachable, unreachable), TestClock(), None), 4)
    assert [reading.faults for reading in found] == [
        {},
        dict.fromkeys(CHANNELS, FaultCause.BUS),
        dict.fromkeys(CHANNELS, FaultCause.BUS),
        {},
    ]
    assert [reading.temps_c["top"] for reading in found] == [20.0, None, None, 20.0]


async def test_a_mistake_in_a_program_costs_the_look_and_is_told_and_the_reader_goes_on() -> None:
    told: list[str] = []
    rig = Rig(well, *[wrong] * 12, cut_short, well)
    stream = readings(rig, TestClock(), None, on_mistake=FailedLooks(told.append).failed)
    found = await take(stream, 15)
    assert [reading.temps_c["top"] for reading in found] == [20.0, *[None] * 13, 20.0]
    assert found[1].faults == dict.fromkeys(CHANNELS, FaultCause.BUS)
    first, *rest = told
    assert "(ZeroDivisionError: no such thing)" in first
    assert "the kiln is watched on" in first
    place = next(line for line in rest if "in wrong" in line)
    assert "test_reader.py" in place, "the journal shows where it happened"
    heads = [line for line in told if line.startswith("a look at")]
    assert len(heads) == 3, "each mistake once, and the tenth time"
    assert heads[1].startswith("a look at the thermocouples has failed 10 times by now")
    assert "(IndexError)" in heads[2]
    assert sum(line.startswith("Traceback") for line in told) == 2


async def test_a_reader_that_is_told_to_stop_while_the_source_hangs_stops() -> None:
    let_go = threading.Event()

    def hang(elapsed_s: float) -> Reading:
        let_go.wait(30.0)
        return well(elapsed_s)

    async def read_on() -> None:
        async for _ in readings(Rig(hang), TestClock(), None):
            """Take it."""

    task = asyncio.create_task(read_on())
    await asyncio.sleep(0.02)
    task.cancel()
    async with asyncio.timeout(2.0):
        with pytest.raises(asyncio.CancelledError):
            await task
    let_go.set()


def test_a_source_that_hangs_for_ever_does_not_keep_the_process_from_ending() -> None:
    program = """
import asyncio, threading
from tests.service.clocks import TestClock
from tests.service.test_reader import Rig
from supervisor.service.reader import readings

async def main():
    rig = Rig(lambda _: threading.Event().wait())
    async for reading in readings(rig, TestClock(), None, patience_s=0.05):
        print(reading.faults["top"].value, flush=True)
        return

asyncio.run(main())
"""
    ended = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, timeout=30, check=False
    )
    assert (ended.returncode, ended.stdout, ended.stderr) == (0, "bus\n", "")


async def test_the_pulse_hears_of_answers_and_not_of_a_look_that_hangs() -> None:
    let_go = threading.Event()
    now_s = 0.0
    pulse = Pulse(lambda: now_s, lambda _longest_s: True)

    def hangs(elapsed_s: float) -> Reading:
        let_go.wait(20.0)
        return well(elapsed_s)

    rig = Rig(unreachable, hangs)
    stream = readings(rig, TestClock(), None, pulse=pulse, patience_s=PATIENCE_S)
    async with asyncio.timeout(20.0):
        await anext(stream)
        had_read = pulse.has_read
        assert not had_read, "an error is an answer, but no reading"
        now_s = 1_000.0
        for _ in range(3):
            await anext(stream)
            pulse.taken()
        assert "thermocouples" in str(pulse.standstill())
        let_go.set()
        while pulse.standstill() is not None:
            await anext(stream)
    assert pulse.has_read
    await stream.aclose()  # type: ignore[attr-defined]
