"""A temperature history, gathered into short pieces. Knows nothing of cones.

Readings come each second, and a cone's softening is nearly proportional to the temperature
within a few degrees: what counts is the mean. So readings are gathered for up to a minute or
``PIECE_C``, and a piece is kept as its start, its length and its mean, the time integral of
the temperature divided by the length. Nothing of the integral is lost.
"""

from __future__ import annotations

import math
from array import array
from collections.abc import Iterator

PIECE_C, PIECE_S = 3.0, 60.0
"""No temperature in a piece is farther from its first, and no piece (of short steps) longer.
The softening rate of a cone grows by up to 11 % for each °C; taking it at the mean of 3 °C is
0.5 % too little at the worst, which is 0.05 °C."""
COLDEST_C, HOTTEST_C = -200.0, 2000.0
"""Nothing softens below and no kiln goes above; keeps the pieces few and the sums finite."""
LEAST_KEPT_C = 250.0
"""Pieces below are too cold for the softest cone, whatever the offset; they are not kept."""

Piece = tuple[float, float, float, float, float]
"""``start_s``, ``length_s``, ``mean_c``, and the temperatures at its two ends."""


class ThermalPath:
    """The pieces of one channel's temperature. Feed it in order of time.

    ``add`` returns the pieces that are complete with this reading. ``open_piece`` is the one
    that is not. A gap is bridged by a straight line.
    """

    __slots__ = (
        "_at_c",
        "_at_s",
        "_integral_c_s",
        "_kept",
        "_start_c",
        "_start_s",
    )

    def __init__(self) -> None:
        self._at_s: float | None = None
        self._at_c = 0.0
        self._start_s = 0.0
        self._start_c = 0.0
        self._integral_c_s = 0.0
        self._kept = array("d")

    def add(self, elapsed_s: float, temp_c: float) -> tuple[Piece, ...]:
        """Take in ``temp_c`` at ``elapsed_s``; one that is not later than the last is no news."""
        at_s, at_c = self._at_s, self._at_c
        if at_s is None:
            self._at_s = self._start_s = elapsed_s
            self._at_c = self._start_c = min(max(temp_c, COLDEST_C), HOTTEST_C)
            return ()
        if elapsed_s <= at_s:
            return ()
        if abs(temp_c - self._start_c) <= PIECE_C and elapsed_s - self._start_s <= PIECE_S:
            self._at_s, self._at_c = elapsed_s, temp_c
            self._integral_c_s += (at_c + temp_c) * 0.5 * (elapsed_s - at_s)
            return ()
        self._at_s, self._at_c = elapsed_s, min(max(temp_c, COLDEST_C), HOTTEST_C)
        return self._close(at_s, at_c)

    def _close(self, at_s: float, at_c: float) -> tuple[Piece, ...]:
        """The pieces up to the last reading but this one, and the line to this one."""
        now_s, now_c = self._at_s, self._at_c
        assert now_s is not None  # noqa: S101 - two readings are there
        done = []
        length_s = at_s - self._start_s
        if length_s > 0.0:
            mean_c = self._integral_c_s / length_s
            done.append((self._start_s, length_s, mean_c, self._start_c, at_c))
        rise_c, step_s = now_c - at_c, now_s - at_s
        if -PIECE_C <= rise_c <= PIECE_C and step_s <= PIECE_S:
            self._start_s, self._start_c = at_s, at_c
            self._integral_c_s = (at_c + now_c) * 0.5 * step_s
        else:
            count = math.ceil(abs(rise_c) / PIECE_C) or 1
            part_s, part_c = step_s / count, rise_c / count
            for n in range(count):
                from_c = at_c + n * part_c
                to_c = from_c + part_c
                done.append((at_s + n * part_s, part_s, (from_c + to_c) * 0.5, from_c, to_c))
            self._start_s, self._start_c, self._integral_c_s = now_s, now_c, 0.0
        for start_s, length_s, mean_c, from_c, to_c in done:
            if mean_c > LEAST_KEPT_C:
                self._kept.extend((start_s, length_s, mean_c, from_c, to_c))
        return tuple(done)

    @property
    def open_piece(self) -> Piece | None:
        """What was read since the last complete piece; None where that is nothing."""
        at_s = self._at_s
        if at_s is None or at_s <= self._start_s:
            return None
        length_s = at_s - self._start_s
        return self._start_s, length_s, self._integral_c_s / length_s, self._start_c, self._at_c

    def pieces(self, until_s: float | None = None) -> Iterator[Piece]:
        """Every piece above ``LEAST_KEPT_C`` in order of time, the open one last.

        With ``until_s`` the piece in which that lies is cut there.
        """
        kept = self._kept
        for i in range(0, len(kept), 5):
            piece = (kept[i], kept[i + 1], kept[i + 2], kept[i + 3], kept[i + 4])
            if until_s is not None and piece[0] + piece[1] > until_s:
                if piece[0] < until_s:
                    yield _cut(piece, until_s)
                return
            yield piece
        last = self.open_piece
        if last is not None and (until_s is None or last[0] < until_s):
            yield last if until_s is None else _cut(last, until_s)


def _cut(piece: Piece, until_s: float) -> Piece:
    start_s, length_s, mean_c, from_c, to_c = piece
    if start_s + length_s <= until_s:
        return piece
    part = (until_s - start_s) / length_s
    # The piece bends little: its mean moves with the straight line between its ends.
    end_c = from_c + part * (to_c - from_c)
    off_c = mean_c - (from_c + to_c) * 0.5
    return start_s, length_s * part, (from_c + end_c) * 0.5 + off_c, from_c, end_c
