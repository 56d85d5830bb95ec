"""Rigs on a bench, for the tests of this folder."""

from __future__ import annotations

from collections.abc import Callable, Iterable

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


def troubles_of(bench: SimulatedBench) -> tuple[Callable[[], None], ...]:
    """What goes wrong on a bench with "top" and "bottom", one after the other."""
    return (
        lambda: bench.show({"top": None}),
        lambda: bench.chips["bottom"].set_over_voltage(True),
        lambda: bench.chips["top"].unplug(),
        lambda: bench.chips["top"].plug_in(),
        lambda: bench.spi.stick_miso(1),
        lambda: bench.spi.stick_miso(None),
        lambda: bench.chips["bottom"].brown_out(),
    )


def read_through(
    bench: SimulatedBench, rig: Max31856Rig, troubles: Iterable[Callable[[], None]]
) -> None:
    """Let the rig read in each trouble."""
    for elapsed_s, trouble in enumerate(troubles):
        trouble()
        bench.advance(2.0)
        rig.read(float(elapsed_s))
