"""What is kept of a firing for comparing and following tells the same as its readings do."""

from __future__ import annotations

import json
from collections.abc import Iterator

import pytest

from supervisor.core.compare import Align, compared
from supervisor.core.compare.aligned import STEP_S
from supervisor.core.compare.subject import Subject
from supervisor.core.review import FiringFacts, document_of, value_of
from supervisor.core.trends import trends_of
from supervisor.record.followed import LookedBack, all_followed, followed, looked_back
from supervisor.record.put_away import put_away
from supervisor.record.reviewed import points_of
from supervisor.record.rows import Firing
from supervisor.record.store import Record
from tests.service.firings import KILN, begin, fire

SCENARIOS = ("tripped-breaker", "healthy-midfire")


@pytest.fixture(scope="module")
def record(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Record]:
    """A firing that stalled, one that did not, and one that goes on."""
    with Record.open(tmp_path_factory.mktemp("followed")) as record:
        for name in SCENARIOS:
            fire(record, name)
        begin(record)
        yield record


def subject(name: str, back: LookedBack) -> Subject:
    return Subject(name, name, back.facts, back.trace, back.works)


def pair(record: Record) -> tuple[Firing, Firing]:
    _, second, first = record.firings()
    return first, second


def test_kept_and_worked_out_say_the_same(record: Record) -> None:
    first, second = pair(record)
    assert followed(record, KILN, record.seen_in_kiln(KILN)) == ([], 2)
    assert [document_of(one) for one in all_followed(record, KILN, record.seen_in_kiln(KILN))] == [
        document_of(one) for one in points_of(record, record.seen_in_kiln(KILN))
    ]
    worked_out = [looked_back(record, one) for one in (first, second)]
    by_readings = points_of(record, record.seen_in_kiln(KILN), every_s=0.0)
    for one in (first, second):
        put_away(record, one)
    kept = [looked_back(record, one) for one in (first, second)]
    for align in Align:
        before, after = (
            compared(subject("A", backs[0]), [subject("B", backs[1])], align)[0]
            for backs in (worked_out, kept)
        )
        assert [d.what for d in after.differences] == [d.what for d in before.differences]
        for old, new in zip(before.differences, after.differences, strict=True):
            assert new.by == pytest.approx(old.by, rel=1e-3, abs=0.01)
            assert new.parts == pytest.approx(old.parts, abs=0.001)
        for was, now in zip(before.partings, after.partings, strict=True):
            assert now.at == pytest.approx(was.at, abs=STEP_S)
            assert now.by == pytest.approx(was.by, rel=0.01)
        assert after.partings
    points, waiting = followed(record, KILN, record.seen_in_kiln(KILN))
    assert waiting == 0
    counts: list[int] = []
    assert all_followed(record, KILN, record.seen_in_kiln(KILN), counts.append) == points
    assert counts == [1, 2, 3], "the one that goes on was looked at too"
    assert [document_of(one) for one in points] == [document_of(one) for one in by_readings]
    assert points[0].losses == 1
    assert [one.kind for one in trends_of(points)] == [one.kind for one in trends_of(by_readings)]


def test_facts_come_back_as_they_were_written(record: Record) -> None:
    facts = looked_back(record, pair(record)[0]).facts
    written = json.loads(json.dumps(document_of(facts)))
    again = value_of(FiringFacts, written)
    assert document_of(again) == written
    assert again.steps[0].planned.hold_s == pytest.approx(facts.steps[0].planned.hold_s)
    assert again.troubles[0].kind is facts.troubles[0].kind
    assert isinstance(again.channels, tuple)
    with pytest.raises(KeyError):
        value_of(FiringFacts, {"channels": []})
