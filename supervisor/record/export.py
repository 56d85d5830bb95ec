"""A firing written out: as a log (CSV) that ``replay`` takes back, or whole as one JSON document.

Knows both formats; knows nothing of how the record keeps its rows. A file is written beside its
place and moved there when complete, so that nothing half-written is ever found.
"""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterator
from dataclasses import asdict
from pathlib import Path
from typing import TextIO

from supervisor.core.heatwork.offset import Offset
from supervisor.core.log_format import LogFormat
from supervisor.core.review import FiringFacts, document_of
from supervisor.core.units import Unit
from supervisor.record.looking import RecordReader
from supervisor.record.rows import Firing, to_json
from supervisor.whole_file import whole_file

JSON_VERSION = 1
"""Version of the JSON document; raised when a reader of the old one would misread the new."""


def export_csv(record: RecordReader, firing_id: str, path: Path, *, units: Unit = Unit.C) -> None:
    """Write the firing's readings as a log.

    Columns: ``elapsed_s``; ``time`` if any reading has a label; ``<channel>_c`` (or ``_f``) for
    each channel; ``<channel>_fault`` for each channel that ever had a fault. In °C every number
    is written so that reading it back gives the very same one; °F is for people and rounds in
    the last digits. Raises InputError for an unknown firing, PeerError if the file can't be
    written.
    """
    firing = record.firing(firing_id)
    with whole_file(path) as file:
        write_csv(record, firing, file, units=units)


def write_csv(record: RecordReader, firing: Firing, file: TextIO, *, units: Unit = Unit.C) -> None:
    """Write the log that ``export_csv`` puts into a file."""
    writer = csv.writer(file, lineterminator="\n")
    writer.writerows(_csv_rows(record, firing, units))


def csv_lines(record: RecordReader, firing: Firing, units: Unit = Unit.C) -> Iterator[str]:
    """The same log line by line."""
    line = io.StringIO(newline="")
    writer = csv.writer(line, lineterminator="\n")
    for row in _csv_rows(record, firing, units):
        writer.writerow(row)
        yield line.getvalue()
        line.seek(0)
        line.truncate()


def _csv_rows(record: RecordReader, firing: Firing, units: Unit) -> Iterator[list[str]]:
    log = LogFormat(
        firing.channels,
        units,
        with_time=record.has_labels(firing.id),
        faulty=record.faulty_channels(firing.id),
    )
    yield log.header()
    yield from map(log.cells, record.readings(firing.id))


def export_json(
    record: RecordReader, firing_id: str, path: Path, facts: FiringFacts | None = None
) -> None:
    """Write everything that the record has of the firing as one JSON document.

    ``firing.schema.json`` beside this module is its JSON Schema. Temperatures are °C, in the
    order of ``channels``. ``facts`` are what the firing was, looked back on, if somebody has
    worked them out. Raises InputError for an unknown firing, PeerError if the file can't be
    written.
    """
    firing = record.firing(firing_id)
    with whole_file(path) as file:
        file.writelines(json_parts(record, firing, facts))


def _figures(offset: Offset) -> dict[str, float]:
    return {
        "offset_c": offset.mean_c,
        "sigma_c": offset.sigma_c,
        "observations": offset.observations,
        "firings": offset.firings,
    }


def json_parts(
    record: RecordReader, firing: Firing, facts: FiringFacts | None = None
) -> Iterator[str]:
    """The JSON document piece by piece, so that a long firing needs no room in memory.

    ``offsets`` were in force when the firing began, ``offset_changes`` came while it went on;
    both are for the readings as they are in here. Notes that were taken back stand apart from
    those that count, so that who knows nothing of them counts none.
    """
    head = {
        "format": "spyhole firing",
        "version": JSON_VERSION,
        "firing": {
            "id": firing.id,
            "kiln": firing.kiln,
            "name": firing.name,
            "mode": firing.mode.value,
            "is_open": firing.is_open,
            "units": firing.units.value,
            "started": firing.started_label,
            "ended_at_s": firing.ended_at_s,
            "ended": firing.ended_label,
        },
        "schedule_toml": firing.schedule_toml,
        "settings": dict(firing.settings),
        "channels": list(firing.channels),
        "events": [json.loads(line) for line in record.event_lines(firing.id)],
        "alerts": [json.loads(alert.to_json()) for alert in record.alerts(firing.id)],
        "notes": [
            {"elapsed_s": note.elapsed_s, "time": note.time, "by": note.by, "text": note.text}
            for note in record.notes(firing.id)
        ],
        "withdrawn_notes": [
            {
                "elapsed_s": note.elapsed_s,
                "time": note.time,
                "by": note.by,
                "text": note.text,
                "withdrawn_at_s": note.withdrawn_at_s,
                "withdrawn_time": note.withdrawn_time,
                "withdrawn_by": note.withdrawn_by,
            }
            for note in record.withdrawn_notes(firing.id)
        ],
        "witness_cones": [
            {
                "elapsed_s": kept.seen.elapsed_s,
                "time": kept.time,
                "cone": kept.seen.cone,
                "clock": kept.seen.clock,
                "channel": kept.seen.channel,
                "shelf": kept.seen.shelf,
                "by": kept.by,
                "written": kept.written_label,
            }
            for kept in record.observations(firing.id)
        ],
        "accounts": [asdict(account) for account in record.accounts(firing.id)],
        "findings": [asdict(finding) for finding in record.findings(firing.id)],
        "photos": [asdict(photo) for photo in record.photos(firing.id)],
        "offsets": {
            channel: {
                **_figures(accepted.now(firing.configured_offsets_c.get(channel, 0.0), later=1)),
                "accepted": accepted.label,
            }
            for channel, accepted in record.offsets_at_start(firing.id).items()
        },
        "offset_changes": [
            {
                "elapsed_s": change.elapsed_s,
                "channel": change.channel,
                "offset": None if change.offset is None else _figures(change.offset),
                "at": change.label,
            }
            for change in record.offset_changes(firing.id)
        ],
        "facts": None if facts is None else document_of(facts),
    }
    yield f'{to_json(head)[:-1]},"readings":['
    between = "\n"
    for reading in record.readings(firing.id):
        faults = {channel: cause.value for channel, cause in reading.faults.items()}
        row = {
            "elapsed_s": reading.elapsed_s,
            "time": reading.time,
            "temps_c": list(reading.temps_c.values()),
            "faults": faults,
        }
        yield f"{between}{to_json(row)}"
        between = ",\n"
    yield "\n]}\n"
