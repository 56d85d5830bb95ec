"""A cone is expected to go down soon, or its heat-work is complete: time for a look."""

from __future__ import annotations

from supervisor.core.events import Event, Kind, Severity, State, Value
from supervisor.core.heatwork import WHOLE_CONE_NAMES, pack_around
from supervisor.core.watch.channel_work import ChannelWork
from supervisor.core.watch.cone_forecast import Outlook, expected_s
from supervisor.core.watch.course import COOLING_C_PER_H
from supervisor.core.watch.detectors.moment import Moment
from supervisor.core.watch.wording import show_duration, witness

_EVERY_S, _FORECAST_S, _SELDOM_S, _FAR_S = 15.0, 45.0, 120.0, 3600.0
"""Cones move in minutes: looking more often would cost and tell nothing. What is expected is
asked three times as seldom, and seldom will do while the next one is an hour away."""
_WORTH_A_FORECAST = 0.02
"""With less of its heat-work a cone is far off (common practice, no source)."""
_LOST_S = 600.0
"""A controller that settles at its top swings for minutes; a forecast lost for longer is lost
(common practice, no source)."""
_LONG_AGO_S = 600.0
"""A cone that a correction finds down for longer did not fall now."""
_LOST_TIMES = 3.0
"""A cone that was called and is now this many times as far off as the call is not near."""


