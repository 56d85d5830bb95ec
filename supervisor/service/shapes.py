"""The watch's and the record's figures in the page's own shapes. Changes nothing, asks nobody."""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence

from supervisor.core.alerts import Alert
from supervisor.core.heatwork import Correction
from supervisor.core.heatwork.offset import Offset
from supervisor.core.heatwork.tip import clock_of, stance_of, tip_angle_deg
from supervisor.core.phases import bands_of
from supervisor.core.phases.crossed import bands_crossed
from supervisor.core.reasons import Why
from supervisor.core.schedule import Schedule
from supervisor.core.sensor_checks import SENSOR_CHECKS
from supervisor.core.watch import Activity, ChannelStatus, WatchStatus
from supervisor.core.watch.ahead import Ahead
from supervisor.core.watch.cone_forecast import ConeForecast
from supervisor.core.watch.status import ConeStatus
from supervisor.record.rows import KeptObservation, Note
from supervisor.service.blind import Blind
from web import chart
from web import models as page

_NO_FORECAST = ConeForecast(None, None, None, None, None, None)


def _whole(seconds: float | None) -> float | None:
    """To the second: nobody foresees better, and fewer digits reach a phone sooner."""
    return None if seconds is None else float(round(seconds))


def firing_state(status: WatchStatus, *, is_open: bool) -> page.FiringState:
    if not is_open or status.plan.activity is Activity.FINISHED:
        return page.FiringState.FINISHED
    if status.plan.activity is Activity.WAITING:
        return page.FiringState.WAITING
    return page.FiringState.FIRING


def channel_shape(channel: ChannelStatus) -> page.Channel:
    state = page.ChannelState.OK
    fault = None
    if channel.fault is not None:
        state = page.ChannelState.FAULTY
        fault = f"{channel.name} {SENSOR_CHECKS[channel.fault].whole}"
    elif channel.temp_c is None:
        state = page.ChannelState.SILENT
    return page.Channel(
        name=channel.name,
        temp_c=None if channel.temp_c is None else round(channel.temp_c, 1),
        rate_c_per_h=None if channel.rate_c_per_h is None else round(channel.rate_c_per_h, 1),
        state=state,
        fault=fault,
        cause=channel.fault,
        leads=channel.leads,
    )


def plan_shape(status: WatchStatus) -> page.PlanPosition:
    plan = status.plan
    return page.PlanPosition(
        step=plan.step or 1,
        steps=plan.steps,
        activity=plan.activity,
        target_c=plan.target_c,
        late_s=_whole(plan.late_s),
        ends_in_s=_whole(plan.ends_in_s),
        hold_left_s=_whole(max(plan.hold_s - plan.held_s, 0.0)) if plan.hold_s > 0.0 else None,
    )


def plan_line(points: Iterable[tuple[float, float]], begun_s: float = 0.0) -> page.PlanLine:
    """A plan that began at ``begun_s`` as the chart has it."""
    line = list(points)
    return page.PlanLine(
        elapsed_s=[round(begun_s + at_s, 1) for at_s, _ in line],
        temp_c=[round(temp_c, 2) for _, temp_c in line],
    )


def cone_shape(cone: ConeStatus) -> page.Cone:
    forecast = cone.forecast or _NO_FORECAST
    return page.Cone(
        cone=cone.cone,
        role=page.ConeRole(cone.role),
        work=round(cone.work, 4),
        tip_angle_deg=round(tip_angle_deg(cone.work), 2),
        clock=clock_of(cone.work),
        stance=stance_of(cone.work),
        down_at_s=cone.down_at_s,
        is_forecast=cone.forecast is not None,
        expected_in_s=_whole(forecast.expected_s),
        earliest_in_s=_whole(forecast.earliest_s),
        latest_in_s=_whole(forecast.latest_s),
        if_plan_in_s=_whole(forecast.if_plan_s),
        at_rate_in_s=_whole(forecast.at_rate_s),
        hold_in_s=_whole(forecast.hold_s),
    )


