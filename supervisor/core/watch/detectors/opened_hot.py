"""A cooling kiln falls faster than a shut one can: a door or lid is open, or vents and damper.

The guarded bands have a rule of their own (``phases``), which goes by what the ware bears. Here
the kiln is measured against itself: a shut kiln loses its excess over the shed at a rate that
changes slowly (Newton's law of cooling; what radiates through the wall slows down as it cools).
Where a guarded band is being crossed too fast, that is told by its own rule and not again here.
Falling much faster than its own recent cooling is something that somebody or something has
opened; or, where the plan cools slowly with heat, heat that has gone.
"""

from __future__ import annotations

from math import exp

from supervisor.core.events import Event, Kind, Severity, State
from supervisor.core.phases.bands import bands_of
from supervisor.core.schedule.model import Schedule
from supervisor.core.watch.detectors.advice import COOLING_FAST, SLIPPED
from supervisor.core.watch.detectors.by_whom import is_kept
from supervisor.core.watch.detectors.eased import Eased
from supervisor.core.watch.detectors.habits import Gust, Swing
from supervisor.core.watch.detectors.moment import Moment
from supervisor.core.watch.detectors.quickening import LASTS_S, Quickening
from supervisor.core.watch.moves import COOLING, FINISHED, WAITING
from supervisor.core.watch.sensitivity import Sensitivity, noise_limit_c

_COLD_C, _COLDER_C = 200.0, 150.0
"""Below the first no form of quartz is left to turn, and a kiln is opened by and by, bungs and
damper first, as its maker allows; what has begun to fall above it is told down to the second
(common practice, no source)."""
_FASTER = 1.5
"""So much faster than its own recent cooling nothing gets that stays shut."""
_FASTEST_PER_S = 1.0 / (0.8 * 3600.0)
_SHUT_PER_S, _LIVELY_C_PER_H = 1.0 / (2.9 * 3600.0), 200.0
"""Before a kiln's own cooling is known: one that has climbed no faster than this does not lose its
excess over the shed with a shorter time constant while it is shut; one that climbs in a hurry has
thin walls and little in it. Thin walls both hold less and let more through, so that such a kiln
cools faster by the square of that, down to the raku kiln of fibre that loses it in an hour or so
(common practice, no source)."""
_SLOWEST_PER_S = 1.0 / (12.0 * 3600.0)
_OWN_S, _LEAST_OWN_S, _SETTLE_S = 40 * 60.0, 600.0, 1500.0
"""Over which the own cooling is remembered; and how long the first fall after the heat is off,
when the hot air and the elements cool down to the walls, says nothing of later."""
_KNOWN_S = 2400.0
"""A kiln that was let cool for so long in this firing has shown how fast it does while it is shut,
at first and from then on: what comes later, with cooler walls, is no faster (Newton's law of
cooling)."""
_LET_GO_C = 15.0
"""A kiln has begun to cool when it is so far below where it was, and one that has come up again by
so much begins anew: somebody stokes on, or a relay has welded."""
_LEAST_C = 6.0
"""A fall beyond what is allowed that is called, in °C (common practice, no source)."""
_BEGUN_PART = 0.3
_LOOK_S, _LOOK_C, _STILL_FALLS = 120.0, 60.0, 0.85
"""A plug is out of its spyhole for no longer, and takes no more than so much off the
thermocouple; then it comes back (common practice, no source)."""
_ALIKE_S, _ALIKE_PART = 40.0, 0.4
"""Where the other channels fall as fast, or by this part of it, it is no plug that is out, but the
kiln that falls."""
_SWING_MARGIN, _MOST_SWING_C = 1.7, 20.0
_GUSTY, _GUST_S = 4.0, 90.0
"""A fall so much faster than is allowed may be a gust through a spyhole: it is given so long."""
_FIRST_C, _FIRST_FLAME_C, _FIRST_S, _FADES_S = 20.0, 50.0, 180.0, 1200.0
"""So much of the first fall is that of hot air and elements down to the walls. In a small kiln of
fibre it is most of the fall: what is lost in the first minutes is taken for that, and for less and
less while it fades, as it does where the kiln is shut: steepest in its second or third minute, and
slower from there on. A flame has heated probe and hot faces more than the walls behind them. A
door steepens a fall that goes on (common practice, no source)."""
_CONTROLLED_C, _CORNER_C, _ROUND_C, _KEEPS = 7.0, 14.0, 10.0, 0.3
"""Where a controller cools by a plan it swings about it, and more so at the corner, until it has
kept to it for some minutes: it falls by this part of the planned pace at least."""
_AS_IT_FALLS = 0.7
"""A plan that cools at about the pace at which a shut kiln falls is followed by letting it go: its
first fall is a kiln's own, and steeper (common practice, no source)."""
_KEPT = 1.1
_NEAR_END_C = 30.0
"""So near the end of a slow cooling the kiln's own controller may be done with it."""
_BAND_MARGIN_C = 10.0
_RAKU_C_PER_H, _RAKU_C, _AT_TOP_C = 300.0, 1100.0, 150.0
"""Ware that bears to be heated so fast, to no more than so hot, is fired to be taken out hot: near
the top, and not when the kiln has cooled, the lid is off and the ware in the tongs, and whoever did
that need not be told (common practice, no source).
Where the plan lets the kiln climb as fast as it goes, it counts how fast it went."""
_OFF = 1.6
"""A controller has let go of a kiln that falls so much faster than its plan had it cool before."""


