"""``spyhole rig``: reads the thermocouples on the day of wiring, and explains what it finds."""

from __future__ import annotations

import argparse
import asyncio
import math
import sys
import textwrap
from collections.abc import AsyncGenerator, AsyncIterator, Mapping, Sequence
from contextlib import aclosing, asynccontextmanager, suppress
from pathlib import Path
from typing import TYPE_CHECKING, Protocol

from hardware.bath import STEADY_S, BathCheck
from hardware.board import open_rig
from hardware.channel import TYPE_RANGE_C, ThermocoupleChannel
from hardware.diagnosis import no_answer
from hardware.explain import ChannelReport, report
from hardware.silence import Silence
from hardware.steadiness import Spell
from supervisor.commands.files import read_text
from supervisor.commands.numbers import altitude_number, pressure_number
from supervisor.commands.output import print_json
from supervisor.commands.rig_bath import Bath, boiling_bath, ice_bath, outcome, refused, steps
from supervisor.commands.rig_view import (
    Row,
    Screen,
    as_json,
    at_length,
    degrees,
    difference,
    one_line,
    table,
)
from supervisor.core.errors import InputError, RigError
from supervisor.core.readings import Reading, Source
from supervisor.core.units import Unit
from supervisor.core.water import ICE_POINT_C, boiling_point_c, pressure_hpa
from supervisor.service.clock import Clock, FiringClock
from supervisor.service.config import Config, parse_config
from supervisor.service.reader import readings

if TYPE_CHECKING:
    from supervisor.service.practice_rig import PracticeRig

_DEFAULT_FILE = "spyhole.toml"
_EVERY_S = 1.0
_ONCE_EVERY_S = 0.5
_NOISE_OVER = 30
_STEADY_WITHIN_S = 900.0
_FAULTY_S = 20.0
_TELL_EVERY_S = 30.0

_PRACTICE = (
    ThermocoupleChannel("top", "CE0", thermocouple_type="S"),
    ThermocoupleChannel("bottom", "CE1", thermocouple_type="K"),
)

_EPILOG = """\
on the day of wiring:
  spyhole rig                          watch the readings live; warm a tip in your hand
  spyhole rig --once                   one look, every fault explained
  spyhole rig --ice-point top          find the offset of a channel in ice water
  spyhole rig --simulated --once --fault top=open
                                       try it without any hardware

exit codes: 0 all channels are fine, 1 bad input, 3 a channel or the rig failed

It reads only and switches nothing. Mains voltage kills: switch the kiln off at its isolator
before you touch a probe; the kiln's own wiring is a licensed electrician's.
"""


class Rig(Source, Protocol):
    """A source that explains itself."""

    @property
    def open_check_after_s(self) -> float:
        """Seconds until a broken circuit shows for certain."""
        ...

    def explain(self, unit: Unit = Unit.C) -> tuple[ChannelReport, ...]:
        """The last reading in words."""
        ...


def describe(parser: argparse.ArgumentParser) -> None:
    parser.description = (
        "Reads the thermocouples of the configuration and shows each channel's reading, its "
        "noise, the temperature of its terminals, and its faults with what to check. Stop "
        "`spyhole watch` first: two programs can't share the boards."
    )
    parser.epilog = _EPILOG
    parser.add_argument(
        "--config", metavar="FILE", help=f"what stands where; default: {_DEFAULT_FILE}"
    )
    parser.add_argument(
        "--once", action="store_true", help="look for some seconds, explain every channel, end"
    )
    parser.add_argument("--json", action="store_true", help="as --once, as one JSON document")
    parser.add_argument(
        "--ice-point",
        metavar="CHANNEL",
        nargs="?",
        const="",
        help="a guided check in ice water, which proposes the channel's offset",
    )
    parser.add_argument(
        "--boiling-point",
        metavar="CHANNEL",
        nargs="?",
        const="",
        help="the same in boiling water; needs --altitude-m or --pressure-hpa",
    )
    parser.add_argument(
        "--altitude-m",
        type=altitude_number,
        metavar="M",
        help="your height above the sea in metres",
    )
    parser.add_argument(
        "--pressure-hpa",
        type=pressure_number,
        metavar="HPA",
        help="the air's pressure where you are, not reduced to the sea; surer than the height",
    )
    parser.add_argument(
        "--simulated",
        action="store_true",
        help="boards that are not there, under the real driver, to try it out",
    )
    parser.add_argument(
        "--fault",
        metavar="CHANNEL=FAULT",
        action="append",
        default=[],
        help="with --simulated: open, voltage, swapped, wrong-type, hot-terminals, unplugged, "
        "stuck-low, stuck-high, restarts or noisy",
    )


