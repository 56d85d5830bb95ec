"""The record against a plain dictionary, with closing and opening again in between."""

from __future__ import annotations

import shutil
import tempfile
from dataclasses import dataclass, field, replace
from pathlib import Path

from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import Bundle, RuleBasedStateMachine, invariant, rule

from supervisor.core.events import Event
from supervisor.core.heatwork.offset import Observation, Offset
from supervisor.core.readings import FaultCause, Reading
from supervisor.record.rows import Mode, NewMessage
from supervisor.record.store import Record
from tests.record.firings import NEW, event

TEMPS = st.none() | st.floats(-300.0, 2000.0)
LABELS = st.none() | st.sampled_from(
    ["2026-11-25T20:00:00Z", "2026-11-25T20:00:01Z", "2026-11-25T21:00:00+01:00", "now"]
)


@dataclass
class Told:
    """What the record was told of one firing."""

    is_open: bool = True
    readings: list[Reading] = field(default_factory=list)
    events: list[Event] = field(default_factory=list)
    notes: dict[int, str] = field(default_factory=dict)
    taken_back: dict[int, str] = field(default_factory=dict)
    looks: dict[int, Observation] = field(default_factory=dict)
    began_with: dict[str, Offset] = field(default_factory=dict)
    changes: list[Offset | None] = field(default_factory=list)


