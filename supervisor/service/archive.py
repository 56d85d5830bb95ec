"""The page's archive: past firings in the page's own shapes.

Reads the record through connections of its own that can't write, in threads, a few at a time, so
that neither the watch nor the thread that writes ever waits. What people add goes through that
one thread. There is nothing here that acts on a kiln.
"""

from __future__ import annotations

import asyncio
import contextlib
from collections.abc import AsyncIterator, Callable, Iterator
from itertools import islice
from typing import TypeVar

from supervisor.core.errors import InputError
from supervisor.core.heatwork.offset import Observation
from supervisor.core.heatwork.tip import parse_clock
from supervisor.core.reasons import Reason
from supervisor.core.schedule.parse import named_cone
from supervisor.core.units import Unit
from supervisor.picture.thumbnail import thumbnail
from supervisor.record.archive import Wanted
from supervisor.record.export import csv_lines, json_parts
from supervisor.record.image_file import clean_image
from supervisor.record.photos import PhotoFiles, write_whole
from supervisor.record.rows import Firing
from supervisor.record.store import Record
from supervisor.record.unloading import Account, Finding, NewPhoto, Photo
from supervisor.service import shapes
from supervisor.service.archive_reading import Looker
from supervisor.service.archive_shapes import (
    MEDIA_TYPES,
    PAGE_MODES,
    account_shape,
    finding_shape,
    firing_row,
    photo_shape,
    whole_firing,
)
from supervisor.service.clock import wall_label
from supervisor.service.keeper import Keeper
from supervisor.service.known import known_firing
from web import archive_models as page
from web.archive import NoSuchPhotoError, Picture
from web.archive_requests import (
    AccountRequest,
    FindingsRequest,
    FiringQuery,
    PastLookRequest,
    PastNoteRequest,
    PhotoRequest,
)
from web.interface import UnknownNoteError
from web.models import Look, Note
from web.trace import DECIMALS

T = TypeVar("T")

_AT_ONCE = 2
"""Questions to the record at the same time; more wait their turn, and leave other threads free."""
_PIECES = 2000
"""Lines of a download that are made at once."""


