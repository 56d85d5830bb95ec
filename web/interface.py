"""The one narrow way through which the page meets the running service.

Knows what the page may ask for: look, wait for something new, acknowledge an alert, write a
note. There is nothing here that could act on a kiln, and nothing may be added that does.

Everything is called from the event loop that serves the page. ``snapshot``, ``chart`` and
``points_after`` must answer from memory at once; ``web.trace`` keeps the chart's rows so that
they do. The service builds the desk and is the only one that closes it.
"""

from __future__ import annotations

from typing import Protocol

from supervisor.core.errors import InputError
from web.models import Chart, Note, Points, Snapshot


class UnknownAlertError(InputError):
    """No alert of that id is open or was in this firing."""


class KilnDesk(Protocol):
    """Where a firing is looked at and written about, never acted on."""

    def snapshot(self) -> Snapshot:
        """Everything but the chart as it stands now.

        ``reading_age_s`` is measured at the call, in real seconds on a clock that never jumps.
        """
        ...

    def chart(self, max_points: int) -> Chart:
        """The firing so far in at most ``max_points`` rows (at least 2) that keep all peaks."""
        ...

    def points_after(self, after_s: float, max_points: int) -> Points:
        """The rows whose elapsed time is greater than ``after_s``, at most ``max_points``.

        Empty lists when there are none.
        """
        ...

    async def wait_for_change(self, seen: int) -> int | None:
        """Wait until the revision is greater than ``seen`` and return it.

        Returns at once when it already is. Returns ``None``, also to those already waiting,
        as soon as the desk is closing: streams then end, and only then can the server stop.
        Many streams wait at the same time, and each wait may be cancelled at any moment.
        """
        ...

    async def acknowledge(self, alert_id: str, by: str | None) -> None:
        """Note that a person has seen the alert; once more changes nothing.

        Returns when it is in the record. Raises UnknownAlertError, and RecordError when it could
        not be written.
        """
        ...

    async def add_note(self, text: str, by: str | None) -> Note:
        """Write a note at the present elapsed time and return it as recorded.

        Raises RecordError when it could not be written.
        """
        ...
