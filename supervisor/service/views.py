"""What the page's further views ask for, put together: one router a view. Knows who serves whom."""

from __future__ import annotations

import asyncio

from supervisor.core.errors import RecordError
from supervisor.core.reasons import Reason
from supervisor.record.store import Record
from supervisor.service.comparing import Comparer
from supervisor.service.following import Follower
from supervisor.service.logbook import Logbook
from supervisor.service.plans.files import PlanFiles
from supervisor.service.plans.shelf import PlanShelf
from supervisor.service.replay.films import Films
from supervisor.service.reports.press import Press
from supervisor.service.setup import Setup
from supervisor.service.unloading.unloader import Unloader
from supervisor.service.years import Years
from web.routers import Router, comparison, plans, replay, reports, trends, unload


class Views:
    """Every view but the watch's own; ``run`` does what they ask for in the background."""

    def __init__(self, setup: Setup, record: Record, logbook: Logbook, years: Years) -> None:
        self._record = record
        self._years = years
        self._films = Films(record, setup.kiln_kind)
        self._press = Press(lambda: record.lies_at, record.path.parent)
        self._shelf = PlanShelf(
            PlanFiles(setup.plans_dir or setup.data_dir / "plans"),
            logbook.plan_to_come,
            usual=setup.schedule.name,
            limit_c=setup.settings.limit_c,
            must_write=self._must_write,
            on_chosen=logbook.follow_next_plan,
        )
        self._comparer = Comparer(record)
        self._unloader = Unloader(
            record, years.current, years.changed, limit_c=setup.settings.limit_c
        )

    @property
    def routers(self) -> list[Router]:
        """The routers that ``web.app.create_app`` is given."""
        return [
            plans.router(self._shelf),
            replay.router(self._films),
            reports.router(self._press),
            unload.router(self._unloader),
            self._years.router,
            comparison.router(self._comparer),
            trends.router(Follower(self._record)),
        ]

    async def run(self) -> None:
        """Work until cancelled."""
        async with asyncio.TaskGroup() as group:
            group.create_task(self._films.run())
            group.create_task(self._comparer.run())
            group.create_task(self._unloader.run())
            group.create_task(self._years.run())

    def _must_write(self) -> None:
        trouble = self._record.trouble
        if trouble is not None and not self._record.stands_in:
            raise RecordError(f"no plan can be chosen: {trouble.message}").because(
                Reason.NO_PLAN_CAN_BE_CHOSEN
            )