class Cones:
    """Calls the three cones around the target.

    Where there is no target it calls every whole cone that is down, and as near only the one
    that comes next.
    """

    __slots__ = (
        "_all",
        "_called",
        "_counted",
        "_forecast_s",
        "_longest_s",
        "_look_s",
        "_lost_since_s",
        "_names",
        "_near_s",
        "_target",
    )

    def __init__(self, target: str | None, near_s: float) -> None:
        self._target = target
        names = WHOLE_CONE_NAMES if target is None else tuple(dict.fromkeys(pack_around(target)))
        self._all = names
        self._names = list(names)
        self._near_s = near_s
        self._longest_s = max(_LOST_TIMES * near_s, _FAR_S + near_s)
        """No farther is looked ahead: what comes later is far, and lost if it was called."""
        self._called: set[str] = set()
        self._lost_since_s: dict[str, float] = {}
        self._look_s = self._forecast_s = float("-inf")
        self._counted: tuple[str, float] | None = None

    def feed(self, moment: Moment, lead: ChannelWork) -> list[Event]:
        """``lead`` is the channel that leads."""
        if moment.elapsed_s < self._look_s:
            return []
        self._look_s = moment.elapsed_s + _EVERY_S
        events = self._stand_again(moment, lead)
        for name in list(self._names):
            down_s = lead.work.down_at(name)
            if down_s is not None:
                events += self._fell(moment, lead, name, down_s)
        if events:
            self._forecast_s = moment.elapsed_s
        if moment.elapsed_s >= self._forecast_s:
            self._forecast_s = moment.elapsed_s + _FORECAST_S
            events += self._expect(moment, lead)
        return events

    def _expect(self, moment: Moment, lead: ChannelWork) -> list[Event]:
        """Call the cones that are near, and take back what was called too soon."""
        events: list[Event] = []
        next_s, may_call = None, True
        for place, name in enumerate(list(self._names)):
            done = lead.work.work_of(name)
            # A harder cone is down no sooner than the first one.
            is_far = self._target is None or place > 0
            if done < _WORTH_A_FORECAST and is_far and name not in self._called:
                break
            in_s = self._forecast(moment, lead, name)
            if name in self._called:
                events += self._awaited(moment, name, done, in_s)
            elif in_s is not None and in_s <= self._near_s and may_call:
                events.append(self._call(moment, lead, name, in_s))
            may_call = self._target is not None
            next_s = in_s if next_s is None else next_s
        if not self._called and (next_s is None or next_s > _FAR_S + self._near_s):
            self._look_s = moment.elapsed_s + _SELDOM_S
        return events

    def _stand_again(self, moment: Moment, lead: ChannelWork) -> list[Event]:
        """Await anew the cones that another correction makes stand."""
        before, self._counted = self._counted, (lead.track.name, lead.work.offset_c)
        if before is None or before[0] != lead.track.name or before[1] == lead.work.offset_c:
            return []
        events = []
        standing = [n for n in self._all if n in self._names or lead.work.down_at(n) is None]
        for name in standing:
            if name not in self._names:
                message = (
                    f"Cone {name}{self._role(name)} still stands, as the calculation is "
                    f"corrected now; {witness(moment.words, lead.work.offset_c)}."
                )
                data: dict[str, Value] = {"cone": name, "work": round(lead.work.work_of(name), 3)}
                events.append(
                    moment.event(Kind.CONE_DOWN, Severity.INFO, message, data, state=State.CLEARED)
                )
        self._names = standing
        return events

    def _fell(self, moment: Moment, lead: ChannelWork, name: str, down_s: float) -> list[Event]:
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
        since_s = moment.elapsed_s - down_s
        when = "be down now" if since_s < _LONG_AGO_S else f"be down for {show_duration(since_s)}"
        message = (
            f"Cone {name}{self._role(name)} should {when}: go and look, "
            f"{witness(moment.words, lead.work.offset_c)}."
        )
        data: dict[str, Value] = {
            "cone": name,
            "down_at_s": down_s,
            "temp_c": None if moment.temp_c is None else round(moment.temp_c, 1),
            "offset_c": round(lead.work.offset_c, 1),
        }
        events.append(moment.event(Kind.CONE_DOWN, Severity.INFO, message, data))
        return events

    def _call(self, moment: Moment, lead: ChannelWork, name: str, in_s: float) -> Event:
        self._called.add(name)
        message = (
            f"Cone {name}{self._role(name)} should go down in {show_duration(in_s)}: go and "
            f"look at the cones; {witness(moment.words, lead.work.offset_c)}."
        )
        data: dict[str, Value] = {
            "cone": name,
            "in_s": round(in_s, 0),
            "work": round(lead.work.work_of(name), 3),
            "offset_c": round(lead.work.offset_c, 1),
        }
        return moment.event(Kind.CONE_NEAR, Severity.INFO, message, data)

    def _awaited(self, moment: Moment, name: str, done: float, in_s: float | None) -> list[Event]:
        """Take the call back if the cone will not fall after all."""
        if in_s is not None and in_s <= _LOST_TIMES * self._near_s:
            self._lost_since_s.pop(name, None)
            return []
        since_s = self._lost_since_s.setdefault(name, moment.elapsed_s)
        cools = moment.plan.is_past_peak and moment.rate_c_per_h < COOLING_C_PER_H
        if moment.elapsed_s - since_s < _LOST_S and not cools:
            return []
        self._called.remove(name)
        del self._lost_since_s[name]
        message = f"Cone {name}{self._role(name)} is not expected soon any more."
        data: dict[str, Value] = {"cone": name, "work": round(done, 3)}
        return [moment.event(Kind.CONE_NEAR, Severity.INFO, message, data, state=State.CLEARED)]

    def _forecast(self, moment: Moment, lead: ChannelWork, name: str) -> float | None:
        outlook = outlook_of(moment, lead)
        return None if outlook is None else expected_s(outlook, name, self._longest_s)

    def _role(self, name: str) -> str:
        if self._target is None:
            return ""
        guide, target, guard = pack_around(self._target)
        if name == target:
            return ", the target,"
        return ", the guide," if name == guide else ", the guard," if name == guard else ""


def outlook_of(moment: Moment, lead: ChannelWork) -> Outlook | None:
    """What a forecast starts from at this moment; None while the kiln can't be seen."""
    if moment.temp_c is None:
        return None
    return Outlook(
        moment.plan,
        lead,
        moment.temp_c,
        moment.sigma_c,
        moment.rate_c_per_h,
        moment.rate_sigma_c_per_h,
    )
