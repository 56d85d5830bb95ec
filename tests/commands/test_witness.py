"""``witness``: what the cones did goes into the record, and an offset counts once accepted."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from supervisor.commands.firing_time import FiringTimes
from supervisor.core.errors import InputError
from supervisor.core.readings import Reading
from supervisor.core.units import Unit
from supervisor.core.watch.wording import WITNESS
from supervisor.record.rows import Mode, NewFiring
from supervisor.record.store import Record
from supervisor.service.kiln_offset import offsets_of_kiln
from tests.commands.conftest import Outcome, Spyhole
from tests.commands.test_bad_input import is_one_sentence

START = datetime.fromisoformat("2026-11-24T20:10:00+01:00")
EVERY_S = 30.0
CLIMB_S = 14_700.0
"""From 900 °C at 80 °C/h to 1226 °C, seen by the bottom: cone 6 is just down there."""
LAST_S = CLIMB_S + 3600.0


def climb(channels: tuple[str, ...], start: datetime | None) -> Iterator[Reading]:
    """Up, then an hour down; every channel after the first is 4 °C below the one before."""
    elapsed_s = 0.0
    while elapsed_s <= LAST_S:
        up_s, down_s = min(elapsed_s, CLIMB_S), max(elapsed_s - CLIMB_S, 0.0)
        temp_c = 900.0 + 80.0 * up_s / 3600.0 - 200.0 * down_s / 3600.0
        temps_c = {name: round(temp_c - 4.0 * place, 2) for place, name in enumerate(channels)}
        label = None if start is None else (start + timedelta(seconds=elapsed_s)).isoformat()
        yield Reading(elapsed_s, temps_c, time=label)
        elapsed_s += EVERY_S


def fire(
    folder: Path,
    *,
    kiln: str = "shed",
    channels: tuple[str, ...] = ("top", "bottom"),
    start: datetime | None = START,
    units: Unit = Unit.C,
) -> str:
    """One more recorded firing; its id."""
    new = NewFiring(
        kiln=kiln,
        channels=channels,
        name="Glaze",
        mode=Mode.IMPORT,
        units=units,
        started_label=None if start is None else start.isoformat(),
    )
    with Record.open(folder) as record:
        return record.import_readings(new, climb(channels, start)).result(30.0).id


@dataclass
class Shed:
    """A record with a firing in it, and the command that is tried on it."""

    folder: Path
    firing: str
    spyhole: Spyhole

    def __call__(self, *words: str) -> Outcome:
        return self.spyhole("witness", *words, "--data", self.folder)

    def look(self, *words: str) -> Outcome:
        found = self(self.firing, *words)
        assert (found.code, found.err) == (0, ""), found
        return found


@pytest.fixture
def shed(spyhole: Spyhole, tmp_path: Path) -> Shed:
    return Shed(tmp_path, fire(tmp_path), spyhole)


CONE = ("--cone", "6", "--clock", "3:30")


def test_a_look_is_noted_and_shown_beside_the_calculation(shed: Shed) -> None:
    added = shed.look(*CONE, "--channel", "top", "--shelf", "back", "--at", "00:05", "--by", "Ann")
    assert WITNESS in added.out.lower()
    listed = shed.look()
    assert WITNESS in listed.out.lower()
    head, row = (line.split() for line in listed.out.splitlines() if line[:1] in ("n", "1"))
    assert head[:6] == ["no.", "h", "time", "cone", "seen", "calculated"]
    assert row[:5] == ["1", "3:55", "00:05", "6", "3:30"]
    assert row[-2:] == ["top,", "back"]
    assert " ".join(row) in " ".join(added.out.split())
    (document,) = shed.look("--json").document["observations"]
    assert document == {
        "number": 1,
        "elapsed_s": 3.0 * 3600.0 + 55.0 * 60.0,
        "time": "2026-11-25T00:05:00+01:00",
        "cone": "6",
        "clock": "3:30",
        "channel": "top",
        "shelf": "back",
        "by": "Ann",
        "calculated": document["calculated"],
        "with_offset": None,
        "fits_offset_c": document["fits_offset_c"],
        "doubt": None,
    }
    assert document["calculated"]["clock"] in ("12:30", "1", "1:30", "2")
    assert 0.2 < document["calculated"]["work"] < 0.9
    low_c, high_c = document["fits_offset_c"]
    assert 0.5 < low_c < high_c < 15.0


def test_a_cone_down_before_the_calculation_is_a_plus_and_one_that_stands_a_minus(
    shed: Shed,
) -> None:
    shed.look("--cone", "6", "--clock", "touching", "--channel", "top", "--elapsed", "3:57")
    shed.look("--cone", "6", "--clock", "upright", "--channel", "bottom")
    (kiln,) = shed("--json").document["kilns"]
    top, bottom = kiln["channels"]
    assert (kiln["kiln"], top["channel"], bottom["channel"]) == ("shed", "top", "bottom")
    assert top["estimate"]["offset_c"] > 4.0
    assert bottom["estimate"]["offset_c"] < -2.0
    text = shed().out
    assert f"+{top['estimate']['offset_c']:.0f} °C ± " in text
    assert f"−{-bottom['estimate']['offset_c']:.0f} °C ± " in text


def test_without_a_time_the_cone_is_seen_as_the_firing_left_it(shed: Shed) -> None:
    shed.look("--cone", "7", "--clock", "12", "--channel", "top")
    (document,) = shed.look("--json").document["observations"]
    assert document["elapsed_s"] == LAST_S
    assert document["clock"] == "upright"
    assert document["fits_offset_c"][0] is None


def test_nothing_is_in_force_before_it_is_accepted(shed: Shed) -> None:
    shed.look(*CONE, "--channel", "top", "--at", "00:05")
    before = shed().out
    assert "proposed: +" in before
    assert "± 3 °C from 1 look at a cone in 1 firing; not in force" in before
    assert "spyhole witness --accept top" in before
    assert WITNESS in before.lower()
    with Record.open_to_read(shed.folder) as record:
        assert record.offsets("shed") == {}
        (found,) = offsets_of_kiln(record, "shed").values()
    accepted = shed("--accept", "top")
    assert (accepted.code, accepted.err) == (0, "")
    assert "in force, for firings that begin from now on" in accepted.out
    with Record.open_to_read(shed.folder) as record:
        assert record.offsets("shed")["top"].offset == found
        assert record.offsets_at_start(shed.firing) == {}
        assert record.offset_changes(shed.firing) == []
    after = shed().out
    assert "in force: +" in after
    assert "proposed" not in after
    is_one_sentence(shed("--accept", "top"), "witness", 1, "nothing to accept", "already")


def test_more_cones_propose_a_change_and_say_what_accepting_it_would_do(shed: Shed) -> None:
    shed.look(*CONE, "--channel", "top", "--at", "00:05")
    first = shed("--accept", "top", "--json").document
    assert (first["kiln"], first["channel"]) == ("shed", "top")
    second = Shed(shed.folder, fire(shed.folder), shed.spyhole)
    second.look(*CONE, "--channel", "top", "--at", "00:10")
    text = shed().out
    assert "from 2 looks in 2 firings" in text
    was, now = (
        round(figures["offset_c"])
        for figures in (
            first["in_force"],
            shed("--json").document["kilns"][0]["channels"][0]["estimate"],
        )
    )
    assert now < was
    assert f"accepting it changes +{was} °C to +{now} °C" in text
    looks = second.look("--json").document["observations"]
    assert looks[0]["with_offset"]["work"] > looks[0]["calculated"]["work"]
    assert "with offset" in second.look().out


def test_what_is_nothing_to_correct_yet_is_not_accepted(shed: Shed) -> None:
    shed.look("--cone", "6", "--clock", "upright", "--channel", "top", "--at", "00:00")
    assert "nothing to correct yet" in shed().out
    refused = shed("--accept", "top")
    is_one_sentence(refused, "witness", 1, "nothing to accept", "no farther from 0")
    with Record.open_to_read(shed.folder) as record:
        assert record.offsets("shed") == {}


def test_what_hardly_differs_from_what_is_in_force_is_neither_proposed_nor_accepted(
    shed: Shed,
) -> None:
    shed.look(*CONE, "--channel", "top", "--at", "00:05")
    shed("--accept", "top")
    shed.look(*CONE, "--channel", "top", "--at", "00:05")
    assert "from 1 look at a cone in 1 firing" in shed().out
    assert "accepting it changes" not in shed().out
    is_one_sentence(shed("--accept", "top"), "witness", 1, "in force already", "hardly differs")


def test_an_offset_from_a_simulation_is_not_in_force_for_the_real_kiln(
    spyhole: Spyhole, tmp_path: Path
) -> None:
    with Record.open(tmp_path) as record:
        new = NewFiring("shed", ("top", "bottom"), mode=Mode.SIMULATION)
        simulated = record.start_firing(new).result(10.0)
        for reading in climb(("top", "bottom"), START):
            record.append(simulated.id, reading)
        record.close_firing(simulated.id, LAST_S).result(10.0)
    trial = Shed(tmp_path, simulated.id, spyhole)
    trial.look(*CONE, "--channel", "top", "--at", "00:05")
    assert trial("--accept", "top", "--json").document["in_force"]["observations"] == 1
    assert "in force: +" in trial().out
    real = Shed(tmp_path, fire(tmp_path), spyhole)
    with Record.open_to_read(tmp_path) as record:
        assert record.offsets_at_start(real.firing) == {}
        assert record.offsets("shed", Mode.LIVE) == {}
    real.look(*CONE, "--channel", "top", "--at", "00:05")
    (document,) = real.look("--json").document["observations"]
    assert document["with_offset"] is None
    assert "with offset" not in real.look().out
    assert "; not in force" in real().out
    assert real("--accept", "top").code == 0
    with Record.open_to_read(tmp_path) as record:
        assert list(record.offsets("shed", Mode.LIVE)) == ["top"]


def test_a_new_probe_is_told_of_by_later_firings_alone(shed: Shed) -> None:
    shed.look(*CONE, "--channel", "top", "--at", "00:05")
    shed("--accept", "top")
    said = shed("--new-probe", "top")
    assert (said.code, said.err) == (0, "")
    assert "only firings that begin from now on tell of it" in said.out
    assert "no longer in force" in said.out
    assert shed("--json").document == {"kilns": []}
    later = Shed(shed.folder, fire(shed.folder), shed.spyhole)
    later.look(*CONE, "--channel", "top", "--at", "00:10")
    (row,) = shed("--json").document["kilns"][0]["channels"]
    assert (row["estimate"]["firings"], row["in_force"]) == (1, None)
    back = shed(shed.firing, "--new-probe", "top", "--json").document
    assert back == {"kiln": "shed", "channel": "top", "new_since": shed.firing, "in_force": None}
    (row,) = shed("--json").document["kilns"][0]["channels"]
    assert row["estimate"]["firings"] == 2, "said of the first firing, it takes a mistake back"
    assert f"only firing {later.firing} and those" in shed(later.firing, "--new-probe", "top").out


def test_a_look_that_cannot_be_is_warned_of_in_one_sentence_and_does_not_count(
    shed: Shed,
) -> None:
    cold = shed.look(*CONE, "--channel", "bottom", "--elapsed", "0:00")
    assert "can't have been “3:30”, for this thermocouple was far too cold" in cold.out
    down = shed.look("--cone", "6", "--clock", "touching", "--channel", "top", "--at", "00:05")
    assert "stands up" not in down.out
    up = shed.look("--cone", "6", "--clock", "12:30", "--channel", "top", "--at", "00:08")
    said = "“touching” at 00:05 and later as “12:30” at 00:08, but no cone stands up again"
    assert said in up.out
    assert f"spyhole witness {shed.firing} --drop NO" in up.out
    listed = shed.look().out
    assert listed.count("stands up again") == 1
    looks = shed.look("--json").document["observations"]
    assert [bool(look["doubt"]) for look in looks] == [True, True, True]
    assert shed("--json").document == {"kilns": []}
    shed.look("--drop", "3")
    (row,) = shed("--json").document["kilns"][0]["channels"]
    assert (row["channel"], row["estimate"]["observations"]) == ("top", 1)


def test_an_offset_is_withdrawn(shed: Shed) -> None:
    shed.look(*CONE, "--channel", "top", "--at", "00:05")
    shed("--accept", "top")
    gone = shed("--withdraw", "top")
    assert (gone.code, gone.err) == (0, "")
    assert "no longer in force" in gone.out
    assert "not in force" in shed().out
    is_one_sentence(shed("--withdraw", "top"), "witness", 1, "no offset", '"top"')
    assert shed("--accept", "top", "--json").document["in_force"]["observations"] == 1
    assert shed("--withdraw", "top", "--json").document["in_force"] is None


def test_a_cone_without_a_channel_is_kept_and_says_nothing_of_an_offset(shed: Shed) -> None:
    added = shed.look(*CONE, "--shelf", "back", "--at", "00:05")
    assert "says nothing of an offset" in added.out
    assert "top, bottom" in added.out
    (document,) = shed.look("--json").document["observations"]
    assert (document["channel"], document["calculated"]) == (None, None)
    assert shed("--json").document == {"kilns": []}


def test_in_a_kiln_with_one_thermocouple_the_channel_goes_without_saying(
    spyhole: Spyhole, tmp_path: Path
) -> None:
    single = Shed(tmp_path, fire(tmp_path, channels=("kiln",)), spyhole)
    added = single.look(*CONE, "--shelf", "back", "--at", "00:05")
    assert "says nothing" not in added.out
    assert single("--json").document["kilns"][0]["channels"][0]["channel"] == "kiln"


def test_a_look_noted_by_mistake_is_taken_back(shed: Shed) -> None:
    shed.look(*CONE, "--channel", "top", "--at", "00:05")
    assert "counts no longer" in shed.look("--drop", "1").out
    assert shed.look("--json").document["observations"] == []
    assert "No look at a cone is noted" in shed.look().out
    is_one_sentence(shed(shed.firing, "--drop", "1"), "witness", 1, "number 1")


def test_a_firing_in_fahrenheit_is_answered_in_fahrenheit(spyhole: Spyhole, tmp_path: Path) -> None:
    kiln = Shed(tmp_path, fire(tmp_path, units=Unit.F), spyhole)
    assert "°F" in kiln.look(*CONE, "--channel", "top", "--at", "00:05").out
    assert "°C" not in kiln().out
    celsius = kiln("--units", "C").out
    assert "°F" not in celsius
    offset_c = kiln("--json").document["kilns"][0]["channels"][0]["estimate"]["offset_c"]
    assert f"+{offset_c:.0f} °C" in celsius
    assert f"+{offset_c * 1.8:.0f} °F" in kiln().out


def test_an_offset_that_no_sound_thermocouple_has_is_doubted(shed: Shed) -> None:
    for cone, at in (("5", "3:20"), ("6", "3:47"), ("7", "3:59")):
        shed.look("--cone", cone, "--clock", "4", "--channel", "top", "--elapsed", at)
    assert "look at the probe" in shed().out


def test_several_kilns_are_told_apart(shed: Shed) -> None:
    other = Shed(shed.folder, fire(shed.folder, kiln="big one"), shed.spyhole)
    for kiln in (shed, other):
        kiln.look(*CONE, "--channel", "top", "--at", "00:05")
    assert [row["kiln"] for row in shed("--json").document["kilns"]] == ["big one", "shed"]
    assert "--accept top --kiln 'big one'" in shed().out
    is_one_sentence(shed("--accept", "top"), "witness", 1, "--kiln", "big one, shed")
    assert shed("--accept", "top", "--kiln", "big one").code == 0
    rows = shed("--json").document["kilns"]
    assert [row["channels"][0]["in_force"] is None for row in rows] == [False, True]
    assert [row["kiln"] for row in shed("--json", "--kiln", "shed").document["kilns"]] == ["shed"]


def test_the_report_holds_the_cones_and_the_offset_in_force(shed: Shed, tmp_path: Path) -> None:
    shed.look(*CONE, "--channel", "top", "--at", "00:05")
    shed("--accept", "top")
    later = fire(shed.folder)
    for firing, cones, offsets in ((shed.firing, 1, []), (later, 0, ["top"])):
        out = tmp_path / "report.json"
        shed.spyhole("report", firing, "--out", out, "--data", shed.folder)
        document = json.loads(out.read_text())
        assert len(document["witness_cones"]) == cones
        assert list(document["offsets"]) == offsets


def test_before_any_look_the_command_says_how_to_note_one(shed: Shed) -> None:
    assert "spyhole witness FIRING --cone 6 --clock 3:30" in shed().out
    assert f"spyhole witness {shed.firing} --cone 6" in shed.look().out
    assert shed.look("--json").document["observations"] == []


BAD: dict[str, tuple[tuple[str, ...], str]] = {
    "no such firing": (("1999", *CONE), 'no firing "1999"'),
    "an empty firing": (("", *CONE), 'no firing ""'),
    "a cone without its tip": (("ID", "--cone", "6"), "both --cone and --clock"),
    "a tip without its cone": (("ID", "--clock", "3"), "both --cone and --clock"),
    "a shelf alone": (("ID", "--shelf", "top"), "both --cone and --clock"),
    "no firing for a cone": (CONE, "--cone needs the firing"),
    "nobody's name alone": (("--by", "Ann"), "--by needs the firing"),
    "no such cone": (("ID", "--cone", "99", "--clock", "3"), '"022" to "14"'),
    "no such tip": (("ID", "--cone", "6", "--clock", "9"), "from 12 (upright) to 6"),
    "words for a tip": (("ID", "--cone", "6", "--clock", "half past 3"), "as 3 or 3:30"),
    "no such channel": (("ID", *CONE, "--channel", "roof"), 'no channel "roof"; it has top'),
    "no shelf at all": (("ID", *CONE, "--shelf", " "), "shelf"),
    "an endless shelf": (("ID", *CONE, "--shelf", "x" * 300), "shelf"),
    "no clock": (("ID", *CONE, "--at", "25:00"), '"25:00" is no time'),
    "a day alone": (("ID", *CONE, "--at", "2026-11-25"), "is no time"),
    "before the firing": (("ID", *CONE, "--at", "19:30"), "is outside the firing"),
    "after the firing": (("ID", *CONE, "--at", "2026-11-26T07:12"), "from 2026-11-24 20:10 to"),
    "no hours": (("ID", *CONE, "--elapsed", "5"), "hours and minutes"),
    "too many hours": (("ID", *CONE, "--elapsed", "6:00"), "from 0:00 to 5:05 h"),
    "two times": (("ID", *CONE, "--elapsed", "3:00", "--at", "00:05"), "give one of them"),
    "no such look": (("ID", "--drop", "9"), "number 9"),
    "a look dropped and noted": (("ID", "--drop", "1", *CONE), "--drop goes alone"),
    "two changes": (("--accept", "top", "--withdraw", "top"), "one at a time"),
    "a change of a firing": (("ID", "--accept", "top"), "goes without a firing"),
    "a kiln and a firing": (("ID", "--kiln", "shed"), "--kiln goes without a firing"),
    "no such kiln": (("--kiln", "barn"), 'no kiln "barn" in the record; it has shed'),
    "nothing to accept": (("--accept", "top"), "nothing to accept: no look"),
    "no channel to accept": (("--accept", "roof"), 'no channel "roof"; it has top, bottom'),
    "a probe and a look": (("ID", "--new-probe", "top", *CONE), "--new-probe goes alone"),
    "a probe and a change": (("--new-probe", "top", "--accept", "top"), "--new-probe goes alone"),
    "a probe of two kilns": (("ID", "--new-probe", "top", "--kiln", "shed"), "goes without a"),
    "no probe of that name": (("--new-probe", "roof"), 'no channel "roof"; it has top, bottom'),
    "nothing to withdraw": (("--withdraw", "top"), "no offset of channel"),
}


@pytest.mark.parametrize("kind", BAD)
def test_what_does_not_fit_is_refused_in_one_sentence(shed: Shed, kind: str) -> None:
    words, said = BAD[kind]
    named = [shed.firing if word == "ID" else word for word in words]
    is_one_sentence(shed(*named), "witness", 1, said)
    with Record.open_to_read(shed.folder) as record:
        assert record.observations(shed.firing) == []
        assert record.offsets("shed") == {}


def test_where_there_is_no_record_none_is_made(spyhole: Spyhole, tmp_path: Path) -> None:
    for words in ((), ("2026", *CONE), ("--accept", "top")):
        found = spyhole("witness", *words, "--data", tmp_path / "none")
        is_one_sentence(found, "witness", 1, "no record is in")
    assert list(tmp_path.iterdir()) == []


def test_a_firing_without_readings_holds_no_cone(spyhole: Spyhole, tmp_path: Path) -> None:
    with Record.open(tmp_path) as record:
        firing = record.start_firing(NewFiring("shed", ("top",))).result(10.0)
    found = spyhole("witness", firing.id, *CONE, "--data", tmp_path)
    is_one_sentence(found, "witness", 1, "has no readings")


def test_a_firing_without_a_clock_is_told_by_its_hours(spyhole: Spyhole, tmp_path: Path) -> None:
    unlabelled = Shed(tmp_path, fire(tmp_path, start=None), spyhole)
    found = unlabelled(unlabelled.firing, *CONE, "--at", "00:05")
    is_one_sentence(found, "witness", 1, "no clock times")
    unlabelled.look(*CONE, "--channel", "top", "--elapsed", "3:55")
    (document,) = unlabelled.look("--json").document["observations"]
    assert (document["elapsed_s"], document["time"]) == (14_100.0, None)


def times(*pieces: tuple[float, float, str]) -> FiringTimes:
    """Readings a minute apart from one elapsed second to another, labelled from a time on."""
    readings = []
    for from_s, to_s, label in pieces:
        start, elapsed_s = datetime.fromisoformat(label), from_s
        while elapsed_s < to_s:
            at = start + timedelta(seconds=elapsed_s - from_s)
            readings.append(Reading(elapsed_s, {"kiln": 20.0}, time=at.isoformat()))
            elapsed_s += 60.0
    return FiringTimes(readings)


def test_a_time_by_the_clock_is_found_among_the_labels() -> None:
    night = times((0.0, 36_000.0, "2026-11-24T20:10:00+01:00"))
    assert night.by_clock("20:10") == 0.0
    assert night.by_clock("20:09") == 0.0, "a minute before the first reading is the first"
    assert night.by_clock("00:05") == 14_100.0
    assert night.by_clock("2026-11-25T00:05") == 14_100.0
    assert night.by_clock("2026-11-24T23:05:30Z") == 14_130.0
    assert night.by_clock("06:10") == 35_940.0
    with pytest.raises(InputError, match="outside"):
        night.by_clock("06:12")


def test_a_clock_that_was_set_right_during_the_firing_is_followed() -> None:
    # A machine without a battery clock began in the wrong year.
    late = times((0.0, 7200.0, "2024-01-01T00:00:00+00:00"), (7200.0, 9000.0, "2026-11-24T22:00Z"))
    assert late.by_clock("2026-11-24T22:10") == 7800.0
    assert late.label_at(7830.0) == "2026-11-24T22:10:30+00:00"


def test_an_hour_that_came_twice_is_asked_back() -> None:
    # The clocks go back at 03:00 summer time.
    autumn = times((0.0, 7200.0, "2026-10-25T01:00+02:00"), (7200.0, 14_400.0, "2026-10-25T02:00Z"))
    back = times(
        (0.0, 7200.0, "2026-10-25T01:00:00+02:00"), (7200.0, 14_400.0, "2026-10-25T02:00:00+01:00")
    )
    assert autumn.by_clock("01:30") == 1800.0
    with pytest.raises(InputError, match="came more than once"):
        back.by_clock("02:30")
    assert back.by_clock("2026-10-25T02:30+02:00") == 5400.0
    assert back.by_clock("2026-10-25T02:30+01:00") == 9000.0
    long = times((0.0, 100_000.0, "2026-11-24T20:00:00+01:00"))
    with pytest.raises(InputError, match="the day too"):
        long.by_clock("22:00")
    assert long.by_clock("2026-11-25T22:00") == 26.0 * 3600.0
