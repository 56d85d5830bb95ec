"""kill -9 while the record is written, and the end of its log torn as by a power cut.

A life of the writing process is ended at a random moment. What it was promised must be in the
file as it is; and also after everything behind the last promise was cut off, garbled or zeroed,
for that may not have reached the card. The next life goes on with the torn file.
"""

from __future__ import annotations

import random
import shutil
import sqlite3
import subprocess
import sys
import time
from collections import Counter
from contextlib import closing
from functools import partial
from pathlib import Path

from supervisor.core.errors import SpyholeError
from supervisor.record.checking import check
from supervisor.record.schema import FILE_NAME
from supervisor.record.store import Record
from tests.campaign.outcome import Outcome, Progress, side_by_side
from tests.campaign.wal import WAYS, checkpointed, commits, live_end, tear
from tests.campaign.writing import reading

LONGEST_LIFE_S = 0.4
LIVES_OF_A_RECORD = 8
_ASKED = {
    "event": "SELECT 1 FROM event WHERE line LIKE '%(' || ? || '):%'",
    "note": "SELECT 1 FROM note WHERE text = 'note ' || ?",
    "account": "SELECT 1 FROM account WHERE topic = 'topic-' || ?",
    "finding": "SELECT 1 FROM finding WHERE key = 'key-' || ?",
    "photo": "SELECT 1 FROM photo WHERE sha256 = ?",
    "closed": "SELECT 1 FROM firing WHERE id = ? AND state = 'closed'",
    "begun": "SELECT 1 FROM firing WHERE id = ?",
}
"""How it is asked whether a promise was kept."""


