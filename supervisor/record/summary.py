"""What is worked out once of a whole firing, so that a list of years need not read them all.

The facts of ``supervisor.core.review``, of which a list shows peak and cone, and the whole firing
drawn in two thousand rows without losing a peak. Knows readings and facts; knows no table and no
thread. The cones are calculated from a thermocouple; the witness cones decide.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict, dataclass
from itertools import pairwise
from statistics import median
from typing import Any

from supervisor.core.readings import FaultCause, Reading
from supervisor.core.review import FiringFacts, Reviewer, document_of
from supervisor.core.thinning import thin
from supervisor.record.blocks import Block, packed, unpacked
from supervisor.record.rows import Columns, to_json

SUMMARY_VERSION = 3
"""Raised when what is worked out changes; older ones are then worked out anew."""
OVERVIEW_ROWS = 2000
"""Rows of the whole firing that are kept ready: more than a screen has columns."""
_LEADS_FROM = 0.9
"""Of a kiln that never was hot the first channel with a value in so many of the readings speaks."""
_GAP_SAMPLES = 5.0
_LEAST_GAP_S = 60.0
"""A gap is shown where no reading came for so long, and for five usual intervals."""
_MOST_DRAWN = 8 * OVERVIEW_ROWS
"""Rows that are in memory at most while a firing is drawn; then half of them."""
_DECIMALS = 2
"""Of a degree in an overview: a chart shows no more."""
_PAUSE_AFTER = 600
"""Readings between two pauses: a few hundredths of a second of one core."""


@dataclass(frozen=True, slots=True)
class ChannelSummary:
    """One channel of a whole firing; °C.

    ``peak_c`` is the highest temperature that the watch believed. ``cone`` is the hardest one
    down by calculation, ``toward_next`` the share of the next one's work. ``offset_c`` was added
    for the cones alone.
    """

    name: str
    values: int
    peak_c: float | None
    cone: str | None
    next_cone: str | None
    toward_next: float
    offset_c: float = 0.0


@dataclass(frozen=True, slots=True)
class Summary:
    """A whole firing in a few figures; ``lead`` names the channel that speaks for it.

    ``facts`` is the document of ``supervisor.core.review`` (``document_of``), with the notes and
    looks that there were when it was made.
    """

    readings: int
    first_s: float
    last_s: float
    lead: str
    channels: Sequence[ChannelSummary]
    facts: Mapping[str, Any]

    @property
    def leading(self) -> ChannelSummary:
        """The channel that speaks for the firing."""
        return next(one for one in self.channels if one.name == self.lead)

    @property
    def peak_c(self) -> float | None:
        """The leading channel's highest temperature."""
        return self.leading.peak_c

    @property
    def cone(self) -> str | None:
        """The hardest cone that is down by calculation from the leading channel."""
        return self.leading.cone

    def to_json(self) -> str:
        """One line of JSON that ``summary_from_line`` takes back."""
        return to_json({**asdict(self), "facts": dict(self.facts)})


def summary_from_line(line: str) -> Summary:
    """The summary that ``Summary.to_json`` wrote."""
    fields = json.loads(line)
    fields["channels"] = tuple(ChannelSummary(**one) for one in fields["channels"])
    return Summary(**fields)


