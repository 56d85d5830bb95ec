"""The daemon: source, keeper, messages and page in one group of tasks, ended together.

Owns the signals. Every task has this group for owner; one that dies takes all down, loudly.
"""

from __future__ import annotations

import asyncio
import contextlib
import signal
import socket
import sys
from collections.abc import AsyncIterator, Callable
from dataclasses import dataclass, field
from pathlib import Path

from supervisor.core.errors import InputError, SpyholeError
from supervisor.core.events import Event
from supervisor.core.readings import Reading, Source
from supervisor.core.schedule import Schedule, parse_schedule
from supervisor.core.watch import WatchSettings
from supervisor.messaging.mqtt import BrokerSettings, LinkState, MqttLink
from supervisor.messaging.outbox import Outbox
from supervisor.messaging.topics import topics_of
from supervisor.record.rows import Firing, Mode, NewFiring
from supervisor.record.store import Record
from supervisor.record.writer import Trouble
from supervisor.service.alone import alone_in
from supervisor.service.clock import FiringClock
from supervisor.service.desk import Desk
from supervisor.service.keeper import Keeper
from supervisor.service.reader import readings
from supervisor.service.resume import clock_for
from supervisor.service.status import reading_json, status_json
from web.app import create_app
from web.models import Mode as PageMode
from web.serve import bind, serve

_STATUS_EVERY_S = 30.0
_READINGS_EVERY_S = 0.5
"""Real seconds between two readings sent to the broker; a speeded-up firing has too many."""


@dataclass(frozen=True, slots=True)
class Setup:
    """What to watch, with what, and whom to tell."""

    source: Source
    schedule: Schedule
    schedule_toml: str
    data_dir: Path
    kiln: str = "kiln"
    kiln_kind: str = "electric"
    settings: WatchSettings = field(default_factory=WatchSettings)
    mode: Mode = Mode.LIVE
    page_mode: PageMode = PageMode.LIVE
    speed: float = 1.0
    interval_s: float = 1.0
    broker: BrokerSettings | None = None
    host: str = "127.0.0.1"
    port: int = 0
    host_names: tuple[str, ...] = ()
    begins_anew: bool = False
    say: Callable[[str], None] = print


async def run(setup: Setup) -> None:
    """Watch until SIGTERM or SIGINT; the record is closed when this returns.

    Raises a SpyholeError, in one sentence, when the record, the port or the configuration
    does not allow it.
    """
    loop = asyncio.get_running_loop()
    task = asyncio.current_task()
    assert task is not None  # noqa: S101 - we run in it
    told_to_stop = False

    def stop() -> None:
        nonlocal told_to_stop
        if not told_to_stop:
            told_to_stop = True
            task.cancel()

    for number in (signal.SIGTERM, signal.SIGINT):
        loop.add_signal_handler(number, stop)
    service: _Service | None = None

    def on_trouble(trouble: Trouble | None) -> None:
        _say_trouble(trouble)
        if service is not None:
            service.on_trouble()

    try:
        if setup.broker is not None:
            # What can't be used for messages is said before anything is written.
            topics_of(setup.kiln)
            setup.broker.tls_context()
        # Before anything is written: a second daemon must not touch the record of the first.
        with (
            bind(setup.host, setup.port) as listener,
            alone_in(setup.data_dir),
            Record.open(setup.data_dir, on_trouble=on_trouble) as record,
        ):
            service = _Service(setup, record, listener)
            await service.run()
    except asyncio.CancelledError:
        if not told_to_stop:
            raise
        task.uncancel()
    except BaseExceptionGroup as group:
        raise _one_of(group) from None
    finally:
        for number in (signal.SIGTERM, signal.SIGINT):
            loop.remove_signal_handler(number)
        setup.source.close()


