"""What a draught takes off a thermocouple comes back by itself, and is no climb.

A plug that is out, or a door that is opened a crack, chills the probe faster than any shut kiln
falls; when it is in again, the probe comes back to where the kiln is. Knows how the kiln has lately
fallen, and not what its plan wants.
"""

from __future__ import annotations

from supervisor.core.watch.detectors.moment import Moment

_USUAL_S = 300.0
"""Over which the usual fall is remembered."""
_FASTER, _LEAST_C_PER_H = 1.5, 40.0
"""A shut kiln that falls changes its pace slowly: what is faster than the usual by half, and by so
much besides, for the noise, is a draught's (common practice, no source)."""
_LOOK_S, _FADES_S, _MOST_C = 180.0, 900.0, 40.0
"""A plug is out for no longer, and its chill gone within a quarter of an hour; it takes no more
than so much off the probe. What falls fast for longer is opened, or was let go, and falls so by
itself (common practice, no source)."""


class Chill:
    """Feed it with every look; it says how far the kiln has moved, what came back left out."""

    __slots__ = ("_fast_s", "_lost_c", "_usual_c_per_s")

    def __init__(self) -> None:
        self._fast_s = self._lost_c = 0.0
        self._usual_c_per_s: float | None = None

    def moved_c(self, moment: Moment) -> float:
        """How far the kiln has moved since the last look, in °C, but for what a chill gives
        back."""
        moved_c, moved_s = moment.moved_c, moment.moved_s
        if moved_s <= 0.0:
            if -_MOST_C < moment.jumped_c < 0.0:
                self._lost_c = min(self._lost_c - moment.jumped_c, _MOST_C)
            return moved_c
        rate_c_per_s, usual_c_per_s = moved_c / moved_s, self._usual_c_per_s
        if usual_c_per_s is None:
            usual_c_per_s = rate_c_per_s
        fastest_c = (_FASTER * min(usual_c_per_s, 0.0) - _LEAST_C_PER_H / 3600.0) * moved_s
        lost_c = self._lost_c * max(1.0 - moved_s / _FADES_S, 0.0)
        if moved_c < fastest_c:
            self._fast_s += moved_s
            lost_c = min(lost_c + fastest_c - moved_c, _MOST_C)
            if self._fast_s > _LOOK_S:
                lost_c, usual_c_per_s = 0.0, rate_c_per_s
        else:
            self._fast_s = 0.0
            if moved_c > 0.0 and lost_c > 0.0:
                back_c = min(moved_c, lost_c)
                lost_c -= back_c
                moved_c -= back_c
            else:
                usual_c_per_s += min(moved_s / _USUAL_S, 1.0) * (rate_c_per_s - usual_c_per_s)
        self._lost_c, self._usual_c_per_s = lost_c, usual_c_per_s
        return moved_c
