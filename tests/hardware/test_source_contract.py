"""What every source of readings promises, shown of each of them."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

import pytest

from hardware.channel import ThermocoupleChannel
from hardware.max31856_rig import Max31856Rig
from hardware.recorded_log import RecordedLogSource, read_log
from simulator.chip import SimulatedBench
from simulator.chip.practice import PracticeFault
from supervisor.core.readings import FaultCause, Reading, Source
from supervisor.service.practice_rig import PracticeRig
from tests.hardware.rigs import bench_and_rig

LOG = """elapsed_s,top_c,top_fault,low_f
0,20,,68
1,21,,
2.5,,open,70
30,22,,71
31,23,,72
32,24,,73
33,25,,74
34,26,,75
"""


@dataclass
class Played:
    """A source, the names it must have, and what has to happen before each reading."""

    source: Source
    channels: tuple[str, ...]
    before_reading: Callable[[float], None] = lambda _elapsed_s: None


def a_rig(_folder: Path) -> Played:
    bench, rig = bench_and_rig("top", "low")

    def live_on(elapsed_s: float) -> None:
        bench.show({"top": None if 3.0 <= elapsed_s <= 5.0 else 20.0 + elapsed_s})
        bench.advance(1.0)

    return Played(rig, ("top", "low"), live_on)


def a_rig_with_a_dead_bus(_folder: Path) -> Played:
    bench, rig = bench_and_rig("top", "low")
    bench.spi.stick_miso(0)
    return Played(rig, ("top", "low"))


def a_rig_on_two_buses(_folder: Path) -> Played:
    bench = SimulatedBench(["top", "low"], on={"top": "SPI0", "low": "SPI5"})
    channels = [ThermocoupleChannel("top", "top"), ThermocoupleChannel("low", "low", bus="SPI5")]
    rig = Max31856Rig(bench.buses, channels, bench.pins, patience_s=5.0)
    bench.advance(1.0)
    return Played(rig, ("top", "low"), lambda _elapsed_s: bench.advance(1.0))


def a_rig_to_practise_on(_folder: Path) -> Played:
    channels = [ThermocoupleChannel("top", "D5"), ThermocoupleChannel("low", "D6")]
    return Played(PracticeRig(channels, {"low": PracticeFault.RESTARTS}), ("top", "low"))


def a_log(folder: Path) -> Played:
    path = folder / "kiln.csv"
    path.write_text(LOG, encoding="utf-8")
    return Played(RecordedLogSource(read_log(path)), ("top", "low"))


def a_simulated_firing(_folder: Path) -> Played:
    pytest.importorskip("simulator.source")
    from simulator.firing import SimulatedFiring
    from simulator.scenario import load_scenario
    from simulator.source import SimulatedSource

    firing = SimulatedFiring(load_scenario("broken-probe"))
    return Played(SimulatedSource(firing), firing.scenario.channels)


MAKERS = [
    a_rig,
    a_rig_with_a_dead_bus,
    a_rig_on_two_buses,
    a_rig_to_practise_on,
    a_log,
    a_simulated_firing,
]


@pytest.fixture(params=MAKERS, ids=[maker.__name__ for maker in MAKERS])
def played(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Played]:
    made: Played = request.param(tmp_path)
    yield made
    made.source.close()


def play(played: Played, most: int = 12) -> list[Reading]:
    """Readings taken when they are due, as a service takes them."""
    found: list[Reading] = []
    after_s: float | None = None
    while len(found) < most and (due_s := played.source.due_s(after_s)) is not None:
        played.before_reading(due_s)
        reading = played.source.read(due_s)
        found.append(reading)
        after_s = reading.elapsed_s
    return found


def test_the_channels_are_names_and_stay(played: Played) -> None:
    assert played.source.channels == played.channels
    play(played, 3)
    assert played.source.channels == played.channels
    assert len(set(played.channels)) == len(played.channels) > 0


def test_every_reading_has_every_channel_in_order(played: Played) -> None:
    found = play(played)
    assert len(found) >= 8
    for reading in found:
        assert tuple(reading.temps_c) == played.channels


def test_a_temperature_is_a_sane_number_or_none(played: Played) -> None:
    for reading in play(played):
        for temp_c in reading.temps_c.values():
            assert temp_c is None or (math.isfinite(temp_c) and -300.0 <= temp_c <= 3000.0)


def test_a_channel_at_fault_has_no_temperature(played: Played) -> None:
    for reading in play(played):
        assert set(reading.faults) <= set(played.channels)
        for name, cause in reading.faults.items():
            assert isinstance(cause, FaultCause)
            assert reading.temps_c[name] is None


def test_time_goes_forward(played: Played) -> None:
    found = play(played)
    for earlier, later in pairwise(found):
        assert later.elapsed_s > earlier.elapsed_s


def test_a_reading_is_of_the_time_it_was_due(played: Played) -> None:
    due_s = played.source.due_s(None)
    assert due_s is not None
    assert played.source.read(due_s).elapsed_s == due_s


def test_asking_when_changes_nothing(played: Played) -> None:
    first = played.source.due_s(None)
    assert [played.source.due_s(None) for _ in range(3)] == [first] * 3
    assert first is not None
    played.source.read(first)
    assert played.source.due_s(first) == played.source.due_s(first)


def test_a_reading_once_given_does_not_change(played: Played) -> None:
    found = play(played, 1)[0]
    temps_c, faults = dict(found.temps_c), dict(found.faults)
    play(played, 5)
    assert (found.temps_c, found.faults) == (temps_c, faults)


def test_closing_twice_is_fine(played: Played) -> None:
    play(played, 1)
    played.source.close()
    played.source.close()


def test_the_sources_between_them_show_temperatures_and_faults(tmp_path: Path) -> None:
    """The list above would prove little on sources that never give either."""
    for maker in (a_rig, a_log):
        found = play(maker(tmp_path))
        assert any(reading.faults for reading in found)
        assert any(temp_c is not None for reading in found for temp_c in reading.temps_c.values())


def test_a_simulated_kiln_is_read_through_the_real_driver() -> None:
    """What the rig reads is what the simulated source says, to the converter's step."""
    pytest.importorskip("simulator.source")
    from simulator.firing import SimulatedFiring
    from simulator.scenario import load_scenario

    firing = SimulatedFiring(load_scenario("healthy-bisque"))
    names = firing.scenario.channels
    bench, rig = bench_and_rig(*names)
    for elapsed_s in range(1, 121):
        firing.advance_to(float(elapsed_s))
        bench.show(firing.measured_c, cold_junction_c=firing.cold_junction_c)
        bench.advance(1.0)
        reading = rig.read(float(elapsed_s))
        assert reading.faults == {}
        for name, temp_c in firing.measured_c.items():
            assert temp_c is not None
            assert reading.temps_c[name] == pytest.approx(temp_c, abs=1 / 256)
        for cold_c in rig.cold_junctions_c().values():
            assert cold_c == pytest.approx(firing.cold_junction_c, abs=1 / 128)
