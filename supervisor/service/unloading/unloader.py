"""Firings of the record looked back on for the page, as ``spyhole unload`` and ``repeat`` do.

Implements ``web.unload.UnloadDesk``. Puts nothing into a plan unasked, and keeps no plan.
"""

from __future__ import annotations

import asyncio
import threading
from collections.abc import Callable
from typing import TypeVar

from supervisor.core.defects import Traced, trace_defects
from supervisor.core.errors import InputError, PeerError
from supervisor.core.heatwork.cones import pack_around
from supervisor.core.languages import Language
from supervisor.core.phases import cone_cautions
from supervisor.core.reasons import Reason
from supervisor.core.refit import (
    PlanChange,
    Refit,
    Suggestion,
    by_real_cones,
    changed,
    cone_by_real_cones,
    suggestions,
)
from supervisor.core.refit.again import checked, left_out, seen_cone
from supervisor.core.refit.course import Course
from supervisor.core.schedule import parse_schedule
from supervisor.core.schedule.timeline import Timeline
from supervisor.core.schedule.written import schedule_toml
from supervisor.core.units import Unit
from supervisor.core.watch.wording import Words
from supervisor.record.fired_in_order import fired_in_order
from supervisor.record.reviewed import readable_plan_of
from supervisor.record.rows import Firing
from supervisor.record.store import Record
from supervisor.record.ticks import TRACED, traced_text
from supervisor.record.unloading import Account
from supervisor.service import shapes
from supervisor.service.archive_shapes import account_shape, finding_shape, firing_row, photo_shape
from supervisor.service.clock import wall_label
from supervisor.service.keeper import Keeper
from supervisor.service.known import known_firing
from supervisor.service.one_at_a_time import OneAtATime
from supervisor.service.plans.draft import draft_of
from supervisor.service.plans.shown import explained_shape
from supervisor.service.unloading.bench import Bench, LookedBack
from supervisor.service.unloading.shapes import change_shapes, defect_shapes, fit_shape
from web import unload as page
from web.archive import NoSuchFiringError
from web.interface import UnknownLookError

T = TypeVar("T")

TOO_MANY = "Too much is being asked of past firings at once; try again in a moment."


