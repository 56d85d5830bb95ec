"""One thermocouple channel: which of its values to believe, and what is wrong with it.

Knows nothing of the plan, and of other channels only what ``following`` writes on it. A lone
spike is passed over; a level that several values agree on is taken up; a value that no probe in
a kiln can give, or a move that no probe can make, is the sensor's fault and not the kiln's.
When a fault is over is settled by ``trust``.
"""

from __future__ import annotations

import math

from supervisor.core.readings import FaultCause
from supervisor.core.watch.filter import NoiseEstimate, TemperatureFilter
from supervisor.core.watch.trust import Trust

LOWEST_C, HIGHEST_C = -50.0, 1500.0
"""Outside this no kiln and no shed is; an open input often reads so."""
_GATE_SIGMAS, _GATE_C, _AGREE_COUNT = 6.0, 4.0, 3
"""A value beyond the gate waits until three agree. Six standard deviations pass all honest noise;
the floor in °C is for a rig so quiet that its own steps would not fit through."""
JUMP_C, JUMP_C_PER_S, _JUMP_S, _LATER_C_PER_S = 25.0, 4.0, 15.0, 0.5
"""A sheathed probe with a time constant of 30 s or more, taken from a hot kiln into a draught,
moves by a few °C a second, for a quarter of a minute; a step larger than this is electrical
(common practice, no source)."""
SHORT_BELOW_C, SHORT_FROM_C = 80.0, 150.0
"""A shorted pair reads the temperature of the short, which lies outside the kiln: warm terminals
at most, and a kiln hot enough to tell from them (common practice, no source)."""
_REVERSED_BELOW_C, _REVERSED_FALL_C, _REVERSED_C_PER_S = 0.0, 20.0, -20.0 / 3600.0
_REVERSED_BACK_C = 2.0
"""Swapped leads make the value mirror the kiln's climb downwards from the shed's temperature,
below frost and faster than a night cools a shed (common practice, no source)."""
_FAULT_LOOKS, _FAULT_S = 2, 4.0
_BLANK_LOOKS, _BLANK_S, _BLANK_PACES, _FIRST_PACE_S = 3, 30.0, 1.5, 60.0
"""One bad look is a glitch. A fault that the hardware names needs to stand for seconds only, a
mere blank for longer, both well within the minute that a broken probe may take to be told; a
channel that is logged more slowly than others has its own pace."""
_SLOW_LOOKS_S, _SOLE_LOOK_S = 20.0, 45.0
"""Where looks are so far apart, one less must do, and what the hardware names counts at once:
the minute would be over."""
_OTHER_CAUSE_S = 30.0
"""A broken lead may read open and short in turns: the cause of a fault that stands changes when
the other has lasted for so long, but for a dangerous voltage (common practice, no source)."""
_WILD_S, _WILD_WEIGHT, _WILD_LOOKS, _WILD_SHARE = 300.0, 0.08, 3, 0.3
"""Looks that can't be true count in a leaky share of all looks; a stretch of them counts with its
first three, as it has rules of its own. A third of them is an erratic channel; one garbled look
in ten is not (common practice, no source)."""
_NOISIEST_C = 15.0
"""A channel with more noise has not come back (common practice, no source)."""
_FROZEN_S, _FROZEN_LOG_CHANCE = 240.0, math.log(1e-9)
_FROZEN_SURELY_S, _FROZEN_SURELY_LOG_CHANCE = 480.0, math.log(1e-7)
"""Not one value has moved for so long, where noise alone would do that with a chance of one in
1e9, or 1e7 after eight minutes: less than once in ten thousand hours at a look each ten seconds."""
_FROZEN_CLIMB_S, _FROZEN_CLIMB_TO_S, _FROZEN_STEPS, _FROZEN_CLIMB_C = 150.0, 600.0, 10.0, 5.0
"""Noise aside, a climb does not end on one value while the plan goes on climbing: told when ten
steps of the resolution are missing. A kiln that stalls slows down first, so that its last run
of one value begins slowly."""
_KNOWN_S = 600.0
"""A level that a channel has had for less is nothing to hold it to."""
_STOOD_S, _STOOD_FROM_C = 1800.0, 150.0
"""No kiln as hot as that begins its log by showing one value for half an hour."""


def _most_c(since_s: float) -> float:
    """How far a real probe may move within ``since_s``."""
    quick_s = min(_JUMP_S, since_s)
    return JUMP_C + JUMP_C_PER_S * quick_s + _LATER_C_PER_S * (since_s - quick_s)


