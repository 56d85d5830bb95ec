"""The replay view's addresses: what can be played, and a film of it. Nothing here is written."""

from __future__ import annotations

import gzip
from typing import Annotated, Any

from fastapi import APIRouter, Path, Request
from fastapi.responses import JSONResponse
from starlette.responses import Response

from web import problems
from web.replay import Film, Reels, ReplayList, Winding

WINDING: dict[int | str, dict[str, Any]] = {
    202: {"model": Winding, "description": "It is being made; ask again in a second."}
}


def router(reels: Reels) -> APIRouter:
    """The films of ``reels`` under ``/api/replays``."""
    routes = APIRouter()

    @routes.get("/api/replays", tags=["look"], responses=problems.documented(503))
    async def list_replays() -> ReplayList:
        """Every firing and scenario that can be played."""
        return await reels.entries()

    @routes.get(
        "/api/replays/{replay_id}",
        tags=["look"],
        response_model=Film,
        responses=WINDING | problems.documented(404, 422, 503),
    )
    async def show_film(
        replay_id: Annotated[str, Path(max_length=200, description="The entry's `id`.")],
        request: Request,
    ) -> Response:
        """A firing run through the watch once more, ready to be played at any speed."""
        film = await reels.film(replay_id)
        if isinstance(film, Winding):
            return JSONResponse(film.model_dump(), status_code=202)
        if "gzip" in request.headers.get("accept-encoding", ""):
            # Pressed when it was made: pressing it now would keep the watch waiting.
            headers = {"Content-Encoding": "gzip", "Vary": "Accept-Encoding"}
            return Response(film, media_type="application/json", headers=headers)
        return Response(gzip.decompress(film), media_type="application/json")

    return routes
