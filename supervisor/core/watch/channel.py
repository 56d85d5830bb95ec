"""One thermocouple channel: which of its values to believe, and what is wrong with it.

Knows nothing of the plan, and of other channels only what ``following`` writes on it. A lone
spike is passed over; a level that several values agree on is taken up; a value that no probe in
a kiln can give, or a move that no probe can make, is the sensor's fault and not the kiln's.
What looks without a value prove is settled by ``bad_looks``, what is wrong with a value that can't
be by ``impossible``, what is frozen by ``frozen``, when a fault is over by ``trust``.
"""

from __future__ import annotations

import math

from supervisor.core.readings import FaultCause
from supervisor.core.watch.away import AGREE_COUNT, is_away, turns_back
from supervisor.core.watch.bad_looks import BLANK_LOOKS, FAULT_LOOKS, SLOW_LOOKS_S, BadLooks
from supervisor.core.watch.filter import LEAST_KNOWN, NoiseEstimate, TemperatureFilter
from supervisor.core.watch.frozen import (
    CREST_S,
    FROZEN_S,
    LEAST_STOOD_S,
    is_frozen,
    was_always_frozen,
)
from supervisor.core.watch.impossible import HIGHEST_C, LOWEST_C, Impossible
from supervisor.core.watch.quick import (
    JUMP_C,
    JUMP_C_PER_S,
    PLUNGES_C_PER_S,
    Plunge,
    most_c,
)
from supervisor.core.watch.roughness import Roughness
from supervisor.core.watch.shed import SHED_C
from supervisor.core.watch.swapped import (
    MIRRORED_C,
    SWAPPED_BACK_C,
    SWAPPED_BELOW_C,
    falls_below_frost,
    is_swapped,
)
from supervisor.core.watch.trust import Trust
from supervisor.core.watch.wild import TOO_WILD, WILD_LOOKS, wild_share

_GATE_SIGMAS, _GATE_C = 6.0, 4.0
"""A value beyond the gate waits until three agree, or two that are far apart in time. Six standard
deviations pass all honest noise; the floor in °C is for a rig so quiet that its own steps would
not fit through."""
SHORT_BELOW_C, SHORT_FROM_C = 80.0, 150.0
"""A shorted pair reads the temperature of the short, which lies outside the kiln: warm terminals
at most, and a kiln hot enough to tell from them (common practice, no source)."""
_LEAST_S, _TICKS = 4.0, 0.8
"""A move that no probe can make stands for seconds. A live clock does not tick to the
millisecond."""
_NOISIEST_C = 15.0
"""A channel with more noise has not come back (common practice, no source)."""
_KNOWN_S = 600.0
"""A level that a channel has had for less is nothing to hold it to."""


