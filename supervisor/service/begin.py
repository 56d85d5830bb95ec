"""Which firing the daemon works on: the one that goes on, or a new one."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from supervisor.core.heatwork import Correction
from supervisor.core.schedule import Schedule, parse_schedule
from supervisor.core.watch import WatchSettings
from supervisor.record.rows import CONFIGURED_OFFSETS, Firing, Mode, NewFiring
from supervisor.record.store import Record
from supervisor.service.clock import FiringClock, label_now
from supervisor.service.plans.next_plan import NextPlan
from supervisor.service.resume import clock_for
from supervisor.service.setup import Setup, watch_settings_of
from supervisor.service.standby import Unrested
from supervisor.service.terminal import warn


@dataclass(frozen=True, slots=True)
class Begun:
    """A firing with all that it is watched by.

    ``shifts_c`` has, by channel, what is to be added to what the source gives, for readings to
    go on as they began where the configured offset has been changed meanwhile.
    """

    firing: Firing
    schedule: Schedule
    settings: WatchSettings
    clock: FiringClock
    resumes: bool
    shifts_c: Mapping[str, float] = field(default_factory=dict)
    blind_is_known: bool = True
    """Whether the clock tells how long a firing that goes on was left alone."""
    follows_on: bool = False
    """Whether it takes the place of a log that ended only because the rig has other channels."""
    unrested: Unrested | None = None
    """The log before it, where that was ended in a climb which may still go on."""
    next_plan: NextPlan = field(default_factory=lambda: NextPlan(None))
    """What the log after it begins with."""


async def begin(setup: Setup, record: Record) -> Begun:
    """Resume the firing that goes on, where it is the same, or begin a new one.

    What takes the place of a log that ended only because the rig has other channels has the plan
    of ``setup``; another new one has what was chosen to be fired next.

    A log has the channels that it began with: with others in the rig it is closed, with a note
    that says why, and the next one is begun.
    """
    follows_on, waited = False, None
    next_plan = NextPlan.open(setup, record)
    for firing in record.firings():
        if firing.is_open and firing.mode is setup.mode:
            extent = record.extent(firing.id)
            if firing.mode is Mode.LIVE and extent is None:
                # It only waited: what is configured now counts. What was noted goes along.
                if firing.kiln == setup.kiln:
                    waited = firing.id
                else:
                    await record.end_waiting(firing.id)
                continue
            last_s = 0.0 if extent is None else extent.last_s
            if firing.kiln == setup.kiln and not setup.begins_anew and _is_same(setup, firing):
                if firing.channels == setup.source.channels:
                    if waited is not None:
                        await record.end_waiting(waited)
                    begun = await _resume(setup, record, firing)
                    return replace(begun, next_plan=next_plan)
                await _note_other_channels(setup, record, firing, last_s)
                follows_on = True
            # One daemon has this record to itself, so nobody else goes on with it.
            await record.close_firing(firing.id, last_s)
            setup.say(f"closed: {firing.id}, {firing.name}")
    unrested = _unrested(setup, record)
    clock = FiringClock(setup.starts_at_s, speed=setup.speed)
    with_plan = setup if follows_on else next_plan.on(setup)
    begun = await begin_new(with_plan, record, clock, waited=waited, waited_until=label_now(clock))
    return replace(begun, follows_on=follows_on, unrested=unrested, next_plan=next_plan)


async def begin_new(
    setup: Setup,
    record: Record,
    clock: FiringClock,
    *,
    waited: str | None = None,
    waited_until: str | None = None,
) -> Begun:
    """A new firing whose elapsed second 0 is the clock's, in place of one that only ``waited``.

    The offsets that are in force for its kiln count from its beginning and are kept with it.
    """
    settings = replace(setup.settings, corrections=corrections_for(setup, record))
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
        settings=replace(setup, settings=settings).kept_settings(),
    )
    firing = await record.start_firing(new, waited=waited, waited_until=waited_until)
    return Begun(firing, setup.schedule, settings, clock, resumes=False)


def corrections_for(setup: Setup, record: Record) -> dict[str, Correction]:
    """By channel of the rig, what the potter has accepted of this kiln's witness cones.

    What the cones of a simulation showed says nothing of a real kiln. Each is for readings with
    the offsets in them that are configured now.
    """
    found = {}
    for name, accepted in record.offsets(setup.kiln, setup.mode).items():
        if name in setup.source.channels:
            now = accepted.now(setup.configured_offsets_c.get(name, 0.0), later=1)
            found[name] = Correction(now.mean_c, now.sigma_c)
    return found


def _unrested(setup: Setup, record: Record) -> Unrested | None:
    """The kiln's last log, where somebody ended it and the kiln was not seen to rest since."""
    firing_id = record.awaiting_rest(setup.kiln) if setup.mode is Mode.LIVE else None
    if firing_id is None:
        return None
    extent = record.extent(firing_id)
    last_s = 0.0 if extent is None else extent.last_s
    last = next(record.readings(firing_id, from_s=last_s), None)
    return Unrested(firing_id, {} if last is None else dict(last.temps_c))


def _is_same(setup: Setup, firing: Firing) -> bool:
    if firing.mode is Mode.LIVE:
        return True
    return firing.settings.get("identity") == dict(setup.identity)


async def _note_other_channels(setup: Setup, record: Record, firing: Firing, last_s: float) -> None:
    """Say on the terminal and in the log why it ends here, though the kiln may be firing."""
    text = (
        f"This log ends here: it has the thermocouples {', '.join(firing.channels)}, and the "
        f"configuration now has {', '.join(setup.source.channels)}. What follows is in a log of "
        f"its own, whose heat-work counts from its own beginning"
    )
    warn(f"firing {firing.id}: {text}")
    clock, _ = clock_for(setup, record, firing)
    now = label_now(clock)
    await record.add_note(firing.id, last_s, f"{text}.", by="spyhole", time=now)


async def _resume(setup: Setup, record: Record, firing: Firing) -> Begun:
    schedule = setup.schedule
    if firing.schedule_toml is not None:
        schedule = parse_schedule(firing.schedule_toml, f"schedule of firing {firing.id}")
        if schedule != setup.schedule:
            setup.say(
                f"note: this firing keeps its own plan, “{schedule.name}”; to begin another with "
                f"“{setup.schedule.name}”, start with --new"
            )
    settings = watch_settings_of(firing.settings) or setup.settings
    if replace(settings, corrections=setup.settings.corrections) != setup.settings:
        setup.say("note: this firing keeps the tolerances that it began with")
    shifts_c = _shifts_c(setup, firing)
    if shifts_c:
        setup.say(
            f"note: this firing keeps the offset of {', '.join(shifts_c)} that it began with; the "
            "one of the configuration counts from the next firing on"
        )
    clock, blind_is_known = clock_for(setup, record, firing)
    if firing.mode is Mode.LIVE:
        await record.note_boot(firing.id, clock.boot_id, clock.boottime_zero_s)
    return Begun(
        firing,
        schedule,
        settings,
        clock,
        resumes=True,
        shifts_c=shifts_c,
        blind_is_known=blind_is_known,
    )


def _shifts_c(setup: Setup, firing: Firing) -> dict[str, float]:
    """By channel, what its firing began with less what is configured now, where that differs."""
    if CONFIGURED_OFFSETS not in firing.settings:
        return {}
    shifts_c = {
        name: firing.configured_offsets_c.get(name, 0.0) - setup.configured_offsets_c.get(name, 0.0)
        for name in firing.channels
    }
    return {name: shift_c for name, shift_c in shifts_c.items() if shift_c}
