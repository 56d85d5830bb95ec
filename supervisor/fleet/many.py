"""Many trials on all cores, in the order of their seeds.

Knows which firings a fleet is made of, and processes; the same choice gives the same trials
however many processes there are.
"""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from functools import partial

from simulator.faults import FaultKind
from supervisor.core.watch import WatchSettings
from supervisor.fleet.seeds import seeds
from supervisor.fleet.trial import Trial, try_firing


@dataclass(frozen=True, slots=True)
class Fleet:
    """Which firings are tried: so many healthy ones and so many with a fault.

    The faults take turns, so that every ``len(kinds)`` seeds have each kind once.
    """

    firings: int
    start: int = 0
    held_out: bool = False
    healthy: bool = True
    kinds: tuple[FaultKind, ...] = tuple(FaultKind)

    @property
    def seeds(self) -> tuple[int, ...]:
        """The seeds that are used, for the healthy and for the faulty."""
        return seeds(self.firings, self.start, held_out=self.held_out)

    def members(self) -> list[tuple[int, FaultKind | None]]:
        """Every firing by its seed and its fault, None for a healthy one."""
        members: list[tuple[int, FaultKind | None]] = []
        for place, seed in enumerate(self.seeds):
            if self.healthy:
                members.append((seed, None))
            if self.kinds:
                members.append((seed, self.kinds[place % len(self.kinds)]))
        return members


def run_fleet(
    fleet: Fleet, *, jobs: int | None = None, settings: WatchSettings | None = None
) -> Iterator[Trial]:
    """The trials of the fleet as they come; ``jobs`` processes, as many as cores if None."""
    members = fleet.members()
    count = min(jobs or os.cpu_count() or 1, len(members))
    attempt = partial(_try, settings=settings)
    if count <= 1:
        yield from map(attempt, members)
        return
    with ProcessPoolExecutor(count) as pool:
        try:
            yield from pool.map(attempt, members, chunksize=_chunk(members, count))
        except BaseException:
            pool.shutdown(wait=False, cancel_futures=True)
            raise


def _chunk(members: Sequence[object], jobs: int) -> int:
    """Few enough at once that no core is left alone with the rest."""
    return max(1, min(4, len(members) // (jobs * 8)))


def _try(member: tuple[int, FaultKind | None], settings: WatchSettings | None) -> Trial:
    return try_firing(member[0], member[1], settings)
