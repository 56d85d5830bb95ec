"""Implements ``web.plans.PlanDesk``: the starters and the user's own files, for the page.

What takes long is done in a thread, one thing at a time, so that no number of pages keeps the
watch waiting for more than its share of one core.
"""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from functools import lru_cache, partial

from supervisor.core.errors import InputError
from supervisor.core.languages import Language
from supervisor.core.schedule import Schedule, Timeline, parse_schedule, starter_names, starter_text
from supervisor.core.units import Unit
from supervisor.service.one_at_a_time import OneAtATime
from supervisor.service.plans.draft import draft_of, read_draft
from supervisor.service.plans.files import SUFFIX, PlanFiles, PlanIsThereError
from supervisor.service.plans.next_plan import NextPlan
from supervisor.service.plans.shown import explained_shape
from web import plans as page
from web.wire import why_of

_KEPT = 12


class PlanShelf:
    """The plans in ``files`` and the starters; ``next_plan`` is what the next log begins with.

    ``usual`` names the configuration's plan, ``limit_c`` is the kiln maker's limit. ``on_chosen``
    is awaited when another plan is to be fired next.
    """

    def __init__(
        self,
        files: PlanFiles,
        next_plan: NextPlan,
        *,
        usual: str,
        limit_c: float | None,
        must_write: Callable[[], None],
        on_chosen: Callable[[], Awaitable[None]],
    ) -> None:
        self._files = files
        self._next = next_plan
        self._usual = usual
        self._must_write = must_write
        self._on_chosen = on_chosen
        self._alone = OneAtATime(
            "Too much is being asked of the plans at once; try again in a moment."
        ).do
        self._explained = lru_cache(maxsize=_KEPT)(partial(explained_shape, limit_c=limit_c))

    async def plans(self) -> page.PlanList:
        return await self._alone(self._list)

    async def plan(
        self, plan_id: str, units: Unit, hold_for: str | None, language: Language
    ) -> page.PlanShown:
        return await self._alone(self._shown, plan_id, units, hold_for, language)

    async def explain(self, request: page.ExplainRequest) -> page.PlanAnswer:
        return await self._alone(self._answer, request)

    async def save(self, draft: page.PlanDraft) -> page.SaveAnswer:
        return await self._alone(self._save, draft)

    async def choose(self, plan_id: str | None) -> page.NextPlan:
        self._must_write()
        if plan_id is None:
            await self._alone(self._next.forget)
        else:
            text = await self._alone(self._text, plan_id)
            await self._alone(self._next.choose, plan_id, text)
        await self._on_chosen()
        return self._next_shape()

    def _list(self) -> page.PlanList:
        names = [*starter_names(), *self._files.names()]
        return page.PlanList(
            plans=[self._entry(name) for name in names],
            folder=str(self._files.folder),
            next=self._next_shape(),
        )

    def _next_shape(self) -> page.NextPlan:
        choice = self._next.choice
        return page.NextPlan(
            chosen_id=None if choice is None else choice.plan_id,
            chosen_name=None if choice is None else choice.schedule.name,
            usual_name=self._usual,
        )

    def _text(self, plan_id: str) -> str:
        """The text of a plan. Raises UnknownPlanError, InputError for an unreadable file."""
        if plan_id in starter_names():
            return starter_text(plan_id)
        return self._files.read(plan_id)

    def _read(self, plan_id: str) -> tuple[str, Schedule]:
        text = self._text(plan_id)
        return text, parse_schedule(text, plan_id)

    def _entry(self, plan_id: str) -> page.PlanEntry:
        is_starter = not plan_id.endswith(SUFFIX)
        try:
            _, schedule = self._read(plan_id)
        except InputError as error:
            return page.PlanEntry(
                id=plan_id,
                name=plan_id.removesuffix(SUFFIX),
                is_starter=is_starter,
                problem=f"{error}.",
                why=why_of(error),
            )
        return page.PlanEntry(
            id=plan_id,
            name=schedule.name,
            is_starter=is_starter,
            kind=schedule.kind.value,
            atmosphere=schedule.atmosphere.value,
            target_cone=schedule.target_cone,
            peak_c=round(schedule.peak_c, 2),
            total_s=round(Timeline(schedule).total_s, 1),
        )

    def _shown(
        self, plan_id: str, units: Unit, hold_for: str | None, language: Language
    ) -> page.PlanShown:
        try:
            text, schedule = self._read(plan_id)
        except page.UnknownPlanError:
            raise
        except InputError:
            return page.PlanShown(entry=self._entry(plan_id), draft=None, explained=None)
        return page.PlanShown(
            entry=self._entry(plan_id),
            draft=draft_of(text, schedule),
            explained=self._explained(schedule, units, hold_for=hold_for, language=language),
        )

    def _answer(self, request: page.ExplainRequest) -> page.PlanAnswer:
        schedule, _, mistakes = read_draft(request.draft)
        if schedule is None:
            return page.PlanAnswer(mistakes=mistakes, explained=None)
        explained = self._explained(
            schedule, request.units, hold_for=request.hold_for, language=request.language
        )
        return page.PlanAnswer(mistakes=[], explained=explained)

    def _save(self, draft: page.PlanDraft) -> page.SaveAnswer:
        schedule, text, mistakes = read_draft(draft)
        if schedule is None:
            return page.SaveAnswer(mistakes=mistakes, saved=None)
        try:
            name = self._files.add(schedule.name, text)
        except PlanIsThereError as error:
            taken = page.PlanMistake(field="name", message=str(error), why=why_of(error))
            return page.SaveAnswer(mistakes=[taken], saved=None)
        return page.SaveAnswer(mistakes=[], saved=self._entry(name))
