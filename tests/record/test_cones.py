"""What was seen of witness cones, and the offsets accepted for them, are kept and found again."""

from __future__ import annotations

import math
import sqlite3
from dataclasses import replace
from pathlib import Path

import pytest

from supervisor.core.errors import InputError, RecordError
from supervisor.core.heatwork.offset import USUAL, Observation, Offset
from supervisor.record.cones import LONGEST_SHELF
from supervisor.record.rows import AcceptedOffset, Firing, KeptObservation, Mode, OffsetChange
from supervisor.record.store import Record
from tests.record.firings import NEW, reading

SEEN = Observation(3600.0, "6", "3:30", "top", "back left")
FOUND = Offset(4.25, 2.5, 3, 2)
OTHER = Offset(-1.0, 1.75, 5, 4)


def started(record: Record, kiln: str = "Big Bertha", mode: Mode = Mode.LIVE) -> Firing:
    return record.start_firing(replace(NEW, kiln=kiln, mode=mode)).result(10.0)


def ended(record: Record, kiln: str = "Big Bertha") -> Firing:
    return record.import_readings(
        replace(NEW, kiln=kiln, mode=Mode.IMPORT), [reading(0.0), reading(1.0)]
    ).result(10.0)


def looks_of(record: Record, kiln: str) -> dict[str, list[KeptObservation]]:
    return {seen.firing.id: list(seen.looks) for seen in record.seen_in_kiln(kiln)}


def older_probes(record: Record) -> dict[str, set[str]]:
    return {seen.firing.id: set(seen.older_probes) for seen in record.seen_in_kiln("Big Bertha")}


def test_a_look_at_a_cone_is_kept_with_all_that_is_known_of_it(record: Record) -> None:
    firing = started(record)
    kept = record.add_observation(
        firing.id,
        SEEN,
        time="2026-11-25T21:00:00+00:00",
        by="Ann",
        written_label="2026-11-26T09:00:00+00:00",
    ).result(10.0)
    assert kept == KeptObservation(
        kept.id, SEEN, "2026-11-25T21:00:00+00:00", "Ann", "2026-11-26T09:00:00+00:00"
    )
    assert record.observations(firing.id) == [kept]
    assert record.observations(started(record, "Small one").id) == []


def test_looks_come_back_in_the_order_of_the_firing(record: Record) -> None:
    firing = started(record)
    for elapsed_s in (50.0, 20.0, 30.0, 20.0):
        record.add_observation(firing.id, replace(SEEN, elapsed_s=elapsed_s))
    record.flush().result(10.0)
    found = record.observations(firing.id)
    assert [kept.seen.elapsed_s for kept in found] == [20.0, 20.0, 30.0, 50.0]
    assert found[0].id < found[1].id


def test_a_closed_firing_still_takes_what_its_cones_did(record: Record) -> None:
    firing = ended(record)
    kept = record.add_observation(firing.id, SEEN).result(10.0)
    assert record.observations(firing.id) == [kept]


def test_a_look_that_is_sent_again_is_written_once(record: Record) -> None:
    firing, second = started(record), started(record, "Small one")
    first = record.add_observation(firing.id, SEEN, client_id="a1").result(10.0)
    again = record.add_observation(
        firing.id, replace(SEEN, clock="5"), by="Ann", client_id="a1"
    ).result(10.0)
    assert again == first
    other = record.add_observation(firing.id, SEEN, client_id="a2").result(10.0)
    plain = [record.add_observation(firing.id, SEEN).result(10.0) for _ in range(2)]
    assert record.observations(firing.id) == [first, other, *plain]
    elsewhere = record.add_observation(second.id, SEEN, client_id="a1").result(10.0)
    assert record.observations(second.id) == [elsewhere]


