"""The address at which a kiln is followed over its firings. Nothing here is written."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Query

from web import problems
from web.following import LAST_MOST, LAST_USUAL, Following, TrendsAnswer
from web.requests import PLACE_MAX_CHARS


def router(following: Following) -> APIRouter:
    """Trends under ``/api/trends``."""
    routes = APIRouter()

    @routes.get("/api/trends", tags=["look"], responses=problems.documented(404, 422, 503))
    async def follow_kiln(
        kiln: Annotated[
            str | None,
            Query(max_length=PLACE_MAX_CHARS, description="Its name; else the latest firing's."),
        ] = None,
        since: Annotated[
            str | None,
            Query(
                max_length=PLACE_MAX_CHARS,
                description="Id of the first firing that counts, such as that with new elements.",
            ),
        ] = None,
        last: Annotated[
            int, Query(ge=1, le=LAST_MOST, description="How many firings back.")
        ] = LAST_USUAL,
    ) -> TrendsAnswer:
        """What changes from firing to firing, and whether it is more than chance."""
        return await following.trends(kiln, since, last)

    return routes
