"""The kiln climbs, but is late beyond tolerance and gets later; or can't reach its step's top.

Late is no fault: many a full kiln is. It is told as information, and as a warning only where the
climb dies away below the top of its step, so that hold and cone are out of reach.
"""

from __future__ import annotations

import math

from supervisor.core.events import Event, Kind, Severity, State
from supervisor.core.schedule.model import Schedule
from supervisor.core.watch.detectors.advice import LATE
from supervisor.core.watch.detectors.by_whom import may_dry_by_hand
from supervisor.core.watch.detectors.moment import Moment
from supervisor.core.watch.detectors.reduction import Reduction
from supervisor.core.watch.moves import CLIMBING, HOLDING
from supervisor.core.watch.sensitivity import Sensitivity
from supervisor.core.watch.wording import show_duration

_LOOK_S = 60.0
_GETS_LATER = 0.9
"""Below this part of its planned pace a kiln gets later."""
_FOR_S = 600.0
_CAUGHT_UP = 0.5
"""With this part of the tolerance left, a kiln is on time again."""
_CATCHES_UP = 0.25
"""A kiln that has made good so much of the tolerance since it was latest no longer gets later; it
is told again when it has lost as much anew."""
_FAST_S, _SLOW_S = 1200.0, 3600.0
"""Two running means of the pace; their ratio says how fast the climb dies away."""
_DIES_BELOW, _DIES_FOR_S = 0.35, 1800.0
"""Below this part of the planned pace for so long, a climb may be dying (common practice)."""
_DIES_BY = 0.8
"""A pace that is merely less than it was, by up to a third, leaves the two means nearer."""
_SHORT_C = 8.0
"""An end so far below the top is too low for hold and cone."""
_LEAST_C_PER_H = 1.0
_DRY_C = 120.0
"""Up to there ware dries, and how long that takes only its potter knows (common practice)."""


