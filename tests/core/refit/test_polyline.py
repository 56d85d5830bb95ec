"""The fewest pieces, against every way that there is."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations, pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from supervisor.core.refit import fewest_pieces


def off(x: Sequence[float], y: Sequence[float], i: int, j: int) -> list[float]:
    """How far the points between two corners are from the line that joins them."""
    slope = (y[j] - y[i]) / (x[j] - x[i])
    return [abs(y[i] + slope * (x[n] - x[i]) - y[n]) for n in range(i, j + 1)]


def every_way(x: Sequence[float], y: Sequence[float], within: float) -> tuple[int, float]:
    """The fewest pieces and the least squares with so many, by trying all corners."""
    count = len(x)
    for inner in range(count - 1):
        found = []
        for middle in combinations(range(1, count - 1), inner):
            corners = (0, *middle, count - 1)
            offs = [off(x, y, i, j) for i, j in pairwise(corners)]
            if all(one <= within for piece in offs for one in piece):
                found.append(sum(one * one for piece in offs for one in piece))
        if found:
            return inner + 1, min(found)
    raise AssertionError("the line through all points is always one")


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.tuples(st.integers(1, 5), st.integers(-20, 20)), min_size=2, max_size=9),
    st.sampled_from([0.7, 2.3, 6.1]),
)
def test_it_finds_what_trying_everything_finds(steps: list[tuple[int, int]], within: float) -> None:
    x, total = [], 0.0
    for run, _ in steps:
        total += run
        x.append(total)
    y = [float(level) for _, level in steps]
    corners = fewest_pieces(x, y, within)
    pieces, squares = every_way(x, y, within)
    assert len(corners) - 1 == pieces
    mine = sum(one * one for i, j in pairwise(corners) for one in off(x, y, i, j))
    assert mine == pytest.approx(squares, abs=1e-6)


def test_a_broken_line_gives_back_its_corners() -> None:
    x = [float(n) for n in range(301)]
    y = [min(2.0 * n, 200.0) - max(0.0, n - 250.0) for n in x]
    assert fewest_pieces(x, y, 0.5) == [0, 100, 250, 300]


def test_few_points_are_their_own_corners() -> None:
    assert fewest_pieces([], [], 1.0) == []
    assert fewest_pieces([1.0], [5.0], 1.0) == [0]
    assert fewest_pieces([1.0, 2.0], [5.0, 90.0], 1.0) == [0, 1]
