"""Which channel has left the others: slipped out, short, swapped or stuck.

Knows the channels' estimates and nothing of the plan. Each channel is held against the median
of the other healthy ones, which a single bad one among three can't move; with two channels the
one that falls, or that never left the shed's temperature, is to blame. A zone of the kiln that
goes cold is slow beside a probe that slips: that is told by ``uneven``.

The fall of one channel beside the others is summed by a one-sided CUSUM (Page, Biometrika 41,
100-115, 1954) with an allowance for what one zone of a kiln may do beside another.
"""

from __future__ import annotations

import math

from supervisor.core.readings import FaultCause
from supervisor.core.watch.channel import SHORT_BELOW_C, ChannelTrack
from supervisor.core.watch.filter import TemperatureFilter
from supervisor.core.watch.shed import SHED_C

_EVERY_S = 9.5
"""Looks that come faster are taken together, but for one beyond its gate; a probe slips over a
minute."""
_GAP_S = 900.0
"""After a silence so long nothing can be said of how channels moved beside one another."""
_ALLOWED_C_PER_S = 3.0 / 60.0
"""A zone without heat falls behind its neighbours by 1 to 3 °C a minute at most (from a time
constant of 3 h and more, a kiln of two zones); a plug-out look or a stoke is faster, but made
good in minutes."""
_SLIPPED_C, _SLIPPED_PART = 50.0, 0.08
"""So much of a fall beyond the allowance is a probe out of its place: 60 °C within 5 minutes
leaves 45, so that 65 are told; in a hotter kiln a slip is larger, and so are the swings."""
_LEAST_SLIPPED_C, _COLD_PART = 30.0, 0.4
"""In a cold kiln there is less to fall: no zone loses this part of its excess in minutes, while the
others keep theirs."""
_SWING_MARGIN, _MOST_SWING_C, _SWING_MEMORY_S = 1.5, 120.0, 3 * 3600.0
"""Falls beside the others that were made good are the kiln's own way, for some hours."""
_STAYED_S, _STAYED_PART = 75.0, 0.5
"""What has fallen must stay so for a while: a look through the spyhole or an open door is over."""
_ALONE_PART = 0.3
"""Others that fall by this part of it fall with it: a door, and no probe."""
_SUSPECT_PART, _SUSPECT_C, _SUSPECT_SIGMAS = 0.3, 6.0, 5.0
"""This part of such a fall, and what noise can't be, makes a channel step back from the lead."""
_ALONE_C_PER_S, _ALONE_S = 10.0 / 3600.0, 600.0
"""While the others gain more than this, a fall of one channel is not the kiln's; for so long."""
_DEAD_CLIMB_C, _DEAD_PART, _DEAD_HOT_C, _DEAD_SUSPECT_C = 150.0, 0.1, 300.0, 40.0
"""The others have climbed so far, this one hardly, and it stands at the shed's temperature or
its terminals': it does not measure the kiln. (Wet ware holds a chamber at 100 °C, not below
80.) Among two the one that is hot must have climbed in sight, among more it may begin hot."""
_ALIVE_PART = 0.5
_MIRRORED_CLIMB_C, _MIRRORED_PART, _MIRRORED_SUSPECT_C, _SHED_MOST_C = 15.0, 0.5, 5.0, 60.0
_FIRST_S = 900.0
"""It falls as the others climb, by half as much at least, from a cold beginning: from the highest
of its first quarter of an hour, after which a mere probe has come to rest."""
_STUCK_SUSPECT_C, _STUCK_C, _STUCK_S, _STUCK_LOOKS = 10.0, 25.0, 120.0, 3
"""The others have moved so far while a channel has not shown a second value since the first."""
_FROZEN_C, _FROZEN_STEPS, _FROZEN_S = 8.0, 10.0, 240.0
_STILL_C, _STILL_STEPS, _STILL_S = 3.0, 4.0, 90.0
_FROZEN_SURELY_S, _FROZEN_LOG_CHANCE = 480.0, math.log(1e-3)
"""The others have moved so far, and by ten steps of the channel's resolution, while it has shown
one value: a steady channel of a coarse logger at night is not frozen. Where its noise says
nothing it takes twice as long: a slow probe turns slowly at the end of a swing. Less makes it step
back from the lead."""
_ALONG_C, _ALONG_STEPS, _ALONG_S, _ALONG_PART = 4.0, 5.0, 300.0, 0.5
"""Half as much is enough of one that was going along with the others, as fast by this part at
least, and has stopped dead: by its own pace it has missed as many steps as they have made."""


