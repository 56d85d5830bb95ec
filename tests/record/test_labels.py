"""Labels come back letter for letter, and ordinary ones cost nothing."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from supervisor.core.readings import Reading
from supervisor.record.labels import Segment
from supervisor.record.store import Record
from tests.record.firings import NEW


@pytest.mark.parametrize(
    ("label", "by_s", "expected"),
    [
        ("2026-11-25T20:00:00+01:00", 60.0, "2026-11-25T20:01:00+01:00"),
        ("2026-11-25T20:00:00Z", 3600.0, "2026-11-25T21:00:00Z"),
        ("2026-11-25 20:00:00", 0.6, "2026-11-25 20:00:01"),
        ("2026-11-25T20:00:00.250+00:00", 0.5, "2026-11-25T20:00:00.750+00:00"),
        ("2026-11-25T20:00:00.000001+00:00", 1e-6, "2026-11-25T20:00:00.000002+00:00"),
        ("2026-12-31T23:59:59-05:00", 1.0, "2027-01-01T00:00:00-05:00"),
    ],
)
def test_a_label_runs_on_in_its_own_form(label: str, by_s: float, expected: str) -> None:
    assert Segment(100.0, label).label_at(100.0) == label
    assert Segment(100.0, label).label_at(100.0 + by_s) == expected


@pytest.mark.parametrize(
    "label", ["about nine", "", "2026-11-25", "2026-13-40T99:99:99Z", "9999-12-31T23:59:59Z"]
)
def test_a_label_that_cannot_run_on_is_left_alone(label: str) -> None:
    assert Segment(100.0, label).label_at(100.0) == label
    assert Segment(100.0, label).label_at(86_500.0) is None


def kept(folder: Path, labels: list[tuple[float, str | None]]) -> tuple[list[str | None], int]:
    """The labels as they come back, and how many segments they took."""
    with Record.open(folder, commit_after_s=3600.0) as record:
        firing = record.start_firing(NEW).result(10.0)
        for elapsed_s, label in labels:
            record.append(firing.id, Reading(elapsed_s, {"top": 1.0, "bottom": None}, time=label))
        record.flush().result(10.0)
        back = [one.time for one in record.readings(firing.id)]
        connection = sqlite3.connect(record.path)
        (segments,) = connection.execute("SELECT count(*) FROM label_segment").fetchone()
        connection.close()
    return back, segments


def test_a_steady_clock_with_jitter_costs_one_segment(tmp_path: Path) -> None:
    labels: list[tuple[float, str | None]] = [
        (n + 0.004 * (n % 3 - 1), f"2026-11-25T20:{n // 60:02}:{n % 60:02}+00:00")
        for n in range(600)
    ]
    assert kept(tmp_path, labels) == ([label for _, label in labels], 1)


def test_a_step_of_the_wall_clock_changes_nothing_but_labels(tmp_path: Path) -> None:
    labels: list[tuple[float, str | None]] = [
        (0.0, "1970-01-01T00:00:10+00:00"),
        (1.0, "1970-01-01T00:00:11+00:00"),
        (2.0, "2026-11-25T20:00:02+00:00"),
        (3.0, "2026-11-25T20:00:03+00:00"),
        (4.0, "2026-11-25T19:00:04+00:00"),
    ]
    assert kept(tmp_path, labels) == ([label for _, label in labels], 3)


LABELS = (
    st.none()
    | st.sampled_from(["2026-11-25T20:00:00Z", "soon", ""])
    | st.datetimes().map(lambda moment: moment.isoformat())
)


@settings(deadline=None)
@given(labels=st.lists(st.tuples(st.floats(0.0, 1e6), LABELS), max_size=12))
def test_any_labels_whatever_come_back(
    tmp_path_factory: pytest.TempPathFactory, labels: list[tuple[float, str | None]]
) -> None:
    back, _ = kept(tmp_path_factory.mktemp("labels"), labels)
    assert back == [label for _, label in labels]
