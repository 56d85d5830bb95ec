"""The address at which firings are held against each other. Nothing here is written."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Query

from web import problems
from web.comparing import MOST, Alignment, Comparing, ComparisonAnswer
from web.requests import PLACE_MAX_CHARS

FiringIds = Annotated[
    list[Annotated[str, Query(max_length=PLACE_MAX_CHARS)]],
    Query(
        min_length=1,
        max_length=MOST,
        description="The firings' ids; the first is the one that the others are held against.",
    ),
]


def router(comparing: Comparing) -> APIRouter:
    """Comparisons under ``/api/comparison``."""
    routes = APIRouter()

    @routes.get("/api/comparison", tags=["look"], responses=problems.documented(404, 422, 503))
    async def compare_firings(
        firing: FiringIds,
        align: Annotated[
            Alignment, Query(description="What they have in common.")
        ] = Alignment.TIME,
        with_plan: Annotated[
            bool, Query(description="Hold all of them against the first one's plan.")
        ] = False,
    ) -> ComparisonAnswer:
        """Firings laid over each other: where they parted, and what that was worth."""
        return await comparing.compare(firing, align, with_plan=with_plan)

    return routes