class _Beside:
    """One channel beside the others."""

    __slots__ = (
        "alone_since_s",
        "base",
        "base_since_s",
        "before_c",
        "fall_c",
        "first_c",
        "first_s",
        "is_guess",
        "last_c",
        "low_c",
        "others_c",
        "own_c",
        "peak_c",
        "stayed_since_s",
        "swing_c",
    )

    def __init__(self) -> None:
        self.first_s = self.first_c = self.low_c = 0.0
        self.last_c: float | None = None
        self.is_guess = False
        """Whether a long silence is over and no value has been taken up since."""
        self.fall_c = self.peak_c = self.own_c = self.others_c = self.swing_c = 0.0
        self.before_c: float | None = None
        self.stayed_since_s: float | None = None
        self.alone_since_s: float | None = None
        self.base: list[float | None] | None = None
        """What all channels read when a fault, or a long run of one value, was first seen."""
        self.base_since_s: float | None = None

    def forget_fall(self) -> None:
        self.fall_c = self.peak_c = self.own_c = self.others_c = 0.0
        self.stayed_since_s = None


def _has_stopped_dead(track: ChannelTrack, stood_s: float, others_c: float, step_c: float) -> bool:
    """Whether a channel went along with the others, and stands while they have moved on."""
    if stood_s < _ALONG_S:
        return False
    missed_c = track.run_rate_c_per_s * stood_s
    if missed_c * others_c <= 0.0 or abs(missed_c) < _ALONG_PART * abs(others_c):
        return False
    return min(abs(missed_c), abs(others_c)) >= max(_ALONG_C, _ALONG_STEPS * step_c)


def _median(values: list[float]) -> float:
    """The median of one value at least."""
    count = len(values)
    if count == 1:
        return values[0]
    if count == 2:
        return (values[0] + values[1]) / 2.0
    values.sort()
    half = count // 2
    return values[half] if count % 2 else (values[half - 1] + values[half]) / 2.0


