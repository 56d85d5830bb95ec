"""What goes out to the broker beside alerts: the status and the readings, as JSON."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import asdict

from supervisor.core.readings import Reading
from supervisor.core.watch.cone_forecast import ConeForecast
from supervisor.core.watch.sentence import sentence
from supervisor.core.watch.wording import Words
from supervisor.service.keeper import Keeper


def reading_json(reading: Reading) -> str:
    """One look at all channels; °C, null where a channel gave nothing."""
    return json.dumps(
        {
            "elapsed_s": reading.elapsed_s,
            "time": reading.time,
            "temps_c": {
                name: None if temp_c is None else round(temp_c, 3)
                for name, temp_c in reading.temps_c.items()
            },
            "faults": {name: cause.value for name, cause in reading.faults.items()},
        },
        ensure_ascii=False,
        allow_nan=False,
    )


def status_json(keeper: Keeper, notify_failing: Sequence[str] = ()) -> str:
    """Where the firing stands, for a display or a home-automation hub.

    ``notify_failing`` are the addresses that take no messages now, as people call them.
    """
    status = keeper.watch.status()
    plan = status.plan
    return json.dumps(
        {
            "kiln": keeper.firing.kiln,
            "firing": keeper.firing.id,
            "schedule": keeper.firing.name,
            "log": log_state(keeper),
            "blind": _blind(keeper),
            "elapsed_s": status.elapsed_s,
            "time": status.time,
            "sentence": sentence(status, Words(keeper.settings.units), lambda _s: None),
            "temp_c": _round(status.temp_c, 1),
            "rate_c_per_h": _round(status.rate_c_per_h, 1),
            "activity": plan.activity.value,
            "step": plan.step,
            "steps": plan.steps,
            "target_c": _round(plan.target_c, 1),
            "late_s": _round(plan.late_s, 0),
            "ends_in_s": _round(plan.ends_in_s, 0),
            "cones": {
                cone.cone: {
                    "role": cone.role,
                    "work": round(cone.work, 3),
                    "down_at_s": cone.down_at_s,
                    **_forecast(cone.forecast),
                }
                for cone in status.cones
            },
            "cones_corrected_by_c": _round(
                None if status.correction is None else status.correction.offset_c, 1
            ),
            "open_alerts": [
                {
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
                for alert in keeper.book.open_alerts
            ],
            "notify_failing": list(notify_failing),
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


def _forecast(forecast: ConeForecast | None) -> dict[str, float | None]:
    """Seconds from now until a cone is down, as the core's ConeForecast tells them."""
    figures = {} if forecast is None else asdict(forecast)
    return {
        f"{name.removesuffix('_s')}_in_s": _round(figures.get(name), 0)
        for name in ("expected_s", "earliest_s", "latest_s", "if_plan_s", "at_rate_s", "hold_s")
    }


def _round(value: float | None, digits: int) -> float | None:
    return None if value is None else round(value, digits)
