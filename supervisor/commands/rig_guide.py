"""A guided check in ice or boiling water, from the first word to the offset that it proposes.

Knows how to wait for a steady reading; the words are in ``rig_bath``, the judgement in
``hardware.bath``.
"""

from __future__ import annotations

import asyncio
import sys
import textwrap
from contextlib import aclosing, suppress

from hardware.bath import STEADY_S, BathCheck
from hardware.channel import ThermocoupleChannel
from supervisor.commands.rig_bath import Bath, outcome, refused, steps
from supervisor.commands.rig_look import Look
from supervisor.commands.rig_view import Screen, degrees, difference
from supervisor.core.errors import RigError
from supervisor.core.units import Unit

_STEADY_WITHIN_S = 900.0
_FAULTY_S = 20.0
_TELL_EVERY_S = 30.0


def guide(look: Look, bath: Bath, channel: ThermocoupleChannel) -> int:
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


async def _wait(look: Look, check: BathCheck, channel: ThermocoupleChannel, screen: Screen) -> None:
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
