"""The card is full, refuses to be written, does not answer, or goes read-only in mid-firing.

Four sorts of trouble. *Full*: a small disk is filled to the last block while a firing goes on,
and emptied again; in some of them the daemon is killed while the disk is full. *Refusing*: each
write fails while reading works, and later works again. *Silent*: each write waits for as long as
it takes to be missed. *Read-only*: the kernel finds an error and makes the file system read-only
for good; the daemon is stopped, and one that is started on that disk must watch all the same, from
memory; then the disk is mounted anew and the daemon started again, as a reboot does.
"""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from random import Random

from supervisor.record.schema import FILE_NAME
from supervisor.record.stand_in import StandIn
from supervisor.record.writer import IN_MEMORY
from tests.campaign.disks import CardImage, MemoryDisk
from tests.campaign.judging import all_heard, complaints, ends_well
from tests.campaign.listener import delivery
from tests.campaign.outcome import Outcome, Progress
from tests.campaign.person import ACCEPTED_ONLY, Person
from tests.campaign.readings import missing_readings
from tests.campaign.record import copy_of, damage, stored_messages
from tests.campaign.scenarios import busy_firing, is_warning, raised, told_of
from tests.campaign.shed import MissingError, Shed
from tests.daemons import Daemon, wait_until

SPEED = 120.0
AT_RISK_S = 10.0
"""Real seconds of readings that may be in memory alone when the trouble begins."""
REFUSES = "the disk"
AGAIN = "the record is written again"
LOST = "could not be kept"
WRITTEN = 201
RECORD_FAILED = 3
"""The exit code of a daemon that could not keep what it was given."""
_TOLD_WITHIN_S = 30.0


def run(
    progress: Progress,
    folder: Path,
    *,
    full: int = 20,
    refusing: int = 10,
    read_only: int = 5,
    silent: int = 3,
) -> Outcome:
    """So many troubles of each sort."""
    whole = Outcome("disk", lost=0, repeated=0, out_of_order=0, false_alerts=0)
    whole.done = (
        f"{full} times full, {refusing} times refusing to be written, "
        f"{silent} times not answering, {read_only} times made read-only by the kernel"
    )
    folder.mkdir(parents=True)
    try:
        killed = full // 4
        if full:
            with MemoryDisk(folder / "full") as disk:
                firing = _Firing(whole, progress, folder / "shed-full", disk.folder, seed=401)
                firing.watch([Passing("full", disk.fill, disk.make_room)] * (full - killed))
        if killed:
            with MemoryDisk(folder / "full-and-killed") as disk:
                firing = _Firing(whole, progress, folder / "shed-killed", disk.folder, seed=402)
                firing.watch([Ending("full", disk.fill, disk.make_room, kills=True)] * killed)
        if refusing:
            with CardImage(folder / "card") as card:
                firing = _Firing(whole, progress, folder / "shed-refusing", card.folder, seed=403)
                firing.watch([Passing("refusing", card.refuse, card.allow)] * refusing)
        if silent:
            with CardImage(folder / "silent") as card:
                firing = _Firing(whole, progress, folder / "shed-silent", card.folder, seed=405)
                firing.watch([Passing("silent", card.freeze, card.thaw)] * silent)
        if read_only:
            with CardImage(folder / "read-only") as card:
                firing = _Firing(whole, progress, folder / "shed-read-only", card.folder, seed=404)
                end = Ending("read-only", card.fail, card.mount_again, kills=False)
                firing.watch([end] * read_only)
    except MissingError as error:
        whole.not_run = str(error)
    return whole


@dataclass(frozen=True, slots=True)
class Passing:
    """A trouble that begins and ends under a running daemon."""

    name: str
    begin: Callable[[], None]
    end: Callable[[], None]


@dataclass(frozen=True, slots=True)
class Ending(Passing):
    """A trouble that the daemon does not outlive: it is killed, or told to stop."""

    kills: bool