class OpenedHot:
    """Adds up how far the kiln falls beyond what a shut one would, in °C (Page 1954)."""

    __slots__ = (
        "_allowed_per_s",
        "_cooled_by_c_per_h",
        "_eased",
        "_fall_c",
        "_falling_c",
        "_fell",
        "_fell_s",
        "_first_per_s",
        "_goes_as_it_can",
        "_guarded",
        "_gust",
        "_high_c",
        "_high_s",
        "_is_raku",
        "_is_round",
        "_is_told",
        "_kept_c_per_h",
        "_known_first_per_s",
        "_known_per_s",
        "_least_per_s",
        "_let_go_per_s",
        "_low_c",
        "_own_per_s",
        "_planned_c_per_h",
        "_quickening",
        "_scale",
        "_sigmas",
        "_since_s",
        "_step_index",
        "_swing",
        "_was",
        "is_raised",
        "is_suspected",
    )

    def __init__(self, sensitivity: Sensitivity, schedule: Schedule | None = None) -> None:
        self._guarded = [] if schedule is None else [b for b in bands_of(schedule) if b.cooling]
        hottest = None if schedule is None else schedule.steps[schedule.peak_step]
        if hottest is not None and hottest.to_c > _RAKU_C:
            hottest = None
        self._is_raku = hottest is not None and (hottest.rate_c_per_h or 0.0) >= _RAKU_C_PER_H
        self._goes_as_it_can = hottest is not None and hottest.rate_c_per_h is None
        self._is_told = False
        """Whether the present fall is a guarded band's to tell."""
        self._sigmas = sensitivity.sigmas(Kind.FAST_COOLING)
        self._scale = sensitivity.scale(Kind.FAST_COOLING)
        self._own_per_s = self._first_per_s = self._let_go_per_s = 0.0
        self._known_per_s = self._known_first_per_s = 0.0
        self._least_per_s = _SLOWEST_PER_S
        self._high_c = self._low_c = 0.0
        self._gust = Gust()
        self._allowed_per_s = 0.0
        self._fall_c = self._falling_c = self._high_s = 0.0
        self._fell = self._fell_s = 0.0
        """What has been lost of the excess over the shed, as a part of it, and in which time, that
        has not taught anything yet."""
        self._swing = Swing(0.0)
        self._quickening = Quickening()
        self._is_round = False
        """Whether the corner to a slow cooling is taken: the kiln has kept to it for minutes."""
        self._kept_c_per_h = self._cooled_by_c_per_h = 0.0
        """What the step before cooled by, if the plan had it cool slowly."""
        self._was = WAITING
        self._step_index = -1
        self._since_s = 0.0
        self._eased = Eased()
        self._planned_c_per_h: float | None = None
        self.is_raised = False
        self.is_suspected = False

    @property
    def falls(self) -> bool:
        """Whether it was told, or the kiln has lost anything beyond what a shut one would."""
        return self.is_raised or self._fall_c > 0.0

    @property
    def lost_c(self) -> float:
        """How far the kiln has fallen beyond what a shut one would, while it falls as an opened
        one; 0 while it does not."""
        return self._falling_c if self.is_raised or self.is_suspected else 0.0

    def _is_drawn(self, moment: Moment, from_c: float) -> bool:
        """Whether a fall from so hot is that of a kiln whose ware is taken out, as in raku."""
        if from_c <= self._high_c - _AT_TOP_C:
            return False
        fastest_c_per_h = moment.habits.fastest_c_per_h or 0.0
        return self._is_raku or (self._goes_as_it_can and fastest_c_per_h >= _RAKU_C_PER_H)

    def feed(
        self,
        moment: Moment,
        *,
        is_heated: bool = False,
        is_told_of_band: bool = False,
        has_lost_heat: bool = False,
    ) -> list[Event]:
        """Events of this moment. ``is_heated``: heat is stuck on, and what falls when it is off at
        last falls for the first time; ``is_told_of_band``: that a guarded band is crossed too fast
        on the way down stands already; ``has_lost_heat``: it cools, whatever its plan wants."""
        plan, temp_c = moment.plan, moment.temp_c
        if temp_c is None:
            return []
        activity, step = FINISHED if has_lost_heat else plan.activity, plan.step
        cools = activity is COOLING or activity is FINISHED
        cold_c = _COLDER_C if self.is_suspected or self.is_raised else _COLD_C
        if not cools or step is None or temp_c < cold_c:
            self._was = activity
            self._forget()
            return self._clear(moment, temp_c) if self.is_raised else []
        if activity is not self._was or step.index != self._step_index:
            self._quickening.forget()
            self._is_round = False
            self._kept_c_per_h = self._cooled_by_c_per_h
            self._was, self._step_index = activity, step.index
            self._high_c = self._low_c = temp_c
            self._forget()
            self._high_s = moment.elapsed_s - moment.moved_s
            self._first_per_s = _first_per_s(moment)
            if self._known_per_s > 0.0:
                self._first_per_s = min(self._first_per_s, _FASTER * self._known_per_s)
            self._own_per_s = self._first_per_s / _FASTER
            self._least_per_s = _SLOWEST_PER_S
        if moment.is_new_lead:
            self._forget()
            self._quickening.forget()
        if moment.moved_s == 0.0:
            self._low_c = temp_c
        elif temp_c < self._low_c and self._fall_c == 0.0:
            # What is lost by a draught comes back by itself.
            self._low_c = temp_c
        is_heated = is_heated or temp_c > self._low_c + _LET_GO_C
        if temp_c > self._high_c or (is_heated and not self.is_raised):
            self._high_c = self._low_c = temp_c
        if temp_c > self._high_c - _LET_GO_C:
            # A person who still holds by another count cools nothing yet.
            self._since_s = moment.elapsed_s
            self._let_go_per_s = 0.0
        excess_c = temp_c - moment.ambient_c
        is_first = moment.elapsed_s - self._since_s < _SETTLE_S
        planned_c_per_h = step.rate_c_per_h if activity is COOLING else None
        self._cooled_by_c_per_h = planned_c_per_h or 0.0
        dt_s, first_c = moment.moved_s, _CORNER_C
        if self.is_raised:
            self._fall_c -= moment.moved_c + self._allowed_per_s * excess_c * dt_s
            self._falling_c = max(self._falling_c, self._fall_c)
            return self._look_for_its_end(moment, temp_c, excess_c)
        if planned_c_per_h is not None:
            planned_c_per_s = planned_c_per_h / 3600.0
            # A plan may ask for more than a shut kiln can do: then what it asks for is allowed.
            most_c_per_s = max(excess_c * _FASTEST_PER_S, _KEPT * planned_c_per_s)
            allowed_c_per_s = min(_FASTER * planned_c_per_s, most_c_per_s)
            shut_c_per_s = allowed_c_per_s
            least_c = _CONTROLLED_C
            first_c = self._corner_c(moment, planned_c_per_s, excess_c)
            if planned_c_per_s > _AS_IT_FALLS * self._first_per_s * excess_c:
                first_c = _FIRST_C
                if is_first:
                    falls_c_per_s = self._first_fall_per_s(moment, excess_c) * excess_c
                    allowed_c_per_s = max(allowed_c_per_s, falls_c_per_s)
            if temp_c < step.to_c + _NEAR_END_C:
                self._forget()
                return []
        else:
            shut_per_s = allowed_per_s = _FASTER * self._own_per_s
            is_new_flame = moment.kiln_kind != "electric" and self._known_per_s == 0.0
            first_c = _FIRST_FLAME_C if is_new_flame else _FIRST_C
            if is_first:
                shut_per_s = max(shut_per_s, self._first_per_s)
                allowed_per_s = max(shut_per_s, self._first_fall_per_s(moment, excess_c))
            shut_c_per_s = shut_per_s * excess_c
            allowed_c_per_s = allowed_per_s * excess_c
            least_c = _LEAST_C
            by_c = self._quickens_by_c(moment, temp_c, excess_c)
            if by_c > 0.0 and self._is_drawn(moment, temp_c + by_c):
                self._is_told = True
            elif by_c > 0.0 and not (is_told_of_band or self._is_a_bands(moment, temp_c)):
                self._fall_c = self._falling_c = by_c
                self._allowed_per_s = _FASTER * self._quickening.old_per_s
                self._planned_c_per_h = None
                return [self._raise(moment, temp_c, self._allowed_per_s * excess_c)]
        if is_first:
            least_c = first_c
        fall_c = self._fall_c - moment.moved_c - allowed_c_per_s * dt_s
        self._swing.fade(dt_s)
        if fall_c <= 0.0:
            if self._falling_c > 1.0:
                self._swing.learn(self._falling_c, _MOST_SWING_C)
            fall_c = self._falling_c = 0.0
            self._is_told = False
        elif fall_c > self._falling_c:
            self._falling_c = fall_c
        self._fall_c = fall_c
        if planned_c_per_h is None and temp_c < self._high_c - _LET_GO_C:
            self._fell += -moment.moved_c / excess_c
            self._fell_s += dt_s
            if fall_c < 0.5 * least_c:
                # With what was suspected meanwhile and made good: of a slow swing or a hum, the
                # calm half alone would teach too little.
                self._learn(moment)
        if fall_c == 0.0:
            self._high_s = moment.elapsed_s
            self._gust.look(moment.elapsed_s, is_calm=True)
            self.is_suspected = False
            return []
        noise_c = noise_limit_c(
            self._sigmas, moment.sigma_c, moment.memory_s, allowed_c_per_s / 3.0
        )
        limit_c = max(least_c * self._scale, noise_c, _SWING_MARGIN * self._swing.size)
        self.is_suspected = fall_c > 0.5 * limit_c
        if fall_c < _BEGUN_PART * limit_c:
            self._high_s = moment.elapsed_s
        self._gust.look(
            moment.elapsed_s, is_calm=-moment.rate_c_per_h < _GUSTY * shut_c_per_s * 3600.0
        )
        if fall_c < limit_c or -moment.rate_c_per_h < allowed_c_per_s * 3600.0:
            return []
        if planned_c_per_h is None and self._is_drawn(moment, temp_c + fall_c):
            self._is_told = True
            return []
        others_c_per_h = moment.others_rate_c_per_h
        least_c_per_h = max(allowed_c_per_s * 3600.0, _ALIKE_PART * -moment.rate_c_per_h)
        is_alike = others_c_per_h is not None and -others_c_per_h > least_c_per_h
        # A flame that goes out no longer heats any probe.
        is_alike = is_alike and moment.elapsed_s - self._since_s > _FIRST_S
        if not is_alike and self._gust.blows(moment.elapsed_s, _GUST_S):
            return []
        if fall_c < limit_c + _LOOK_C:
            is_short = moment.elapsed_s - self._high_s < (_ALIKE_S if is_alike else _LOOK_S)
            if is_short or fall_c < _STILL_FALLS * self._falling_c:
                return []
        if is_told_of_band:
            self._is_told = True
        if self._is_told or self._is_a_bands(moment, temp_c):
            return []
        self._allowed_per_s = shut_c_per_s / excess_c
        self._planned_c_per_h = planned_c_per_h
        return [self._raise(moment, temp_c, allowed_c_per_s)]

    def _forget(self) -> None:
        self._fall_c = self._falling_c = 0.0
        self._fell = self._fell_s = 0.0
        self._is_told = self.is_suspected = False

    def _corner_c(self, moment: Moment, planned_c_per_s: float, excess_c: float) -> float:
        """What may be lost at the corner to a slow cooling, in °C."""
        if not self._is_round:
            self._quickening.look(moment.moved_c, moment.moved_s, excess_c)
            planned_per_s = planned_c_per_s / excess_c
            self._is_round = self._quickening.is_kept(
                _KEEPS * planned_per_s, _FASTER * planned_per_s
            )
        return _ROUND_C if self._is_round else _CORNER_C

    def _quickens_by_c(self, moment: Moment, temp_c: float, excess_c: float) -> float:
        """How much more a kiln that its controller has let go has fallen, where its fall has
        quickened by more than noise; else 0."""
        if temp_c > self._high_c - _LET_GO_C:
            self._quickening.forget()
            return 0.0
        quickening = self._quickening
        if not quickening.look(moment.moved_c, moment.moved_s, excess_c) or not is_kept(moment):
            return 0.0
        if quickening.old_per_s * excess_c * 3600.0 < _OFF * self._kept_c_per_h:
            return 0.0
        by_c = quickening.by_per_s * excess_c * LASTS_S
        noise_c = noise_limit_c(self._sigmas, moment.sigma_c, moment.memory_s, 0.0)
        return by_c if by_c > max(_LEAST_C * self._scale, noise_c) else 0.0

    def _is_a_bands(self, moment: Moment, temp_c: float) -> bool:
        """Whether the kiln is in a guarded band and too fast for it, or was a moment ago."""
        return any(
            band.fastest_c_per_h is not None
            and band.to_c - _BAND_MARGIN_C < temp_c < band.from_c
            and -moment.rate_c_per_h > band.fastest_c_per_h
            for band in self._guarded
        )

    def _first_fall_per_s(self, moment: Moment, excess_c: float) -> float:
        """What the first fall after the heat is off may be by now, as a part of the excess."""
        since_s = moment.elapsed_s - self._since_s
        if since_s <= _FIRST_S:
            most_per_s = _FASTEST_PER_S
            if self._known_first_per_s > 0.0:
                most_per_s = min(most_per_s, _FASTER * self._known_first_per_s)
            seen_per_s = min(-moment.rate_c_per_h / 3600.0 / excess_c, most_per_s)
            self._let_go_per_s = max(self._let_go_per_s, seen_per_s)
        return self._let_go_per_s * exp(-max(since_s - _FIRST_S, 0.0) / _FADES_S)

    def _learn(self, moment: Moment) -> None:
        since_s = moment.elapsed_s - self._since_s
        over_s = _OWN_S if since_s > _OWN_S else max(since_s, _LEAST_OWN_S)
        if self._fell_s > over_s:
            over_s = self._fell_s
        own = self._own_per_s
        own += 1.0 / over_s * (self._fell - own * self._fell_s)
        if own < self._least_per_s:
            own = self._least_per_s
        if since_s > _KNOWN_S:
            self._known_per_s = max(self._known_per_s, own)
            self._known_first_per_s = max(self._known_first_per_s, self._let_go_per_s, own)
        self._own_per_s = own
        self._fell = self._fell_s = 0.0

    def _raise(self, moment: Moment, temp_c: float, allowed_c_per_s: float) -> Event:
        self.is_raised = True
        self._eased.forget()
        words = moment.words
        falls_c_per_h = max(-moment.rate_c_per_h, allowed_c_per_s * 3600.0)
        planned_c_per_h, than = self._planned_c_per_h, "than it cools when it is shut and let be"
        if planned_c_per_h is not None:
            than = f"than the {words.rate(planned_c_per_h)} that the plan cools"
        return moment.event(
            Kind.FAST_COOLING,
            Severity.WARNING,
            f"The kiln falls {words.rate(falls_c_per_h)} at {words.temp(temp_c)}, much faster "
            f"{than}. {COOLING_FAST[moment.kiln_kind]}"
            f"{'' if planned_c_per_h is None else ', and whether it still has its heat'}; hot "
            f"ware cracks in a draught, and a hot kiln is never opened."
            f"{SLIPPED if moment.is_alone else ''}",
            {
                "band": None,
                "temp_c": round(temp_c, 1),
                "rate_c_per_h": round(falls_c_per_h, 1),
                "fastest_c_per_h": round(allowed_c_per_s * 3600.0, 1),
            },
        )

    def _look_for_its_end(self, moment: Moment, temp_c: float, excess_c: float) -> list[Event]:
        shut_c_per_h = self._planned_c_per_h
        if shut_c_per_h is None:
            shut_c_per_h = self._allowed_per_s / _FASTER * excess_c * 3600.0
        has_eased = self._eased.look(moment.elapsed_s, -moment.rate_c_per_h, shut_c_per_h)
        return self._clear(moment, temp_c) if has_eased else []

    def _clear(self, moment: Moment, temp_c: float) -> list[Event]:
        self.is_raised = False
        self._forget()
        # Shut again, its walls warm it for a while, and that is not its own cooling.
        self._least_per_s = self._own_per_s
        slower = "a shut one" if self._planned_c_per_h is None else "its plan"
        return [
            moment.event(
                Kind.FAST_COOLING,
                Severity.WARNING,
                f"The kiln no longer falls faster than {slower}, at {moment.words.temp(temp_c)}.",
                {"band": None, "temp_c": round(temp_c, 1)},
                state=State.CLEARED,
            )
        ]


def _first_per_s(moment: Moment) -> float:
    """What a shut kiln like this one may lose at most, as a part of its excess, in a second."""
    fastest_c_per_h = moment.habits.fastest_c_per_h
    if fastest_c_per_h is None:
        return _FASTEST_PER_S
    lively = max(fastest_c_per_h / _LIVELY_C_PER_H, 1.0)
    return min(lively * lively * _SHUT_PER_S, _FASTEST_PER_S)
