"""The daemon's tasks, and who is told of what: page, broker, terminal.

Owns every task in one group; one that dies takes all down, loudly.
"""

from __future__ import annotations

import asyncio
import contextlib
import socket
import ssl
from collections.abc import AsyncIterator, Callable, Coroutine, Sequence
from dataclasses import replace
from functools import partial

from supervisor.core.errors import RecordError, SpyholeError
from supervisor.core.events import Event
from supervisor.core.phases import cautions_for
from supervisor.core.readings import Reading
from supervisor.core.schedule import Timeline
from supervisor.core.watch.sentence import sentence
from supervisor.core.watch.wording import Words
from supervisor.messaging.destinations import NOTIFY, Destination, broker
from supervisor.messaging.mqtt import LinkState, MqttLink
from supervisor.messaging.notify import Address, Courier
from supervisor.messaging.outbox import Outbox
from supervisor.record.rows import Mode
from supervisor.record.store import Record
from supervisor.service.begin import Begun, begin
from supervisor.service.blind import Blind
from supervisor.service.clock import FiringClock, boottime_s, label_now
from supervisor.service.clock_trust import is_label_believed
from supervisor.service.desk import Desk
from supervisor.service.failed_looks import FailedLooks
from supervisor.service.keeper import Keeper
from supervisor.service.logbook import Logbook, is_armed
from supervisor.service.page_access import in_words, page_access
from supervisor.service.posting import tell_leftovers
from supervisor.service.proposals import Proposals
from supervisor.service.pulse import Pulse
from supervisor.service.reader import readings
from supervisor.service.service_manager import Notifier
from supervisor.service.setup import Setup
from supervisor.service.teller import Teller, link_to
from supervisor.service.terminal import event_line, warn
from supervisor.service.views import Views
from supervisor.service.wall import WallDoubt, minute_of_label
from supervisor.service.years import Years
from web.app import create_app
from web.serve import serve

_HICCUP_S = 10.0
"""Real seconds by which a busy machine may be late."""
_TICK_EVERY_S = 5.0
"""Real seconds between two looks at what is due, for when no readings come."""
_PAST_S = 60.0
"""Real seconds after which a reading tells nothing of how things stand."""


