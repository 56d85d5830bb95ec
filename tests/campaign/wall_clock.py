"""The wall clock is set forward and back by a day in mid-firing: labels change and nothing else.

The daemon runs at its real speed under libfaketime, which lies to it about the wall clock alone
(Debian's ``faketime``); this machine's own clock is never touched. Minutes of a hot kiln in which
three cones go down, steps begin and each probe breaks off once give events to compare. In one of
the steps the daemon is killed and started again.
"""

from __future__ import annotations

import json
import re
import time
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from pathlib import Path
from random import Random

from supervisor.core.readings import Reading
from supervisor.core.schedule import Schedule, parse_schedule
from supervisor.core.watch import Watch, WatchSettings
from tests.campaign.judging import all_heard, complaints, ends_well
from tests.campaign.listener import delivery
from tests.campaign.outcome import Outcome, Progress
from tests.campaign.person import Person
from tests.campaign.record import copy_of, damage, stored_messages, watched_again
from tests.campaign.scenarios import is_warning, raised, short_firing
from tests.campaign.shed import MissingError, Shed
from tests.daemons import Daemon, wait_until

DAY_S = 86_400
LONGEST_GAP_S = 4.0
"""Between two readings of one daemon; a busy machine may take so long, a jumping clock a day."""
_FOLLOWS_WITHIN_S = 10.0
_LIBRARIES = "/usr/lib/*/faketime/libfaketimeMT.so.1"


def library() -> Path:
    """Where libfaketime lies. Raises MissingError where it is not installed."""
    found = sorted(Path("/").glob(_LIBRARIES.removeprefix("/")))
    if not found:
        raise MissingError("libfaketime is not installed (Debian: apt install faketime)")
    return found[0]