class Archive:
    """Implements ``web.archive.FiringArchive`` over a ``Record``.

    ``current`` gives the firing that goes on; ``on_change`` is called when it was written about.
    """

    def __init__(
        self, record: Record, current: Callable[[], Keeper], on_change: Callable[[], None]
    ) -> None:
        self._record = record
        self._current = current
        self._on_change = on_change
        self._looker = Looker(record)
        self._photos = PhotoFiles(record.path.parent)
        self._turns = asyncio.Semaphore(_AT_ONCE)

    async def find(self, query: FiringQuery) -> page.FiringPage:
        mode = next((mode for mode, name in PAGE_MODES.items() if name is query.mode), None)
        cone = query.cone
        if cone is not None:
            cone = named_cone(cone)
        wanted = Wanted(
            query.search,
            query.kiln,
            query.since,
            query.until,
            cone,
            mode,
            query.offset,
            query.limit,
        )
        found = await self._ask(lambda: self._record.find(wanted))
        return page.FiringPage(
            total=found.total,
            offset=query.offset,
            firings=[firing_row(one) for one in found.firings],
            kilns=await self._ask(self._record.kilns),
        )

    async def firing(self, firing_id: str) -> page.ArchivedFiring:
        firing = await self._known(firing_id)
        return await self._ask(lambda: whole_firing(self._looker.whole(firing)))

    async def chart(
        self, firing_id: str, max_points: int, from_s: float | None, to_s: float | None
    ) -> page.ArchivedChart:
        firing = await self._known(firing_id)

        def read() -> page.ArchivedChart:
            rows, plan = self._looker.chart(firing, max_points, from_s, to_s)
            return page.ArchivedChart(
                firing_id=firing.id,
                elapsed_s=list(rows.elapsed_s),
                channels={
                    name: [None if c is None else round(c, DECIMALS) for c in column]
                    for name, column in rows.temps_c.items()
                },
                plan=shapes.plan_line(plan),
                start_time=firing.started_label,
            )

        return await self._ask(read)

    async def download_csv(self, firing_id: str, unit: Unit) -> AsyncIterator[str]:
        firing = await self._known(firing_id)
        return self._in_pieces(csv_lines(self._record, firing, unit))

    async def download_json(self, firing_id: str) -> AsyncIterator[str]:
        firing = await self._known(firing_id)
        return self._in_pieces(json_parts(self._record, firing))

    async def add_note(self, firing_id: str, note: PastNoteRequest) -> Note:
        firing = await self._known(firing_id)
        keeper = self._keeper_of(firing)
        client_id = None if note.client_id is None else str(note.client_id)
        if keeper is not None and note.elapsed_s is None:
            kept = await keeper.add_note(note.text, note.by, client_id)
        else:
            kept = await self._record.add_note(
                firing.id,
                await self._moment(firing, note.elapsed_s),
                note.text,
                by=note.by,
                time=wall_label(),
                client_id=client_id,
            )
            if keeper is not None and not kept.is_withdrawn and kept not in keeper.notes:
                keeper.notes.append(kept)
        self._on_change()
        return shapes.note_shape(kept)

    async def withdraw_note(self, firing_id: str, number: int, by: str | None) -> None:
        firing = await self._known(firing_id)
        keeper = self._keeper_of(firing)
        at_s = await self._moment(firing, None)
        try:
            if keeper is not None:
                await keeper.withdraw_note(number, by)
            else:
                await self._record.withdraw_note(firing.id, number, at_s, time=wall_label(), by=by)
        except InputError as error:
            raise UnknownNoteError(str(error)).like(error) from None
        self._on_change()

    async def add_look(self, firing_id: str, look: PastLookRequest) -> Look:
        firing = await self._known(firing_id)
        channel = look.channel
        if channel is None and len(firing.channels) == 1:
            channel = firing.channels[0]
        seen = Observation(
            await self._moment(firing, look.elapsed_s),
            named_cone(look.cone),
            parse_clock(look.clock),
            channel,
            look.shelf,
        )
        kept = await self._record.add_observation(
            firing.id,
            seen,
            by=look.by,
            written_label=wall_label(),
            client_id=None if look.client_id is None else str(look.client_id),
        )
        keeper = self._keeper_of(firing)
        if keeper is not None and kept not in keeper.looks:
            keeper.looks.append(kept)
            keeper.looks.sort(key=lambda one: (one.seen.elapsed_s, one.id))
        self._on_change()
        return shapes.look_shape(kept)

    async def tell(self, firing_id: str, account: AccountRequest) -> page.Account:
        firing = await self._known(firing_id)
        new = Account(account.topic, account.text.strip(), account.by, wall_label())
        client_id = None if account.client_id is None else str(account.client_id)
        return account_shape(await self._record.tell(firing.id, new, client_id))

    async def find_at_unloading(
        self, firing_id: str, findings: FindingsRequest
    ) -> list[page.Finding]:
        firing = await self._known(firing_id)
        label = wall_label()
        new = [
            Finding(one.key, one.level, one.place, one.text or None, findings.by, label)
            for one in findings.findings
        ]
        stands = await self._record.find_at_unloading(firing.id, new)
        return [finding_shape(one) for one in stands]

    async def add_photo(self, firing_id: str, photo: PhotoRequest, data: bytes) -> page.Photo:
        firing = await self._known(firing_id)

        def keep() -> NewPhoto:
            image = clean_image(data)
            sha256 = self._photos.keep(image.data, image.kind)
            return NewPhoto(
                sha256,
                image.kind,
                len(image.data),
                image.width_px,
                image.height_px,
                photo.caption or None,
                photo.by or None,
                wall_label(),
            )

        new = await self._ask(keep)
        client_id = None if photo.client_id is None else str(photo.client_id)
        return photo_shape(await self._record.add_photo(firing.id, new, client_id))

    async def photo(self, firing_id: str, number: int, *, is_small: bool) -> Picture:
        firing = await self._known(firing_id)
        photo = await self._photo(firing, number)
        if is_small:
            small = await self._ask(lambda: self._small(photo))
            if small is not None:
                return Picture("image/jpeg", small)
        data = await self._ask(lambda: self._photos.read(photo))
        return Picture(MEDIA_TYPES[photo.kind], data)

    async def withdraw_photo(self, firing_id: str, number: int) -> None:
        firing = await self._known(firing_id)
        try:
            sha256 = await self._record.withdraw_photo(firing.id, number)
        except InputError as error:
            raise NoSuchPhotoError(str(error)).like(error) from None
        if sha256 is not None:
            await self._ask(lambda: self._photos.forget(sha256))

    def _small(self, photo: Photo) -> bytes | None:
        """A small picture, made once; None where none can be made."""
        path = self._photos.small_path_of(photo)
        if path.exists():
            return path.read_bytes()
        small = thumbnail(self._photos.read(photo))
        if small is not None:
            write_whole(path, small)
        return small

    async def _photo(self, firing: Firing, number: int) -> Photo:
        photos = await self._ask(lambda: self._record.photos(firing.id))
        found = next((one for one in photos if one.id == number), None)
        if found is None:
            raise NoSuchPhotoError(f"the firing has no photo {number}").because(
                Reason.NO_PHOTO, number=number
            )
        return found

    async def _known(self, firing_id: str) -> Firing:
        return await self._ask(lambda: known_firing(self._record, firing_id))

    def _keeper_of(self, firing: Firing) -> Keeper | None:
        keeper = self._current()
        return keeper if keeper.firing.id == firing.id else None

    async def _moment(self, firing: Firing, elapsed_s: float | None) -> float:
        """The moment that is meant: without one the firing's end, or now while it goes on."""
        keeper = self._keeper_of(firing)
        if keeper is not None:
            last_s = keeper.now()[0]
        else:
            extent = await self._ask(lambda: self._record.extent(firing.id))
            last_s = 0.0 if extent is None else extent.last_s
        if elapsed_s is None:
            return last_s
        if elapsed_s > last_s:
            raise InputError(
                f"{elapsed_s:g} s is not within this firing, which took {last_s:,.0f} s"
            ).because(Reason.AFTER_FIRING, at_s=elapsed_s, lasted_s=last_s)
        return elapsed_s

    async def _ask(self, question: Callable[[], T]) -> T:
        async with self._turns:
            return await asyncio.to_thread(question)

    async def _in_pieces(self, lines: Iterator[str]) -> AsyncIterator[str]:
        try:
            while piece := await self._ask(lambda: "".join(islice(lines, _PIECES))):
                yield piece
        finally:
            # A client that leaves early leaves the record's file open otherwise.
            close = getattr(lines, "close", None)
            if close is not None:
                with contextlib.suppress(ValueError):
                    close()
