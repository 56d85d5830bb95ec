"""From recorded readings and what the cones did, the kiln's offset comes out again."""

from __future__ import annotations

from dataclasses import replace

import pytest

from supervisor.core.heatwork import CONES, work_along
from supervisor.core.heatwork.offset import Observation, estimate
from supervisor.core.heatwork.tip import clock_of
from supervisor.core.readings import Reading
from supervisor.core.watch.channel_work import ChannelWork
from supervisor.record.rows import Firing, Mode, NewFiring
from supervisor.record.store import Record
from supervisor.service.kiln_offset import (
    combined,
    evidence_along,
    evidence_of_firing,
    offsets_of_kiln,
    paths_of,
)

RATE_C_PER_H = 80.0
EVERY_S = 30.0
TRUE_C = {"top": 6.0, "bottom": -5.0}
"""What has to be added to each channel for its cones to be right."""


def climb(channels: tuple[str, ...], to_c: float) -> list[Reading]:
    """From 900 °C up to ``to_c`` at one rate; the first channel is 4 °C behind the second."""
    count = int((to_c - 900.0) / RATE_C_PER_H * 3600.0 / EVERY_S)
    return [
        Reading(
            n * EVERY_S,
            {
                name: round(900.0 + 4.0 * place + RATE_C_PER_H * n * EVERY_S / 3600.0, 2)
                for place, name in enumerate(channels)
            },
        )
        for n in range(count + 1)
    ]


def fired(record: Record, channels: tuple[str, ...] = ("top", "bottom")) -> Firing:
    new = NewFiring(kiln="shed", channels=channels, mode=Mode.IMPORT)
    return record.import_readings(new, climb(channels, 1225.0)).result(30.0)


def look(record: Record, firing: Firing, cone: str, channel: str, elapsed_s: float) -> Observation:
    """What the real cone shows, in a kiln whose channels are off by ``TRUE_C``."""
    path = paths_of(record, firing.id, [channel])[channel]
    work = work_along(path, CONES[cone], TRUE_C[channel], until_s=elapsed_s)
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
    seen = look(record, second, "6", "top", 13000.0)
    (evidence,) = evidence_of_firing(record, second.id, [seen])["top"]
    assert evidence == evidence_of_firing(record, first.id, [seen])["top"][0]


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
    assert evidence_of_firing(record, several.id, [seen]) == {}
    assert offsets_of_kiln(record, "shed") == {}
    single = fired(record, ("kiln",))
    assert list(evidence_of_firing(record, single.id, [seen])) == ["kiln"]


def test_firings_together_are_the_estimate_of_their_evidence(record: Record) -> None:
    firing = fired(record)
    one = Observation(14000.0, "6", "3", "top")
    other = replace(one, elapsed_s=14200.0, channel="bottom")
    firings = [evidence_of_firing(record, firing.id, looks) for looks in ([one], [one, other])]
    found = combined(firings)
    assert found["top"] == estimate([firings[0]["top"], firings[1]["top"]])
    assert found["bottom"] == estimate([firings[1]["bottom"]])
    assert combined([]) == {}
