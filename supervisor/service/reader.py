"""Reads a source at its due times without ever blocking the event loop.

A source that hangs (a bus that never answers) costs its own thread and nothing else: what the
watch then gets is a reading with no values, so that silence is noticed and recorded. So it is
with a source that fails, in whatever way.
"""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Callable
from concurrent.futures import Future
from functools import partial

from hardware.side_thread import SideThread
from supervisor.core.errors import RigError, SpyholeError
from supervisor.core.readings import FaultCause, Reading, Source
from supervisor.service.clock import Clock
from supervisor.service.pulse import Pulse

PATIENCE_S = 5.0
"""Real seconds that one look at the hardware may take."""


async def readings(
    source: Source,
    clock: Clock,
    after_s: float | None,
    *,
    pulse: Pulse | None = None,
    patience_s: float = PATIENCE_S,
    on_mistake: Callable[[BaseException], None] | None = None,
) -> AsyncIterator[Reading]:
    """The source's readings as they fall due, until it has no more.

    ``after_s`` is the time of the last reading that is already known, None at the beginning.
    ``pulse`` is told whenever the source has answered, ``on_mistake`` of an error that no source
    may raise: a mistake in a program, which costs the look and not the watch.
    """
    looker: SideThread[Reading] = SideThread("rig")
    hanging: Future[Reading] | None = None
    try:
        while (due_s := source.due_s(after_s)) is not None:
            await clock.sleep_until(due_s)
            now_s = max(clock.elapsed_s(), due_s)
            if hanging is not None and not hanging.done():
                await asyncio.sleep(patience_s / 5.0)
                reading = _nothing(source, clock.elapsed_s(), None)
            else:
                hanging = looker.ask(partial(source.read, now_s))
                try:
                    async with asyncio.timeout(patience_s):
                        reading = await asyncio.shield(asyncio.wrap_future(hanging))
                    hanging = None
                    _answered(pulse, with_reading=True)
                except TimeoutError:
                    reading = _nothing(source, now_s, FaultCause.BUS)
                except Exception as error:
                    if isinstance(error, SpyholeError) and not isinstance(error, RigError):
                        # Said on purpose, such as of a log that is spoilt: a person can mend it.
                        raise
                    hanging = None
                    _answered(pulse, with_reading=False)
                    if on_mistake is not None and not isinstance(error, RigError):
                        on_mistake(error)
                    reading = _nothing(source, now_s, FaultCause.BUS)
            after_s = reading.elapsed_s
            yield reading
    finally:
        if hanging is not None:
            hanging.cancel()
        looker.stop()


def _answered(pulse: Pulse | None, *, with_reading: bool) -> None:
    if pulse is not None:
        pulse.answered(with_reading=with_reading)


def _nothing(source: Source, elapsed_s: float, cause: FaultCause | None) -> Reading:
    faults = {} if cause is None else dict.fromkeys(source.channels, cause)
    return Reading(elapsed_s, dict.fromkeys(source.channels), faults)
