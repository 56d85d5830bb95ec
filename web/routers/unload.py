"""The unload view's addresses: a firing looked back on, and the plan made from it."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Body, Path, Query, Request
from starlette.responses import Response

from supervisor.core.languages import Language
from supervisor.core.units import Unit
from web import problems
from web.access.gate import signed
from web.archive_requests import NUMBER_MOST
from web.requests import PLACE_MAX_CHARS, WithdrawRequest
from web.unload import AgainPlan, ChangeKey, TracedFiring, TracedRequest, UnloadDesk, Unloading
from web.writing import ACCEPTED, Writings, done, empty_or_kept

FiringId = Annotated[str, Path(max_length=PLACE_MAX_CHARS, description="The firing's `id`.")]
LookNumber = Annotated[int, Path(ge=0, le=NUMBER_MOST, description="The look's `number`.")]
Units = Annotated[Unit, Query(description="Scale of the words.")]


def router(desk: UnloadDesk) -> APIRouter:
    """The routes under ``/api/unload``."""
    writings = Writings()
    routes = APIRouter(prefix="/api/unload")
    looks = problems.documented(404, 422, 503)
    writes = ACCEPTED | problems.documented(403, 404, 413, 415, 422, 503)

    @routes.get("", tags=["look"], responses=looks)
    async def unload_latest() -> Unloading:
        """The latest firing that is over, else the one that goes on, with what was told of it."""
        return await desk.unloading(None)

    @routes.get("/{firing_id}", tags=["look"], responses=looks)
    async def unload_firing(firing_id: FiringId) -> Unloading:
        """A firing with what people have told of it, without its readings."""
        return await desk.unloading(firing_id)

    @routes.get("/{firing_id}/traced", tags=["look"], responses=looks)
    async def trace_firing(firing_id: FiringId, units: Units = Unit.C) -> TracedFiring:
        """For each defect that is ticked which causes the record supports, rules out and can't
        tell; and what may be changed for the next firing. Nothing is written.
        """
        return await desk.traced(firing_id, units)

    @routes.post(
        "/{firing_id}/traced",
        tags=["record"],
        status_code=204,
        response_class=Response,
        responses=writes,
    )
    async def keep_traced(
        firing_id: FiringId, request: Annotated[TracedRequest, Body()], http: Request
    ) -> Response:
        """Keep with the firing what its ticks are traced to. The same again writes nothing."""
        by = signed(http, request.by)
        written = await writings.in_time(done(desk.keep_traced(firing_id, by)))
        return empty_or_kept(written)

    @routes.get("/{firing_id}/plan", tags=["look"], responses=looks)
    async def plan_again(
        firing_id: FiringId,
        units: Units = Unit.C,
        change: Annotated[
            ChangeKey | None, Query(description="A way among `changes`; none: as it was fired.")
        ] = None,
        language: Annotated[
            Language, Query(description="Language of the drawing's words.")
        ] = Language.EN,
    ) -> AgainPlan:
        """A plan that repeats the firing, explained. `POST /api/plans` keeps its draft."""
        return await desk.again(firing_id, units, change, language)

    @routes.post(
        "/{firing_id}/cones/{number}/withdraw",
        tags=["record"],
        status_code=204,
        response_class=Response,
        responses=writes,
    )
    async def withdraw_past_look(
        firing_id: FiringId, number: LookNumber, _: Annotated[WithdrawRequest, Body()]
    ) -> Response:
        """Let a look at a cone of this firing, entered by mistake, count no longer."""
        written = await writings.in_time(done(desk.withdraw_look(firing_id, number)))
        return empty_or_kept(written)

    return routes
