"""One zone that climbs by itself in a kiln that cools. Knows the channels, not the plan.

One relay of several may weld: its zone climbs while the one that leads still falls.
"""

from __future__ import annotations

from supervisor.core.watch.channel import ChannelTrack

CLIMBS_C_PER_H = 12.0
"""At less the kiln may still be settling."""
_NO_ZONE_C_PER_H = 2000.0
"""No zone climbs so fast: a probe that says so has become noisy, or jumps (common practice)."""
WARM_C = 120.0
"""Below this, the sun, or the next firing."""
ELSEWHERE_C = 12.0
_MINUTES, _CHILL_MINUTES = 10, 3
"""A zone that does not lead has come up by so much in so many minutes: heat from its neighbours,
or a probe that settles, does less. A chill is over within the second, so that others which have one
were left by nobody (common practice, no source)."""

_SIGMAS = 8.0
"""So many deviations of one temperature are beyond what two of them differ by: 5.7 of those."""
_WARMS_C, _FALLS_C_PER_H = 5.0, 40.0
"""Zones that are hotter by so much, and fall so fast, warm the one that stands."""


class Elsewhere:
    """Looks each minute whether one zone climbs by itself."""

    __slots__ = ("_before_c", "_tracks", "_usual_c")

    def __init__(self, tracks: tuple[ChannelTrack, ...]) -> None:
        self._tracks = tracks
        self._before_c: list[list[float]] = [[] for _ in tracks]
        self._usual_c: list[float | None] = [None] * len(tracks)
        """How much hotter each was than the others, in the mean, when the last climb ended."""

    def forget(self) -> None:
        """What the channels did before says nothing any more."""
        for before_c in self._before_c:
            before_c.clear()

    def climb_ends(self) -> None:
        """The kiln has climbed by its plan until now: so far are its zones apart as a rule."""
        self.forget()
        temps_c = [track.temp_c if track.is_healthy else None for track in self._tracks]
        seen_c = [temp_c for temp_c in temps_c if temp_c is not None]
        others = len(seen_c) - 1
        self._usual_c = [
            None if temp_c is None or others < 1 else _apart_c(temp_c, sum(seen_c), others)
            for temp_c in temps_c
        ]

    def climbing(self, least_c: float) -> ChannelTrack | None:
        """Take in one more minute; a channel that has come up by ``least_c``, or None."""
        found = None
        for track, before_c in zip(self._tracks, self._before_c, strict=True):
            temp_c, rate_c_per_s = track.temp_c, track.rate_c_per_s
            if temp_c is None or not track.is_healthy or track.is_suspected or track.is_stranger:
                before_c.clear()
                continue
            before_c[:] = [*before_c[1 - _MINUTES :], temp_c]
            rate_c_per_h = 0.0 if rate_c_per_s is None else rate_c_per_s * 3600.0
            climbs = CLIMBS_C_PER_H < rate_c_per_h < _NO_ZONE_C_PER_H
            # What has dipped and come back is no higher than it was.
            up_c = min(before_c[-2:]) - before_c[0]
            if climbs and up_c > max(least_c, _doubt_c(track)) and temp_c > WARM_C:
                found = track
        return found

    def leaving(self, least_c: float) -> ChannelTrack | None:
        """A channel that is hotter than the others are in the mean and has left them upwards by
        ``least_c`` for two minutes, or None; ``climbing`` has taken in this one."""
        seen = [
            (track, before_c[0], min(before_c[-2:]), max(before_c[-_CHILL_MINUTES:]), usual_c)
            for track, before_c, usual_c in zip(
                self._tracks, self._before_c, self._usual_c, strict=True
            )
            if before_c
        ]
        others = len(seen) - 1
        if others < 1:
            return None
        all_were_c, all_are_c = sum(was for _, was, *_ in seen), sum(top for *_, top, _ in seen)
        for track, was_c, is_c, top_c, usual_c in seen:
            was_apart_c = _apart_c(was_c, all_were_c, others)
            if usual_c is not None and usual_c > was_apart_c:
                # Zones that a fall has driven together part again in the hold after it.
                was_apart_c = usual_c
            apart_c = is_c - (all_are_c - top_c) / others
            climbs = 0.0 < (track.rate_c_per_s or 0.0) * 3600.0 < _NO_ZONE_C_PER_H
            left_c = min(apart_c, apart_c - was_apart_c, is_c - was_c)
            if climbs and left_c > max(least_c, _doubt_c(track)):
                return track
        return None

    def warm(self, temp_c: float) -> bool:
        """Whether the others are hotter than the one that leads, at ``temp_c``, and fall: they warm
        it, as zones even out after a chill."""
        others = [
            (track.temp_c - temp_c, track.rate_c_per_s)
            for track in self._tracks
            if track.is_healthy and track.temp_c is not None and track.rate_c_per_s is not None
        ]
        hotter = [(apart_c, rate) for apart_c, rate in others if apart_c > _WARMS_C]
        return len(hotter) > 0 and all(rate * 3600.0 < -_FALLS_C_PER_H for _, rate in hotter)


def _doubt_c(track: ChannelTrack) -> float:
    """What noise may do to the difference of two of its temperatures."""
    return _SIGMAS * track.temp_sigma_c


def _apart_c(own_c: float, all_c: float, others: int) -> float:
    """How much hotter a channel is than so many others in the mean, of all of which that is the
    sum."""
    return own_c - (all_c - own_c) / others
