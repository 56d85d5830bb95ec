"""Heat-work of every cone, added up reading by reading. Knows nothing of plans or channels.

The softening rate is taken at the mean of each short piece of the path (``path.py``). The
piece that is still open counts whenever progress is asked for, so work never shrinks, and
asking changes nothing.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Mapping
from dataclasses import dataclass

from supervisor.core.heatwork.cones import (
    CONES,
    KELVIN_OFFSET,
    LEAST_ABOVE_T0_K,
    Cone,
    time_share,
)
from supervisor.core.heatwork.path import Piece, ThermalPath

_NEGLIGIBLE_PER_S = 1e-10
"""Below this rate a 30 h firing would add 1e-5 of a cone."""
WORK_CAP = 40.0
"""Work is counted up to this; beyond, the cone has been down for long."""

_NAMES = tuple(CONES)
_PLACE = {name: i for i, name in enumerate(_NAMES)}
_A = tuple(cone.a for cone in CONES.values())
_B_K = tuple(cone.b_k for cone in CONES.values())
_T0_C = tuple(cone.t0_k - KELVIN_OFFSET for cone in CONES.values())
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
    ``offset_c`` is what was added to the thermocouple's temperature, 0 where nothing was.
    """

    cone: str | None
    next_cone: str | None
    toward_next: float
    work: Mapping[str, float]
    down_at_s: Mapping[str, float]
    offset_c: float = 0.0


class HeatWork:
    """Running heat-work of all cones from a temperature that is fed in order of time.

    ``add`` takes elapsed seconds and °C; a value that is not later than the last is no news.
    A gap is bridged by a straight line. ``offset_c`` is added to every temperature; ``correct``
    changes it for all that was fed already as well.
    """

    __slots__ = ("_down_at_s", "_lowest", "_work", "offset_c", "path")

    def __init__(self, offset_c: float = 0.0) -> None:
        self.path = ThermalPath()
        self.offset_c = offset_c
        self._begin()

    def _begin(self) -> None:
        self._work = [0.0] * _COUNT
        self._down_at_s: dict[str, float] = {}
        self._lowest = 0

    def add(self, elapsed_s: float, temp_c: float) -> None:
        """Take in the (filtered) temperature at ``elapsed_s``."""
        for piece in self.path.add(elapsed_s, temp_c):
            self.count(piece)

    def correct(self, offset_c: float) -> None:
        """Count everything anew with ``offset_c`` added to the temperature."""
        if offset_c == self.offset_c:
            return
        self.offset_c = offset_c
        self._begin()
        last = self.path.open_piece
        for piece in self.path.pieces():
            if piece != last:
                self.count(piece)

    def count(self, piece: Piece) -> None:
        """Add one piece of a path, in order of time, to the work."""
        _, length_s, mean_c, _, _ = piece
        temp_c = mean_c + self.offset_c
        place = bisect_right(_BEGIN_C, temp_c)
        if place == 0:
            return
        work, exp = self._work, math.exp
        for i in range(self._lowest, _BEGIN_COUNT[place - 1]):
            before = work[i]
            if before >= WORK_CAP:
                if i == self._lowest:
                    self._lowest += 1
                continue
            above_k = temp_c - _T0_C[i]
            if above_k < LEAST_ABOVE_T0_K:
                continue
            after = before + exp(_A[i] - _B_K[i] / above_k) * length_s
            if before < 1.0 <= after:
                self._down_at_s[_NAMES[i]] = self._crossing_s(_NAMES[i], piece, before, after)
            work[i] = min(WORK_CAP, after)

    def work_of(self, cone: str) -> float:
        """Work of one cone at the last temperature that was added."""
        work = self._work[_PLACE[cone]]
        last = self.path.open_piece
        if last is not None:
            work += CONES[cone].rate_per_s(last[2] + self.offset_c) * last[1]
        return min(work, WORK_CAP)

    def down_at(self, cone: str) -> float | None:
        """When ``cone`` went down, in elapsed seconds; None while it stands."""
        before, after = self._work[_PLACE[cone]], self.work_of(cone)
        if before >= 1.0 or after < 1.0:
            return self._down_at_s.get(cone)
        last = self.path.open_piece
        return None if last is None else self._crossing_s(cone, last, before, after)

    def _crossing_s(self, cone: str, piece: Piece, before: float, after: float) -> float:
        """When in the piece the work passed 1: the rate follows the line between its ends."""
        start_s, length_s, mean_c, from_c, to_c = piece
        growth = CONES[cone].growth_per_c(mean_c + self.offset_c) * (to_c - from_c)
        share = time_share((1.0 - before) / (after - before), growth)
        return round(start_s + share * length_s, 1)

    def progress(self) -> Progress:
        """Where all the cones stand at the last temperature that was added."""
        work = [self.work_of(name) for name in _NAMES]
        downs = [i for i in range(_COUNT) if work[i] >= 1.0]
        down_at_s = {_NAMES[i]: self.down_at(_NAMES[i]) for i in downs}
        highest = downs[-1] if downs else None
        following = 0 if highest is None else highest + 1
        return Progress(
            cone=None if highest is None else _NAMES[highest],
            next_cone=_NAMES[following] if following < _COUNT else None,
            toward_next=work[following] if following < _COUNT else 0.0,
            work=dict(zip(_NAMES, work, strict=True)),
            down_at_s=dict(
                sorted(
                    ((name, at_s) for name, at_s in down_at_s.items() if at_s is not None),
                    key=lambda item: item[1],
                )
            ),
            offset_c=self.offset_c,
        )


def progress_along(path: ThermalPath, offset_c: float = 0.0) -> Progress:
    """Where all the cones stand at the end of ``path`` if ``offset_c`` is added to it all."""
    work = HeatWork(offset_c)
    for piece in path.pieces():
        work.count(piece)
    return work.progress()


def work_along(
    path: ThermalPath, cone: Cone, offset_c: float = 0.0, until_s: float | None = None
) -> float:
    """Work of ``cone`` along ``path`` up to ``until_s`` if ``offset_c`` is added to it all."""
    rate_per_s = cone.rate_per_s
    return sum(
        rate_per_s(mean_c + offset_c) * length_s
        for _, length_s, mean_c, _, _ in path.pieces(until_s)
    )
