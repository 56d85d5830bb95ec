"""Parts of the kiln differ by more than the ware should see: one is hot and one is cold.

Knows the channels that are believed and the offsets that real cones have shown of them; what
placement alone makes of a probe belongs into such an offset, or into the tolerance. Says nothing
of a kiln that cools by itself, nor while it can't be seen by two channels.

Each channel's distance from the first is smoothed (the EWMA chart: S. W. Roberts,
Technometrics 1, 239-250, 1959) and must then stay beyond the tolerance for some minutes: a look
through the plug-out or a stoke swings one side up and back, a failed element does not.
"""

from __future__ import annotations

from supervisor.core.events import Event, Kind, Severity, State
from supervisor.core.heatwork import Correction
from supervisor.core.watch.channel import ChannelTrack
from supervisor.core.watch.detectors.advice import UNEVEN
from supervisor.core.watch.detectors.by_whom import is_kept
from supervisor.core.watch.detectors.left_behind import LEFT_C, LeftBehind
from supervisor.core.watch.detectors.moment import Moment
from supervisor.core.watch.moves import CLIMBING, HOLDING
from supervisor.core.watch.step_end import SHORT_OF_C
from supervisor.core.watch.wording import show_duration

DEFAULT_UNEVEN_C = 40.0
"""From 600 °C: about a cone and a half at a cone of the mid-fire range (the published temperature
equivalents of neighbouring cones differ by 20 to 40 °C); potters of studio kilns live with one
cone between shelves (common practice, no source)."""
_HOT_C, _COLD_C, _COLD_FACTOR = 600.0, 300.0, 2.0
"""Below 300 °C, where nothing is decided by heat-work, twice as much is usual, from candles and
first flames; less and less of that up to 600 °C (common practice, no source)."""
_COLD_KEPT_C = 150.0
"""But no element that a controller works comes on zone after zone, once the ware is dry."""
_EVERY_S = 10.0
_SMOOTH_S, _STAYS_S = 180.0, 210.0
"""A difference that grows steadily is seen this much later, and told after that: 6.5 minutes."""
_QUICK_S, _QUICK_STAYS_S = 60.0, 90.0
_NEAR_PART, _CAME_SLOWLY_S = 0.6, 420.0
"""What has been more than this part of the tolerance for so long has come slowly, as zones of a
kiln part: neither a look nor a stoke lasts so long, and less of them need be smoothed away. Not in
a kiln that swings with each stoke."""
_BY_HAND = 0.5
_GAP_S = 900.0
_CLEAR_PART, _CLEAR_S = 0.75, 300.0
_AT_TOP_C = SHORT_OF_C + 2.0
"""So near the top of its step a zone may be where the kiln's own thermocouple ends it."""
_TOLD_C = 1.0
"""Two figures a tolerance apart are no news at the next tenth of a degree."""


