"""What a detector is shown of one instant, and how it says what it sees."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from supervisor.core.events import Event, Kind, Severity, State, Value
from supervisor.core.watch.detectors.habits import Habits
from supervisor.core.watch.follower import PlanFollower
from supervisor.core.watch.following import Following
from supervisor.core.watch.shed import SHED_C
from supervisor.core.watch.wording import Words

_JUMP_C, _JUMP_C_PER_S = 8.0, 0.6
"""An estimate that moves by more has changed its probe or its mind; no kiln moves so."""
_RESTART_LOOKS = 4.0
"""A filter that begins anew at a level that several values agree on makes up for their time."""
_GAP_S = 600.0
"""What a kiln did in a longer silence is not known."""
_LEAST_MEMORY_S = 20.0


@dataclass(slots=True)
class Moment:
    """The kiln at one instant. ``temp_c`` is None while no channel can be trusted.

    One object is kept and brought up to date for each look; detectors must not keep it.
    ``moved_c`` is how far the filtered temperature has moved since the last look and
    ``moved_s`` in which time; both are 0 after a gap, a jump or a change of the leading probe.
    ``jumped_c`` is how far it has jumped at this look, farther than a kiln can move or from one
    probe to another.
    ``memory_s`` is the time in which the filter forgets its errors. ``unseen_s`` is for how long
    the kiln had not been seen where it is seen again, 0 while it is.
    """

    plan: PlanFollower
    words: Words
    elapsed_s: float = 0.0
    time: str | None = None
    temp_c: float | None = None
    rate_c_per_h: float = 0.0
    rate_sigma_c_per_h: float = 0.0
    sigma_c: float = 0.0
    moved_c: float = 0.0
    moved_s: float = 0.0
    jumped_c: float = 0.0
    unseen_s: float = 0.0
    following: Following | None = None
    """How the channels move beside one another; None where there is one alone."""
    habits: Habits = field(default_factory=Habits)
    kiln_kind: str | None = None
    ambient_c: float = SHED_C
    """The air about the kiln."""
    is_new_lead: bool = False
    """Whether another channel leads than at the last look: what the old one did is no move of the
    kiln's to go on adding up."""
    _last_c: float | None = None
    _last_s: float = 0.0
    _lead: int | None = None

    def see(
        self,
        temp_c: float | None,
        rate_c_per_h: float,
        rate_sigma_c_per_h: float,
        sigma_c: float,
        lead: int | None = 0,
    ) -> None:
        """Take over the estimate for this instant; ``lead`` is the channel it comes from."""
        self.temp_c = temp_c
        if temp_c is None:
            self.is_new_lead = False
            self._last_c = None
            self.moved_c = self.moved_s = self.unseen_s = self.jumped_c = 0.0
            return
        self.rate_c_per_h = rate_c_per_h
        self.rate_sigma_c_per_h = rate_sigma_c_per_h
        self.sigma_c = sigma_c
        elapsed_s, last_c = self.elapsed_s, self._last_c
        since_s = elapsed_s - self._last_s
        self._last_c, self._last_s = temp_c, elapsed_s
        self.unseen_s = since_s if last_c is None or since_s > _GAP_S else 0.0
        self.jumped_c = 0.0
        if last_c is None or since_s > _GAP_S or lead != self._lead:
            self.is_new_lead = lead != self._lead
            if last_c is not None and self.unseen_s == 0.0:
                self.jumped_c = temp_c - last_c
            self._lead = lead
            self.moved_c = self.moved_s = 0.0
            return
        self.is_new_lead = False
        moved_c = temp_c - last_c
        most_c = _JUMP_C + _RESTART_LOOKS * _JUMP_C_PER_S * since_s
        if abs(moved_c) <= most_c:
            self.moved_c, self.moved_s = moved_c, since_s
        else:
            self.jumped_c = moved_c
            self.moved_c = self.moved_s = 0.0

    @property
    def is_after_a_gap(self) -> bool:
        """Whether the kiln was unseen for so long that what it did before says nothing any more."""
        return self.unseen_s > _GAP_S

    @property
    def is_alone(self) -> bool:
        """Whether no other channel can be believed beside the one that leads."""
        return self.following is None or self.following.is_alone(self._lead)

    @property
    def falls_alone(self) -> bool:
        """Whether only the leading channel falls, while the others go on gaining."""
        return self.following is not None and self.following.falls_alone(self._lead)

    @property
    def zones_c(self) -> tuple[float, float] | None:
        """The coldest and the hottest of several channels that are believed; None beside none."""
        return None if self.following is None else self.following.zones_c()

    @property
    def mean_rate_c_per_h(self) -> float:
        """The mean rate of all channels that are believed: noise has less part in it."""
        if self.following is None:
            return self.rate_c_per_h
        rate_c_per_s = self.following.mean_rate_c_per_s()
        return self.rate_c_per_h if rate_c_per_s is None else rate_c_per_s * 3600.0

    @property
    def others_rate_c_per_h(self) -> float | None:
        """The mean rate of the channels that are believed beside the one that leads; None if there
        is none."""
        if self.following is None:
            return None
        rate_c_per_s = self.following.mean_rate_c_per_s(beside=self._lead)
        return None if rate_c_per_s is None else rate_c_per_s * 3600.0

    @property
    def memory_s(self) -> float:
        """Two standard deviations of a steady Kalman filter make a time: σ(T)/σ(rate)."""
        rate_sigma = self.rate_sigma_c_per_h
        if rate_sigma <= 0.0:
            return _LEAST_MEMORY_S
        return max(self.sigma_c / rate_sigma * 3600.0, _LEAST_MEMORY_S)

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
