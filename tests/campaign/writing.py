"""A process that writes into a record all the time, and says what it was promised, till killed.

``python -m tests.campaign.writing FOLDER SEED``: readings, events, notes, accounts, findings and
photos; firings that begin, end and are put away.
"""

from __future__ import annotations

import random
import sys
from pathlib import Path

from supervisor.core.readings import Reading
from supervisor.record.photos import PhotoFiles
from supervisor.record.put_away import put_away
from supervisor.record.rows import Firing
from supervisor.record.store import Record
from supervisor.record.unloading import Account, Finding, NewPhoto
from tests.record.firings import NEW, event


def reading(number: int) -> Reading:
    """The reading of that number, whichever process makes it."""
    top = (number * 7919 % 100_003) / 128.0
    label = f"2026-11-25T{number // 3600 % 24:02}:{number // 60 % 60:02}:{number % 60:02}+00:00"
    return Reading(float(number), {"top": top, "bottom": number / 100.0}, time=label)


def main(folder: Path, seed: int) -> None:
    """Write until killed."""
    draw = random.Random(seed)
    with Record.open(folder, commit_after_s=0.02) as record:
        firing = record.open_firing() or record.start_firing(NEW).result()
        print("begun", firing.id, flush=True)
        extent = record.extent(firing.id)
        count = 0 if extent is None else extent.readings
        length = draw.randrange(50, 6000)
        number = draw.randrange(1 << 40)
        while True:
            for _ in range(draw.randrange(1, 400)):
                record.append(firing.id, reading(count))
                count += 1
            number += 1
            print(_one_of(draw, record, firing, number, count, folder), flush=True)
            print("readings", firing.id, count, flush=True)
            if count >= length:
                record.close_firing(firing.id, float(count)).result()
                print("closed", firing.id, flush=True)
                put_away(record, record.firing(firing.id))
                print("readings", firing.id, count, flush=True)
                firing = record.start_firing(NEW).result()
                count, length = 0, draw.randrange(50, 6000)


def _one_of(
    draw: random.Random, record: Record, firing: Firing, number: int, count: int, folder: Path
) -> str:
    """Write one thing, and wait for the promise that it is kept."""
    what = draw.choice(("event", "note", "account", "finding", "photo"))
    if what == "event":
        record.add_events(firing.id, [event(number, float(count))]).result()
    elif what == "note":
        record.add_note(firing.id, float(count), f"note {number}").result()
    elif what == "account":
        record.tell(firing.id, Account(f"topic-{number}", "x" * draw.randrange(3000))).result()
    elif what == "finding":
        record.find_at_unloading(firing.id, [Finding(f"key-{number}", 1)]).result()
    else:
        data = b"photo" * draw.randrange(1, 4000) + str(number).encode()
        sha256 = PhotoFiles(folder).keep(data, "jpeg")
        record.add_photo(firing.id, NewPhoto(sha256, "jpeg", len(data), 1, 1)).result()
        return f"photo {sha256}"
    return f"{what} {number}"


if __name__ == "__main__":
    main(Path(sys.argv[1]), int(sys.argv[2]))
