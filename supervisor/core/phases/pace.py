"""Whether guarded bands are crossed too fast: the one rule that plan and watch both go by.

A band is crossed too fast where some ``LONG_C`` of it are crossed at more than ``TOLERANCE``
above the fastest advisable rate, or some ``SHORT_C`` at more than ``GROSS`` times that rate
(``GROSS_COOLING`` on the way down). A band that is narrower is judged as a whole. So neither one
reading nor the swing of a lively controller is a hurry, and a gross one is seen before the band is
left behind. A pace is seen over some minutes, for the ware lags. And ground that is lost and made
good within minutes is not gained anew: the ware never lost it.

Fed with temperatures in order of time; knows nothing of plans, noise or gaps. Between two
feeds the temperature is taken as a straight line, so a corner of the plan must be fed.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Iterable

from supervisor.core.phases.bands import Band

LONG_C, SHORT_C = 50.0, 25.0
"""A controller that swings by 5 °C to either side adds up to 10 °C to a rise: too little to make
a proper climb over ``LONG_C`` look too fast, or one over ``SHORT_C`` grossly so (chosen so)."""
TOLERANCE = 0.05
"""A rate this far above the fastest advisable one is told; nobody can tell less at the kiln."""
GROSS, GROSS_COOLING = 2.0, 1.3
"""What cools swings about nothing, and falls most steeply at first: an opened kiln is to be told of
while it can be shut again (common practice, no source)."""
_LAGS_S, _STOKED_LAGS_S = 600.0, 1800.0
"""What is lost and made good within this time the ware has hardly seen: a pot in its setting
follows the air about it within some ten minutes, and an on and off controller swings within five. A
fire that is stoked swings with each charge, for the longer of which some twenty minutes go by, and
is no hotter than it was before until it is hotter than at the height of the last (common practice,
no source)."""
_SEEN_S, _CHARGE_S = 300.0, 600.0
"""How fast a kiln climbs is seen over no less than this: a flame or a draught swings a probe by
tens of degrees within a minute, of which the ware sees little; and over no less than a charge
takes, with which a fire goes up as fast and comes down again as it burns down (common practice, no
source)."""
_LEVEL_C = 5.0
"""Times are kept at levels about so far apart."""
_EASED = 0.95
"""Below this part of the fastest advisable rate a hurry is over."""
_LEFT_C = 10.0
"""So far outside its band, a hurry is history."""
_STEADY_S = 600.0
"""Where nothing older is known, a pace must be seen for so long to count as eased."""
_LASTS_S = 600.0
"""So long a pace must have been eased for the hurry to be over: a controller that swings about a
pace that is too fast takes a few minutes for each swing, and one hurry is told once."""


class BandPace:
    """How fast one guarded band is crossed.

    ``is_too_fast`` says so of now: it comes with a stretch that was, and goes when the pace has
    eased or the band is left. ``rate_c_per_h`` is the mean of the last stretch that was too
    fast, positive; ``worst`` the largest ratio of a stretch's rate to what the rule allows it,
    so that the band was crossed too fast at some time just when ``worst`` is above 1.
    """

    __slots__ = (
        "_at",
        "_eased_since_s",
        "_lags_s",
        "_least_s",
        "_left_s",
        "_levels",
        "_long",
        "_seen_s",
        "_short",
        "_sign",
        "_since_s",
        "_since_x",
        "_times",
        "band",
        "fastest_c_per_h",
        "is_too_fast",
        "rate_c_per_h",
        "worst",
        "worst_c_per_h",
    )

    def __init__(self, band: Band, fastest_c_per_h: float, *, is_stoked: bool = False) -> None:
        self.band = band
        self._lags_s = _STOKED_LAGS_S if is_stoked else _LAGS_S
        self._least_s = _CHARGE_S if is_stoked else _SEEN_S
        self.fastest_c_per_h = fastest_c_per_h
        self.is_too_fast = False
        self.rate_c_per_h = 0.0
        self.worst = 0.0
        self.worst_c_per_h = 0.0
        # Cooling is climbing seen in a mirror.
        self._sign = -1.0 if band.cooling else 1.0
        first_x = self._sign * band.from_c
        count = max(1, round(band.width_c / _LEVEL_C))
        apart_c = band.width_c / count
        self._levels = [first_x + n * apart_c for n in range(count + 1)]
        self._long = min(count, round(LONG_C / apart_c))
        self._short = min(self._long, round(SHORT_C / apart_c))
        self._times: list[float | None] = [None] * (count + 1)
        """When the kiln came to each level."""
        self._left_s = [-math.inf] * (count + 1)
        """When it last fell below each again."""
        self._at = -1
        self._eased_since_s: float | None = None
        self._seen_s = self._since_s = 0.0
        self._since_x = 0.0

    def begin(self, elapsed_s: float, temp_c: float) -> None:
        """Start anew from here: how the kiln came to this temperature is not known.

        Where it has lost ground since it was last seen, minutes ago, that is a fall as any other.
        """
        x = self._sign * temp_c
        levels, times, was_at = self._levels, self._times, self._at
        self._at = at = bisect_right(levels, x) - 1
        is_known = at < was_at and elapsed_s - self._seen_s <= self._lags_s
        if not is_known:
            times[: at + 1] = [None] * (at + 1)
        for lost in range(at + 1, was_at + 1):
            self._left_s[lost] = elapsed_s
        if at >= 0 and levels[at] == x and not is_known:
            times[at] = elapsed_s
        self._seen_s = self._since_s = elapsed_s
        self._since_x = x

    def move(self, from_s: float, from_c: float, to_s: float, to_c: float) -> None:
        """Take in a straight move that begins where the last one ended."""
        levels, times, left_s, at = self._levels, self._times, self._left_s, self._at
        from_x, to_x = self._sign * from_c, self._sign * to_c
        while at + 1 < len(levels) and levels[at + 1] <= to_x:
            at += 1
            part = (levels[at] - from_x) / (to_x - from_x)
            at_s = from_s + part * (to_s - from_s)
            if at_s - left_s[at] > self._lags_s:
                times[at] = at_s
                self._judge(at, at_s)
        while at >= 0 and levels[at] > to_x:
            part = (levels[at] - from_x) / (to_x - from_x)
            left_s[at] = from_s + part * (to_s - from_s)
            at -= 1
        if at >= 0 and levels[at] == from_x == to_x:
            # A hold: what counts is when the kiln leaves it.
            times[at] = to_s
        self._at, self._seen_s = at, to_s

    def ease(self, elapsed_s: float, temp_c: float) -> None:
        """See whether a hurry is over; to be asked now and then while there is one."""
        x = self._sign * temp_c
        levels = self._levels
        if x < levels[0] - _LEFT_C or x > levels[-1] + _LEFT_C:
            self.is_too_fast = False
        elif not all(self._is_eased(elapsed_s, x, back) for back in (self._short, self._long)):
            self._eased_since_s = None
        elif self._eased_since_s is None:
            self._eased_since_s = elapsed_s
        elif elapsed_s - self._eased_since_s >= _LASTS_S:
            self.is_too_fast = False

    def _is_eased(self, elapsed_s: float, x: float, back: int) -> bool:
        """Whether the pace is moderate from the level ``back`` levels below up to now."""
        start = max(self._at - back, 0)
        since_s = self._times[start] if self._at >= 0 else None
        since_x, least_s = self._levels[start], 0.0
        if since_s is None:
            since_s, since_x, least_s = self._since_s, self._since_x, _STEADY_S
        lasted_s = elapsed_s - since_s
        if lasted_s <= least_s:
            return False
        return (x - since_x) / lasted_s * 3600.0 <= _EASED * self.fastest_c_per_h

    def is_behind(self, temp_c: float) -> bool:
        """Whether the kiln, at ``temp_c``, has the band behind it."""
        return self._sign * temp_c >= self._levels[-1]

    def quiet(self) -> tuple[float, float]:
        """The temperatures in °C between which, both excluded, a move tells nothing new."""
        levels, at = self._levels, self._at
        below = levels[at] if at >= 0 else float("-inf")
        above = levels[at + 1] if at + 1 < len(levels) else float("inf")
        return (below, above) if self._sign > 0.0 else (-above, -below)

    def _judge(self, at: int, at_s: float) -> None:
        allowed = (1.0 + TOLERANCE) * self.fastest_c_per_h
        self._judge_stretch(at - self._long, at, at_s, allowed)
        if self._short < self._long:
            gross = GROSS_COOLING if self.band.cooling else GROSS
            self._judge_stretch(at - self._short, at, at_s, gross * self.fastest_c_per_h)

    def _judge_stretch(self, start: int, at: int, at_s: float, allowed_c_per_h: float) -> None:
        start_s = self._times[start] if start >= 0 else None
        if start_s is None or at_s <= start_s:
            return
        lasted_s = max(at_s - start_s, self._least_s)
        rate_c_per_h = (self._levels[at] - self._levels[start]) / lasted_s * 3600.0
        ratio = rate_c_per_h / allowed_c_per_h
        self.worst = max(self.worst, ratio)
        if ratio > 1.0:
            self._eased_since_s = None
            self.is_too_fast = True
            self.rate_c_per_h = rate_c_per_h
            self.worst_c_per_h = max(self.worst_c_per_h, rate_c_per_h)


class Paces:
    """The paces of all guarded bands of one firing, fed together. Costs next to nothing between.

    >>> from supervisor.core.schedule.model import Way
    >>> band = Band("slow", 100.0, 200.0, Way.HEATING, "", "", "", fastest_c_per_h=60.0)
    >>> paces = Paces([band])
    >>> for at_s, temp_c in ((0.0, 20.0), (3600.0, 100.0), (5400.0, 200.0)):
    ...     _ = paces.feed(at_s, temp_c)
    >>> [(pace.band.name, pace.worst_c_per_h) for pace in paces.of if pace.worst > 1.0]
    [('slow', 200.0)]
    """

    __slots__ = ("_high_c", "_last_c", "_last_s", "_low_c", "of")

    def __init__(self, bands: Iterable[Band], *, is_stoked: bool = False) -> None:
        """``is_stoked``: the kiln is fired with wood."""
        self.of = tuple(
            BandPace(band, band.fastest_c_per_h, is_stoked=is_stoked)
            for band in bands
            if band.fastest_c_per_h is not None and band.width_c > 0.0
        )
        self._last_s: float | None = None
        self._last_c = 0.0
        self._low_c, self._high_c = float("-inf"), float("inf")

    def begin(self, elapsed_s: float, temp_c: float) -> None:
        """Start anew from here, as after a gap; what stands goes on standing."""
        for pace in self.of:
            pace.begin(elapsed_s, temp_c)
        self._last_s, self._last_c = elapsed_s, temp_c
        self._look_out()

    def forgive(self) -> None:
        """Nothing stands any more, as before a firing has begun."""
        for pace in self.of:
            pace.is_too_fast = False

    def feed(self, elapsed_s: float, temp_c: float) -> bool:
        """Take in ``temp_c`` at ``elapsed_s``, later than the last; whether any pace looked."""
        last_s = self._last_s
        if last_s is None:
            self.begin(elapsed_s, temp_c)
            return True
        last_c = self._last_c
        self._last_s, self._last_c = elapsed_s, temp_c
        if self._low_c < temp_c < self._high_c:
            return False
        for pace in self.of:
            pace.move(last_s, last_c, elapsed_s, temp_c)
        self._look_out()
        return True

    def _look_out(self) -> None:
        quiet = [pace.quiet() for pace in self.of]
        self._low_c = max((low for low, _ in quiet), default=float("-inf"))
        self._high_c = min((high for _, high in quiet), default=float("inf"))
