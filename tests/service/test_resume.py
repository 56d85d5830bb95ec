"""What time it is in a firing that was left, by which clocks can be believed."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from supervisor.core.readings import Reading
from supervisor.record.rows import Firing, Mode, NewFiring
from supervisor.record.store import Record
from supervisor.service.clock import FiringClock, boot_id, boottime_s
from supervisor.service.resume import clock_for
from supervisor.service.setup import Setup
from supervisor.service.simulated_rig import SimulatedRig
from tests.service.firings import KILN, scenario

LAST_S = 5_000.0
STARTED = datetime(2026, 11, 25, 18, 0, 0, tzinfo=UTC)


def setup_for(record: Record, speed: float = 1.0) -> Setup:
    return Setup(
        source=SimulatedRig(scenario(), 1.0),
        schedule=scenario().schedule,
        schedule_toml="",
        data_dir=record.path.parent,
        speed=speed,
    )


def left(
    record: Record,
    *,
    boot: str | None,
    began_boottime_s: float | None = None,
    mode: Mode = Mode.LIVE,
    labelled: bool = True,
    speed: float = 1.0,
) -> Firing:
    """A firing whose last reading is at LAST_S."""
    firing = record.start_firing(
        NewFiring(
            kiln=KILN,
            channels=("top",),
            mode=mode,
            started_label=STARTED.isoformat(),
            boot_id=boot,
            boottime_start_s=began_boottime_s,
            settings={"speed": speed},
        )
    ).result(10.0)
    for elapsed_s in (0.0, 2_500.0, LAST_S):
        label = (STARTED + timedelta(seconds=elapsed_s)).isoformat()
        record.append(
            firing.id, Reading(elapsed_s, {"top": 20.0}, time=label if labelled else None)
        )
    record.flush().result(10.0)
    return firing


def at(clock: FiringClock) -> object:
    return pytest.approx(clock.elapsed_s(), abs=5.0)


@pytest.mark.parametrize("wall_days", [0, 1, -1, -10_000])
def test_on_the_same_boot_the_machines_clock_tells_whatever_the_wall_clock_shows(
    record: Record, wall_days: int
) -> None:
    firing = left(record, boot=boot_id(), began_boottime_s=boottime_s() - 6_000.0)
    now = STARTED + timedelta(days=wall_days)
    clock, _ = clock_for(setup_for(record), record, firing, wall=lambda: now)
    assert at(clock) == 6_000.0


def test_on_the_same_boot_a_simulated_firing_goes_on_at_its_speed(record: Record) -> None:
    firing = left(
        record,
        boot=boot_id(),
        began_boottime_s=boottime_s() - 100.0,
        mode=Mode.SIMULATION,
        speed=60.0,
    )
    clock, _ = clock_for(setup_for(record, speed=60.0), record, firing)
    assert pytest.approx(clock.elapsed_s(), abs=300.0) == 6_000.0
    assert datetime.fromisoformat(clock.label(LAST_S)) == STARTED + timedelta(seconds=LAST_S)


def test_after_a_reboot_a_good_wall_clock_tells_how_long_it_was_dark(record: Record) -> None:
    firing = left(record, boot="another boot", began_boottime_s=1.0)
    now = STARTED + timedelta(seconds=LAST_S + 1_800.0)
    clock, _ = clock_for(setup_for(record), record, firing, wall=lambda: now)
    assert at(clock) == LAST_S + 1_800.0


@pytest.mark.parametrize(
    "dark", [timedelta(days=-1), timedelta(seconds=-1), timedelta(0), timedelta(days=3)]
)
def test_after_a_reboot_a_wall_clock_that_cannot_be_right_is_not_believed(
    record: Record, dark: timedelta
) -> None:
    firing = left(record, boot="another boot", began_boottime_s=1.0)
    now = STARTED + timedelta(seconds=LAST_S) + dark
    clock, _ = clock_for(setup_for(record), record, firing, wall=lambda: now)
    assert at(clock) == LAST_S + 1.0


def test_a_wall_clock_in_another_zone_tells_the_same(record: Record) -> None:
    firing = left(record, boot=None)
    there = STARTED + timedelta(seconds=LAST_S + 600.0)
    now = there.astimezone(tz=None)
    clock, _ = clock_for(setup_for(record), record, firing, wall=lambda: now)
    assert at(clock) == LAST_S + 600.0


def test_without_labels_a_firing_goes_on_where_it_stopped(record: Record) -> None:
    firing = left(record, boot="another boot", labelled=False)
    clock, _ = clock_for(setup_for(record), record, firing)
    assert at(clock) == LAST_S + 1.0


def test_a_simulated_firing_does_not_live_on_while_the_machine_is_off(record: Record) -> None:
    firing = left(record, boot="another boot", mode=Mode.SIMULATION)
    now = STARTED + timedelta(seconds=LAST_S + 1_800.0)
    clock, _ = clock_for(setup_for(record), record, firing, wall=lambda: now)
    assert at(clock) == LAST_S + 1.0


def test_a_boot_clock_that_contradicts_the_readings_is_not_believed(record: Record) -> None:
    """A firing can't be earlier than its last reading."""
    firing = left(record, boot=boot_id(), began_boottime_s=boottime_s() - 10.0)
    now = STARTED + timedelta(seconds=LAST_S + 60.0)
    clock, _ = clock_for(setup_for(record), record, firing, wall=lambda: now)
    assert at(clock) == LAST_S + 60.0


def test_a_firing_without_a_reading_begins_at_once(record: Record) -> None:
    new = NewFiring(kiln="empty kiln", channels=("top",), boot_id="another boot")
    firing = record.start_firing(new).result(10.0)
    clock, _ = clock_for(setup_for(record), record, replace(firing, settings={"speed": 1.0}))
    assert at(clock) == 1.0
