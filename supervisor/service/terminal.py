"""What the daemon says on the terminal or in the journal. A watch never depends on either."""

from __future__ import annotations

import sys
from contextlib import suppress
from typing import TextIO

from supervisor.core.events import Event
from supervisor.core.watch.wording import show_clock


def say(line: str) -> None:
    """A line on stdout, at once: another program may wait for it."""
    _write(sys.stdout, line)


def warn(line: str) -> None:
    """A line on stderr."""
    _write(sys.stderr, f"spyhole: {line}")


def event_line(event: Event) -> str:
    """An event as a line for the terminal and the journal."""
    mark = {"info": " ", "warning": "!", "critical": "!!"}[event.severity.value]
    state = "" if event.state.value == "raised" else " (over)"
    at = show_clock(event.elapsed_s)
    return f"{at} {mark:<2} {event.kind.value}{state}: {event.message}"


def _write(stream: TextIO, line: str) -> None:
    # A closed pipe or a full card under the terminal's log is no reason to stop watching.
    with suppress(OSError, ValueError):
        print(line, file=stream, flush=True)
