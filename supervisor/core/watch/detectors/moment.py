"""What a detector is shown of one instant, and how it says what it sees."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from supervisor.core.events import Event, Kind, Severity, State, Value
from supervisor.core.watch.follower import PlanFollower
from supervisor.core.watch.wording import Words


@dataclass(slots=True)
class Moment:
    """The kiln at one instant. ``temp_c`` is None while no channel can be trusted.

    One object is kept and brought up to date for each reading; detectors must not keep it.
    """

    plan: PlanFollower
    words: Words
    elapsed_s: float = 0.0
    dt_s: float = 0.0
    time: str | None = None
    temp_c: float | None = None
    rate_c_per_h: float = 0.0
    rate_sigma_c_per_h: float = 0.0
    sigma_c: float = 0.0

    def event(
        self,
        kind: Kind,
        severity: Severity,
        message: str,
        data: Mapping[str, Value],
        *,
        state: State = State.RAISED,
        channel: str | None = None,
        elapsed_s: float | None = None,
    ) -> Event:
        """An event at this moment (or at ``elapsed_s``, when it was due between readings).

        No reading has a label for a time between readings, so such an event has none.
        """
        due_before = elapsed_s is not None
        at_s = self.elapsed_s if elapsed_s is None else elapsed_s
        return Event(
            elapsed_s=at_s,
            kind=kind,
            severity=severity,
            state=state,
            message=message,
            channel=channel,
            time=None if due_before else self.time,
            data=data,
        )