class Lagging:
    """Looks once a minute at how late the kiln is."""

    __slots__ = (
        "_dying_since_s",
        "_fast_c_per_h",
        "_later_since_s",
        "_look_s",
        "_looked_c",
        "_looked_s",
        "_reduction",
        "_scale",
        "_severity",
        "_slow_c_per_h",
        "_step_index",
        "_tolerance_s",
        "_turned_s",
        "is_raised",
    )

    def __init__(
        self, tolerance_s: float, sensitivity: Sensitivity, schedule: Schedule | None = None
    ) -> None:
        self._reduction = Reduction(schedule)
        self._tolerance_s = tolerance_s
        self._scale = sensitivity.scale(Kind.LAGGING)
        self._look_s = float("-inf")
        self._looked_s = 0.0
        self._looked_c: float | None = None
        self._fast_c_per_h: float | None = None
        self._slow_c_per_h = 0.0
        self._step_index = -1
        self._later_since_s: float | None = None
        self._dying_since_s: float | None = None
        self._severity = Severity.INFO
        self._turned_s = 0.0
        """The latest that it was while that was told; since it caught up, the least late."""
        self.is_raised = False

    def feed(self, moment: Moment, *, is_stalled: bool) -> list[Event]:
        """Events of this moment; a kiln that stands still is spoken of as that."""
        elapsed_s, temp_c = moment.elapsed_s, moment.temp_c
        if elapsed_s < self._look_s or temp_c is None:
            return []
        self._look_s = elapsed_s + _LOOK_S
        plan, step = moment.plan, moment.plan.step
        late_s = plan.late_s(elapsed_s, temp_c)
        climbs = plan.activity is CLIMBING and step is not None
        if is_stalled:
            # What the pace was while the kiln stood says nothing of how it climbs after that.
            self._looked_c = self._fast_c_per_h = None
            self._later_since_s = self._dying_since_s = None
            return []
        may_dry = plan.is_candling or (plan.is_beginning and temp_c < _DRY_C)
        if step is None or not climbs or late_s is None or may_dry:
            self._looked_c = self._fast_c_per_h = None
            self._later_since_s = self._dying_since_s = None
            over = plan.is_past_peak or late_s is None or late_s < _CAUGHT_UP * self._tolerance_s
            over = over or (plan.activity is HOLDING and self._severity is not Severity.INFO)
            return self._clear(moment, late_s) if self.is_raised and over else []
        self._pace(moment, temp_c, step.index)
        planned_c_per_h, fast_c_per_h = step.rate_c_per_h, self._fast_c_per_h
        if planned_c_per_h is None or fast_c_per_h is None:
            return []
        if fast_c_per_h > _GETS_LATER * planned_c_per_h:
            self._later_since_s = None
        elif self._later_since_s is None:
            self._later_since_s = elapsed_s
        events: list[Event] = []
        if self.is_raised and late_s < _CAUGHT_UP * self._tolerance_s:
            events += self._clear(moment, late_s)
            self._turned_s = 0.0
        elif self.is_raised:
            self._turned_s = max(self._turned_s, late_s)
            catches_up = late_s < self._turned_s - _CATCHES_UP * self._tolerance_s
            if catches_up and self._severity is Severity.INFO:
                events += self._clear(moment, late_s, _catches_up(late_s))
                self._turned_s = late_s
        else:
            self._turned_s = min(self._turned_s, late_s)
        later_since_s = self._later_since_s
        is_later = later_since_s is not None and elapsed_s - later_since_s >= _FOR_S
        is_late = late_s > self._tolerance_s and is_later
        ends_c = self._ends_c(moment, temp_c, planned_c_per_h, step.to_c)
        if is_late and ends_c is not None:
            if not self.is_raised or self._severity is Severity.INFO:
                if self.is_raised:
                    events += self._clear(moment, late_s, _WORSE)
                events.append(self._threatens(moment, temp_c, late_s, ends_c, step.to_c))
        elif (
            is_late
            and not self.is_raised
            and late_s > self._turned_s + _CATCHES_UP * self._tolerance_s
        ):
            events.append(self._raise(moment, late_s, planned_c_per_h, fast_c_per_h))
        return events

    def _pace(self, moment: Moment, temp_c: float, index: int) -> None:
        looked_c, looked_s = self._looked_c, self._looked_s
        self._looked_c, self._looked_s = temp_c, moment.elapsed_s
        if index != self._step_index:
            self._step_index = index
            self._fast_c_per_h = None
            self._later_since_s = self._dying_since_s = None
        since_s = moment.elapsed_s - looked_s
        if looked_c is None or since_s > 10.0 * _LOOK_S:
            return
        rate_c_per_h = (temp_c - looked_c) / since_s * 3600.0
        if self._fast_c_per_h is None:
            self._fast_c_per_h = self._slow_c_per_h = rate_c_per_h
            return
        self._fast_c_per_h += since_s / _FAST_S * (rate_c_per_h - self._fast_c_per_h)
        self._slow_c_per_h += since_s / _SLOW_S * (rate_c_per_h - self._slow_c_per_h)

    def _ends_c(
        self, moment: Moment, temp_c: float, planned_c_per_h: float, to_c: float
    ) -> float | None:
        """Where the climb will end, if it dies away below ``to_c``; None if that can't be said."""
        fast = max(self._fast_c_per_h or 0.0, _LEAST_C_PER_H)
        slow = max(self._slow_c_per_h, _LEAST_C_PER_H)
        dies = fast <= _DIES_BELOW * planned_c_per_h and fast < _DIES_BY * slow
        may_wait = moment.plan.is_drying or moment.plan.is_beginning or may_dry_by_hand(moment)
        if not dies or may_wait or self._reduction.may_be_at(temp_c, moment.kiln_kind):
            self._dying_since_s = None
            return None
        if self._dying_since_s is None:
            self._dying_since_s = moment.elapsed_s
        if moment.elapsed_s - self._dying_since_s < _DIES_FOR_S * self._scale:
            return None
        # A pace that falls by exp(-t/τ): running means with memories f and s lag by these.
        dies_s = (_SLOW_S - _FAST_S) / math.log(slow / fast)
        ends_c = temp_c + fast * dies_s / 3600.0
        return ends_c if ends_c < to_c - _SHORT_C else None

    def _raise(
        self, moment: Moment, late_s: float, planned_c_per_h: float, fast_c_per_h: float
    ) -> Event:
        self.is_raised, self._severity = True, Severity.INFO
        words = moment.words
        return moment.event(
            Kind.LAGGING,
            Severity.INFO,
            f"The kiln is {show_duration(late_s)} behind its plan and gets later: it climbs "
            f"{words.rate(max(fast_c_per_h, 0.0))} where {words.rate(planned_c_per_h)} is "
            f"planned. That does no harm by itself; {LATE[moment.kiln_kind]}.",
            {
                "late_s": round(late_s, 0),
                "rate_c_per_h": round(fast_c_per_h, 1),
                "planned_rate_c_per_h": round(planned_c_per_h, 1),
            },
        )

    def _threatens(
        self, moment: Moment, temp_c: float, late_s: float, ends_c: float, to_c: float
    ) -> Event:
        self.is_raised, self._severity = True, Severity.WARNING
        words = moment.words
        return moment.event(
            Kind.LAGGING,
            Severity.WARNING,
            f"The climb dies away: at {words.temp(temp_c)} now, the kiln looks like ending near "
            f"{words.temp(ends_c)}, short of the {words.temp(to_c)} of its plan, so hold and cone "
            f"may be out of reach. Go and look how it is heated, and at the witness "
            f"cones; {LATE[moment.kiln_kind]}.",
            {
                "late_s": round(late_s, 0),
                "temp_c": round(temp_c, 1),
                "ends_c": round(ends_c, 1),
                "to_c": round(to_c, 1),
            },
        )

    def _clear(
        self, moment: Moment, late_s: float | None, became: str | None = None
    ) -> list[Event]:
        severity = self._severity
        self.is_raised = False
        on_time = late_s is not None and late_s < _CAUGHT_UP * self._tolerance_s
        if became is None:
            became = _CAUGHT_UP_WITH if on_time else _over(moment)
        return [
            moment.event(
                Kind.LAGGING,
                severity,
                became,
                {"late_s": None if late_s is None else round(late_s, 0)},
                state=State.CLEARED,
            )
        ]


def _over(moment: Moment) -> str:
    """What has become of a late climb that was not caught up."""
    plan = moment.plan
    if plan.is_past_peak:
        return "The climb is over, late as it was: the kiln is past the hottest part of its plan."
    if plan.activity is HOLDING:
        return "The kiln has come to its hold after all, late as it is."
    return "The kiln is in a part of its plan now that has no time to be late by."


def _catches_up(late_s: float) -> str:
    return (
        f"The kiln no longer gets later: it climbs faster than its plan, and is "
        f"{show_duration(late_s)} behind by now."
    )


_CAUGHT_UP_WITH = "The kiln has caught up with its plan."
_WORSE = "The kiln is no longer just late: its climb dies away, of which a warning tells."
