"""A recorded stall for the service's tests: its readings, and a keeper that watches them."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path

from simulator.run import simulate
from simulator.scenario import Scenario, load_scenario
from supervisor.core.alerts import AlertRules
from supervisor.core.events import Event
from supervisor.core.readings import Reading
from supervisor.core.schedule.written import schedule_toml
from supervisor.core.watch import Watch, WatchSettings
from supervisor.messaging.destinations import Destination, broker
from supervisor.record.rows import Firing, Mode, NewFiring
from supervisor.record.store import Record
from supervisor.service.keeper import Keeper
from supervisor.service.wall import minute_of_label
from tests.service.clocks import TestClock

TOPIC = "spyhole/test-kiln/alerts"
KILN = "test kiln"
INTERVAL_S = 20.0
PEOPLE = (Destination("notify-all"), Destination("notify-neighbour", only_escalated=True))


@contextmanager
def opened_copy(made: Path, folder: Path) -> Iterator[Record]:
    """The record in ``made``, copied into ``folder`` and open."""
    shutil.copytree(made, folder, dirs_exist_ok=True)
    with Record.open(folder) as opened:
        yield opened


@cache
def scenario(name: str = "tripped-breaker") -> Scenario:
    return load_scenario(name)


@cache
def night(name: str = "tripped-breaker") -> tuple[Reading, ...]:
    """Every reading of the scenario, labelled as the test clock labels them."""
    clock = TestClock()
    return tuple(
        Reading(r.elapsed_s, r.temps_c, r.faults, clock.label(r.elapsed_s))
        for r in simulate(scenario(name), INTERVAL_S)
    )


def event_lines(readings: tuple[Reading, ...], name: str = "tripped-breaker") -> list[str]:
    """What the watch alone says of the readings, as lines."""
    plan = scenario(name)
    watch = Watch(plan.schedule, plan.channels, WatchSettings())
    return [event.to_json() for reading in readings for event in watch.feed(reading)]


def begin(record: Record, name: str = "tripped-breaker", mode: Mode = Mode.LIVE) -> Firing:
    """A new firing in the record."""
    plan = scenario(name)
    new = NewFiring(
        kiln=KILN,
        channels=plan.channels,
        name=plan.schedule.name,
        schedule_toml=schedule_toml(plan.schedule),
        mode=mode,
        started_label=TestClock().label(0.0),
    )
    return record.start_firing(new).result(10.0)


def fire(record: Record, name: str) -> Firing:
    """The scenario fired to its end: its readings, and what the watch says of them."""
    firing = begin(record, name)
    watch = Watch(scenario(name).schedule, firing.channels, WatchSettings())
    for one in night(name):
        record.append(firing.id, one)
        if events := watch.feed(one):
            record.add_events(firing.id, events)
    record.close_firing(firing.id, night(name)[-1].elapsed_s).result(10.0)
    return firing


@dataclass
class Kept:
    """A keeper, and what it told."""

    keeper: Keeper
    clock: TestClock
    news: list[list[Event]] = field(default_factory=list)
    wakes: list[None] = field(default_factory=list)
    failures: list[BaseException] = field(default_factory=list)

    def feed(self, *readings: Reading) -> None:
        """Take in readings at the times at which they were taken."""
        for reading in readings:
            self.clock.now_s = reading.elapsed_s
            self.keeper.accept(reading)

    def until(self, readings: tuple[Reading, ...], is_so: Callable[[], bool]) -> int:
        """Feed until it is so; the number of readings that were fed."""
        for count, reading in enumerate(readings, start=1):
            self.feed(reading)
            if is_so():
                return count
        raise AssertionError("it never became so")


def keep(
    record: Record,
    firing: Firing,
    *,
    topic: str | None = TOPIC,
    people: bool = False,
    rules: AlertRules | None = None,
    minute_of: Callable[[str], int | None] = minute_of_label,
    name: str = "tripped-breaker",
    shifts_c: Mapping[str, float] | None = None,
) -> Kept:
    """A keeper over the firing."""
    clock = TestClock()
    news: list[list[Event]] = []
    wakes: list[None] = []
    failures: list[BaseException] = []
    keeper = Keeper(
        record,
        firing,
        scenario(name).schedule,
        WatchSettings(),
        clock,
        destinations=[
            *([] if topic is None else [broker(topic)]),
            *(PEOPLE if people else ()),
        ],
        rules=rules,
        minute_of=minute_of,
        on_news=news.append,
        on_messages=lambda: wakes.append(None),
        on_failure=failures.append,
        shifts_c=shifts_c,
    )
    return Kept(keeper, clock, news, wakes, failures)


def read_once(record: Record, firing: Firing) -> None:
    """A first reading in the record: only then has a firing begun, and goes on."""
    channels: dict[str, float | None] = dict.fromkeys(firing.channels, 20.0)
    record.append(firing.id, Reading(0.0, channels, time=TestClock().label(0.0)))
    record.flush().result(10.0)