class _Service:
    def __init__(self, setup: Setup, record: Record, listener: socket.socket) -> None:
        self._setup = setup
        self._listener = listener
        self._record = record
        self._loop = asyncio.get_running_loop()
        self._link: MqttLink | None = None
        self._outbox: Outbox | None = None
        self._sent_status: tuple[object, ...] = ()
        self._status_real_s = float("-inf")
        self._reading_real_s = float("-inf")

    async def run(self) -> None:
        setup, record = self._setup, self._record
        firing, resumes = await self._firing()
        clock = clock_for(setup, record, firing) if resumes else self._clock
        if firing.mode is Mode.LIVE:
            await record.note_boot(firing.id, clock.boot_id, clock.boottime_zero_s)
        outbox = self._outbox = Outbox(record, lambda: clock.label(clock.elapsed_s()))
        if setup.broker is not None:
            self._link = MqttLink(setup.broker, setup.kiln, outbox, on_change=self._on_link)
        schedule = setup.schedule
        if resumes and firing.schedule_toml is not None:
            schedule = parse_schedule(firing.schedule_toml, f"schedule of firing {firing.id}")
        self._keeper = Keeper(
            record,
            firing,
            schedule,
            setup.settings,
            clock,
            alerts_topic=None if self._link is None else self._link.topics.alerts,
            on_news=self._on_news,
            on_messages=self._wake,
        )
        self._desk = Desk(
            self._keeper,
            kiln_kind=setup.kiln_kind,
            mode=setup.page_mode,
            interval_s=setup.interval_s,
            mqtt_state=lambda: "off" if self._link is None else self._link.state.value,
        )
        self._announce(firing, resumes)
        after_s = None
        if resumes:
            count = self._keeper.resume(self._desk.seen)
            last = self._keeper.last_reading
            after_s = None if last is None else last.elapsed_s
            blind_s = clock.elapsed_s() - (after_s or 0.0)
            setup.say(f"resumed: {count:,} readings, blind for {blind_s:,.0f} s")
        app = create_app(self._desk, allowed_hosts=(*setup.host_names, socket.gethostname()))
        try:
            async with asyncio.TaskGroup() as group:
                if self._link is not None:
                    group.create_task(self._link.run())
                group.create_task(serve(app, listener=self._listener, on_ready=self._page_is_ready))
                group.create_task(self._read(readings(setup.source, clock, after_s)))
        finally:
            self._desk.close()

    async def _firing(self) -> tuple[Firing, bool]:
        """The firing to go on with, or a new one; and whether it is resumed."""
        setup, record = self._setup, self._record
        going_on = record.open_firing(setup.kiln, setup.mode)
        if going_on is not None and setup.begins_anew:
            extent = record.extent(going_on.id)
            await record.close_firing(going_on.id, 0.0 if extent is None else extent.last_s)
            going_on = None
        if going_on is not None:
            if going_on.channels != setup.source.channels:
                raise InputError(
                    f"firing {going_on.id} is still open with the channels "
                    f"{', '.join(going_on.channels)}, but the rig has "
                    f"{', '.join(setup.source.channels)}: begin anew with --new"
                )
            return going_on, True
        self._clock = FiringClock(speed=setup.speed)
        new = NewFiring(
            kiln=setup.kiln,
            channels=setup.source.channels,
            name=setup.schedule.name,
            schedule_toml=setup.schedule_toml,
            mode=setup.mode,
            units=setup.settings.units,
            started_label=self._clock.label(0.0),
            boot_id=self._clock.boot_id,
            boottime_start_s=self._clock.boottime_zero_s,
            settings={"speed": setup.speed},
        )
        return await record.start_firing(new), False

    def _announce(self, firing: Firing, resumes: bool) -> None:
        setup = self._setup
        setup.say(f"record: {self._record.path}")
        setup.say(f"firing: {firing.id}{' (goes on)' if resumes else ''}, {firing.name}")
        if setup.broker is not None:
            setup.say(f"broker: mqtt://{setup.broker.host}:{setup.broker.port}/")

    def _page_is_ready(self, port: int) -> None:
        anywhere = self._setup.host in ("0.0.0.0", "::", "")  # noqa: S104 - compared, not bound
        host = "127.0.0.1" if anywhere else self._setup.host
        if ":" in host:
            host = f"[{host}]"
        if anywhere:
            self._setup.say(f"from a phone: http://{socket.gethostname()}.local:{port}/")
        self._setup.say(f"page: http://{host}:{port}/")

    async def _read(self, stream: AsyncIterator[Reading]) -> None:
        async for reading in stream:
            self._keeper.accept(reading)
        self._keeper.close()
        self._desk.end()
        self._setup.say("the readings are over; the page stays until you stop it (Ctrl-C)")

    def _on_news(self, events: list[Event]) -> None:
        keeper, reading = self._keeper, self._keeper.last_reading
        assert reading is not None  # noqa: S101 - there is news of it
        self._desk.read(reading)
        for event in events:
            self._setup.say(event_line(event))
        if self._link is None:
            return
        now_s = keeper.clock.real_s()
        if now_s - self._reading_real_s >= _READINGS_EVERY_S:
            self._reading_real_s = now_s
            self._link.send_reading(reading_json(reading))
        status = keeper.watch.status()
        plan = status.plan
        coarse = (
            plan.activity,
            plan.step,
            tuple(
                (alert.id, alert.severity, alert.acknowledged_at_s is None)
                for alert in keeper.book.open_alerts
            ),
            tuple(cone.down_at_s for cone in status.cones),
        )
        if coarse != self._sent_status or now_s - self._status_real_s >= _STATUS_EVERY_S:
            self._sent_status, self._status_real_s = coarse, now_s
            self._link.set_status(status_json(keeper))

    def _on_link(self, state: LinkState) -> None:
        link = self._link
        if link is not None and state is LinkState.AWAY and link.why is not None:
            print(f"spyhole: {link.why}; it is tried again", file=sys.stderr, flush=True)
        self._desk.changed()

    def on_trouble(self) -> None:
        """The disk refuses, or takes again: messages go out from memory. From another thread."""
        self._wake()

    def _wake(self) -> None:
        """There may be messages to deliver. Called from the record's thread."""
        outbox = self._outbox
        if outbox is not None:
            with contextlib.suppress(RuntimeError):  # the loop may be closing
                self._loop.call_soon_threadsafe(outbox.wake)


def event_line(event: Event) -> str:
    """An event as a line for the terminal and the journal."""
    minutes = round(event.elapsed_s / 60.0)
    mark = {"info": " ", "warning": "!", "critical": "!!"}[event.severity.value]
    state = "" if event.state.value == "raised" else " (over)"
    return (
        f"{minutes // 60}:{minutes % 60:02d} {mark:<2} {event.kind.value}{state}: {event.message}"
    )


def _say_trouble(trouble: Trouble | None) -> None:
    if trouble is None:
        print("spyhole: the record is written again", file=sys.stderr, flush=True)
    else:
        print(f"spyhole: {trouble.message}", file=sys.stderr, flush=True)


def _one_of(group: BaseExceptionGroup[BaseException]) -> BaseException:
    """What to tell of several tasks' errors: one that a person can mend, else all of it."""
    mendable = group.subgroup(SpyholeError)
    if mendable is None:
        return group
    error: BaseException = mendable
    while isinstance(error, BaseExceptionGroup):
        error = error.exceptions[0]
    return error
