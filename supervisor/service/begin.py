"""Which firing the daemon works on: the one that goes on, or a new one."""

from __future__ import annotations

from dataclasses import dataclass

from supervisor.core.errors import InputError
from supervisor.core.schedule import Schedule, parse_schedule
from supervisor.core.watch import WatchSettings
from supervisor.record.rows import Firing, Mode, NewFiring
from supervisor.record.store import Record
from supervisor.service.clock import FiringClock
from supervisor.service.resume import clock_for
from supervisor.service.setup import Setup, watch_settings_of


@dataclass(frozen=True, slots=True)
class Begun:
    """A firing with all that it is watched by."""

    firing: Firing
    schedule: Schedule
    settings: WatchSettings
    clock: FiringClock
    resumes: bool


async def begin(setup: Setup, record: Record) -> Begun:
    """Resume the firing that goes on, where it is the same, or begin a new one.

    Raises InputError when a firing goes on with other channels than the rig has.
    """
    for firing in record.firings():
        if firing.is_open and firing.mode is setup.mode:
            if firing.kiln == setup.kiln and not setup.begins_anew and _is_same(setup, firing):
                return await _resume(setup, record, firing)
            # One daemon has this record to itself, so nobody else goes on with it.
            extent = record.extent(firing.id)
            await record.close_firing(firing.id, 0.0 if extent is None else extent.last_s)
            setup.say(f"closed: {firing.id}, {firing.name}")
    return await begin_new(setup, record, FiringClock(setup.starts_at_s, speed=setup.speed))


async def begin_new(setup: Setup, record: Record, clock: FiringClock) -> Begun:
    """A new firing whose elapsed second 0 is the clock's."""
    new = NewFiring(
        kiln=setup.kiln,
        channels=setup.source.channels,
        name=setup.schedule.name,
        schedule_toml=setup.schedule_toml,
        mode=setup.mode,
        units=setup.settings.units,
        started_label=clock.label(0.0),
        boot_id=clock.boot_id,
        boottime_start_s=clock.boottime_zero_s,
        settings=setup.kept_settings(),
    )
    firing = await record.start_firing(new)
    return Begun(firing, setup.schedule, setup.settings, clock, resumes=False)


def _is_same(setup: Setup, firing: Firing) -> bool:
    if firing.mode is Mode.LIVE:
        return True
    return firing.settings.get("identity") == dict(setup.identity)


async def _resume(setup: Setup, record: Record, firing: Firing) -> Begun:
    if firing.channels != setup.source.channels:
        raise InputError(
            f"firing {firing.id} is still open with the channels {', '.join(firing.channels)}, "
            f"but the rig has {', '.join(setup.source.channels)}: begin anew with --new"
        )
    schedule = setup.schedule
    if firing.schedule_toml is not None:
        schedule = parse_schedule(firing.schedule_toml, f"schedule of firing {firing.id}")
        if schedule != setup.schedule:
            setup.say(
                f"note: this firing keeps its own plan, “{schedule.name}”; to begin another with "
                f"“{setup.schedule.name}”, start with --new"
            )
    settings = watch_settings_of(firing.settings) or setup.settings
    if settings != setup.settings:
        setup.say("note: this firing keeps the tolerances that it began with")
    clock = clock_for(setup, record, firing)
    if firing.mode is Mode.LIVE:
        await record.note_boot(firing.id, clock.boot_id, clock.boottime_zero_s)
    return Begun(firing, schedule, settings, clock, resumes=True)
