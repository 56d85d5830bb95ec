"""A firing that goes on is looked back on as often as asked, and its readings are read once."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from supervisor.core.readings import Reading
from supervisor.record.followed import looked_back
from supervisor.record.going_on import GoingOn
from supervisor.record.papers import OFTEN_S
from supervisor.record.put_away import put_away
from supervisor.record.rows import Firing
from supervisor.record.store import Record
from tests.service.firings import begin, night


@pytest.fixture
def read(monkeypatch: pytest.MonkeyPatch) -> list[float]:
    """When each reading was that is read."""
    found: list[float] = []
    plain = Record.readings

    def readings(
        self: Record, firing_id: str, *, from_s: float | None = None, to_s: float | None = None
    ) -> Iterator[Reading]:
        for one in plain(self, firing_id, from_s=from_s, to_s=to_s):
            found.append(one.elapsed_s)
            yield one

    monkeypatch.setattr(Record, "readings", readings)
    return found


def test_what_was_read_is_not_read_again(record: Record, read: list[float]) -> None:
    firing, rows = begin(record), night()
    going_on = GoingOn()
    for until in (len(rows) // 2, len(rows)):
        for one in rows[until - len(rows) // 2 : until]:
            record.append(firing.id, one)
        record.flush().result(10.0)
        by_memory = looked_back(record, firing, going_on)
        read_s = list(read)
        read.clear()
        whole = looked_back(record, firing)
        assert (
            by_memory.facts.last_s
            == whole.facts.last_s
            == pytest.approx(rows[until - 1].elapsed_s, abs=OFTEN_S)
        )
        _same(by_memory.facts.peak, whole.facts.peak)
        assert [one.cone for one in by_memory.facts.cones] == [
            one.cone for one in whole.facts.cones
        ]
        for part, works in whole.works.items():
            assert by_memory.works[part] == pytest.approx(works, rel=0.01, abs=0.01)
        halfway_s = rows[until - len(rows) // 2].elapsed_s
        assert min(read_s) >= halfway_s - OFTEN_S - (rows[1].elapsed_s - rows[0].elapsed_s)
        read.clear()
    assert looked_back(record, firing, going_on).facts.readings > 1000
    assert len(read) <= 1, "nothing is new"


def _same(one: object, other: object) -> None:
    assert one is not None
    assert other is not None
    assert getattr(one, "temp_c") == pytest.approx(getattr(other, "temp_c"), abs=0.5)  # noqa: B009
    assert getattr(one, "at_s") == pytest.approx(getattr(other, "at_s"), abs=60.0)  # noqa: B009


def test_it_is_forgotten_once_it_is_summed_up(record: Record, read: list[float]) -> None:
    firing: Firing = begin(record)
    going_on = GoingOn()
    for one in night()[:200]:
        record.append(firing.id, one)
    record.flush().result(10.0)
    worked_out = looked_back(record, firing, going_on)
    record.close_firing(firing.id, night()[199].elapsed_s).result(10.0)
    put_away(record, record.firing(firing.id))
    read.clear()
    kept = looked_back(record, record.firing(firing.id), going_on)
    assert read == []
    assert going_on._known is None
    assert kept.facts.last_s == worked_out.facts.last_s
