"""The page's desk: the running firing in the page's own shapes.

The one place where the service meets the page. There is nothing here that acts on a kiln.
"""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from datetime import datetime, timedelta

from supervisor.core.alerts import Alert
from supervisor.core.alerts.sorts import RANK
from supervisor.core.errors import InputError
from supervisor.core.events import Severity
from supervisor.core.heatwork.offset import Offset
from supervisor.core.readings import Reading
from supervisor.core.reasons import Reason
from supervisor.core.units import Unit
from supervisor.core.watch.sentence import sentence
from supervisor.core.watch.wording import Words
from supervisor.service import shapes
from supervisor.service.clock import STEPPED_S
from supervisor.service.keeper import Keeper
from supervisor.service.logbook import Logbook
from supervisor.service.proposals import Proposals
from supervisor.service.status import log_state
from web import models as page
from web.chart import Course
from web.interface import (
    UnknownAlertError,
    UnknownChannelError,
    UnknownFiringError,
    UnknownLookError,
    UnknownNoteError,
)
from web.requests import LookRequest
from web.trace import Trace

_GAP_LOOKS = 5.0
_STALE_LOOKS = 10.0
_LEAST_STALE_S = 15.0
_NEVER_STALE_S = 1e9
_SPENT_S = 30 * 60.0
"""Information that sent a person to the kiln leaves the list after this long, firing time."""
_PHASE_ROWS = 400
"""Rows of the chart by which the phases are found: to the minute or two."""
_EVENTS_SHOWN = 400
"""The latest events that the chart is given; a firing has some dozens."""
_SAME_C = 0.05
"""Offsets nearer to each other than this are the same."""


