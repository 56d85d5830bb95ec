"""The page's desk: the running firing in the page's own shapes.

The one place where the service meets the page. There is nothing here that acts on a kiln.
"""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from datetime import datetime, timedelta

from supervisor.core.alerts import Alert
from supervisor.core.errors import InputError
from supervisor.core.events import Severity
from supervisor.core.readings import Reading
from supervisor.core.units import Unit
from supervisor.core.watch import Activity, ChannelStatus, WatchStatus
from supervisor.core.watch.detectors.sensors import WHAT_TO_CHECK
from supervisor.core.watch.sentence import sentence
from supervisor.core.watch.wording import Words
from supervisor.record.rows import Note
from supervisor.service.keeper import Keeper
from web import models as page
from web.interface import UnknownAlertError
from web.trace import Trace

_GAP_LOOKS = 5.0
_STALE_LOOKS = 10.0
_LEAST_STALE_S = 15.0
_NEVER_STALE_S = 1e9
_STEPPED_S = 2.0
_SPENT_S = 30 * 60.0
"""Information that sent a person to the kiln leaves the list after this long, firing time."""
_SEVERITY_ORDER = {Severity.CRITICAL: 0, Severity.WARNING: 1, Severity.INFO: 2}


class Desk:
    """Implements ``web.interface.KilnDesk`` over a ``Keeper``."""

    def __init__(
        self,
        keeper: Keeper,
        *,
        kiln_kind: str,
        mode: page.Mode,
        interval_s: float,
        mqtt_state: Callable[[], str],
        on_acknowledged: Callable[[], None],
    ) -> None:
        self._kiln_kind = kiln_kind
        self._mode = mode
        self._mqtt_state = mqtt_state
        self._on_acknowledged = on_acknowledged
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
        if self._zero is None or abs((zero - self._zero).total_seconds()) > _STEPPED_S:
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
        try:
            pending = self._keeper.acknowledge(alert_id, by)
        except InputError as error:
            raise UnknownAlertError(str(error)) from None
        self.changed()
        self._on_acknowledged()
        if pending is not None:
            await pending

    async def add_note(self, text: str, by: str | None, client_id: str | None) -> page.Note:
        note = await self._keeper.add_note(text, by, client_id)
        self.changed()
        return _note(note)

    def chart(self, max_points: int) -> page.Chart:
        elapsed_s, channels = self._trace.rows(max_points)
        watch = self._keeper.watch
        begun_s = watch.begun_s or 0.0
        points = watch.timeline.points()
        return page.Chart(
            elapsed_s=elapsed_s,
            channels=channels,
            plan=page.PlanLine(
                elapsed_s=[round(begun_s + at_s, 1) for at_s, _ in points],
                temp_c=[round(temp_c, 2) for _, temp_c in points],
            ),
            start_time=None if self._zero is None else self._zero.isoformat(timespec="seconds"),
            chart_revision=self._chart_revision,
            firing_id=self._keeper.firing.id,
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
        return page.Snapshot(
            kiln=page.Kiln(name=keeper.firing.kiln, kind=self._kiln_kind),
            mode=self._mode,
            speed=self._speed,
            units=keeper.settings.units,
            firing=page.Firing(
                id=keeper.firing.id,
                name=keeper.firing.name,
                started_at=keeper.firing.started_label,
                state=_firing_state(status, is_open=keeper.is_open),
            ),
            recording=keeper.is_open,
            elapsed_s=status.elapsed_s,
            time=status.time,
            reading_age_s=age_s,
            stale_after_s=self._stale_after_s,
            stale=age_s is not None and age_s > self._stale_after_s,
            sentence_c=sentence(status, Words(Unit.C), self._clock_time),
            sentence_f=sentence(status, Words(Unit.F), self._clock_time),
            channels=[_channel(channel) for channel in status.channels],
            spread_c=round(max(temps) - min(temps), 1) if len(temps) > 1 else None,
            plan=_plan(status),
            cones=[
                page.Cone(
                    cone=cone.cone,
                    role=page.ConeRole(cone.role),
                    work=cone.work,
                    down_at_s=cone.down_at_s,
                    expected_in_s=cone.expected_in_s,
                )
                for cone in status.cones
            ],
            alerts=[_alert(alert) for alert in self._open_alerts(status.elapsed_s)],
            notes=[_note(note) for note in reversed(keeper.notes[-page.NOTES_SHOWN :])],
            mqtt=page.MqttState(self._mqtt_state()),
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
                _SEVERITY_ORDER[a.severity],
                -a.raised_at_s,
            ),
        )

    def _clock_time(self, elapsed_s: float) -> str | None:
        if self._zero is None:
            return None
        return (self._zero + timedelta(seconds=elapsed_s)).strftime("%H:%M")


def _firing_state(status: WatchStatus, *, is_open: bool) -> page.FiringState:
    if not is_open or status.plan.activity is Activity.FINISHED:
        return page.FiringState.FINISHED
    if status.plan.activity is Activity.WAITING:
        return page.FiringState.WAITING
    return page.FiringState.FIRING


def _channel(channel: ChannelStatus) -> page.Channel:
    state = page.ChannelState.OK
    fault = None
    if channel.fault is not None:
        state = page.ChannelState.FAULTY
        fault = f"{channel.name} {WHAT_TO_CHECK[channel.fault]}"
    elif channel.temp_c is None:
        state = page.ChannelState.SILENT
    return page.Channel(
        name=channel.name,
        temp_c=None if channel.temp_c is None else round(channel.temp_c, 2),
        rate_c_per_h=None if channel.rate_c_per_h is None else round(channel.rate_c_per_h, 1),
        state=state,
        fault=fault,
        leads=channel.leads,
    )


def _plan(status: WatchStatus) -> page.PlanPosition:
    plan = status.plan
    return page.PlanPosition(
        step=plan.step or 1,
        steps=plan.steps,
        activity=plan.activity,
        target_c=plan.target_c,
        late_s=plan.late_s,
        ends_in_s=plan.ends_in_s,
    )


def _note(note: Note) -> page.Note:
    return page.Note(
        id=str(note.id), elapsed_s=note.elapsed_s, time=note.time, text=note.text, by=note.by
    )


def _alert(alert: Alert) -> page.Alert:
    return page.Alert(
        id=alert.id,
        kind=alert.kind.value,
        severity=alert.severity,
        channel=alert.channel,
        message=alert.message,
        raised_at_s=alert.raised_at_s,
        time=alert.raised_time,
        cleared_at_s=alert.cleared_at_s,
        acknowledged_at=alert.acknowledged_time,
    )
