"""A firing written out: as a log (CSV) that ``replay`` takes back, or whole as one JSON document.

Knows both formats; knows nothing of how the record keeps its rows. A file is written beside its
place and moved there when complete, so that nothing half-written is ever found.
"""

from __future__ import annotations

import csv
import json
from collections.abc import Iterator
from pathlib import Path
from typing import TextIO

from supervisor.core.log_format import LogFormat
from supervisor.core.units import Unit
from supervisor.record.looking import RecordReader
from supervisor.record.rows import Firing, to_json
from supervisor.record.whole_file import whole_file

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
    log = LogFormat(
        firing.channels,
        units,
        with_time=record.has_labels(firing.id),
        faulty=record.faulty_channels(firing.id),
    )
    writer = csv.writer(file, lineterminator="\n")
    writer.writerow(log.header())
    writer.writerows(map(log.cells, record.readings(firing.id)))


def export_json(record: RecordReader, firing_id: str, path: Path) -> None:
    """Write everything that the record has of the firing as one JSON document.

    Temperatures are °C, in the order of ``channels``. Raises InputError for an unknown firing,
    PeerError if the file can't be written.
    """
    firing = record.firing(firing_id)
    with whole_file(path) as file:
        file.writelines(json_parts(record, firing))


def json_parts(record: RecordReader, firing: Firing) -> Iterator[str]:
    """The JSON document piece by piece, so that a long firing needs no room in memory."""
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
