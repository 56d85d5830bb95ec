"""A record with a good glaze firing whose lid was opened far too early, for tests of unloading."""

from __future__ import annotations

from pathlib import Path

from fastapi import APIRouter

from supervisor.record.put_away import put_away
from supervisor.record.rows import Firing
from supervisor.record.store import Record
from supervisor.service.archive import Archive
from supervisor.service.keeper import Keeper
from supervisor.service.unloading.unloader import Unloader
from tests.service.firings import begin, keep, night
from tests.web.test_plans_api import shelf_in
from web.routers import firings, plans, unload

NAME = "opened-hot"


def unloaded_in(folder: Path) -> Firing:
    """The firing, over and put away in a new record in ``folder``."""
    with Record.open(folder) as record:
        firing = begin(record, NAME)
        kept = keep(record, firing, name=NAME)
        kept.feed(*night(NAME))
        kept.keeper.close()
        record.flush().result(10.0)
        put_away(record, record.firing(firing.id))
        return record.firing(firing.id)


def routers_of(
    record: Record, keeper: Keeper, folder: Path, unloader: Unloader | None = None
) -> list[APIRouter]:
    """What the page asks when a kiln is unloaded; plans are kept in ``folder``."""
    unloader = unloader or Unloader(record, lambda: keeper, lambda: None, limit_c=1300.0)
    archive = Archive(record, lambda: keeper, lambda: None)
    return [unload.router(unloader), firings.router(archive), plans.router(shelf_in(folder))]
