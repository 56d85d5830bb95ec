"""Firings in the order in which they were fired, whenever they were taken in."""

from __future__ import annotations

from dataclasses import replace

import pytest

from supervisor.core.units import Unit
from supervisor.record.fired_in_order import fired_in_order
from supervisor.record.rows import Firing, Mode
from supervisor.record.store import Record
from tests.record.firings import NEW, reading

LIVE, TAKEN_IN = Mode.LIVE, Mode.IMPORT


def firing(number: int, mode: Mode, label: str | None) -> Firing:
    return Firing(
        id=str(number),
        kiln="kiln",
        name="",
        schedule_toml=None,
        mode=mode,
        is_open=False,
        channels=("top",),
        units=Unit.C,
        started_label=label,
        boot_id=None,
        boottime_start_s=None,
        ended_at_s=None,
        ended_label=None,
        settings={},
    )


@pytest.mark.parametrize(
    ("taken_in", "fired"),
    [
        # A log of years ago is put among the others by its date.
        ([(LIVE, "2026-03-01T08:00"), (LIVE, "2026-05-01T08:00"), (TAKEN_IN, "2026-04-01")], "021"),
        ([(TAKEN_IN, "2026-04-02"), (TAKEN_IN, "2026-04-01"), (TAKEN_IN, "2026-04-03")], "102"),
        # By the moment, not by what the clock on the wall showed: 23:30 in Tokyo is 14:30 UTC.
        (
            [
                (TAKEN_IN, "2026-04-01T23:30:00+09:00"),
                (TAKEN_IN, "2026-04-01T14:00:00+00:00"),
            ],
            "10",
        ),
        # What was watched keeps its order: a Pi without the time begins in the past.
        ([(LIVE, "2026-03-01T08:00"), (LIVE, "1970-01-01T00:00"), (TAKEN_IN, "2026-02-01")], "201"),
        ([(LIVE, None), (LIVE, "2026-05-01T08:00"), (LIVE, None)], "012"),
        # Without a date it stays where it was taken in, and so does what is no date.
        ([(TAKEN_IN, "2026-04-02"), (TAKEN_IN, None), (TAKEN_IN, "2026-04-01")], "201"),
        ([(TAKEN_IN, "2026-04-01"), (TAKEN_IN, "last spring"), (LIVE, "2026-05-01")], "012"),
    ],
)
def test_by_date_where_it_was_taken_in(taken_in: list[tuple[Mode, str | None]], fired: str) -> None:
    numbered = [firing(number, mode, label) for number, (mode, label) in enumerate(taken_in)]
    assert "".join(one.id for one in fired_in_order(numbered)) == fired


def test_trends_follow_that_order(record: Record) -> None:
    ids = {}
    for month in ("09", "10", "04"):
        new = replace(NEW, mode=TAKEN_IN, started_label=f"2026-{month}-01T20:00:00+00:00")
        one = record.start_firing(new).result(10.0)
        record.append(one.id, reading(0.0))
        record.close_firing(one.id, 0.0).result(10.0)
        ids[one.id] = month
    seen = record.seen_in_kiln(NEW.kiln)
    assert [ids[one.firing.id] for one in seen] == ["04", "09", "10"]