def look_shape(
    kept: KeptObservation, doubt: str | None = None, why: Why | None = None
) -> page.Look:
    seen = kept.seen
    return page.Look(
        number=kept.id,
        elapsed_s=seen.elapsed_s,
        time=kept.time,
        cone=seen.cone,
        clock=seen.clock,
        channel=seen.channel,
        shelf=seen.shelf,
        by=kept.by,
        doubt=doubt,
        why=page.why_shape(why),
    )


def correction_shape(correction: Correction | None) -> page.Correction | None:
    if correction is None:
        return None
    return page.Correction(
        offset_c=round(correction.offset_c, 2), sigma_c=round(correction.sigma_c, 2)
    )


def offset_shape(
    name: str, offset: Offset | None, in_force: Correction | None
) -> page.ChannelOffset:
    if offset is None:
        return page.ChannelOffset(channel=name, in_force=correction_shape(in_force))
    return page.ChannelOffset(
        channel=name,
        estimate=page.Estimate(
            offset_c=round(offset.mean_c, 2),
            sigma_c=round(offset.sigma_c, 2),
            observations=offset.observations,
            firings=offset.firings,
        ),
        is_proposed=offset.is_worth_accepting(in_force),
        is_too_far=offset.is_too_far,
        in_force=correction_shape(in_force),
    )


def blind_shape(blind: Blind | None) -> page.Blind | None:
    if blind is None:
        return None
    return page.Blind(from_time=blind.from_time, to_time=blind.to_time, lasted_s=blind.lasted_s)


def note_shape(note: Note) -> page.Note:
    return page.Note(
        id=str(note.id), elapsed_s=note.elapsed_s, time=note.time, text=note.text, by=note.by
    )


def event_shape(line: str) -> chart.ChartEvent:
    """An event as it was kept, without its sentence."""
    kept = json.loads(line)
    return chart.ChartEvent(
        elapsed_s=kept["elapsed_s"],
        kind=kept["kind"],
        severity=kept["severity"],
        state=kept["state"],
        channel=kept["channel"],
        data=kept["data"],
    )


def ahead_shape(ahead: Ahead | None, now_s: float) -> chart.Ahead | None:
    if ahead is None:
        return None
    return chart.Ahead(
        elapsed_s=[float(round(now_s + in_s)) for in_s in ahead.in_s],
        temp_c=[float(round(temp_c)) for temp_c in ahead.temp_c],
        low_c=[float(round(temp_c)) for temp_c in ahead.low_c],
        high_c=[float(round(temp_c)) for temp_c in ahead.high_c],
    )


def phase_shapes(
    schedule: Schedule,
    times_s: Sequence[float],
    temps_c: Sequence[float | None],
    ahead: chart.Ahead | None,
) -> list[chart.Phase]:
    """The bands that the kiln has crossed, and is expected to cross."""
    seen = [(s, c) for s, c in zip(times_s, temps_c, strict=True) if c is not None]
    last_s = seen[-1][0] if seen else float("-inf")
    if ahead is not None:
        seen += [(s, c) for s, c in zip(ahead.elapsed_s, ahead.temp_c, strict=True) if s > last_s]
    crossed = bands_crossed(bands_of(schedule), [s for s, _ in seen], [c for _, c in seen])
    return [
        chart.Phase(name=str(one.band.name), from_s=one.from_s, to_s=one.to_s) for one in crossed
    ]


def alert_shape(alert: Alert) -> page.Alert:
    return page.Alert(
        id=alert.id,
        kind=alert.kind.value,
        severity=alert.severity,
        channel=alert.channel,
        message=alert.message,
        data=dict(alert.data),
        raised_at_s=alert.raised_at_s,
        time=alert.raised_time,
        cleared_at_s=alert.cleared_at_s,
        acknowledged_at=alert.acknowledged_time,
        reminders=alert.reminders,
        reminded_at=alert.reminded_time,
        escalated_at=alert.escalated_time,
    )
