"""Which firing the daemon works on, and that what it began with is what it goes on with."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from supervisor.core.errors import InputError
from supervisor.core.schedule import starter, starter_text
from supervisor.core.units import Unit
from supervisor.core.watch import WatchSettings
from supervisor.record.rows import Mode
from supervisor.record.store import Record
from supervisor.service.begin import begin
from supervisor.service.setup import Setup, watch_settings_of
from supervisor.service.standby import Unrested
from tests.service.firings import read_once
from tests.service.test_run import Source


def setup_for(record: Record, said: list[str], mode: Mode = Mode.LIVE) -> Setup:
    return Setup(
        source=Source(),
        schedule=starter("bisque"),
        schedule_toml=starter_text("bisque"),
        data_dir=record.path.parent,
        kiln="big kiln",
        mode=mode,
        say=said.append,
    )


async def test_a_firing_goes_on_with_the_plan_and_the_tolerances_it_began_with(
    record: Record,
) -> None:
    said: list[str] = []
    setup = setup_for(record, said)
    first = await begin(setup, record)
    read_once(record, first.firing)
    changed = replace(
        setup,
        schedule=starter("midfire-glaze"),
        schedule_toml=starter_text("midfire-glaze"),
        settings=WatchSettings(units=Unit.F, overshoot_c=3.0),
    )
    again = await begin(changed, record)
    assert again.resumes
    assert again.firing.id == first.firing.id
    assert again.schedule == starter("bisque")
    assert again.settings == WatchSettings()
    assert [line for line in said if "keeps its own plan" in line and "--new" in line]
    assert [line for line in said if "keeps the tolerances" in line]


async def test_the_tolerances_come_back_from_the_record_as_they_were(record: Record) -> None:
    settings = WatchSettings(units=Unit.F, overshoot_c=7.5, limit_c=1290.0)
    begun = await begin(replace(setup_for(record, []), settings=settings), record)
    assert watch_settings_of(record.firing(begun.firing.id).settings) == settings
    assert watch_settings_of({}) is None
    assert watch_settings_of({"watch": {"units": "K"}}) is None
    assert watch_settings_of({"watch": {"units": "C", "of_another_time": 1}}) is None


async def test_a_simulation_goes_on_only_where_it_is_the_same(record: Record) -> None:
    said: list[str] = []
    setup = replace(setup_for(record, said, Mode.SIMULATION), identity={"scenario": "stall"})
    first = await begin(setup, record)
    assert (await begin(setup, record)).firing.id == first.firing.id
    other = await begin(replace(setup, identity={"scenario": "power-cut"}), record)
    assert not other.resumes
    assert not record.firing(first.firing.id).is_open


async def test_a_kiln_that_was_renamed_leaves_no_firing_open(record: Record) -> None:
    said: list[str] = []
    first = await begin(setup_for(record, said), record)
    read_once(record, first.firing)
    second = await begin(replace(setup_for(record, said), kiln="small kiln"), record)
    assert not record.firing(first.firing.id).is_open
    assert record.firing(second.firing.id).is_open
    assert [line for line in said if line.startswith("closed: ")]


@pytest.mark.parametrize("channels", [("bottom",), ("top", "bottom")])
async def test_a_log_ends_with_a_note_where_the_rig_has_other_channels(
    record: Record, capsys: pytest.CaptureFixture[str], channels: tuple[str, ...]
) -> None:
    class Other(Source):
        pass

    Other.channels = channels  # type: ignore[assignment]
    said: list[str] = []
    setup = setup_for(record, said)
    first = (await begin(setup, record)).firing
    read_once(record, first)
    begun = await begin(replace(setup, source=Other()), record)
    assert (begun.resumes, begun.follows_on) == (False, True)
    assert begun.firing.channels == channels
    assert begun.schedule == setup.schedule
    old = record.firing(first.id)
    extent = record.extent(first.id)
    assert extent is not None
    assert old.ended_at_s == extent.last_s
    (note,) = record.notes(first.id)
    assert note.by == "spyhole"
    for text in (note.text, capsys.readouterr().err):
        assert "it has the thermocouples top, and the configuration now has" in text
        assert ", ".join(channels) in text
    assert f"closed: {first.id}, {first.name}" in said


async def test_a_firing_that_only_waited_takes_what_is_configured_now_and_leaves_no_trace(
    record: Record,
) -> None:
    class Other(Source):
        channels = ("bottom",)

    said: list[str] = []
    setup = setup_for(record, said)
    waited = await begin(setup, record)
    glaze = replace(
        setup, schedule=starter("midfire-glaze"), schedule_toml=starter_text("midfire-glaze")
    )
    again = await begin(replace(glaze, source=Other()), record)
    assert not again.resumes
    assert (again.schedule, said) == (starter("midfire-glaze"), [])
    assert [firing.id for firing in record.firings()] == [again.firing.id]
    assert waited.firing.id != again.firing.id


async def test_what_was_noted_before_the_climb_outlives_a_restart(record: Record) -> None:
    setup = setup_for(record, [])
    waited = await begin(setup, record)
    note = await record.add_note(
        waited.firing.id, 5.0, "three shelves of cups", by="Ann", time="2026-11-26T18:00:00+00:00",
        client_id="ann-1",
    )  # fmt: skip
    for _ in range(2):
        again = await begin(setup, record)
        assert [firing.id for firing in record.firings()] == [again.firing.id]
        assert record.notes(again.firing.id) == [replace(note, elapsed_s=0.0)]
    once_more = await record.add_note(again.firing.id, 9.0, note.text, client_id="ann-1")
    assert once_more.id == note.id, "a phone that did not hear the answer sends it again"
    other = await begin(replace(setup, kiln="small kiln"), record)
    assert record.notes(other.firing.id) == [], "they are of the other kiln"
    assert record.notes(again.firing.id) != []


async def test_a_log_ended_in_a_climb_is_known_until_the_kiln_has_rested(record: Record) -> None:
    setup = setup_for(record, [])
    ended = (await begin(setup, record)).firing
    read_once(record, ended)
    await record.add_events(ended.id, closes_at=(0.0, None), awaits_rest=True)
    for _ in range(2):
        begun = await begin(setup, record)
        assert begun.unrested == Unrested(ended.id, {"top": 20.0})
    assert (await begin(replace(setup, kiln="small kiln"), record)).unrested is None
    await record.has_rested(ended.id)
    later = await begin(setup, record)
    assert later.unrested is None
    await record.add_events(ended.id, closes_at=(0.0, None), awaits_rest=True)
    read_once(record, later.firing)
    await record.close_firing(later.firing.id, 0.0)
    assert (await begin(setup, record)).unrested is None, "another log has come after it"


def test_paths_in_a_configuration_are_beside_it(tmp_path: Path) -> None:
    from supervisor.service.config import parse_config

    text = '[mqtt]\nhost = "broker"\ntls = true\nca_file = "ca.pem"\n'
    broker = parse_config(text, "spyhole.toml").broker(tmp_path)
    assert broker is not None
    assert broker.ca_file == tmp_path / "ca.pem"


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ('[mqtt]\nhost = "b"\nca_file = "ca.pem"\n', "tls = true"),
        ('[mqtt]\nhost = "b"\ntls = true\nkey_file = "k.pem"\n', "cert_file"),
    ],
)
def test_certificates_that_would_be_ignored_are_refused(text: str, says: str) -> None:
    from supervisor.service.config import parse_config

    with pytest.raises(InputError, match=says):
        parse_config(text, "spyhole.toml").broker()
