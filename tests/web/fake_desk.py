"""A desk without a service: the page's tests say what is on it and look at what was written."""

from __future__ import annotations

import asyncio
import math
import time
from datetime import datetime, timedelta
from itertools import pairwise
from typing import Any, Self

from supervisor.core.errors import InputError, RecordError
from supervisor.core.events import Severity, State
from supervisor.core.heatwork.tip import clock_of, parse_clock, stance_of, tip_angle_deg
from supervisor.core.schedule.parse import cone_name
from supervisor.core.watch import Activity
from web.chart import Ahead, ChartEvent, Course, Phase
from web.interface import (
    UnknownAlertError,
    UnknownChannelError,
    UnknownFiringError,
    UnknownLookError,
    UnknownNoteError,
)
from web.models import (
    Alert,
    Channel,
    ChannelOffset,
    ChannelState,
    Chart,
    Cone,
    ConeRole,
    Correction,
    Estimate,
    Firing,
    FiringState,
    Kiln,
    Log,
    LogState,
    Look,
    Mode,
    MqttState,
    Note,
    PlanLine,
    PlanPosition,
    Points,
    Snapshot,
)
from web.requests import LookRequest
from web.trace import Trace

START_TIME = "2025-03-14T19:30:00+01:00"
CHANNELS = ("top", "middle", "bottom")
PLAN = PlanLine(
    elapsed_s=[0.0, 20_880.0, 27_960.0, 36_560.0, 38_360.0, 60_000.0],
    temp_c=[20.0, 600.0, 1_100.0, 1_222.0, 1_222.0, 600.0],
)
SAMPLE_S = 30.0


def planned_c(elapsed_s: float) -> float:
    """The plan's temperature: straight between its points."""
    pairs = list(zip(PLAN.elapsed_s, PLAN.temp_c, strict=True))
    for (from_s, from_c), (to_s, to_c) in pairwise(pairs):
        if elapsed_s <= to_s:
            return from_c + (to_c - from_c) * (elapsed_s - from_s) / (to_s - from_s)
    return pairs[-1][1]


def kiln_c(elapsed_s: float) -> dict[str, float | None]:
    """Three channels of a kiln that trails its plan a little, smooth and repeatable."""
    behind = planned_c(max(0.0, elapsed_s - 420.0))
    wobble = 2.0 * math.sin(elapsed_s / 900.0)
    return {"top": behind + 9 + wobble, "middle": behind + wobble, "bottom": behind - 14 - wobble}


def stall_alert(alert_id: str = "a1", **changes: Any) -> Alert:
    fields: dict[str, Any] = {
        "id": alert_id,
        "kind": "stall",
        "severity": Severity.WARNING,
        "channel": "middle",
        "message": "The kiln has climbed only 3 °C in the last 15 minutes while the plan climbs "
        "at 70 °C an hour: look at the elements, the burner or the gas, and at the damper.",
        "raised_at_s": 30_600.0,
        "time": "2025-03-15T04:00:00+01:00",
    }
    return Alert(**(fields | changes))


def cone(name: str, role: ConeRole, work: float, **fields: Any) -> Cone:
    """A cone that stands as its work says."""
    return Cone(
        cone=name,
        role=role,
        work=work,
        tip_angle_deg=tip_angle_deg(work),
        clock=clock_of(work),
        stance=stance_of(work),
        **fields,
    )


ESTIMATE = Estimate(offset_c=4.2, sigma_c=3.1, observations=2, firings=1)
"""What the fake cones say once one of them was looked at."""


