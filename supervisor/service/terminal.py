"""What the daemon says on the terminal or in the journal. A watch never depends on either."""

from __future__ import annotations

import sys
from contextlib import suppress
from typing import TextIO

from supervisor.core.events import Event


def say(line: str) -> None:
    """A line on stdout, at once: another program may wait for it."""
    _write(sys.stdout, line)


def warn(line: str) -> None:
    """A line on stderr."""
    _write(sys.stderr, f"spyhole: {line}")


def event_line(event: Event) -> str:
    """An event as a line for the terminal and the journal."""
    minutes = round(event.elapsed_s / 60.0)
    mark = {"info": " ", "warning": "!", "critical": "!!"}[event.severity.value]
    state = "" if event.state.value == "raised" else " (over)"
    return (
        f"{minutes // 60}:{minutes % 60:02d} {mark:<2} {event.kind.value}{state}: {event.message}"
    )


def _write(stream: TextIO, line: str) -> None:
    # A closed pipe or a full card under the terminal's log is no reason to stop watching.
    with suppress(OSError, ValueError):
        print(line, file=stream, flush=True)
