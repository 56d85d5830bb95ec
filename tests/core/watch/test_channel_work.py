"""What counts for a channel's heat-work: values taken up from a channel that is believed."""

from __future__ import annotations

import pytest

from supervisor.core.readings import FaultCause
from supervisor.core.watch import Watch
from supervisor.core.watch.channel_work import ChannelWork
from tests.core.firings import as_planned, plan, seen

SCHEDULE = plan("150 900", "60 1000 20", cone="06")


def test_it_is_the_heat_work_that_the_watch_shows() -> None:
    watch, alone = Watch(SCHEDULE, ("kiln",)), ChannelWork("kiln")
    for reading in seen(as_planned(SCHEDULE)):
        watch.feed(reading)
        alone.look(reading.elapsed_s, reading.temps_c["kiln"], None)
    assert alone.work.progress() == watch.progress("kiln")
    assert alone.work.progress().cone is not None


def test_a_value_of_a_faulty_channel_adds_nothing() -> None:
    alone = ChannelWork("kiln")
    for n in range(60):
        assert alone.look(n * 10.0, 700.0, None)
    before = alone.work.progress().work
    for n in range(60, 120):
        assert not alone.look(n * 10.0, 1200.0, FaultCause.OPEN)
        assert not alone.look(n * 10.0 + 5.0, None, None)
    assert alone.work.progress().work == before


def test_a_lone_spike_adds_nothing() -> None:
    spiked, plain = ChannelWork("kiln"), ChannelWork("kiln")
    for n in range(600):
        if n == 300:
            assert not spiked.look(n * 10.0 - 5.0, 1290.0, None)
        for work in (spiked, plain):
            assert work.look(n * 10.0, 900.0 + 0.1 * (n % 2), None)
    one, other = spiked.work.progress().work, plain.work.progress().work
    assert all(abs(one[cone] - other[cone]) < 1e-3 for cone in one)


def test_a_blank_look_is_no_value() -> None:
    assert not ChannelWork("kiln").look(0.0, None, None)
    assert ChannelWork("kiln").look(0.0, 20.0, None)


def test_a_constant_adds_nothing_until_it_has_moved() -> None:
    alone, whole = ChannelWork("kiln"), ChannelWork("kiln")
    for n in range(150):
        alone.look(n * 10.0, 900.0, None)
        whole.look(n * 10.0, 900.0 + 0.1 * (n % 2), None)
    assert set(alone.work.progress().work.values()) == {0.0}
    alone.look(1500.0, 900.1, None)
    whole.look(1500.0, 900.1, None)
    one, other = alone.work.progress().work, whole.work.progress().work
    assert one["08"] > 0.0
    assert one["08"] == pytest.approx(other["08"], rel=0.01)