class Summing:
    """Takes a firing's readings in, some at a time, for its facts and its overview.

    ``pause`` is called now and then: whoever works beside something urgent may wait in it.
    """

    def __init__(self, reviewer: Reviewer, pause: Callable[[], None] = lambda: None) -> None:
        self.reviewer = reviewer
        self._pause = pause
        self._readings = 0
        self._first_s: float | None = None
        self._last_s: float | None = None
        self._values = dict.fromkeys(reviewer.channels, 0)
        self._drawn_s: list[float] = []
        self._drawn_c: dict[str, list[float | None]] = {name: [] for name in reviewer.channels}

    def add(self, block: Block) -> None:
        """Take in what comes next."""
        names, feed = self.reviewer.channels, self.reviewer.feed
        values = zip(*block.temps_c, strict=True)
        rows = zip(block.elapsed_s, values, block.faults, strict=True)
        for count, (elapsed_s, temps_c, told) in enumerate(rows):
            if count % _PAUSE_AFTER == 0:
                self._pause()
            faults = {}
            if told is not None:
                faults = {name: FaultCause(cause) for name, cause in json.loads(told).items()}
            feed(Reading(elapsed_s, dict(zip(names, temps_c, strict=True)), faults))
        self._draw(Columns(block.elapsed_s, dict(zip(names, block.temps_c, strict=True))))

    def _draw(self, more: Columns) -> None:
        """Add to what is drawn, which is thinned now and then: a week needs no more memory."""
        if not more.elapsed_s:
            return
        self._readings += len(more.elapsed_s)
        for name, column in more.temps_c.items():
            self._values[name] += len(column) - column.count(None)
        elapsed_s, temps_c = _with_gaps(more, self._last_s)
        self._drawn_s.extend(elapsed_s)
        for name, column in temps_c.items():
            self._drawn_c[name].extend(column)
        if len(self._drawn_s) > _MOST_DRAWN:
            self._drawn_s, self._drawn_c = thin(self._drawn_s, self._drawn_c, _MOST_DRAWN // 2)
        self._first_s = more.elapsed_s[0] if self._first_s is None else self._first_s
        self._last_s = more.elapsed_s[-1]

    def summary(self, facts: FiringFacts) -> Summary | None:
        """What it comes to, with ``facts`` of the reviewer; None without a reading."""
        if self._first_s is None or self._last_s is None:
            return None
        peaks_c = {} if facts.peak is None else facts.peak.channels_c
        found = []
        for cones in facts.cones:
            peak_c = peaks_c.get(cones.channel)
            found.append(
                ChannelSummary(
                    cones.channel,
                    self._values[cones.channel],
                    None if peak_c is None else round(peak_c, 1),
                    cones.cone,
                    cones.next_cone,
                    round(cones.toward_next, 3),
                    cones.offset_c,
                )
            )
        return Summary(
            self._readings,
            self._first_s,
            self._last_s,
            self._lead(facts, found),
            found,
            document_of(facts),
        )

    def _lead(self, facts: FiringFacts, found: Sequence[ChannelSummary]) -> str:
        """The channel that the firing's report goes by, so that a list shows the same cone."""
        cones = facts.lead_cones
        if cones is not None and cones.place is not None:
            return cones.channel
        enough = _LEADS_FROM * self._readings
        full = next((one for one in found if one.values >= enough), None)
        return (full or max(found, key=lambda one: one.values)).name

    def overview(self) -> bytes:
        """All of it drawn in ``OVERVIEW_ROWS`` rows at most, as ``overview_from`` reads it."""
        elapsed_s, drawn = thin(self._drawn_s, self._drawn_c, OVERVIEW_ROWS)
        temps_c = [
            [None if temp_c is None else round(temp_c, _DECIMALS) for temp_c in column]
            for column in drawn.values()
        ]
        return packed(Block(elapsed_s, temps_c, [None] * len(elapsed_s)))


def overview_from(data: bytes, channels: Sequence[str]) -> Columns:
    """The rows that ``overview`` kept."""
    block = unpacked(data)
    return Columns(block.elapsed_s, dict(zip(channels, block.temps_c, strict=True)))


def drawn_columns(columns: Columns, max_rows: int) -> Columns:
    """At most ``max_rows`` rows to draw: peaks stay, and a row of None stands in each gap.

    Raises ValueError where ``max_rows`` is too small for that.
    """
    elapsed_s, temps_c = _with_gaps(columns, None)
    return Columns(*thin(elapsed_s, temps_c, max_rows))


def _with_gaps(
    columns: Columns, after_s: float | None
) -> tuple[Sequence[float], Mapping[str, Sequence[float | None]]]:
    """The rows, with one of None in each gap, also in that since ``after_s``."""
    times = columns.elapsed_s
    known = times if after_s is None else [after_s, *times]
    steps = [after - before for before, after in pairwise(known)]
    if not steps:
        return times, columns.temps_c
    longest_s = max(_LEAST_GAP_S, _GAP_SAMPLES * median(steps))
    if max(steps) <= longest_s and min(steps) > 0.0:
        return times, columns.temps_c
    last_s = after_s
    drawn_s: list[float] = []
    drawn_c: dict[str, list[float | None]] = {name: [] for name in columns.temps_c}
    pairs = [(drawn_c[name], column) for name, column in columns.temps_c.items()]
    for row, at_s in enumerate(times):
        if last_s is not None and at_s <= last_s:
            # No chart can show it; such rows come only from a log that was made by hand.
            continue
        if last_s is not None and at_s - last_s > longest_s:
            drawn_s.append(round((last_s + at_s) / 2.0, 3))
            for drawn, _ in pairs:
                drawn.append(None)
        last_s = at_s
        drawn_s.append(at_s)
        for drawn, column in pairs:
            drawn.append(column[row])
    return drawn_s, drawn_c