class Daemon:
    """Watches firing after firing of one kiln until it is cancelled."""

    def __init__(
        self,
        setup: Setup,
        record: Record,
        listener: socket.socket,
        notifier: Notifier,
        unfit: Sequence[str] = (),
        tls: ssl.SSLContext | None = None,
    ) -> None:
        """``unfit`` are the addresses that are known to take no messages as they are; with
        ``tls`` the page is served by HTTPS."""
        self._setup = setup
        self._record = record
        self._listener = listener
        self._notifier = notifier
        self._tls = tls
        self._is_ready = False
        self._loop = asyncio.get_running_loop()
        self._failure: asyncio.Future[None] = self._loop.create_future()
        self._link: MqttLink | None = None
        self._outbox: Outbox | None = None
        self._couriers: tuple[Courier, ...] = ()
        self._failing: list[str] = list(unfit)
        self._wall = WallDoubt()
        self._page_url: str | None = None
        self._background: set[asyncio.Task[None]] = set()
        self._teller: Teller | None = None

    async def run(self) -> None:
        """Watch until cancelled. Raises RecordError when the record can't keep what it must."""
        setup, record = self._setup, self._record
        begun = await begin(setup, record)
        clock = begun.clock
        label = partial(label_now, clock)
        self._outbox = Outbox(record, label)
        if setup.broker is not None:
            self._link = link_to(setup.broker, setup, self._outbox, self._on_link)
            self._teller = Teller(self._link, lambda: self._keeper, self._failing)
        self._couriers = tuple(self._courier(address, label) for address in setup.notify)
        dropped = await record.forget_messages(NOTIFY, [to.name for to in self._destinations()])
        if dropped:
            setup.say(f"note: {dropped} messages to addresses that are configured no more are gone")
        await tell_leftovers(
            record,
            self._destinations(),
            label(),
            is_time_believed=is_label_believed(clock),
        )
        self._keeper = self._keeper_of(begun, is_armed=is_armed(setup, begun))
        proposals = Proposals(record, lambda: self._desk.changed())
        self._desk = Desk(
            self._keeper,
            proposals,
            kiln_kind=setup.kiln_kind,
            mode=setup.page_mode,
            interval_s=setup.interval_s,
            notify_failing=lambda: list(self._failing),
            mqtt_state=lambda: "off" if self._link is None else self._link.state.value,
            on_written=self._tell_status,
            logbook=lambda: self._logbook,
        )
        self._announce(begun)
        after_s = await self._resume(clock) if begun.resumes else None
        self._logbook = Logbook(
            setup,
            record,
            self._keeper,
            clock,
            on_turn=self._turn,
            on_change=self._log_changed,
            begun=begun,
        )
        proposals.want(self._keeper)
        self._pulse = Pulse(
            boottime_s,
            record.is_written,
            setup.interval_s / setup.speed,
            is_refused=lambda: record.trouble is not None,
        )
        if self._teller is not None:
            # Before the link runs: what an earlier run has left at the broker is replaced at once.
            self._teller.look()
        rules, firing_id = setup.page, lambda: self._keeper.firing.id
        self._access = page_access(setup.data_dir, record, rules, firing_id, warn)
        views = Views(setup, record, self._logbook, Years(record, self._desk, lambda: self._keeper))
        app = create_app(
            self._desk,
            access=self._access,
            allowed_hosts=(*setup.host_names, socket.gethostname()),
            behind_proxy=rules.behind_proxy,
            routers=views.routers,
        )
        async with asyncio.TaskGroup() as group:
            group.create_task(self._fail_loudly())
            group.create_task(proposals.run())
            group.create_task(views.run())
            if self._link is not None and self._teller is not None:
                group.create_task(self._link.run())
                group.create_task(self._teller.run())
            for courier in self._couriers:
                group.create_task(courier.run())
            group.create_task(self._tick())
            group.create_task(
                serve(
                    app,
                    listener=self._listener,
                    on_ready=self._page_is_ready,
                    tls=self._tls,
                    behind_proxy=rules.behind_proxy,
                )
            )
            stream = readings(
                setup.source,
                clock,
                after_s,
                pulse=self._pulse,
                on_mistake=FailedLooks(warn).failed,
            )
            group.create_task(self._read(stream, begun))
            if self._notifier.is_heard:
                group.create_task(self._give_signs_of_life())

    def on_trouble(self) -> None:
        """The disk refuses, or takes again: messages go out from memory. From another thread."""
        self._wake()
        with contextlib.suppress(RuntimeError):  # the loop may be closing
            self._loop.call_soon_threadsafe(self._tell_status)

    def _log_changed(self) -> None:
        self._desk.changed()
        self._tell_status()

    def _keeper_of(self, begun: Begun, *, is_armed: bool = False) -> Keeper:
        return Keeper(
            self._record,
            begun.firing,
            begun.schedule,
            begun.settings,
            begun.clock,
            destinations=self._destinations(),
            rules=replace(
                self._setup.alerts,
                # What is late by the machine's hiccup is not late.
                late_s=max(self._setup.alerts.late_s, _HICCUP_S * self._setup.speed),
            ),
            minute_of=self._minute_of,
            on_news=self._on_news,
            on_messages=self._wake,
            on_failure=self._on_failure,
            shifts_c=begun.shifts_c,
            is_armed=is_armed,
        )

    def _destinations(self) -> list[Destination]:
        """Whom messages go to: the broker, and people."""
        found = [] if self._link is None else [broker(self._link.topics.alerts)]
        return [*found, *(address.destination for address in self._setup.notify)]

    def _courier(self, address: Address, label: Callable[[], str]) -> Courier:
        def on_change(why: str | None) -> None:
            if why is None:
                self._failing.remove(address.label)
                warn(f"messages to {address.label} are taken again")
            else:
                self._failing.append(address.label)
                warn(f"a message to {address.label} was not taken ({why}); it is tried again")
            self._desk.changed()
            self._tell_status()

        return Courier(
            address,
            self._record.messages_to(address.destination.name),
            label,
            page_url=lambda: self._page_url,
            on_change=on_change,
            is_quiet=lambda: self._setup.alerts.is_quiet(self._minute_of(label())),
            is_unfit=address.label in self._failing,
        )

    def _minute_of(self, label: str) -> int | None:
        """The hour that may silence a message; a simulation at its own speed has its own."""
        return minute_of_label(label) if self._setup.speed != 1.0 else self._wall.minute()

    async def _tick(self) -> None:
        """See to what is due of alerts, whether readings come or not."""
        while True:
            await asyncio.sleep(_TICK_EVERY_S)
            if self._keeper.tick():
                self._desk.changed()
                self._tell_status()

    async def _resume(self, clock: FiringClock) -> float | None:
        count = await self._keeper.resume(self._desk.seen)
        last = self._keeper.last_reading
        after_s = None if last is None else last.elapsed_s
        blind_s = clock.elapsed_s() - (after_s or 0.0)
        self._setup.say(f"resumed: {count:,} readings, blind for {blind_s:,.0f} s")
        return after_s

    async def _read(self, stream: AsyncIterator[Reading], begun: Begun) -> None:
        """Every reading to the firing that it belongs to."""
        before = self._keeper.last_reading
        async for reading in stream:
            self._is_alive()
            if before is not None:
                lasted_s = reading.elapsed_s - before.elapsed_s
                to_time = begun.clock.label(reading.elapsed_s)
                self._was_blind(
                    Blind(
                        reading.elapsed_s,
                        before.time,
                        to_time,
                        lasted_s if begun.blind_is_known else None,
                    )
                )
                before = None
            await self._logbook.take(reading)
            self._follow_the_clock(begun)
        self._pulse.over()
        self._logbook.close()
        self._desk.end()
        self._setup.say("the readings are over; the page stays until you stop it (Ctrl-C)")

    def _was_blind(self, blind: Blind) -> None:
        """Tell page, broker, terminal and record of a time in which nobody watched."""
        keeper = self._keeper
        if not blind.is_worth_a_word(keeper.clock.speed):
            return
        keeper.was_blind(blind)
        self._setup.say(blind.sentence())
        self._desk.changed()
        self._tell_status()
        self._in_background(self._note_down(keeper, blind))

    async def _note_down(self, keeper: Keeper, blind: Blind) -> None:
        lasted = "unknown" if blind.lasted_s is None else f"{blind.lasted_s:.0f}"
        try:
            await keeper.add_note(
                blind.sentence(), "spyhole", client_id=f"blind-{blind.to_s:.3f}-{lasted}"
            )
        except SpyholeError as error:
            warn(f"that spyhole was blind could not be noted down: {error}")
        self._desk.changed()

    def _follow_the_clock(self, begun: Begun) -> None:
        """A clock that has been set meanwhile tells when the firing began and how long was dark."""
        keeper = self._keeper
        if keeper.firing.mode is not Mode.LIVE or not keeper.is_open:
            return
        if keeper.blind is not None and not keeper.blind_is_settled:
            mended = keeper.blind.mended(keeper.clock.label(keeper.blind.to_s))
            if mended is not None:
                self._was_blind(mended)
        goes_on = begun.resumes and keeper.firing.id == begun.firing.id
        if not goes_on:
            keeper.mend_start(keeper.clock.label(0.0))

    def _in_background(self, work: Coroutine[None, None, None]) -> None:
        task = self._loop.create_task(work)
        self._background.add(task)
        task.add_done_callback(self._background.discard)

    def _turn(self, begun: Begun, is_armed: bool) -> Keeper:
        """Another firing has begun: its log, or only the wait for it."""
        self._keeper.let_go()
        self._keeper = self._keeper_of(begun, is_armed=is_armed)
        self._desk.turn_to(self._keeper)
        self._announce(begun)
        return self._keeper

    def _is_alive(self) -> None:
        """A reading is being taken in; with the first one of the source's own the daemon is ready.

        Until then the service manager waits, and tries again if there is none.
        """
        self._pulse.taken()
        if self._pulse.has_read and not self._is_ready:
            self._is_ready = True
            self._notifier.ready()

    async def _give_signs_of_life(self) -> None:
        """Tell the service manager, as long as nothing is stuck, that the kiln is watched."""
        was_stuck = None
        while True:
            stuck = self._pulse.standstill()
            if stuck is None:
                self._notifier.alive(self._in_short())
            else:
                self._notifier.troubled(stuck)
                if stuck != was_stuck:
                    warn(f"{stuck} Signs of life to the service manager end until that is over.")
            was_stuck = stuck
            await asyncio.sleep(self._notifier.every_s)

    def _in_short(self) -> str:
        keeper, trouble = self._keeper, self._record.trouble
        if keeper.last_value_real_s is None:
            return f"{keeper.firing.kiln}: no temperature has been read yet."
        words = Words(keeper.settings.units)
        short = f"{keeper.firing.kiln}: {sentence(keeper.watch.status(), words, lambda _s: None)}"
        if self._failing:
            short = f"{short} No alert reaches {', '.join(self._failing)}."
        return short if trouble is None else f"{trouble.message}. {short}"

    def _announce(self, begun: Begun) -> None:
        setup, firing = self._setup, begun.firing
        setup.say(f"record: {self._record.path}")
        if self._keeper.is_armed:
            setup.say(f"armed: the log begins when the kiln climbs, with the plan {firing.name}")
        else:
            setup.say(f"firing: {firing.id}{' (goes on)' if begun.resumes else ''}, {firing.name}")
        words = Words(begun.settings.units)
        timeline = Timeline(begun.schedule)
        for caution in cautions_for(begun.schedule, timeline, words, begun.settings.limit_c):
            setup.say(f"caution: {caution}")
        for name, correction in begun.settings.corrections.items():
            sign = "+" if correction.offset_c > 0.0 else "−"
            by = words.difference(abs(correction.offset_c))
            setup.say(f"cones: beside {name} corrected by {sign}{by}, from your witness cones")
        if setup.broker is not None:
            setup.say(f"broker: mqtt://{setup.broker.host}:{setup.broker.port}/")
        elif not setup.notify:
            setup.say("broker: none; page and record work, and warnings are on the page alone")
        for address in setup.notify:
            setup.say(f"notify: {address.label}")
        has_quiet_hours = setup.alerts.quiet_from_min is not None
        if has_quiet_hours and self._minute_of(begun.clock.label(0.0)) is None:
            setup.say("note: quiet hours count once this machine's clock can be believed")

    def _page_is_ready(self, port: int) -> None:
        anywhere = self._setup.host in ("0.0.0.0", "::", "")  # noqa: S104 - compared, not bound
        host = "127.0.0.1" if anywhere else self._setup.host
        by = "http" if self._tls is None else "https"
        if ":" in host:
            host = f"[{host}]"
        if anywhere:
            named = (*self._setup.host_names, f"{socket.gethostname()}.local")
            self._page_url = f"{by}://{named[0]}:{port}/"
            self._setup.say(f"from a phone: {by}://{socket.gethostname()}.local:{port}/")
        elif self._setup.host not in ("localhost", "::1") and not host.startswith("127."):
            self._page_url = f"{by}://{host}:{port}/"
        is_seen_by_others = self._page_url is not None or self._setup.page.behind_proxy
        note = in_words(self._access, is_seen_by_others=is_seen_by_others)
        if note is not None:
            self._setup.say(note)
        self._setup.say(f"page: {by}://{host}:{port}/")

    def _on_news(self, events: list[Event]) -> None:
        reading = self._keeper.last_reading
        assert reading is not None  # noqa: S101 - there is news of it
        self._desk.read(reading)
        for event in events:
            self._setup.say(event_line(event))
        clock = self._keeper.clock
        if clock.elapsed_s() - reading.elapsed_s > _PAST_S * clock.speed:
            # What a log that has just begun takes in of the hour before it is no news by now.
            return
        if self._teller is not None:
            self._teller.read(reading, has_events=bool(events))

    def _tell_status(self) -> None:
        """The status may have changed."""
        if self._teller is not None:
            self._teller.want()

    def _on_link(self, _state: LinkState) -> None:
        self._desk.changed()

    def _wake(self) -> None:
        """There may be messages to deliver. Called from the record's thread."""
        for waits in (self._outbox, *self._couriers):
            if waits is not None:
                with contextlib.suppress(RuntimeError):  # the loop may be closing
                    self._loop.call_soon_threadsafe(waits.wake)

    def _on_failure(self, error: BaseException) -> None:
        """The record could not keep what it was given. Called from its thread."""
        with contextlib.suppress(RuntimeError):  # the loop may be closing
            self._loop.call_soon_threadsafe(self._note_failure, error)

    def _note_failure(self, error: BaseException) -> None:
        if not self._failure.done():
            self._failure.set_exception(
                RecordError(f"the record could not keep what it was given: {error}")
            )

    async def _fail_loudly(self) -> None:
        await self._failure
