"""One zone that stops climbing while the others climb on: it is left behind.

An element, a burner or the draught on one side has failed. Long before the kiln is as uneven as
nobody may leave it, one zone stands, while the others show that the kiln is still being heated:
so it is no missed charge and no pause. Knows the channels and the pace of the plan.
"""

from __future__ import annotations

from supervisor.core.watch.channel import ChannelTrack

_LOOK_S, BEHIND_MIN = 60.0, 12
"""More than a whole charge of most fires, and less than the quarter of an hour after which a kiln
that stands should be known (common practice, no source)."""
_STANDS, _CLIMBS, _WITH = 0.25, 0.5, 0.9
"""Less than a quarter of its plan is no climb, and half of it is one; with the others climbs what
makes nine tenths of theirs."""
_MOST_C_PER_H = 150.0
"""Plans may ask for more than a hot kiln can do."""
LEFT_C = 15.0
"""Stokes and looks move one side by less, for so long (common practice, no source)."""
_GAP_S = 180.0


class LeftBehind:
    """Looks once a minute at how each channel has climbed beside the others."""

    __slots__ = ("_before_c", "_due_s", "_looked_s", "_step", "_tracks")

    def __init__(self, tracks: tuple[ChannelTrack, ...]) -> None:
        self._tracks = tracks
        self._before_c: list[list[float]] = [[] for _ in tracks]
        self._due_s = self._looked_s = 0.0
        self._step: int | None = None

    def forget(self) -> None:
        """What the channels did before says nothing any more."""
        for before_c in self._before_c:
            before_c.clear()

    def look(self, elapsed_s: float, step: int | None) -> None:
        """Take in a minute, if it is over; a corner of the plan is taken as it comes, so that each
        step of the plan is seen by itself."""
        if elapsed_s < self._due_s:
            return
        if step != self._step or elapsed_s - self._looked_s > _GAP_S:
            self._step = step
            self.forget()
        self._looked_s, self._due_s = elapsed_s, elapsed_s + _LOOK_S
        for track, before_c in zip(self._tracks, self._before_c, strict=True):
            temp_c = track.temp_c
            if temp_c is None or not track.is_healthy or track.is_stranger:
                before_c.clear()
                continue
            before_c[:] = [*before_c[-BEHIND_MIN:], temp_c]

    def climbed_c(self) -> list[float | None]:
        """How far each channel has climbed in the last minutes; None where that is not known."""
        return [
            before_c[-1] - before_c[0] if len(before_c) > BEHIND_MIN else None
            for before_c in self._before_c
        ]

    def who(self, planned_c_per_h: float) -> tuple[int, float] | None:
        """The channel that stands while the others climb, and by how much they have left it."""
        hours = BEHIND_MIN * _LOOK_S / 3600.0
        pace_c = min(planned_c_per_h, _MOST_C_PER_H) * hours
        found = None
        climbed = self.climbed_c()
        for i, own_c in enumerate(climbed):
            others = [c for j, c in enumerate(climbed) if c is not None and j != i]
            if own_c is None or not others or own_c > _STANDS * pace_c:
                continue
            least_c = min(others)
            if least_c > _CLIMBS * pace_c and least_c - own_c > LEFT_C:
                found = i, sum(others) / len(others) - own_c
        return found

    def goes_on(self, i: int) -> bool:
        """Whether channel ``i`` still climbs less than the others."""
        climbed = self.climbed_c()
        own_c = climbed[i]
        others = [c for j, c in enumerate(climbed) if c is not None and j != i]
        if own_c is None or not others:
            return False
        return own_c < _WITH * sum(others) / len(others)
