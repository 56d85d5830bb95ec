"""How a kiln without heat falls: steeply, on and on, and not as a draught chills its probe.

Knows one fall, from where the kiln was highest to now, and not how deep one must be to be told.
"""

from __future__ import annotations

from supervisor.core.watch.detectors.moment import Moment
from supervisor.core.watch.detectors.slipped import BACK_PART, FELL_C, FELL_PART
from supervisor.core.watch.moves import CLIMBING
from supervisor.core.watch.step_end import NATURAL_LEAST_C_PER_H

HOT_C = 350.0
"""Below this a kiln is cold: heat comes in swings there, and one that has none falls slowly in any
case (common practice, no source)."""
MAY_BE_STOKED = ("wood", None)
_LOOK_S, _LOOK_C, _STILL_FALLS, _LOOKS_LOOSENESS = 120.0, 60.0, 0.85, 0.3
"""A plug is out of its spyhole, or a firebox open, for no longer, and cold air takes no more than
so much off the thermocouple; then it comes back (common practice, no source). A kiln that a
controller keeps closely is not looked into so."""
_YOUNG_FALL_S = 60.0
"""Mains that flicker are back in less, and so is a burner whose flame is struck anew; then the fall
of a probe of the usual lag bends (common practice, no source)."""
_CHILLS_S, _PLUG_OUT_S, _BENDS = 90.0, 150.0, 0.9
"""A plug that is out beside the only thermocouple of such a kiln chills it at once, by its own lag
of a minute or so, and no further: its fall is steepest at first and dies away while one looks. A
kiln without heat falls on as steeply, or more so, while elements and chamber come down to walls
and ware. So until a chill would bend nothing is said, and then a fall that has lost a tenth of its
rate is waited for (common practice, no source). Several probes are not chilled alike: of a kiln
fired with gas, which people look into, only that their fall does not die away is asked."""
_GLANCE_S = 65.0
"""Who looks into a kiln that a controller keeps has the plug back within a minute (common practice,
no source)."""
_DRAUGHT_PER_H, _DRAUGHT_C_PER_H, _BACK_PART, _WALLS_PER_H = 0.55, 400.0, 1.2, 0.3
"""No kiln that has merely lost its heat loses so much of its excess over the shed in an hour, or
falls so fast when it is cold; a thermocouple in a draught does. One that climbs in a great hurry,
as for raku, falls back as fast as it climbed, and by what its walls lose besides (common practice,
no source)."""
_STANDS_PART, _STANDS_S = 0.25, 60.0
"""A kiln that falls by less than a quarter of what one without heat does, for so long, stands: what
falls from there is a new fall, as young and as steep as it is by itself (common practice, no
source)."""
LEFT_ALONE = ("electric", None)
_COOLING_S = 8 * 3600.0
"""A kiln without heat cools at first as if it lost its excess over the shed in this time, or
faster (common practice, no source: a well-lined studio kiln)."""
_COOLING_PER_H = 3600.0 / _COOLING_S
_LEAST_C_PER_H, _SAG_PART, _LOOSE_SAG_PART = 4.0, 0.2, 0.6
"""A fifth of that cooling is a sag and no loss; more than half of it where a person has turned down
a bit too far."""
_MOST_C_PER_H = 200.0
"""What a kiln without heat falls at is not asked to be more than this on account of its climb."""
_UNHEATED_PART, _PACE_PART, _LEAST_PACE_PART, _GOES_ON = 1.05, 0.7, 0.5, 0.75
_STEEP_S, _STOKED_STEEP_S, _LOOSE_STEEP_S, _WOULD_BEND_S = 20.0, 45.0, 120.0, 150.0
"""A kiln without any heat falls like this or faster, and goes on falling; one that is only turned
down, for a hold, a pause or reduction, dips by some degrees and soon more slowly.

While it climbs, the chamber is hotter than walls and ware by what drives the climb into them. When
the heat goes, that is lost within minutes and the chamber falls about as fast as it climbed, and
then with the walls. Where some heat is left, to hold the kiln, it falls less and bends: so where
ware and walls are heavy, half that pace will do in a fall that keeps most of its mean rate, after
so long that a pause would have bent it (common practice, no source)."""
_FALLS_ON_S, _TURNED_DOWN_S, _FALLS_ON_KEPT, _FALLS_ON_PART = 210.0, 280.0, 0.85, 0.6
"""A kiln that is kept to its plan and pauses, or swings, has slowed its fall after so long, and gas
that was turned down for a pause after the second time. What keeps so much of its mean rate since
the kiln was highest has come down to walls and ware and falls with them, as slowly as the best
lined do: by this part of what is asked of others, and whatever it had climbed at (common practice,
no source; a kiln that cools with a time constant of 13 h)."""
_SURELY = 2.0
"""A filter that a few values have just turned does not know the rate: so many of its standard
deviations are asked of a fall that is judged by how straight it is."""
_CLOSE_BENT, _COLD_BENT, _LOOSE_BENT, _YOUNG_BENT, _YOUNG_S = 0.5, 0.9, 1.15, 1.5, 210.0
"""Where a switch or a burner is turned down, some heat is left, and the fall bends. One that does
not is faster than its mean since the kiln was highest, since it began with none: by more for the
first time, in which nobody can tell, and by less later. That is asked where a person works the
kiln; of one that is kept closely only that it has not all but ended its fall. A cold one that is
paused dips as deep as one without heat in its first minutes, for what it climbed with is nearly all
the heat that it had: there the fall must not have bent (common practice, no source)."""
_FALLS_BACK_S, _TO_WALLS_S, _WITH_WALLS_PART = 120.0, 240.0, 0.5
"""For the first time the chamber falls back to walls and ware; from the second on it falls with
them, and of a hot kiln the pace of its climb is asked for by half only (common practice, no
source)."""
_CLIMBS, _RISES_ON_S, _CLIMBED_S = 0.5, 45.0, 600.0
"""Elements, flame and probe give up what they have, so that a kiln climbs on without heat, and ever
more slowly: it has lost its heat since it made half its pace, before it is highest, but by no more
than so long (common practice, no source). It falls back from the climb of the last ten minutes."""
_PLAIN_S, _PLAIN_PART, _PLAIN_KEPT = 45.0, 1.5, 0.85
_PAUSED_S, _PAUSED_PART, _PAUSED_KEPT = 105.0, 0.9, 0.5
_COLD_PLAIN = 2.0
"""In a kiln that is kept to its climb a pause, too, takes all heat away, but gives it back within a
minute: the kiln falls no faster than it climbed, and soon slows. So a fall is plain that is by half
steeper than is asked of a kiln without heat, where it has hardly slowed; and one that is nearly as
steep, or has lost no more than half its rate, for longer than a pause goes without heat. A plug
that is out chills a probe at once, by its own lag of a minute or so, and has slowed by then. The
colder a kiln, the less it has to give back, and the longer it falls in a pause (common practice, no
source)."""
_STRAIGHT_S, _STRAIGHT_KEPT, _WORKED, _LOOSE_STRAIGHT_KEPT = 120.0, 0.9, 0.5, 1.15
"""A fall that has lasted so long and kept as much of its mean rate is straight: what is turned down
or chilled has bent by then. Of a kiln that wanders by as much as the third, which a person works,
``_WOULD_BEND_S`` and the last are asked (common practice, no source)."""
_VERY_STEEP = 2.0
"""What falls twice as fast as is asked of a kiln without heat, and as it climbed, has none left,
whoever works it (common practice, no source)."""
_COMES_BACK = 0.3
"""A dip of which no more than this part is left was a look that is over (common practice)."""
_STAYS_S, _COMES_BACK_S = 150.0, 600.0
"""What has fallen as far as an open door or a slipped probe takes it stays there: a look through
the plug is half made good after the first, or will be within the second (common practice, no
source)."""


