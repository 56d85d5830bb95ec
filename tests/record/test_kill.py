"""kill -9 at any moment: the file stays sound, and what was promised is there."""

from __future__ import annotations

import random
import sqlite3
import subprocess
import sys
import time
from itertools import pairwise
from pathlib import Path

import pytest

from supervisor.record.store import COMMIT_AFTER_S, Record

SLACK_S = 1.0
"""For a busy machine's commit."""


class Victim:
    """One life of the process that keeps the record."""

    def __init__(self, folder: Path, commit_after_s: float) -> None:
        self.folder = folder
        self.process = subprocess.Popen(
            [sys.executable, "-m", "tests.record.killed", str(folder), str(commit_after_s)],
            stdout=subprocess.PIPE,
            text=True,
        )
        assert self.process.stdout is not None
        self.firing_id = self.process.stdout.readline().split()[1]
        self.began_s = time.monotonic()

    def kill_after(self, life_s: float) -> float:
        """Let it live, kill it, and say when that was."""
        time.sleep(life_s)
        killed_s = time.monotonic()
        self.process.kill()
        return killed_s

    def promises(self, word: str) -> list[str]:
        """What it said before it died, of one sort."""
        if not hasattr(self, "said"):
            self.said, _ = self.process.communicate(timeout=10.0)
        return [
            line.partition(" ")[2]
            for line in self.said.splitlines(keepends=True)
            if line.startswith(word) and line.endswith("\n")
        ]


def sound(path: Path) -> bool:
    connection = sqlite3.connect(path)
    answers = connection.execute("PRAGMA integrity_check").fetchall()
    answers += connection.execute("PRAGMA foreign_key_check").fetchall()
    connection.close()
    return answers == [("ok",)]


def test_nothing_promised_is_lost_however_often_it_is_killed(tmp_path: Path) -> None:
    chance = random.Random(20261125)
    events: list[str] = []
    notes: list[str] = []
    gone: list[str] = []
    cones: list[str] = []
    offsets: list[float] = []
    elapsed: list[float] = []
    for _ in range(5):
        victim = Victim(tmp_path, commit_after_s=0.2)
        killed_s = victim.kill_after(chance.uniform(0.1, 0.9))
        events += [line.rstrip("\n") for line in victim.promises("event")]
        notes += [line.rstrip("\n") for line in victim.promises("note")]
        gone += [line.rstrip("\n") for line in victim.promises("gone")]
        cones += [line.rstrip("\n") for line in victim.promises("cone")]
        offsets += [float(line) for line in victim.promises("offset")]

        with Record.open(tmp_path) as record:
            assert sound(record.path)
            firing = record.open_firing()
            assert firing is not None
            assert firing.id == victim.firing_id
            kept = [one.elapsed_s for one in record.readings(firing.id)]
            assert set(events) <= set(record.event_lines(firing.id))
            assert set(notes) <= {note.text for note in record.notes(firing.id)}
            assert set(gone) <= {note.text for note in record.withdrawn_notes(firing.id)}
            assert set(cones) <= {kept.seen.shelf for kept in record.observations(firing.id)}
            accepted = [
                change.offset.mean_c
                for change in record.offset_changes(firing.id)
                if change.offset is not None
            ]
            assert set(offsets) <= set(accepted)
            in_force = record.offsets(firing.kiln)
            assert [found.offset.mean_c for found in in_force.values()] == accepted[-1:]
            sent = [message.payload for message in record.waiting_messages(limit=10_000)]
            assert len(sent) == len(record.events(firing.id))
        assert kept[: len(elapsed)] == elapsed
        assert kept == sorted(kept)
        if notes:
            assert kept[-1] > killed_s - 0.2 - SLACK_S
        elapsed = kept
    assert min(len(events), len(gone), len(cones), len(offsets)) > 5
    assert len(elapsed) > 30


@pytest.mark.timeout(60)
def test_no_reading_older_than_the_time_promised_is_missing(tmp_path: Path) -> None:
    victim = Victim(tmp_path, COMMIT_AFTER_S)
    killed_s = victim.kill_after(COMMIT_AFTER_S + 3.0)
    victim.process.communicate(timeout=10.0)
    with Record.open(tmp_path) as record:
        assert sound(record.path)
        kept = [one.elapsed_s for one in record.readings(victim.firing_id)]
    gaps = [after - before for before, after in pairwise(kept)]
    assert kept[0] - victim.began_s < 0.5
    assert max(gaps) < 1.0
    assert kept[-1] > killed_s - COMMIT_AFTER_S - SLACK_S
