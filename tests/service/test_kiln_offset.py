"""From recorded readings and what the cones did, the kiln's offset comes out again."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace

import pytest

from supervisor.core.heatwork import CONES, work_along
from supervisor.core.heatwork.offset import Observation, carried, estimate
from supervisor.core.heatwork.tip import clock_of
from supervisor.core.readings import Reading
from supervisor.core.watch.channel_work import ChannelWork
from supervisor.record.rows import (
    CONFIGURED_OFFSETS,
    Firing,
    KeptObservation,
    Mode,
    NewFiring,
    SeenFiring,
)
from supervisor.record.store import Record
from supervisor.service.kiln_offset import (
    combined,
    evidence_along,
    evidence_of_firing,
    offsets_of_kiln,
    paths_of,
    weighed,
)

RATE_C_PER_H = 80.0
EVERY_S = 30.0
TRUE_C = {"top": 6.0, "bottom": -5.0}
"""What has to be added to each channel for its cones to be right."""


def climb(
    channels: tuple[str, ...], to_c: float, configured_c: Mapping[str, float] | None = None
) -> list[Reading]:
    """From 900 °C up to ``to_c`` at one rate; the first channel is 4 °C behind the second.

    ``configured_c`` is what the configuration has the rig add.
    """
    added_c = configured_c or {}
    count = int((to_c - 900.0) / RATE_C_PER_H * 3600.0 / EVERY_S)
    return [
        Reading(
            n * EVERY_S,
            {
                name: round(900.0 + 4.0 * place + RATE_C_PER_H * n * EVERY_S / 3600.0, 2)
                + added_c.get(name, 0.0)
                for place, name in enumerate(channels)
            },
        )
        for n in range(count + 1)
    ]


def fired(
    record: Record,
    channels: tuple[str, ...] = ("top", "bottom"),
    configured_c: Mapping[str, float] | None = None,
) -> Firing:
    settings = {} if configured_c is None else {CONFIGURED_OFFSETS: dict(configured_c)}
    new = NewFiring(kiln="shed", channels=channels, mode=Mode.IMPORT, settings=settings)
    return record.import_readings(new, climb(channels, 1225.0, configured_c)).result(30.0)


def kept_of(*seen: Observation) -> list[KeptObservation]:
    return [KeptObservation(number, one) for number, one in enumerate(seen, start=1)]


def look(
    record: Record,
    firing: Firing,
    cone: str,
    channel: str,
    elapsed_s: float,
    true_c: Mapping[str, float] = TRUE_C,
) -> Observation:
    """What the real cone shows, in a kiln whose bare thermocouples are off by ``true_c``."""
    path = paths_of(record, firing.id, [channel])[channel]
    off_c = true_c[channel] - firing.configured_offsets_c.get(channel, 0.0)
    work = work_along(path, CONES[cone], off_c, until_s=elapsed_s)
    seen = Observation(elapsed_s, cone, clock_of(work), channel)
    record.add_observation(firing.id, seen).result(10.0)
    return seen


def test_the_path_is_the_one_that_the_channels_heat_work_took(record: Record) -> None:
    firing = fired(record)
    paths = paths_of(record, firing.id, ["bottom", "top"])
    for name, path in paths.items():
        work = ChannelWork(name)
        for reading in record.readings(firing.id):
            work.look(reading.elapsed_s, reading.temps_c[name], None)
        assert list(path.pieces()) == list(work.work.path.pieces())
        assert work_along(path, CONES["5"]) == pytest.approx(work.work.work_of("5"))


def test_the_offsets_that_the_cones_were_made_with_come_out(record: Record) -> None:
    for _ in range(4):
        firing = fired(record)
        extent = record.extent(firing.id)
        assert extent is not None
        for channel in TRUE_C:
            look(record, firing, "5", channel, extent.last_s - 1200.0)
            look(record, firing, "6", channel, extent.last_s - 300.0)
            look(record, firing, "6", channel, extent.last_s)
    found = offsets_of_kiln(record, "shed")
    assert set(found) == set(TRUE_C)
    for channel, true_c in TRUE_C.items():
        offset = found[channel]
        assert offset.mean_c == pytest.approx(true_c, abs=1.2 * offset.sigma_c)
        assert offset.sigma_c < 3.0
        assert offset.mean_c * true_c > 0.0
        assert offset.firings == 4
        assert offset.stands_out
    assert offsets_of_kiln(record, "another") == {}


def test_an_offset_in_force_changes_no_estimate(record: Record) -> None:
    first = fired(record)
    look(record, first, "6", "top", 13000.0)
    before = offsets_of_kiln(record, "shed")
    record.accept_offset("shed", "top", before["top"]).result(10.0)
    assert offsets_of_kiln(record, "shed") == before
    second = fired(record)
    looks = kept_of(look(record, second, "6", "top", 13000.0))
    (evidence,) = evidence_of_firing(record, second, looks)["top"]
    assert evidence == evidence_of_firing(record, first, looks)["top"][0]


def test_a_configured_offset_that_changes_is_neither_counted_twice_nor_mixed(
    record: Record,
) -> None:
    for configured_c in ({}, {"top": 3.0}, {"top": -2.0, "bottom": 4.0}):
        firing = fired(record, configured_c=configured_c)
        for cone, at_s in (("5", 13300.0), ("6", 14300.0)):
            for channel in TRUE_C:
                look(record, firing, cone, channel, at_s)
        # What the configuration adds already is no longer missing.
        found = offsets_of_kiln(record, "shed")
        for channel, true_c in TRUE_C.items():
            missing_c = true_c - configured_c.get(channel, 0.0)
            assert found[channel].mean_c == pytest.approx(missing_c, abs=3.0)
    bare = [
        evidence_of_firing(record, seen.firing, seen.looks) for seen in record.seen_in_kiln("shed")
    ]
    for channel in TRUE_C:
        for one, *others in zip(*(firing[channel] for firing in bare), strict=True):
            for other in others:
                assert (other.low_c, other.high_c) == pytest.approx(
                    (one.low_c, one.high_c), abs=0.1
                )


def test_a_new_probe_is_told_of_by_later_firings_alone(record: Record) -> None:
    for _ in range(3):
        look(record, fired(record), "6", "top", 14000.0, {"top": 12.0})
    assert offsets_of_kiln(record, "shed")["top"].mean_c > 6.0
    record.note_new_probe("shed", "top").result(10.0)
    assert offsets_of_kiln(record, "shed") == {}
    firing = fired(record)
    seen = look(record, firing, "6", "top", 14000.0, {"top": -8.0})
    found = offsets_of_kiln(record, "shed")["top"]
    (told,) = evidence_of_firing(record, firing, kept_of(seen)).values()
    assert found == estimate([told])
    assert (found.firings, found.mean_c < -1.0) == (1, True)


def test_a_firing_in_which_nobody_looked_ages_the_probe_all_the_same(record: Record) -> None:
    look(record, fired(record), "6", "top", 14000.0)
    once = offsets_of_kiln(record, "shed")["top"]
    for _ in range(4):
        fired(record)
    assert offsets_of_kiln(record, "shed")["top"] == carried(once, firings=4)


def test_a_look_that_cannot_be_is_doubted_in_one_sentence_and_does_not_count(
    record: Record,
) -> None:
    firing = fired(record)
    good = Observation(14000.0, "6", "3", "top")
    doubtful = [
        (Observation(0.0, "6", "3:30", "top"), "Cone 6 can't have been “3:30”.* far too cold"),
        (Observation(14000.0, "018", "3", "bottom"), "Cone 018 .*far too hot"),
        (Observation(14100.0, "7", "touching", "top"), "“touching” at 3:55 h and later as “12:30”"),
        (Observation(14400.0, "7", "12:30", "top"), "at 4:00 h, but no cone stands up again"),
    ]
    looks = kept_of(good, *(seen for seen, _ in doubtful))
    paths = paths_of(record, firing.id, firing.channels)
    first, *others = weighed(looks, firing.channels, paths)
    assert first.doubt is None
    for look_at, (_, says) in zip(others, doubtful, strict=True):
        assert look_at.doubt is not None
        assert re.search(says, look_at.doubt)
        assert look_at.doubt.count(".") == 1
    assert evidence_of_firing(record, firing, looks) == {"top": [first.evidence]}


def test_evidence_counts_only_until_the_cone_was_seen(record: Record) -> None:
    firing = fired(record)
    path = paths_of(record, firing.id, ["top"])["top"]
    early, late = (
        evidence_along(path, Observation(at_s, "6", "3", "top")) for at_s in (12000.0, 14400.0)
    )
    # 40 minutes at 80 °C/h.
    assert early.low_c - late.low_c == pytest.approx(40.0 / 60.0 * RATE_C_PER_H, abs=2.0)


def test_a_cone_without_a_channel_says_nothing_unless_there_is_but_one(record: Record) -> None:
    seen = Observation(14000.0, "6", "3", None, "back")
    several = fired(record)
    record.add_observation(several.id, seen).result(10.0)
    assert evidence_of_firing(record, several, kept_of(seen)) == {}
    assert offsets_of_kiln(record, "shed") == {}
    single = fired(record, ("kiln",))
    assert list(evidence_of_firing(record, single, kept_of(seen))) == ["kiln"]


def test_firings_together_are_the_estimate_of_their_evidence(record: Record) -> None:
    firing = fired(record)
    one = Observation(14000.0, "6", "3", "top")
    other = replace(one, elapsed_s=14200.0, channel="bottom")
    firings = [
        evidence_of_firing(record, firing, looks) for looks in (kept_of(one), kept_of(one, other))
    ]
    found = combined([(SeenFiring(firing, ()), evidence) for evidence in firings], {})
    assert found["top"] == estimate([firings[0]["top"], firings[1]["top"]])
    assert found["bottom"] == estimate([firings[1]["bottom"]])
    assert combined([], {}) == {}
