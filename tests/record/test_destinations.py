"""Each destination has its own place in the outbox, on disk and while the disk refuses."""

from __future__ import annotations

from pathlib import Path

from supervisor.core.alerts import AlertBook, AlertRules, Now
from supervisor.record.rows import MQTT, NewMessage
from supervisor.record.store import Record
from tests.record.firings import NEW, event
from tests.record.test_trouble import Bench, bench

__all__ = ["bench"]


def to_each(payload: str, *names: str) -> list[NewMessage]:
    return [NewMessage("t", payload, destination=name) for name in names]


def waiting(record: Record, name: str) -> list[str]:
    return [message.payload for message in record.messages_to(name).waiting_messages()]


def test_one_destination_is_served_without_another(record: Record) -> None:
    firing = record.start_firing(NEW).result(10.0).id
    for payload in ("one", "two", "three"):
        record.add_events(firing, messages=to_each(payload, MQTT, "notify-a")).result(10.0)
    record.add_events(firing, messages=to_each("four", "notify-b")).result(10.0)
    for message in record.messages_to("notify-a").waiting_messages():
        record.messages_to("notify-a").mark_sent(message.id, "now").result(10.0)
    assert waiting(record, "notify-a") == []
    assert waiting(record, MQTT) == ["one", "two", "three"]
    assert waiting(record, "notify-b") == ["four"]
    assert [one.payload for one in record.waiting_messages()] == ["one", "two", "three"]


def test_places_outlive_a_restart(tmp_path: Path) -> None:
    with Record.open(tmp_path) as record:
        firing = record.start_firing(NEW).result(10.0).id
        record.add_events(firing, messages=to_each("one", MQTT, "notify-a")).result(10.0)
        record.add_events(firing, messages=to_each("two", MQTT, "notify-a")).result(10.0)
        first = record.messages_to("notify-a").waiting_messages()[0]
        record.mark_sent(first.id).result(10.0)
    with Record.open(tmp_path) as record:
        assert waiting(record, "notify-a") == ["two"]
        assert waiting(record, MQTT) == ["one", "two"]


def test_while_the_disk_refuses_each_is_served_from_memory_and_none_is_lost(bench: Bench) -> None:
    record = bench.record
    bench.refuse()
    pending = record.add_events(
        bench.firing, [event(1)], messages=to_each("hot", MQTT, "notify-a", "notify-b")
    )
    assert bench.wait_for_report(1) is not None
    (message,) = record.messages_to("notify-a").waiting_messages()
    record.mark_sent(message.id)
    assert waiting(record, "notify-a") == []
    assert waiting(record, MQTT) == ["hot"]
    bench.mend()
    bench.now_s += 60.0
    pending.result(10.0)
    record.flush().result(10.0)
    assert waiting(record, "notify-a") == []
    assert waiting(record, MQTT) == ["hot"]
    assert waiting(record, "notify-b") == ["hot"]


def test_what_waits_for_an_address_that_is_no_more_is_dropped_and_nothing_else(
    record: Record,
) -> None:
    firing = record.start_firing(NEW).result(10.0).id
    record.add_events(firing, messages=to_each("one", MQTT, "notify-a", "notify-b")).result(10.0)
    assert record.forget_messages("notify-", ["mqtt", "notify-b"]).result(10.0) == 1
    assert waiting(record, "notify-a") == []
    assert waiting(record, "notify-b") == ["one"]
    assert waiting(record, MQTT) == ["one"]


def test_what_an_ended_firing_left_untold_is_found(record: Record) -> None:
    firing = record.start_firing(NEW).result(10.0)
    book = AlertBook(firing.id, firing.kiln, rules=AlertRules(quiet_from_min=0, quiet_to_min=1439))
    change = book.take(event(1), Now(60.0, minute=10))
    assert change is not None
    assert change.message is None
    record.add_events(firing.id, [event(1)], alerts=change.alerts, book=book.kept).result(10.0)
    assert record.with_untold_alerts() == [], "it goes on"
    record.close_firing(firing.id, 100.0).result(10.0)
    assert [one.id for one in record.with_untold_alerts()] == [firing.id]
    told = book.tell_all(Now(120.0))
    assert told is not None
    record.add_events(firing.id, alerts=told.alerts, book=book.kept).result(10.0)
    assert record.with_untold_alerts() == []
    assert record.alert_book(firing.id) == book.kept
