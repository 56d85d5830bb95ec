"""What goes out to the broker beside alerts: the status and the readings, as JSON."""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from dataclasses import asdict
from datetime import datetime, timedelta

from supervisor.core.alerts import Alert
from supervisor.core.alerts.sorts import RANK
from supervisor.core.readings import Reading
from supervisor.core.watch.cone_forecast import ConeForecast
from supervisor.core.watch.sentence import sentence
from supervisor.core.watch.status import ConeStatus
from supervisor.core.watch.wording import Words
from supervisor.service.keeper import Keeper


def reading_json(reading: Reading, *, is_time_believed: bool | None) -> str:
    """One look at all channels; °C, null where a channel gave nothing."""
    return json.dumps(
        {
            "elapsed_s": reading.elapsed_s,
            "time": reading.time,
            "time_believed": is_time_believed,
            "temps_c": {
                name: None if temp_c is None else round(temp_c, 3)
                for name, temp_c in reading.temps_c.items()
            },
            "faults": {name: cause.value for name, cause in reading.faults.items()},
        },
        ensure_ascii=False,
        allow_nan=False,
    )


def status_json(
    keeper: Keeper,
    notify_failing: Sequence[str] = (),
    *,
    is_time_believed: bool | None = None,
) -> str:
    """Where the firing stands, for a display or a home-automation hub.

    ``notify_failing`` are the addresses that take no messages now, as people call them.
    ``is_time_believed`` is False while the wall clock is known not to have been set; what is
    told as a time of day then is null where nobody could see that it is wrong.
    """
    status = keeper.watch.status()
    plan = status.plan
    now = None if is_time_believed is False else status.time
    return json.dumps(
        {
            "kiln": keeper.firing.kiln,
            "firing": keeper.firing.id,
            "schedule": keeper.firing.name,
            "log": log_state(keeper),
            "blind": _blind(keeper),
            "elapsed_s": status.elapsed_s,
            "time": status.time,
            "time_believed": is_time_believed,
            "units": keeper.settings.units.value,
            "sentence": sentence(status, Words(keeper.settings.units), lambda _s: None),
            "temp_c": _round(status.temp_c, 1),
            "rate_c_per_h": _round(status.rate_c_per_h, 1),
            "channels": {
                channel.name: {
                    "temp_c": _round(channel.temp_c, 1),
                    "rate_c_per_h": _round(channel.rate_c_per_h, 1),
                    "fault": None if channel.fault is None else channel.fault.value,
                    "leads": channel.leads,
                }
                for channel in status.channels
            },
            "activity": plan.activity.value,
            "step": plan.step,
            "steps": plan.steps,
            "target_c": _round(plan.target_c, 1),
            "late_s": _round(plan.late_s, 0),
            "ends_in_s": _round(plan.ends_in_s, 0),
            "cones": {cone.cone: _cone(cone, now) for cone in status.cones},
            "target_cone": next(
                (
                    {"cone": cone.cone, **_cone(cone, now)}
                    for cone in status.cones
                    if cone.role == "target"
                ),
                None,
            ),
            "cones_corrected_by_c": _round(
                None if status.correction is None else status.correction.offset_c, 1
            ),
            "worst_alert": _worst(keeper.book.open_alerts),
            "open_alerts": [_alert(alert) for alert in keeper.book.open_alerts],
            "notify_failing": list(notify_failing),
            "record": "ok" if keeper.record.trouble is None else "failing",
        },
        ensure_ascii=False,
        allow_nan=False,
    )


def log_state(keeper: Keeper) -> str:
    """``armed`` until the log begins, ``open`` while it is kept, ``closed`` after it."""
    if not keeper.is_open:
        return "closed"
    return "armed" if keeper.is_armed else "open"


def _blind(keeper: Keeper) -> dict[str, str | float | None] | None:
    blind = keeper.blind
    if blind is None:
        return None
    return {
        "from": blind.from_time,
        "to": blind.to_time,
        "lasted_s": _round(blind.lasted_s, 0),
        "message": blind.sentence(),
    }


def _alert(alert: Alert) -> dict[str, object]:
    return {
        "id": alert.id,
        "kind": alert.kind.value,
        "severity": alert.severity.value,
        "channel": alert.channel,
        "message": alert.message,
        "acknowledged": alert.acknowledged_at_s is not None,
        "raised_at": alert.raised_time,
        "reminders": alert.reminders,
        "reminded_at": alert.reminded_time,
        "escalated_at": alert.escalated_time,
    }


def _worst(alerts: Iterable[Alert]) -> dict[str, object] | None:
    """The most severe that stands; of several the one not yet seen, then the latest."""
    ranked = sorted(
        alerts,
        key=lambda a: (RANK[a.severity], a.acknowledged_at_s is None, a.raised_at_s),
    )
    return _alert(ranked[-1]) if ranked else None


def _cone(cone: ConeStatus, now: str | None) -> dict[str, object]:
    return {
        "role": cone.role,
        "work": round(cone.work, 3),
        "down_at_s": cone.down_at_s,
        **_forecast(cone.forecast),
        "expected_time": _later(now, cone.expected_in_s),
    }


def _later(now: str | None, in_s: float | None) -> str | None:
    """The time of day so many seconds after ``now``, ISO 8601 to the second."""
    if now is None or in_s is None:
        return None
    return (datetime.fromisoformat(now) + timedelta(seconds=in_s)).isoformat(timespec="seconds")


def _forecast(forecast: ConeForecast | None) -> dict[str, float | None]:
    """Seconds from now until a cone is down, as the core's ConeForecast tells them."""
    figures = {} if forecast is None else asdict(forecast)
    return {
        f"{name.removesuffix('_s')}_in_s": _round(figures.get(name), 0)
        for name in ("expected_s", "earliest_s", "latest_s", "if_plan_s", "at_rate_s", "hold_s")
    }


def _round(value: float | None, digits: int) -> float | None:
    return None if value is None else round(value, digits)
