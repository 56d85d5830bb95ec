"""What all that was heard and kept of one firing comes to, against what was promised.

Knows the listener's side and the record's side of a firing; the record is looked at as a copy.
"""

from __future__ import annotations

from collections import Counter

from tests.campaign.listener import delivery, same_but_repeated
from tests.campaign.outcome import Outcome
from tests.campaign.person import Person
from tests.campaign.readings import missing_readings
from tests.campaign.record import copy_of, damage, stored_messages, watched_again
from tests.campaign.scenarios import Owed, is_warning, raised
from tests.campaign.shed import Shed
from tests.daemons import Daemon, wait_until


def judge(
    outcome: Outcome,
    shed: Shed,
    person: Person,
    wanted: Counter[Owed],
    *,
    lost_with_kills: set[float],
) -> str:
    """Judge a firing that is over; says in words how much there was.

    ``lost_with_kills`` are the elapsed seconds of readings that a kill was allowed to cost.
    """
    heard = shed.listener.alerts()
    with copy_of(shed.data) as record:
        for found in damage(record):
            outcome.breaks(f"SQLite finds the record damaged: {found}")
        (firing,) = record.firings()
        outcome.losing(
            "things that the page said were written",
            person.promises.missing(record, firing.id),
        )
        kept = {reading.elapsed_s: reading for reading in record.readings(firing.id)}
        if list(kept) != sorted(kept):
            outcome.misordering("readings", 1)
        told = [
            one for one in shed.listener.readings() if one[0]["elapsed_s"] not in lost_with_kills
        ]
        outcome.losing("readings", missing_readings(told, kept, until_at_s=float("inf")))
        delivered = delivery(heard, stored_messages(record))
        again = [event.to_json() for event in watched_again(record, firing.id)]
        if again != record.event_lines(firing.id):
            outcome.breaks("the recorded readings give other events than those recorded")
    outcome.losing("alert messages", delivered.lost)
    outcome.repeated = (outcome.repeated or 0) + delivered.repeated
    outcome.misordering("alert messages", delivered.out_of_order)
    if delivered.unknown:
        outcome.breaks(f"heard, but not recorded: {', '.join(delivered.unknown[:3])}")
    for one in same_but_repeated(heard):
        outcome.breaks(f"two different messages with the id {one}")
    compare(outcome, raised(heard), wanted)
    for one in person.refused:
        outcome.breaks(one)
    messages = len({one["id"] for one in heard})
    return (
        f"{messages} alert messages, {person.promises.count()} answers of the page, "
        f"{len(kept):,} readings"
    )


def compare(outcome: Outcome, heard: Counter[Owed], wanted: Counter[Owed]) -> None:
    """Count what was said for nothing, and what was owed and not said."""
    outcome.alarming([str(sort) for sort in (heard - wanted).elements() if is_warning(sort)])
    outcome.losing("alerts that the firing is owed", [str(s) for s in (wanted - heard).elements()])


def all_heard(shed: Shed) -> None:
    """Wait until the listener has every message that the record has now."""
    with copy_of(shed.data) as record:
        stored = stored_messages(record)
    if stored:
        wait_until(lambda: not delivery(shed.listener.alerts(), stored).lost, "all is delivered")


def complaints(outcome: Outcome, daemon: Daemon, *expected: str) -> None:
    """What the daemon said on stderr must be one of the sentences that belong to what was done."""
    for line in daemon.complaints:
        if not any(one in line for one in expected):
            outcome.breaks(f"the daemon complained: {line}")


def ends_well(outcome: Outcome, daemon: Daemon, within_s: float = 5.0) -> float:
    """Tell the daemon to stop: it must end in order and in time. The real seconds it took."""
    code, took_s = daemon.stop()
    if code != 0:
        outcome.breaks(f"told to stop, the daemon ended with code {code}")
    if took_s > within_s:
        outcome.slows(f"the daemon took {took_s:.1f} s to stop")
    return took_s