class RecordAgainstDictionary(RuleBasedStateMachine):
    firing_ids: Bundle[str] = Bundle("firing_ids")

    def __init__(self) -> None:
        super().__init__()
        self.folder = Path(tempfile.mkdtemp(prefix="record-"))
        self.record = Record.open(self.folder)
        self.told: dict[str, Told] = {}
        self.messages: list[str] = []
        self.in_force: dict[str, Offset] = {}

    def teardown(self) -> None:
        self.reopen()
        self.agrees()
        self.record.close()
        shutil.rmtree(self.folder)

    @rule(target=firing_ids)
    def start(self) -> str:
        new = replace(NEW, kiln=f"Kiln {len(self.told)}")
        firing = self.record.start_firing(new).result(10.0)
        self.told[firing.id] = Told()
        return firing.id

    @rule(target=firing_ids, temps=st.lists(TEMPS, min_size=1, max_size=3))
    def take_in(self, temps: list[float | None]) -> str:
        readings = [Reading(float(n), {"top": t, "bottom": t}) for n, t in enumerate(temps)]
        new = replace(NEW, mode=Mode.IMPORT)
        firing = self.record.import_readings(new, readings, [event(0)]).result(10.0)
        self.told[firing.id] = Told(False, readings, [event(0)], began_with=dict(self.in_force))
        return firing.id

    @rule(firing_id=firing_ids, top=TEMPS, bottom=TEMPS, label=LABELS, step_s=st.floats(0.0, 60.0))
    def append(
        self,
        firing_id: str,
        top: float | None,
        bottom: float | None,
        label: str | None,
        step_s: float,
    ) -> None:
        told = self.told[firing_id]
        if not told.is_open:
            return
        elapsed_s = told.readings[-1].elapsed_s + step_s if told.readings else step_s
        faults = {"top": FaultCause.OPEN} if top is None else {}
        one = Reading(elapsed_s, {"top": top, "bottom": bottom}, faults, label)
        self.record.append(firing_id, one)
        told.readings.append(one)

    @rule(firing_id=firing_ids, number=st.integers(0, 3))
    def add_event(self, firing_id: str, number: int) -> None:
        self.record.add_events(
            firing_id, [event(number)], messages=[NewMessage("t", f"{len(self.messages)}")]
        )
        self.messages.append(f"{len(self.messages)}")
        if event(number) not in self.told[firing_id].events:
            self.told[firing_id].events.append(event(number))

    @rule(firing_id=firing_ids, text=st.text(min_size=1).filter(str.strip))
    def add_note(self, firing_id: str, text: str) -> None:
        note = self.record.add_note(firing_id, 1.0, text).result(10.0)
        self.told[firing_id].notes[note.id] = text

    @rule(firing_id=firing_ids)
    def take_a_note_back(self, firing_id: str) -> None:
        told = self.told[firing_id]
        if told.notes:
            number, text = told.notes.popitem()
            told.taken_back[number] = text
            self.record.withdraw_note(firing_id, number, 2.0)

    @rule(firing_id=firing_ids, cone=st.sampled_from(["5", "6"]), elapsed_s=st.floats(0.0, 9e4))
    def look_at_a_cone(self, firing_id: str, cone: str, elapsed_s: float) -> None:
        seen = Observation(elapsed_s, cone, "3:30", "top")
        kept = self.record.add_observation(firing_id, seen).result(10.0)
        self.told[firing_id].looks[kept.id] = seen

    @rule(firing_id=firing_ids)
    def take_a_look_back(self, firing_id: str) -> None:
        looks = self.told[firing_id].looks
        if looks:
            number, _ = looks.popitem()
            self.record.withdraw_observation(firing_id, number)

    @rule(channel=st.sampled_from(["top", "bottom"]), mean_c=st.floats(-20.0, 20.0))
    def accept(self, channel: str, mean_c: float) -> None:
        self.in_force[channel] = Offset(mean_c, 2.0, 1, 1)
        self.record.accept_offset(NEW.kiln, channel, self.in_force[channel])

    @rule(firing_id=firing_ids, mean_c=st.none() | st.floats(-20.0, 20.0))
    def change_during(self, firing_id: str, mean_c: float | None) -> None:
        if self.record.firing(firing_id).kiln != NEW.kiln:
            return
        during = (firing_id, 5.0)
        if mean_c is not None:
            self.in_force["top"] = Offset(mean_c, 2.0, 1, 1)
            self.record.accept_offset(NEW.kiln, "top", self.in_force["top"], during=during)
        elif self.in_force.pop("top", None) is None:
            return
        else:
            self.record.withdraw_offset(NEW.kiln, "top", during=during)
        self.told[firing_id].changes.append(self.in_force.get("top"))

    @rule()
    def deliver_one(self) -> None:
        self.record.flush().result(10.0)
        waiting = self.record.waiting_messages(limit=1)
        assert [message.payload for message in waiting] == self.messages[:1]
        for message in waiting:
            self.record.mark_sent(message.id)
        self.messages = self.messages[1:]

    @rule(firing_id=firing_ids)
    def close_firing(self, firing_id: str) -> None:
        self.record.close_firing(firing_id, 99.0)
        self.told[firing_id].is_open = False

    @rule()
    def reopen(self) -> None:
        self.record.close()
        self.record = Record.open(self.folder)

    @rule()
    def agrees(self) -> None:
        self.record.flush().result(10.0)
        assert [firing.id for firing in self.record.firings()] == list(reversed(self.told))
        for firing_id, told in self.told.items():
            assert self.record.firing(firing_id).is_open is told.is_open
            assert list(self.record.readings(firing_id)) == told.readings
            assert self.record.events(firing_id) == told.events
            assert {note.id: note.text for note in self.record.notes(firing_id)} == told.notes
            gone = {note.id: note.text for note in self.record.withdrawn_notes(firing_id)}
            assert gone == told.taken_back
            looks = {kept.id: kept.seen for kept in self.record.observations(firing_id)}
            assert looks == told.looks
            begun = self.record.offsets_at_start(firing_id)
            assert {channel: kept.offset for channel, kept in begun.items()} == told.began_with
            changes = self.record.offset_changes(firing_id)
            assert [change.offset for change in changes] == told.changes
        in_force = self.record.offsets(NEW.kiln)
        assert {channel: kept.offset for channel, kept in in_force.items()} == self.in_force
        waiting = self.record.waiting_messages(limit=1000)
        assert [message.payload for message in waiting] == self.messages

    @invariant()
    def the_disk_takes_everything(self) -> None:
        assert self.record.trouble is None


TestRecordAgainstDictionary = RecordAgainstDictionary.TestCase
TestRecordAgainstDictionary.settings = settings(
    max_examples=40, stateful_step_count=25, deadline=None
)
