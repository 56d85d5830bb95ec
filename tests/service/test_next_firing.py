"""After a firing is closed the next climb is not missed."""

from __future__ import annotations

import asyncio
import json
from pathlib import Path

from supervisor.core.readings import Reading
from supervisor.core.schedule import Schedule, Step
from supervisor.core.schedule.written import schedule_toml
from supervisor.core.watch import WatchSettings
from supervisor.record.rows import Mode
from supervisor.record.store import Record
from supervisor.service.run import run
from supervisor.service.setup import Setup
from supervisor.service.standby import KEPT_S, Standby

PLAN = Schedule("short", (Step(600.0, 300.0, 600.0),))
SPEED = 3600.0


def temp_c(elapsed_s: float) -> float:
    """Two firings: up in two hours, held, cold after nine; the next begins after twelve."""
    at_s = elapsed_s if elapsed_s < 12 * 3600.0 else elapsed_s - 12 * 3600.0
    if at_s < 7200.0:
        return 20.0 + at_s / 7200.0 * 580.0
    if at_s < 8400.0:
        return 600.0
    return max(600.0 - (at_s - 8400.0) / 3600.0 * 100.0, 20.0)


class TwoFirings:
    channels = ("top",)

    def due_s(self, after_s: float | None) -> float | None:
        if after_s is None:
            return 0.0
        return after_s + 60.0 if after_s < 15 * 3600.0 else None

    def read(self, elapsed_s: float) -> Reading:
        return Reading(elapsed_s, {"top": temp_c(elapsed_s)})

    def close(self) -> None:
        pass


def test_a_standby_sees_the_climb_and_keeps_the_hour_before_it() -> None:
    standby = Standby(PLAN, ("top",), WatchSettings())
    for minute in range(300):
        assert not standby.sees_a_beginning(Reading(minute * 60.0, {"top": 20.0}))
    minute = 300
    while not standby.sees_a_beginning(
        Reading(minute * 60.0, {"top": 20.0 + (minute - 299) * 5.0})
    ):
        minute += 1
    assert minute < 310
    kept = standby.readings()
    assert kept[-1].elapsed_s - kept[0].elapsed_s == KEPT_S


async def test_the_next_firing_has_its_own_record_and_its_own_clock(tmp_path: Path) -> None:
    said: list[str] = []
    over = asyncio.Event()

    def say(line: str) -> None:
        said.append(line)
        if line.startswith("the readings are over"):
            over.set()

    setup = Setup(
        source=TwoFirings(),
        schedule=PLAN,
        schedule_toml=schedule_toml(PLAN),
        data_dir=tmp_path,
        mode=Mode.SIMULATION,
        speed=SPEED,
        interval_s=60.0,
        settings=WatchSettings(no_readings_s=1e6),
        say=say,
    )
    task = asyncio.create_task(run(setup))
    async with asyncio.timeout(60.0):
        await over.wait()
    task.cancel()
    await asyncio.gather(task, return_exceptions=True)
    with Record.open_to_read(tmp_path) as record:
        second, first = record.firings()
        assert not first.is_open
        first_extent, second_extent = record.extent(first.id), record.extent(second.id)
        assert first_extent is not None
        assert second_extent is not None
        assert first_extent.last_s < 9 * 3600.0
        assert second_extent.first_s == 0.0
        assert second_extent.last_s < 5 * 3600.0
        for firing in (first, second):
            lines = record.event_lines(firing.id)
            kinds = [json.loads(line)["kind"] for line in lines]
            assert kinds[0] == "step_begun"
        ids = {alert.id for alert in record.alerts(second.id)}
        assert not ids & {alert.id for alert in record.alerts(first.id)}
