"""A record with a firing of every kind that a report must tell. Readings each 2 minutes."""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import replace
from functools import cache
from pathlib import Path

from PIL import Image

from simulator.run import simulate
from simulator.scenario import load_scenario
from supervisor.core.heatwork.offset import Observation
from supervisor.core.readings import Reading
from supervisor.core.schedule.written import schedule_toml
from supervisor.core.units import Unit
from supervisor.core.watch import Watch, WatchSettings
from supervisor.messaging.destinations import broker
from supervisor.record.image_file import clean_image
from supervisor.record.photos import PhotoFiles
from supervisor.record.rows import Mode, NewFiring, NewNote
from supervisor.record.store import Record
from supervisor.record.unloading import Account, Finding, NewPhoto
from supervisor.service.keeper import Keeper
from supervisor.service.wall import minute_of_label
from tests.service.clocks import TestClock

EVERY_S = 120.0
STARTED = "2026-03-27T17:40:00+01:00"
LONG_KILN = (
    "Die große Ofenhalle hinter dem Brennhaus der Keramikwerkstatt von Sørensen & Łukasiewicz"
)
LONG_WORD = "Kiln" * 60
HOSTILE = "<script>alert(1)</script> & \u202eback \x07 ]]> “quoted”"


@cache
def readings_of(name: str) -> tuple[Reading, ...]:
    """Every reading of a scenario."""
    return tuple(simulate(load_scenario(name), EVERY_S))


def taken_in(
    record: Record,
    scenario: str,
    *,
    kiln: str = "the big kiln",
    units: Unit = Unit.C,
    readings: Sequence[Reading] | None = None,
    has_plan: bool = True,
    has_clock: bool = True,
    notes: Sequence[NewNote] = (),
    channels: Sequence[str] | None = None,
) -> str:
    """A scenario's log as ``log add`` takes one in; the firing's id."""
    model = load_scenario(scenario)
    schedule = replace(model.schedule, units=units)
    rows = list(readings_of(scenario) if readings is None else readings)
    names = tuple(channels or model.channels)
    rows = [
        replace(row, temps_c=dict(zip(names, row.temps_c.values(), strict=True))) for row in rows
    ]
    settings = WatchSettings(units=units)
    events = []
    if has_plan:
        watch = Watch(schedule, names, settings)
        events = [event for row in rows for event in watch.feed(row)]
    new = NewFiring(
        kiln=kiln,
        channels=names,
        name=schedule.name if has_plan else "",
        schedule_toml=schedule_toml(schedule) if has_plan else None,
        mode=Mode.IMPORT,
        units=units,
        started_label=STARTED if has_clock else None,
        settings={"watch": settings.kept()},
    )
    return record.import_readings(new, rows, events, notes).result(10.0).id


def watched(record: Record, scenario: str, *, by: str, after_s: float) -> str:
    """A scenario kept as the daemon keeps one; each warning is acknowledged ``after_s``."""
    model = load_scenario(scenario)
    clock = TestClock()
    new = NewFiring(
        kiln="shed",
        channels=model.channels,
        name=model.schedule.name,
        schedule_toml=schedule_toml(model.schedule),
        mode=Mode.LIVE,
        started_label=clock.label(0.0),
    )
    firing = record.start_firing(new).result(10.0)
    failures: list[BaseException] = []
    keeper = Keeper(
        record,
        firing,
        model.schedule,
        WatchSettings(),
        clock,
        destinations=[broker("spyhole/shed/alerts")],
        minute_of=minute_of_label,
        on_news=lambda _: None,
        on_messages=lambda: None,
        on_failure=failures.append,
    )
    for reading in readings_of(scenario):
        clock.now_s = reading.elapsed_s
        keeper.accept(replace(reading, time=clock.label(reading.elapsed_s)))
        for alert in keeper.book.alerts:
            is_due = reading.elapsed_s >= alert.raised_at_s + after_s
            if alert.is_open and alert.acknowledged_at_s is None and is_due:
                keeper.acknowledge(alert.id, by)
    record.flush().result(10.0)
    assert failures == []
    return firing.id


LONG_CAPTION = f"Third shelf, left: {HOSTILE} " + "celadon over iron, drips below the foot; " * 9
CAPTIONS = ("the whole load", LONG_CAPTION, "", "a tile, laid flat", "the jar")


