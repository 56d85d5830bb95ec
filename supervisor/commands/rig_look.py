"""The rig's readings as ``spyhole rig`` shows them: live, or one look at length.

Knows a rig that explains itself; what a reading means is in ``hardware.explain``.
"""

from __future__ import annotations

import asyncio
import math
import sys
from collections.abc import AsyncGenerator, AsyncIterator, Mapping, Sequence
from contextlib import aclosing, asynccontextmanager
from typing import Protocol

from hardware.channel import ThermocoupleChannel
from hardware.diagnosis import no_answer
from hardware.explain import ChannelReport, report
from hardware.silence import Silence
from hardware.steadiness import Spell
from supervisor.commands.output import print_json
from supervisor.commands.rig_view import Row, Screen, as_json, at_length, one_line, table
from supervisor.core.readings import Reading, Source
from supervisor.core.units import Unit
from supervisor.service.clock import Clock, FiringClock
from supervisor.service.reader import readings

_NOISE_OVER = 30


class Rig(Source, Protocol):
    """A source that explains itself."""

    @property
    def open_check_after_s(self) -> float:
        """Seconds until a broken circuit shows for certain."""
        ...

    def explain(self, unit: Unit = Unit.C) -> tuple[ChannelReport, ...]:
        """The last reading in words."""
        ...


def clock() -> Clock:
    """A clock that starts now."""
    return FiringClock()


@asynccontextmanager
async def _closing(stream: AsyncIterator[Reading]) -> AsyncIterator[AsyncIterator[Reading]]:
    """The stream, closed in the end if it can be: its thread stops then."""
    try:
        yield stream
    finally:
        if isinstance(stream, AsyncGenerator):
            await stream.aclose()


class Look:
    """The rig's readings with what is known of each channel."""

    def __init__(self, rig: Rig, channels: Sequence[ThermocoupleChannel], unit: Unit) -> None:
        self.rig = rig
        self.unit = unit
        self.channels = channels
        self._noise = {channel.name: Spell(most=_NOISE_OVER) for channel in channels}

    async def rows(self) -> AsyncGenerator[tuple[float, list[Row]], None]:
        """Seconds since the beginning with the channels, reading by reading."""
        async with _closing(readings(self.rig, clock(), None)) as stream:
            async for reading in stream:
                yield reading.elapsed_s, self._rows(reading)

    def _rows(self, reading: Reading) -> list[Row]:
        rows = []
        for channel, told in zip(self.channels, self.rig.explain(self.unit), strict=True):
            noise = self._noise[channel.name]
            temp_c = reading.temps_c[channel.name]
            if temp_c is None:
                noise.clear()
            else:
                noise.add(reading.elapsed_s, temp_c)
            if told.temp_c != temp_c or told.fault != reading.faults.get(channel.name):
                # The look has not come back: what the rig says of itself is older than that.
                told = report(channel, no_answer(Silence.HANGS), (), self.unit)
            rows.append(Row(channel, told, noise.noise_c))
        return rows


def live(look: Look) -> int:
    screen = Screen()
    head = f"spyhole rig: {_count(len(look.channels))}, a look each second; Ctrl-C ends it."
    if not screen.is_terminal:
        screen.line(head)

    async def show() -> None:
        said: Mapping[str, tuple[str, ...]] = {}
        async with aclosing(look.rows()) as stream:
            async for _, rows in stream:
                if screen.is_terminal:
                    screen.draw([head, "", *table(rows, look.unit, screen.width)])
                    continue
                screen.line(one_line(rows, look.unit))
                for row in rows:
                    if row.short != "ok" and said.get(row.report.name) != row.sentences:
                        for sentence in row.sentences:
                            screen.line(f"  {row.report.name}: {sentence}")
                said = {row.report.name: row.sentences for row in rows}

    try:
        asyncio.run(show())
    except KeyboardInterrupt:
        if screen.is_terminal:
            print()
    return 0


def once(look: Look, *, in_json: bool) -> int:
    enough_s = math.ceil(look.rig.open_check_after_s) + 1.0
    if sys.stderr.isatty():
        print(f"Looking for {enough_s:.0f} seconds …", file=sys.stderr)

    async def listen() -> list[Row]:
        last: list[Row] = []
        began_s: float | None = None
        async with aclosing(look.rows()) as stream:
            async for elapsed_s, rows in stream:
                last = rows
                began_s = elapsed_s if began_s is None else began_s
                if elapsed_s - began_s >= enough_s:
                    break
        return last

    rows = asyncio.run(listen())
    failed = [row.report.name for row in rows if not row.is_fine]
    if in_json:
        print_json(as_json(rows))
    else:
        print(at_length(rows, look.unit))
        print()
        if failed:
            print(f"{_count(len(failed))} of {len(rows)} to mend: {', '.join(failed)}.")
        else:
            print("All channels are fine." if len(rows) > 1 else "The channel is fine.")
    return 3 if failed else 0


def _count(channels: int) -> str:
    return "1 channel" if channels == 1 else f"{channels} channels"
