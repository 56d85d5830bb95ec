"""A rig to practise on: the configured channels on register-level chips, under the real driver.

Wires the simulator's practice bench to the rig, so that anybody can try what a rig says.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from hardware.channel import ThermocoupleChannel
from hardware.explain import ChannelReport
from hardware.max31856_rig import Max31856Rig
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
        selects = {channel.name: channel.chip_select for channel in channels}
        self._selects = selects
        self._practice = PracticeBench(
            {channel.chip_select: channel.thermocouple_type for channel in channels},
            on={channel.chip_select: channel.bus for channel in channels},
            faults={selects[name]: fault for name, fault in faults.items()},
        )
        bench = self._practice.bench
        self._rig = Max31856Rig(
            bench.buses, channels, bench.pins, interval_s=interval_s, mains_hz=mains_hz
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
        self._practice.dip(self._selects[name], bath_c)

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
