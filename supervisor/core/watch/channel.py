"""One thermocouple channel: which of its values to believe, and what is wrong with it.

Knows nothing of the plan or of other channels. A lone spike is passed over; a level that
several values agree on is taken up; a value that no probe in a kiln can give, or a move that
no probe can make, is the sensor's fault and not the kiln's.
"""

from __future__ import annotations

import math

from supervisor.core.readings import FaultCause
from supervisor.core.watch.filter import NoiseEstimate, TemperatureFilter

LOWEST_C, HIGHEST_C = -50.0, 1500.0
"""Outside this no kiln and no shed is; an open input often reads so."""
_GATE_SIGMAS, _GATE_C, _AGREE_COUNT = 6.0, 4.0, 3
"""A value beyond the gate waits until three agree. Six standard deviations pass all honest noise;
the floor in °C is for a rig so quiet that its own steps would not fit through."""
JUMP_C, JUMP_C_PER_S = 25.0, 4.0
"""A sheathed probe with a time constant of 30 s or more, taken from a hot kiln into a draught,
moves by a few °C a second; a step larger than this within one look is electrical."""
_SHORT_BELOW_C, _SHORT_FROM_C = 80.0, 150.0
"""A shorted pair reads the temperature of the short, which lies outside the kiln: warm terminals
at most, and a kiln hot enough to tell from them (common practice, no source)."""
_REVERSED_BELOW_C, _REVERSED_FALL_C = -15.0, 25.0
"""Swapped leads make the value mirror the kiln's climb downwards from the shed's temperature."""
_TRUST_AGAIN_S = 1800.0
"""After a jump the new level is believed when it has held for so long, and a fault that comes
back sooner is a relapse (common practice, no source)."""
_FAULT_LOOKS, _FAULT_S = 2, 4.0
_BLANK_LOOKS, _BLANK_S = 3, 45.0
"""One bad look is a glitch. A fault that the hardware names needs to stand for seconds only, a
mere blank for longer, both well within the minute that a broken probe may take to be told."""
_OTHER_CAUSE_S = 30.0
"""A broken lead may read open and short in turns: the cause of a fault that stands changes when
the other has lasted for so long, but for a dangerous voltage (common practice, no source)."""
_GOOD_LOOKS, _GOOD_S, _RELAPSED_GOOD_S = 3, 8.0, 120.0
"""A loose terminal comes and goes: after a relapse it must behave for longer (common practice,
no source)."""
_FROZEN_S, _FROZEN_CHANCE, _FROZEN_NOISE = 480.0, 1e-9, 0.6
"""Not one value in eight minutes has moved, where by the channel's own habit of repeating itself
that has a chance of one in 1e9; told only of channels whose noise is a good part of their
resolution, as others do stand still (common practice, no source)."""


