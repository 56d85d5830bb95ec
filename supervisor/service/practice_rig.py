"""A rig to practise on: the configured channels on register-level chips, under the real driver.

Wires the simulator's practice bench to the rig, so that anybody can try what a rig says.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from hardware.channel import ThermocoupleChannel
from hardware.explain import ChannelReport
from hardware.kernel_spi import KernelSpi
from hardware.max31856_rig import Max31856Rig
from simulator.chip import FakeSpidev
from simulator.chip.practice import PracticeBench, PracticeFault
from supervisor.core.readings import Reading
from supervisor.core.units import Unit


class PracticeRig:
    """A source that explains itself, as ``Max31856Rig`` does."""

    def __init__(
        self,
        channels: Sequence[ThermocoupleChannel],
        faults: Mapping[str, PracticeFault],
        *,
        interval_s: float = 1.0,
        mains_hz: int = 50,
    ) -> None:
        self._practice = PracticeBench(
            {channel.name: channel.thermocouple_type for channel in channels},
            on={channel.name: channel.bus for channel in channels},
            faults=faults,
        )
        bench = self._practice.bench
        self._rig = Max31856Rig(
            bench.buses,
            channels,
            {channel.chip_select: bench.pins[channel.name] for channel in channels},
            selected={
                channel.name: KernelSpi(
                    FakeSpidev(bench.buses[channel.bus], bench.pins[channel.name])
                )
                for channel in channels
                if channel.kernel_select is not None
            },
            interval_s=interval_s,
            mains_hz=mains_hz,
        )

    @property
    def channels(self) -> tuple[str, ...]:
        return self._rig.channels

    @property
    def open_check_after_s(self) -> float:
        """As the rig's."""
        return self._rig.open_check_after_s

    def dip(self, name: str, bath_c: float) -> None:
        """Put a channel's probe into water."""
        self._practice.dip(name, bath_c)

    def due_s(self, after_s: float | None) -> float | None:
        return self._rig.due_s(after_s)

    def read(self, elapsed_s: float) -> Reading:
        """Let the bench live on until ``elapsed_s``, and read its chips."""
        self._practice.advance_to(elapsed_s)
        return self._rig.read(elapsed_s)

    def explain(self, unit: Unit = Unit.C) -> tuple[ChannelReport, ...]:
        """As the rig's."""
        return self._rig.explain(unit)

    def close(self) -> None:
        self._rig.close()
