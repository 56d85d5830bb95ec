"""How large the record gets over years, and how quick it stays: ``python -m tests.bench_record``.

Makes a record of 500 firings of 24 h, three channels, a reading a second, in a folder of its own
on a real disk. Four firings are simulated and kept as the daemon keeps them (noise, the chip's
steps, times to the millisecond) and put away; the others are these again under other numbers,
names and days, which for size and speed is the same. Then every view of the page is asked for
through the page's own archive, and what the unload view asks over HTTP, of the daemon as a process
of its own. Prints figures of this machine; nothing is asserted.
"""

from __future__ import annotations

import argparse
import asyncio
import http.client
import json
import platform
import random
import sqlite3
import statistics
import tempfile
import time
from collections.abc import Awaitable, Callable, Iterator
from contextlib import closing
from dataclasses import replace
from datetime import datetime, timedelta
from functools import partial
from itertools import takewhile
from pathlib import Path

from simulator.run import simulate
from simulator.scenario import load_scenario
from supervisor.core.readings import Reading
from supervisor.core.schedule.written import schedule_toml
from supervisor.core.units import Unit
from supervisor.core.watch import Watch, WatchSettings
from supervisor.record.backup import back_up
from supervisor.record.checking import check
from supervisor.record.put_away import put_away
from supervisor.record.room import room_of, show_bytes
from supervisor.record.rows import Firing, Mode, NewFiring
from supervisor.record.schema import FILE_NAME, READINGS_PER_FIRING
from supervisor.record.store import Record
from supervisor.service.archive import Archive
from supervisor.service.comparing import Comparer
from supervisor.service.following import Follower
from tests.daemons import Daemon
from tests.service.firings import keep
from web.archive_requests import FiringQuery
from web.comparing import Alignment

HOURS = 24.0
SCENARIOS = ("healthy-midfire", "healthy-slow-cool", "tripped-breaker", "healthy-bisque")
TIMES = 7
ZERO = datetime.fromisoformat("2016-01-02T07:30:00+01:00")


def day(name: str, seed: int, begins: datetime) -> Iterator[Reading]:
    """24 h of a scenario as a rig gives it: not quite each second, to the millisecond."""
    dice = random.Random(seed)
    readings = simulate(load_scenario(name), 1.0)
    for reading in takewhile(lambda one: one.elapsed_s < HOURS * 3600.0, readings):
        elapsed_s = round(reading.elapsed_s + 0.02 + abs(dice.gauss(0.0, 0.004)), 3)
        label = (begins + timedelta(seconds=elapsed_s)).isoformat(timespec="milliseconds")
        yield Reading(elapsed_s, reading.temps_c, reading.faults, label)


def new_firing(name: str, begins: datetime) -> NewFiring:
    scenario = load_scenario(name)
    return NewFiring(
        kiln="big kiln",
        channels=scenario.channels,
        name=scenario.schedule.name,
        schedule_toml=schedule_toml(scenario.schedule),
        mode=Mode.LIVE,
        started_label=begins.isoformat(timespec="milliseconds"),
        settings={"watch": WatchSettings().kept()},
    )


def fire(record: Record, name: str, seed: int, begins: datetime) -> tuple[Firing, int, int]:
    """A firing kept in rows, then put away; and how much the file held of it, each time."""
    firing = record.start_firing(new_firing(name, begins)).result()
    watch = Watch(load_scenario(name).schedule, firing.channels, WatchSettings())
    before = used_bytes(record.path)
    last_s = 0.0
    for reading in day(name, seed, begins):
        record.append(firing.id, reading)
        events = watch.feed(reading)
        if events:
            record.add_events(firing.id, events).result()
        last_s = reading.elapsed_s
    for hour in range(0, 24, 3):
        record.add_note(firing.id, hour * 3600.0, f"damper at {hour} h, oxidation, cone packs fine")
    record.close_firing(firing.id, last_s).result()
    rows = used_bytes(record.path) - before
    firing = record.firing(firing.id)
    begun_s = time.perf_counter()
    put_away(record, firing)
    print(f"  put away in {time.perf_counter() - begun_s:.1f} s: {name}")
    return firing, rows, used_bytes(record.path) - before


def used_bytes(path: Path) -> int:
    """Bytes of the file that hold something, with all that waits in its log."""
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        ((pages,), (free,), (page,)) = (
            connection.execute(f"PRAGMA {name}").fetchone()
            for name in ("page_count", "freelist_count", "page_size")
        )
    return int((pages - free) * page)


