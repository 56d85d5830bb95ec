"""The trace shows gaps as gaps and stays bounded however long a firing lasts."""

from __future__ import annotations

from web.trace import Trace


def test_an_hour_without_readings_is_a_gap_and_not_a_line() -> None:
    trace = Trace(["top"], gap_s=30.0)
    for at_s in (0.0, 10.0, 3_610.0, 3_620.0):
        trace.append(at_s, {"top": 500.0})
    assert trace.rows(100) == (
        [0.0, 10.0, 1_810.0, 3_610.0, 3_620.0],
        {"top": [500.0, 500.0, None, 500.0, 500.0]},
    )


def test_rows_after_a_gap_bring_the_gap_with_them() -> None:
    trace = Trace(["top"], gap_s=30.0)
    trace.append(0.0, {"top": 500.0})
    trace.append(3_600.0, {"top": 200.0})
    assert trace.rows(100, after_s=0.0) == ([1_800.0, 3_600.0], {"top": [None, 200.0]})


def test_nothing_new_is_an_empty_answer() -> None:
    trace = Trace(["top"], gap_s=30.0)
    trace.append(0.0, {"top": 500.0})
    assert trace.rows(100, after_s=0.0) == ([], {"top": []})


def test_a_reading_that_is_not_later_is_left_out() -> None:
    trace = Trace(["top"], gap_s=30.0)
    trace.append(10.0, {"top": 500.0})
    trace.append(10.0, {"top": 900.0})
    trace.append(9.0, {"top": 900.0})
    assert trace.rows(100) == ([10.0], {"top": [500.0]})


def test_a_channel_without_a_value_is_none_and_a_strange_one_is_ignored() -> None:
    trace = Trace(["top", "bottom"], gap_s=30.0)
    trace.append(0.0, {"top": 500.0, "attic": 12.0})
    assert trace.rows(100) == ([0.0], {"top": [500.0], "bottom": [None]})


def test_memory_is_bounded_and_the_peak_is_still_there_after_a_week() -> None:
    trace = Trace(["top"], gap_s=120.0, max_rows=1_000)
    for minute in range(7 * 24 * 60):
        trace.append(minute * 60.0, {"top": 1_287.5 if minute == 777 else minute % 1000 / 1.0})
    times, columns = trace.rows(100_000)
    assert len(times) <= 1_000
    assert (777 * 60.0, 1_287.5) in set(zip(times, columns["top"], strict=True))
    assert times[-1] == (7 * 24 * 60 - 1) * 60.0


def test_thinning_the_old_makes_no_false_gap() -> None:
    trace = Trace(["top"], gap_s=2.0, max_rows=100)
    for at_s in range(5_000):
        trace.append(float(at_s), {"top": float(at_s)})
    assert None not in trace.rows(100)[1]["top"]
