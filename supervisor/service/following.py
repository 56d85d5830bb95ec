"""A kiln followed over its firings for the page, read and worked out in a thread.

Reads what was summed up of them; changes nothing.
"""

from __future__ import annotations

import asyncio
import math
from collections.abc import Sequence

from supervisor.core.errors import InputError
from supervisor.core.reasons import Reason
from supervisor.core.trends import FiringPoint, Line, Trend, TrendKind, Verdict, say, trends_of
from supervisor.core.units import Unit
from supervisor.core.watch.wording import Words
from supervisor.record.followed import followed
from supervisor.record.looking import RecordReader
from supervisor.service.known import known_firing
from web import following as page

UNITS = {
    TrendKind.CLIMB: "c_per_h",
    TrendKind.DRIFT: "c",
    TrendKind.EVENNESS: "c",
    TrendKind.LATE: "s",
    TrendKind.ENERGY: "kwh",
    TrendKind.LOSSES: "",
}
VERDICTS = {
    Verdict.RISES: page.TrendVerdict.RISES,
    Verdict.FALLS: page.TrendVerdict.FALLS,
    Verdict.NONE_TOLD: page.TrendVerdict.NONE_TOLD,
    Verdict.TOO_FEW: page.TrendVerdict.TOO_FEW,
}
_DIGITS = 3


class Follower:
    """Implements ``web.following.Following`` over a record; one question at a time."""

    def __init__(self, record: RecordReader) -> None:
        self._record = record
        self._turn = asyncio.Lock()

    async def trends(self, kiln: str | None, since: str | None, last: int) -> page.TrendsAnswer:
        async with self._turn:
            return await asyncio.to_thread(self._trends, kiln, since, last)

    def _trends(self, kiln: str | None, since: str | None, last: int) -> page.TrendsAnswer:
        kilns = self._record.kilns()
        first = None if since is None else known_firing(self._record, since)
        if kiln is None:
            kiln = first.kiln if first is not None else self._latest_kiln()
        elif kiln not in kilns:
            raise page.UnknownKilnError(f'there is no kiln "{kiln[:60]}" in the record').because(
                Reason.NO_KILN, kiln=kiln[:60]
            )
        if first is not None and first.kiln != kiln:
            raise InputError(f'firing {first.id} is of kiln "{first.kiln}"')
        if kiln is None:
            return page.TrendsAnswer(kiln=None, kilns=kilns, firings=0, waiting=0, trends=[])
        history = self._record.seen_in_kiln(kiln)
        if first is not None:
            places = [seen.firing.id for seen in history]
            history = history[places.index(first.id) :] if first.id in places else []
        points, waiting = followed(self._record, kiln, history[-last:])
        trends = sorted(trends_of(points), key=lambda one: not one.is_worth_a_warning)
        return page.TrendsAnswer(
            kiln=kiln,
            kilns=kilns,
            firings=len(points),
            waiting=waiting,
            trends=[trend_shape(one, points) for one in trends],
        )

    def _latest_kiln(self) -> str | None:
        return next((firing.kiln for firing in self._record.firings()), None)


def trend_shape(one: Trend, points: Sequence[FiringPoint]) -> page.KilnTrend:
    """A trend as the page has it."""
    forecast = one.forecast
    return page.KilnTrend(
        kind=one.kind.value,
        of=one.of,
        unit=UNITS[one.kind],
        verdict=VERDICTS[one.verdict],
        is_worth_a_warning=one.is_worth_a_warning,
        values=[
            page.TrendValue(
                number=value.number,
                firing=value.firing,
                started_at=points[value.number - 1].started,
                value=round(value.value, _DIGITS),
                is_at_least=value.is_at_least,
            )
            for value in one.values
        ],
        line=None if one.line is None else _line(one.line, one),
        at_c=one.at_c,
        limit=_rounded(one.limit),
        limit_c_per_h=_rounded(one.limit_c_per_h),
        is_short=one.is_short,
        forecast=None
        if forecast is None
        else page.TrendForecast(
            now=forecast.now,
            earliest=round(forecast.earliest, _DIGITS),
            expected=_rounded(forecast.expected),
            latest=_rounded(forecast.latest),
        ),
        sentences_c=say(one, Words(Unit.C)),
        sentences_f=say(one, Words(Unit.F)),
    )


def _line(line: Line, trend: Trend) -> page.TrendLine:
    measured = trend.measured
    return page.TrendLine(
        slope=round(line.slope, _DIGITS),
        low=_rounded(line.low),
        high=_rounded(line.high),
        first=round(line.at(measured[0].number), _DIGITS),
        last=round(line.at(measured[-1].number), _DIGITS),
    )


def _rounded(value: float | None) -> float | None:
    return None if value is None or not math.isfinite(value) else round(value, _DIGITS)
