"""What each kind of event is called in the title of a message, and in a summary."""

from __future__ import annotations

from collections.abc import Mapping

from supervisor.core.events import Kind, Value

TITLES: Mapping[Kind, str] = {
    Kind.STALL: "The climb has stalled",
    Kind.LAGGING: "The kiln is late",
    Kind.OVERSHOOT: "Hotter than planned",
    Kind.HEAT_LOST: "The kiln is losing heat",
    Kind.HEAT_STUCK_ON: "The heat may be stuck on",
    Kind.OVER_LIMIT: "Above the kiln's limit",
    Kind.FAST_HEATING: "Heating too fast",
    Kind.FAST_COOLING: "Cooling too fast",
    Kind.UNEVEN: "The kiln is uneven",
    Kind.SENSOR_FAULT: "A thermocouple can't be believed",
    Kind.NO_READINGS: "No readings",
    Kind.CONE_NEAR: "A cone is near",
    Kind.CONE_DOWN: "A cone should be down",
    Kind.STEP_BEGUN: "A step has begun",
    Kind.HOLD_DONE: "The hold is done",
    Kind.PHASE_BEGUN: "The ware has come to a new phase",
    Kind.COOL_TO_OPEN: "Cool enough to open",
    Kind.FIRING_FINISHED: "The plan is complete",
    Kind.TREND: "The kiln is changing",
}


_OF_CONES: Mapping[Kind, str] = {
    Kind.CONE_NEAR: "Cone {} is near",
    Kind.CONE_DOWN: "Cone {} should be down",
}


def title_of(kind: Kind, channel: str | None, data: Mapping[str, Value]) -> str:
    """The title with the cone, band or channel that it is about.

    >>> title_of(Kind.CONE_DOWN, None, {"cone": "6"})
    'Cone 6 should be down'
    """
    cone = data.get("cone")
    if cone and kind in _OF_CONES:
        return _OF_CONES[kind].format(cone)
    which = channel or data.get("band")
    return f"{TITLES[kind]} ({which})" if which else TITLES[kind]
