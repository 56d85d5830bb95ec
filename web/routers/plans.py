"""The plan view's addresses: plans listed, explained, kept as new files, chosen to be fired."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Body, Path, Query

from supervisor.core.languages import Language
from supervisor.core.units import Unit
from web import problems
from web.plans import (
    ChooseRequest,
    ExplainRequest,
    NextPlan,
    PlanAnswer,
    PlanDesk,
    PlanId,
    PlanList,
    PlanShown,
    SaveAnswer,
    SaveRequest,
)


def router(desk: PlanDesk) -> APIRouter:
    """The plans of ``desk`` under ``/api/plans``."""
    routes = APIRouter()

    @routes.get("/api/plans", tags=["look"], responses=problems.documented(503))
    async def list_plans() -> PlanList:
        """Every plan: the starters and the files of the plans' folder."""
        return await desk.plans()

    @routes.get("/api/plans/{plan_id}", tags=["look"], responses=problems.documented(404, 422, 503))
    async def show_plan(
        plan_id: Annotated[PlanId, Path(description="The plan's `id`.")],
        units: Annotated[Unit, Query(description="Scale of the words.")] = Unit.C,
        hold_for: Annotated[
            str | None,
            Query(max_length=20, description="A cone whose hold at the peak is asked for."),
        ] = None,
        language: Annotated[
            Language, Query(description="Language of the drawing's words.")
        ] = Language.EN,
    ) -> PlanShown:
        """One plan, explained."""
        return await desk.plan(plan_id, units, hold_for, language)

    @routes.post(
        "/api/plans/explain",
        tags=["look"],
        responses=problems.documented(403, 413, 415, 422, 503),
    )
    async def explain_plan(request: Annotated[ExplainRequest, Body()]) -> PlanAnswer:
        """What there is to say of a draft; nothing is written."""
        return await desk.explain(request)

    @routes.post(
        "/api/plans",
        tags=["record"],
        responses=problems.documented(403, 413, 415, 422, 503),
    )
    async def save_plan(request: Annotated[SaveRequest, Body()]) -> SaveAnswer:
        """Keep a draft as a new file, named after the plan. No file is ever replaced.

        With mistakes in it, of which a name that is taken is one, nothing is written, and `saved`
        is null.
        """
        return await desk.save(request.draft)

    @routes.post(
        "/api/plans/next",
        tags=["record"],
        responses=problems.documented(403, 404, 413, 415, 422, 503),
    )
    async def choose_next_plan(request: Annotated[ChooseRequest, Body()]) -> NextPlan:
        """Choose the plan that the next log begins with. A log being kept does not change."""
        return await desk.choose(request.id)

    return routes
