"""Heat-work of every cone, added up reading by reading. Knows nothing of plans or channels.

Between two times the temperature is taken as a straight line, and the softening rate as
exponential along it (the logarithmic mean), which an Arrhenius law is to within a part in a
thousand over ``_LONGEST_PIECE_C``. Every reading counts at once, so work never shrinks.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Mapping
from dataclasses import dataclass

from supervisor.core.heatwork.cones import CONES, KELVIN_OFFSET

_LONGEST_PIECE_C = 10.0
_NEGLIGIBLE_PER_S = 1e-10
"""Below this rate a 30 h firing would add 1e-5 of a cone."""
_COLDEST_C, _HOTTEST_C = -200.0, 2000.0
"""Nothing softens below and no kiln goes above; keeps the pieces few and the sums finite."""
WORK_CAP = 10.0
"""Work is counted up to this; beyond, the cone has been down for long."""

_NAMES = tuple(CONES)
_LN_A = tuple(cone.ln_a for cone in CONES.values())
_Q_OVER_R_K = tuple(cone.q_over_r_k for cone in CONES.values())
_COUNT = len(_NAMES)


def _first_above() -> tuple[list[float], list[int]]:
    """Temperatures at which one more cone begins to count, and how many count from there."""
    begins = sorted(
        (CONES[name].temp_at_rate(_NEGLIGIBLE_PER_S), i) for i, name in enumerate(_NAMES)
    )
    highest, counts = 0, []
    for _, i in begins:
        highest = max(highest, i + 1)
        counts.append(highest)
    return [begin for begin, _ in begins], counts


_BEGIN_C, _BEGIN_COUNT = _first_above()


@dataclass(frozen=True, slots=True)
class Progress:
    """Where the cones stand: ``work`` by cone (1 is down), ``down_at_s`` of those that are.

    ``cone`` is the hardest one down, ``next_cone`` the one after it, ``toward_next`` its work.
    """

    cone: str | None
    next_cone: str | None
    toward_next: float
    work: Mapping[str, float]
    down_at_s: Mapping[str, float]


class HeatWork:
    """Running heat-work of all cones from a temperature that is fed in order of time.

    ``add`` takes elapsed seconds (never smaller than the last) and °C. A gap is bridged by a
    straight line. Asking for progress changes nothing, so that a firing that is looked at
    gives the same figures as one that is not.
    """

    __slots__ = ("_at_c", "_at_s", "_down_at_s", "_lowest", "_work")

    def __init__(self) -> None:
        self._work = [0.0] * _COUNT
        self._down_at_s: dict[str, float] = {}
        self._lowest = 0
        self._at_s: float | None = None
        self._at_c = 0.0

    def add(self, elapsed_s: float, temp_c: float) -> None:
        """Take in the (filtered) temperature at ``elapsed_s``."""
        if temp_c < _COLDEST_C:
            temp_c = _COLDEST_C
        elif temp_c > _HOTTEST_C:
            temp_c = _HOTTEST_C
        at_s, at_c = self._at_s, self._at_c
        self._at_s, self._at_c = elapsed_s, temp_c
        if at_s is None or elapsed_s <= at_s:
            return
        pieces = int(abs(temp_c - at_c) / _LONGEST_PIECE_C) + 1
        step_s = (elapsed_s - at_s) / pieces
        step_c = (temp_c - at_c) / pieces
        for n in range(pieces):
            self._straight(at_s + n * step_s, step_s, at_c + n * step_c, step_c)

    def _straight(self, start_s: float, step_s: float, start_c: float, step_c: float) -> None:
        work = self._work
        hottest_c = start_c + step_c if step_c > 0.0 else start_c
        place = bisect_right(_BEGIN_C, hottest_c)
        if place == 0:
            return
        start_per_k = -1.0 / (start_c + KELVIN_OFFSET)
        end_per_k = -1.0 / (start_c + step_c + KELVIN_OFFSET)
        exp, log1p, expm1 = math.exp, math.log1p, math.expm1
        for i in range(self._lowest, _BEGIN_COUNT[place - 1]):
            before = work[i]
            if before >= WORK_CAP:
                if i == self._lowest:
                    self._lowest += 1
                continue
            q = _Q_OVER_R_K[i]
            rate_per_s = exp(_LN_A[i] + q * start_per_k)
            growth = q * (end_per_k - start_per_k)
            if -1e-5 < growth < 1e-5:
                gain = rate_per_s * step_s * (1.0 + growth / 2.0)
            else:
                gain = rate_per_s * step_s * expm1(growth) / growth
            after = before + gain
            if before < 1.0 <= after:
                part = (1.0 - before) / (rate_per_s * step_s)
                if not -1e-5 < growth < 1e-5:
                    part = log1p(part * growth) / growth
                self._down_at_s[_NAMES[i]] = round(start_s + min(part, 1.0) * step_s, 1)
            work[i] = min(WORK_CAP, after)

    def work_of(self, cone: str) -> float:
        """Work of one cone at the last temperature that was added."""
        return self._work[_NAMES.index(cone)]

    def down_at(self, cone: str) -> float | None:
        """When ``cone`` went down, in elapsed seconds; None while it stands."""
        return self._down_at_s.get(cone)

    def progress(self) -> Progress:
        """Where all the cones stand at the last temperature that was added."""
        work, down_at_s = self._work, self._down_at_s
        downs = [i for i in range(_COUNT) if work[i] >= 1.0]
        highest = downs[-1] if downs else None
        following = 0 if highest is None else highest + 1
        return Progress(
            cone=None if highest is None else _NAMES[highest],
            next_cone=_NAMES[following] if following < _COUNT else None,
            toward_next=work[following] if following < _COUNT else 0.0,
            work=dict(zip(_NAMES, work, strict=True)),
            down_at_s=dict(sorted(down_at_s.items(), key=lambda item: item[1])),
        )
