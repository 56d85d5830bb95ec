"""Who is told of what, and how it reads on a phone."""

from __future__ import annotations

import json
from typing import Any

import pytest

from supervisor.core.events import Kind, Severity, State
from supervisor.messaging.destinations import Destination, broker
from supervisor.messaging.letter import letter_of, trial_letter
from supervisor.messaging.notify import addresses
from tests.core.alert_night import QUIET, Message, Night

EVERYBODY = Destination("notify-1")
CAREFUL = Destination("notify-2", least=Severity.WARNING)
URGENT = Destination("notify-3", least=Severity.CRITICAL)
NEIGHBOUR = Destination("notify-4", only_escalated=True)


def told() -> list[Message]:
    """A night with everything in it."""
    night = Night()
    night.happens(60.0, Kind.CONE_NEAR, Severity.INFO, message="Cone 6 is near: go and look.")
    night.happens(
        300.0, Kind.CONE_NEAR, Severity.INFO, State.CLEARED, message="Cone 6 is awaited no more."
    )
    night.happens(600.0, Kind.HEAT_LOST, Severity.CRITICAL, message="Losing heat: go and look.")
    night.is_seen(1600.0)
    night.happens(
        1700.0, Kind.HEAT_LOST, Severity.CRITICAL, State.CLEARED, message="It holds again."
    )
    night.happens(2000.0, Kind.UNEVEN, message="Uneven: look.")
    return night.told


def states(destination: Destination) -> list[tuple[str, str]]:
    payloads = [destination.payload(message) for message in told()]
    found = [json.loads(payload) for payload in payloads if payload is not None]
    return [(one["kind"], one["state"]) for one in found]


HEAT = [
    ("heat_lost", "raised"),
    ("heat_lost", "reminded"),
    ("heat_lost", "escalated"),
    ("heat_lost", "acknowledged"),
    ("heat_lost", "cleared"),
]


@pytest.mark.parametrize(
    ("destination", "heard"),
    [
        (broker("t"), [("cone_near", "raised"), ("cone_near", "cleared"), *HEAT,
                       ("uneven", "raised")]),
        (EVERYBODY, [("cone_near", "raised"), *HEAT, ("uneven", "raised")]),
        (CAREFUL, [*HEAT, ("uneven", "raised")]),
        (URGENT, HEAT),
        (NEIGHBOUR, HEAT[2:]),
    ],
    ids=["broker", "everybody", "careful", "urgent", "neighbour"],
)  # fmt: skip
def test_each_hears_what_concerns_it_and_how_that_ends(
    destination: Destination, heard: list[tuple[str, str]]
) -> None:
    assert states(destination) == heard


def morning() -> Message:
    """What waited for the morning: a cone, and a warning that is over."""
    night = Night(QUIET)
    night.happens(3 * 3600.0, Kind.CONE_DOWN, Severity.INFO, message="Cone 6: go and look.")
    night.happens(4 * 3600.0, Kind.UNEVEN, message="Uneven: look.")
    night.happens(5 * 3600.0, Kind.UNEVEN, state=State.CLEARED, message="Even again.")
    night.until(11 * 3600.0)
    (summary,) = night.told
    return summary


def test_a_summary_has_only_what_its_reader_wants() -> None:
    summary = morning()
    assert EVERYBODY.payload(summary) == broker("t").payload(summary)
    careful = json.loads(CAREFUL.payload(summary) or "")
    assert [part["kind"] for part in careful["alerts"]] == ["uneven"]
    assert careful["message"] == "01:00: Over: The kiln is uneven, from 00:00. Even again."
    assert careful["title"] == "One thing to know of"
    assert careful["id"] == summary["id"]
    assert URGENT.payload(summary) is None
    assert NEIGHBOUR.payload(summary) is None


def payloads(*messages: Message) -> list[str]:
    return [json.dumps(dict(message)) for message in messages]