def test_a_look_that_was_taken_back_counts_no_longer(record: Record) -> None:
    firing, second = started(record), started(record, "Small one")
    wrong = record.add_observation(firing.id, SEEN, client_id="a1").result(10.0)
    right = record.add_observation(firing.id, replace(SEEN, cone="5")).result(10.0)
    with pytest.raises(InputError, match=f"number {wrong.id}"):
        record.withdraw_observation(second.id, wrong.id).result(10.0)
    record.withdraw_observation(firing.id, wrong.id).result(10.0)
    assert record.observations(firing.id) == [right]
    assert looks_of(record, firing.kiln) == {firing.id: [right]}
    record.add_observation(firing.id, SEEN, client_id="a1").result(10.0)
    assert record.observations(firing.id) == [right], "a late repeat does not bring it back"
    with pytest.raises(InputError, match=f"number {wrong.id}"):
        record.withdraw_observation(firing.id, wrong.id).result(10.0)


@pytest.mark.parametrize(
    ("bad", "why"),
    [
        (replace(SEEN, cone="99"), 'no cone "99"'),
        (replace(SEEN, cone=""), "no cone"),
        (replace(SEEN, clock="9"), "from 12"),
        (replace(SEEN, elapsed_s=math.nan), "number"),
        (replace(SEEN, elapsed_s=math.inf), "number"),
        (replace(SEEN, shelf="  "), "shelf"),
        (replace(SEEN, shelf="x" * (LONGEST_SHELF + 1)), "shelf"),
        (replace(SEEN, channel="roof"), 'no channel "roof"; it has top, bottom'),
    ],
)
def test_what_is_no_look_at_a_cone_is_refused(record: Record, bad: Observation, why: str) -> None:
    firing = started(record)
    with pytest.raises(InputError, match=why):
        record.add_observation(firing.id, bad).result(10.0)
    with pytest.raises(InputError, match="no firing"):
        record.add_observation("1999", SEEN).result(10.0)
    assert record.observations(firing.id) == []


def test_the_looks_of_a_kiln_are_those_of_all_its_firings(record: Record) -> None:
    firings = [ended(record) for _ in range(2)] + [started(record)]
    elsewhere = ended(record, "Small one")
    for firing in (*reversed(firings), elsewhere):
        record.add_observation(firing.id, SEEN).result(10.0)
    unseen = ended(record)
    found = looks_of(record, "Big Bertha")
    assert list(found) == [firing.id for firing in (*firings, unseen)]
    assert [kept.seen for looks in found.values() for kept in looks] == [SEEN] * 3
    assert list(looks_of(record, "Small one")) == [elsewhere.id]
    assert record.seen_in_kiln("nobody's") == []


def test_a_simulated_firing_says_nothing_of_a_real_kiln(record: Record) -> None:
    simulated = started(record, mode=Mode.SIMULATION)
    record.add_observation(simulated.id, SEEN).result(10.0)
    assert list(looks_of(record, "Big Bertha")) == [simulated.id]
    assert not record.is_real("Big Bertha")
    real = started(record)
    assert record.is_real("Big Bertha")
    assert looks_of(record, "Big Bertha") == {real.id: []}
    kept = record.add_observation(real.id, SEEN).result(10.0)
    assert looks_of(record, "Big Bertha") == {real.id: [kept]}


def test_what_cones_of_a_simulation_showed_is_in_force_for_simulations_of_no_real_kiln(
    record: Record,
) -> None:
    simulated = started(record, mode=Mode.SIMULATION)
    record.accept_offset("Big Bertha", "top", FOUND, is_simulated=True).result(10.0)
    assert record.offsets("Big Bertha")["top"].is_simulated
    assert record.offsets("Big Bertha", Mode.SIMULATION)["top"].offset == FOUND
    assert record.offsets("Big Bertha", Mode.LIVE) == {}
    record.close_firing(simulated.id, 1.0)
    second = started(record, mode=Mode.SIMULATION)
    real = started(record)
    assert list(record.offsets_at_start(second.id)) == ["top"]
    assert record.offsets_at_start(real.id) == {}
    for mode in (None, *Mode):
        assert record.offsets("Big Bertha", mode) == {}, mode
    with pytest.raises(InputError, match="no offset"):
        record.withdraw_offset("Big Bertha", "top").result(10.0)
    record.accept_offset("Big Bertha", "top", OTHER).result(10.0)
    for mode in (None, *Mode):
        assert record.offsets("Big Bertha", mode)["top"].offset == OTHER, mode