class Desk:
    """Implements ``web.interface.KilnDesk`` over a ``Keeper``."""

    def __init__(
        self,
        keeper: Keeper,
        proposals: Proposals,
        *,
        kiln_kind: str,
        mode: page.Mode,
        interval_s: float,
        mqtt_state: Callable[[], str],
        on_written: Callable[[], None],
        logbook: Callable[[], Logbook],
        notify_failing: Callable[[], list[str]] = list,
    ) -> None:
        self._proposals = proposals
        self._kiln_kind = kiln_kind
        self._mode = mode
        self._mqtt_state = mqtt_state
        self._on_written = on_written
        self._logbook = logbook
        self._notify_failing = notify_failing
        self.room_warning: str | None = None
        """That the record's disk is filling, where somebody has found it so."""
        self.room_left_h: float | None = None
        """Hours of a firing that there is room for then."""
        self._speed = keeper.clock.speed
        self._stale_after_s = max(_STALE_LOOKS * interval_s / self._speed, _LEAST_STALE_S)
        self._gap_s = _GAP_LOOKS * max(interval_s, 1.0) + 55.0
        self._revision = 0
        self._news = asyncio.Event()
        self._chart_revision = 0
        self._take(keeper)

    def _take(self, keeper: Keeper) -> None:
        self._keeper = keeper
        self._trace = Trace(keeper.firing.channels, gap_s=self._gap_s)
        self._plan_is_placed = False
        self._zero: datetime | None = None

    def turn_to(self, keeper: Keeper) -> None:
        """Another firing has begun: show that one from now on."""
        self._take(keeper)
        self._proposals.want(keeper)
        self._chart_revision += 1
        self.changed()

    def seen(self, reading: Reading) -> None:
        """A reading that was recorded before this run."""
        self._trace.append(reading.elapsed_s, reading.temps_c)
        self._set_clock(reading)

    def changed(self) -> None:
        """Something is new: wake every page that waits."""
        self._revision += 1
        self._news.set()
        self._news = asyncio.Event()

    def read(self, reading: Reading) -> None:
        """A reading has come in."""
        self._trace.append(reading.elapsed_s, reading.temps_c)
        self._set_clock(reading)
        if not self._plan_is_placed and self._keeper.watch.begun_s is not None:
            self._plan_is_placed = True
            self._chart_revision += 1
        self.changed()

    def _set_clock(self, reading: Reading) -> None:
        """Let the chart's clock follow the labels, also when the wall clock is set right."""
        if reading.time is None:
            return
        zero = datetime.fromisoformat(reading.time) - timedelta(seconds=reading.elapsed_s)
        if self._zero is None or abs((zero - self._zero).total_seconds()) > STEPPED_S:
            self._zero = zero
            self._chart_revision += 1

    def end(self) -> None:
        """The source has no more readings: the last one does not grow stale."""
        self._stale_after_s = _NEVER_STALE_S
        self.changed()

    async def wait_for_change(self, seen: int) -> int:
        while self._revision <= seen:
            await self._news.wait()
        return self._revision

    async def acknowledge(self, alert_id: str, by: str | None) -> None:
        keeper = self._keeper
        try:
            pending = keeper.acknowledge(alert_id, by)
        except InputError as error:
            raise UnknownAlertError(str(error)).like(error) from None
        self.changed()
        self._on_written()
        # Known already is not yet on disk: the first word of it may be waiting still.
        await (keeper.record.flush() if pending is None else pending)
        await keeper.record.at_home()

    async def add_note(self, text: str, by: str | None, client_id: str | None) -> page.Note:
        keeper = self._keeper
        try:
            note = await keeper.add_note(text, by, client_id)
        except InputError:
            if self._keeper is keeper:
                raise
            # The log has begun meanwhile, and what only waited is no more.
            note = await self._keeper.add_note(text, by, client_id)
        self.changed()
        await keeper.record.at_home()
        return shapes.note_shape(note)

    async def withdraw_note(self, number: int, by: str | None) -> None:
        keeper = self._keeper
        try:
            await keeper.withdraw_note(number, by)
        except InputError as error:
            if self._keeper is keeper:
                raise UnknownNoteError(str(error)).like(error) from None
            # The log has begun meanwhile, and what only waited has given it its notes.
            await self.withdraw_note(number, by)
            return
        self.changed()
        await keeper.record.at_home()

    async def add_look(self, look: LookRequest) -> page.Look:
        keeper = self._keeper
        kept = await keeper.add_look(
            look.cone,
            look.clock,
            channel=look.channel,
            shelf=look.shelf,
            minutes_ago=look.minutes_ago,
            by=look.by,
            client_id=None if look.client_id is None else str(look.client_id),
        )
        self._proposals.want(keeper)
        self.changed()
        await keeper.record.at_home()
        return shapes.look_shape(kept)

    async def withdraw_look(self, number: int) -> None:
        keeper = self._keeper
        try:
            await keeper.withdraw_look(number)
        except InputError as error:
            raise UnknownLookError(str(error)).like(error) from None
        self._proposals.want(keeper)
        self.changed()
        await keeper.record.at_home()

    async def accept_offset(self, channel: str, offset_c: float) -> None:
        keeper = self._keeper
        _must_have(keeper, channel)
        offset = self._proposals.offsets.get(channel)
        if offset is None:
            raise InputError(
                f'there is nothing to accept: no look at a cone tells of channel "{channel}" yet'
            ).because(Reason.NOTHING_TO_ACCEPT, channel=channel)
        if abs(offset_c - offset.mean_c) >= _SAME_C:
            raise InputError(
                f'what the cones say of channel "{channel}" has changed meanwhile: look at the new '
                "figure first"
            ).because(Reason.OFFSET_CHANGED, channel=channel)
        in_force = keeper.correction(channel)
        if not offset.is_worth_accepting(in_force):
            if in_force is None:
                raise InputError(
                    f'there is nothing to correct yet: what the cones say of channel "{channel}" '
                    "is no farther from 0 than it is unsure"
                ).because(Reason.NOTHING_TO_CORRECT, channel=channel)
            await keeper.record.flush()
            await keeper.record.at_home()
            return
        await self._change(keeper, channel, offset)

    async def withdraw_offset(self, channel: str) -> None:
        keeper = self._keeper
        _must_have(keeper, channel)
        if keeper.correction(channel) is None:
            await keeper.record.flush()
            await keeper.record.at_home()
            return
        await self._change(keeper, channel, None)

    async def _change(self, keeper: Keeper, channel: str, offset: Offset | None) -> None:
        try:
            await keeper.change_offset(channel, offset, on_applied=self._is_corrected)
        finally:
            self._is_corrected()
        await keeper.record.at_home()

    def _is_corrected(self) -> None:
        self.changed()
        self._on_written()

    async def begin_log(self, after_id: str, by: str | None) -> None:
        await self._logbook().begin_by_hand(after_id, by)

    async def end_log(self, firing_id: str, by: str | None) -> None:
        if not await self._logbook().end_by_hand(firing_id, by):
            raise UnknownFiringError(
                "another firing's log is being kept by now: look again"
            ).because(Reason.OTHER_LOG)

    def chart(self, max_points: int) -> page.Chart:
        elapsed_s, channels = self._trace.rows(max_points)
        watch = self._keeper.watch
        return page.Chart(
            elapsed_s=elapsed_s,
            channels=channels,
            plan=shapes.plan_line(watch.timeline.points(), watch.begun_s or 0.0),
            start_time=None if self._zero is None else self._zero.isoformat(timespec="seconds"),
            chart_revision=self._chart_revision,
            firing_id=self._keeper.firing.id,
            revision=self._revision,
        )

    async def course(self) -> Course:
        keeper, watch = self._keeper, self._keeper.watch
        status = watch.status()
        ahead = shapes.ahead_shape(watch.ahead(), status.elapsed_s)
        # What has just happened may not be on disk yet; it is there when the page asks again.
        lines = await asyncio.to_thread(keeper.record.event_lines, keeper.firing.id)
        elapsed_s, channels = self._trace.rows(_PHASE_ROWS)
        lead = next((one.name for one in status.channels if one.leads), keeper.firing.channels[0])
        events = [shapes.event_shape(line) for line in lines[-_EVENTS_SHOWN:]]
        return Course(
            firing_id=keeper.firing.id,
            ahead=ahead,
            phases=shapes.phase_shapes(keeper.schedule, elapsed_s, channels[lead], ahead),
            events=sorted(events, key=lambda event: event.elapsed_s),
            revision=self._revision,
        )

    def points_after(self, after_s: float, max_points: int) -> page.Points:
        elapsed_s, channels = self._trace.rows(max_points, after_s)
        return page.Points(
            elapsed_s=elapsed_s,
            channels=channels,
            firing_id=self._keeper.firing.id,
            revision=self._revision,
        )

    def snapshot(self) -> page.Snapshot:
        keeper = self._keeper
        status = keeper.watch.status()
        age_s = None
        if keeper.last_value_real_s is not None:
            age_s = round(max(keeper.clock.real_s() - keeper.last_value_real_s, 0.0), 1)
        temps = [channel.temp_c for channel in status.channels if channel.temp_c is not None]
        chosen = self._logbook().plan_to_come.choice
        return page.Snapshot(
            kiln=page.Kiln(name=keeper.firing.kiln, kind=self._kiln_kind),
            mode=self._mode,
            speed=self._speed,
            units=keeper.settings.units,
            firing=page.Firing(
                id=keeper.firing.id,
                name=keeper.firing.name,
                started_at=keeper.firing.started_label,
                state=shapes.firing_state(status, is_open=keeper.is_open),
            ),
            recording=keeper.is_recording,
            log=page.Log(
                state=page.LogState(log_state(keeper)),
                next_plan=self._logbook().next_plan,
                chosen_plan=None if chosen is None else chosen.schedule.name,
            ),
            blind=shapes.blind_shape(keeper.blind),
            elapsed_s=status.elapsed_s,
            time=status.time,
            reading_age_s=age_s,
            stale_after_s=self._stale_after_s,
            stale=age_s is not None and age_s > self._stale_after_s,
            temp_c=None if status.temp_c is None else round(status.temp_c, 1),
            rate_c_per_h=None if status.rate_c_per_h is None else round(status.rate_c_per_h, 1),
            sentence_c=sentence(status, Words(Unit.C), self._clock_time),
            sentence_f=sentence(status, Words(Unit.F), self._clock_time),
            channels=[shapes.channel_shape(channel) for channel in status.channels],
            spread_c=round(max(temps) - min(temps), 1) if len(temps) > 1 else None,
            plan=shapes.plan_shape(status),
            cones=[shapes.cone_shape(cone) for cone in status.cones],
            correction=shapes.correction_shape(status.correction),
            witness=[
                shapes.look_shape(kept, *self._proposals.doubts.get(kept.id, (None, None)))
                for kept in reversed(keeper.looks[-page.LOOKS_SHOWN :])
            ],
            offsets=[
                shapes.offset_shape(
                    name, self._proposals.offsets.get(name), keeper.correction(name)
                )
                for name in keeper.firing.channels
            ],
            alerts=[shapes.alert_shape(alert) for alert in self._open_alerts(status.elapsed_s)],
            earlier=[shapes.alert_shape(alert) for alert in self._earlier_alerts()],
            notes=[shapes.note_shape(note) for note in reversed(keeper.notes[-page.NOTES_SHOWN :])],
            mqtt=page.MqttState(self._mqtt_state()),
            notify_failing=self._notify_failing(),
            room_warning=self.room_warning,
            room_left_h=self.room_left_h,
            record=page.RecordState.FAILING if keeper.record.trouble else page.RecordState.OK,
            chart_revision=self._chart_revision,
            revision=self._revision,
        )

    def _open_alerts(self, elapsed_s: float) -> list[Alert]:
        shown = [
            alert
            for alert in self._keeper.book.open_alerts
            if alert.severity is not Severity.INFO
            or (alert.acknowledged_at_s is None and elapsed_s - alert.raised_at_s <= _SPENT_S)
        ]
        return sorted(
            shown,
            key=lambda a: (
                a.acknowledged_at_s is not None,
                -RANK[a.severity],
                -a.raised_at_s,
            ),
        )

    def _earlier_alerts(self) -> list[Alert]:
        """Troubles that are over and news that was read, the latest first."""
        over = [alert for alert in self._keeper.book.alerts if not alert.is_open]
        over.sort(key=_over_at_s)
        return over[: -page.EARLIER_SHOWN - 1 : -1]

    def _clock_time(self, elapsed_s: float) -> str | None:
        if self._zero is None:
            return None
        return (self._zero + timedelta(seconds=elapsed_s)).strftime("%H:%M")


def _over_at_s(alert: Alert) -> float:
    ends = (alert.cleared_at_s, alert.acknowledged_at_s)
    return max(at_s for at_s in (*ends, alert.raised_at_s) if at_s is not None)


def _must_have(keeper: Keeper, channel: str) -> None:
    try:
        keeper.must_have(channel)
    except InputError as error:
        raise UnknownChannelError(str(error)).like(error) from None