def multiply(path: Path, firings: int) -> None:
    """The firings that are there again and again, each on a day of its own."""
    dice = random.Random(500)
    words = ("tenmoku", "celadon", "shino", "nuka", "bisque", "test tiles", "porcelain", "mugs")
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        connection.execute("BEGIN")
        originals = [n for (n,) in connection.execute("SELECT n FROM firing ORDER BY n")]
        columns = {
            table: [row[1] for row in connection.execute(f"PRAGMA table_info({table})")]
            for table in ("firing", "event", "note", "summary")
        }
        for number in range(max(originals) + 1, firings + 1):
            source = originals[number % len(originals)]
            begins = ZERO + timedelta(days=7 * number)
            shift = (number - source) * READINGS_PER_FIRING
            for table, names in columns.items():
                key = "n" if table == "firing" else "firing_n"
                rest = ", ".join(n for n in names if n not in (key, "id"))
                own = "id, " if table == "firing" else ""
                value = f"'{begins:%Y-%m-%d}-{number:04x}', " if table == "firing" else ""
                connection.execute(
                    f"INSERT INTO {table} ({key}, {own}{rest}) "
                    f"SELECT {number}, {value}{rest} FROM {table} WHERE {key} = {source}"
                )
            connection.execute(
                "UPDATE firing SET started_label = ?, kiln = ? WHERE n = ?",
                (begins.isoformat(), dice.choice(("big kiln", "test kiln")), number),
            )
            connection.execute(
                "UPDATE note SET text = text || ', ' || ? WHERE firing_n = ?",
                (dice.choice(words), number),
            )
            low, high = source * READINGS_PER_FIRING, (source + 1) * READINGS_PER_FIRING
            for table, rest in (
                ("block", "readings, first_s, last_s, data"),
                ("label_segment", "elapsed_s, label"),
            ):
                connection.execute(
                    f"INSERT INTO {table} (n, {rest}) SELECT n + ?, {rest} FROM {table} "
                    "WHERE n >= ? AND n < ?",
                    (shift, low, high),
                )
        connection.execute("COMMIT")


async def shown(what: str, ask: Callable[[], Awaitable[object]]) -> None:
    """How long an answer takes: the median and the longest of some."""
    took_s = []
    for _ in range(TIMES):
        begun_s = time.perf_counter()
        await ask()
        took_s.append(time.perf_counter() - begun_s)
    print(f"| {what} | {1000 * statistics.median(took_s):,.0f} | {1000 * max(took_s):,.0f} |")


async def views(record: Record) -> None:
    """Every view of the page, through the page's own archive."""
    going = record.start_firing(
        replace(new_firing("healthy-midfire", ZERO), kiln="another kiln")
    ).result()
    for reading in day("healthy-midfire", 9, ZERO):
        record.append(going.id, reading)
    record.flush().result()
    keeper = keep(record, going, name="healthy-midfire").keeper
    archive = Archive(record, lambda: keeper, lambda: None)
    page = await archive.find(FiringQuery(limit=50, offset=200))
    firing_id = page.firings[3].id

    async def all_of(pieces: Awaitable[object]) -> None:
        async for _ in await pieces:  # type: ignore[attr-defined]
            pass

    print("\n| view | ms, median | ms, longest |\n|---|--:|--:|")
    await shown("a page of 50 firings", lambda: archive.find(FiringQuery(limit=50)))
    await shown("the last page of 50", lambda: archive.find(FiringQuery(limit=50, offset=450)))
    for words in ("celadon", "midfire oxidation test", "nowhere to be found"):
        await shown(f"search “{words}”", partial(archive.find, FiringQuery(search=words)))
    await shown("by cone, kiln and day", lambda: archive.find(
        FiringQuery(cone="6", kiln="big kiln", since="2018-01-01", until="2022-12-31")
    ))  # fmt: skip
    await shown("one firing with everything", lambda: archive.firing(firing_id))
    await shown("its chart, 1,500 rows", lambda: archive.chart(firing_id, 1500, None, None))
    await shown("its chart, 4,000 rows", lambda: archive.chart(firing_id, 4000, None, None))
    await shown("three hours of it", lambda: archive.chart(firing_id, 1500, 30_000, 40_800))
    await shown("the firing that goes on, after 24 h", lambda: archive.firing(going.id))
    await shown("its chart", lambda: archive.chart(going.id, 1500, None, None))
    six = [one.id for one in page.firings[:6]]
    comparer, follower = Comparer(record), Follower(record)
    for align in Alignment:
        await shown(
            f"six firings compared, by {align.value}",
            partial(comparer.compare, six, align, with_plan=False),
        )
    await shown(
        "one of them still going on, after 24 h",
        partial(comparer.compare, [six[0], going.id], Alignment.TIME, with_plan=False),
    )
    await shown("trends of the last 40", lambda: follower.trends("big kiln", None, 40))
    await shown("trends of the last 200", lambda: follower.trends("big kiln", None, 200))
    await shown(
        "facts of all firings",
        lambda: asyncio.to_thread(lambda: [record.facts(f.id) for f in record.firings()[1:]]),
    )
    await shown(
        "all readings of one as columns", lambda: asyncio.to_thread(record.columns, firing_id)
    )
    await shown("the log (CSV, 4 MB)", lambda: all_of(archive.download_csv(firing_id, Unit.C)))