def run(progress: Progress, folder: Path, *, runs: int = 500, lanes: int = 2) -> Outcome:
    """So many lives and deaths of the process that writes."""
    outcome = Outcome("torn", f"{runs} kill -9 of a writer, each time with the log's end torn too")
    folder.mkdir(parents=True)
    each = -(-runs // lanes)
    return side_by_side(outcome, lanes, partial(_lane, progress, folder, each))


def _lane(progress: Progress, folder: Path, runs: int, lane: int) -> Outcome:
    outcome = Outcome("torn", lost=0)
    draw = random.Random(1000 + lane)
    promised: list[str] = []
    told: Counter[str] = Counter()
    ways: Counter[str] = Counter()
    torn_bytes = times = 0
    data = folder / f"record-{lane}"
    for number in range(runs):
        if number % LIVES_OF_A_RECORD == 0:
            shutil.rmtree(data, ignore_errors=True)
            data.mkdir()
            promised.clear()
            told.update(_living(data, draw, promised))
        else:
            told.update(_living(data, draw, promised))
        at = f"life {number + 1} of lane {lane}"
        _judge(outcome, data, folder / f"as-it-is-{lane}", promised, f"{at}, as it was left")
        way = draw.choice(WAYS)
        ways[way] += 1
        under_way = _tear(data, promised, way, draw)
        torn_bytes += under_way
        times += under_way > 0
        begun_s = time.monotonic()
        _judge(outcome, data, folder / f"torn-{lane}", promised, f"{at}, {way}")
        outcome.recovering(time.monotonic() - begun_s)
        if number % 25 == 24:
            progress(f"lane {lane}: {number + 1} lives, {sum(told.values()):,} promises")
    outcome.figures.append(
        f"{sum(told.values()):,} promises ("
        + ", ".join(f"{count:,} {word}" for word, count in sorted(told.items()))
        + f"); {times} times something was on its way to the disk, {torn_bytes:,} bytes in all; "
        "its end or what lay behind it "
        + ", ".join(f"{count} times {way}" for way, count in sorted(ways.items()))
    )
    return outcome


def _living(data: Path, draw: random.Random, promised: list[str]) -> Counter[str]:
    """One life; its promises are added."""
    process = subprocess.Popen(
        [sys.executable, "-m", "tests.campaign.writing", str(data), str(draw.randrange(1 << 30))],
        stdout=subprocess.PIPE,
        text=True,
    )
    assert process.stdout is not None
    first = process.stdout.readline()
    time.sleep(draw.uniform(0.0, LONGEST_LIFE_S))
    process.kill()
    rest, _ = process.communicate(timeout=30.0)
    lines = [line for line in (first + rest).splitlines(keepends=True) if line.endswith("\n")]
    assert lines, "the writer could not begin"
    promised.extend(line.strip() for line in lines)
    return Counter(line.split()[0] for line in lines)


def _copied(data: Path, to: Path) -> Path:
    """The files as they are; opening them changes the copy alone."""
    shutil.rmtree(to, ignore_errors=True)
    shutil.copytree(data, to)
    return to / FILE_NAME


def _judge(outcome: Outcome, data: Path, copy: Path, promised: list[str], when: str) -> None:
    """Open a copy as the next start would, and hold it against what was promised."""
    path = _copied(data, copy)
    try:
        with Record.open(copy) as record:
            outcome.losing(f"promises ({when})", _missing(record, path, promised))
        checked = check(path)
    except (SpyholeError, sqlite3.Error) as error:
        outcome.breaks(f"{when}: {error}")
        return
    for line in checked.wrong:
        outcome.breaks(f"{when}: {line}")


def _missing(record: Record, path: Path, promised: list[str]) -> list[str]:
    missing = []
    counts: dict[str, int] = {}
    with closing(sqlite3.connect(path)) as connection:
        for line in promised:
            word, rest = line.split(maxsplit=1)
            if word == "readings":
                firing_id, told = rest.split()
                counts[firing_id] = max(counts.get(firing_id, 0), int(told))
            elif connection.execute(_ASKED[word], (rest,)).fetchone() is None:
                missing.append(line)
    for firing_id, count in counts.items():
        kept = list(record.readings(firing_id))
        if kept[:count] != [reading(number) for number in range(count)]:
            missing.append(f"readings {firing_id} {count}, {len(kept)} there")
    return missing


def _tear(data: Path, promised: list[str], way: str, draw: random.Random) -> int:
    """Tear the log behind the last promise; how many bytes lay there."""
    wal = data / f"{FILE_NAME}-wal"
    shm = data / f"{FILE_NAME}-shm"
    if not wal.exists():
        wal.write_bytes(b"")
    whole = wal.read_bytes()
    lowest = checkpointed(whole, shm.read_bytes() if shm.exists() else b"")
    ends = commits(whole)
    safe = ends[-1]
    last = next(line for line in reversed(promised) if not line.startswith("readings"))
    # Whatever came before the last promise was on the disk before it.
    for end in reversed(ends):
        if end < lowest or not _holds(data, whole[:end], last, promised):
            break
        safe = end
    # A power cut forgets the index: it is no more than memory.
    shm.unlink(missing_ok=True)
    tear(wal, safe, way, draw)
    return max(0, live_end(whole) - safe)


def _holds(data: Path, wal: bytes, last: str, promised: list[str]) -> bool:
    """Whether the record with this much of its log has all that was promised last."""
    copy = data.with_name(f"{data.name}-part")
    path = _copied(data, copy)
    path.with_name(f"{FILE_NAME}-wal").write_bytes(wal)
    path.with_name(f"{FILE_NAME}-shm").unlink(missing_ok=True)
    word, rest = last.split(maxsplit=1)
    count_line = next((line for line in reversed(promised) if line.startswith("readings")), None)
    with closing(sqlite3.connect(path)) as connection:
        try:
            found = connection.execute(_ASKED[word], (rest,)).fetchone() is not None
        except sqlite3.OperationalError:
            # Not even its tables are there yet.
            return False
    if found and count_line is not None:
        _, firing_id, count = count_line.split()
        with Record.open_to_read(copy) as record:
            extent = record.extent(firing_id)
        found = extent is not None and extent.readings >= int(count)
    return found
