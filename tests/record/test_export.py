"""A firing written out comes back the same; nothing half-written is ever left."""

from __future__ import annotations

import csv
import json
import math
import os
import stat
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hardware.recorded_log import read_log
from supervisor.core.alerts import AlertBook
from supervisor.core.errors import InputError
from supervisor.core.heatwork.offset import USUAL, Observation, Offset
from supervisor.core.readings import FaultCause, Reading
from supervisor.core.units import Unit
from supervisor.record.export import export_csv, export_json
from supervisor.record.rows import Firing, Mode
from supervisor.record.store import Record
from supervisor.record.unloading import Account, Finding
from tests.record.firings import NEW, event, reading


def taken_in(record: Record, readings: list[Reading]) -> Firing:
    new = replace(NEW, mode=Mode.IMPORT)
    return record.import_readings(new, readings, [event(1)]).result(30.0)


def test_the_log_has_the_columns_of_the_design(record: Record, tmp_path: Path) -> None:
    firing = taken_in(
        record,
        [
            Reading(0.0, {"top": 20.0, "bottom": 0.1}, time="2026-11-25T20:00:00+00:00"),
            Reading(
                1.5,
                {"top": None, "bottom": 21.0625},
                {"top": FaultCause.OPEN},
                "2026-11-25T20:00:02+00:00",
            ),
        ],
    )
    path = tmp_path / "log.csv"
    export_csv(record, firing.id, path)
    assert path.read_bytes() == (
        b"elapsed_s,time,top_c,bottom_c,top_fault\n"
        b"0,2026-11-25T20:00:00+00:00,20,0.1,\n"
        b"1.5,2026-11-25T20:00:02+00:00,,21.0625,open\n"
    )


def test_without_labels_and_faults_there_are_no_columns_for_them(
    record: Record, tmp_path: Path
) -> None:
    firing = taken_in(record, [Reading(0.0, {"top": 100.0, "bottom": None})])
    export_csv(record, firing.id[:12], tmp_path / "log.csv", units=Unit.F)
    assert (tmp_path / "log.csv").read_text() == "elapsed_s,top_f,bottom_f\n0,212,\n"


def test_a_channel_that_is_named_like_a_formula_comes_back_and_is_none(
    record: Record, tmp_path: Path
) -> None:
    name = '=HYPERLINK("http://evil.example")'
    new = replace(NEW, mode=Mode.IMPORT, channels=(name,))
    firing = record.import_readings(new, [Reading(0.0, {name: 20.0})]).result(30.0)
    path = tmp_path / "log.csv"
    export_csv(record, firing.id, path)
    with path.open(newline="") as file:
        assert next(csv.reader(file)) == ["elapsed_s", f"'{name}_c"]
    assert read_log(path).channels == (name,)


def test_every_number_comes_back_exactly(tmp_path_factory: pytest.TempPathFactory) -> None:
    temps = st.none() | st.floats(-270.0, 1800.0)

    @settings(deadline=None)
    @given(st.lists(st.tuples(st.floats(0.0, 2e5), temps, temps), min_size=1, max_size=20))
    def law(rows: list[tuple[float, float | None, float | None]]) -> None:
        folder = tmp_path_factory.mktemp("log")
        readings = [Reading(at_s, {"top": top, "bottom": bottom}) for at_s, top, bottom in rows]
        with Record.open(folder) as record:
            export_csv(record, taken_in(record, readings).id, folder / "log.csv")
        with (folder / "log.csv").open(newline="") as file:
            back = [
                (float(row["elapsed_s"]), row["top_c"], row["bottom_c"])
                for row in csv.DictReader(file)
            ]
        assert [
            (at_s, float(top) if top else None, float(bottom) if bottom else None)
            for at_s, top, bottom in back
        ] == rows

    law()


def test_the_reader_of_logs_takes_back_what_is_written(record: Record, tmp_path: Path) -> None:
    sent = [
        reading(n + 1.0 / 3.0, f"2026-11-25T20:{n // 60:02}:{n % 60:02}+00:00") for n in range(90)
    ]
    first, second = tmp_path / "first.csv", tmp_path / "second.csv"
    firing = taken_in(record, sent)
    for text in ("Plug out", "Plug in"):
        note = record.add_note(firing.id, 30.0, text).result(10.0)
    record.withdraw_note(firing.id, note.id, 31.0).result(10.0)
    export_csv(record, firing.id, first)
    assert list(read_log(first)) == sent
    export_csv(record, taken_in(record, list(read_log(first))).id, second)
    assert second.read_bytes() == first.read_bytes()


