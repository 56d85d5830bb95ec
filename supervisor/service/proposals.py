"""What all witness cones of the kiln say of each channel's offset, beside the event loop.

A closed firing is read once and what its cones say is remembered; of the firing that goes on
the watch has the temperature history at hand. What somebody else writes into the record (a look
noted or taken back by ``spyhole witness``, a new probe) is noticed within half a minute. Knows
the record and the core; accepts and applies nothing.
"""

from __future__ import annotations

import asyncio
import contextlib
import threading
from collections.abc import Callable, Iterator, Mapping, Sequence
from copy import deepcopy
from dataclasses import dataclass
from types import MappingProxyType

from supervisor.core.errors import SpyholeError
from supervisor.core.heatwork import ThermalPath
from supervisor.core.heatwork.offset import Evidence, Offset
from supervisor.core.readings import Reading
from supervisor.core.reasons import Why
from supervisor.record.looking import RecordReader
from supervisor.record.rows import Firing, KeptObservation
from supervisor.service.keeper import Keeper
from supervisor.service.kiln_offset import (
    combined,
    configured_now,
    evidence_of_firing,
    from_bare,
    weighed,
)
from supervisor.service.terminal import warn

_ASK_EVERY_S = 20.0
"""Real seconds between two questions whether somebody else has written something."""


@dataclass(frozen=True, slots=True)
class _Thought:
    """What came of it, with the looks of the firing that goes on, and what can't be of them."""

    offsets: Mapping[str, Offset]
    looks: Sequence[KeptObservation]
    doubts: Mapping[int, tuple[str, Why | None]]


class Proposals:
    """The offsets of one kiln as its cones show them; ``on_new`` is called when they are new."""

    def __init__(
        self,
        record: RecordReader,
        on_new: Callable[[], None],
        *,
        ask_every_s: float = _ASK_EVERY_S,
    ) -> None:
        self.offsets: Mapping[str, Offset] = MappingProxyType({})
        """By channel; one of which no cone tells is left out."""
        self.doubts: Mapping[int, tuple[str, Why | None]] = MappingProxyType({})
        """By number of a look in the firing that goes on, why it can't be, in one sentence."""
        self._record = record
        self._on_new = on_new
        self._ask_every_s = ask_every_s
        self._keeper: Keeper | None = None
        self._wanted = asyncio.Event()
        self._read: dict[str, tuple[Sequence[KeptObservation], dict[str, list[Evidence]]]] = {}
        self._mark: tuple[int, ...] = ()

    def want(self, keeper: Keeper) -> None:
        """Work them out anew, soon: this firing has begun, or something was seen in it."""
        self._keeper = keeper
        self._wanted.set()

    async def run(self) -> None:
        """Work them out whenever they are wanted or the record has changed, until cancelled."""
        while True:
            # Not wait_for: before Python 3.12 that loses a cancellation that comes as it ends.
            with contextlib.suppress(TimeoutError):
                async with asyncio.timeout(self._ask_every_s):
                    await self._wanted.wait()
            keeper = self._keeper
            if keeper is not None and (self._wanted.is_set() or await self.is_behind()):
                self._wanted.clear()
                await self.work_out(keeper)

    async def is_behind(self) -> bool:
        """Whether the record has something that was not thought about; False if it can't tell."""
        try:
            return await asyncio.to_thread(self._record.witness_mark) != self._mark
        except SpyholeError:
            return False

    async def work_out(self, keeper: Keeper) -> None:
        """Work them out now, with the firing that ``keeper`` keeps as far as it is."""
        firing, known = keeper.firing, list(keeper.looks)
        # The watch goes on meanwhile; what is thought about must stand still.
        paths = {
            name: deepcopy(keeper.watch.channel_work(name).work.path) for name in firing.channels
        }
        told_to_stop = threading.Event()
        try:
            thought = await asyncio.to_thread(self._think, firing, paths, told_to_stop)
        except SpyholeError as error:
            warn(f"what the witness cones say could not be worked out: {error}")
        else:
            if thought is not None:
                self.offsets, self.doubts = thought.offsets, thought.doubts
                keeper.take_looks(thought.looks, instead_of=known)
        finally:
            told_to_stop.set()
        self._on_new()

    def _think(
        self,
        firing: Firing,
        paths: Mapping[str, ThermalPath],
        told_to_stop: threading.Event,
    ) -> _Thought | None:
        """Runs in a thread of its own; the end of the program does not wait for it for long."""
        record = self._record
        self._mark = record.witness_mark()
        reader = _Interruptible(record, told_to_stop)
        looks = record.observations(firing.id)
        here = weighed(looks, firing.channels, paths)
        history = record.seen_in_kiln(firing.kiln)
        found = []
        for seen in history:
            if seen.firing.id == firing.id:
                found.append((seen, from_bare(firing, here)))
                continue
            known, evidence = self._read.get(seen.firing.id, ((), {}))
            if known != seen.looks:
                try:
                    evidence = evidence_of_firing(reader, seen.firing, seen.looks)
                except InterruptedError:
                    return None
                self._read[seen.firing.id] = seen.looks, evidence
            found.append((seen, evidence))
        configured_c = configured_now([*(seen.firing for seen in history), firing])
        doubts = {look.kept.id: (look.doubt, look.why) for look in here if look.doubt is not None}
        return _Thought(combined(found, configured_c), looks, doubts)


class _Interruptible(RecordReader):
    """Reads the same record until it is told to stop."""

    def __init__(self, record: RecordReader, told_to_stop: threading.Event) -> None:
        super().__init__(record.path)
        self._told_to_stop = told_to_stop

    def readings(
        self, firing_id: str, *, from_s: float | None = None, to_s: float | None = None
    ) -> Iterator[Reading]:
        for reading in super().readings(firing_id, from_s=from_s, to_s=to_s):
            if self._told_to_stop.is_set():
                raise InterruptedError
            yield reading
