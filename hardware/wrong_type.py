"""Whether a channel's voltages fit another type of thermocouple than the one it is set to.

Knows each channel's voltage (worked back from what its chip made of it) and what the others read
meanwhile; the voltage of a probe climbs along its own type's curve, whatever the chip is set to.
Refuses to know bits and buses.

What can't be told: with one channel, anything; before the kiln has climbed 200 °C in sight, as a
cold probe reads right whatever the type; when every channel is set wrongly alike; and, for sure,
any mistake that a cold zone could make up for (R for S, N or J for K).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median
from typing import Final

from hardware.channel import ThermocoupleChannel
from hardware.diagnosis import Finding
from supervisor.core.its90 import LETTERS, emf_mv, temp_c

_EVERY_S: Final = 20.0
_STEP_C: Final = 20.0
_FROM_C: Final = 60.0
"""Evidence is kept for each 20 °C that the others are warmer than the terminals, from 60 °C."""
_LEAST_STEPS: Final = 9
_SPAN_C: Final = 200.0
_AGREE_PART: Final = 0.08
"""Others that are further apart than this part of their warmth prove nothing; a channel that is
as near as this to the others is set right (zones of one kiln; common practice, no source)."""
_DOUBT, _SURE = 0.12, 0.69
"""The mean logarithm of two channels' warmth above the terminals: an eighth more or less is worth
a word; in no kiln is one zone twice as warm as another all the way up (common practice, no
source)."""
_FITS: Final = 0.05
_CLEARLY: Final = 4.0
"""The other type fits by so many times better than the type that is set."""
_AS_GOOD, _AS_GOOD_MORE = 1.5, 0.01
"""Types that fit nearly as well as the best are named beside it."""


@dataclass(frozen=True, slots=True)
class Verdict:
    """The types that the voltages fit, the best first, and whether nothing else explains it."""

    fits: tuple[str, ...]
    is_sure: bool


@dataclass(frozen=True, slots=True)
class _Seen:
    mv: float
    terminals_c: float
    others_c: float


class TypeJury:
    """Gathers what the channels read beside each other. ``hear`` it all, ask for ``verdict``."""

    def __init__(self, channels: Sequence[ThermocoupleChannel]) -> None:
        self._letters = [channel.thermocouple_type for channel in channels]
        self._seen: list[dict[int, _Seen]] = [{} for _ in channels]
        self._was_right = [False] * len(channels)
        self._verdicts: list[Verdict | None] = [None] * len(channels)
        self._due_s = 0.0

    def verdict(self, i: int) -> Verdict | None:
        """What is held against channel ``i``, in the order of the channels."""
        return self._verdicts[i]

    def hear(self, elapsed_s: float, findings: Sequence[Finding]) -> None:
        """Take in one look at all the channels; most are passed over."""
        if len(findings) < 2 or elapsed_s < self._due_s:
            return
        self._due_s = elapsed_s + _EVERY_S
        for i, finding in enumerate(findings):
            others = [
                other.measured_c
                for j, other in enumerate(findings)
                if j != i and other.measured_c is not None
            ]
            if finding.measured_c is not None and finding.cold_junction_c is not None and others:
                self._hear_one(i, finding.measured_c, finding.cold_junction_c, others)
        verdicts = [self._judge(i) for i in range(len(findings))]
        if len(findings) == 2 and all(verdicts):
            # Either may be the wrong one.
            verdicts = [None, None]
        self._verdicts = verdicts

    def _hear_one(
        self, i: int, measured_c: float, terminals_c: float, others: Sequence[float]
    ) -> None:
        others_c = median(others)
        warmth_c = others_c - terminals_c
        if warmth_c < _FROM_C or max(others) - min(others) > _AGREE_PART * warmth_c:
            return
        if abs(measured_c - others_c) < _AGREE_PART * warmth_c and warmth_c > _SPAN_C:
            self._seen[i].clear()
            self._was_right[i] = True
            return
        letter = self._letters[i]
        mv = emf_mv(letter, measured_c) - emf_mv(letter, terminals_c)
        self._seen[i][int(warmth_c / _STEP_C)] = _Seen(mv, terminals_c, others_c)

    def _judge(self, i: int) -> Verdict | None:
        seen = list(self._seen[i].values())
        if len(seen) < _LEAST_STEPS:
            return None
        others = [one.others_c for one in seen]
        if max(others) - min(others) < _SPAN_C:
            return None
        off = {letter: _off(letter, seen) for letter in LETTERS}
        own = off[self._letters[i]]
        fitting = sorted(
            (part, letter)
            for letter, part in off.items()
            if part is not None and letter != self._letters[i]
        )
        if own is None or own < _DOUBT or not fitting:
            return None
        best = fitting[0][0]
        if best > _FITS or own < _CLEARLY * best:
            return None
        letters = tuple(
            letter for part, letter in fitting if part <= _AS_GOOD * best + _AS_GOOD_MORE
        )
        # A probe that was with the others does not change its type: it has slipped out, or broken.
        return Verdict(letters, is_sure=own >= _SURE and not self._was_right[i])


def _off(letter: str, seen: Sequence[_Seen]) -> float | None:
    """How far a probe of that type would be off the others: the mean logarithm of the warmths."""
    total = 0.0
    for one in seen:
        hot_c = temp_c(letter, one.mv + emf_mv(letter, one.terminals_c))
        if hot_c is None:
            return None
        warmth_c = max(hot_c - one.terminals_c, 1.0)
        total += abs(math.log(warmth_c / (one.others_c - one.terminals_c)))
    return total / len(seen)
