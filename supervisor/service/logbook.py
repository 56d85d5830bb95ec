"""Which firing the readings go to: armed, begun by a climb or by hand, ended cold or by hand.

Knows when one firing's log ends and the next begins. A real kiln's log begins when it climbs, so
that a service that runs for weeks records firings and not a cold shed; a simulated one begins at
once. Called from the event loop only, one turn at a time.
"""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from dataclasses import replace

from supervisor.core.errors import InputError, RecordError
from supervisor.core.readings import Reading
from supervisor.core.reasons import Reason
from supervisor.record.rows import Mode
from supervisor.record.store import Record
from supervisor.service.begin import Begun, begin_new
from supervisor.service.clock import FiringClock
from supervisor.service.keeper import Keeper
from supervisor.service.plans.next_plan import NextPlan
from supervisor.service.setup import Setup
from supervisor.service.standby import Standby, Unrested

BEGUN_BY_HAND = "The log was begun by hand."
ENDED_BY_HAND = "The log was ended by hand."
OVER = "The readings are over: whether this is over too can't be told from them."
_TURN_AFTER = 100
"""Readings between two turns of the event loop while the hour before a climb is taken in."""


class Logbook:
    """Hands each reading to the firing that goes on, and turns to the next one.

    ``clock`` is the readings' own, on which the first firing counts; later ones count from their
    own beginning. ``on_turn`` is told of a firing that has begun, and whether it is armed, and
    gives its keeper, before that is given a reading; ``on_change`` is told of everything else that
    a page shows. ``begun`` is how the first firing began; None: as if nothing had been before it.
    """

    def __init__(
        self,
        setup: Setup,
        record: Record,
        keeper: Keeper,
        clock: FiringClock,
        *,
        on_turn: Callable[[Begun, bool], Keeper],
        on_change: Callable[[], None],
        begun: Begun | None = None,
    ) -> None:
        self._setup = setup
        self._record = record
        self._keeper = keeper
        self._clock = clock
        self._on_turn = on_turn
        self._on_change = on_change
        self.plan_to_come = NextPlan(None) if begun is None else begun.next_plan
        """Which plan the next log begins with."""
        self._follows_on = begun is not None and begun.follows_on
        """Whether a kiln that is hot already at the first reading is being fired."""
        self._zero_s = 0.0
        self._turning = asyncio.Lock()
        self._is_over = False
        self._goes_on = False
        self._last: Reading | None = None
        self._standby: Standby | None = None
        self._unrested_id: str | None = None
        if keeper.is_armed or not keeper.is_open:
            self._stand_by(None if begun is None else begun.unrested)

    @property
    def next_plan(self) -> str | None:
        """Name of the plan that the next log would begin with; None when none can begin."""
        if self._is_over or self._standby is None:
            return None
        return self.plan_to_come.on(self._setup).schedule.name

    async def take(self, reading: Reading) -> None:
        """A reading has come in."""
        async with self._turning:
            self._last = reading
            standby = self._standby
            if standby is None:
                self._keeper.accept(self._counted(reading))
                if not self._keeper.is_open:
                    self._stand_by()
                    self._setup.say("the firing is closed; the next begins when the kiln climbs")
                    self._on_change()
            elif self._begins(standby, reading) and self._can_begin:
                await self._turn(standby.readings())
            else:
                self._keeper.accept(self._counted(reading))

    @property
    def _can_begin(self) -> bool:
        """While the disk refuses, waiting for it would leave the kiln unwatched."""
        return self._record.trouble is None or self._record.stands_in

    def _begins(self, standby: Standby, reading: Reading) -> bool:
        waited = standby.waits_for_rest
        begins = standby.sees_a_beginning(reading)
        if waited and not standby.waits_for_rest and self._unrested_id is not None:
            self._record.has_rested(self._unrested_id)
            self._unrested_id = None
        temps_c = [temp_c for temp_c in reading.temps_c.values() if temp_c is not None]
        if self._follows_on and temps_c and self._can_begin:
            self._follows_on = False
            self._goes_on = max(temps_c) > self._setup.settings.open_below_c
        return begins or self._goes_on

    async def follow_next_plan(self) -> None:
        """Another plan has been chosen for the next log: wait for that one's beginning.

        A log that is being kept stays as it is. The armed firing, of which nothing is kept, gives
        way to one with the new plan, so that the page shows what will be fired.
        """
        async with self._turning:
            standby = self._standby
            if standby is not None and not self._is_over:
                await standby.follow(self.plan_to_come.on(self._setup).schedule)
                if self._keeper.is_armed and self._can_begin:
                    await self._begin([], is_armed=True)
        self._on_change()

    async def begin_by_hand(self, after_id: str, by: str | None) -> None:
        """Begin the next log now, after the firing that a person saw; once more changes nothing.

        On disk when this returns. Raises InputError while a log is being kept, or when there is
        nothing to keep any more, RecordError while the disk refuses.
        """
        async with self._turning:
            if self._keeper.firing.id != after_id:
                return
            if self._is_over:
                raise InputError("the readings are over: no log can begin").because(
                    Reason.READINGS_OVER
                )
            if self._standby is None:
                raise InputError(
                    "a log is being kept already: end it before you begin another"
                ).because(Reason.LOG_KEPT)
            trouble = self._record.trouble
            if trouble is not None and not self._can_begin:
                raise RecordError(f"no log can begin: {trouble.message}").because(
                    Reason.NO_LOG_CAN_BEGIN
                )
            await self._turn([] if self._last is None else [self._last])
            keeper = self._keeper
        await keeper.add_note(BEGUN_BY_HAND, by)
        self._on_change()
        await self._record.at_home()

    async def end_by_hand(self, firing_id: str, by: str | None) -> bool:
        """End the log of this firing now; once more changes nothing. False: it is another one.

        On disk when this returns. Raises InputError when the log has not begun.
        """
        writing = None
        async with self._turning:
            keeper = self._keeper
            if keeper.firing.id != firing_id:
                return False
            if keeper.is_armed:
                raise InputError("the log has not begun yet, so there is none to end").because(
                    Reason.LOG_NOT_BEGUN
                )
            if keeper.is_open:
                writing = asyncio.ensure_future(keeper.add_note(ENDED_BY_HAND, by))
                await asyncio.sleep(0)  # the note goes first
                keeper.close(awaits_rest=True)
                self._stand_by(Unrested(keeper.firing.id, {}))
                self._setup.say(
                    "the log is ended by hand; the next begins when the kiln climbs again"
                )
                self._on_change()
        if writing is not None:
            await writing
            self._on_change()
        await self._record.flush()
        await self._record.at_home()
        return True

    def close(self) -> None:
        """There are no more readings."""
        self._is_over = True
        if not self._keeper.is_armed:
            self._keeper.close()
        self._keeper.let_go(OVER)

    def _stand_by(self, unrested: Unrested | None = None) -> None:
        self._unrested_id = None if unrested is None else unrested.firing_id
        self.plan_to_come.tidy()
        self._standby = Standby(
            self.plan_to_come.on(self._setup).schedule,
            self._keeper.firing.channels,
            self._setup.settings,
            after_rest=unrested is not None,
            ended_at_c=None if unrested is None else unrested.ended_at_c,
        )

    async def _turn(self, kept: list[Reading]) -> None:
        """Begin the next log with these readings."""
        await self._begin(kept)
        self._standby = self._unrested_id = None
        if not self._goes_on:
            self.plan_to_come.spend()
        self._goes_on = False
        for count, reading in enumerate(kept, start=1):
            self._keeper.accept(self._counted(reading))
            if count % _TURN_AFTER == 0:
                await asyncio.sleep(0)

    async def _begin(self, kept: list[Reading], *, is_armed: bool = False) -> None:
        """Begin the next firing, whose first readings these will be.

        What was noted while waiting goes with it.
        """
        before = self._keeper
        now_s = self._clock.elapsed_s()
        zero_s = kept[0].elapsed_s if kept else now_s
        next_clock = FiringClock(now_s - zero_s, speed=self._clock.speed)
        setup = self._setup if self._goes_on else self.plan_to_come.on(self._setup)
        begun = await begin_new(
            setup,
            self._record,
            next_clock,
            waited=before.firing.id if before.is_armed else None,
            waited_until=before.now()[1],
        )
        before.is_open = False
        self._zero_s = zero_s
        self._keeper = self._on_turn(begun, is_armed)

    def _counted(self, reading: Reading) -> Reading:
        """The reading on the clock of the firing that goes on."""
        if self._zero_s == 0.0:
            return reading
        return replace(reading, elapsed_s=round(reading.elapsed_s - self._zero_s, 3))


def is_armed(setup: Setup, begun: Begun) -> bool:
    """Whether the log of a firing that has been opened waits for the kiln to climb."""
    return setup.mode is Mode.LIVE and not begun.resumes
