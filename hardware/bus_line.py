"""The chips of one SPI bus, looked at one after the other.

Knows how to tell a chip that answers from a line that only looks like one, how to bring a chip
back, and how to keep one bad chip from the others. A dead data line reads exactly 0.0 °C and no
fault (stuck low), or all ones (stuck high); so every look reads the configuration too, and only
a chip that holds it is believed. A chip that has lost its power wakes up without it: it is set
up anew, and what it holds from before is not believed. Refuses to know other buses and threads.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType
from typing import Final

from hardware.bus import ChipSelectPin, SpiBus
from hardware.channel import ThermocoupleChannel
from hardware.converter import Converter, Snapshot
from hardware.diagnosis import NOTHING_YET, Finding, diagnose, no_answer
from hardware.silence import POWER_ON, Silence, silence_of
from supervisor.core.readings import FaultCause

_SURPRISING_C: Final = 10.0
"""A kiln does not move so far between two looks; a flipped bit does. Then look again."""
_SURPRISING_COLD_JUNCTION_C: Final = 2.0
_LOOKS_AT_A_SURPRISE: Final = 3
_STOPS_CONVERTING: Final = frozenset({FaultCause.VOLTAGE, FaultCause.OPEN})
_BUS_ERRORS: Final = (OSError, RuntimeError)
"""What the kernel's SPI and pins raise, and what Blinka makes of it."""


class BusLine:
    """One bus and its chips. Used from one thread at a time."""

    def __init__(
        self,
        spi: SpiBus | None,
        channels: Sequence[ThermocoupleChannel],
        pins: Mapping[str, ChipSelectPin],
        mains_hz: int,
        selected: Mapping[str, SpiBus] = MappingProxyType({}),
    ) -> None:
        """Drives every select high, and talks to nobody yet.

        ``selected`` has, by a channel's name, the device through which the kernel selects its
        chip; the others are selected by their pins, on ``spi``.
        """
        self.channels = tuple(channels)
        self._members = []
        self._devices: list[SpiBus] = []
        for channel in channels:
            device = selected.get(channel.name, spi)
            pin = None if channel.name in selected else pins[channel.chip_select]
            assert device is not None  # noqa: S101 - a pin is on a bus that is there
            if device not in self._devices:
                self._devices.append(device)
            self._members.append(_Member(channel, Converter(device, pin, channel, mains_hz)))

    @property
    def open_check_after_s(self) -> float:
        """Seconds until every chip has looked for a broken circuit for certain."""
        return max(member.converter.open_check_after_s for member in self._members)

    def wake(self) -> tuple[Finding, ...]:
        """Try to set the chips up; whether it worked shows at the first look."""
        for member in self._members:
            member.wake()
        return (NOTHING_YET,) * len(self._members)

    def look(self, elapsed_s: float) -> tuple[Finding, ...]:
        """What is found, chip by chip. Never waits for a conversion, nor for the bus.

        Chips that were silent at the last look come last: to set one up anew takes longest.
        """
        for device in self._devices:
            if not device.try_lock():
                return (no_answer(Silence.BUSY),) * len(self._members)
            device.unlock()
        found = {
            member: member.look(elapsed_s)
            for member in sorted(self._members, key=lambda member: member.was_silent)
        }
        return tuple(found[member] for member in self._members)


class _Member:
    """One channel with its chip and what is remembered of it from look to look."""

    def __init__(self, channel: ThermocoupleChannel, converter: Converter) -> None:
        self.converter = converter
        self._channel = channel
        self._believed: Snapshot | None = None
        self._old_values: bytes | None = None
        self._configured_at_s: float | None = None
        self._held_once = False
        self._restarts = 0
        self.was_silent = False
        """Whether it did not answer at the last look."""

    def wake(self) -> None:
        try:
            self._set_up(None)
        except _BUS_ERRORS:
            self.converter.let_go_of_bus()

    def look(self, elapsed_s: float) -> Finding:
        """Look at the chip and say what was found."""
        try:
            finding = self._look(elapsed_s)
        except _BUS_ERRORS:
            self.converter.let_go_of_bus()
            finding = no_answer(Silence.REFUSED)
        self.was_silent = finding.fault is FaultCause.BUS
        if self.was_silent:
            self._believed = None
        return replace(finding, restarts=self._restarts) if self._restarts else finding

    def _look(self, elapsed_s: float) -> Finding:
        snapshot = self.converter.look()
        if not self._holds_configuration(snapshot):
            snapshot = self.converter.look()
        if not self._holds_configuration(snapshot):
            has_restarted = self._held_once and snapshot.configuration == POWER_ON
            snapshot = self._set_up(elapsed_s)
            if not self._holds_configuration(snapshot):
                return no_answer(silence_of(snapshot.raw))
            self._restarts += has_restarted
        self._held_once = True
        if self._old_values is not None and not snapshot.fault_bits:
            if self._configured_at_s is None:
                self._configured_at_s = elapsed_s
            waited_s = elapsed_s - self._configured_at_s
            if snapshot.values == self._old_values:
                if waited_s < self.converter.first_value_after_s:
                    return NOTHING_YET
                if not any(snapshot.values):
                    return no_answer(Silence.IDLE)
            self._old_values = None
        checked = self._look_again(snapshot)
        if checked is None:
            return no_answer(Silence.GARBLED)
        self._believed = checked
        finding = diagnose(checked, self._channel)
        if finding.fault in _STOPS_CONVERTING:
            # What the chip holds is from before, and still is when the fault has just gone.
            self._old_values, self._configured_at_s = checked.values, None
        return finding

    def _look_again(self, snapshot: Snapshot) -> Snapshot | None:
        """The snapshot when it is no surprise, or when a further one agrees with it."""
        if self._believed is not None and _agree(self._believed, snapshot):
            return snapshot
        for _ in range(_LOOKS_AT_A_SURPRISE - 1):
            again = self.converter.look()
            if not self._holds_configuration(again):
                continue
            if _agree(snapshot, again):
                return again
            snapshot = again
        return None

    def _holds_configuration(self, snapshot: Snapshot) -> bool:
        return snapshot.configuration == self.converter.wanted

    def _set_up(self, elapsed_s: float | None) -> Snapshot:
        snapshot = self.converter.configure()
        self._old_values = snapshot.values
        self._configured_at_s = elapsed_s
        return snapshot


def _agree(one: Snapshot, other: Snapshot) -> bool:
    return (
        one.fault_bits == other.fault_bits
        and abs(one.temp_c - other.temp_c) <= _SURPRISING_C
        and abs(one.cold_junction_c - other.cold_junction_c) <= _SURPRISING_COLD_JUNCTION_C
    )