def test_the_document_has_everything(record: Record, tmp_path: Path) -> None:
    record.accept_offset("Big Bertha", "top", Offset(4.25, 2.5, 3, 2), label="2026-11-20")
    firing = record.start_firing(NEW).result(10.0)
    book = AlertBook(firing.id, firing.kiln)
    raised = book.take(event(1))
    assert raised is not None
    for n in range(5):
        record.append(firing.id, reading(float(n)))
    record.add_events(firing.id, [event(1)], alerts=[raised.alert]).result(10.0)
    record.add_note(firing.id, 2.0, "Peep out – ½ turn", by="Ann").result(10.0)
    mistapped = record.add_note(firing.id, 2.5, "Plug out", by="Ann").result(10.0)
    record.withdraw_note(firing.id, mistapped.id, 3.5, time="20:02", by="Ben")
    record.tell(firing.id, Account("load", "40 mugs", "Ann"))
    record.find_at_unloading(firing.id, [Finding("crawling", 2, "back")])
    looked = Observation(3.0, "6", "3:30", "top", "back")
    record.add_observation(firing.id, looked, time="20:00", by="Ann", written_label="20:01")
    taken_back = record.add_observation(firing.id, looked).result(10.0)
    record.withdraw_observation(firing.id, taken_back.id)
    during = (firing.id, 4.0)
    record.accept_offset("Big Bertha", "top", Offset(5.5, 1.5, 2, 2), label="c", during=during)
    record.withdraw_offset("Big Bertha", "top", label="d", during=during).result(10.0)
    export_json(record, firing.id, tmp_path / "firing.json")
    document = json.loads((tmp_path / "firing.json").read_text(encoding="utf-8"))
    readings = document.pop("readings")
    assert [row["temps_c"] for row in readings] == [
        list(reading(float(n)).temps_c.values()) for n in range(5)
    ]
    assert readings[3] == {
        "elapsed_s": 3.0,
        "time": None,
        "temps_c": [None, 19.1],
        "faults": {"top": "open"},
    }
    assert [document.pop(name) for name in ("accounts", "findings", "photos")] == [
        [{"topic": "load", "text": "40 mugs", "by": "Ann", "label": None}],
        [
            {
                "key": "crawling",
                "level": 2,
                "place": "back",
                "text": None,
                "by": None,
                "label": None,
            }
        ],
        [],
    ]
    assert document == {
        "format": "spyhole firing",
        "version": 1,
        "firing": {
            "id": firing.id,
            "kiln": "Big Bertha",
            "name": "Glaze",
            "mode": "live",
            "is_open": True,
            "units": "C",
            "started": "2026-11-25T20:00:00+00:00",
            "ended_at_s": None,
            "ended": None,
        },
        "schedule_toml": 'name = "Glaze"\n',
        "settings": {"sensitivity": 1.5},
        "channels": ["top", "bottom"],
        "events": [json.loads(event(1).to_json())],
        "alerts": [json.loads(raised.alert.to_json())],
        "notes": [{"elapsed_s": 2.0, "time": None, "by": "Ann", "text": "Peep out – ½ turn"}],
        "withdrawn_notes": [
            {
                "elapsed_s": 2.5,
                "time": None,
                "by": "Ann",
                "text": "Plug out",
                "withdrawn_at_s": 3.5,
                "withdrawn_time": "20:02",
                "withdrawn_by": "Ben",
            }
        ],
        "witness_cones": [
            {
                "elapsed_s": 3.0,
                "time": "20:00",
                "cone": "6",
                "clock": "3:30",
                "channel": "top",
                "shelf": "back",
                "by": "Ann",
                "written": "20:01",
            }
        ],
        "offsets": {
            "top": {
                "offset_c": 4.25,
                "sigma_c": math.hypot(2.5, USUAL.drift_c),
                "observations": 3,
                "firings": 2,
                "accepted": "2026-11-20",
            }
        },
        "offset_changes": [
            {
                "elapsed_s": 4.0,
                "channel": "top",
                "offset": {"offset_c": 5.5, "sigma_c": 1.5, "observations": 2, "firings": 2},
                "at": "c",
            },
            {"elapsed_s": 4.0, "channel": "top", "offset": None, "at": "d"},
        ],
        "facts": None,
    }


def test_a_firing_without_readings_is_still_a_document(record: Record, tmp_path: Path) -> None:
    firing = record.start_firing(NEW).result(10.0)
    export_json(record, firing.id, tmp_path / "firing.json")
    assert json.loads((tmp_path / "firing.json").read_text())["readings"] == []


def test_nothing_half_written_is_left(
    record: Record, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    firing = taken_in(record, [reading(1.0), reading(2.0)])
    folder = tmp_path / "out"
    folder.mkdir()
    path = folder / "log.csv"
    path.write_text("the old one")

    def breaks_off(*_: object, **__: object) -> Iterator[Reading]:
        yield reading(1.0)
        raise KeyboardInterrupt

    with monkeypatch.context() as patch:
        patch.setattr(Record, "readings", breaks_off)
        with pytest.raises(KeyboardInterrupt):
            export_csv(record, firing.id, path)
    assert list(folder.iterdir()) == [path]
    assert path.read_text() == "the old one"
    export_csv(record, firing.id, path)
    assert list(folder.iterdir()) == [path]
    assert path.read_text().startswith("elapsed_s,")
    assert stat.S_IMODE(path.stat().st_mode) & 0o044 == 0o044


def test_a_place_that_cannot_be_written_is_named(record: Record, tmp_path: Path) -> None:
    firing = taken_in(record, [reading(1.0)])
    for path in (tmp_path / "nowhere" / "log.csv", tmp_path):
        with pytest.raises(InputError, match="folder") as caught:
            export_csv(record, firing.id, path)
        assert str(caught.value).startswith((os.fspath(path), os.fspath(path.parent)))
    with pytest.raises(InputError, match="no firing"):
        export_json(record, "1999", tmp_path / "log.json")
    assert not (tmp_path / "log.json").exists()