def test_an_offset_in_force_ages_with_every_firing_and_keeps_to_its_readings(
    record: Record,
) -> None:
    record.accept_offset("Big Bertha", "top", FOUND, configured_c=1.5).result(10.0)
    for _ in range(2):
        ended(record)
    ended(record, "Small one")
    accepted = record.offsets("Big Bertha")["top"]
    assert (accepted.configured_c, accepted.firings_since) == (1.5, 2)
    sigma_c = math.sqrt(FOUND.sigma_c**2 + 2.0 * USUAL.drift_c**2)
    assert accepted.now(1.5) == replace(FOUND, sigma_c=sigma_c)
    assert accepted.now(4.5).mean_c == FOUND.mean_c - 3.0, "what was added then is not added twice"
    begun = record.offsets_at_start(record.firings()[1].id)["top"]
    assert begun.firings_since == 1
    for bad in (math.nan, math.inf):
        with pytest.raises(InputError, match="no number"):
            record.accept_offset("Big Bertha", "top", FOUND, configured_c=bad)


def test_of_a_new_probe_only_later_firings_tell_and_nothing_is_in_force(record: Record) -> None:
    firings = [ended(record) for _ in range(3)]
    record.accept_offset("Big Bertha", "top", FOUND)
    record.accept_offset("Big Bertha", "bottom", OTHER).result(10.0)
    record.note_new_probe("Big Bertha", "top", label="2026-11-25").result(10.0)
    assert list(record.offsets("Big Bertha")) == ["bottom"]
    last = ended(record)
    assert older_probes(record) == {firing.id: {"top"} for firing in firings} | {last.id: set()}
    record.note_new_probe("Big Bertha", "top", since=firings[1].id).result(10.0)
    assert [bool(one) for one in older_probes(record).values()] == [True, False, False, False]
    record.note_new_probe("Big Bertha", "top", since=firings[0].id).result(10.0)
    assert not any(older_probes(record).values()), "a mistake is taken back"
    elsewhere = ended(record, "Small one")
    with pytest.raises(InputError, match="not one of kiln"):
        record.note_new_probe("Big Bertha", "top", since=elsewhere.id).result(10.0)


def test_the_mark_differs_once_something_was_seen_or_changed(record: Record) -> None:
    marks = [record.witness_mark()]
    firing = started(record)
    marks.append(record.witness_mark())
    kept = record.add_observation(firing.id, SEEN).result(10.0)
    marks.append(record.witness_mark())
    record.withdraw_observation(firing.id, kept.id).result(10.0)
    marks.append(record.witness_mark())
    record.note_new_probe("Big Bertha", "top").result(10.0)
    marks.append(record.witness_mark())
    assert len(set(marks)) == 5
    record.append(firing.id, reading(0.0))
    record.flush().result(10.0)
    assert record.witness_mark() == marks[-1], "readings are no news"


def test_a_firing_that_goes_on_withdraws_what_is_in_force_for_it_alone(record: Record) -> None:
    firing = started(record)
    record.accept_offset("Big Bertha", "top", FOUND, during=(firing.id, 1.0))
    record.withdraw_offset("Big Bertha", "top")
    record.withdraw_offset("Big Bertha", "top", label="b", during=(firing.id, 2.0)).result(10.0)
    assert record.offset_changes(firing.id)[1:] == [
        OffsetChange("Big Bertha", "top", None, "b", firing.id, 2.0)
    ]
    assert record.offsets("Big Bertha") == {}


def test_a_firing_tells_what_was_configured_and_none_where_that_is_not_kept(
    record: Record,
) -> None:
    assert started(record).configured_offsets_c == {}
    kept = replace(NEW, kiln="Small one", settings={"configured_offsets_c": {"top": 3}})
    assert record.start_firing(kept).result(10.0).configured_offsets_c == {"top": 3.0}


