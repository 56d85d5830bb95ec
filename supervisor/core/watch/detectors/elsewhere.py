"""One zone that climbs by itself in a kiln that cools. Knows the channels, not the plan.

One relay of several may weld: its zone climbs while the one that leads still falls.
"""

from __future__ import annotations

from supervisor.core.watch.channel import ChannelTrack

CLIMBS_C_PER_H = 12.0
"""At less the kiln may still be settling."""
WARM_C = 120.0
"""Below this, the sun, or the next firing."""
ELSEWHERE_C = 12.0
_MINUTES = 10
"""A zone that does not lead has come up by so much in so many minutes: heat from its neighbours,
or a probe that settles, does less (common practice, no source)."""


class Elsewhere:
    """Looks each minute whether one zone climbs by itself."""

    __slots__ = ("_before_c", "_tracks")

    def __init__(self, tracks: tuple[ChannelTrack, ...]) -> None:
        self._tracks = tracks
        self._before_c: list[list[float]] = [[] for _ in tracks]

    def forget(self) -> None:
        """What the channels did before says nothing any more."""
        for before_c in self._before_c:
            before_c.clear()

    def climbing(self, least_c: float) -> ChannelTrack | None:
        """Take in one more minute; a channel that has come up by ``least_c``, or None."""
        found = None
        for track, before_c in zip(self._tracks, self._before_c, strict=True):
            temp_c, rate_c_per_s = track.temp_c, track.rate_c_per_s
            if temp_c is None or not track.is_healthy or track.is_suspected or track.is_stranger:
                before_c.clear()
                continue
            before_c[:] = [*before_c[1 - _MINUTES :], temp_c]
            climbs = rate_c_per_s is not None and rate_c_per_s * 3600.0 > CLIMBS_C_PER_H
            # What has dipped and come back is no higher than it was.
            if climbs and temp_c - before_c[0] > least_c and temp_c > WARM_C:
                found = track
        return found

    def leaving(self, least_c: float) -> ChannelTrack | None:
        """A channel that is hotter than the others are in the mean and has left them upwards by
        ``least_c``, or None; ``climbing`` has taken in this minute."""
        seen = [
            (track, before_c[0], before_c[-1])
            for track, before_c in zip(self._tracks, self._before_c, strict=True)
            if before_c
        ]
        others = len(seen) - 1
        if others < 1:
            return None
        all_were_c, all_are_c = sum(was for _, was, _ in seen), sum(now for _, _, now in seen)
        for track, was_c, is_c in seen:
            was_apart_c = was_c - (all_were_c - was_c) / others
            apart_c = is_c - (all_are_c - is_c) / others
            if min(apart_c, apart_c - was_apart_c, is_c - was_c) > least_c:
                return track
        return None
