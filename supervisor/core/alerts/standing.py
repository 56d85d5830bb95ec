"""What is said of a condition that still stands: for how long by now, and what to go and look at.

Made anew from the figures that the alert was raised with, in the firing's scale: the sentence of
its beginning ("7 minutes now") goes stale. Knows words, not when they are due.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from supervisor.core.alerts.alert import Alert
from supervisor.core.alerts.rules import Now
from supervisor.core.events import Kind
from supervisor.core.readings import FaultCause
from supervisor.core.sensor_checks import BEFORE_TOUCHING, SENSOR_CHECKS
from supervisor.core.watch.detectors.advice import (
    CLIMB_STOPPED,
    COOLING_FAST,
    HEAT_LOST,
    LATE,
    STUCK_ON,
    UNEVEN,
)
from supervisor.core.watch.wording import Words, show_duration

_BEGINNINGS = ("since_s", "last_reading_s")
"""Where the figures of an alert say when its trouble began, sooner than it was noticed."""


def standing_s(alert: Alert, elapsed_s: float) -> float:
    """How long the alert's condition has stood at ``elapsed_s``, seconds; never below 0."""
    began_s = alert.raised_at_s
    for name in _BEGINNINGS:
        value = alert.data.get(name)
        if isinstance(value, int | float) and not isinstance(value, bool):
            began_s = min(began_s, float(value))
    return max(elapsed_s - began_s, 0.0)


def standing_message(alert: Alert, now: Now, words: Words, kiln_kind: str | None) -> str:
    """Whole sentences of a warning or a critical alert that stands."""
    say = _SAYINGS.get(alert.kind)
    lasts = show_duration(standing_s(alert, now.elapsed_s))
    if say is None:
        return f"This has stood for {lasts}. When it began: {alert.message}"
    what, look = say(_Standing(alert, words, kiln_kind if kiln_kind in LATE else None, lasts))
    reads = ""
    if now.temp_c is not None and alert.kind not in _UNSEEN:
        reads = f" It reads {words.temp(now.temp_c)} now."
    return f"{what}.{reads} {look}"


_UNSEEN = frozenset({Kind.SENSOR_FAULT, Kind.NO_READINGS})
"""While these stand, what the kiln reads is no part of the matter."""

_Saying = tuple[str, str]
"""What stands, without its full stop, and what to go and look at."""