class Uneven:
    """Raises when two channels stay too far apart, and clears when they have come together."""

    __slots__ = (
        "_apart",
        "_behind",
        "_clear_since_s",
        "_due_s",
        "_last_s",
        "_left",
        "_near_since_s",
        "_offsets_c",
        "_quick",
        "_quick_since_s",
        "_since_s",
        "_tracks",
        "_uneven_c",
        "is_raised",
    )

    def __init__(
        self,
        tracks: tuple[ChannelTrack, ...],
        uneven_c: float = DEFAULT_UNEVEN_C,
        offsets_c: tuple[float, ...] | None = None,
    ) -> None:
        """``uneven_c`` is the tolerance in °C, ``offsets_c`` what is added to each channel."""
        self.is_raised = False
        self._tracks = tracks
        self._uneven_c = uneven_c
        self._offsets_c = list(offsets_c or (0.0,) * len(tracks))
        self._apart: list[float | None] = [None] * len(tracks)
        self._quick: list[float | None] = [None] * len(tracks)
        """The same, smoothed less."""
        self._near_since_s: float | None = None
        self._quick_since_s: float | None = None
        self._behind = LeftBehind(tracks)
        self._left: int | None = None
        """The channel that was told as left behind, while the kiln is as even as it must be."""
        self._last_s: float | None = None
        self._due_s: float | None = None
        self._since_s: float | None = None
        self._clear_since_s: float | None = None

    def correct(self, channel: int, correction: Correction | None) -> None:
        """Add another offset to ``channel`` from now on."""
        self._offsets_c[channel] = 0.0 if correction is None else correction.offset_c
        self._forget()

    def tolerance_c(self, temp_c: float) -> float:
        """How far channels may be apart in a kiln of ``temp_c``."""
        if temp_c >= _HOT_C:
            return self._uneven_c
        cold = min((_HOT_C - temp_c) / (_HOT_C - _COLD_C), 1.0)
        return self._uneven_c * (1.0 + cold * (_COLD_FACTOR - 1.0))

    def feed(self, moment: Moment, *, is_stalled: bool = False) -> list[Event]:
        """Events of this moment; of a kiln that stands still it is told already."""
        elapsed_s = moment.elapsed_s
        if self._due_s is not None and elapsed_s < self._due_s:
            return []
        self._due_s = elapsed_s + _EVERY_S
        plan, temp_c = moment.plan, moment.temp_c
        if len(self._tracks) < 2 or temp_c is None:
            self._last_s = None
            return []
        activity = plan.activity
        is_minute = self._behind.look(elapsed_s, None if plan.step is None else plan.step.index)
        if activity is not CLIMBING and activity is not HOLDING:
            self._forget()
            return self._clear(moment, None) if self.is_raised else []
        self._smooth(elapsed_s)
        hot = cold = -1
        hot_c, cold_c = -1e9, 1e9
        for i, apart_c in enumerate(self._apart):
            if apart_c is not None:
                if apart_c > hot_c:
                    hot, hot_c = i, apart_c
                if apart_c < cold_c:
                    cold, cold_c = i, apart_c
        if hot == cold:
            self._since_s = None
            return self._clear(moment, None) if self.is_raised else []
        limit_c = self.tolerance_c(self._hottest_c(temp_c))
        if self._left is not None:
            if hot_c - cold_c <= limit_c:
                return self._look_at_the_left(moment, self._left)
            # It stays told, now as a kiln that is more uneven than it may be.
            self._left = None
        if is_minute and not self.is_raised and not is_stalled:
            left = self._leaves_behind(moment)
            if left is not None:
                return [self._raise_left(moment, hot, *left, limit_c)]
        if self.is_raised:
            return self._look_for_even(moment, hot_c - cold_c, limit_c)
        quick_c = (self._quick[hot] or 0.0) - (self._quick[cold] or 0.0)
        if self._has_come_slowly(moment, hot_c - cold_c, quick_c, limit_c):
            return [self._raise(moment, hot, cold, quick_c, limit_c)]
        if hot_c - cold_c <= limit_c:
            self._since_s = None
        elif self._since_s is None:
            self._since_s = elapsed_s
        elif elapsed_s - self._since_s >= _STAYS_S and hot_c - cold_c > limit_c + _TOLD_C:
            return [self._raise(moment, hot, cold, hot_c - cold_c, limit_c)]
        return []

    def _has_come_slowly(
        self, moment: Moment, apart_c: float, quick_c: float, limit_c: float
    ) -> bool:
        elapsed_s = moment.elapsed_s
        if apart_c < _NEAR_PART * limit_c:
            self._near_since_s = None
        elif self._near_since_s is None:
            self._near_since_s = elapsed_s
        if quick_c <= limit_c + _TOLD_C:
            self._quick_since_s = None
        elif self._quick_since_s is None:
            self._quick_since_s = elapsed_s
        near_s, quick_s = self._near_since_s, self._quick_since_s
        if near_s is None or quick_s is None or elapsed_s - quick_s < _QUICK_STAYS_S:
            return False
        swings = moment.kiln_kind == "wood" or moment.habits.looseness > _BY_HAND
        return not swings and elapsed_s - near_s >= _CAME_SLOWLY_S

    def _leaves_behind(self, moment: Moment) -> tuple[int, float] | None:
        plan, step, temp_c = moment.plan, moment.plan.step, moment.temp_c
        due_s = plan.climb_due_s
        if step is None or temp_c is None or step.rate_c_per_h is None or due_s is None:
            return None
        cold_c = _COLD_KEPT_C if moment.kiln_kind == "electric" and is_kept(moment) else _COLD_C
        if moment.elapsed_s < due_s or not cold_c < temp_c < step.to_c - _AT_TOP_C:
            return None
        left = self._behind.who(step.rate_c_per_h)
        if left is None:
            return None
        seen_c = self._behind.now_c()
        others_c = [
            temp_c + self._offsets_c[i]
            for i, temp_c in enumerate(seen_c)
            if temp_c is not None and i != left[0]
        ]
        own_c = (seen_c[left[0]] or 0.0) + self._offsets_c[left[0]]
        # One that was too hot and waits for the others evens the kiln out.
        return left if sum(others_c) / len(others_c) - own_c > LEFT_C else None

    def _raise_left(
        self, moment: Moment, hot: int, cold: int, left_c: float, limit_c: float
    ) -> Event:
        self.is_raised = True
        self._left = cold
        words = moment.words
        name = self._tracks[cold].name
        apart_c = (self._apart[hot] or 0.0) - (self._apart[cold] or 0.0)
        return moment.event(
            Kind.UNEVEN,
            Severity.WARNING,
            f"“{name}” has all but stopped climbing, while the rest of the kiln climbs on: it has "
            f"been left {words.difference(left_c)} behind within "
            f"{show_duration(self._behind.over_s)}. There look "
            f"{UNEVEN[moment.kiln_kind]} See too whether its probe has slipped or touches "
            f"something.",
            {
                "hot": self._tracks[hot].name,
                "cold": name,
                "apart_c": round(apart_c, 1),
                "allowed_c": round(limit_c, 1),
                "left_c": round(left_c, 1),
            },
        )

    def _look_at_the_left(self, moment: Moment, cold: int) -> list[Event]:
        """Whether the zone that was left behind climbs with the others again."""
        climbed = self._behind.climbed_c()
        if climbed[cold] is None or self._behind.goes_on(cold):
            return []
        self._left = None
        known_c = [c for c in self._apart if c is not None]
        behind_c = max(known_c) - (self._apart[cold] or 0.0) if known_c else 0.0
        self.is_raised = False
        self._since_s = self._clear_since_s = None
        return [
            moment.event(
                Kind.UNEVEN,
                Severity.WARNING,
                f"“{self._tracks[cold].name}” climbs with the rest of the kiln again, "
                f"{moment.words.difference(behind_c)} behind.",
                {"apart_c": round(behind_c, 1)},
                state=State.CLEARED,
            )
        ]

    def _hottest_c(self, temp_c: float) -> float:
        """The hottest channel, so that a cold zone that leads does not excuse itself."""
        for track in self._tracks:
            known_c = track.temp_c if track.is_healthy and not track.is_stranger else None
            if known_c is not None and known_c > temp_c and track.resolution_c is not None:
                temp_c = known_c
        return temp_c

    def _forget(self) -> None:
        self._last_s = self._since_s = self._clear_since_s = None
        self._near_since_s = self._quick_since_s = None

    def _smooth(self, elapsed_s: float) -> None:
        last_s, self._last_s = self._last_s, elapsed_s
        fresh = last_s is None or elapsed_s - last_s > _GAP_S
        weight = 1.0
        quick = 1.0
        if fresh:
            self._since_s = self._clear_since_s = None
            self._near_since_s = self._quick_since_s = None
        if not fresh and last_s is not None:
            since_s = elapsed_s - last_s
            weight = since_s / (_SMOOTH_S + since_s)
            quick = since_s / (_QUICK_S + since_s)
        base_c: float | None = None
        apart, quicker = self._apart, self._quick
        first = -1
        for i, track in enumerate(self._tracks):
            temp_c = track.temp_c if track.is_healthy and not track.is_stranger else None
            if temp_c is None or track.resolution_c is None:
                apart[i] = quicker[i] = None
                continue
            temp_c += self._offsets_c[i]
            if base_c is None:
                base_c, first = temp_c, i
                # Distances are kept from one channel; where that one fails, all begin anew.
                if apart[i] != 0.0:
                    apart[:] = quicker[:] = [None] * len(apart)
                    self._since_s = self._near_since_s = self._quick_since_s = None
                apart[first] = quicker[first] = 0.0
                continue
            known_c, quick_c = apart[i], quicker[i]
            now_c = temp_c - base_c
            apart[i] = now_c if known_c is None else known_c + weight * (now_c - known_c)
            quicker[i] = now_c if quick_c is None else quick_c + quick * (now_c - quick_c)

    def _raise(self, moment: Moment, hot: int, cold: int, apart_c: float, limit_c: float) -> Event:
        self.is_raised = True
        self._since_s = self._clear_since_s = None
        self._near_since_s = self._quick_since_s = None
        words = moment.words
        hot_name, cold_name = self._tracks[hot].name, self._tracks[cold].name
        return moment.event(
            Kind.UNEVEN,
            Severity.WARNING,
            f"The kiln is uneven: “{hot_name}” is {words.difference(apart_c)} hotter than "
            f"“{cold_name}”, where {words.difference(limit_c)} are allowed. At “{cold_name}” look "
            f"{UNEVEN[moment.kiln_kind]} See too whether either probe has slipped or touches "
            f"something.",
            {
                "hot": hot_name,
                "cold": cold_name,
                "apart_c": round(apart_c, 1),
                "allowed_c": round(limit_c, 1),
            },
        )

    def _look_for_even(self, moment: Moment, apart_c: float, limit_c: float) -> list[Event]:
        if apart_c > _CLEAR_PART * limit_c:
            self._clear_since_s = None
        elif self._clear_since_s is None:
            self._clear_since_s = moment.elapsed_s
        elif moment.elapsed_s - self._clear_since_s >= _CLEAR_S:
            return self._clear(moment, apart_c)
        return []

    def _clear(self, moment: Moment, apart_c: float | None) -> list[Event]:
        self.is_raised = False
        self._left = None
        self._since_s = self._clear_since_s = None
        if apart_c is None:
            message = "Whether the kiln is even is not watched any more: it is meant to cool, or "
            message += "fewer than two channels can be believed."
        else:
            message = f"The kiln is even again, to {moment.words.difference(apart_c)}."
        return [
            moment.event(
                Kind.UNEVEN,
                Severity.WARNING,
                message,
                {"apart_c": None if apart_c is None else round(apart_c, 1)},
                state=State.CLEARED,
            )
        ]
