"""The addresses of past firings: routes, and nothing behind them but the archive.

There is no route that acts on a kiln; those that write anything write to the record.
"""

from __future__ import annotations

from collections.abc import AsyncIterator
from typing import Annotated, Any, TypeVar

from fastapi import APIRouter, Body, Path, Query, Request
from fastapi.responses import StreamingResponse
from starlette.responses import Response

from supervisor.core.units import Unit
from web import problems
from web.access.gate import signed
from web.archive import FiringArchive
from web.archive_models import (
    Account,
    ArchivedChart,
    ArchivedFiring,
    Finding,
    FiringPage,
    Photo,
)
from web.archive_requests import (
    NUMBER_MOST,
    AccountRequest,
    FindingsRequest,
    FiringQuery,
    PastLookRequest,
    PastNoteRequest,
    PhotoRequest,
)
from web.intake import PHOTO_TYPES
from web.models import Look, Note
from web.requests import PLACE_MAX_CHARS, WithdrawNoteRequest, WithdrawRequest
from web.writing import ACCEPTED, Writings, done, empty_or_kept, or_kept

T = TypeVar("T")
S = TypeVar("S", PastNoteRequest, PastLookRequest, AccountRequest, FindingsRequest, PhotoRequest)

CHART_POINTS = 1500
CHART_POINTS_LEAST = 100
CHART_POINTS_MOST = 4000
"""More is no use on a screen; the log as CSV has every reading."""
_FOREVER = "private, max-age=31536000, immutable"
"""A photo's number never shows another photo."""

FiringId = Annotated[str, Path(max_length=PLACE_MAX_CHARS, description="The firing's `id`.")]
NoteNumber = Annotated[int, Path(ge=0, le=NUMBER_MOST, description="The note's `id`.")]
PhotoNumber = Annotated[int, Path(ge=0, le=NUMBER_MOST, description="The photo's `number`.")]
Seconds = Annotated[float | None, Query(ge=-1e9, le=1e9, description="Elapsed time, seconds.")]

_BYTES: dict[int | str, dict[str, Any]] = {
    200: {
        "description": "The picture.",
        "content": {kind: {"schema": {"type": "string"}} for kind in PHOTO_TYPES},
    }
}


