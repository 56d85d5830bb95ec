"""The kiln's one temperature, from the channel that leads. Knows nothing of the plan.

The first healthy channel leads. While several are healthy, the others' difference from the
leader is learned, so that another can step in for a broken leader without a jump.
"""

from __future__ import annotations

import math

from supervisor.core.readings import FaultCause
from supervisor.core.watch.channel import ChannelTrack

_DIFFERENCE_S, _SETTLES_S = 600.0, 300.0
"""Time constant over which the difference between channels is remembered. What is learned counts
after five minutes: a probe that slips has taught wrongly by the time that it is suspected."""
_EVERY_S = 9.5
"""Who else could lead is looked into so often, while the leader is well."""
_TAKE_BACK_S = 300.0
"""A channel that was faulty leads again only after having been healthy for this long."""
_STRANGE_C = 25.0
"""A channel that reads this much off its old place among the others does not lead again."""
_KELVIN_C = 273.15


class KilnEstimate:
    """Which channel leads (``lead``, None when blind), and what the kiln is by it (``now``)."""

    __slots__ = (
        "_differences",
        "_due_s",
        "_handed_over_c",
        "_healthy_since_s",
        "_hottest_c",
        "_last_s",
        "_learned",
        "_learned_s",
        "_tracks",
        "lead",
        "offset_c",
    )

    def __init__(self, tracks: tuple[ChannelTrack, ...]) -> None:
        self._tracks = tracks
        self._differences: list[float | None] = [None] * len(tracks)
        self._learned = [self._differences, self._differences]
        """What was known at the last two settlings, the older first."""
        self._learned_s = self._due_s = -math.inf
        self._healthy_since_s: list[float | None] = [None] * len(tracks)
        self._last_s: float | None = None
        self._handed_over_c: float | None = None
        """How hot the leader was when it took over from the first channel."""
        self._hottest_c = -math.inf
        self.lead: int | None = None
        self.offset_c = 0.0

    def now(self) -> tuple[float | None, float, float, float]:
        """Temperature in °C, rate in °C/h, and one standard deviation of the rate and of the
        temperature, as the leader has them at its last value; None and zeros when blind.

        The temperature is put where the first channel's would be.
        """
        known = None if self.lead is None else self._tracks[self.lead].estimate
        if known is None:
            return None, 0.0, 0.0, 0.0
        temp_c = known.temp_c
        if self.offset_c != 0.0:
            temp_c += self.offset_c * self._closer
        return (
            temp_c,
            known.rate_c_per_s * 3600.0,
            known.rate_sigma_c_per_s * 3600.0,
            known.temp_sigma_c,
        )

    @property
    def is_current(self) -> bool:
        """Whether the leader's last value was taken up; if not, its temperature is a guess."""
        return self.lead is not None and self._tracks[self.lead].is_current

    def update(self, elapsed_s: float) -> None:
        """Settle who leads, after all channels have been looked at."""
        tracks = self._tracks
        if len(tracks) == 1:
            self.lead = 0 if tracks[0].is_healthy else None
        else:
            self._choose(elapsed_s)

    def _choose(self, elapsed_s: float) -> None:
        tracks, since = self._tracks, self._healthy_since_s
        if self.lead is not None and elapsed_s < self._due_s:
            leader = tracks[self.lead]
            if leader.is_healthy and not leader.is_suspected:
                return
        self._due_s = elapsed_s + _EVERY_S
        for i, track in enumerate(tracks):
            if not track.is_healthy or track.is_suspected:
                since[i] = None
            elif since[i] is None:
                since[i] = elapsed_s
        lead = self.lead
        if lead is None or since[lead] is None:
            heir = next((i for i, at in enumerate(since) if at is not None), None)
            if heir is None and not (lead is not None and tracks[lead].is_healthy):
                heir = next((i for i, track in enumerate(tracks) if track.is_healthy), None)
            elif heir is None:
                heir = lead
            self._hand_over(heir)
        else:
            for i in range(lead):
                at_s = since[i]
                if (
                    at_s is not None
                    and elapsed_s - at_s >= _TAKE_BACK_S
                    and not self._is_strange(i, lead)
                ):
                    self._hand_over(i)
                    break
        if self.offset_c != 0.0 and self._first_is_strange:
            self.offset_c = 0.0
        self._learn(elapsed_s)
        leads_c = tracks[self.lead].temp_c if self.lead else None
        if leads_c is not None:
            if self._handed_over_c is None:
                self._handed_over_c = self._hottest_c = leads_c
            self._hottest_c = max(self._hottest_c, leads_c)

    def _hand_over(self, lead: int | None) -> None:
        if lead == self.lead:
            return
        self.lead = lead
        if lead == 0:
            self._handed_over_c = None
        known = None
        if lead and not self._first_is_strange:
            known = self._learned[0][lead]
            if known is None:
                known = self._differences[lead]
        self.offset_c = 0.0 if known is None else -known

    @property
    def _closer(self) -> float:
        """What is left of a difference between zones that nobody has seen since. They radiate to
        each other as 4 sigma T^3 by the degree (Stefan-Boltzmann), and what flows between them
        grows with what the kiln loses, about as T."""
        from_c = self._handed_over_c
        if from_c is None:
            return 1.0
        return ((from_c + _KELVIN_C) / (self._hottest_c + _KELVIN_C)) ** 2

    @property
    def _first_is_strange(self) -> bool:
        """Whether channel 0, against which differences are kept, never was with the others."""
        first = self._tracks[0]
        return first.fault is FaultCause.REVERSED or first.is_stranger or first.resolution_c is None

    def _is_strange(self, i: int, lead: int) -> bool:
        """Whether channel ``i`` has left the place that it had beside ``lead``."""
        own_c, lead_c = self._tracks[i].temp_c, self._tracks[lead].temp_c
        own_apart_c = self._differences[i] if i else 0.0
        lead_apart_c = self._differences[lead]
        if own_c is None or lead_c is None or own_apart_c is None or lead_apart_c is None:
            return False
        stood_apart_c = (own_apart_c - lead_apart_c) * self._closer
        return abs((own_c - lead_c) - stood_apart_c) > _STRANGE_C

    def _learn(self, elapsed_s: float) -> None:
        last_s, self._last_s = self._last_s, elapsed_s
        first = self._tracks[0]
        if last_s is None or self.lead != 0 or not first.is_current:
            return
        if elapsed_s - self._learned_s >= _SETTLES_S:
            self._learned_s = elapsed_s
            self._learned = [self._learned[1], list(self._differences)]
        weight = min(1.0, (elapsed_s - last_s) / _DIFFERENCE_S)
        first_c = first.temp_c
        assert first_c is not None  # noqa: S101 - it is healthy
        for i in range(1, len(self._tracks)):
            track = self._tracks[i]
            if track.is_healthy and track.is_current and track.temp_c is not None:
                apart_c = track.temp_c - first_c
                known = self._differences[i]
                self._differences[i] = (
                    apart_c if known is None else known + weight * (apart_c - known)
                )
