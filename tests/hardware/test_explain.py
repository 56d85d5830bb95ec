"""A rig's findings in words."""

from __future__ import annotations

import pytest

from hardware.channel import ThermocoupleChannel
from hardware.diagnosis import NOTHING_YET, Finding, no_answer
from hardware.explain import ChannelReport, report
from hardware.silence import POWER_ON, WHAT_IT_MEANS, Silence, silence_of
from simulator.chip import registers as reg
from supervisor.core.readings import FaultCause
from supervisor.core.sensor_checks import BEFORE_TOUCHING, SENSOR_CHECKS
from supervisor.core.units import Unit
from tests.hardware.rigs import bench_and_rig

CHANNEL = ThermocoupleChannel("top", "D5")


def said(finding: Finding, *neighbours: Finding) -> str:
    return " ".join(report(CHANNEL, finding, neighbours).sentences)


def test_a_good_channel_is_reported_with_its_figures() -> None:
    _, rig = bench_and_rig("top")
    rig.read(1.0)
    assert rig.explain() == (
        ChannelReport(
            "top", "K", 500.0, 25.0, None, "ok", ("The probe reads well.",), is_fine=True
        ),
    )


@pytest.mark.parametrize("cause", list(FaultCause))
def test_every_fault_is_told_in_the_watchs_own_words(cause: FaultCause) -> None:
    told = report(CHANNEL, Finding(fault=cause))
    assert SENSOR_CHECKS[cause].check in " ".join(told.sentences)
    assert told.short == SENSOR_CHECKS[cause].short
    assert not told.is_fine
    assert (BEFORE_TOUCHING in told.sentences) is SENSOR_CHECKS[cause].is_hands_on
    for sentence in told.sentences:
        assert sentence[0].isupper()
        assert sentence.endswith(".")


@pytest.mark.parametrize(
    ("fault", "words"),
    [
        (FaultCause.OPEN, "a broken probe, a loose or burnt terminal, or a lead that has come off"),
        (FaultCause.VOLTAGE, "switch the kiln off at its isolator and call a licensed electrician"),
        (FaultCause.VOLTAGE, "A board without any probe may show this too"),
        (FaultCause.RANGE, "Type K goes from -200 °C to 1,372 °C"),
        (FaultCause.SHORT, "a wet terminal"),
        (FaultCause.COLD_JUNCTION, "away from the kiln"),
        (FaultCause.REVERSED, "its leads are swapped"),
        (FaultCause.TYPE, "the letter on the probe"),
        (FaultCause.BUS, "does not answer"),
    ],
)
def test_every_fault_of_the_rig_says_what_to_check(fault: FaultCause, words: str) -> None:
    assert words in said(Finding(fault=fault))


@pytest.mark.parametrize(
    ("raw", "silence"),
    [
        (bytes(16), Silence.LOW),
        (b"\xff" * 16, Silence.HIGH),
        (reg.POWER_ON, Silence.DEAF),
        (reg.POWER_ON[:10] + b"\x19\x00\x01\x90\x00\x00", Silence.DEAF),
        (b"\x5a" * 16, Silence.GARBLED),
        (b"\x80" + reg.POWER_ON[1:], Silence.GARBLED),
    ],
)
def test_what_comes_back_tells_which_wire_to_look_at(raw: bytes, silence: Silence) -> None:
    assert silence_of(raw) is silence
    assert WHAT_IT_MEANS[silence] in said(no_answer(silence))


def test_the_power_on_values_are_those_of_the_memory_map() -> None:
    assert reg.POWER_ON.startswith(POWER_ON)


def test_every_silence_has_its_words() -> None:
    assert set(WHAT_IT_MEANS) == set(Silence)


def test_one_silent_board_among_others_is_told_from_a_silent_bus() -> None:
    silent, well = no_answer(Silence.LOW), Finding(temp_c=20.0)
    assert "this board's own leads" in said(silent, well, silent)
    assert "its chip select D5" in said(silent, well)
    assert "Every board on SPI0 is silent" in said(silent, silent)
    assert "board's own" not in said(silent)
    assert "board's own" not in said(no_answer(Silence.IDLE), well), "the wires are not to blame"


def test_lost_power_is_counted_and_told() -> None:
    assert "has lost its power once" in said(Finding(temp_c=20.0, restarts=1))
    assert "has lost its power 3 times" in said(Finding(temp_c=20.0, restarts=3))


def test_a_doubt_about_the_type_names_both_explanations() -> None:
    told = report(CHANNEL, Finding(temp_c=700.0, fits=("N",)))
    assert (told.short, told.is_fine) == ("in doubt", True)
    assert "as a type N would on an input that is set to K" in told.sentences[0]
    assert "colder or hotter part of the kiln" in told.sentences[0]


def test_warm_terminals_are_pointed_out() -> None:
    told = report(CHANNEL, Finding(temp_c=1000.0, cold_junction_c=71.0))
    assert told.fault is None
    assert "71 °C" in told.sentences[0]


def test_a_potter_who_reads_fahrenheit_is_told_in_fahrenheit() -> None:
    for finding in (
        Finding(fault=FaultCause.RANGE),
        Finding(below_range=True),
        Finding(temp_c=1000.0, cold_junction_c=71.0),
    ):
        told = report(CHANNEL, finding, (), Unit.F)
        assert "°F" in " ".join(told.sentences)
        assert "°C" not in " ".join(told.sentences)


def test_before_the_first_value_it_says_so() -> None:
    told = report(CHANNEL, NOTHING_YET)
    assert "No value yet" in told.sentences[0]
    assert told.is_waiting
    assert not told.is_fine