def pictures() -> list[bytes]:
    """Photos as files: lying, upright, turned by their Exif, a long strip, one with holes."""
    made = []
    for size, colour, orientation, kind in (
        ((1600, 1200), (200, 60, 40), 1, "JPEG"),
        ((900, 1600), (40, 120, 60), 1, "JPEG"),
        ((1600, 1200), (30, 60, 160), 6, "JPEG"),
        ((2400, 300), (220, 200, 30), 1, "PNG"),
        ((500, 500), (90, 30, 90), 1, "WEBP"),
    ):
        picture = Image.new("RGB", size, colour)
        # The upper half of what is stored is dark, so that it can be told which way up it is.
        picture.paste((0, 0, 0), (0, 0, size[0], size[1] // 2))
        exif = Image.Exif()
        exif[0x0112] = orientation
        file = io.BytesIO()
        picture.save(file, kind, exif=exif)
        made.append(file.getvalue())
    return made


def photograph(record: Record, folder: Path, firing_id: str) -> None:
    """Give a firing photos with captions, ticks and accounts; the file of one photo is lost."""
    files = PhotoFiles(folder)
    for data, caption in zip(pictures(), CAPTIONS, strict=True):
        image = clean_image(data)
        sha256 = files.keep(image.data, image.kind)
        size = (len(image.data), image.width_px, image.height_px)
        record.add_photo(firing_id, NewPhoto(sha256, image.kind, *size, caption or None)).result(10)
    lost = record.photos(firing_id)[-1]
    files.path_of(lost).unlink()
    for topic, text in (
        ("result", "Celadon thin and blue.\n\nTenmoku ran on two jars."),
        ("glazes", f"celadon {HOSTILE}, tenmoku"),
        ("load", "40 bowls, 12 jars"),
        ("clay-body", "stoneware"),
    ):
        record.tell(firing_id, Account(topic, text, "Ann")).result(10.0)
    record.find_at_unloading(
        firing_id,
        [
            Finding("pinholes", 3, "top shelf", "on the tenmoku alone"),
            Finding("a-cracked-lid", 1),
        ],
    ).result(10.0)


def keep_every_kind(folder: Path) -> dict[str, str]:
    """A record in ``folder``; the ids of its firings by what they show."""
    with Record.open(folder) as record:
        found = {
            "healthy": taken_in(record, "healthy-midfire"),
            "stalled": watched(record, "bottle-ices-up", by="Ann", after_s=420.0),
            "fahrenheit": taken_in(record, "healthy-slow-cool", units=Unit.F),
            "reduced": taken_in(
                record,
                "healthy-gas-by-hand",
                notes=[
                    NewNote(0.0, "meter 10234.5 kWh", by="Jo"),
                    NewNote(26100.0, "body reduction begun, damper half in", by="Jo"),
                    NewNote(44000.0, "oxidizing now, damper out", by="Ann"),
                    NewNote(52000.0, "meter 10318.0 kWh"),
                ],
            ),
            "uneven": taken_in(record, "cold-bottom"),
            "broken": taken_in(record, "broken-probe"),
            "short": taken_in(
                record, "healthy-midfire", readings=readings_of("healthy-midfire")[:45]
            ),
            "planless": taken_in(record, "healthy-bisque", has_plan=False, has_clock=False),
            "blind": taken_in(
                record,
                "healthy-midfire",
                readings=[
                    r for r in readings_of("healthy-midfire") if not 30000.0 < r.elapsed_s < 33000.0
                ],
            ),
            "named": taken_in(
                record,
                "cold-bottom",
                kiln=LONG_KILN,
                channels=(LONG_WORD, "middle of the chamber, beside the door", HOSTILE),
                notes=[
                    NewNote(600.0, HOSTILE, by=LONG_WORD),
                    *(NewNote(3600.0 + n * 900.0, f"look {n}: {LONG_KILN}") for n in range(30)),
                ],
            ),
        }
        found["photographed"] = taken_in(record, "healthy-bisque", has_plan=False)
        photograph(record, folder, found["photographed"])
        look = Observation(38000.0, "6", "3:30", "top", "second shelf")
        record.add_observation(found["healthy"], look, by="Ann").result(10.0)
        record.add_observation(
            found["healthy"], Observation(39500.0, "7", "upright", "bottom"), by="Ann"
        ).result(10.0)
        record.add_observation(
            found["healthy"], Observation(20000.0, "10", "touching", "bottom"), by="Ann"
        ).result(10.0)
    return found