class ChannelTrack:
    """Follows one channel. ``fault`` is the cause that stands against it, or ``None``.

    ``temp_c`` and ``rate_c_per_s`` are the filter's; they are ``None`` until a first value,
    and not to be used while ``is_healthy`` is false.
    """

    __slots__ = (
        "_bad_cause",
        "_bad_looks",
        "_bad_since_s",
        "_before_jump_c",
        "_filter",
        "_first_c",
        "_forgiven_s",
        "_good_looks",
        "_good_needed_s",
        "_good_since_s",
        "_last_s",
        "_noise",
        "_other_cause",
        "_other_since_s",
        "_rejected",
        "_run_since_s",
        "_tripped_s",
        "fault",
        "is_current",
        "last_value_c",
        "name",
    )

    def __init__(self, name: str) -> None:
        self.name = name
        self.fault: FaultCause | None = None
        self.is_current = False
        self.last_value_c: float | None = None
        self._filter: TemperatureFilter | None = None
        self._first_c = 0.0
        self._noise = NoiseEstimate()
        self._last_s = 0.0
        self._rejected: list[tuple[float, float]] = []
        self._run_since_s = 0.0
        self._bad_cause: FaultCause | None = None
        self._bad_looks = 0
        self._bad_since_s = 0.0
        self._good_looks = 0
        self._good_since_s = 0.0
        self._good_needed_s = _GOOD_S
        self._other_cause: FaultCause | None = None
        self._other_since_s = 0.0
        self._forgiven_s: float | None = None
        self._tripped_s: float | None = None
        self._before_jump_c: float | None = None

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
    def is_healthy(self) -> bool:
        """Whether the estimate may be used: there is one, and nothing stands against it."""
        return self._filter is not None and self.fault is None and self._bad_looks < _BLANK_LOOKS

    def look(self, elapsed_s: float, value_c: float | None, fault: FaultCause | None) -> None:
        """Take in what the source saw; ``elapsed_s`` is later than at the last look."""
        cause = fault
        if value_c is not None and cause is None and not LOWEST_C <= value_c <= HIGHEST_C:
            # True of NaN as well; what can't be is not a temperature.
            value_c, cause = None, FaultCause.OPEN
        self.is_current = False
        if value_c is None or cause is not None:
            self._bad(elapsed_s, cause)
        else:
            self._value(elapsed_s, value_c)

    def _bad(self, elapsed_s: float, cause: FaultCause | None) -> None:
        """A look without a value. Causes may take turns; together they are one bad stretch."""
        if self._bad_looks == 0:
            self._bad_since_s = elapsed_s
            self._bad_cause = None
        self._bad_looks += 1
        self._good_looks = 0
        if self._bad_cause is not FaultCause.VOLTAGE:
            self._bad_cause = cause or self._bad_cause
        lasted_s = elapsed_s - self._bad_since_s
        if self.fault is None:
            if cause is not None and self._bad_looks >= _FAULT_LOOKS and lasted_s >= _FAULT_S:
                self._blame(elapsed_s, self._bad_cause or cause)
            elif self._bad_looks >= _BLANK_LOOKS and lasted_s >= _BLANK_S:
                self._blame(elapsed_s, self._bad_cause or FaultCause.OPEN)
        elif cause is not None and self._bad_looks >= _FAULT_LOOKS and lasted_s >= _FAULT_S:
            self._rename(elapsed_s, cause)

    def _blame(self, elapsed_s: float, cause: FaultCause) -> None:
        forgiven_s = self._forgiven_s
        relapsed = forgiven_s is not None and elapsed_s - forgiven_s < _TRUST_AGAIN_S
        self._good_needed_s = _RELAPSED_GOOD_S if relapsed else _GOOD_S
        self._tripped_s = self._other_cause = None
        self.fault = cause

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
        self._tripped_s = self._other_cause = None
        self.fault = cause

    def _value(self, elapsed_s: float, value_c: float) -> None:
        self._bad_looks = 0
        self._other_cause = None
        self.last_value_c = value_c
        known = self._filter
        if known is None:
            self._filter = TemperatureFilter(value_c)
            self._first_c = value_c
            self._noise.learn(elapsed_s, value_c)
            self._last_s = self._run_since_s = elapsed_s
            self.is_current = True
            return
        known.predict(elapsed_s - self._last_s)
        since_s = elapsed_s - self._last_s
        self._last_s = elapsed_s
        surprise_c = value_c - known.temp_c
        limit_c = known.surprise_limit_c(_GATE_SIGMAS)
        if limit_c < _GATE_C:
            limit_c = _GATE_C
        if -limit_c <= surprise_c <= limit_c:
            if self._rejected:
                self._rejected.clear()
            known.noise_variance = self._noise.learn(elapsed_s, value_c)
            known.correct(value_c)
            self.is_current = True
        else:
            self._reject(known, elapsed_s, since_s, value_c, surprise_c)
        if self._noise.run == 1:
            self._run_since_s = elapsed_s
        elif elapsed_s - self._run_since_s >= _FROZEN_S:
            self._look_for_frozen()
        if self.fault is not None:
            self._forgive(elapsed_s)
        elif value_c < _REVERSED_BELOW_C and known.temp_c < self._first_c - _REVERSED_FALL_C:
            self.fault = FaultCause.REVERSED

    def _reject(
        self,
        known: TemperatureFilter,
        elapsed_s: float,
        since_s: float,
        value_c: float,
        surprise_c: float,
    ) -> None:
        rejected = self._rejected
        if not rejected:
            self._before_jump_c = known.temp_c
            allowed_c = JUMP_C + JUMP_C_PER_S * since_s
            self._tripped_s = elapsed_s if abs(surprise_c) > allowed_c else None
        rejected.append((elapsed_s, value_c))
        if len(rejected) < _AGREE_COUNT:
            return
        (first_s, first_c), (last_s, last_c) = rejected[-_AGREE_COUNT], rejected[-1]
        slope_c_per_s = (last_c - first_c) / (last_s - first_s)
        if abs(slope_c_per_s) > JUMP_C_PER_S and len(rejected) < 10 * _AGREE_COUNT:
            return
        possible = abs(slope_c_per_s) <= JUMP_C_PER_S
        known.restart(last_c, slope_c_per_s if possible else 0.0)
        self.is_current = True
        rejected.clear()
        if self._tripped_s is not None and self.fault is None:
            before_c = self._before_jump_c
            fell_out = before_c is not None and before_c > _SHORT_FROM_C and last_c < _SHORT_BELOW_C
            self.fault = FaultCause.SHORT if fell_out else FaultCause.JUMP

    def _look_for_frozen(self) -> None:
        noise = self._noise
        if self.fault is not None or noise.resolution_c is None:
            return
        noise_c = math.sqrt(noise.variance)
        if noise_c < _FROZEN_NOISE * noise.resolution_c:
            return
        repeats = 1.0 - 1.0 / max(noise.ended_run, 1.05)
        if noise.run * math.log(repeats) < math.log(_FROZEN_CHANCE):
            self.fault = FaultCause.FROZEN

    def _forgive(self, elapsed_s: float) -> None:
        """Lift a fault once the channel behaves again."""
        if self.fault is FaultCause.FROZEN:
            if self._noise.run == 1:
                self.fault = None
            return
        if self.fault in (FaultCause.JUMP, FaultCause.SHORT) and self._tripped_s is not None:
            back = (
                self._before_jump_c is not None
                and self.temp_c is not None
                and self.is_current
                and abs(self.temp_c - self._before_jump_c) < 2 * JUMP_C
            )
            waited = elapsed_s - self._tripped_s > _TRUST_AGAIN_S
            if back or (waited and self.fault is FaultCause.JUMP):
                self.fault = None
            return
        reversed_still = (
            self.fault is FaultCause.REVERSED
            and self.temp_c is not None
            and self.temp_c < self._first_c - _REVERSED_FALL_C / 2
        )
        if not self.is_current or reversed_still:
            self._good_looks = 0
            return
        if self._good_looks == 0:
            self._good_since_s = elapsed_s
        self._good_looks += 1
        good_for_s = elapsed_s - self._good_since_s
        if self._good_looks >= _GOOD_LOOKS and good_for_s >= self._good_needed_s:
            self.fault = None
            self._forgiven_s = elapsed_s
            self._good_looks = 0