def test_an_offset_is_in_force_from_acceptance_to_withdrawal(record: Record) -> None:
    assert record.offsets("Big Bertha") == {}
    record.accept_offset("Big Bertha", "top", FOUND, label="2026-11-25").result(10.0)
    in_force = AcceptedOffset("Big Bertha", "top", FOUND, "2026-11-25")
    assert record.offsets("Big Bertha") == {"top": in_force}
    assert record.offsets("Small one") == {}
    record.accept_offset("Big Bertha", "bottom", OTHER).result(10.0)
    record.accept_offset("Big Bertha", "top", OTHER).result(10.0)
    assert {c: a.offset for c, a in record.offsets("Big Bertha").items()} == {
        "top": OTHER,
        "bottom": OTHER,
    }
    record.withdraw_offset("Big Bertha", "top", label="later").result(10.0)
    assert list(record.offsets("Big Bertha")) == ["bottom"]
    for kiln, channel in (("Big Bertha", "top"), ("Small one", "bottom")):
        with pytest.raises(InputError, match="no offset"):
            record.withdraw_offset(kiln, channel).result(10.0)


def test_a_firing_keeps_the_offsets_that_it_began_with(record: Record) -> None:
    before = ended(record)
    record.accept_offset("Big Bertha", "top", FOUND).result(10.0)
    between = ended(record)
    record.withdraw_offset("Big Bertha", "top").result(10.0)
    record.accept_offset("Big Bertha", "bottom", OTHER).result(10.0)
    after = ended(record)
    begun = [
        {channel: a.offset for channel, a in record.offsets_at_start(firing.id).items()}
        for firing in (before, between, after)
    ]
    assert begun == [{}, {"top": FOUND}, {"bottom": OTHER}]
    assert record.offset_changes(between.id) == []


def test_an_offset_accepted_during_a_firing_changes_that_one_from_then_on(record: Record) -> None:
    firing = started(record)
    record.accept_offset("Big Bertha", "top", FOUND, label="a", during=(firing.id, 60.0))
    record.withdraw_offset("Big Bertha", "top", label="b", during=(firing.id, 90.0)).result(10.0)
    assert record.offset_changes(firing.id) == [
        OffsetChange("Big Bertha", "top", FOUND, "a", firing.id, 60.0),
        OffsetChange("Big Bertha", "top", None, "b", firing.id, 90.0),
    ]
    assert record.offsets_at_start(firing.id) == {}
    assert record.offsets("Big Bertha") == {}
    record.accept_offset("Big Bertha", "top", OTHER, during=(firing.id, 99.0)).result(10.0)
    assert record.offsets("Big Bertha")["top"].firing_id == firing.id
    record.close_firing(firing.id, 100.0).result(10.0)
    following = started(record)
    assert record.offsets_at_start(following.id)["top"].offset == OTHER
    assert record.offset_changes(following.id) == []


def test_what_is_no_offset_is_refused(record: Record) -> None:
    for bad in (replace(FOUND, mean_c=math.nan), replace(FOUND, sigma_c=math.inf)):
        with pytest.raises(InputError, match="no number"):
            record.accept_offset("Big Bertha", "top", bad)
    with pytest.raises(InputError, match="no firing"):
        record.accept_offset("Big Bertha", "top", FOUND, during=("1999", 1.0)).result(10.0)
    elsewhere = started(record, "Small one")
    with pytest.raises(InputError, match='not one of kiln "Big Bertha"'):
        record.accept_offset("Big Bertha", "top", FOUND, during=(elsewhere.id, 1.0)).result(10.0)
    assert record.offsets("Big Bertha") == {}


def test_a_change_with_half_its_figures_does_not_get_into_the_file(record: Record) -> None:
    def half(connection: sqlite3.Connection) -> None:
        connection.execute(
            "INSERT INTO offset_change (kiln, channel, offset_c, after_firing_n) "
            "VALUES ('k', 'c', 1.0, 0)"
        )

    with pytest.raises(sqlite3.IntegrityError):
        record._submit(half).result(10.0)


def test_a_closed_record_says_so(tmp_path: Path) -> None:
    with Record.open(tmp_path) as record:
        firing = started(record)
    for call in (
        lambda: record.add_observation(firing.id, SEEN),
        lambda: record.withdraw_observation(firing.id, 1),
        lambda: record.accept_offset("Big Bertha", "top", FOUND),
        lambda: record.note_new_probe("Big Bertha", "top"),
    ):
        with pytest.raises(RecordError, match="is closed"):
            call()