CONFIG = """
[kiln]
name = "a third kiln"
kind = "electric"
[[sensor]]
channel = "top"
type = "S"
chip_select = "CE0"
"""
UNLOADED = 20
DEFECTS = ("dunting", "underfired", "pinholes", "crazing", "too-glossy", "running", "warping")


class Phone:
    """Asks the daemon's page over HTTP, as the page does, and notes how long each kind takes."""

    def __init__(self, address: str) -> None:
        self._host = address.rstrip("/").rpartition("/")[2]
        self._took_s: dict[str, list[float]] = {}

    def ask(self, what: str, path: str, body: object = None) -> None:
        connection = http.client.HTTPConnection(self._host, timeout=60.0)
        method, text = ("GET", None) if body is None else ("POST", json.dumps(body))
        begun_s = time.perf_counter()
        connection.request(method, path, text, {"Content-Type": "application/json"})
        answer = connection.getresponse()
        answer.read()
        self._took_s.setdefault(what, []).append(time.perf_counter() - begun_s)
        connection.close()
        if answer.status >= 300:
            raise SystemExit(f"{path}: {answer.status}")

    def show(self) -> None:
        print("\n| over HTTP | ms, median | ms, longest |\n|---|--:|--:|")
        for what, took_s in self._took_s.items():
            print(
                f"| {what} | {1000 * statistics.median(took_s):,.0f} | {1000 * max(took_s):,.0f} |"
            )


def unloaded(folder: Path, firing_ids: list[str]) -> None:
    """Each of these firings looked at, two defects ticked, two cones told: as at unloading."""
    config = folder / "spyhole.toml"
    config.write_text(CONFIG, encoding="utf-8")
    daemon = Daemon(
        "watch", "--config", config, "--data", folder, "--schedule", "midfire-glaze",
        "--simulate", "healthy-midfire", "--speed", "1", "--port", "0",
    )  # fmt: skip
    try:
        phone = Phone(daemon.page)
        dice = random.Random(20)
        for firing_id in firing_ids:
            unload, firing = f"/api/unload/{firing_id}", f"/api/firings/{firing_id}"
            phone.ask("the unload view", unload)
            phone.ask("its causes, the first time", f"{unload}/traced")
            for key in dice.sample(DEFECTS, 2):
                tick = {"findings": [{"key": key, "level": 1}]}
                phone.ask("a tick written", f"{firing}/findings", tick)
                phone.ask("the causes after it", f"{unload}/traced")
                phone.ask("what they are, kept", f"{unload}/traced", {})
            phone.ask("the plan that repeats it", f"{unload}/plan")
            for cone, clock in (("5", "touching"), ("6", "1")):
                look = {"cone": cone, "clock": clock, "channel": "top"}
                phone.ask("a look at a cone written", f"{firing}/cones", look)
                phone.ask("the causes after that", f"{unload}/traced")
        phone.show()
    finally:
        daemon.stop()


def main() -> None:
    """Make the record, measure, and leave nothing behind."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench_record", description=__doc__)
    parser.add_argument("--firings", type=int, default=500)
    options = parser.parse_args()
    print(f"{platform.machine()}, Python {platform.python_version()}, SQLite "
          f"{sqlite3.sqlite_version}")  # fmt: skip
    # Not in memory, where no byte is ever written to a disk.
    with tempfile.TemporaryDirectory(prefix="spyhole-bench-", dir="/var/tmp") as work:
        folder = Path(work)
        path = folder / FILE_NAME
        sizes = []
        with Record.open(folder) as record:
            for seed, name in enumerate(SCENARIOS):
                sizes.append(fire(record, name, seed, ZERO + timedelta(days=seed))[1:])
        rows, blocks = (statistics.mean(column) for column in zip(*sizes, strict=True))
        print(
            f"a firing of 24 h: {show_bytes(rows)} in rows, {show_bytes(blocks)} put away with "
            "its facts, overview, events and notes"
        )
        multiply(path, options.firings)
        room = room_of(path)
        print(f"{options.firings} firings: {show_bytes(room.record_bytes - room.unused_bytes)}")
        with Record.open(folder) as record:
            asyncio.run(views(record))
            some = [one.id for one in record.firings() if not one.is_open]
        unloaded(folder, random.Random(7).sample(some, min(UNLOADED, len(some))))
        for what, call in (
            ("log check", lambda: check(path)),
            ("log backup", lambda: back_up(path, folder / "copy.sqlite3")),
        ):
            begun_s = time.perf_counter()
            call()
            print(f"| {what} | {1000 * (time.perf_counter() - begun_s):,.0f} | |")


if __name__ == "__main__":
    main()