@dataclass(frozen=True, slots=True)
class _Standing:
    """One alert that stands for ``lasts``, in words."""

    alert: Alert
    words: Words
    kind: str | None
    lasts: str

    def _number(self, name: str) -> float | None:
        value = self.alert.data.get(name)
        if isinstance(value, bool) or not isinstance(value, int | float):
            return None
        return float(value)

    def _temp(self, name: str, text: str) -> str:
        """``text`` with a temperature of the alert in place of its star; nothing without one."""
        temp_c = self._number(name)
        return "" if temp_c is None else text.replace("*", self.words.temp(temp_c))

    def _band(self) -> str:
        band, fastest = self.alert.data.get("band"), self._number("fastest_c_per_h")
        if not band:
            return ""
        limit = "" if fastest is None else f", where up to {self.words.rate(fastest)} is advisable,"
        return f" through “{band}”{limit}"

    def stall(self) -> _Saying:
        rate = self._number("planned_rate_c_per_h")
        how = "by itself" if rate is None else self.words.rate(rate)
        plan = self._temp("to_c", f", where the plan climbs {how} to *")
        advice = CLIMB_STOPPED[self.kind]
        return (
            f"The kiln has hardly climbed for {self.lasts}{plan}",
            advice[0].upper() + advice[1:],
        )

    def lagging(self) -> _Saying:
        what = f"The climb has been dying away{self._temp('to_c', ' below the * of its plan')} "
        what += f"for {self.lasts}, so hold and cone may be out of reach"
        return what, f"Go and look how it is heated, and at the witness cones; {LATE[self.kind]}."

    def heat_lost(self) -> _Saying:
        was = self._temp("temp_c", "; it was at * when that was noticed")
        return f"The kiln has been losing heat for {self.lasts}{was}", HEAT_LOST[self.kind]

    def stuck_on(self) -> _Saying:
        was = self._temp("temp_c", "; it was at * when that was noticed")
        climbed = "where its plan says it should not"
        if self._number("planned_rate_c_per_h") is not None:
            climbed = "faster than its plan"
        what = f"For {self.lasts} the kiln has climbed {climbed}{was}: "
        return f"{what}the heat may be stuck on", STUCK_ON[self.kind]

    def over_limit(self) -> _Saying:
        look = "Go and look now: switch it off at its isolator or shut off the gas, if that can be "
        look += "done safely, and follow the kiln maker's instructions."
        limit = self._temp("limit_c", " of *")
        return f"The kiln has been above its limit{limit} for {self.lasts}", look

    def overshoot(self) -> _Saying:
        top = self._temp("top_c", "the * of ")
        look = "Go and look whether the heat is turned down or off, or the plan is the wrong one, "
        look += "and at the witness cones."
        return f"The kiln has been hotter than {top}its plan for {self.lasts}", look

    def uneven(self) -> _Saying:
        hot, cold = self.alert.data.get("hot"), self.alert.data.get("cold")
        allowed_c = self._number("allowed_c")
        by = ""
        if allowed_c is not None:
            by = f" by more than the {self.words.difference(allowed_c)} allowed"
        if hot is None or cold is None:
            return f"The kiln has been uneven for {self.lasts}", f"Go and look {UNEVEN[self.kind]}"
        if self._number("left_c") is not None:
            look = f"There look {UNEVEN[self.kind]} See too whether its probe has slipped or "
            look += "touches something."
            return f"The rest of the kiln has left “{cold}” behind for {self.lasts}", look
        look = f"At “{cold}” look {UNEVEN[self.kind]} See too whether either probe has slipped or "
        look += "touches something."
        return f"“{hot}” has been hotter than “{cold}”{by} for {self.lasts}", look

    def sensor(self) -> _Saying:
        name = f" “{self.alert.channel}”" if self.alert.channel else ""
        what = f"For {self.lasts} thermocouple{name} has not been believed"
        try:
            cause = FaultCause(str(self.alert.data.get("cause")))
        except ValueError:
            return what, f"Go and look at its probe, leads and board. {BEFORE_TOUCHING}"
        check = SENSOR_CHECKS[cause]
        touch = f" {BEFORE_TOUCHING}" if check.is_hands_on else ""
        return what, f"It {check.whole}.{touch}"

    def no_readings(self) -> _Saying:
        what = f"No thermocouple has given a usable value for {self.lasts}"
        return (
            f"{what}: spyhole can't see the kiln",
            "Go and look at the kiln itself, then at the rig's power and wiring.",
        )

    def fast_heating(self) -> _Saying:
        return (
            f"The kiln has climbed too fast{self._band()} for {self.lasts}",
            "Turn down, and go and look whether the kiln fires the right plan.",
        )

    def fast_cooling(self) -> _Saying:
        look = f"{COOLING_FAST[self.kind]}; hot ware cracks in a draught, and a hot kiln is never "
        return f"The kiln has fallen too fast{self._band()} for {self.lasts}", f"{look}opened."


_SAYINGS: Mapping[Kind, Callable[[_Standing], _Saying]] = {
    Kind.STALL: _Standing.stall,
    Kind.LAGGING: _Standing.lagging,
    Kind.HEAT_LOST: _Standing.heat_lost,
    Kind.HEAT_STUCK_ON: _Standing.stuck_on,
    Kind.OVER_LIMIT: _Standing.over_limit,
    Kind.OVERSHOOT: _Standing.overshoot,
    Kind.UNEVEN: _Standing.uneven,
    Kind.SENSOR_FAULT: _Standing.sensor,
    Kind.NO_READINGS: _Standing.no_readings,
    Kind.FAST_HEATING: _Standing.fast_heating,
    Kind.FAST_COOLING: _Standing.fast_cooling,
}