class FakeDesk:
    """Holds one snapshot and a trace; ``change`` and ``read`` wake who waits."""

    def __init__(self) -> None:
        self.trace = Trace(CHANNELS, gap_s=5 * SAMPLE_S)
        self.plan = PLAN
        self.ahead = Course(firing_id=None, revision=0)
        self.written_notes: list[tuple[str, str | None]] = []
        self.withdrawn_notes: dict[int, str | None] = {}
        self.acknowledged: list[tuple[str, str | None]] = []
        self.looked: list[LookRequest] = []
        self.logs: list[tuple[str, str | None]] = []
        self.changed_offsets: list[tuple[str, float | None]] = []
        self._look_by_client_id: dict[str, Look] = {}
        self.disk_takes = asyncio.Event()
        self.disk_takes.set()
        self.record_is_broken = False
        self.snapshot_is_broken = False
        self.is_always_fresh = False
        self.waiting = 0
        self._by_client_id: dict[str, Note] = {}
        self._woken = asyncio.Event()
        self._read_at_s = time.monotonic()
        self.now = Snapshot(
            kiln=Kiln(name="Shed kiln", kind="electric"),
            mode=Mode.LIVE,
            firing=Firing(
                id="f1",
                name="Stoneware glaze, one cone low with a hold",
                started_at=START_TIME,
                state=FiringState.FIRING,
            ),
            recording=True,
            elapsed_s=0.0,
            reading_age_s=0.0,
            stale=False,
            sentence_c="Climbing 70 °C an hour, 7 minutes behind plan. Cone 6 about 05:50.",
            sentence_f="Climbing 126 °F an hour, 7 minutes behind plan. Cone 6 about 05:50.",
            channels=[],
            mqtt=MqttState.CONNECTED,
            revision=1,
        )

    def change(self, **fields: Any) -> None:
        """Put other values on the desk and wake everyone who waits."""
        self.now = self.now.model_copy(update=fields | {"revision": self.now.revision + 1})
        woken, self._woken = self._woken, asyncio.Event()
        woken.set()

    def read(
        self, elapsed_s: float, temps_c: dict[str, float | None] | None = None, **fields: Any
    ) -> None:
        """One reading arrives; ``fields`` go on the desk with it."""
        temps_c = kiln_c(elapsed_s) if temps_c is None else temps_c
        self.trace.append(elapsed_s, temps_c)
        self._read_at_s = time.monotonic()
        usable = [temp_c for temp_c in temps_c.values() if temp_c is not None]
        channels = [
            Channel(
                name=name,
                temp_c=temp_c,
                rate_c_per_h=None if temp_c is None else 70.4,
                state=ChannelState.FAULTY if temp_c is None else ChannelState.OK,
                fault="Open circuit: probe, lead or terminal is broken." * (temp_c is None) or None,
                leads=name == "middle",
            )
            for name, temp_c in temps_c.items()
        ]
        self.change(
            **(
                {
                    "elapsed_s": elapsed_s,
                    "time": label(elapsed_s),
                    "channels": channels,
                    "temp_c": temps_c.get("middle"),
                    "rate_c_per_h": None if temps_c.get("middle") is None else 70.4,
                    "spread_c": max(usable) - min(usable) if usable else None,
                }
                | fields
            )
        )

    @classmethod
    def filled(cls) -> Self:
        """A desk in the middle of a firing."""
        desk = cls()
        desk.fill(3_000)
        return desk

    def fill(self, until_s: float, *, every_s: float = SAMPLE_S) -> None:
        """A firing up to ``until_s``, with its plan position and cones."""
        at_s = 0.0
        while at_s < until_s:
            self.trace.append(at_s, kiln_c(at_s))
            at_s += every_s
        self.read(
            at_s,
            plan=PlanPosition(
                step=3,
                steps=4,
                activity=Activity.CLIMBING,
                target_c=1222.0,
                late_s=420.0,
                ends_in_s=29_400.0,
            ),
            cones=[
                cone(
                    "5",
                    ConeRole.GUIDE,
                    0.62,
                    is_forecast=True,
                    expected_in_s=3_000.0,
                    earliest_in_s=2_400.0,
                    latest_in_s=3_900.0,
                    if_plan_in_s=3_120.0,
                    at_rate_in_s=3_000.0,
                    hold_in_s=4_200.0,
                ),
                cone(
                    "6",
                    ConeRole.TARGET,
                    0.31,
                    is_forecast=True,
                    expected_in_s=5_400.0,
                    earliest_in_s=4_500.0,
                    if_plan_in_s=5_400.0,
                    at_rate_in_s=4_800.0,
                ),
                cone("7", ConeRole.GUARD, 0.12),
            ],
            offsets=[ChannelOffset(channel=name) for name in CHANNELS],
        )

    def expect(self) -> None:
        """A forecast to the plan's end, some phases, and two things that happened."""
        now_s = self.now.elapsed_s
        times = [now_s + 600.0 * n for n in range(int((60_000.0 - now_s) / 600.0))]
        temps = [planned_c(at_s - 420.0) for at_s in times]
        wide = [min(0.003 * (at_s - now_s), 14.0) for at_s in times]
        self.ahead = Course(
            firing_id=self._firing_id(),
            ahead=Ahead(
                elapsed_s=times,
                temp_c=temps,
                low_c=[at_c - by for at_c, by in zip(temps, wide, strict=True)],
                high_c=[at_c + by for at_c, by in zip(temps, wide, strict=True)],
            ),
            phases=[
                Phase(name="drying", from_s=400.0, to_s=4_000.0),
                Phase(name="quartz turns", from_s=18_600.0, to_s=21_900.0),
                Phase(name="melting", from_s=28_600.0, to_s=36_900.0),
                Phase(name="our own", from_s=44_000.0, to_s=52_000.0),
            ],
            events=[
                ChartEvent(
                    elapsed_s=14_400.0,
                    kind="stall",
                    severity=Severity.WARNING,
                    state=State.RAISED,
                    channel="middle",
                ),
                ChartEvent(
                    elapsed_s=29_000.0,
                    kind="heat_lost",
                    severity=Severity.CRITICAL,
                    state=State.RAISED,
                ),
            ],
            revision=self.now.revision,
        )

    def begin_another(self, firing_id: str) -> None:
        """Another firing, without a reading yet; nothing else of the snapshot changes."""
        self.trace = Trace(CHANNELS, gap_s=5 * SAMPLE_S)
        assert self.now.firing is not None
        self.read(0.0, firing=self.now.firing.model_copy(update={"id": firing_id}))

    def _firing_id(self) -> str | None:
        return None if self.now.firing is None else self.now.firing.id

    def snapshot(self) -> Snapshot:
        if self.snapshot_is_broken:
            raise RuntimeError("a secret of the inside")
        if self.now.reading_age_s is None or self.is_always_fresh:
            return self.now
        age_s = self.now.reading_age_s + time.monotonic() - self._read_at_s
        return self.now.model_copy(update={"reading_age_s": age_s})

    def chart(self, max_points: int) -> Chart:
        elapsed_s, channels = self.trace.rows(max_points)
        return Chart(
            firing_id=self._firing_id(),
            elapsed_s=elapsed_s,
            channels=channels,
            plan=self.plan,
            start_time=START_TIME,
            chart_revision=self.now.chart_revision,
            revision=self.now.revision,
        )

    async def course(self) -> Course:
        return self.ahead.model_copy(
            update={"firing_id": self._firing_id(), "revision": self.now.revision}
        )

    def points_after(self, after_s: float, max_points: int) -> Points:
        elapsed_s, channels = self.trace.rows(max_points, after_s=after_s)
        return Points(
            firing_id=self._firing_id(),
            elapsed_s=elapsed_s,
            channels=channels,
            revision=self.now.revision,
        )

    async def wait_for_change(self, seen: int) -> int:
        self.waiting += 1
        try:
            while self.now.revision <= seen:
                await self._woken.wait()
        finally:
            self.waiting -= 1
        return self.now.revision

    async def acknowledge(self, alert_id: str, by: str | None) -> None:
        if self.record_is_broken:
            raise RecordError("The record can't be written: the disk is full.")
        if alert_id not in {alert.id for alert in self.now.alerts}:
            raise UnknownAlertError(f"There is no alert “{alert_id}” in this firing.")
        self.change(
            alerts=[
                alert.model_copy(update={"acknowledged_at": label(self.now.elapsed_s)})
                if alert.id == alert_id
                else alert
                for alert in self.now.alerts
            ]
        )
        await self.disk_takes.wait()
        self.acknowledged.append((alert_id, by))

    async def add_note(self, text: str, by: str | None, client_id: str | None = None) -> Note:
        if client_id in self._by_client_id:
            await self.disk_takes.wait()
            return self._by_client_id[client_id]
        if self.record_is_broken:
            raise RecordError("The record can't be written: the disk is full.")
        note = Note(
            id=str(len(self.written_notes) + 1),
            elapsed_s=self.now.elapsed_s,
            time=label(self.now.elapsed_s),
            text=text,
            by=by,
        )
        if client_id is not None:
            self._by_client_id[client_id] = note
        await self.disk_takes.wait()
        if self.record_is_broken:
            raise RecordError("The record can't be written: the disk is full.")
        self.written_notes.append((text, by))
        self.change(notes=[note, *self.now.notes][:20])
        return note

    async def withdraw_note(self, number: int, by: str | None) -> None:
        if number in self.withdrawn_notes:
            return
        if str(number) not in {note.id for note in self.now.notes}:
            raise UnknownNoteError(f"There is no note {number} in this firing.")
        if self.record_is_broken:
            raise RecordError("The record can't be written: the disk is full.")
        await self.disk_takes.wait()
        self.withdrawn_notes[number] = by
        self.change(notes=[note for note in self.now.notes if note.id != str(number)])

    async def add_look(self, look: LookRequest) -> Look:
        name = cone_name(look.cone)
        if name is None:
            raise InputError(f"“{look.cone}” is not a cone.")
        tip = parse_clock(look.clock)
        if look.channel is not None and look.channel not in CHANNELS:
            raise InputError(f"There is no channel “{look.channel}”.")
        client_id = str(look.client_id)
        if client_id in self._look_by_client_id:
            return self._look_by_client_id[client_id]
        if self.record_is_broken:
            raise RecordError("The record can't be written: the disk is full.")
        seen_s = self.now.elapsed_s - 60.0 * look.minutes_ago
        kept = Look(
            number=len(self.looked) + 1,
            elapsed_s=seen_s,
            time=label(seen_s),
            cone=name,
            clock=tip,
            channel=look.channel,
            shelf=look.shelf,
            by=look.by,
        )
        if look.client_id is not None:
            self._look_by_client_id[client_id] = kept
        await self.disk_takes.wait()
        self.looked.append(look)
        self.change(
            witness=[kept, *self.now.witness],
            offsets=[
                row.model_copy(update={"estimate": ESTIMATE, "is_proposed": True})
                if row.channel == look.channel
                else row
                for row in self.now.offsets
            ],
        )
        return kept

    async def withdraw_look(self, number: int) -> None:
        if number not in {look.number for look in self.now.witness}:
            raise UnknownLookError(f"There is no look {number} in this firing.")
        await self.disk_takes.wait()
        self.change(witness=[look for look in self.now.witness if look.number != number])

    async def accept_offset(self, channel: str, offset_c: float) -> None:
        self._must_have(channel)
        if self.record_is_broken:
            raise RecordError("The record can't be written: the disk is full.")
        found = next(row.estimate for row in self.now.offsets if row.channel == channel)
        if found is None or found.offset_c != offset_c:
            raise InputError("What the cones say has changed meanwhile.")
        await self._correct(channel, Correction(offset_c=offset_c, sigma_c=found.sigma_c))

    async def withdraw_offset(self, channel: str) -> None:
        self._must_have(channel)
        await self._correct(channel, None)

    async def begin_log(self, after_id: str, by: str | None) -> None:
        if self._firing_id() != after_id:
            return
        if self.now.log.state is LogState.OPEN:
            raise InputError("A log is being kept already.")
        self.logs.append(("begin", by))
        await self.disk_takes.wait()
        self.begin_another(f"{after_id}-next")
        self.change(log=Log(state=LogState.OPEN), recording=True)

    async def end_log(self, firing_id: str, by: str | None) -> None:
        if self._firing_id() != firing_id:
            raise UnknownFiringError("Another firing goes on.")
        self.logs.append(("end", by))
        self.change(log=Log(state=LogState.CLOSED, next_plan="Bisque"), recording=False)
        await self.disk_takes.wait()

    def _must_have(self, channel: str) -> None:
        if channel not in {row.channel for row in self.now.offsets}:
            raise UnknownChannelError(f"There is no channel “{channel}” in this firing.")

    async def _correct(self, channel: str, correction: Correction | None) -> None:
        leads = any(one.name == channel and one.leads for one in self.now.channels)
        changes = {"in_force": correction, "is_proposed": correction is None}
        self.change(
            offsets=[
                row.model_copy(update=changes) if row.channel == channel else row
                for row in self.now.offsets
            ],
            correction=correction if leads else self.now.correction,
        )
        await self.disk_takes.wait()
        self.changed_offsets.append((channel, None if correction is None else correction.offset_c))


def label(elapsed_s: float) -> str:
    """Label of an elapsed time of a firing begun at ``START_TIME``."""
    return (datetime.fromisoformat(START_TIME) + timedelta(seconds=elapsed_s)).isoformat()
