"""The one narrow way through which the page meets the firings of years.

Knows what may be asked of past firings and of the one that goes on as far as it is recorded, and
what people may add to them: notes, accounts, findings, photos. There is nothing here that could
act on a kiln, and nothing may be added that does.

Everything is called from the event loop and may take its time: whoever implements this reads the
record in a thread, so that the watch never waits.
"""

from __future__ import annotations

from collections.abc import AsyncIterator
from dataclasses import dataclass
from typing import Protocol

from supervisor.core.errors import InputError
from supervisor.core.units import Unit
from web.archive_models import (
    Account,
    ArchivedChart,
    ArchivedFiring,
    Finding,
    FiringPage,
    Photo,
)
from web.archive_requests import (
    AccountRequest,
    FindingsRequest,
    FiringQuery,
    PastLookRequest,
    PastNoteRequest,
    PhotoRequest,
)
from web.models import Look, Note


class NoSuchFiringError(InputError):
    """The record has no firing of that id."""


class NoSuchPhotoError(InputError):
    """The firing has no photo of that number."""


@dataclass(frozen=True, slots=True)
class Picture:
    """A photo's own bytes, and what they are."""

    media_type: str
    data: bytes


class FiringArchive(Protocol):
    """Where the firings of years are looked up, compared and written about.

    Whatever names a firing raises NoSuchFiringError for an id that the record does not have, and
    RecordError where the record can't be read. What writes returns when it is on disk, however
    long that takes (the page is answered after 3 s, and it stays in memory until then), and raises
    RecordError when it can't be written any more.
    """

    async def find(self, query: FiringQuery) -> FiringPage:
        """The firings that are wanted, the latest first, one page of them."""
        ...

    async def firing(self, firing_id: str) -> ArchivedFiring:
        """Everything about one firing but its readings."""
        ...

    async def chart(
        self, firing_id: str, max_points: int, from_s: float | None, to_s: float | None
    ) -> ArchivedChart:
        """Its readings between two elapsed times, thinned to ``max_points`` rows; peaks stay."""
        ...

    async def download_csv(self, firing_id: str, unit: Unit) -> AsyncIterator[str]:
        """Its log, whole, in pieces; as ``spyhole report`` writes it."""
        ...

    async def download_json(self, firing_id: str) -> AsyncIterator[str]:
        """All that the record has of it, in pieces; as ``spyhole report`` writes it."""
        ...

    async def add_note(self, firing_id: str, note: PastNoteRequest) -> Note:
        """Write a note of a firing, over or not; the same ``client_id`` writes nothing twice."""
        ...

    async def withdraw_note(self, firing_id: str, number: int, by: str | None) -> None:
        """Let a note of a firing count no longer; once more changes nothing.

        Raises UnknownNoteError.
        """
        ...

    async def add_look(self, firing_id: str, look: PastLookRequest) -> Look:
        """Write what a real cone showed, as ``add_note``.

        Raises InputError for a cone, clock, channel or time that the firing does not have.
        """
        ...

    async def tell(self, firing_id: str, account: AccountRequest) -> Account:
        """Write what was in the load, which glazes, or how it came out."""
        ...

    async def find_at_unloading(self, firing_id: str, findings: FindingsRequest) -> list[Finding]:
        """Write findings, all or none; returns what stands of the firing's then."""
        ...

    async def add_photo(self, firing_id: str, photo: PhotoRequest, data: bytes) -> Photo:
        """Keep a photo, without what its file says of place, person and camera.

        Raises InputError for what is no JPEG, PNG or WebP, or too large. A photo is never kept in
        memory: RecordError when the disk does not take it.
        """
        ...

    async def photo(self, firing_id: str, number: int, *, is_small: bool) -> Picture:
        """A photo's bytes, or a small picture of it where one can be made.

        Raises NoSuchPhotoError.
        """
        ...

    async def withdraw_photo(self, firing_id: str, number: int) -> None:
        """Take a photo back for good. Raises NoSuchPhotoError."""
        ...
