"""The robust line against SciPy's, and its interval against chance itself."""

from __future__ import annotations

import random

import pytest
from scipy import stats

from supervisor.core.trends import theil_sen
from supervisor.core.trends.theil_sen import LEAST_POINTS, chance_of


def drawn(seed: int, count: int, slope: float = 0.0) -> tuple[list[float], list[float]]:
    dice = random.Random(seed)
    x = [float(n) for n in range(count)]
    return x, [slope * place + dice.gauss(0.0, 1.0) for place in x]


@pytest.mark.parametrize("count", [3, 6, 11, 40])
def test_the_slope_is_scipys(count: int) -> None:
    x, y = drawn(count, count, 0.2)
    line = theil_sen(x, y)
    assert line is not None
    theirs = stats.theilslopes(y, x, alpha=0.9)
    assert line.slope == pytest.approx(theirs.slope, abs=1e-12)
    # Their intercept goes through the medians; ours lets as many points lie above as below.
    off = [value - line.at(place) for place, value in zip(x, y, strict=True)]
    assert stats.scoreatpercentile(off, 50) == pytest.approx(0.0, abs=1e-12)


def test_the_interval_excludes_no_slope_just_where_the_exact_test_does() -> None:
    for seed in range(60):
        x, y = drawn(seed, 7, 0.25)
        line = theil_sen(x, y)
        assert line is not None
        is_told = stats.kendalltau(x, y, method="exact").pvalue < 0.1
        assert (line.goes_up or line.goes_down) is bool(is_told)


@pytest.mark.parametrize("count", [35, 60])
def test_the_interval_of_many_points_is_scipys_by_the_normal_approximation(count: int) -> None:
    x, y = drawn(count, count, 0.05)
    line = theil_sen(x, y)
    assert line is not None
    theirs = stats.theilslopes(y, x, alpha=0.9)
    slopes = sorted((b - a) / (w - v) for v, a in zip(x, y) for w, b in zip(x, y) if w > v)  # noqa: B905
    for ours, other in ((line.low, theirs.low_slope), (line.high, theirs.high_slope)):
        # They round a rank to the nearest where we round outwards.
        assert abs(slopes.index(ours) - slopes.index(other)) <= 1
    assert line.low <= theirs.low_slope
    assert line.high >= theirs.high_slope


@pytest.mark.parametrize("count", [4, 5, 8, 12])
def test_the_chance_is_that_of_kendalls_exact_test(count: int) -> None:
    for seed in range(5):
        x, y = drawn(100 * count + seed, count, 0.4)
        line = theil_sen(x, y)
        assert line is not None
        theirs = stats.kendalltau(x, y, method="exact").pvalue
        assert line.chance == pytest.approx(theirs, rel=1e-9)


def test_with_ties_the_chance_is_that_of_kendalls_approximation() -> None:
    x = [1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 9.0]
    y = [0.0, 0.0, 1.0, 0.0, 1.0, 2.0, 1.0, 3.0, 3.0]
    s = sum((y[j] > y[i]) - (y[j] < y[i]) for i in range(len(y)) for j in range(i + 1, len(y)))
    theirs = stats.kendalltau(x, y, method="asymptotic").pvalue
    assert chance_of(s, x, y) == pytest.approx(theirs, rel=1e-9)


@pytest.mark.parametrize("count", [6, 9, 15])
def test_nine_in_ten_intervals_hold_the_true_slope(count: int) -> None:
    held = 0
    for seed in range(400):
        x, y = drawn(1000 * count + seed, count, 0.3)
        line = theil_sen(x, y)
        assert line is not None
        held += line.low <= 0.3 <= line.high
    # Exactly counted they hold at least so many: three standard errors of 400 draws are 4.5 %.
    assert held / 400 > 0.9 - 0.045


def test_four_points_are_never_a_trend_and_five_may_be() -> None:
    for count in (2, 3, LEAST_POINTS - 1):
        line = theil_sen(list(range(count)), [float(n) for n in range(count)])
        assert line is not None
        assert not line.goes_up
    line = theil_sen(list(range(5)), [0.0, 1.0, 2.1, 2.9, 4.2])
    assert line is not None
    assert line.goes_up
    assert line.chance == pytest.approx(2 / 120)


def test_three_wild_points_in_twelve_move_the_line_little() -> None:
    x = [float(n) for n in range(12)]
    y = [2.0 * place for place in x]
    for n, wild in ((2, 500.0), (5, -300.0), (9, 900.0)):
        y[n] = wild
    line = theil_sen(x, y)
    assert line is not None
    assert line.slope == pytest.approx(2.0, abs=1.0)
    least_squares = stats.linregress(x, y).slope
    assert abs(least_squares - 2.0) > 10.0


def test_one_place_has_no_slope() -> None:
    assert theil_sen([3.0, 3.0], [1.0, 2.0]) is None
    assert theil_sen([], []) is None