@pytest.mark.parametrize(
    ("number", "title", "kind"),
    [
        (0, "Big Bertha: A cone is near", "info"),
        (2, "Big Bertha: Urgent: The kiln is losing heat", "failure"),
        (3, "Big Bertha: Still so: The kiln is losing heat", "failure"),
        (4, "Big Bertha: Nobody answers: The kiln is losing heat", "failure"),
        (5, "Big Bertha: Acknowledged: The kiln is losing heat", "success"),
        (6, "Big Bertha: Over: The kiln is losing heat", "success"),
        (7, "Big Bertha: The kiln is uneven", "warning"),
    ],
)
def test_a_letter_says_at_a_glance_what_it_is(number: int, title: str, kind: str) -> None:
    message = told()[number]
    letter = letter_of(payloads(message), "http://kiln.local:8017/")
    assert (letter.title, letter.kind) == (title, kind)
    assert str(message["message"]) in letter.body
    assert letter.body.endswith("\n\nhttp://kiln.local:8017/")
    assert "(20:" in letter.body, "when it happened"


def test_who_has_acknowledged_is_named() -> None:
    letter = letter_of(payloads(told()[5]), None)
    assert letter.body.startswith("Ann has acknowledged this: Losing heat: go and look.")
    assert "http" not in letter.body


def test_what_waited_for_a_dead_channel_comes_as_one_with_the_latest_word_of_each() -> None:
    letter = letter_of(payloads(*told()), None)
    assert letter.title == "Big Bertha: 3 things to know of"
    assert letter.kind == "warning"
    assert letter.body == (
        "Over: A cone is near\nCone 6 is awaited no more. (20:05)\n\n"
        "Over: The kiln is losing heat\nIt holds again. (20:28)\n\n"
        "The kiln is uneven\nUneven: look. (20:33)"
    )


def test_what_is_critical_and_stands_names_the_letter_and_comes_first() -> None:
    night = Night()
    night.happens(60.0, Kind.UNEVEN, message="Uneven: look.")
    night.happens(600.0, Kind.HEAT_LOST, Severity.CRITICAL, message="Losing heat: go and look.")
    night.happens(700.0, Kind.CONE_NEAR, Severity.INFO, message="Cone 6 is near: go and look.")
    letter = letter_of(payloads(*night.told), None)
    assert letter.title == "Big Bertha: Urgent: The kiln is losing heat, and 2 more"
    assert letter.kind == "failure"
    parts = [part.splitlines()[0] for part in letter.body.split("\n\n")]
    assert parts == ["Urgent: The kiln is losing heat", "The kiln is uneven", "A cone is near"]


def test_a_summary_is_a_letter_of_its_own_lines() -> None:
    summary = morning()
    letter = letter_of(payloads(summary), None)
    assert (letter.title, letter.body) == ("Big Bertha: 2 things to know of", summary["message"])


def test_a_test_says_that_it_is_one() -> None:
    letter = trial_letter("big kiln", "http://kiln.local/")
    assert "test" in letter.title
    assert letter.body.endswith("http://kiln.local/")


def test_an_address_keeps_its_name_when_the_list_changes_and_tells_nothing_of_itself() -> None:
    first, second = addresses(["json://a:secret1@b", "json://c"])
    again = addresses(["json://new", "json://a:secret1@b"])[1]
    assert first.destination.name == again.destination.name
    assert second.destination.name != first.destination.name
    said: Any = (repr(first), first.label, first.destination.name)
    assert "secret1" not in str(said)


@pytest.mark.parametrize("count", [1, 5])
def test_no_name_begins_another_header_of_a_letter(count: int) -> None:
    kiln = "big kiln\r\nBcc: all@example.org"
    told_of = [json.dumps(json.loads(one) | {"kiln": kiln}) for one in payloads(*told()[:count])]
    title = letter_of(told_of, None).title
    assert title.startswith("big kiln Bcc: all@example.org: ")
    assert title.isprintable()