class ChannelTrack:
    """Follows one channel. ``fault`` is the cause that stands against it, or ``None``.

    ``temp_c`` and ``rate_c_per_s`` are the filter's; they are ``None`` until a first value,
    and not to be used while ``is_healthy`` is false. ``is_suspected`` and ``is_stranger`` are
    for ``following`` to set: the channel leaves the others and should not lead; it never was
    with them.
    """

    __slots__ = (
        "_bad_cause",
        "_bad_looks",
        "_bad_since_s",
        "_filter",
        "_first_c",
        "_first_s",
        "_last_s",
        "_looked_s",
        "_noise",
        "_other_cause",
        "_other_since_s",
        "_pace_s",
        "_rejected",
        "_run_rate_c_per_s",
        "_tripped",
        "_wild",
        "fault",
        "is_current",
        "is_stranger",
        "is_suspected",
        "last_value_c",
        "name",
        "others",
        "run_since_s",
        "shift_c",
        "shift_s",
        "should_climb",
        "trust",
    )

    def __init__(self, name: str) -> None:
        self.name = name
        self.fault: FaultCause | None = None
        self.is_current = False
        self.is_suspected = False
        self.is_stranger = False
        self.last_value_c: float | None = None
        self.others: tuple[ChannelTrack, ...] = ()
        self.run_since_s = 0.0
        """Since when the channel has shown the one value that it shows."""
        self.shift_s = -math.inf
        self.shift_c = 0.0
        """When a value last was beyond the gate, and by how much."""
        self.should_climb = False
        """Whether the plan climbs, where somebody has said so."""
        self.trust = Trust()
        self._filter: TemperatureFilter | None = None
        self._first_c = self._first_s = 0.0
        self._noise = NoiseEstimate()
        self._last_s = 0.0
        self._looked_s: float | None = None
        self._pace_s = 0.0
        self._rejected: list[tuple[float, float]] = []
        self._run_rate_c_per_s = 0.0
        self._tripped = False
        self._wild = 0.0
        self._bad_cause: FaultCause | None = None
        self._bad_looks = 0
        self._bad_since_s = 0.0
        self._other_cause: FaultCause | None = None
        self._other_since_s = 0.0

    @property
    def temp_c(self) -> float | None:
        return None if self._filter is None else self._filter.temp_c

    @property
    def rate_c_per_s(self) -> float | None:
        return None if self._filter is None else self._filter.rate_c_per_s

    @property
    def rate_sigma_c_per_s(self) -> float:
        return 0.0 if self._filter is None else math.sqrt(max(self._filter.p_rate, 0.0))

    @property
    def temp_sigma_c(self) -> float:
        return 0.0 if self._filter is None else math.sqrt(max(self._filter.p_temp, 0.0))

    @property
    def resolution_c(self) -> float | None:
        """The smallest step seen, None before the channel has shown a second value."""
        return self._noise.resolution_c

    @property
    def log_chance_of_run(self) -> float:
        """How unlikely noise alone makes it that the channel has stood still so long."""
        return self._noise.log_chance_of_run()

    @property
    def is_healthy(self) -> bool:
        """Whether the estimate may be used: there is one, and nothing stands against it."""
        return self._filter is not None and self.fault is None and self._bad_looks < _BLANK_LOOKS

    def accuse(self, elapsed_s: float, cause: FaultCause, before_c: float | None) -> None:
        """Let ``cause`` stand; ``before_c`` is what the channel read when it was last right."""
        self._other_cause = None
        rate_c_per_s = self.rate_c_per_s or 0.0
        self.trust.lose(elapsed_s, cause, before_c, rate_c_per_s)
        self.fault = cause

    def absolve(self, elapsed_s: float) -> None:
        """Lift the fault that stands."""
        self.fault = None
        self.trust.regain(elapsed_s)

    def look(self, elapsed_s: float, value_c: float | None, fault: FaultCause | None) -> None:
        """Take in what the source saw; ``elapsed_s`` is later than at the last look."""
        self.is_current = False
        if fault is not None:
            self._bad(elapsed_s, fault, _FAULT_LOOKS)
        elif value_c is None:
            self._bad(elapsed_s, None, _BLANK_LOOKS)
        elif not LOWEST_C <= value_c <= HIGHEST_C:
            # True of NaN as well; what can't be is not a temperature.
            self._bad(elapsed_s, FaultCause.OPEN, _BLANK_LOOKS)
        else:
            self._value(elapsed_s, value_c)
        self._looked_s = elapsed_s

    def _bad(self, elapsed_s: float, cause: FaultCause | None, looks: int) -> None:
        """A look without a value; as many as ``looks`` prove something.

        Causes may take turns; together they are one bad stretch.
        """
        if self._bad_looks == 0:
            self._bad_since_s = elapsed_s
            self._bad_cause = None
        self._bad_looks += 1
        self.trust.disturb()
        if self._bad_cause is not FaultCause.VOLTAGE:
            self._bad_cause = cause or self._bad_cause
        since_s = 0.0 if self._looked_s is None else elapsed_s - self._looked_s
        sole = looks == _FAULT_LOOKS and since_s >= _SOLE_LOOK_S
        if since_s >= _SLOW_LOOKS_S:
            looks = _FAULT_LOOKS
        if cause is not None and self._bad_looks <= _WILD_LOOKS:
            self._count_wild(elapsed_s, since_s, cause)
        lasted_s = elapsed_s - self._bad_since_s
        if self._bad_looks < looks and not sole:
            return
        if cause is not None:
            if lasted_s < _FAULT_S and not sole:
                return
            if self.fault is None:
                self.accuse(elapsed_s, self._bad_cause or cause, self.temp_c)
            else:
                self._rename(elapsed_s, cause)
        elif self.fault is None:
            enough = lasted_s >= _BLANK_S or looks == _FAULT_LOOKS
            paced_s = _BLANK_PACES * (self._pace_s or _FIRST_PACE_S)
            if enough and (lasted_s + since_s > paced_s or self._filter is None):
                self.accuse(elapsed_s, self._bad_cause or FaultCause.OPEN, self.temp_c)

    def _count_wild(self, elapsed_s: float, since_s: float, cause: FaultCause | None) -> None:
        """One more look of which a part, or nothing (``cause`` None), can't be true."""
        weight = since_s / _WILD_S
        if weight > _WILD_WEIGHT:
            weight = _WILD_WEIGHT
        wild = self._wild + weight * ((cause is not None) - self._wild)
        self._wild = 0.0 if wild < 1e-3 and cause is None else wild
        if wild > _WILD_SHARE and self.fault is None and cause is not None:
            self.accuse(elapsed_s, cause, self.temp_c)

    def _rename(self, elapsed_s: float, cause: FaultCause) -> None:
        """The hardware names ``cause`` while a fault stands: what is dangerous counts at once."""
        if cause is self.fault:
            self._other_cause = None
            return
        if cause is not FaultCause.VOLTAGE:
            if self.fault is FaultCause.REVERSED:
                # Swapped leads drive the converter out of its range: theirs is the better name.
                return
            if cause is not self._other_cause:
                self._other_cause, self._other_since_s = cause, elapsed_s
            if elapsed_s - self._other_since_s < _OTHER_CAUSE_S:
                return
        self._other_cause = None
        self.trust.rename(cause)
        self.fault = cause

    def _value(self, elapsed_s: float, value_c: float) -> None:
        self._bad_looks = 0
        self._other_cause = None
        previous_c, self.last_value_c = self.last_value_c, value_c
        known = self._filter
        if known is None or previous_c is None:
            self._filter = TemperatureFilter(value_c)
            self._first_c = value_c
            self._noise.learn(elapsed_s, value_c)
            self._first_s = self._last_s = self.run_since_s = elapsed_s
            self.is_current = True
            return
        since_s = elapsed_s - self._last_s
        known.predict(since_s)
        self._last_s = elapsed_s
        if since_s != self._pace_s:
            part = 0.1 if self._pace_s else 1.0
            self._pace_s += part * (min(since_s, 600.0) - self._pace_s)
        surprise_c = value_c - known.temp_c
        limit_c = known.surprise_limit_c(_GATE_SIGMAS)
        if limit_c < _GATE_C:
            limit_c = _GATE_C
        noise = self._noise
        if -limit_c <= surprise_c <= limit_c:
            if self._rejected:
                self._rejected.clear()
            known.noise_variance = noise.learn(elapsed_s, value_c)
            known.correct(value_c)
            self.is_current = True
            if self._wild > 0.0 and self._looked_s is not None:
                self._count_wild(elapsed_s, elapsed_s - self._looked_s, None)
        else:
            self._reject(known, elapsed_s, since_s, value_c, surprise_c, previous_c)
        if noise.run == 1:
            self.run_since_s = elapsed_s
            self._run_rate_c_per_s = known.rate_c_per_s
        elif (
            self.fault is None
            and elapsed_s - self.run_since_s >= _FROZEN_CLIMB_S
            and self.is_current
        ):
            self._look_for_frozen(elapsed_s, elapsed_s - self.run_since_s)
        if self.fault is not None:
            self._forgive(elapsed_s)
        elif (
            value_c < _REVERSED_BELOW_C
            and known.temp_c < self._first_c - _REVERSED_FALL_C
            and known.rate_c_per_s < _REVERSED_C_PER_S
        ):
            self.accuse(elapsed_s, FaultCause.REVERSED, None)

    def _reject(
        self,
        known: TemperatureFilter,
        elapsed_s: float,
        since_s: float,
        value_c: float,
        surprise_c: float,
        previous_c: float,
    ) -> None:
        rejected = self._rejected
        most_c = _most_c(since_s)
        step_c = surprise_c if not rejected else value_c - previous_c
        if not rejected:
            self._tripped = False
            self.trust.note(elapsed_s, known.temp_c, known.rate_c_per_s)
        self.shift_s, self.shift_c = elapsed_s, surprise_c
        rejected.append((elapsed_s, value_c))
        if abs(step_c) > most_c:
            self._tripped = True
            self._count_wild(elapsed_s, since_s, FaultCause.JUMP)
        count = len(rejected)
        needed = _AGREE_COUNT if since_s < _SLOW_LOOKS_S else _FAULT_LOOKS
        if (
            self._tripped
            and self.fault is None
            and count >= needed
            and elapsed_s - rejected[-needed][0] >= min(_FAULT_S, (needed - 1) * since_s)
        ):
            self._trip(elapsed_s, since_s, value_c)
        if count < _AGREE_COUNT:
            return
        (first_s, first_c), (last_s, last_c) = rejected[-_AGREE_COUNT], rejected[-1]
        slope_c_per_s = (last_c - first_c) / (last_s - first_s)
        possible = abs(slope_c_per_s) <= JUMP_C_PER_S
        if not possible and count < 10 * _AGREE_COUNT:
            return
        known.restart(last_c, slope_c_per_s if possible else 0.0)
        self.is_current = True
        rejected.clear()

    def _trip(self, elapsed_s: float, since_s: float, value_c: float) -> None:
        """Several values lie where no probe can have gone; a move of most channels is none."""
        before_c = self.trust.noted_c
        fell_out = before_c is not None and before_c > SHORT_FROM_C and value_c < SHORT_BELOW_C
        if not fell_out and self._is_shared(elapsed_s, _AGREE_COUNT * since_s):
            self._tripped = False
            return
        if not fell_out and elapsed_s - self._first_s < _KNOWN_S:
            # It may as well have been wrong before and be right now.
            before_c = None
        self.accuse(elapsed_s, FaultCause.SHORT if fell_out else FaultCause.JUMP, before_c)

    def _is_shared(self, elapsed_s: float, within_s: float) -> bool:
        """Whether most channels that are believed have just moved the same way, as far."""
        believed = alike = 1
        for other in self.others:
            if other.is_healthy:
                believed += 1
                alike += (
                    elapsed_s - other.shift_s <= within_s
                    and other.shift_c * self.shift_c > 0.0
                    and abs(other.shift_c) > 0.3 * abs(self.shift_c)
                )
        return alike > 1 and 2 * alike > believed

    def _look_for_frozen(self, elapsed_s: float, stood_s: float) -> None:
        noise = self._noise
        step_c = noise.resolution_c
        if step_c is None:
            if stood_s >= _STOOD_S and self._first_c > _STOOD_FROM_C:
                self.accuse(elapsed_s, FaultCause.FROZEN, None)
            return
        if noise.run <= _AGREE_COUNT:
            return
        surely = stood_s >= _FROZEN_SURELY_S
        limit = _FROZEN_SURELY_LOG_CHANCE if surely else _FROZEN_LOG_CHANCE
        missing_c = abs(self._run_rate_c_per_s) * stood_s
        climbed = (
            self.should_climb
            and stood_s <= _FROZEN_CLIMB_TO_S
            and missing_c > _FROZEN_CLIMB_C
            and missing_c > _FROZEN_STEPS * step_c
        )
        if climbed or (stood_s >= _FROZEN_S and noise.log_chance_of_run() < limit):
            self.accuse(elapsed_s, FaultCause.FROZEN, self.temp_c)

    def _forgive(self, elapsed_s: float) -> None:
        """Lift a fault once the channel behaves again."""
        known, fault = self._filter, self.fault
        if known is None:
            return
        steady = self._noise.variance < _NOISIEST_C * _NOISIEST_C
        behaves = self.is_current and not self.is_stranger and steady
        if fault is FaultCause.FROZEN:
            behaves = behaves and elapsed_s - self.run_since_s < _FROZEN_S / 2
        elif fault is FaultCause.REVERSED:
            behaves = behaves and known.temp_c > self._first_c - _REVERSED_BACK_C
        if not behaves:
            self.trust.disturb()
        elif self.trust.is_back(elapsed_s, known.temp_c, self._wild):
            self.absolve(elapsed_s)
