"""The page's access, put together: the rules, the PIN's file, the record's trail."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from pathlib import Path

from supervisor.record.audit import NewDeed
from supervisor.record.store import Record
from supervisor.service.clock import boottime_s, wall_label
from supervisor.service.page_keys import PageKeys
from supervisor.service.page_rules import PageRules
from web.access.access import Access, PinState, Reading
from web.access.interface import Deed, KeptDeed


class RecordTrail:
    """Implements ``web.access.interface.Trail`` over the record."""

    def __init__(self, record: Record, firing_id: Callable[[], str | None]) -> None:
        self._record = record
        self._firing_id = firing_id

    async def add(self, deed: Deed) -> None:
        await self._record.add_deed(
            NewDeed(
                time=wall_label(),
                what=deed.what,
                who=deed.who,
                address=deed.address,
                detail=deed.detail,
                firing=self._firing_id(),
            )
        )

    async def latest(self, limit: int) -> list[KeptDeed]:
        # In a thread: reading waits for the disk, and the page does not.
        return [
            KeptDeed(
                kept.number,
                kept.deed.time,
                kept.deed.firing,
                Deed(kept.deed.what, kept.deed.who, kept.deed.address, kept.deed.detail),
            )
            for kept in await asyncio.to_thread(self._record.deeds, limit)
        ]


def page_access(
    folder: Path,
    record: Record,
    rules: PageRules,
    firing_id: Callable[[], str | None],
    warn: Callable[[str], None],
) -> Access:
    """Who may do what on the page of a daemon whose record lies in ``folder``."""
    return Access(
        PageKeys(folder, warn, boottime_s),
        RecordTrail(record, firing_id),
        reading=rules.reading,
        clock=boottime_s,
        warn=warn,
    )


def in_words(access: Access, *, is_seen_by_others: bool) -> str | None:
    """What a person at the terminal is to know of it when the page is ready; None: nothing."""
    if not is_seen_by_others or access.pin_state is not PinState.NONE:
        return None
    may = "read and write" if access.reading is Reading.PIN else "write"
    return f"note: only this machine may {may} on the page until a PIN is set: " + (
        access.how_to_set()
    )
