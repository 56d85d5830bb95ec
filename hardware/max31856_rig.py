"""Thermocouples behind MAX31856 chips on one SPI bus, as a source of readings.

Knows how to tell a chip that answers from a line that only looks like one, how to bring a
chip back, and how to keep one bad chip from the others. A dead data line reads exactly 0.0 °C
and no fault (stuck low), or all ones (stuck high); so every look reads the configuration too,
and only a chip that holds it is believed. It refuses to know pins, boards and clocks, and it
writes nothing but the chips' own configuration.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Final

from hardware.bus import ChipSelectPin, SpiBus
from hardware.channel import ThermocoupleChannel
from hardware.converter import Converter, Snapshot
from hardware.diagnosis import NO_ANSWER, NOTHING_YET, Finding, diagnose
from hardware.explain import ChannelReport, report
from supervisor.core.errors import InputError, RigError
from supervisor.core.readings import FaultCause, Reading

INTERVAL_RANGE_S: Final = (0.2, 60.0)

_SURPRISING_C: Final = 10.0
"""A kiln does not move so far between two looks; a flipped bit does. Then look again."""
_SURPRISING_COLD_JUNCTION_C: Final = 2.0
_LOOKS_AT_A_SURPRISE: Final = 3
_BUS_ERRORS: Final = (OSError, RuntimeError)
"""What the kernel's SPI and pins raise, and what Blinka makes of it."""


class Max31856Rig:
    """A rig of one or more chips on one bus; implements ``Source``.

    ``pins`` has a pin for the ``chip_select`` of each channel. ``interval_s`` is the time from
    one reading to the next, 0.2 to 60 s. ``mains_hz`` is 50 or 60: the hum that is filtered
    out. ``release`` is called once, by ``close``, to let go of bus and pins. Raises
    InputError for a description that can't be; a chip that does not answer is a fault of its
    channel, not an error.
    """

    def __init__(
        self,
        spi: SpiBus,
        channels: Sequence[ThermocoupleChannel],
        pins: Mapping[str, ChipSelectPin],
        *,
        interval_s: float = 1.0,
        mains_hz: int = 50,
        release: Callable[[], None] | None = None,
    ) -> None:
        check_rig(channels, interval_s=interval_s, mains_hz=mains_hz)
        missing = [c.chip_select for c in channels if c.chip_select not in pins]
        if missing:
            raise InputError(f"there is no pin {missing[0]} on this rig.")
        self._spi = spi
        self._interval_s = interval_s
        self._release = release
        self._closed = False
        # Every pin is driven high before the first byte: a floating select may listen in.
        self._members = [
            _Member(channel, Converter(spi, pins[channel.chip_select], channel, mains_hz))
            for channel in channels
        ]
        for member in self._members:
            member.wake()
        self._channels = tuple(channel.name for channel in channels)

    @property
    def channels(self) -> tuple[str, ...]:
        """Names of the channels in the order of the description."""
        return self._channels

    def due_s(self, after_s: float | None) -> float | None:
        """One interval after the last reading; the first when each chip has converted."""
        return self._interval_s if after_s is None else after_s + self._interval_s

    def read(self, elapsed_s: float) -> Reading:
        """Look at all the channels; one transaction a chip when all is well.

        Never waits for a conversion. Raises RigError only after ``close``.
        """
        if self._closed:
            raise RigError("The rig has been closed: no reading can be taken from it.")
        if self._spi.try_lock():
            self._spi.unlock()
            for member in self._members:
                member.look(elapsed_s)
        else:
            for member in self._members:
                member.finding = NO_ANSWER
        temps_c: dict[str, float | None] = {}
        faults: dict[str, FaultCause] = {}
        for member in self._members:
            name, finding = member.channel.name, member.finding
            temps_c[name] = finding.temp_c
            if finding.fault is not None:
                faults[name] = finding.fault
        return Reading(elapsed_s, temps_c, faults)

    def cold_junctions_c(self) -> Mapping[str, float | None]:
        """Temperature of each channel's terminals, °C, at the last reading."""
        return {m.channel.name: m.finding.cold_junction_c for m in self._members}

    def explain(self) -> tuple[ChannelReport, ...]:
        """The last reading in words, channel by channel, with what to check."""
        return tuple(report(m.channel, m.finding) for m in self._members)

    def close(self) -> None:
        """Let go of bus and pins. May be called twice."""
        if not self._closed:
            self._closed = True
            if self._release is not None:
                self._release()


