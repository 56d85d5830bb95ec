"""What firings show together is told once, beside a cold kiln, and never into a firing."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from supervisor.core.errors import PeerError
from supervisor.core.events import Kind, Severity
from supervisor.core.readings import Reading
from supervisor.record.put_away import put_away
from supervisor.record.rows import Firing, Mode, NewFiring, NewNote
from supervisor.record.store import Record
from supervisor.service import trend_watch
from supervisor.service.trend_watch import TrendWatch
from tests.core.firings import HOUR_S, Rig, seen
from tests.core.review.logs import fired
from tests.record.test_reviewed import PLAN
from tests.service.firings import KILN, TOPIC, Kept, begin, keep

NEW = NewFiring(KILN, ("kiln",), "made up", PLAN, Mode.LIVE)
READINGS = seen(fired(cools_s=9 * HOUR_S), rig=Rig(every_s=60.0, noise_c=0.3))


def a_firing(record: Record, n: int, *, mode: Mode = Mode.LIVE, few: bool = False) -> Firing:
    """A closed firing, put away, with a note of its energy."""
    readings: list[Reading] = list(READINGS)[: 5 if few else None]
    notes = [NewNote(60.0, f"energy {80 + 3 * n} kWh")]
    firing = record.import_readings(replace(NEW, mode=mode), readings, (), notes).result(10.0)
    put_away(record, firing)
    return firing


@pytest.fixture
def record(tmp_path: Path) -> Iterator[Record]:
    with Record.open(tmp_path) as opened:
        yield opened


def armed(record: Record) -> Kept:
    """The keeper that waits for the next climb."""
    kept = keep(record, begin(record), people=True)
    kept.keeper.is_armed = True
    return kept


class Findings:
    """Stands in for the child: what it finds, and how often it was asked."""

    def __init__(self, *findings: Mapping[str, object]) -> None:
        self.findings = findings
        self.asked: list[Mapping[str, object]] = []

    async def __call__(self, _: Path, order: Mapping[str, object]) -> bytes:
        self.asked.append(order)
        return json.dumps(self.findings).encode()


def climb(firing: Firing, *, is_short: bool = False) -> dict[str, object]:
    return {
        "trend": "climb",
        "of": None,
        "is_short": is_short,
        "firing": firing.id,
        "message": "From firing to firing: it climbs less.",
    }


def watch_of(record: Record, kept: Kept, ask: Findings, *, busy: bool = False) -> TrendWatch:
    return TrendWatch(record, lambda: kept.keeper, lambda: busy, lambda: None, ask=ask)


def told(record: Record) -> list[dict[str, Any]]:
    """What waits for the broker."""
    record.flush().result(10.0)
    waiting = record.waiting_messages(100)
    return [json.loads(message.payload) for message in waiting if message.topic == TOPIC]


async def test_what_six_firings_show_is_found_by_the_child_and_told_once(record: Record) -> None:
    firings = [a_firing(record, n) for n in range(6)]
    kept = armed(record)
    changed: list[None] = []
    watch = TrendWatch(record, lambda: kept.keeper, lambda: False, lambda: changed.append(None))
    assert await watch.look() == 1
    assert len(changed) == 1
    [alert] = kept.keeper.book.open_alerts
    assert (alert.kind, alert.severity, alert.channel) == (Kind.TREND, Severity.INFO, "made up")
    assert alert.message.startswith("From firing to firing: “made up” took 95 kWh by the notes")
    assert "It takes more and more: look at seals, lid, lining and draught." in alert.message
    assert alert.data == {"trend": "energy", "is_short": False, "firing": firings[-1].id}
    [message] = told(record)
    assert (message["kind"], message["state"]) == ("trend", "raised")
    assert message["title"].startswith("The kiln is changing")
    # Neither once more, nor after a restart.
    assert await watch.look() == 0
    again = keep(record, kept.keeper.firing)
    again.keeper.is_armed = True
    assert await TrendWatch(record, lambda: again.keeper, lambda: False, lambda: None).look() == 0
    assert len(told(record)) == 1
    assert record.alerts_of(KILN, Kind.TREND) == [alert]
    assert record.alerts_of("another", Kind.TREND) == []


async def test_it_is_never_told_into_a_firing_that_goes_on(record: Record) -> None:
    firing = a_firing(record, 0)
    kept = armed(record)
    ask = Findings(climb(firing))
    watch = watch_of(record, kept, ask)
    kept.keeper.is_armed = False
    assert await watch.look() == 0
    assert kept.keeper.book.alerts == ()
    assert await watch_of(record, kept, ask, busy=True).look() == 0
    assert told(record) == []
    # When that is over, it is.
    kept.keeper.is_armed = True
    assert await watch.look() == 1
    assert len(ask.asked) == 3


async def test_only_a_real_firing_that_is_put_away_is_a_reason_to_look(record: Record) -> None:
    kept = armed(record)
    ask = Findings()
    watch = watch_of(record, kept, ask)
    assert await watch.look() == 0
    a_firing(record, 0, mode=Mode.SIMULATION)
    assert await watch.look() == 0
    record.import_readings(NEW, list(READINGS)[:5], ()).result(10.0)
    assert await watch.look() == 0
    assert ask.asked == []
    put_away(record, record.to_put_away()[0])
    assert await watch.look() == 0
    assert [order["kiln"] for order in ask.asked] == [KILN]
    await watch.look()
    assert len(ask.asked) == 1


async def test_what_grows_graver_is_told_again_and_what_is_old_too(
    record: Record, monkeypatch: pytest.MonkeyPatch
) -> None:
    kept = armed(record)

    async def after_another(*, is_short: bool) -> int:
        firing = a_firing(record, 0, few=True)
        kept.clock.now_s += 24 * HOUR_S
        return await watch_of(record, kept, Findings(climb(firing, is_short=is_short))).look()

    assert await after_another(is_short=False) == 1
    assert await after_another(is_short=False) == 0
    assert await after_another(is_short=True) == 1
    assert await after_another(is_short=False) == 0
    assert await after_another(is_short=True) == 0
    monkeypatch.setattr(trend_watch, "TOLD_FOR", 3)
    assert await after_another(is_short=True) == 1
    record.flush().result(10.0)
    assert [alert.data["is_short"] for alert in record.alerts_of(KILN, Kind.TREND)] == [
        False,
        True,
        True,
    ]


async def test_a_child_that_fails_is_told_of_and_asked_no_more_for_that_firing(
    record: Record,
) -> None:
    a_firing(record, 0, few=True)
    kept = armed(record)

    async def fail(_: Path, __: Mapping[str, object]) -> bytes:
        raise PeerError("No process can be started for it: no memory.")

    watch = TrendWatch(record, lambda: kept.keeper, lambda: False, lambda: None, ask=fail)
    with pytest.raises(PeerError):
        await watch.look()
    assert await watch.look() == 0

    async def die(_: Path, __: Mapping[str, object]) -> bytes:
        return b""

    other = TrendWatch(record, lambda: kept.keeper, lambda: False, lambda: None, ask=die)
    with pytest.raises(ValueError, match="Expecting value"):
        await other.look()
