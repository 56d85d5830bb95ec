"""Thinning keeps first and last, peaks and gaps, and never invents a row."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from supervisor.core.thinning import Column, thin

values = st.one_of(st.none(), st.floats(min_value=-50, max_value=1400, allow_nan=False))
logs = st.integers(min_value=1, max_value=300).flatmap(
    lambda rows: st.tuples(
        st.lists(st.floats(min_value=0.05, max_value=500), min_size=rows, max_size=rows).map(
            lambda steps: [sum(steps[: row + 1]) for row in range(len(steps))]
        ),
        st.lists(values, min_size=rows, max_size=rows),
        st.lists(values, min_size=rows, max_size=rows),
    )
)


def extremes(column: Column) -> tuple[float, float] | None:
    known = [value for value in column if value is not None]
    return (min(known), max(known)) if known else None


@given(log=logs, max_points=st.integers(min_value=8, max_value=80))
def test_peaks_and_ends_are_never_lost_and_no_row_is_invented(
    log: tuple[list[float], list[float | None], list[float | None]], max_points: int
) -> None:
    elapsed_s, top, bottom = log
    times, columns = thin(elapsed_s, {"top": top, "bottom": bottom}, max_points)
    assert len(times) <= max_points
    assert times[0] == elapsed_s[0]
    assert times[-1] == elapsed_s[-1]
    assert extremes(columns["top"]) == extremes(top)
    assert extremes(columns["bottom"]) == extremes(bottom)
    assert (None in columns["top"]) == (None in top)
    rows = list(zip(elapsed_s, top, bottom, strict=True))
    kept = list(zip(times, columns["top"], columns["bottom"], strict=True))
    remaining = iter(rows)
    assert all(row in remaining for row in kept), "kept rows are rows of the log, in order"


def test_few_rows_come_back_whole() -> None:
    assert thin([0.0, 1.0], {"top": [20.0, None]}, 100) == ([0.0, 1.0], {"top": [20.0, None]})


def test_an_empty_log_stays_empty() -> None:
    assert thin([], {"top": []}, 100) == ([], {"top": []})


def test_a_spike_of_a_single_reading_survives_a_day_at_one_second() -> None:
    rows = 86_400
    elapsed_s = [float(row) for row in range(rows)]
    top: list[float | None] = [20.0 + row / 100 for row in range(rows)]
    top[50_003] = 1_300.0
    times, columns = thin(elapsed_s, {"top": top}, 500)
    assert (50_003.0, 1_300.0) in set(zip(times, columns["top"], strict=True))


def test_smooth_firings_use_most_of_the_points_allowed() -> None:
    elapsed_s = [float(row) for row in range(20_000)]
    channels = {
        name: [row / 20 + shift for row in range(20_000)] for shift, name in enumerate("abc")
    }
    times, _ = thin(elapsed_s, channels, 1_500)
    assert len(times) > 1_200


def test_too_few_points_for_the_channels_are_refused() -> None:
    with pytest.raises(ValueError, match="at least 5, not 4"):
        thin([float(row) for row in range(10)], {"top": [1.0] * 10}, 4)
