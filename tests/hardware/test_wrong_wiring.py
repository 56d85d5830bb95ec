"""Swapped leads and a wrong type, from what they do: through the chip, the driver and the rig.

The chip works with voltages here: NIST's reference functions (Monograph 175), which
``tests/reference/test_its90`` holds against NIST's own.
"""

from __future__ import annotations

import pytest
from thermocouple_its90 import TYPES

from hardware.channel import ThermocoupleChannel
from hardware.max31856_rig import Max31856Rig
from simulator.chip import SimulatedBench
from supervisor.core.its90 import read_as_c
from supervisor.core.readings import FaultCause, Reading

pytestmark = pytest.mark.timeout(30)

TERMINALS_C = 25.0


def rig_of(**letters: str) -> tuple[SimulatedBench, Max31856Rig]:
    """Channels by the type that they are set to."""
    bench = SimulatedBench(letters)
    channels = [
        ThermocoupleChannel(name, name, thermocouple_type=letter)
        for name, letter in letters.items()
    ]
    rig = Max31856Rig(bench.spi, channels, bench.pins)
    bench.show({}, cold_junction_c=TERMINALS_C)
    return bench, rig


def climb(
    bench: SimulatedBench, rig: Max31856Rig, to_c: float, *, low_part: float = 1.0
) -> list[Reading]:
    """A climb at 10 °C a look; ``low`` is warmer than the terminals by that part of the rest."""
    readings = []
    for look in range(int((to_c - TERMINALS_C) / 10.0) + 1):
        warmth_c = 10.0 * look
        bench.show(
            {
                name: TERMINALS_C + warmth_c * (low_part if name == "low" else 1.0)
                for name in bench.chips
            }
        )
        bench.advance(30.0)
        readings.append(rig.read(30.0 * look))
    return readings


@pytest.mark.parametrize("letter", ["K", "N", "S", "R", "J"])
def test_swapped_leads_are_told_before_the_kiln_is_hot(letter: str) -> None:
    bench, rig = rig_of(top=letter)
    bench.chips["top"].set_probe(letter, swapped=True)
    readings = climb(bench, rig, 125.0)
    faults = [reading.faults.get("top") for reading in readings]
    assert faults[0] is None
    assert faults[-1] is FaultCause.REVERSED
    told_at_c = TERMINALS_C + 10.0 * faults.index(FaultCause.REVERSED)
    assert told_at_c <= 100.0
    assert set(faults[faults.index(FaultCause.REVERSED) :]) == {FaultCause.REVERSED}
    mirrored = [reading.temps_c["top"] for reading in readings]
    shown = [temp_c for temp_c in mirrored if temp_c is not None]
    assert shown == sorted(shown, reverse=True), "it reads ever lower as the kiln climbs"
    assert "its leads are swapped" in rig.explain()[0].sentences[0]


def test_a_swapped_probe_reads_what_its_voltage_says() -> None:
    bench, rig = rig_of(top="K")
    bench.chips["top"].set_probe("K", swapped=True)
    bench.show({"top": 45.0})
    bench.advance(1.0)
    mv = -TYPES["K"].emf(45.0, reference=TERMINALS_C)
    expected_c = TYPES["K"].temperature(mv, reference=TERMINALS_C)
    assert rig.read(1.0).temps_c["top"] == pytest.approx(expected_c, abs=0.01)


def test_a_frosty_kiln_beside_a_warm_box_is_no_swapped_probe() -> None:
    bench, rig = rig_of(top="K", low="S")
    bench.show({"top": -10.0, "low": -10.0}, cold_junction_c=35.0)
    bench.advance(1.0)
    reading = rig.read(1.0)
    assert reading.faults == {}
    assert reading.temps_c == {"top": -10.0, "low": -10.0}


WRONG = [("S", "K"), ("R", "K"), ("B", "S"), ("T", "R"), ("S", "N")]


@pytest.mark.parametrize(("probe", "set_to"), WRONG)
def test_a_grossly_wrong_type_beside_a_right_one_is_a_fault(probe: str, set_to: str) -> None:
    bench, rig = rig_of(top="K", low=set_to)
    bench.chips["low"].set_probe(probe)
    last = climb(bench, rig, 395.0)[-1]
    assert last.temps_c["top"] == pytest.approx(395.0, abs=0.01)
    assert last.temps_c["low"] is None
    assert last.faults["low"] in (FaultCause.TYPE, FaultCause.RANGE)
    if last.faults["low"] is FaultCause.TYPE:
        told = " ".join(rig.explain()[1].sentences)
        assert f"It is set to type {set_to}" in told
        fits = told.split("fits type ")[1].split(".")[0].split(" or ")
        assert probe in fits
        assert len(fits) <= 2