def run(options: argparse.Namespace) -> int:
    _check(options)
    config = _config(options)
    channels = config.channels() or (_PRACTICE if options.simulated else ())
    if not channels:
        raise InputError(
            "the configuration names no [[sensor]]; `spyhole watch` shows what it needs, and "
            "`spyhole rig --simulated` tries it without one"
        )
    bath, dipped = _bath(options, channels)
    is_once = options.once or options.json
    interval_s = _ONCE_EVERY_S if is_once else _EVERY_S
    if options.simulated:
        practice = _practice(options.fault, channels, config.watch.mains_hz, interval_s)
        if bath is not None and dipped is not None:
            practice.dip(dipped.name, bath.temp_c)
        rig: Rig = practice
    else:
        rig = open_rig(channels, interval_s=interval_s, mains_hz=config.watch.mains_hz)
    look = _Look(rig, channels, config.unit)
    try:
        if bath is not None and dipped is not None:
            return _guide(look, bath, dipped)
        if is_once:
            return _once(look, in_json=options.json)
        return _live(look)
    finally:
        rig.close()


def clock() -> Clock:
    """A clock that starts now."""
    return FiringClock()


def _check(options: argparse.Namespace) -> None:
    if options.ice_point is not None and options.boiling_point is not None:
        raise InputError("--ice-point and --boiling-point are two checks: do one after the other")
    is_guided = options.ice_point is not None or options.boiling_point is not None
    if is_guided and (options.json or options.once):
        raise InputError("--once and --json look at the rig, the guided checks go on by themselves")
    air = [options.altitude_m, options.pressure_hpa]
    if options.boiling_point is None and any(value is not None for value in air):
        raise InputError("--altitude-m and --pressure-hpa go with --boiling-point")
    if options.boiling_point is not None and sum(value is not None for value in air) != 1:
        raise InputError(
            "water boils by the air's pressure: give --altitude-m, your height above the sea, or "
            "--pressure-hpa, what a barometer shows"
        )
    if options.fault and not options.simulated:
        raise InputError("--fault goes with --simulated")


def _config(options: argparse.Namespace) -> Config:
    path = Path(options.config or _DEFAULT_FILE)
    if options.config is None and not path.exists():
        if options.simulated:
            return Config()
        raise InputError(
            f"there is no {_DEFAULT_FILE} in this folder: name yours with --config (`spyhole "
            f"watch` shows what it holds), or try `spyhole rig --simulated`"
        )
    return parse_config(read_text(path, "a configuration in TOML"), str(path))


def _bath(
    options: argparse.Namespace, channels: Sequence[ThermocoupleChannel]
) -> tuple[Bath | None, ThermocoupleChannel | None]:
    """The bath of a guided check, and the channel whose probe goes into it."""
    if options.ice_point is not None:
        bath, name = ice_bath(ICE_POINT_C), options.ice_point
    elif options.boiling_point is not None:
        hpa = options.pressure_hpa
        note = f"Water boils there under {hpa:.0f} hPa." if hpa is not None else ""
        if hpa is None:
            hpa = pressure_hpa(options.altitude_m)
            note = (
                f"That is for a standard day's {hpa:.0f} hPa at {options.altitude_m:.0f} m; the "
                f"weather moves it by half a degree, which --pressure-hpa would not leave open."
            )
        bath, name = boiling_bath(boiling_point_c(hpa), note), options.boiling_point
    else:
        return None, None
    if not name and len(channels) == 1:
        name = channels[0].name
    channel = next((channel for channel in channels if channel.name == name), None)
    if channel is None:
        names = ", ".join(channel.name for channel in channels)
        what = f"there is no channel {name[:40]!r}" if name else "say which probe is in the water"
        raise InputError(f"{what}; the channels are {names}", where=bath.option)
    if TYPE_RANGE_C[channel.thermocouple_type][0] > bath.temp_c:
        raise InputError(
            f"channel {channel.name} is of type {channel.thermocouple_type}, which gives nothing "
            f"to measure in water; only witness cones can check it",
            where=bath.option,
        )
    return bath, channel


