"""Noise that hangs together from reading to reading, as that of a flame that licks the probe.

Neighbouring readings tell how noisy one reading is; they don't show what sways over tens of
seconds, and a filter that knows nothing of that takes it for the kiln's own movement. Means over a
quarter of a minute and over a minute show it: of noise that does not hang together they scatter by
the root of their number less (the two-sample variance of Allan, Proc. IEEE 54, 1966, here with the
second difference, which no steady climb disturbs). Knows nothing of what a kiln does.
"""

from __future__ import annotations

from math import exp

from supervisor.core.watch.channel import ChannelTrack
from supervisor.core.watch.filter import LEANS, WANDER_C2_S3

FLICKER_S = 7.0
"""So seldom is often enough to see what sways over tens of seconds."""
_SHORT_S, _LONG_S, _LONGER_S = 15.0, 60.0, 120.0
_MEMORY_S = 3600.0
"""How a fire burns changes over such a time (common practice, no source), and sixty minutes tell a
mean square to within a quarter."""
_FIRST_WEIGHT = 6.0
"""That nothing hangs together weighs at first as much as so many means."""
_MOST = 9.0
"""So many times the mean square counts at most: a corner of the plan is one large difference."""
_SURE = 1.3
"""A mean square of some tens of values is known to within a third."""
_LONGEST = 3.0
"""What flickers over tens of seconds scatters over a minute by no more than so many times what it
does over a quarter of one (in squares: 1.5 with a time constant of 20 s, 3.1 with one of 60 s).
What sways by more is slower, and is the kiln."""
_MOVES = 8.0
"""And a kiln whose rate wanders scatters over twice the time so many times as much, in squares;
what flickers, no more than before."""
_SURELY_MOVES = 2.0
_WANDERS_PER_C2 = 6.0 / (2.0 / 3.0 * (_LONGER_S**3 - _LONG_S**3))
"""A rate that wanders with the spectral density q (°C²/s³) scatters second differences over the
time t by 2/3·q·t³, six times what their mean square is here. A fire that is stoked each few minutes
wanders so much that a filter which forgets slowly would only come late with each swing."""
_TWO_MINUTES = 6
"""A second difference over two minutes takes so many means over one."""
_SPARSE_S = 10.0
"""Of readings so far apart the short means are single ones, and can't be held against them."""
_FLICKERS_S, _SQUARED_S = 25.0, 20.0
"""A flame flickers with time constants of 10 to 40 s; what scatters so hangs together over twice
that, as seen in minutes over some twenty seconds a square degree (common practice, no source)."""


class Flame:
    """Looks at one channel's noise, and tells its filter how far that hangs together."""

    __slots__ = ("_flicker", "_track")

    def __init__(self, track: ChannelTrack) -> None:
        self._track = track
        self._flicker = Flicker()

    def look(self, elapsed_s: float) -> None:
        """Take in the channel's last value, at a look at the kiln."""
        track = self._track
        known, value_c = track.estimate, track.last_value_c
        if not track.is_current or known is None or value_c is None or track.fault is not None:
            return
        flicker = self._flicker
        if not flicker.look(elapsed_s, value_c):
            return
        pace_s, single_c2 = track.pace_s, known.noise_variance - track.hanging_c2
        flicker.judge(single_c2, pace_s)
        hanging_c2 = track.hanging_c2 = flicker.density_c2_s / pace_s
        known.noise_variance = single_c2 + hanging_c2
        known.sways(hanging_c2, min(flicker.variance, hanging_c2), alike(pace_s, LEANS))


