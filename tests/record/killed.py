"""A process that keeps a record until it is killed, and says what it was promised.

``python -m tests.record.killed FOLDER COMMIT_AFTER_S`` appends readings whose elapsed time is
the machine's monotonic clock, and prints a line for each promise once it is kept.
"""

from __future__ import annotations

import asyncio
import sys
import time
from pathlib import Path

from supervisor.core.heatwork.offset import Observation, Offset
from supervisor.record.rows import NewMessage
from supervisor.record.store import Record
from tests.record.firings import NEW, event, reading


async def main(folder: Path, commit_after_s: float) -> None:
    """Append until killed."""
    record = Record.open(folder, commit_after_s=commit_after_s)
    firing = record.open_firing() or await record.start_firing(NEW)
    print("firing", firing.id, flush=True)
    number = len(record.events(firing.id)) + 1

    async def append() -> None:
        while True:
            record.append(firing.id, reading(time.monotonic()))
            await asyncio.sleep(0.01)

    async def promise() -> None:
        nonlocal number
        while True:
            await asyncio.sleep(0.07)
            at_s = time.monotonic()
            message = NewMessage("spyhole/k/alerts", str(number))
            await record.add_events(firing.id, [event(number, at_s)], messages=[message])
            print("event", event(number, at_s).to_json(), flush=True)
            await record.add_note(firing.id, at_s, f"note {number}")
            print("note", f"note {number}", flush=True)
            mistapped = await record.add_note(firing.id, at_s, f"mistapped {number}")
            await record.withdraw_note(firing.id, mistapped.id, at_s, by="Ann")
            print("gone", f"mistapped {number}", flush=True)
            seen = Observation(at_s, "6", "3:30", "top", f"shelf {number}")
            await record.add_observation(firing.id, seen)
            print("cone", f"shelf {number}", flush=True)
            offset = Offset(float(number), 2.0, number, 1)
            await record.accept_offset(NEW.kiln, "top", offset, during=(firing.id, at_s))
            print("offset", number, flush=True)
            number += 1

    async with asyncio.TaskGroup() as group:
        group.create_task(append())
        if commit_after_s < 1.0:
            group.create_task(promise())


if __name__ == "__main__":
    asyncio.run(main(Path(sys.argv[1]), float(sys.argv[2])))