def test_some_of_the_gross_ones_are_named_by_their_curve_and_not_only_by_the_range() -> None:
    named = 0
    for probe, set_to in WRONG:
        bench, rig = rig_of(top="K", low=set_to)
        bench.chips["low"].set_probe(probe)
        named += climb(bench, rig, 395.0)[-1].faults["low"] is FaultCause.TYPE
    assert named >= 3


@pytest.mark.parametrize(("probe", "set_to"), [("N", "K"), ("K", "N"), ("J", "K")])
def test_a_type_that_a_cold_zone_could_explain_is_a_doubt_and_still_read(
    probe: str, set_to: str
) -> None:
    bench, rig = rig_of(top=set_to, low=set_to)
    bench.chips["low"].set_probe(probe)
    last = climb(bench, rig, 605.0)[-1]
    assert last.faults == {}
    assert last.temps_c["low"] is not None
    top, low = rig.explain()
    assert top.short == "ok"
    assert low.short == "in doubt"
    assert f"as a type {probe} would on an input that is set to {set_to}" in low.sentences[0]


def test_where_either_of_two_may_be_the_wrong_one_none_is_named() -> None:
    """A K on an input for J reads as much lower as an E on one for J reads higher."""
    bench, rig = rig_of(top="J", low="J")
    bench.chips["low"].set_probe("K")
    assert climb(bench, rig, 605.0)[-1].faults == {}
    assert [told.short for told in rig.explain()] == ["ok", "ok"]


def test_with_three_channels_the_wrong_one_is_told_from_the_right_ones() -> None:
    bench, rig = rig_of(top="K", middle="K", low="K")
    bench.chips["low"].set_probe("S")
    assert climb(bench, rig, 505.0)[-1].faults == {"low": FaultCause.TYPE}


def test_one_channel_alone_is_never_accused() -> None:
    bench, rig = rig_of(top="K")
    bench.chips["top"].set_probe("N")
    assert all(not reading.faults for reading in climb(bench, rig, 1005.0))


def test_channels_that_are_all_wrong_alike_can_not_be_told() -> None:
    bench, rig = rig_of(top="K", low="K")
    for chip in bench.chips.values():
        chip.set_probe("N")
    assert all(not reading.faults for reading in climb(bench, rig, 1005.0))


@pytest.mark.parametrize("low_part", [0.6, 0.7, 0.8, 0.9, 0.95, 1.05, 1.1])
@pytest.mark.parametrize("letter", ["K", "S", "N"])
def test_a_colder_zone_is_no_fault_whatever_its_part(letter: str, low_part: float) -> None:
    bench, rig = rig_of(top=letter, low=letter)
    readings = climb(bench, rig, 1155.0, low_part=low_part)
    assert all(not reading.faults for reading in readings)
    assert all(temp_c is not None for reading in readings for temp_c in reading.temps_c.values())


def test_a_probe_that_was_with_the_others_and_slips_is_no_wrong_type() -> None:
    """Where it comes to rest, a K may read as an S on its input would."""
    bench, rig = rig_of(top="K", low="K")
    assert not climb(bench, rig, 405.0)[-1].faults
    for look in range(60):
        hot_c = 405.0 + 10.0 * look
        as_s_c = read_as_c("S", "K", hot_c, TERMINALS_C)
        assert as_s_c is not None
        bench.show({"top": hot_c, "low": as_s_c})
        bench.advance(30.0)
        assert rig.read(5_000.0 + 30.0 * look).faults == {}


def test_a_probe_that_is_exchanged_for_the_right_one_is_believed_again() -> None:
    bench, rig = rig_of(top="K", low="K")
    bench.chips["low"].set_probe("S")
    assert climb(bench, rig, 505.0)[-1].faults == {"low": FaultCause.TYPE}
    bench.chips["low"].set_probe("K")
    for look in range(3):
        bench.advance(30.0)
        reading = rig.read(10_000.0 + 30.0 * look)
    assert reading.faults == {}
    assert reading.temps_c["low"] == pytest.approx(505.0)