def _practice(
    faults: Sequence[str],
    channels: Sequence[ThermocoupleChannel],
    mains_hz: int,
    interval_s: float,
) -> PracticeRig:
    # A real rig needs none of the simulator.
    from simulator.chip.practice import PracticeFault
    from supervisor.service.practice_rig import PracticeRig

    names = [channel.name for channel in channels]
    wrong: dict[str, PracticeFault] = {}
    for text in faults:
        name, _, fault = text.partition("=")
        if name not in names or fault not in list(PracticeFault):
            raise InputError(
                f"{text[:60]!r} can't be used; give CHANNEL=FAULT with a channel of "
                f"{', '.join(names)} and a fault of {', '.join(PracticeFault)}",
                where="--fault",
            )
        wrong[name] = PracticeFault(fault)
    return PracticeRig(channels, wrong, interval_s=interval_s, mains_hz=mains_hz)


@asynccontextmanager
async def _closing(stream: AsyncIterator[Reading]) -> AsyncIterator[AsyncIterator[Reading]]:
    """The stream, closed in the end if it can be: its thread stops then."""
    try:
        yield stream
    finally:
        if isinstance(stream, AsyncGenerator):
            await stream.aclose()


class _Look:
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


def _live(look: _Look) -> int:
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


def _once(look: _Look, *, in_json: bool) -> int:
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


def _guide(look: _Look, bath: Bath, channel: ThermocoupleChannel) -> int:
    screen = Screen()
    screen.line(steps(channel, bath, look.unit))
    screen.line("")
    if screen.is_terminal and sys.stdin.isatty():
        with suppress(EOFError):
            input("Press Enter when the tip is in the water. ")
    screen.line(
        f"Waiting until it has read steadily for {STEADY_S / 60.0:.0f} minutes; Ctrl-C stops."
    )
    check = BathCheck(channel, bath.temp_c)
    try:
        asyncio.run(_wait(look, check, channel, screen))
    finally:
        screen.end_passing()
    result = check.result
    assert result is not None  # noqa: S101 - the wait ends with it, or raises
    if result.refusals:
        raise RigError(refused(channel, result, look.unit))
    for paragraph in outcome(channel, result, look.unit):
        screen.line("")
        screen.line(textwrap.fill(paragraph, 98))
    return 0


async def _wait(
    look: _Look, check: BathCheck, channel: ThermocoupleChannel, screen: Screen
) -> None:
    """Until the check has its result. Raises RigError where it can't come to one."""
    began_s: float | None = None
    well_s = told_s = 0.0
    async with aclosing(look.rows()) as stream:
        async for elapsed_s, rows in stream:
            if began_s is None:
                began_s = well_s = told_s = elapsed_s
            told = next(row.report for row in rows if row.channel is channel)
            check.feed(elapsed_s, told.temp_c, told.cold_junction_c)
            if check.result is not None:
                return
            if told.temp_c is not None:
                well_s = elapsed_s
            elif elapsed_s - well_s > _FAULTY_S:
                raise RigError(
                    f"channel “{channel.name}” can't be read. {' '.join(told.sentences)}"
                )
            if elapsed_s - began_s > _STEADY_WITHIN_S:
                raise RigError(_unsteady(channel, check, look.unit))
            line = f"{degrees(told.temp_c, look.unit)}{_moving(check, look.unit)}"
            screen.passing(line)
            if not screen.is_terminal and elapsed_s - told_s >= _TELL_EVERY_S:
                told_s = elapsed_s
                screen.line(line)


def _moving(check: BathCheck, unit: Unit) -> str:
    drift = check.drift_c_per_min
    return "" if drift is None else f", moving by {difference(drift, unit)} a minute"


def _unsteady(channel: ThermocoupleChannel, check: BathCheck, unit: Unit) -> str:
    noise = "" if check.noise_c is None else f", with a noise of {difference(check.noise_c, unit)}"
    return (
        f"channel “{channel.name}” has not read steadily within {_STEADY_WITHIN_S / 60.0:.0f} "
        f"minutes{_moving(check, unit)}{noise}: stir, add ice or keep the water boiling, and look "
        f"for a loose or wet terminal."
    )


def _count(channels: int) -> str:
    return "1 channel" if channels == 1 else f"{channels} channels"
