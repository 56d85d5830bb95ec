"""A cone is expected to go down soon, or its heat-work is complete: time for a look."""

from __future__ import annotations

from supervisor.core.events import Event, Kind, Severity, State, Value
from supervisor.core.heatwork import CONES, HeatWork, pack_around, seconds_until_down
from supervisor.core.heatwork.cones import WHOLE_CONE_NAMES
from supervisor.core.watch.detectors.moment import Moment
from supervisor.core.watch.follower import Activity
from supervisor.core.watch.wording import WITNESS, show_duration

_EVERY_S = 15.0
_WORTH_A_FORECAST = 0.02
_COOLING_C_PER_H = -20.0
"""Falling faster than this, a cone gains too little for a forecast."""


class Cones:
    """Calls the three cones around the target, or every whole cone where there is no target."""

    __slots__ = ("_called", "_down", "_looked_s", "_names", "_near_s", "_target", "expected_in_s")

    def __init__(self, target: str | None, near_s: float) -> None:
        self._target = target
        names = WHOLE_CONE_NAMES if target is None else tuple(dict.fromkeys(pack_around(target)))
        self._names = list(names)
        self._near_s = near_s
        self._called: set[str] = set()
        self._down: set[str] = set()
        self._looked_s = float("-inf")
        self.expected_in_s: dict[str, float] = {}

    def feed(self, moment: Moment, work: HeatWork) -> list[Event]:
        if moment.elapsed_s - self._looked_s < _EVERY_S:
            return []
        self._looked_s = moment.elapsed_s
        events: list[Event] = []
        self.expected_in_s = {}
        for name in list(self._names):
            down_s = work.down_at(name)
            if down_s is not None:
                events += self._fell(moment, name, down_s)
                continue
            done = work.work_of(name)
            if done < _WORTH_A_FORECAST:
                break
            events += self._coming(moment, name, done)
        return events

    def _fell(self, moment: Moment, name: str, down_s: float) -> list[Event]:
        self._names.remove(name)
        events: list[Event] = []
        if name in self._called:
            self._called.remove(name)
            message = f"Cone {name} is no longer awaited: its heat-work is complete."
            events.append(
                moment.event(
                    Kind.CONE_NEAR,
                    Severity.INFO,
                    message,
                    {"cone": name},
                    state=State.CLEARED,
                    channel=None,
                )
            )
        message = f"Cone {name}{self._role(name)} should be down now: go and look, {WITNESS}."
        data: dict[str, Value] = {
            "cone": name,
            "down_at_s": down_s,
            "temp_c": None if moment.temp_c is None else round(moment.temp_c, 1),
        }
        events.append(moment.event(Kind.CONE_DOWN, Severity.INFO, message, data))
        return events

    def _coming(self, moment: Moment, name: str, done: float) -> list[Event]:
        in_s = self._forecast(moment, name, done)
        if in_s is not None:
            self.expected_in_s[name] = in_s
        if name not in self._called:
            if in_s is None or in_s > self._near_s:
                return []
            self._called.add(name)
            message = (
                f"Cone {name}{self._role(name)} should go down in {show_duration(in_s)}: go and "
                f"look at the cones; {WITNESS}."
            )
            data: dict[str, Value] = {"cone": name, "in_s": round(in_s, 0), "work": round(done, 3)}
            return [moment.event(Kind.CONE_NEAR, Severity.INFO, message, data)]
        if in_s is not None and in_s <= 3.0 * self._near_s:
            return []
        self._called.remove(name)
        message = f"Cone {name}{self._role(name)} is not expected soon any more."
        lost: dict[str, Value] = {"cone": name, "work": round(done, 3)}
        return [moment.event(Kind.CONE_NEAR, Severity.INFO, message, lost, state=State.CLEARED)]

    def _forecast(self, moment: Moment, name: str, done: float) -> float | None:
        temp_c, rate = moment.temp_c, moment.rate_c_per_h
        if temp_c is None or rate < _COOLING_C_PER_H:
            return None
        plan = moment.plan
        climbs = plan.activity is Activity.CLIMBING and plan.step is not None
        top_c = plan.step.to_c if climbs and plan.step is not None else temp_c
        if plan.activity in (Activity.WAITING, Activity.FINISHED):
            # Nothing is known of where it will stop: go on as it goes.
            top_c = temp_c + 200.0
        return seconds_until_down(CONES[name], done, temp_c, rate if rate > 2.0 else 0.0, top_c)

    def _role(self, name: str) -> str:
        if self._target is None:
            return ""
        guide, target, guard = pack_around(self._target)
        if name == target:
            return ", the target,"
        return ", the guide," if name == guide else ", the guard," if name == guard else ""
