"""Days and times of day on the command line: what each may be, said where it is not."""

from __future__ import annotations

from datetime import datetime

from supervisor.core.errors import InputError


def moment_of(text: str, option: str) -> str:
    """The moment as ISO 8601 with an offset, to the second; this machine's own where none is given.

    Raises InputError where it is no moment, or has not been yet.
    """
    try:
        moment = datetime.fromisoformat(text)
        moment = moment if moment.tzinfo is not None else moment.astimezone()
        is_to_come = moment > datetime.now(moment.tzinfo)
    except (ValueError, OverflowError, OSError):
        raise InputError(
            f"{option} {text[:40]}: give a day or a time, such as 2026-03-14 or 2026-03-14T18:30"
        ) from None
    if is_to_come:
        raise InputError(f"{option} {text[:40]}: that has not been yet")
    return moment.isoformat(timespec="seconds")
