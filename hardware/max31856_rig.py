"""Thermocouples behind MAX31856 chips on one or several SPI buses, as a source of readings.

Puts together what the buses' lines find, and what the channels say of each other. Each of
several buses is looked at in a thread of its own, so that one that hangs costs its own channels
and nothing else; a single bus is looked at in the caller's thread, which must not be one that
others wait for (``supervisor.service.reader`` sees to it). It refuses to know pins, boards and
clocks, and it writes nothing but the chips' own configuration.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import Future, wait
from dataclasses import replace
from types import MappingProxyType
from typing import Final

from hardware.bus import ChipSelectPin, SpiBus
from hardware.bus_line import BusLine
from hardware.channel import MAINS_HZ, ThermocoupleChannel
from hardware.diagnosis import NOTHING_YET, Finding, no_answer
from hardware.explain import ChannelReport, report
from hardware.side_thread import SideThread
from hardware.silence import Silence
from hardware.wrong_type import TypeJury
from supervisor.core.errors import InputError, RigError
from supervisor.core.readings import FaultCause, Reading
from supervisor.core.units import Unit

INTERVAL_RANGE_S: Final = (0.2, 60.0)

PATIENCE_S: Final = 0.5
"""Seconds that one look at a bus may take where others wait for it; a chip takes milliseconds."""


class Max31856Rig:
    """A rig of one or more chips; implements ``Source``.

    ``buses`` is the bus of all channels, or has a bus for the ``bus`` of each; ``pins`` has a
    pin for each ``chip_select``. Channels named in ``selected`` need neither: theirs is a device
    of their own, through which the kernel selects the chip. ``interval_s`` is the time from one
    reading to the next, 0.2 to 60 s. ``mains_hz`` is 50 or 60: the hum that is filtered out,
    where a channel does not say otherwise. ``release`` is called once, by ``close``, to let go
    of bus and pins. Raises InputError for a description that can't be; a chip that does not
    answer is a fault of its channel, not an error.
    """

    def __init__(
        self,
        buses: SpiBus | Mapping[str, SpiBus],
        channels: Sequence[ThermocoupleChannel],
        pins: Mapping[str, ChipSelectPin],
        *,
        selected: Mapping[str, SpiBus] = MappingProxyType({}),
        interval_s: float = 1.0,
        mains_hz: int = 50,
        patience_s: float = PATIENCE_S,
        release: Callable[[], None] | None = None,
    ) -> None:
        check_rig(channels, interval_s=interval_s, mains_hz=mains_hz)
        by_pin = [c for c in channels if c.name not in selected]
        missing = [c.chip_select for c in by_pin if c.chip_select not in pins]
        if missing:
            raise InputError(f"there is no pin {missing[0]} on this rig.")
        by_bus: dict[str, list[ThermocoupleChannel]] = {}
        for channel in channels:
            by_bus.setdefault(channel.bus if isinstance(buses, Mapping) else "", []).append(channel)
        if isinstance(buses, Mapping):
            unknown = [c.bus for c in by_pin if c.bus not in buses]
            if unknown:
                raise InputError(f"there is no bus {unknown[0]} on this rig.")
        self._interval_s = interval_s
        self._release = release
        self._closed = False
        # Every pin of every bus is driven high before the first byte: a floating select may
        # listen in.
        lines = [
            BusLine(
                buses.get(name) if isinstance(buses, Mapping) else buses,
                on_it,
                pins,
                mains_hz,
                selected,
            )
            for name, on_it in by_bus.items()
        ]
        self._open_check_after_s = max(line.open_check_after_s for line in lines)
        places = {channel.name: place for place, channel in enumerate(channels)}
        self._seats = [
            _Seat(line, [places[c.name] for c in line.channels], in_thread=len(lines) > 1)
            for line in lines
        ]
        self._patience_s = patience_s
        self._findings: list[Finding] = [NOTHING_YET] * len(channels)
        self._all = tuple(channels)
        self._channels = tuple(places)
        self._jury = TypeJury(channels)
        self._ask(lambda line: line.wake())

    @property
    def channels(self) -> tuple[str, ...]:
        """Names of the channels in the order of the description."""
        return self._channels

    @property
    def open_check_after_s(self) -> float:
        """Seconds after the beginning until a broken circuit shows for certain."""
        return self._open_check_after_s

    def due_s(self, after_s: float | None) -> float | None:
        """One interval after the last reading; the first when each chip has converted."""
        return self._interval_s if after_s is None else after_s + self._interval_s

    def read(self, elapsed_s: float) -> Reading:
        """Look at all the channels; one transaction a chip when all is well.

        Never waits for a conversion, and for a bus only where it is the only one. Raises
        RigError only after ``close``.
        """
        if self._closed:
            raise RigError("The rig has been closed: no reading can be taken from it.")
        self._ask(lambda line: line.look(elapsed_s))
        self._judge(elapsed_s)
        temps_c: dict[str, float | None] = {}
        faults: dict[str, FaultCause] = {}
        for name, finding in zip(self._channels, self._findings, strict=True):
            temps_c[name] = finding.temp_c
            if finding.fault is not None:
                faults[name] = finding.fault
        return Reading(elapsed_s, temps_c, faults)

    def cold_junctions_c(self) -> Mapping[str, float | None]:
        """Temperature of each channel's terminals, °C, at the last reading."""
        return {
            name: finding.cold_junction_c
            for name, finding in zip(self._channels, self._findings, strict=True)
        }

    def explain(self, unit: Unit = Unit.C) -> tuple[ChannelReport, ...]:
        """The last reading in words, channel by channel, with what to check."""
        return tuple(
            report(channel, finding, self._neighbours(channel), unit)
            for channel, finding in zip(self._all, self._findings, strict=True)
        )

    def close(self) -> None:
        """Let go of bus and pins. May be called twice."""
        if not self._closed:
            self._closed = True
            for seat in self._seats:
                seat.stop()
            if self._release is not None:
                self._release()

    def _ask(self, what: Callable[[BusLine], tuple[Finding, ...]]) -> None:
        """Have every line do it; those that take too long are silent for this once."""
        for seat in self._seats:
            seat.ask(what)
        wait([seat.asked for seat in self._seats if seat.is_news], timeout=self._patience_s)
        for seat in self._seats:
            for place, finding in zip(seat.places, seat.answer(), strict=True):
                self._findings[place] = finding

    def _judge(self, elapsed_s: float) -> None:
        """What the channels say of each other's type."""
        self._jury.hear(elapsed_s, self._findings)
        for place, finding in enumerate(self._findings):
            verdict = self._jury.verdict(place)
            if verdict is not None and finding.fault is None:
                self._findings[place] = replace(
                    finding,
                    fits=verdict.fits,
                    temp_c=None if verdict.is_sure else finding.temp_c,
                    fault=FaultCause.TYPE if verdict.is_sure else None,
                )

    def _neighbours(self, channel: ThermocoupleChannel) -> tuple[Finding, ...]:
        """The findings of the other chips on the channel's bus."""
        return tuple(
            finding
            for other, finding in zip(self._all, self._findings, strict=True)
            if other is not channel and other.bus == channel.bus
        )


