"""A film says what the watch says: the same events, and how things stood at each instant."""

from __future__ import annotations

import gzip
from dataclasses import replace
from itertools import pairwise

import pytest

from supervisor.core.events import State
from supervisor.core.heatwork import Correction
from supervisor.core.watch import Watch, WatchSettings
from supervisor.record.store import Record
from supervisor.service.replay import reel
from supervisor.service.replay.material import material_of
from supervisor.service.replay.reel import wind
from tests.service.firings import scenario
from tests.service.replay.recorded import NOTE_S, readings, record_a_stall
from web.replay import Film, FilmEvent, Frame, Told


def film_of(record: Record, firing_id: str) -> Film:
    shares: list[float] = []
    film = wind(material_of(record, firing_id, "gas"), shares.append)
    assert shares == sorted(shares)
    assert shares[-1] == 1.0
    return Film.model_validate_json(gzip.decompress(film))


def frame_at(film: Film, at_s: float) -> Frame:
    return next(frame for frame in reversed(film.frames) if frame.elapsed_s <= at_s)


def standing(film: Film, at_s: float) -> list[FilmEvent]:
    return [film.events[place] for place in frame_at(film, at_s).open]


def test_a_firing_of_the_record_is_told_as_the_watch_tells_it(record: Record) -> None:
    firing = record_a_stall(record)
    film = film_of(record, firing.id)
    plan = scenario()
    watch = Watch(plan.schedule, plan.channels, WatchSettings())
    said = [event for reading in readings() for event in watch.feed(reading)]
    assert [
        (event.elapsed_s, event.kind, event.state, event.message, event.time)
        for event in film.events
        if event.by is Told.WATCH
    ] == [(e.elapsed_s, e.kind.value, e.state, e.message, e.time) for e in said]

    stall = next(event for event in film.events if event.kind == "stall")
    over = next(e for e in film.events if e.kind == "stall" and e.state is State.CLEARED)
    assert [event.kind for event in standing(film, stall.elapsed_s)] == ["stall"]
    assert isinstance(stall.data["temp_c"], float)
    # The note stands between the two, and moves no place in the list.
    assert stall.elapsed_s < NOTE_S < over.elapsed_s
    assert [event.kind for event in standing(film, NOTE_S + 600.0)] == ["stall"]
    assert standing(film, over.elapsed_s) == []
    (note,) = [event for event in film.events if event.by is Told.NOTE]
    assert (note.elapsed_s, note.message) == (NOTE_S, "Ada: Reset the breaker.")
    assert [e.elapsed_s for e in film.events] == sorted(e.elapsed_s for e in film.events)


def test_stills_stand_all_along_and_at_every_event_and_are_never_too_many(
    record: Record, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(reel, "MOST_STILLS", 60)
    film = film_of(record, record_a_stall(record).id)
    at_s = [frame.elapsed_s for frame in film.frames]
    assert at_s == sorted(set(at_s))
    assert 30 <= len(at_s) <= 60 + len(film.events)
    assert {e.elapsed_s for e in film.events if e.by is Told.WATCH} <= set(at_s)
    assert at_s[0] == readings()[0].elapsed_s
    assert at_s[-1] == readings()[-1].elapsed_s
    assert max(b - a for a, b in pairwise(at_s)) <= 40 * 60.0
    last = film.frames[-1]
    assert last.channels[0].temp_c is not None
    assert f"{last.channels[0].temp_c * 1.8 + 32:,.0f} °F" in last.sentence_f
    hottest = max(t for column in film.chart.channels.values() for t in column if t is not None)
    assert hottest == pytest.approx(
        max(t for r in readings() for t in r.temps_c.values() if t is not None), abs=0.05
    )


def test_an_offset_accepted_while_it_was_fired_counts_from_then_on(record: Record) -> None:
    firing = record_a_stall(record)
    material = material_of(record, firing.id, "electric")
    at_s = 8 * 3600.0
    changed = replace(material, corrections=[(at_s, "top", Correction(12.0, 3.0))])
    film = Film.model_validate_json(gzip.decompress(wind(changed, lambda _share: None)))
    assert frame_at(film, at_s - 300.0).correction is None
    correction = frame_at(film, at_s + 300.0).correction
    assert correction is not None
    assert correction.offset_c == 12.0