class _Firing:
    """One firing on one disk, through one trouble after the other."""

    def __init__(
        self, outcome: Outcome, progress: Progress, folder: Path, disk: Path, *, seed: int
    ) -> None:
        self.outcome = outcome
        self.progress = progress
        self.folder = folder
        self.disk = disk
        self.seed = seed
        self.chance = Random(seed)
        self.said_again = 0
        self.had_room = 0
        """How often a full disk took everything in the room that the record had already."""
        self.waited = 0
        """Notes that were only in memory while the disk refused, and are written now."""
        self.from_memory = 0
        """Alert messages delivered while the disk refused."""
        self.in_memory = 0
        """How often a daemon was started on such a disk and watched from memory."""
        self.ended: list[tuple[float, float]] = []
        """From when to when the disk refused under a daemon that ended so."""
        self.allowed: set[float] = set()
        """Elapsed seconds of readings that ended with a daemon while the disk refused."""

    def watch(self, troubles: Sequence[Passing]) -> None:
        """A firing that is as long as the troubles take."""
        self.folder.mkdir()
        scenario = self.scenario = busy_firing(
            self.folder / "firing.toml", self.seed, hours=12, flap_every_min=30
        )
        left = list(troubles)
        with Shed(self.folder) as shed:
            shed.data = self.disk / "data"
            self.shed, self.person = shed, Person(shed.listener)
            while True:
                with shed.watch(scenario, SPEED) as daemon:
                    self.person.open(daemon.page)
                    while left:
                        trouble = left.pop(0)
                        self._calm(daemon)
                        is_told = self._trouble(daemon, trouble)
                        if isinstance(trouble, Ending):
                            self._end(daemon, trouble)
                            break
                        if is_told:
                            self._passes(daemon, trouble)
                        else:
                            trouble.end()
                    else:
                        self._calm(daemon)
                        all_heard(shed)
                        ends_well(self.outcome, daemon)
                        complaints(self.outcome, daemon, REFUSES, AGAIN)
                        break
            self._judge(troubles)

    def _calm(self, daemon: Daemon) -> None:
        for _ in range(4):
            self.person.note()
            self.person.acknowledge_one()
            time.sleep(self.chance.uniform(0.1, 1.0))

    def _trouble(self, daemon: Daemon, trouble: Passing) -> bool:
        """Let it begin; it must be said, and the watch must go on. Whether there was anything."""
        said = _count(daemon, REFUSES)
        self.said_again = _count(daemon, AGAIN)
        self.began_at_s = time.monotonic()
        trouble.begin()
        is_written = self.person.note() == WRITTEN
        gives_up_s = time.monotonic() + _TOLD_WITHIN_S
        while _count(daemon, REFUSES) == said:
            if time.monotonic() > gives_up_s:
                # A write-ahead log that begins anew in its own place needs no more room.
                if is_written and trouble.name == "full" and self.person.note() == WRITTEN:
                    self.had_room += 1
                else:
                    self.outcome.breaks(f"a disk that is {trouble.name} is not told of")
                return False
            time.sleep(0.05)
        record = daemon.get("healthz")["record"]
        # A full disk may take one more commit, where the write-ahead log begins anew in its place.
        if record != "failing" and _count(daemon, AGAIN) == self.said_again:
            self.outcome.breaks(f"the page does not say that the disk is {trouble.name}")
        heard = len(self.shed.listener.alerts())
        at_s = daemon.snapshot()["elapsed_s"]
        for _ in range(self.chance.randint(1, 2)):
            if self.person.note() not in (201, 202):
                self.outcome.breaks(f"a note is not taken while the disk is {trouble.name}")
            self.person.acknowledge_one()
        if daemon.snapshot()["elapsed_s"] <= at_s:
            self.outcome.breaks(f"no reading is taken while the disk is {trouble.name}")
        self.from_memory += len(self.shed.listener.alerts()) - heard
        return True

    def _passes(self, daemon: Daemon, trouble: Passing) -> None:
        """Let it end; everything must be written within a minute."""
        said = self.said_again
        over_at_s = time.monotonic()
        trouble.end()
        wait_until(lambda: _count(daemon, AGAIN) > said, "the record is written again")
        self.outcome.recovering(time.monotonic() - over_at_s)
        if daemon.get("healthz")["record"] != "ok":
            self.outcome.breaks("the page still says that the record fails")
        self.waited += self.person.promises.must_be_written()
        with copy_of(self.shed.data) as record:
            missing = self.person.promises.missing(record, record.firings()[0].id)
        self.outcome.losing("things that were kept in memory", missing)
        self.progress(f"{self.folder.name}: {trouble.name}, and over")

    def _end(self, daemon: Daemon, trouble: Ending) -> None:
        """End the daemon while the disk refuses; only what it did not promise may be lost."""
        if trouble.kills:
            daemon.kill()
        else:
            code, _ = daemon.stop()
            if code == 0 or _count(daemon, LOST) == 0:
                self.outcome.breaks(f"the daemon lost what it had in memory quietly (code {code})")
            self._watches_from_memory(trouble)
        complaints(self.outcome, daemon, REFUSES, AGAIN, LOST)
        died_at_s = time.monotonic()
        trouble.end()
        self.person.promises.in_memory.clear()
        with copy_of(self.shed.data) as record:
            for found in damage(record):
                self.outcome.breaks(f"SQLite finds the record damaged: {found}")
            firing_id = record.firings()[0].id
            missing = self.person.promises.missing(record, firing_id)
            self.outcome.losing("things that the page said were written", missing)
            kept = {reading.elapsed_s for reading in record.readings(firing_id)}
        self.ended.append((self.began_at_s, died_at_s))
        from_s = self.began_at_s - AT_RISK_S
        self.allowed |= {
            document["elapsed_s"]
            for document, at_s in self.shed.listener.readings()
            if from_s <= at_s <= died_at_s
        } - kept
        self.progress(f"{self.folder.name}: {trouble.name}, and ended")

    def _watches_from_memory(self, trouble: Passing) -> None:
        """On a disk that can't be written the daemon says so loudly and watches all the same."""
        what = f"started on a disk that is {trouble.name}, the daemon"
        with self.shed.watch(self.scenario, SPEED) as daemon:
            self.person.open(daemon.page)
            wait_until(lambda: daemon.snapshot()["reading_age_s"] is not None, "it reads")
            self.in_memory += 1
            snapshot = daemon.snapshot()
            if snapshot["record"] != "failing" or daemon.get("healthz")["record"] != "failing":
                self.outcome.breaks(f"{what} does not show on its page that nothing is kept")
            if snapshot["recording"] is not True:
                self.outcome.breaks(f"{what} does not go on with the firing")
            if self.person.note() != ACCEPTED_ONLY:
                self.outcome.breaks(f"{what} says of a note that it is written")
            code, _ = daemon.stop()
        said = [line for line in daemon.complaints if IN_MEMORY in line]
        if code != RECORD_FAILED or not said or _count(daemon, LOST) == 0:
            self.outcome.breaks(f"{what} ended with code {code} and said {daemon.complaints}")
        complaints(self.outcome, daemon, IN_MEMORY)
        # The machine is switched off now, and its memory with it.
        left = StandIn.left_for(self.shed.data / FILE_NAME)
        if left is None:
            self.outcome.breaks(f"{what} leaves nothing in memory for the next")
        else:
            left.forget()

    def _judge(self, troubles: Sequence[Passing]) -> None:
        outcome, shed = self.outcome, self.shed
        name, ends = troubles[0].name, isinstance(troubles[0], Ending)
        with copy_of(shed.data) as record:
            (firing,) = record.firings()
            for found in damage(record):
                outcome.breaks(f"SQLite finds the record damaged: {found}")
            missing = self.person.promises.missing(record, firing.id)
            outcome.losing("things that the page said were written", missing)
            kept = {reading.elapsed_s: reading for reading in record.readings(firing.id)}
            stored = stored_messages(record)
        told = [one for one in shed.listener.readings() if one[0]["elapsed_s"] not in self.allowed]
        outcome.losing("readings", missing_readings(told, kept, until_at_s=float("inf")))
        alerts = shed.listener.documents("alerts")
        heard = [document for document, _ in alerts]
        # What was told from memory alone ended with the daemon; the next one may tell it anew.
        lasting = [
            document
            for document, at_s in alerts
            if not any(from_s <= at_s <= to_s for from_s, to_s in self.ended)
        ]
        delivered = delivery(lasting, stored)
        outcome.losing("alert messages", set(delivered.lost) - {one["id"] for one in heard})
        outcome.repeated = (outcome.repeated or 0) + delivered.repeated
        outcome.misordering("alert messages", delivered.out_of_order)
        if delivered.unknown:
            outcome.breaks(f"heard, but not recorded: {', '.join(delivered.unknown[:3])}")
        for one in self.person.refused:
            # A new daemon does not know of an alert that the one before told from memory alone.
            if not (ends and "was answered 404" in one):
                outcome.breaks(one)
        own = {("stall", None), ("sensor_fault", "middle"), ("sensor_fault", "bottom")}
        if ends:
            # It was blind for minutes of the firing between one daemon and the next.
            own.add(("no_readings", None))
        false = raised(heard) - Counter(
            {s: n for s, n in raised(heard).items() if (s.kind, s.channel) in own}
        )
        outcome.alarming(
            [
                f"{sort} with a disk that was {name}{' and ended' if ends else ''}: "
                f"{told_of(heard, sort)}"
                for sort in false
                if is_warning(sort)
            ]
        )
        outcome.figures.append(
            f"{len(troubles)} times {name}{' and ended' if ends else ''}: "
            f"{self.person.promises.count()} answers of the page, {len(kept):,} readings, "
            f"{len({one['id'] for one in heard})} alert messages, {self.from_memory} of them "
            f"delivered while the disk refused; "
            + (f"{self.had_room} times the record had room of its own; " if self.had_room else "")
            + (
                f"{self.in_memory} times started on it and watched from memory; "
                if self.in_memory
                else ""
            )
            + (
                f"{len(self.allowed)} readings heard of went with the daemon, as it had said"
                if ends
                else f"{self.waited} notes waited in memory and were written"
            )
        )


def _count(daemon: Daemon, words: str) -> int:
    return sum(words in line for line in daemon.complaints)