class ChannelTrack:
    """Follows one channel. ``fault`` is the cause that stands against it, or ``None``.

    ``temp_c`` and ``rate_c_per_s`` are the filter's; they are ``None`` until a first value,
    and not to be used while ``is_healthy`` is false. ``is_suspected`` and ``is_stranger`` are
    for ``following`` to set: the channel leaves the others and should not lead; it never was
    with them.
    """

    __slots__ = (
        "_bad",
        "_first_c",
        "_first_s",
        "_impossible",
        "_last_s",
        "_looked_s",
        "_noise",
        "_plunge",
        "_rejected",
        "_roughness",
        "_tripped",
        "_wild",
        "estimate",
        "fault",
        "hanging_c2",
        "is_current",
        "is_news",
        "is_stoked",
        "is_stranger",
        "is_suspected",
        "last_value_c",
        "name",
        "others",
        "pace_s",
        "run_rate_c_per_s",
        "run_since_s",
        "shift_c",
        "shift_s",
        "should_climb",
        "should_fall",
        "trust",
    )

    def __init__(self, name: str) -> None:
        self.name = name
        self.fault: FaultCause | None = None
        self.estimate: TemperatureFilter | None = None
        """None until a first value."""
        self.is_current = False
        """Whether the last look gave a value that was taken up."""
        self.is_news = False
        """Whether the last look changed what is to be believed, or gave a value beyond the gate."""
        self.is_suspected = False
        self.is_stranger = False
        self.last_value_c: float | None = None
        self.hanging_c2 = 0.0
        """For ``flicker`` to set: how much more noise of one value counts that hangs together."""
        self.others: tuple[ChannelTrack, ...] = ()
        self.run_since_s = 0.0
        """Since when the channel has shown the one value that it shows."""
        self.shift_s = -math.inf
        self.shift_c = 0.0
        """When a value last was beyond the gate, and by how much."""
        self.should_climb = self.should_fall = False
        """Whether the plan climbs, or cools, where somebody has said so."""
        self.is_stoked = False
        """Whether it is told to be in a kiln that is fired with wood."""
        self.trust = Trust()
        self._first_c = self._first_s = 0.0
        self._noise = NoiseEstimate()
        self._last_s = 0.0
        self._looked_s: float | None = None
        self.pace_s = 0.0
        """The usual time between two values, 0 before a second one."""
        self._rejected: list[tuple[float, float]] = []
        self.run_rate_c_per_s = 0.0
        self._tripped = False
        self._wild = 0.0
        self._roughness = Roughness()
        self._bad = BadLooks()
        self._impossible = Impossible()
        self._plunge = Plunge()

    @property
    def temp_c(self) -> float | None:
        return None if self.estimate is None else self.estimate.temp_c

    @property
    def rate_c_per_s(self) -> float | None:
        return None if self.estimate is None else self.estimate.rate_c_per_s

    @property
    def rate_sigma_c_per_s(self) -> float:
        return 0.0 if self.estimate is None else self.estimate.rate_sigma_c_per_s

    @property
    def temp_sigma_c(self) -> float:
        return 0.0 if self.estimate is None else self.estimate.temp_sigma_c

    @property
    def resolution_c(self) -> float | None:
        """The smallest step seen, None before the channel has shown a second value."""
        return self._noise.resolution_c

    @property
    def run(self) -> int:
        """How many values in a row were the one that it shows now."""
        return self._noise.run

    @property
    def log_chance_of_run(self) -> float:
        """How unlikely noise alone makes it that the channel has stood still so long."""
        return self._noise.log_chance_of_run()

    @property
    def is_healthy(self) -> bool:
        """Whether the estimate may be used: there is one, and nothing stands against it."""
        return self.estimate is not None and self.fault is None and self._bad.count < BLANK_LOOKS

    def accuse(self, elapsed_s: float, cause: FaultCause, before_c: float | None) -> None:
        """Let ``cause`` stand; ``before_c`` is what the channel read when it was last right."""
        self._bad.agree()
        rate_c_per_s = self.rate_c_per_s or 0.0
        self.trust.lose(elapsed_s, cause, before_c, rate_c_per_s)
        self.fault = cause

    def rename(self, cause: FaultCause) -> None:
        """Give the fault that stands another name."""
        self.trust.rename(cause)
        self.fault = cause

    def absolve(self, elapsed_s: float) -> None:
        """Lift the fault that stands."""
        self.fault = None
        self.trust.regain(elapsed_s)

    def look(
        self, elapsed_s: float, value_c: float | None, fault: FaultCause | None
    ) -> float | None:
        """Take in what the source saw; ``elapsed_s`` is later than at the last look.

        Returns the filtered temperature where a value was taken up, None where none was.
        """
        known = self.estimate
        if (
            known is None
            or fault is not None
            or value_c is None
            or not LOWEST_C <= value_c <= HIGHEST_C
        ):
            return self._unusual(elapsed_s, value_c, fault)
        since_s = elapsed_s - self._last_s
        was_fault, noise = self.fault, self._noise
        self._last_s, self.last_value_c = elapsed_s, value_c
        if since_s != self.pace_s:
            part = 0.1 if self.pace_s else 1.0
            self.pace_s += part * (min(since_s, 600.0) - self.pace_s)
        is_news = False
        bad = self._bad
        if bad.count:
            is_news = bad.count >= BLANK_LOOKS
            bad.ends(was_at_fault=was_fault is not None)
        known.predict(since_s)
        surprise_c = value_c - known.temp_c
        away_c = abs(surprise_c)
        if away_c <= _GATE_C or away_c <= known.surprise_limit_c(_GATE_SIGMAS):
            known.noise_variance = noise.learn(elapsed_s, value_c) + self.hanging_c2
            if noise.count == LEAST_KNOWN:
                known.watch_for_turns()
            known.correct(value_c)
            self.is_current = True
            if self._rejected:
                self._roughness.comes_back(value_c)
                self._rejected.clear()
            if self._wild > 0.0 and self._looked_s is not None:
                self._count_wild(elapsed_s, elapsed_s - self._looked_s, None)
        else:
            self.is_current = False
            # What a channel that can't be believed does beyond its gate is no news.
            is_news = is_news or was_fault is None
            self._reject(known, elapsed_s, since_s, value_c, surprise_c)
        if noise.run == 1:
            self.run_since_s = elapsed_s
            self.run_rate_c_per_s = known.rate_c_per_s
        elif (
            elapsed_s - self.run_since_s >= LEAST_STOOD_S
            and self.fault is None
            and self.is_current
            and self._is_frozen(elapsed_s - self.run_since_s)
        ):
            before_c = None if noise.resolution_c is None else known.temp_c
            self.accuse(elapsed_s, FaultCause.FROZEN, before_c)
        if self.fault is not None:
            bad.agree()
            self._forgive(elapsed_s)
        elif known.rate_c_per_s < PLUNGES_C_PER_S and self._has_plunged(elapsed_s, known.temp_c):
            self.accuse(elapsed_s, FaultCause.JUMP, self.trust.noted_c)
        elif value_c < SWAPPED_BELOW_C and is_swapped(
            value_c, known, self._first_c, elapsed_s - self._first_s
        ):
            self.accuse(elapsed_s, FaultCause.REVERSED, None)
        elif value_c > MIRRORED_C and self.resolution_c is not None:
            self._first_c = -math.inf
        self.is_news = is_news or self.fault is not was_fault
        self._looked_s = elapsed_s
        return known.temp_c if self.is_current else None

    def _has_plunged(self, elapsed_s: float, temp_c: float) -> bool:
        """Whether it has fallen as no kiln takes it; beside others it is judged by them."""
        is_on_its_way = self.should_climb and not self.is_stoked
        is_too_far = self._plunge.look(elapsed_s, temp_c, is_on_its_way=is_on_its_way)
        is_known = elapsed_s - self._first_s >= _KNOWN_S
        return is_too_far and is_known and not any(other.is_healthy for other in self.others)

    def has_begun_at(self, temp_c: float) -> None:
        """Take it that the channel began as high as that: swapped leads fall from there."""
        self._first_c = max(self._first_c, temp_c)

    @property
    def falls_below_frost(self) -> bool:
        """Whether it shows, and goes on falling to, what no kiln and hardly a shed is."""
        known = self.estimate
        if known is None or self.fault is not FaultCause.JUMP:
            return False
        return falls_below_frost(known)

    def _unusual(
        self, elapsed_s: float, value_c: float | None, fault: FaultCause | None
    ) -> float | None:
        """A look without a value that can be, or with the first one."""
        was_healthy, was_fault = self.is_healthy, self.fault
        self.is_current = False
        if fault is not None:
            self._look_in_vain(elapsed_s, fault, FAULT_LOOKS)
        elif value_c is None:
            self._look_in_vain(elapsed_s, None, BLANK_LOOKS)
        elif LOWEST_C <= value_c <= HIGHEST_C:
            self._begin(elapsed_s, value_c)
        else:
            if self._bad.count == 0:
                self._impossible.forget()
            self._look_in_vain(elapsed_s, self._impossible.why(value_c), BLANK_LOOKS)
        self.is_news = self.is_healthy is not was_healthy or self.fault is not was_fault
        self._looked_s = elapsed_s
        return value_c if self.is_current else None

    def _begin(self, elapsed_s: float, value_c: float) -> None:
        self._bad.count = 0
        self.estimate = TemperatureFilter(value_c)
        self._first_c = self.last_value_c = value_c
        self._noise.learn(elapsed_s, value_c)
        self._first_s = self._last_s = self.run_since_s = elapsed_s
        self.is_current = True

    def _look_in_vain(self, elapsed_s: float, cause: FaultCause | None, looks: int) -> None:
        """A look without a value; as many as ``looks`` prove something."""
        bad = self._bad
        since_s = 0.0 if self._looked_s is None else elapsed_s - self._looked_s
        self.trust.disturb()
        proven = bad.look(
            elapsed_s, since_s, cause, looks, self.pace_s, was_seen=self.estimate is not None
        )
        if cause is not None and bad.count <= WILD_LOOKS:
            self._count_wild(elapsed_s, since_s, cause)
        if proven is None:
            return
        if self.fault is None:
            self.accuse(elapsed_s, proven, self.temp_c)
        elif cause is not None and bad.renames(elapsed_s, self.fault, cause):
            self.rename(cause)

    def _count_wild(self, elapsed_s: float, since_s: float, cause: FaultCause | None) -> None:
        """One more look of which a part, or nothing (``cause`` None), can't be true."""
        wild = self._wild = wild_share(self._wild, since_s, is_wild=cause is not None)
        if wild > TOO_WILD and self.fault is None and cause is not None:
            self.accuse(elapsed_s, cause, self.temp_c)

    def _reject(
        self,
        known: TemperatureFilter,
        elapsed_s: float,
        since_s: float,
        value_c: float,
        surprise_c: float,
    ) -> None:
        rejected = self._rejected
        above_c = known.temp_c - SHED_C if surprise_c < 0.0 else math.inf
        step_c = surprise_c if not rejected else value_c - rejected[-1][1]
        is_quick = abs(step_c) > most_c(since_s, above_c)
        if not rejected:
            self._tripped = False
            self.trust.note(elapsed_s, known.temp_c, known.rate_c_per_s)
            self._plunge.note(elapsed_s - since_s, known.temp_c)
        self.shift_s, self.shift_c = elapsed_s, surprise_c
        rough_c2 = self._roughness.look(elapsed_s, value_c, surprise_c, self.pace_s)
        # A fire swings a probe beyond its gate with each charge, and is no noise.
        if rough_c2 is not None and self.fault is None and not self.is_stoked:
            known.doubt(self._noise.is_rougher(rough_c2) + self.hanging_c2)
            rejected.clear()
            return
        rejected.append((elapsed_s, value_c))
        if is_quick:
            self._tripped = True
            self._count_wild(elapsed_s, since_s, FaultCause.JUMP)
        count, noted_c, values_c = len(rejected), self.trust.noted_c, [c for _, c in rejected]
        needed = AGREE_COUNT if since_s < SLOW_LOOKS_S else FAULT_LOOKS
        if self._tripped and self.fault is None and is_away(noted_c, values_c, needed):
            # Where it is too soon to tell, it is not followed to where it has gone, either.
            lasted_s = elapsed_s - rejected[0][0]
            if count < needed or lasted_s < min(_LEAST_S, _TICKS * (needed - 1) * since_s):
                return
            self._trip(elapsed_s, since_s, value_c)
        agree = AGREE_COUNT if since_s < SLOW_LOOKS_S else AGREE_COUNT - 1
        if count < agree or (count < AGREE_COUNT and values_c[-1] - values_c[-2] > JUMP_C):
            return
        (first_s, first_c), (last_s, last_c) = rejected[-agree], rejected[-1]
        fallen_to_c = max(values_c[-agree:])
        if self.fault is None and surprise_c < 0.0 and self._has_plunged(elapsed_s, fallen_to_c):
            self.accuse(elapsed_s, FaultCause.JUMP, noted_c)
        slope_c_per_s = (last_c - first_c) / (last_s - first_s)
        possible = abs(slope_c_per_s) <= JUMP_C_PER_S and not turns_back(noted_c, first_c, last_c)
        if not possible and count < 10 * AGREE_COUNT:
            return
        known.restart(last_c, slope_c_per_s if possible else 0.0)
        if self._noise.count < LEAST_KNOWN and elapsed_s - self._first_s < _KNOWN_S:
            # The first value of all was a spike itself, or these are: leads that are swapped fall.
            self._first_c = max(self._first_c, last_c)
        if last_c != self._noise.recent_c:
            # Another level ends the run of the value before, though nothing was learnt from it:
            # after a silence in which the kiln has moved the channel did not stand still.
            self.run_since_s = elapsed_s
        self.is_current = True
        rejected.clear()

    def _trip(self, elapsed_s: float, since_s: float, value_c: float) -> None:
        """Several values lie where no probe can have gone; a move of most channels is none."""
        before_c = self.trust.noted_c
        fell_out = before_c is not None and before_c > SHORT_FROM_C and value_c < SHORT_BELOW_C
        is_young = elapsed_s - self._first_s < _KNOWN_S
        # A first value that no other has borne out is no level: it was a spike itself.
        is_sole = is_young and self.resolution_c is None
        if is_sole or (not fell_out and self._is_shared(elapsed_s, AGREE_COUNT * since_s)):
            self._tripped = False
            return
        if is_young and not fell_out:
            # It may as well have been wrong before and be right now.
            before_c = None
        self.accuse(elapsed_s, FaultCause.SHORT if fell_out else FaultCause.JUMP, before_c)

    def _is_shared(self, elapsed_s: float, within_s: float) -> bool:
        """Whether most channels that are believed have just moved the same way, as far: as this one
        has by now, or had at first, for those that are looked at after it have not moved on yet."""
        believed = alike = 1
        moved_c = self.shift_c
        if self._rejected and self.trust.noted_c is not None:
            first_c = self._rejected[0][1] - self.trust.noted_c
            if first_c * moved_c > 0.0 and abs(first_c) < abs(moved_c):
                moved_c = first_c
        for other in self.others:
            if other.is_healthy:
                believed += 1
                alike += (
                    elapsed_s - other.shift_s <= within_s
                    and other.shift_c * moved_c > 0.0
                    and abs(other.shift_c) > 0.3 * abs(moved_c)
                )
        return alike > 1 and 2 * alike > believed

    def _is_frozen(self, stood_s: float) -> bool:
        if self._noise.resolution_c is None:
            return was_always_frozen(stood_s, self._first_c)
        rate_c_per_s = self.run_rate_c_per_s
        goes_on = self.should_climb if rate_c_per_s > 0.0 else self.should_fall
        goes_on = goes_on and not (self.is_stoked and stood_s < CREST_S)
        return is_frozen(self._noise, stood_s, rate_c_per_s if goes_on else None)

    def _forgive(self, elapsed_s: float) -> None:
        """Lift a fault once the channel behaves again."""
        known, fault = self.estimate, self.fault
        if known is None:
            return
        behaves = self.is_current and not self.is_stranger and self._noise.variance < _NOISIEST_C**2
        if fault is FaultCause.FROZEN:
            behaves = behaves and elapsed_s - self.run_since_s < FROZEN_S / 2
        elif fault is FaultCause.REVERSED:
            behaves = behaves and known.temp_c > self._first_c - SWAPPED_BACK_C
        if not behaves:
            self.trust.disturb()
        elif self.trust.is_back(elapsed_s, known.temp_c, self._wild):
            self.absolve(elapsed_s)
