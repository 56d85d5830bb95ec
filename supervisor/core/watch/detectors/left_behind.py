"""One zone that stops climbing while the others climb on: it is left behind.

An element, a burner or the draught on one side has failed. Long before the kiln is as uneven as
nobody may leave it, one zone stands, while the others show that the kiln is still being heated:
so it is no missed charge and no pause. Knows the channels and the pace of the plan.
"""

from __future__ import annotations

from supervisor.core.watch.channel import ChannelTrack

_LOOK_S, _LOOKS, _HEIGHT = 60.0, 12, 6
"""More than a whole charge of most fires, and less than the quarter of an hour after which a kiln
that stands should be known. At both ends the highest of six looks counts: a plug that is out for
a minute, or the foot of a charge, says nothing of the climb (common practice, no source)."""
_STANDS, _CLIMBS, _WITH = 0.25, 0.5, 0.9
"""Less than a quarter of its plan is no climb, and half of it is one; with the others climbs what
makes nine tenths of theirs."""
_MOST_C_PER_H = 150.0
"""Plans may ask for more than a hot kiln can do."""
LEFT_C = 15.0
"""Stokes and looks move one side by less, for so long (common practice, no source)."""
_GAP_S, _REMEMBERED = 180.0, 75
"""In looks: a zone that swings beside the others has been as far behind before in the last hour,
and made it good."""


class LeftBehind:
    """Looks once a minute at how each channel has climbed beside the others."""

    __slots__ = ("_apart_c", "_at_s", "_before_c", "_due_s", "_looked_s", "_step", "_tracks")

    def __init__(self, tracks: tuple[ChannelTrack, ...]) -> None:
        self._tracks = tracks
        self._before_c: list[list[float]] = [[] for _ in tracks]
        self._apart_c: list[list[float]] = [[] for _ in tracks]
        """How much hotter than the others each channel was at the last looks, by their heights."""
        self._at_s: list[float] = []
        self._due_s = self._looked_s = 0.0
        self._step: int | None = None

    def forget(self) -> None:
        """What the channels did before says nothing any more."""
        self._at_s.clear()
        for before_c in self._before_c:
            before_c.clear()

    def look(self, elapsed_s: float, step: int | None) -> bool:
        """Take in a minute, if it is over; whether it is. A corner of the plan is taken as it
        comes, so that each step of the plan is seen by itself."""
        if elapsed_s < self._due_s:
            return False
        is_gap = elapsed_s - self._looked_s > _GAP_S
        if step != self._step or is_gap:
            self._step = step
            self.forget()
        self._looked_s, self._due_s = elapsed_s, elapsed_s + _LOOK_S
        kept = _LOOKS + _HEIGHT - 1
        self._at_s[:] = [*self._at_s[-kept:], elapsed_s]
        for track, before_c in zip(self._tracks, self._before_c, strict=True):
            temp_c = track.temp_c
            if temp_c is None or not track.is_healthy or track.is_stranger:
                before_c.clear()
                continue
            before_c[:] = [*before_c[-kept:], temp_c]
        heights_c = self.now_c()
        for i, (own_c, apart_c) in enumerate(zip(heights_c, self._apart_c, strict=True)):
            others_c = _others(heights_c, i)
            if own_c is None or not others_c or is_gap:
                apart_c.clear()
            else:
                now_c = own_c - sum(others_c) / len(others_c)
                apart_c[:] = [*apart_c[-_REMEMBERED:], now_c]
        return True

    @property
    def over_s(self) -> float:
        """Over which time it is seen how far the channels have climbed."""
        return self._at_s[-1] - self._at_s[_HEIGHT - 1] if self._is_seen(self._at_s) else 0.0

    @staticmethod
    def _is_seen(looks: list[float]) -> bool:
        return len(looks) == _LOOKS + _HEIGHT

    def climbed_c(self) -> list[float | None]:
        """How far each channel has climbed in the last minutes; None where that is not known."""
        return [
            max(before_c[-_HEIGHT:]) - max(before_c[:_HEIGHT]) if self._is_seen(before_c) else None
            for before_c in self._before_c
        ]

    def now_c(self) -> list[float | None]:
        """How hot each channel has lately been; None where that is not known."""
        return [max(before_c[-_HEIGHT:], default=None) for before_c in self._before_c]

    def who(self, planned_c_per_h: float) -> tuple[int, float] | None:
        """The channel that stands while the others climb, and by how much they have left it."""
        pace_c = min(planned_c_per_h, _MOST_C_PER_H) * self.over_s / 3600.0
        found = None
        climbed = self.climbed_c()
        for i, own_c in enumerate(climbed):
            others = _others(climbed, i)
            if own_c is None or not others or own_c > _STANDS * pace_c:
                continue
            least_c = min(others)
            if least_c > _CLIMBS * pace_c and least_c - own_c > LEFT_C and self._is_new(i):
                found = i, sum(others) / len(others) - own_c
        return found

    def _is_new(self, i: int) -> bool:
        """Whether channel ``i`` was at no time so far behind the others."""
        apart_c = self._apart_c[i]
        return apart_c[-1] < min(apart_c[:-_LOOKS], default=float("-inf")) - LEFT_C

    def goes_on(self, i: int) -> bool:
        """Whether channel ``i`` still climbs less than the others."""
        climbed = self.climbed_c()
        own_c = climbed[i]
        others = _others(climbed, i)
        if own_c is None or not others:
            return False
        return own_c < _WITH * sum(others) / len(others)


def _others(known: list[float | None], i: int) -> list[float]:
    """What is known of the channels beside channel ``i``."""
    return [c for j, c in enumerate(known) if c is not None and j != i]
