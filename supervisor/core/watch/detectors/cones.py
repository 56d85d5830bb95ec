"""A cone is expected to go down soon, or its heat-work is complete: time for a look."""

from __future__ import annotations

from supervisor.core.events import Event, Kind, Severity, State, Value
from supervisor.core.heatwork import CONES, HeatWork, pack_around, seconds_until_down
from supervisor.core.heatwork.cones import WHOLE_CONE_NAMES
from supervisor.core.watch.detectors.moment import Moment
from supervisor.core.watch.follower import Activity
from supervisor.core.watch.wording import WITNESS, show_duration

_EVERY_S = 15.0
"""Cones move in minutes: looking more often would cost and tell nothing."""
_WORTH_A_FORECAST = 0.02
"""With less of its heat-work a cone is far off (common practice, no source)."""
_COOLING_C_PER_H = -20.0
"""Falling faster than this, a cone gains too little for a forecast."""
_LOST_S = 600.0
"""A controller that settles at its top swings for minutes; a forecast lost for longer is lost
(common practice, no source)."""
_STILL_C_PER_H, _GOES_ON_C = 2.0, 200.0
"""A slower climb is forecast as a hold; a climb without a plan goes on for longer than any
forecast of interest."""
_LOST_TIMES = 3.0
"""A cone that was called and is now this many times as far off as the call is not near."""


class Cones:
    """Calls the three cones around the target.

    Where there is no target it calls every whole cone that is down, and as near only the one
    that comes next.
    """

    __slots__ = (
        "_called",
        "_looked_s",
        "_lost_since_s",
        "_names",
        "_near_s",
        "_target",
        "expected_in_s",
    )

    def __init__(self, target: str | None, near_s: float) -> None:
        self._target = target
        names = WHOLE_CONE_NAMES if target is None else tuple(dict.fromkeys(pack_around(target)))
        self._names = list(names)
        self._near_s = near_s
        self._called: set[str] = set()
        self._lost_since_s: dict[str, float] = {}
        self._looked_s = float("-inf")
        self.expected_in_s: dict[str, float] = {}
        """Seconds until each cone that a forecast is worth while for."""

    def feed(self, moment: Moment, work: HeatWork) -> list[Event]:
        if moment.elapsed_s - self._looked_s < _EVERY_S:
            return []
        self._looked_s = moment.elapsed_s
        events: list[Event] = []
        self.expected_in_s = {}
        may_call = True
        for name in list(self._names):
            down_s = work.down_at(name)
            if down_s is not None:
                events += self._fell(moment, name, down_s)
                continue
            done = work.work_of(name)
            if done < _WORTH_A_FORECAST:
                break
            in_s = self._forecast(moment, name, done)
            if in_s is not None:
                self.expected_in_s[name] = in_s
            if name in self._called:
                events += self._awaited(moment, name, done, in_s)
            elif may_call and in_s is not None and in_s <= self._near_s:
                events.append(self._call(moment, name, done, in_s))
            may_call = self._target is not None
        return events

    def _fell(self, moment: Moment, name: str, down_s: float) -> list[Event]:
        self._names.remove(name)
        events: list[Event] = []
        if name in self._called:
            self._called.remove(name)
            self._lost_since_s.pop(name, None)
            message = f"Cone {name} is no longer awaited: its heat-work is complete."
            gone: dict[str, Value] = {"cone": name}
            events.append(
                moment.event(Kind.CONE_NEAR, Severity.INFO, message, gone, state=State.CLEARED)
            )
        message = f"Cone {name}{self._role(name)} should be down now: go and look, {WITNESS}."
        data: dict[str, Value] = {
            "cone": name,
            "down_at_s": down_s,
            "temp_c": None if moment.temp_c is None else round(moment.temp_c, 1),
        }
        events.append(moment.event(Kind.CONE_DOWN, Severity.INFO, message, data))
        return events

    def _call(self, moment: Moment, name: str, done: float, in_s: float) -> Event:
        self._called.add(name)
        message = (
            f"Cone {name}{self._role(name)} should go down in {show_duration(in_s)}: go and "
            f"look at the cones; {WITNESS}."
        )
        data: dict[str, Value] = {"cone": name, "in_s": round(in_s, 0), "work": round(done, 3)}
        return moment.event(Kind.CONE_NEAR, Severity.INFO, message, data)

    def _awaited(self, moment: Moment, name: str, done: float, in_s: float | None) -> list[Event]:
        """Take the call back if the cone will not fall after all."""
        if in_s is not None and in_s <= _LOST_TIMES * self._near_s:
            self._lost_since_s.pop(name, None)
            return []
        since_s = self._lost_since_s.setdefault(name, moment.elapsed_s)
        cools = moment.plan.is_past_peak and moment.rate_c_per_h < _COOLING_C_PER_H
        if moment.elapsed_s - since_s < _LOST_S and not cools:
            return []
        self._called.remove(name)
        del self._lost_since_s[name]
        message = f"Cone {name}{self._role(name)} is not expected soon any more."
        data: dict[str, Value] = {"cone": name, "work": round(done, 3)}
        return [moment.event(Kind.CONE_NEAR, Severity.INFO, message, data, state=State.CLEARED)]

    def _forecast(self, moment: Moment, name: str, done: float) -> float | None:
        temp_c, rate_c_per_h = moment.temp_c, moment.rate_c_per_h
        if temp_c is None or rate_c_per_h < _COOLING_C_PER_H:
            return None
        plan = moment.plan
        climbs = plan.activity is Activity.CLIMBING and plan.step is not None
        top_c = plan.step.to_c if climbs and plan.step is not None else temp_c
        if plan.activity in (Activity.WAITING, Activity.FINISHED):
            # Nothing is known of where it will stop: go on as it goes.
            top_c = temp_c + _GOES_ON_C
        climb_c_per_h = rate_c_per_h if rate_c_per_h > _STILL_C_PER_H else 0.0
        return seconds_until_down(CONES[name], done, temp_c, climb_c_per_h, top_c)

    def _role(self, name: str) -> str:
        if self._target is None:
            return ""
        guide, target, guard = pack_around(self._target)
        if name == target:
            return ", the target,"
        return ", the guide," if name == guide else ", the guard," if name == guard else ""