def run(progress: Progress, folder: Path, *, steps: int = 40, every_s: float = 4.0) -> Outcome:
    """So many steps of a day, forth and back, a few real seconds apart."""
    outcome = Outcome("wall clock", f"{steps} steps of ±1 day", lost=0, repeated=0)
    outcome.out_of_order = outcome.false_alerts = 0
    folder.mkdir(parents=True)
    try:
        lie = library()
    except MissingError as error:
        outcome.not_run = str(error)
        return outcome
    scenario = short_firing(folder / "firing.toml", seed=601, minutes=steps * every_s / 60.0 + 2.0)
    shift = folder / "shift"
    shift.write_text("+0\n")
    wrapper = (
        "env", f"LD_PRELOAD={lie}", f"FAKETIME_TIMESTAMP_FILE={shift}", "FAKETIME_NO_CACHE=1",
        "FAKETIME_DONT_FAKE_MONOTONIC=1", "DONT_FAKE_MONOTONIC=1",
    )  # fmt: skip
    chance = Random(601)
    with Shed(folder) as shed:
        person = Person(shed.listener)
        stepped = [0]
        left = steps
        for life in range(2):
            with Daemon(*shed.words(scenario, 1.0), before=wrapper) as daemon:
                person.open(daemon.page)
                wait_until(lambda: daemon.snapshot()["reading_age_s"] is not None, "it reads")
                while left > (steps // 2 if life == 0 else 0):
                    left -= 1
                    days = chance.choice([n for n in (-1, 0, 1) if abs(n - stepped[-1]) == 1])
                    stepped.append(days)
                    _shift(shift, days)
                    time.sleep(every_s / 2.0)
                    person.note()
                    person.acknowledge_one()
                    _label_follows(outcome, daemon, days)
                    time.sleep(every_s / 2.0)
                    if left % 10 == 0:
                        progress(f"{steps - left} steps")
                if life == 0:
                    daemon.kill()
                    # While it is dead, the clock is set by a day once more.
                    stepped.append(0 if stepped[-1] else 1)
                    _shift(shift, stepped[-1])
                else:
                    all_heard(shed)
                    ends_well(outcome, daemon)
                complaints(outcome, daemon)
        _judge(outcome, shed, person, restarts=1)
    return outcome


def _shift(file: Path, days: int) -> None:
    # At once: a half-written line would be no time at all.
    beside = file.with_suffix(".new")
    beside.write_text(f"{days * DAY_S:+d}\n")
    beside.replace(file)


def _label_follows(outcome: Outcome, daemon: Daemon, days: int) -> None:
    """From the next reading on, the page's label must be the wall clock's, step or not."""
    gives_up_s = time.monotonic() + _FOLLOWS_WITHIN_S
    while abs(wrong_s := _wrong_s(daemon, days)) > _FOLLOWS_WITHIN_S:
        if time.monotonic() > gives_up_s:
            outcome.breaks(f"a label is {wrong_s:,.0f} s off after a step of the wall clock")
            return
        time.sleep(0.1)


def _wrong_s(daemon: Daemon, days: int) -> float:
    shown = datetime.fromisoformat(daemon.snapshot()["time"])
    return (shown - datetime.now(tz=UTC) - timedelta(days=days)).total_seconds()


def _judge(outcome: Outcome, shed: Shed, person: Person, *, restarts: int) -> None:
    heard = shed.listener.alerts()
    with copy_of(shed.data) as record:
        for found in damage(record):
            outcome.breaks(f"SQLite finds the record damaged: {found}")
        (firing,) = record.firings()
        missing = person.promises.missing(record, firing.id)
        outcome.losing("things that the page said were written", missing)
        readings = list(record.readings(firing.id))
        lines = record.event_lines(firing.id)
        stored = stored_messages(record)
        if [event.to_json() for event in watched_again(record, firing.id)] != lines:
            outcome.breaks("the recorded readings give other events than those recorded")
        settings = WatchSettings.of_kept(firing.settings.get("watch"))
        watch = Watch(_schedule(firing.schedule_toml), firing.channels, settings)
        plain = [
            _without_label(event.to_json())
            for reading in readings
            for event in watch.feed(Reading(reading.elapsed_s, reading.temps_c, reading.faults))
        ]
    if plain != [_without_label(line) for line in lines]:
        outcome.breaks("the events differ from those of the same readings without any wall clock")
    delivered = delivery(heard, stored)
    outcome.losing("alert messages", delivered.lost)
    outcome.repeated = delivered.repeated
    outcome.misordering("alert messages", delivered.out_of_order)
    times_s = [reading.elapsed_s for reading in readings]
    outcome.misordering("readings", int(times_s != sorted(set(times_s))))
    gaps_s = sorted((after - before for before, after in pairwise(times_s)), reverse=True)
    if gaps_s[restarts] > LONGEST_GAP_S:
        outcome.slows(f"no reading for {gaps_s[restarts]:.1f} s after a step")
    outcome.alarming([str(s) for s in raised(heard) if is_warning(s) and s.kind != "sensor_fault"])
    went_away = shed.listener.on("spyhole/shed-kiln/availability")
    if went_away.count("offline") > restarts + 1:
        outcome.breaks("the broker's connection broke after a step")
    jumps = sum(
        abs((_of(after) - _of(before)).total_seconds() - (after.elapsed_s - before.elapsed_s))
        > 3600
        for before, after in pairwise(readings)
    )
    outcome.figures.append(
        f"{len(lines)} events and {len(readings):,} readings, the events the same as without a "
        f"wall clock; {jumps} jumps in the readings' labels; one of the steps under kill -9; "
        f"longest time between two readings {gaps_s[restarts]:.1f} s"
    )


def _of(reading: Reading) -> datetime:
    assert reading.time is not None
    return datetime.fromisoformat(reading.time)


def _schedule(text: str | None) -> Schedule:
    return parse_schedule(text or "", "the firing's own")


def _without_label(line: str) -> dict[str, object]:
    document: dict[str, object] = json.loads(line)
    document["time"] = None
    # A sentence may name a time of day, which is the wall clock's.
    document["message"] = re.sub(r"\b\d\d:\d\d\b", "hh:mm", str(document["message"]))
    return document