class Fall:
    """Adds up how far the kiln falls beyond a slow sag, in °C: a one-sided CUSUM (Page 1954).

    ``fall_c`` is how far it has fallen, ``deepest_c`` how far it had at most, ``deepest_s`` when;
    ``high_c`` and ``high_s`` are where and when it was highest.
    """

    __slots__ = (
        "_climbed_c_per_h",
        "_climbed_till_s",
        "_deep_since_s",
        "_draught_s",
        "_falls_back_since_s",
        "_stands_since_s",
        "_steep_since_s",
        "_steepest_c_per_h",
        "_steepest_mean_c_per_h",
        "_stood_s",
        "deepest_c",
        "deepest_s",
        "fall_c",
        "high_c",
        "high_s",
        "stood_c",
    )

    def __init__(self) -> None:
        self.high_c = self.high_s = self.deepest_s = 0.0
        self._climbed_c_per_h = self._climbed_till_s = 0.0
        """The fastest climb of the last minutes, and when the kiln last made half its pace."""
        self.forget()

    def forget(self) -> None:
        """What has fallen so far says nothing any more."""
        self.fall_c = self.deepest_c = 0.0
        self._steepest_c_per_h = self._steepest_mean_c_per_h = 0.0
        """The steepest rate of the present fall, negative, and that of all channels together."""
        self._deep_since_s: float | None = None
        """Since when it is as deep as no look takes it."""
        self._draught_s: float | None = None
        """Since when the fall is faster than a kiln's."""
        self._steep_since_s: float | None = None
        """Since when the kiln has fallen as steeply as most do without heat."""
        self._falls_back_since_s: float | None = None
        """Since when it has fallen as steeply as the heaviest do."""
        self._stands_since_s: float | None = None
        self._stood_s = self.stood_c = 0.0
        """When it last stood, and how far it had fallen by then; 0 where it has not."""

    @property
    def is_steep_now(self) -> bool:
        """Whether the kiln falls as steeply as most do without heat."""
        return self._steep_since_s is not None

    def add(self, moment: Moment, temp_c: float, sag_c_per_s: float) -> bool:
        """Take in how far the kiln has moved, a sag left out; whether it has fallen."""
        if self.fall_c == 0.0:
            self.high_c = temp_c - moment.moved_c
            self.high_s = moment.elapsed_s - moment.moved_s
        fall_c = self.fall_c - moment.moved_c - sag_c_per_s * moment.moved_s
        if fall_c <= 0.0:
            return False
        self.fall_c = fall_c
        if fall_c > self.deepest_c:
            self.deepest_c, self.deepest_s = fall_c, moment.elapsed_s
        elif fall_c < _COMES_BACK * self.deepest_c:
            self._draught_s = None
        excess_c = temp_c + fall_c - moment.ambient_c
        if fall_c < max(FELL_C, FELL_PART * excess_c, BACK_PART * self.deepest_c):
            self._deep_since_s = None
        elif self._deep_since_s is None:
            self._deep_since_s = moment.elapsed_s
        return True

    def stays(self, moment: Moment) -> bool:
        """Whether it is too deep for a look and stays so, however fast it was and if it goes on."""
        since_s = self._deep_since_s
        if since_s is None or moment.elapsed_s - since_s < _STAYS_S:
            return False
        is_loose = moment.habits.looseness > _LOOKS_LOOSENESS
        if moment.kiln_kind == "wood" or (moment.kiln_kind is None and is_loose):
            return False
        back_c = moment.rate_c_per_h / 3600.0 * _COMES_BACK_S
        return back_c < BACK_PART * self.fall_c

    def see_climb(self, moment: Moment) -> None:
        """Take in how fast the kiln climbs, if it does."""
        rate_c_per_h = moment.mean_rate_c_per_h
        if rate_c_per_h <= 0.0:
            return
        if rate_c_per_h > _CLIMBS * _climb_c_per_h(moment):
            self._climbed_till_s = moment.elapsed_s
        faded = self._climbed_c_per_h * (1.0 - moment.moved_s / _CLIMBED_S)
        if faded > rate_c_per_h:
            rate_c_per_h = faded
        self._climbed_c_per_h = rate_c_per_h

    def look(
        self, moment: Moment, temp_c: float, pace_c_per_h: float, *, is_on_its_way: bool
    ) -> bool:
        """Take in how fast it falls, where it had climbed at ``pace_c_per_h``; whether it has for
        a while fallen as one that has lost all its heat does."""
        if moment.rate_c_per_h < self._steepest_c_per_h:
            self._steepest_c_per_h = moment.rate_c_per_h
        mean_c_per_h = moment.mean_rate_c_per_h
        if mean_c_per_h < self._steepest_mean_c_per_h:
            self._steepest_mean_c_per_h = mean_c_per_h
        is_steep = self._is_steep(moment, temp_c, pace_c_per_h, is_on_its_way=is_on_its_way)
        if self._draught_s is None and moment.rate_c_per_h < -_fastest_c_per_h(moment, temp_c):
            self._draught_s = moment.elapsed_s
        return is_steep

    def _is_steep(
        self, moment: Moment, temp_c: float, pace_c_per_h: float, *, is_on_its_way: bool
    ) -> bool:
        back_part = 1.0
        if temp_c > HOT_C:
            with_walls = (moment.elapsed_s - self.high_s - _FALLS_BACK_S) / _TO_WALLS_S
            back_part -= _WITH_WALLS_PART * min(max(with_walls, 0.0), 1.0)
        unheated_c_per_h = max(_unheated_c_per_h(moment, temp_c), _LEAST_C_PER_H)
        self._see_whether_it_stands(moment, _STANDS_PART * unheated_c_per_h)
        falls_c_per_h, pace_c_per_h = -moment.mean_rate_c_per_h, back_part * pace_c_per_h
        elapsed_s = moment.elapsed_s
        if falls_c_per_h < max(unheated_c_per_h, _LEAST_PACE_PART * pace_c_per_h):
            self._falls_back_since_s = None
        elif self._falls_back_since_s is None:
            self._falls_back_since_s = elapsed_s
        if falls_c_per_h < max(unheated_c_per_h, _PACE_PART * pace_c_per_h):
            self._steep_since_s = None
        elif self._steep_since_s is None:
            self._steep_since_s = elapsed_s
        if self._falls_on(moment, falls_c_per_h, unheated_c_per_h):
            return True
        since_s = self._falls_back_since_s if self.goes_on(moment) else self._steep_since_s
        if since_s is None:
            return False
        close_s = _STOKED_STEEP_S if moment.kiln_kind in MAY_BE_STOKED else _STEEP_S
        least_s = close_s + moment.habits.looseness * (_LOOSE_STEEP_S - close_s)
        cold = (HOT_C - temp_c) / HOT_C
        if cold > 0.0 and not is_on_its_way:
            least_s += cold * (_LOOSE_STEEP_S - least_s)
        if self._was_ahead(moment):
            least_s = _LOOSE_STEEP_S
        return elapsed_s - since_s >= least_s

    def _see_whether_it_stands(self, moment: Moment, least_c_per_h: float) -> None:
        rate_c_per_h, mean_c_per_h = moment.rate_c_per_h, moment.mean_rate_c_per_h
        falls = min(rate_c_per_h, mean_c_per_h) < -least_c_per_h
        # What the filter takes for a climb yet is a turn.
        if falls or max(rate_c_per_h, mean_c_per_h) > least_c_per_h:
            self._stands_since_s = None
        elif self._stands_since_s is None:
            self._stands_since_s = moment.elapsed_s
        elif moment.elapsed_s - self._stands_since_s >= _STANDS_S:
            self._stood_s, self.stood_c = moment.elapsed_s, self.fall_c
            self._steepest_c_per_h = self._steepest_mean_c_per_h = 0.0

    def _fallen_s(self, moment: Moment) -> float:
        """For how long it has fallen, without standing."""
        return moment.elapsed_s - max(self.high_s, self._stood_s)

    def _kept(self, moment: Moment) -> float:
        """The present rate of the fall, as a part of its mean since the kiln was highest or stood.

        What has come up again since then has kept none."""
        fall_c = self.fall_c - self.stood_c
        if fall_c <= 0.0:
            return 0.0
        return -moment.mean_rate_c_per_h * self._fallen_s(moment) / 3600.0 / fall_c

    def _falls_on(self, moment: Moment, falls_c_per_h: float, unheated_c_per_h: float) -> bool:
        """Whether the fall of a kiln that has been kept to its plan is too long and too straight
        for a pause, however slow it is. One on its way down may still be coming to its hold."""
        step = moment.plan.step
        if step is None or step.cools:
            return False
        if moment.habits.looseness > _LOOKS_LOOSENESS or moment.kiln_kind == "wood":
            return False
        if falls_c_per_h < _SURELY * moment.rate_sigma_c_per_h:
            return False
        least_s = _FALLS_ON_S if moment.kiln_kind in LEFT_ALONE else _TURNED_DOWN_S
        if self._fallen_s(moment) < least_s or self._kept(moment) < _FALLS_ON_KEPT:
            return False
        return falls_c_per_h >= _FALLS_ON_PART * unheated_c_per_h

    def goes_on(self, moment: Moment) -> bool:
        """Whether the fall, no young one, has kept its rate. A charge that burns down does, too."""
        if moment.kiln_kind in MAY_BE_STOKED or self._fallen_s(moment) < _WOULD_BEND_S:
            return False
        return self._kept(moment) >= _GOES_ON

    def is_straight(self, moment: Moment, *, is_steep: bool) -> bool:
        """Whether it has gone on for longer than a turn of the tap takes to bend it, and is not
        bent; a cold kiln that pauses falls as straight, but not as steeply."""
        is_cold = moment.temp_c is None or moment.temp_c < HOT_C
        if self._falls_back_since_s is None or (is_cold and not is_steep):
            return False
        is_worked = moment.habits.looseness > _WORKED
        if self._fallen_s(moment) < (_WOULD_BEND_S if is_worked else _STRAIGHT_S):
            return False
        kept_part = _STRAIGHT_KEPT
        if is_worked and not self._is_very_steep(moment):
            kept_part = _LOOSE_STRAIGHT_KEPT
        return self._kept(moment) >= kept_part

    @staticmethod
    def _is_very_steep(moment: Moment) -> bool:
        """Whether it falls faster than any heat that is left lets it."""
        unheated_c_per_h = _unheated_c_per_h(moment, moment.temp_c or 0.0)
        least_c_per_h = _VERY_STEEP * max(unheated_c_per_h, pace_c_per_h(moment))
        return -moment.mean_rate_c_per_h >= least_c_per_h

    def has_bent(self, moment: Moment) -> bool:
        """Whether the fall slows already, or may do so yet in a kiln that a person works."""
        is_young = self._fallen_s(moment) < _YOUNG_S
        loose_part = _YOUNG_BENT if is_young else _LOOSE_BENT
        close_part = _CLOSE_BENT + _cold(moment.temp_c or 0.0) * (_COLD_BENT - _CLOSE_BENT)
        return self._kept(moment) < max(close_part, moment.habits.looseness * loose_part)

    def is_plain(self, moment: Moment, temp_c: float) -> bool:
        """Whether the fall of a kiln that has been kept to its climb is no pause, nor a look."""
        since_s = min(max(self._climbed_till_s, self.high_s - _RISES_ON_S), self.high_s)
        lost_s, falls_c_per_h = moment.elapsed_s - since_s, -moment.mean_rate_c_per_h
        # What had stood before it fell has not been shut off on its climb.
        if lost_s < _PLAIN_S or self._draught_s is not None or self._stood_s > self.high_s:
            return False
        later = min((lost_s - _PLAIN_S) / (_PAUSED_S - _PLAIN_S), 1.0)
        kept_part = _PLAIN_KEPT + later * (_PAUSED_KEPT - _PLAIN_KEPT)
        has_slowed = falls_c_per_h < -kept_part * self._steepest_mean_c_per_h
        if has_slowed or moment.rate_c_per_h > kept_part * self._steepest_c_per_h:
            return False
        if self.fall_c < _STILL_FALLS * self.deepest_c or self._may_be_chilled(moment):
            return False
        part = _PLAIN_PART + later * (_PAUSED_PART - _PLAIN_PART) + _cold(temp_c) * _COLD_PLAIN
        back_c_per_h = _PACE_PART * max(_climb_c_per_h(moment), self._climbed_c_per_h)
        if moment.is_alone:
            # A filter that has just been turned by a few values does not know yet how fast.
            falls_c_per_h -= moment.rate_sigma_c_per_h
        return falls_c_per_h >= part * max(_unheated_c_per_h(moment, temp_c), back_c_per_h)

    def _may_be_chilled(self, moment: Moment) -> bool:
        """Whether a plug may be out yet: of a gas kiln, where the flame tells more than any number,
        or beside the only thermocouple."""
        least_s = _GLANCE_S if moment.is_alone else 0.0
        if moment.kiln_kind == "gas":
            least_s = _CHILLS_S
        return self._fallen_s(moment) < least_s

    def is_a_look(self, moment: Moment, limit_c: float) -> bool:
        """Whether the dip may be that of a plug taken out, or of a door opened for a stoke."""
        if self.fall_c < _STILL_FALLS * self.deepest_c:
            return True
        fallen_s, draught_s = self._fallen_s(moment), self._draught_s
        if draught_s is not None:
            return moment.elapsed_s - draught_s < _LOOK_S
        if fallen_s < _YOUNG_FALL_S or (fallen_s < _CHILLS_S and self._dies_away(moment)):
            return True
        if moment.habits.looseness < _LOOKS_LOOSENESS:
            if moment.kiln_kind in LEFT_ALONE:
                return moment.is_alone and (fallen_s < _CHILLS_S or self._dies_away(moment))
            if moment.kiln_kind == "gas" and not moment.is_alone:
                return self._dies_away(moment)
        return self.fall_c < limit_c + _LOOK_C and fallen_s < _LOOK_S

    def _dies_away(self, moment: Moment) -> bool:
        """Whether a fall was steeper before, as long as it may be a chill."""
        if self._fallen_s(moment) >= _PLUG_OUT_S:
            return False
        return moment.rate_c_per_h > _BENDS * self._steepest_c_per_h

    def _was_ahead(self, moment: Moment) -> bool:
        """Whether a person may have turned down a kiln that had run ahead of its plan."""
        loose = moment.habits.looseness > _LOOKS_LOOSENESS
        return loose and moment.plan.is_ahead(self.high_s, self.high_c)