class Unloader:
    """Looks back on the firings of ``record``.

    ``current`` gives the firing that goes on or went on last, ``on_change`` is called when it was
    written about. ``limit_c`` is what the kiln's maker allows now.
    """

    def __init__(
        self,
        record: Record,
        current: Callable[[], Keeper],
        on_change: Callable[[], None],
        *,
        limit_c: float | None,
    ) -> None:
        self._record = record
        self._current = current
        self._on_change = on_change
        self._limit_c = limit_c
        self._is_stopped = threading.Event()
        self._bench = Bench(record, rest=self._rest)
        self._lock = threading.Lock()
        self._soon, self._long = OneAtATime(TOO_MANY), OneAtATime(TOO_MANY)

    async def run(self) -> None:
        """Wait to be cancelled; what is being worked out then ends soon."""
        try:
            await asyncio.Event().wait()
        finally:
            self._is_stopped.set()

    async def unloading(self, firing_id: str | None) -> page.Unloading:
        return await self._soon.do(self._unloading, firing_id)

    async def traced(self, firing_id: str, units: Unit) -> page.TracedFiring:
        return await self._long.do(self._alone, self._traced, firing_id, units)

    async def again(
        self, firing_id: str, units: Unit, change: str | None, language: Language = Language.EN
    ) -> page.AgainPlan:
        return await self._long.do(self._alone, self._again, firing_id, units, change, language)

    async def keep_traced(self, firing_id: str, by: str | None) -> None:
        text = await self._long.do(self._alone, self._text, firing_id)
        if text is not None:
            await self._record.tell(firing_id, Account(TRACED, text, by, wall_label()))

    async def withdraw_look(self, firing_id: str, number: int) -> None:
        firing = await self._soon.do(self._firing, firing_id)
        keeper = self._current()
        try:
            if keeper.firing.id == firing.id:
                await keeper.withdraw_look(number)
                self._on_change()
            else:
                await self._record.withdraw_observation(firing.id, number)
        except InputError as error:
            raise UnknownLookError(str(error)).like(error) from None

    def _alone(self, work: Callable[..., T], *given: object) -> T:
        """Also when whoever asked before has left, and its thread still works."""
        with self._lock:
            return work(*given)

    def _rest(self, rest_s: float) -> None:
        if self._is_stopped.wait(rest_s):
            raise PeerError("spyhole is being ended")

    def _firing(self, firing_id: str | None) -> Firing:
        return self._latest() if firing_id is None else known_firing(self._record, firing_id)

    def _latest(self) -> Firing:
        goes_on: Firing | None = None
        for firing in reversed(fired_in_order(reversed(self._record.firings()))):
            if self._record.extent(firing.id) is not None:
                if not firing.is_open:
                    return firing
                goes_on = goes_on or firing
        if goes_on is None:
            raise NoSuchFiringError("there is no firing in the record yet").because(
                Reason.NO_FIRING_YET
            )
        return goes_on

    def _unloading(self, firing_id: str | None) -> page.Unloading:
        record, firing = self._record, self._firing(firing_id)
        row = firing_row(record.found(firing))
        plan = readable_plan_of(firing)
        target = None if plan is None else plan.target_cone
        around = target or row.cone
        return page.Unloading(
            firing=row,
            target_cone=target,
            cones=[] if around is None else list(dict.fromkeys(pack_around(around))),
            accounts=[account_shape(one) for one in record.accounts(firing.id)],
            found=[finding_shape(one) for one in record.findings(firing.id)],
            witness=[shapes.look_shape(kept) for kept in record.observations(firing.id)],
            pictures=[photo_shape(one) for one in record.photos(firing.id)],
        )

    def _traced(self, firing_id: str, units: Unit) -> page.TracedFiring:
        seen = self._bench.look_back(self._firing(firing_id))
        words = Words(units)
        is_whole = seen.facts.is_whole
        traced = _trace(seen, words) if is_whole else ()
        return page.TracedFiring(
            firing_id=seen.firing.id,
            is_whole=is_whole,
            is_open=seen.firing.is_open,
            defects=defect_shapes(traced),
            changes=change_shapes(self._suggested(seen, traced, words)),
            looks=len(seen.facts.looks),
            seen_cone=seen_cone(seen.facts),
        )

    def _suggested(
        self, seen: LookedBack, traced: tuple[Traced, ...], words: Words
    ) -> tuple[Suggestion, ...]:
        repeated = seen.again(words.unit) if seen.facts.is_whole else None
        if repeated is None:
            return ()
        return suggestions(
            repeated[1], seen.facts, words, traced=traced, limit_c=self._limit_of(seen)
        )

    def _limit_of(self, seen: LookedBack) -> float | None:
        """The lower of the limits of now and then."""
        limits = [c for c in (self._limit_c, seen.settings.limit_c) if c is not None]
        return min(limits, default=None)

    def _text(self, firing_id: str) -> str | None:
        """What is to be kept of the ticks; None where just that is kept already."""
        seen = self._bench.look_back(self._firing(firing_id))
        words = Words(seen.firing.units)
        text = traced_text(_trace(seen, words)) if seen.facts.is_whole else ""
        before = {one.topic: one.text for one in self._record.accounts(firing_id)}
        return None if before.get(TRACED, "") == text else text

    def _again(
        self, firing_id: str, units: Unit, change: str | None, language: Language
    ) -> page.AgainPlan:
        seen = self._bench.look_back(self._firing(firing_id))
        repeated = seen.again(units) if seen.facts.is_whole else None
        if repeated is None:
            raise InputError(
                f"{seen.firing.id} is no firing to repeat: the kiln never was hot in it"
            ).because(Reason.NEVER_HOT, firing=seen.firing.id)
        words = Words(units)
        plan = repeated[1].schedule
        if change is not None:
            way = self._way(seen, words, change)
            plan = changed(repeated[1], way, f"As firing {seen.firing.id}, {way.short}")
        limit_c = self._limit_of(seen)
        by_cones = by_real_cones(plan, repeated[1], seen.facts)
        # The real cones have told what calculation would warn of.
        told = () if by_cones is None else cone_cautions(plan, Timeline(plan), words, limit_c)
        explained = explained_shape(plan, units, limit_c=limit_c, without=told, language=language)
        text = schedule_toml(plan)
        # What could not be read back is never given away.
        parse_schedule(text, "the plan of this firing")
        return page.AgainPlan(
            firing_id=seen.firing.id,
            change=change,
            draft=draft_of(text, plan),
            remarks=_remarks(*repeated, words),
            fit=fit_shape(repeated[1], repeated[0].up.at_s[0]),
            cone_by_cones=cone_by_real_cones(plan, repeated[1], seen.facts),
            by_cones=by_cones,
            explained=explained,
        )

    def _way(self, seen: LookedBack, words: Words, key: str) -> PlanChange:
        for one in self._suggested(seen, _trace(seen, words), words):
            for way in one.ways:
                if way.key == key:
                    return way
        raise InputError(
            f"“{key}” is not among the changes that are suggested now; look at them once more"
        ).because(Reason.CHANGE_GONE)


def _trace(seen: LookedBack, words: Words) -> tuple[Traced, ...]:
    return trace_defects(seen.facts, seen.ticked, words)


def _remarks(course: Course, fitted: Refit, words: Words) -> list[str]:
    begun_s = course.up.at_s[0]
    return [
        *checked(fitted, words),
        *(left_out(one, words, begun_s) for one in fitted.left_out),
    ]
