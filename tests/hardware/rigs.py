"""Rigs on a bench, for the tests of this folder."""

from __future__ import annotations

from hardware.channel import ThermocoupleChannel
from hardware.max31856_rig import Max31856Rig
from simulator.chip import SimulatedBench


def bench_and_rig(
    *names: str, letter: str = "K", offset_c: float = 0.0, record_last: int | None = 0
) -> tuple[SimulatedBench, Max31856Rig]:
    """A rig whose chips have converted once, probes at 500 °C, terminals at 25 °C."""
    bench = SimulatedBench(names, record_last=record_last)
    channels = [
        ThermocoupleChannel(name, name, thermocouple_type=letter, offset_c=offset_c)
        for name in names
    ]
    rig = Max31856Rig(bench.spi, channels, bench.pins)
    bench.show(dict.fromkeys(names, 500.0), cold_junction_c=25.0)
    bench.advance(1.0)
    return bench, rig