class Following:
    """Holds the channels against each other, before it is settled who leads.

    Sets on each track ``is_suspected`` and ``is_stranger``, accuses those that have left the
    others, and tells each track's ``trust`` what the others do.
    """

    __slots__ = ("_beside", "_due_s", "_last_s", "_shed_c", "_tracks")

    def __init__(self, tracks: tuple[ChannelTrack, ...], shed_c: float = SHED_C) -> None:
        self._shed_c = shed_c
        self._tracks = tracks
        self._beside = tuple(_Beside() for _ in tracks)
        self._last_s: float | None = None
        self._due_s = -math.inf
        for track in tracks:
            track.others = tuple(other for other in tracks if other is not track)

    def falls_alone(self, i: int | None) -> bool:
        """Whether channel ``i`` falls while the others go on gaining: not the kiln's fall yet."""
        since_s = None if i is None else self._beside[i].alone_since_s
        last_s = self._last_s
        return since_s is not None and last_s is not None and last_s - since_s < _ALONE_S

    def is_alone(self, i: int | None) -> bool:
        """Whether no other channel than ``i`` can be believed."""
        return not any(
            track.is_healthy and not track.is_stranger
            for j, track in enumerate(self._tracks)
            if j != i
        )

    def zones_c(self) -> tuple[float, float] | None:
        """The coldest and the hottest of the channels that nothing speaks against; None where
        there are not two."""
        temps_c = [known.temp_c for known in self._believed()]
        return (min(temps_c), max(temps_c)) if len(temps_c) > 1 else None

    def mean_rate_c_per_s(self, *, beside: int | None = None) -> float | None:
        """The mean rate of the channels that nothing speaks against, but for the one they are
        ``beside``; None if there is none."""
        own = None if beside is None else self._tracks[beside].estimate
        rates = [known.rate_c_per_s for known in self._believed() if known is not own]
        return sum(rates) / len(rates) if rates else None

    def _believed(self) -> list[TemperatureFilter]:
        """What the channels that nothing speaks against show."""
        return [
            track.estimate
            for track in self._tracks
            if track.estimate is not None
            and track.is_healthy
            and not track.is_suspected
            and not track.is_stranger
        ]

    def update(self, elapsed_s: float) -> None:
        """Compare, after all channels have been looked at."""
        if elapsed_s < self._due_s:
            for track in self._tracks:
                if track.shift_s == elapsed_s:
                    break
            else:
                return
        self._due_s = elapsed_s + _EVERY_S
        last_s, self._last_s = self._last_s, elapsed_s
        since_s = 0.0 if last_s is None else elapsed_s - last_s
        temps: list[float | None] = []
        changes: list[float | None] = []
        for track, beside in zip(self._tracks, self._beside, strict=True):
            temp_c = track.temp_c if track.is_healthy else None
            last_c, beside.last_c = beside.last_c, temp_c
            temps.append(temp_c)
            if temp_c is None:
                changes.append(None)
                continue
            if last_c is None:
                if beside.before_c is None:
                    beside.first_s = elapsed_s
                    beside.first_c = beside.low_c = beside.before_c = temp_c
                beside.forget_fall()
                changes.append(None)
                continue
            if temp_c < beside.low_c:
                beside.low_c = temp_c
            elif temp_c > beside.first_c and elapsed_s - beside.first_s < _FIRST_S:
                beside.first_c = temp_c
            # What was expected of a silent channel, and turns out otherwise, is no move of it.
            is_move = since_s <= _GAP_S and not beside.is_guess
            if since_s > _GAP_S or beside.is_guess:
                beside.is_guess = not track.is_current
            changes.append(temp_c - last_c if is_move else None)
        alone = len(temps) - temps.count(None) < 2
        for i, track in enumerate(self._tracks):
            temp_c = temps[i]
            if temp_c is None:
                track.is_suspected = False
                if track.fault is not None:
                    self._tell(i, track, temps)
                continue
            if alone:
                track.is_suspected = False
                continue
            suspected = self._stands_apart(elapsed_s, i, temp_c, temps)
            change_c = changes[i]
            if track.fault is None and change_c is not None:
                others_c = self._others_moved_c(i, changes)
                if others_c is not None:
                    suspected |= self._falls(elapsed_s, i, change_c, others_c, since_s)
            track.is_suspected = suspected and track.fault is None

    def _others_moved_c(self, i: int, changes: list[float | None]) -> float | None:
        """The median move of the other channels, but for those that are suspected."""
        moved: list[float] = []
        for j, track in enumerate(self._tracks):
            change_c = changes[j]
            if change_c is not None and j != i and not track.is_suspected:
                moved.append(change_c)
        return _median(moved) if moved else None

    def _falls(
        self, elapsed_s: float, i: int, own_c: float, others_c: float, since_s: float
    ) -> bool:
        """Add up the fall beside the others; whether it is enough not to lead."""
        track, beside = self._tracks[i], self._beside[i]
        rate_c_per_s = track.rate_c_per_s or 0.0
        if rate_c_per_s >= 0.0 or others_c <= _ALONE_C_PER_S * since_s:
            beside.alone_since_s = None
        elif beside.alone_since_s is None:
            beside.alone_since_s = elapsed_s
        fall_c = beside.fall_c - (own_c - others_c) - _ALLOWED_C_PER_S * since_s
        if fall_c <= 0.0:
            if beside.peak_c > 0.0:
                beside.swing_c = max(beside.swing_c, min(beside.peak_c, _MOST_SWING_C))
                beside.forget_fall()
            if beside.swing_c > 0.0:
                beside.swing_c *= max(0.0, 1.0 - since_s / _SWING_MEMORY_S)
            beside.before_c = beside.last_c
            return False
        beside.fall_c = fall_c
        beside.own_c += own_c
        beside.others_c += others_c
        if fall_c > beside.peak_c:
            beside.peak_c = fall_c
        if fall_c < _SUSPECT_C:
            return False
        swing_c = _SWING_MARGIN * beside.swing_c
        own_fall_c = -beside.own_c
        falls = own_fall_c > 0.5 * fall_c and -beside.others_c < _ALONE_PART * own_fall_c
        before_c = beside.before_c or 0.0
        excess_c = before_c - self._shed_c
        limit_c = max(min(_COLD_PART * excess_c, _SLIPPED_C), _LEAST_SLIPPED_C)
        limit_c = max(limit_c, _SLIPPED_PART * excess_c, swing_c)
        if not falls or fall_c < limit_c or fall_c < _STAYED_PART * beside.peak_c:
            beside.stayed_since_s = None
        elif beside.stayed_since_s is None:
            beside.stayed_since_s = elapsed_s
        elif elapsed_s - beside.stayed_since_s >= _STAYED_S:
            beside.forget_fall()
            track.accuse(elapsed_s, FaultCause.JUMP, before_c)
            return False
        noise_c = _SUSPECT_SIGMAS * track.temp_sigma_c
        return falls and fall_c > max(_SUSPECT_PART * limit_c, swing_c, noise_c)

    def _stands_apart(
        self,
        elapsed_s: float,
        i: int,
        temp_c: float,
        temps: list[float | None],
    ) -> bool:
        """Whether the channel never followed the others, or no longer moves; names it if so."""
        track, beside = self._tracks[i], self._beside[i]
        has_stood = track.resolution_c is None or elapsed_s - track.run_since_s > 60.0
        # A value that was not taken up may be another one.
        if has_stood and track.is_current:
            signed_c = self._moved_c(i, track.run_since_s, temps)
            moved_c, stood_s = abs(signed_c), elapsed_s - track.run_since_s
            step_c = track.resolution_c
            if step_c is None:
                if moved_c >= _STUCK_C and stood_s >= _STUCK_S and track.run > _STUCK_LOOKS:
                    track.accuse(elapsed_s, FaultCause.FROZEN, None)
                return moved_c >= _STUCK_SUSPECT_C
            stood = stood_s >= _FROZEN_SURELY_S or (
                stood_s >= _FROZEN_S and track.log_chance_of_run < _FROZEN_LOG_CHANCE
            )
            is_frozen = stood and moved_c >= max(_FROZEN_C, _FROZEN_STEPS * step_c)
            if is_frozen or _has_stopped_dead(track, stood_s, signed_c, step_c):
                track.accuse(elapsed_s, FaultCause.FROZEN, temp_c)
                return False
            if stood_s >= _STILL_S and moved_c >= max(_STILL_C, _STILL_STEPS * step_c):
                return True
        elif not has_stood and beside.base is not None:
            beside.base = beside.base_since_s = None
        own_c = temp_c - beside.low_c
        if own_c > SHORT_BELOW_C:
            track.is_stranger = False
            return False
        climbs: list[float] = []
        hots: list[float] = []
        count = 0
        for j, other_c in enumerate(temps):
            if other_c is None or j == i:
                continue
            count += 1
            if self._tracks[j].resolution_c is not None:
                climbs.append(other_c - self._beside[j].low_c)
                hots.append(other_c)
        if not climbs:
            return False
        climb_c = _median(climbs)
        if climb_c < _MIRRORED_SUSPECT_C and count == 1:
            return False
        fallen_c = beside.first_c - temp_c
        cold = beside.first_c < _SHED_MOST_C and own_c < 2.0
        if cold and fallen_c > _MIRRORED_PART * climb_c:
            if climb_c >= _MIRRORED_CLIMB_C:
                track.has_begun_at(beside.first_c)
                track.accuse(elapsed_s, FaultCause.REVERSED, None)
            return climb_c >= _MIRRORED_SUSPECT_C
        if temp_c >= SHORT_BELOW_C:
            return False
        others_c = min(hots) if len(hots) < 3 else _median(hots)
        in_sight = climb_c >= _DEAD_CLIMB_C and own_c < _DEAD_PART * climb_c
        begun_hot = len(hots) > 1 and others_c >= _DEAD_HOT_C
        if begun_hot and own_c < _DEAD_PART * (others_c - self._shed_c):
            in_sight = True
        if in_sight and others_c - temp_c >= _DEAD_CLIMB_C:
            track.is_stranger = True
            track.accuse(elapsed_s, FaultCause.SHORT, None)
            return False
        track.is_stranger = climb_c >= _DEAD_SUSPECT_C and own_c < _DEAD_PART * climb_c
        return track.is_stranger

    def _moved_c(self, i: int, since_s: float, temps: list[float | None]) -> float:
        """How far up or down the others have moved since ``since_s``, as far as that was seen."""
        beside = self._beside[i]
        if beside.base is None or beside.base_since_s != since_s:
            beside.base, beside.base_since_s = list(temps), since_s
            return 0.0
        moved = [
            now_c - then_c
            for j, (now_c, then_c) in enumerate(zip(temps, beside.base, strict=True))
            if j != i and now_c is not None and then_c is not None
        ]
        return _median(moved) if moved else 0.0

    def _tell(self, i: int, track: ChannelTrack, temps: list[float | None]) -> None:
        """Tell a channel that is not believed what the others do."""
        beside, trust = self._beside[i], track.trust
        if beside.base is None or beside.base_since_s is not None:
            beside.base, beside.base_since_s = list(temps), None
        moved, apart = [], []
        own_c = track.temp_c
        for j, (now_c, then_c) in enumerate(zip(temps, beside.base, strict=True)):
            if j != i and now_c is not None:
                if then_c is not None:
                    moved.append(now_c - then_c)
                if own_c is not None:
                    apart.append(own_c - now_c)
        trust.others_moved_c = _median(moved) if moved else None
        trust.apart_c = _median(apart) if apart else None
        if (trust.others_moved_c or 0.0) >= _MIRRORED_CLIMB_C and track.falls_below_frost:
            # It has begun in a warm kiln, and left the others for that: here is why.
            track.rename(FaultCause.REVERSED)
        if track.is_stranger and own_c is not None and trust.apart_c is not None:
            others_c = own_c - trust.apart_c
            hot = others_c - self._shed_c > _DEAD_CLIMB_C
            if hot and own_c - self._shed_c > _ALIVE_PART * (others_c - self._shed_c):
                track.is_stranger = False