class Flicker:
    """Feed it with ``look``, each ``FLICKER_S`` or oftener, in order of time, and ``judge``."""

    __slots__ = (
        "_brief",
        "_long",
        "_longer_c2",
        "_minute",
        "_minutes_c",
        "_short",
        "density_c2_s",
    )

    def __init__(self) -> None:
        self._brief, self._minute = _Sum(), _Sum()
        self._short, self._long = _Means(_SHORT_S), _Means(_LONG_S)
        self._minutes_c: list[float] = []
        self._longer_c2 = 0.0
        """The mean square over two minutes, anew with each minute."""
        self.density_c2_s = 0.0
        """What hangs together beyond the noise of single readings, in °C² times seconds: white
        noise of this spectral density does the same over minutes."""

    def look(self, elapsed_s: float, value_c: float) -> bool:
        """Take in a value; whether a minute is over, which is to be judged."""
        brief, is_new = self._brief, False
        since_s = elapsed_s - brief.begun_s
        if since_s >= _SHORT_S:
            is_new = self._end_brief(elapsed_s)
            since_s = 0.0
        brief.count += 1
        brief.sum_c += value_c
        brief.sum_s += since_s
        return is_new

    def _end_brief(self, elapsed_s: float) -> bool:
        """A quarter of a minute is over; whether a minute is, too."""
        brief, minute = self._brief, self._minute
        if brief.count == 0:
            # The first value of all.
            brief.begin(elapsed_s)
            minute.begin(elapsed_s)
            return False
        self._short.add(brief, elapsed_s)
        minute.count += brief.count
        minute.sum_c += brief.sum_c
        minute.sum_s += brief.sum_s + brief.count * (brief.begun_s - minute.begun_s)
        brief.begin(elapsed_s)
        if elapsed_s - minute.begun_s < _LONG_S:
            return False
        self._long.add(minute, elapsed_s)
        minute.begin(elapsed_s)
        return True

    def judge(self, noise_variance: float, pace_s: float) -> None:
        """Settle ``density_c2_s``, where single readings each ``pace_s`` have ``noise_variance`` in
        °C²."""
        short, long, longer_c2 = self._short, self._long, self._over_two_minutes()
        # The kiln's own movement counts in the variance over twice the time so much more.
        still_c2 = (_MOVES * long.variance - longer_c2) / (_MOVES - 1.0)
        over_c2 = min(long.variance, still_c2) - _SURE * noise_variance / long.values
        brief_c2 = short.variance
        if pace_s < _SPARSE_S:
            brief_c2 -= _SURE * noise_variance / short.values
        self.density_c2_s = _LONG_S * max(min(over_c2, _LONGEST * brief_c2), 0.0)
        wanders = _WANDERS_PER_C2 * (longer_c2 - _SURELY_MOVES * long.variance)
        if wanders > WANDER_C2_S3:
            # What is best remembered hangs on how the two stand to each other (Kalata 1984).
            self.density_c2_s *= WANDER_C2_S3 / wanders

    def _over_two_minutes(self) -> float:
        """Take in the minute that is over."""
        last_c = self._long.last_c
        if last_c is None:
            self._minutes_c = []
            return self._longer_c2
        minutes_c = self._minutes_c = [*self._minutes_c[1 - _TWO_MINUTES :], last_c]
        if len(minutes_c) == _TWO_MINUTES:
            a, b, c, d, e, f = minutes_c
            off_c = (c + d - (a + b + e + f) / 2.0) / 2.0
            seen = off_c * off_c / 1.5
            if self._long.taken > _FIRST_WEIGHT:
                seen = min(seen, _MOST * max(self._longer_c2, self._long.variance))
            memory = min(self._long.taken + _FIRST_WEIGHT, _MEMORY_S / _LONG_S)
            self._longer_c2 += (seen - self._longer_c2) / memory
        return self._longer_c2

    @property
    def variance(self) -> float:
        """Of one value about what it should be, in °C²."""
        return self.density_c2_s / _SQUARED_S


def alike(pace_s: float, leans: float) -> float:
    """How many times the variance of a sum with the memory ``leans``, a value, is that which it has
    of independent values."""
    shared = leans * exp(-pace_s / _FLICKERS_S)
    return (1.0 + shared) / (1.0 - shared)


class _Sum:
    """Values since ``begun_s``: how many, their sum, and that of their times since then."""

    __slots__ = ("begun_s", "count", "sum_c", "sum_s")

    def __init__(self) -> None:
        self.begin(0.0)

    def begin(self, elapsed_s: float) -> None:
        self.begun_s = elapsed_s
        self.count = 0
        self.sum_c = self.sum_s = 0.0


class _Means:
    """``variance`` is the mean square by which a mean over ``over_s`` lies off the line between
    its neighbours; ``values`` are in one mean, ``taken`` were so compared. ``last_c`` is the last
    mean, None after a gap."""

    __slots__ = (
        "_before_c",
        "_before_s",
        "_over_s",
        "_recent_s",
        "last_c",
        "taken",
        "values",
        "variance",
    )

    def __init__(self, over_s: float) -> None:
        self._over_s = over_s
        self._before_s: float | None = None
        self._recent_s = self._before_c = 0.0
        self.last_c: float | None = None
        self.taken = 0
        self.values = 1.0
        self.variance = 0.0

    def add(self, values: _Sum, elapsed_s: float) -> None:
        """Take in the values up to ``elapsed_s``."""
        if elapsed_s - values.begun_s > 2.0 * self._over_s:
            self._before_s = self.last_c = None
            return
        at_s, mean_c = values.begun_s + values.sum_s / values.count, values.sum_c / values.count
        self.values += 0.1 * (values.count - self.values) if self.taken else values.count - 1.0
        before_s, recent_s, recent_c = self._before_s, self._recent_s, self.last_c
        if before_s is not None and recent_c is not None:
            w = (recent_s - before_s) / (at_s - before_s)
            off_c = recent_c - self._before_c - w * (mean_c - self._before_c)
            seen = off_c * off_c / (2.0 - 2.0 * w * (1.0 - w))
            if self.taken > _FIRST_WEIGHT:
                seen = min(seen, _MOST * self.variance)
            memory = min(self.taken + _FIRST_WEIGHT, _MEMORY_S / self._over_s)
            self.variance += (seen - self.variance) / memory
            self.taken += 1
        if recent_c is not None:
            self._before_s, self._before_c = recent_s, recent_c
        self._recent_s, self.last_c = at_s, mean_c