class _Seat:
    """A line's place in the rig: which channels it has, and what was asked of it last."""

    def __init__(self, line: BusLine, places: Sequence[int], *, in_thread: bool) -> None:
        self.places = tuple(places)
        self.asked: Future[tuple[Finding, ...]] = Future()
        self.asked.set_result((NOTHING_YET,) * len(places))
        self.is_news = False
        self._line = line
        self._thread: SideThread[tuple[Finding, ...]] | None = (
            SideThread(line.channels[0].bus) if in_thread else None
        )

    def ask(self, what: Callable[[BusLine], tuple[Finding, ...]]) -> None:
        """Ask, if the last answer is there; what hangs is not asked again."""
        self.is_news = self.asked.done()
        if not self.is_news:
            return
        if self._thread is not None:
            self.asked = self._thread.ask(lambda: what(self._line))
        else:
            self.asked = Future()
            self.asked.set_result(what(self._line))

    def answer(self) -> tuple[Finding, ...]:
        """What was found, if it came in time."""
        if self.is_news and self.asked.done():
            return self.asked.result()
        return (no_answer(Silence.HANGS),) * len(self.places)

    def stop(self) -> None:
        if self._thread is not None:
            self._thread.stop()


def _select(channel: ThermocoupleChannel) -> str:
    """Its chip select by a name that no other has: pins are the Pi's, CE0 is each bus's own."""
    if channel.kernel_select is None:
        return channel.chip_select
    return f"CE{channel.kernel_select} of {channel.bus}"


def check_rig(channels: Sequence[ThermocoupleChannel], *, interval_s: float, mains_hz: int) -> None:
    """Raise InputError where channels, interval or mains frequency can't make a rig."""
    if not channels:
        raise InputError("a rig needs at least one channel.")
    for what, values in (
        ("channels are both named", [c.name for c in channels]),
        ("channels both use the chip select", [_select(c) for c in channels]),
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
    if mains_hz not in MAINS_HZ:
        raise InputError(f"a mains frequency of {mains_hz} Hz: 50 or 60 is allowed.")