def pace_c_per_h(moment: Moment) -> float:
    """How fast the kiln has climbed, as far as it was meant to; 0 in a hold."""
    return min(_climb_c_per_h(moment), _MOST_C_PER_H)


def _unheated_c_per_h(moment: Moment, temp_c: float) -> float:
    """How fast a kiln falls at least that has no heat."""
    return _UNHEATED_PART * _COOLING_PER_H * (temp_c - moment.ambient_c)


def _cold(temp_c: float) -> float:
    """From 0 in a hot kiln to 1 in one at 0 °C."""
    return max((HOT_C - temp_c) / HOT_C, 0.0)


def _climb_c_per_h(moment: Moment) -> float:
    """Its pace, however fast."""
    step, habits = moment.plan.step, moment.habits
    if step is None or moment.plan.activity is not CLIMBING:
        return 0.0
    own_c_per_h, planned_c_per_h = habits.own_c_per_h, step.rate_c_per_h
    if planned_c_per_h is None or own_c_per_h is None:
        return own_c_per_h or NATURAL_LEAST_C_PER_H
    least_c_per_h = min(own_c_per_h, planned_c_per_h)
    # One that keeps its plan closely has climbed as planned, whatever it did before.
    return planned_c_per_h + habits.looseness * (least_c_per_h - planned_c_per_h)


def sag_c_per_s(moment: Moment, temp_c: float) -> float:
    """How fast a kiln may sag that has lost no heat; positive."""
    part = _SAG_PART + moment.habits.looseness * (_LOOSE_SAG_PART - _SAG_PART)
    sag_c_per_h = part * _COOLING_PER_H * (temp_c - moment.ambient_c)
    return max(sag_c_per_h, _LEAST_C_PER_H) / 3600.0


def _fastest_c_per_h(moment: Moment, temp_c: float) -> float:
    """How fast a kiln that has merely lost its heat can fall."""
    excess_c = temp_c - moment.ambient_c
    back_c_per_h = _BACK_PART * (moment.habits.own_c_per_h or 0.0) + _WALLS_PER_H * excess_c
    return max(_DRAUGHT_PER_H * excess_c, _DRAUGHT_C_PER_H, back_c_per_h)
