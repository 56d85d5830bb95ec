"""A rig's findings in words."""

from __future__ import annotations

import pytest

from hardware.channel import ThermocoupleChannel
from hardware.diagnosis import NOTHING_YET, Finding
from hardware.explain import ChannelReport, report
from supervisor.core.readings import FaultCause
from tests.hardware.rigs import bench_and_rig

CHANNEL = ThermocoupleChannel("top", "D5")


def test_a_good_channel_is_reported_with_its_figures() -> None:
    _, rig = bench_and_rig("top")
    rig.read(1.0)
    assert rig.explain() == (ChannelReport("top", "K", 500.0, 25.0, None, "The probe reads well."),)


@pytest.mark.parametrize(
    ("fault", "words"),
    [
        (FaultCause.OPEN, "screws of both terminals"),
        (FaultCause.VOLTAGE, "switch the kiln off at its isolator and call a licensed electrician"),
        (FaultCause.RANGE, "type K can measure"),
        (FaultCause.COLD_JUNCTION, "away from the kiln"),
        (FaultCause.BUS, "does not answer"),
    ],
)
def test_every_fault_of_the_rig_says_what_to_check(fault: FaultCause, words: str) -> None:
    assert words in report(CHANNEL, Finding(fault=fault)).sentence


def test_warm_terminals_are_pointed_out() -> None:
    told = report(CHANNEL, Finding(temp_c=1000.0, cold_junction_c=71.0))
    assert told.fault is None
    assert "71 °C" in told.sentence


def test_before_the_first_value_it_says_so() -> None:
    assert "No value yet" in report(CHANNEL, NOTHING_YET).sentence
