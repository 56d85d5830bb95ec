"""Thirty days of firings, one after the other, through the real daemon: memory and files stay.

Speeded up as far as the machine holds, with record, page, an open page and broker. Memory is
compared firing by firing, at the same moment of each (when it is closed), because the chart of
a firing grows until the next begins.
"""

from __future__ import annotations

import time
from pathlib import Path
from statistics import fmean, median

from tests.campaign.host import Order
from tests.campaign.judging import all_heard, complaints, ends_well
from tests.campaign.listener import delivery
from tests.campaign.outcome import Outcome, Progress
from tests.campaign.person import Person
from tests.campaign.phone import Phone
from tests.campaign.process import open_files, processor_s, resident_kb
from tests.campaign.record import copy_of, damage, stored_messages
from tests.campaign.scenarios import is_warning, raised, stalling_firing
from tests.campaign.shed import Shed
from tests.daemons import Daemon

INTERVAL_S = 15.0
CLOSED = "the firing is closed"
WARM_UP = 0.3
"""Part of the firings after which memory must stay."""
MOST_GROWTH_KB = 1024


def run(progress: Progress, folder: Path, *, days: float = 30.0, speed: float = 4320.0) -> Outcome:
    """So many days of the firings' time."""
    outcome = Outcome("soak", lost=0, repeated=0, out_of_order=0, false_alerts=0)
    folder.mkdir(parents=True)
    scenario = stalling_firing(folder / "firing.toml", seed=901)
    with Shed(folder) as shed:
        order = Order(
            "one after the other", str(scenario), str(shed.data), str(folder / "tally.json"),
            shed.broker.port, speed, INTERVAL_S,
        ).write(folder / "order.json")  # fmt: skip
        with Daemon(order, module="tests.campaign.host") as daemon, Phone(daemon.page):
            person = Person(shed.listener)
            person.open(daemon.page)
            begun_s = told_s = time.monotonic()
            closed_kb: list[float] = []
            recent_kb: list[int] = []
            files: list[int] = []
            closed = 0
            while (since_s := time.monotonic() - begun_s) * speed < days * 86_400.0:
                assert daemon.lives, daemon.complaints
                recent_kb.append(resident_kb(daemon.pid))
                files.append(open_files(daemon.pid))
                now_closed = sum(line.startswith(CLOSED) for line in daemon.lines)
                if now_closed > closed:
                    closed = now_closed
                    closed_kb.append(median(recent_kb[-5:]))
                    person.note()
                person.acknowledge_one()
                if time.monotonic() - told_s > 30.0:
                    told_s = time.monotonic()
                    progress(
                        f"{since_s * speed / 86_400.0:.1f} days, {closed} firings, "
                        f"{recent_kb[-1] / 1024:.1f} MB, {files[-1]} files"
                    )
                time.sleep(0.5)
            lived_s = time.monotonic() - begun_s
            core = processor_s(daemon.pid) / lived_s
            all_heard(shed)
            ends_well(outcome, daemon)
            complaints(outcome, daemon)
        _judge(outcome, shed, person)
    outcome.done = f"{lived_s * speed / 86_400.0:.1f} days of the firings' time, {closed} firings"
    _flat(outcome, closed_kb, files)
    outcome.figures.append(f"{100 * core:.0f} % of a core at {speed:,.0f} times the real speed")
    return outcome


def _flat(outcome: Outcome, closed_kb: list[float], files: list[int]) -> None:
    """Memory at the ends of firings, and open files, must not go up after the warm-up."""
    warm = closed_kb[round(len(closed_kb) * WARM_UP) :]
    if len(warm) < 4:
        outcome.breaks(f"only {len(closed_kb)} firings came to their end: too few to compare")
        return
    third = max(len(warm) // 3, 1)
    first_kb, last_kb = fmean(warm[:third]), fmean(warm[-third:])
    grown_kb = last_kb - first_kb
    if grown_kb >= MOST_GROWTH_KB:
        outcome.breaks(f"memory grew by {grown_kb / 1024:.1f} MB after the warm-up")
    warm_files = files[round(len(files) * WARM_UP) :]
    half = len(warm_files) // 2
    early, late = max(warm_files[:half]), max(warm_files[half:])
    if late > early + 2:
        outcome.breaks(f"open files grew from {early} to {late}")
    outcome.figures.append(
        f"memory at the end of a firing {first_kb / 1024:.1f} MB after the warm-up and "
        f"{last_kb / 1024:.1f} MB at last ({grown_kb:+.0f} KB); most open files {early} in the "
        f"first half, {late} in the second"
    )


def _judge(outcome: Outcome, shed: Shed, person: Person) -> None:
    heard = shed.listener.alerts()
    with copy_of(shed.data) as record:
        for found in damage(record):
            outcome.breaks(f"SQLite finds the record damaged: {found}")
        firings = record.firings()
        kept = {note.text for firing in firings for note in record.notes(firing.id)}
        readings = 0
        for firing in firings:
            extent = record.extent(firing.id)
            readings += 0 if extent is None else extent.readings
        stored = stored_messages(record)
    delivered = delivery(heard, stored)
    outcome.losing("alert messages", delivered.lost)
    outcome.losing("notes", [text for text in person.promises.notes if text not in kept])
    outcome.repeated = delivered.repeated
    outcome.misordering("alert messages", delivered.out_of_order)
    outcome.alarming(
        [str(s) for s in raised(heard).elements() if is_warning(s) and s.kind != "stall"]
    )
    outcome.figures.append(
        f"{readings:,} readings recorded, {len({one['id'] for one in heard}):,} alert messages"
    )