def router(archive: FiringArchive) -> APIRouter:
    """The routes under ``/api/firings``."""
    writings = Writings()
    routes = APIRouter(prefix="/api/firings")

    @routes.get("", tags=["look"], responses=problems.documented(422, 503))
    async def find_firings(query: Annotated[FiringQuery, Query()]) -> FiringPage:
        """The firings of the record that match, the latest first."""
        return await archive.find(query)

    @routes.get("/{firing_id}", tags=["look"], responses=problems.documented(404, 422, 503))
    async def archived_firing(firing_id: FiringId) -> ArchivedFiring:
        """Everything about one firing but its readings."""
        return await archive.firing(firing_id)

    @routes.get("/{firing_id}/chart", tags=["look"], responses=problems.documented(404, 422, 503))
    async def archived_chart(
        firing_id: FiringId,
        max_points: Annotated[
            int, Query(ge=CHART_POINTS_LEAST, le=CHART_POINTS_MOST, description="Most rows wanted.")
        ] = CHART_POINTS,
        from_s: Seconds = None,
        to_s: Seconds = None,
    ) -> ArchivedChart:
        """A firing's readings, thinned so that the peaks of every channel stay."""
        return await archive.chart(firing_id, max_points, from_s, to_s)

    @routes.get(
        "/{firing_id}/log.csv",
        tags=["look"],
        response_class=Response,
        responses=_a_file("text/csv") | problems.documented(404, 422, 503),
    )
    async def download_csv(
        firing_id: FiringId, units: Annotated[Unit, Query(description="Scale.")] = Unit.C
    ) -> Response:
        """The firing's whole log, which `spyhole replay` and `spyhole log add` take."""
        pieces = await archive.download_csv(firing_id, units)
        return _file(pieces, f"spyhole-{firing_id}.csv", "text/csv")

    @routes.get(
        "/{firing_id}/firing.json",
        tags=["look"],
        response_class=Response,
        responses=_a_file("application/json", "object") | problems.documented(404, 422, 503),
    )
    async def download_json(firing_id: FiringId) -> Response:
        """All that the record has of the firing, as one JSON document."""
        pieces = await archive.download_json(firing_id)
        return _file(pieces, f"spyhole-{firing_id}.json", "application/json")

    writes = ACCEPTED | problems.documented(403, 404, 413, 415, 422, 503)

    @routes.post(
        "/{firing_id}/notes",
        tags=["record"],
        status_code=201,
        response_model=Note,
        responses=writes,
    )
    async def add_past_note(
        firing_id: FiringId, request: Annotated[PastNoteRequest, Body()], http: Request
    ) -> Note | Response:
        """Write a note of a firing, over or not. The same `client_id` again writes nothing."""
        return or_kept(await writings.in_time(archive.add_note(firing_id, _signed(http, request))))

    @routes.post(
        "/{firing_id}/notes/{number}/withdraw",
        tags=["record"],
        status_code=204,
        response_class=Response,
        responses=writes,
    )
    async def withdraw_past_note(
        firing_id: FiringId,
        number: NoteNumber,
        request: Annotated[WithdrawNoteRequest, Body()],
        http: Request,
    ) -> Response:
        """Take back a note of a firing, over or not: it counts no longer.

        The record keeps it, with who took it back and when. Once more changes nothing.
        """
        by = signed(http, request.by)
        written = await writings.in_time(done(archive.withdraw_note(firing_id, number, by)))
        return empty_or_kept(written)

    @routes.post(
        "/{firing_id}/cones",
        tags=["record"],
        status_code=201,
        response_model=Look,
        responses=writes,
    )
    async def add_past_look(
        firing_id: FiringId, request: Annotated[PastLookRequest, Body()], http: Request
    ) -> Look | Response:
        """Write what a real cone showed, read in the firing or out of the cold kiln."""
        return or_kept(await writings.in_time(archive.add_look(firing_id, _signed(http, request))))

    @routes.post(
        "/{firing_id}/accounts",
        tags=["record"],
        status_code=201,
        response_model=Account,
        responses=writes,
    )
    async def tell_of_firing(
        firing_id: FiringId, request: Annotated[AccountRequest, Body()], http: Request
    ) -> Account | Response:
        """Write what was in the load, which glazes, or how it came out."""
        return or_kept(await writings.in_time(archive.tell(firing_id, _signed(http, request))))

    @routes.post(
        "/{firing_id}/findings",
        tags=["record"],
        status_code=201,
        response_model=list[Finding],
        responses=writes,
    )
    async def find_at_unloading(
        firing_id: FiringId, request: Annotated[FindingsRequest, Body()], http: Request
    ) -> list[Finding] | Response:
        """Write what was found at unloading; answers with all that stands of the firing's."""
        return or_kept(
            await writings.in_time(archive.find_at_unloading(firing_id, _signed(http, request)))
        )

    @routes.post(
        "/{firing_id}/photos",
        tags=["record"],
        status_code=201,
        responses=problems.documented(403, 404, 413, 415, 422, 503),
        openapi_extra={
            "requestBody": {
                "required": True,
                "content": {
                    kind: {"schema": {"type": "string", "format": "binary"}} for kind in PHOTO_TYPES
                },
            }
        },
    )
    async def add_photo(
        firing_id: FiringId, said: Annotated[PhotoRequest, Query()], request: Request
    ) -> Photo:
        """Keep a photo (the body: JPEG, PNG or WebP). What its file says of place, person and
        camera is not kept. The same photo again writes nothing.
        """
        return await archive.add_photo(firing_id, _signed(request, said), await request.body())

    @routes.get(
        "/{firing_id}/photos/{number}",
        tags=["look"],
        response_class=Response,
        responses=_BYTES | problems.documented(404, 422, 503),
    )
    async def photo(firing_id: FiringId, number: PhotoNumber) -> Response:
        """A photo."""
        return await _picture(archive, firing_id, number, is_small=False)

    @routes.get(
        "/{firing_id}/photos/{number}/small",
        tags=["look"],
        response_class=Response,
        responses=_BYTES | problems.documented(404, 422, 503),
    )
    async def small_photo(firing_id: FiringId, number: PhotoNumber) -> Response:
        """A small picture of a photo; the photo itself where none can be made."""
        return await _picture(archive, firing_id, number, is_small=True)

    @routes.post(
        "/{firing_id}/photos/{number}/withdraw",
        tags=["record"],
        status_code=204,
        response_class=Response,
        responses=writes,
    )
    async def withdraw_photo(
        firing_id: FiringId, number: PhotoNumber, _: Annotated[WithdrawRequest, Body()]
    ) -> Response:
        """Take a photo back for good. Once more changes nothing."""
        written = await writings.in_time(done(archive.withdraw_photo(firing_id, number)))
        return empty_or_kept(written)

    return routes


async def _picture(
    archive: FiringArchive, firing_id: str, number: int, *, is_small: bool
) -> Response:
    found = await archive.photo(firing_id, number, is_small=is_small)
    return Response(found.data, media_type=found.media_type, headers={"Cache-Control": _FOREVER})


def _a_file(media_type: str, kind: str = "string") -> dict[int | str, dict[str, Any]]:
    return {
        200: {
            "description": "The file.",
            "content": {media_type: {"schema": {"type": kind}}},
        }
    }


def _file(pieces: AsyncIterator[str], name: str, media_type: str) -> StreamingResponse:
    safe = "".join(letter for letter in name if letter.isalnum() or letter in "-_.")
    return StreamingResponse(
        pieces,
        media_type=media_type,
        headers={"Content-Disposition": f'attachment; filename="{safe}"'},
    )


def _signed(http: Request, said: S) -> S:
    """What was said, by whom it was said."""
    return said.model_copy(update={"by": signed(http, said.by)})
