"""The one narrow way through which the page meets the running service.

Knows what the page may ask for: look, wait for something new, acknowledge an alert, write a
note, write what the real cones show, say whether the calculation of cones is to follow them, and
begin or end the log. There is nothing here that could act on a kiln, and nothing may be added
that does.

Everything is called from the event loop that serves the page. ``snapshot``, ``chart`` and
``points_after`` must answer from memory at once; ``web.trace`` keeps the chart's rows so that
they do. The desk has no say in when a stream ends: ``web.serve`` ends the open streams when
it is cancelled, and nothing else does.
"""

from __future__ import annotations

from typing import Protocol

from supervisor.core.errors import InputError
from web.chart import Course
from web.models import Chart, Look, Note, Points, Snapshot
from web.requests import LookRequest


class UnknownAlertError(InputError):
    """No alert of that id is open or was in this firing."""


class UnknownFiringError(InputError):
    """The firing is not the one that goes on."""


class UnknownChannelError(InputError):
    """The firing has no channel of that name."""


class UnknownLookError(InputError):
    """The firing has no look at a cone of that number."""


class UnknownNoteError(InputError):
    """The firing has no note of that number."""


class KilnDesk(Protocol):
    """Where a firing is looked at and written about, never acted on."""

    def snapshot(self) -> Snapshot:
        """Everything but the chart as it stands now.

        ``reading_age_s`` is measured at the call, in real seconds on a clock that never jumps,
        from the latest reading in which any channel had a value. ``recording`` is false
        while nothing is kept: before the log has begun, and after it.
        """
        ...

    def chart(self, max_points: int) -> Chart:
        """The firing so far in at most ``max_points`` rows (at least 2) that keep all peaks.

        ``firing_id`` is that of the snapshot's firing, here and in ``points_after``.
        """
        ...

    def points_after(self, after_s: float, max_points: int) -> Points:
        """The rows whose elapsed time is greater than ``after_s``, at most ``max_points``.

        Empty lists when there are none.
        """
        ...

    async def course(self) -> Course:
        """What stands in the chart beside readings and plan: forecast, phases, events."""
        ...

    async def wait_for_change(self, seen: int) -> int:
        """Wait until the revision is greater than ``seen`` and return it.

        Returns at once when it already is. Many streams wait at the same time, and each wait
        is cancelled when its stream has waited long enough, or ends.
        """
        ...

    async def acknowledge(self, alert_id: str, by: str | None) -> None:
        """Note that a person has seen the alert; once more changes nothing.

        The snapshot shows it from the call on. Returns when it is on disk, however long that
        takes: the page is answered after 3 s. Raises UnknownAlertError at once, and RecordError
        when it can't be written any more.
        """
        ...

    async def add_note(self, text: str, by: str | None, client_id: str | None) -> Note:
        """Write a note at the present elapsed time and return it as recorded.

        ``client_id`` (a UUID in lower case, or None) names the note for who sends it: the same
        one again writes nothing and returns the same note, also while the first is on its way
        to the disk, and after a restart. Returns when it is on disk, however long that takes:
        the page is answered after 3 s and the note stays in memory until then. Raises
        RecordError when it can't be written any more.
        """
        ...

    async def withdraw_note(self, number: int, by: str | None) -> None:
        """Let a note, written by mistake, count no longer; once more changes nothing.

        The record keeps it, with who took it back and when. Returns when it is on disk. Raises
        UnknownNoteError, RecordError as ``add_note``.
        """
        ...

    async def add_look(self, look: LookRequest) -> Look:
        """Write what a person saw of a real cone and return it as recorded.

        ``client_id``, the wait for the disk and RecordError are as in ``add_note``. Raises
        InputError for a cone, clock, channel or time that this firing does not have. What the
        cones then say of an offset, and why a look can't be, shows in a later snapshot.
        """
        ...

    async def withdraw_look(self, number: int) -> None:
        """Let a look at a cone, entered by mistake, count no longer; once more changes nothing.

        Returns when it is on disk. Raises UnknownLookError, RecordError as ``add_note``.
        """
        ...

    async def accept_offset(self, channel: str, offset_c: float) -> None:
        """Let the calculation of the channel's cones follow what the real cones showed.

        ``offset_c`` is the estimate that the person saw. The snapshot shows it from the call on;
        once more changes nothing. Returns when it is on disk. Raises UnknownChannelError,
        InputError when that is not the estimate now or nothing to correct yet, RecordError as
        ``add_note``.
        """
        ...

    async def withdraw_offset(self, channel: str) -> None:
        """Let the channel's cones be calculated uncorrected again; once more changes nothing.

        Returns when it is on disk. Raises UnknownChannelError, RecordError as ``add_note``.
        """
        ...

    async def begin_log(self, after_id: str, by: str | None) -> None:
        """Begin the next firing's log now, instead of waiting for the kiln to climb.

        ``after_id`` is the firing that the person saw, armed or closed; where another has begun
        since, nothing changes. Returns when it is on disk. Raises InputError while a log is being
        kept, RecordError while the disk refuses.
        """
        ...

    async def end_log(self, firing_id: str, by: str | None) -> None:
        """End this firing's log now; once more changes nothing. The kiln is watched further.

        Returns when it is on disk. Raises UnknownFiringError when another firing goes on,
        InputError when its log has not begun, RecordError as ``add_note``.
        """
        ...
