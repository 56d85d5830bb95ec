"""The description of the interface is true: schemathesis asks the real app, desk and record.

Each operation is asked what it describes and what it doesn't, by somebody who is signed in: no
answer is a server's error, none is undescribed, each has the shape and the type that is described,
and what is described to need a session is refused without one.
"""

from __future__ import annotations

import asyncio
import gzip
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import schemathesis
from hypothesis import HealthCheck, Phase, settings
from schemathesis.specs.openapi.checks import (
    negative_data_rejection,
    positive_data_acceptance,
    unsupported_method,
)
from starlette.types import Receive, Scope, Send

from supervisor.record.store import Record
from supervisor.service.archive import Archive
from supervisor.service.comparing import Comparer
from supervisor.service.following import Follower
from supervisor.service.plans.shelf import PlanShelf
from supervisor.service.replay import films
from supervisor.service.unloading.unloader import Unloader
from tests.service.test_desk import at_work
from tests.web.access.doors import PHONE, PIN, Door
from tests.web.test_plans_api import shelf_in
from web import news
from web.access.access import Reading
from web.app import create_app, end_streams
from web.archive import NoSuchFiringError
from web.reports import Form, PressedReport, ReportQuery
from web.routers import Router, comparison, firings, plans, replay, reports, trends, unload

HOST = "testserver"
"""As schemathesis calls what it asks in this process."""
COOKIE = "spyhole-8017"


class ReadyPress:
    """Has reports of half of all firings."""

    async def report(self, firing_id: str, form: Form, query: ReportQuery) -> PressedReport:
        if len(firing_id) % 2:
            raise NoSuchFiringError("there is no such firing")
        return PressedReport(gzip.compress(b"<!DOCTYPE html>"), "sha256-x")


def routers(
    record: Record, archive: Archive, unloader: Unloader, shelf: PlanShelf, reels: films.Films
) -> list[Router]:
    """Every view's addresses."""
    return [
        firings.router(archive),
        comparison.router(Comparer(record)),
        plans.router(shelf),
        replay.router(reels),
        reports.router(ReadyPress()),
        trends.router(Follower(record)),
        unload.router(unloader),
    ]


class Switch:
    """An ASGI app that passes on to the one of the present test."""

    def __init__(self) -> None:
        door = Door(reading=Reading.PIN)
        # Which addresses there are is no matter of who serves them.
        nobody: Any = None
        self.firing_id = ""
        self.app = create_app(
            door.desk,
            access=door.access,
            allowed_hosts=[HOST],
            routers=routers(nobody, nobody, nobody, nobody, nobody),
        )

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        await self.app({**scope, "server": (HOST, 8017)}, receive, send)


switch = Switch()
schema = schemathesis.openapi.from_asgi("/openapi.json", switch)


@pytest.fixture
def token(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[str]:
    """The real app over a firing that goes on; somebody's session."""
    monkeypatch.setattr(news, "PACE_S", 0.0)
    monkeypatch.setattr(news, "LOOK_UP_S", 0.01)
    # Nobody makes films here, and 503 would be the answer to who asks for too many.
    monkeypatch.setattr(films, "MOST_WAITING", 10_000)
    door = Door(reading=Reading.PIN)
    with Record.open(tmp_path) as record:
        kept, desk = at_work(record)
        served = routers(
            record,
            Archive(record, lambda: kept.keeper, lambda: None),
            Unloader(record, lambda: kept.keeper, lambda: None, limit_c=None),
            shelf_in(tmp_path / "plans"),
            films.Films(record, "electric"),
        )
        switch.firing_id = kept.keeper.firing.id
        switch.app = create_app(desk, access=door.access, allowed_hosts=[HOST], routers=served)
        end_streams(switch.app)  # a stream that never ends could not be asked
        visitor = door.access.visitor(PHONE, is_here=False, token=None)
        Cookie.token = asyncio.run(door.access.sign_in(visitor, PIN, "Ana"))
        yield Cookie.token


@schema.hook
def map_path_parameters(_context: Any, path_parameters: dict[str, Any] | None) -> Any:
    """Half of what is asked of a firing is asked of one that there is."""
    if path_parameters and len(str(path_parameters.get("firing_id", "."))) % 2 == 0:
        path_parameters["firing_id"] = switch.firing_id
    return path_parameters


class Cookie:
    """How schemathesis signs in, and leaves it out where it looks whether that is noticed."""

    token = ""

    def get(self, _case: Any, _context: Any) -> str:
        return self.token

    def set(self, case: Any, data: str, _context: Any) -> None:
        case.cookies = dict(case.cookies or {}) | {COOKIE: data}


schema.auth(refresh_interval=None)(Cookie)
LEFT_OUT = [
    # The guard refuses what is no JSON before it asks which methods an address takes.
    unsupported_method,
    # Which cones and channels there are is no matter of form.
    positive_data_acceptance,
]


@schema.parametrize()
@settings(
    max_examples=12,
    deadline=None,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
def test_every_answer_is_described(case: Any, token: str) -> None:
    answer = case.call()
    # What is too long is refused for its length, whatever else is wrong with it.
    too_long = [negative_data_rejection] if answer.status_code == 413 else []
    case.validate_response(answer, excluded_checks=LEFT_OUT + too_long)
