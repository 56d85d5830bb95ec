"""Implements ``web.reports.ReportPress``: reports, each made by a process of its own.

A report takes seconds of work, and a PDF a library of 14 MiB beside it: so this Python is started
once more with ``press_child``, which looks into the record by itself, and ends. The watch neither
waits nor grows. One is made at a time.
"""

from __future__ import annotations

import asyncio
import importlib.util
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

from supervisor.core.errors import PeerError, RecordError
from supervisor.core.reasons import Reason
from supervisor.service.child import ask_child
from supervisor.service.one_at_a_time import OneAtATime
from web.archive import NoSuchFiringError
from web.reports import Form, PressedReport, ReportQuery

MADE_WITHIN_S = 120.0
"""A slow Pi takes some twenty seconds for the longest firing (estimated from 2 s on a PC)."""
MOST_WAITING = 4
"""Reports that may be asked for at once, the one that is being made among them."""
_CHILD = Path(__file__).with_name("press_child.py")
_TOO_MANY = "Too many reports are being made; try again in a minute."
_NO_PDF = (
    "A PDF needs ReportLab, which is not installed beside spyhole: "
    '`pip install "reportlab>=4.4,<6"` adds it; the report as a page needs nothing and prints as '
    "well."
)


def can_write_pdf() -> bool:
    """Whether the library that writes a PDF can be loaded; it is not."""
    return importlib.util.find_spec("reportlab") is not None


class Press:
    """Makes the reports of one record.

    ``record_path`` gives the file of the record where it lies just now; ``photos_beside`` is the
    folder in which that of the photos is.
    """

    def __init__(
        self,
        record_path: Callable[[], Path],
        photos_beside: Path,
        *,
        within_s: float = MADE_WITHIN_S,
    ) -> None:
        self._record_path = record_path
        self._photos_beside = photos_beside
        self._within_s = within_s
        self._presses = OneAtATime(_TOO_MANY, MOST_WAITING)

    async def report(self, firing_id: str, form: Form, query: ReportQuery) -> PressedReport:
        if form is Form.PDF and not can_write_pdf():
            raise PeerError(_NO_PDF)
        try:
            async with self._presses.turn(), asyncio.timeout(self._within_s):
                return await self._press(firing_id, form, query)
        except TimeoutError:
            raise PeerError(
                f"The report was not ready within {self._within_s:.0f} s; try again when the "
                "machine has less to do."
            ).because(Reason.REPORT_LATE) from None

    async def _press(self, firing_id: str, form: Form, query: ReportQuery) -> PressedReport:
        order = {
            "record": str(self._record_path().parent),
            "photos": str(self._photos_beside),
            "firing": firing_id,
            "form": form.value,
            "sheet": query.sheet.value,
            "units": None if query.units is None else query.units.value,
            "paper": None if query.paper is None else query.paper.value,
        }
        said = await ask_child(_CHILD, order)
        head, _, data = said.partition(b"\n")
        try:
            answer: dict[str, Any] = json.loads(head)
        except ValueError:
            raise PeerError("The report could not be made; spyhole's own log says why.").because(
                Reason.REPORT_FAILED
            ) from None
        why = answer.get("why")
        if why is None:
            return PressedReport(data, answer["style"])
        if answer["is_unknown"]:
            raise NoSuchFiringError(why).because(Reason.NO_FIRING, firing=firing_id[:80])
        raise RecordError(why)