def check_rig(channels: Sequence[ThermocoupleChannel], *, interval_s: float, mains_hz: int) -> None:
    """Raise InputError where channels, interval or mains frequency can't make a rig."""
    if not channels:
        raise InputError("a rig needs at least one channel.")
    for what, values in (
        ("channels are both named", [c.name for c in channels]),
        ("channels both use the chip select", [c.chip_select for c in channels]),
    ):
        twice = next((v for n, v in enumerate(values) if v in values[:n]), None)
        if twice is not None:
            raise InputError(f"two {what} {twice}; each needs its own.")
    shortest_s, longest_s = INTERVAL_RANGE_S
    if not shortest_s <= interval_s <= longest_s:
        raise InputError(
            f"an interval of {interval_s:g} s between readings can't be kept: "
            f"{shortest_s:g} to {longest_s:g} s is allowed."
        )
    if mains_hz not in (50, 60):
        raise InputError(f"a mains frequency of {mains_hz} Hz: 50 or 60 is allowed.")


class _Member:
    """One channel with its chip and what is remembered of it from look to look."""

    def __init__(self, channel: ThermocoupleChannel, converter: Converter) -> None:
        self.channel = channel
        self.finding: Finding = NOTHING_YET
        self._converter = converter
        self._believed: Snapshot | None = None
        self._old_values: bytes | None = None
        self._configured_at_s: float | None = None

    def wake(self) -> None:
        """Try to set the chip up; whether it worked shows at the first look."""
        try:
            self._set_up(None)
        except _BUS_ERRORS:
            self._converter.let_go_of_bus()

    def look(self, elapsed_s: float) -> None:
        """Look at the chip and say what was found."""
        try:
            self.finding = self._look(elapsed_s)
        except _BUS_ERRORS:
            self._converter.let_go_of_bus()
            self.finding = NO_ANSWER
        if self.finding.fault is FaultCause.BUS:
            self._believed = None

    def _look(self, elapsed_s: float) -> Finding:
        snapshot = self._converter.look()
        if not self._holds_configuration(snapshot):
            snapshot = self._converter.look()
        if not self._holds_configuration(snapshot):
            snapshot = self._set_up(elapsed_s)
            if not self._holds_configuration(snapshot):
                return NO_ANSWER
        if self._old_values is not None and not snapshot.fault_bits:
            if self._configured_at_s is None:
                self._configured_at_s = elapsed_s
            waited_s = elapsed_s - self._configured_at_s
            if snapshot.values == self._old_values:
                if waited_s < self._converter.first_value_after_s:
                    return NOTHING_YET
                if not any(snapshot.values):
                    return NO_ANSWER
            self._old_values = None
        checked = self._look_again(snapshot)
        if checked is None:
            return NO_ANSWER
        self._believed = checked
        return diagnose(checked, self.channel)

    def _look_again(self, snapshot: Snapshot) -> Snapshot | None:
        """The snapshot when it is no surprise, or when a further one agrees with it."""
        if self._believed is not None and _agree(self._believed, snapshot):
            return snapshot
        for _ in range(_LOOKS_AT_A_SURPRISE - 1):
            again = self._converter.look()
            if not self._holds_configuration(again):
                continue
            if _agree(snapshot, again):
                return again
            snapshot = again
        return None

    def _holds_configuration(self, snapshot: Snapshot) -> bool:
        return snapshot.configuration == self._converter.wanted

    def _set_up(self, elapsed_s: float | None) -> Snapshot:
        snapshot = self._converter.configure()
        self._old_values = snapshot.values
        self._configured_at_s = elapsed_s
        return snapshot


def _agree(one: Snapshot, other: Snapshot) -> bool:
    return (
        one.fault_bits == other.fault_bits
        and abs(one.temp_c - other.temp_c) <= _SURPRISING_C
        and abs(one.cold_junction_c - other.cold_junction_c) <= _SURPRISING_COLD_JUNCTION_C
    )
