"""Trends in plain sentences, in the scale of their reader. Knows words, works nothing out."""

from __future__ import annotations

import math
from collections.abc import Callable

from supervisor.core.trends.theil_sen import LEAST_POINTS
from supervisor.core.trends.trends import Forecast, Trend, TrendKind, Verdict
from supervisor.core.units import difference_from_c
from supervisor.core.watch.wording import Words, show_duration

_TO_THE_MINUTE_S = 59.5
"""What is less rounds to no minute."""


def say(trend: Trend, words: Words) -> list[str]:
    """What the trend is, what it leads to, and what to do about it; a sentence each."""
    said = {
        TrendKind.CLIMB: _climb,
        TrendKind.DRIFT: _drift,
        TrendKind.EVENNESS: _evenness,
        TrendKind.LATE: _late,
        TrendKind.ENERGY: _energy,
        TrendKind.LOSSES: _losses,
    }[trend.kind](trend, words)
    return [sentence for sentence in said if sentence]


def _climb(trend: Trend, words: Words) -> list[str]:
    at = words.temp(trend.at_c or 0.0)
    newest = trend.values[-1]
    measured = trend.measured
    if not measured:
        text = (
            f"In none of {_firings(len(trend.values))} did the kiln fall behind its plan, so how "
            f"much it could climb is not seen: at {at} at least {words.rate(newest.value)}."
        )
        return [text, _margin(trend, words, newest.value)]
    last = measured[-1]
    said = [
        (
            f"At full power (seen where it was behind its plan) the kiln climbs "
            f"{words.rate(max(last.value, 0.0))} at {at} with a usual load (firing "
            f"{last.firing}; seen in {_firings(len(measured))})."
        )
    ]
    said.append(_slope(trend, _fine_rate(words), "what it climbs"))
    if trend.limit is not None and trend.limit_c_per_h is not None:
        need = words.rate(max(trend.limit, 0.0))
        said.append(
            f"The plan's last climb of {words.rate(trend.limit_c_per_h)} wants {need} there."
        )
        if trend.is_short:
            said.append(
                "It can no longer be kept: the top comes late and in the end not at all. Have "
                "elements or burner looked at before the next long firing."
            )
        elif trend.forecast is not None:
            said.append(_when(trend.forecast))
    return said


def _margin(trend: Trend, words: Words, value: float) -> str:
    if trend.limit is None or value < trend.limit:
        return ""
    return f"That is enough for the plan's last climb of {words.rate(trend.limit_c_per_h or 0.0)}."


def _when(forecast: Forecast) -> str:
    if forecast.expected is None:
        return ""
    soonest = max(math.floor(forecast.earliest) - forecast.now, 0)
    expected = max(math.floor(forecast.expected) - forecast.now, 0)
    end = " or far more"
    if forecast.latest is not None:
        end = f" to {max(math.ceil(forecast.latest) - forecast.now, 0)}"
    about = "now" if expected == 0 else f"about {_firings(expected)} from now"
    return (
        f"If it goes on so, that can no longer be kept {about} (nine in ten: {soonest}{end} "
        f"firings). Plan for new elements, or a burner looked at, before that."
    )


def _drift(trend: Trend, words: Words) -> list[str]:
    last = trend.values[-1]
    said = [
        (
            f"“{trend.of}” needs {_signed(last.value, words)} for the real cones (firing "
            f"{last.firing}; seen in {_firings(len(trend.values))})."
        ),
        _slope(trend, _fine(words), "what has to be added"),
    ]
    if trend.is_worth_a_warning:
        lower = "less and less" if trend.verdict is Verdict.RISES else "more and more"
        said.append(
            f"It reads {lower} than the ware gets: an ageing thermocouple, or one that has moved. "
            "Look at it, accept the cones' offset (`spyhole witness`), or exchange it."
        )
    return said


def _evenness(trend: Trend, words: Words) -> list[str]:
    last = trend.values[-1]
    said = [
        (
            f"At the peak the channels are {words.difference(last.value)} apart (firing "
            f"{last.firing})."
        ),
        _slope(trend, _fine(words), "how far they are apart"),
    ]
    if trend.is_worth_a_warning:
        said.append(
            "The kiln grows uneven: look for an element, a relay or a burner port that gives less "
            "than the others, and for a draught."
        )
    return said


def _late(trend: Trend, _words: Words) -> list[str]:
    last = trend.values[-1]
    how = "longer" if last.value >= 0.0 else "shorter"
    took = f"{show_duration(abs(last.value))} {how} than planned"
    if abs(last.value) < _TO_THE_MINUTE_S:
        took = "as long as planned"
    said = [
        f"“{trend.of}” took {took} (firing {last.firing}).",
        _slope(trend, _minutes, "that"),
    ]
    if trend.is_worth_a_warning:
        said.append("It takes longer and longer: see what is said of the climb.")
    return said


def _energy(trend: Trend, _words: Words) -> list[str]:
    last = trend.values[-1]
    said = [
        f"“{trend.of}” took {last.value:,.0f} kWh by the notes (firing {last.firing}).",
        _slope(trend, lambda kwh: f"{kwh:,.1f} kWh", "that"),
    ]
    if trend.is_worth_a_warning:
        said.append("It takes more and more: look at seals, lid, lining and draught.")
    return said


def _losses(trend: Trend, _words: Words) -> list[str]:
    with_losses = [one for one in trend.values if one.value]
    lately = [one for one in trend.values[-5:] if one.value]
    said = [
        (
            f"In {len(with_losses)} of {_firings(len(trend.values))} the climb stalled or heat was "
            f"lost; of the last {min(5, len(trend.values))} in {len(lately)}."
        )
    ]
    if trend.is_worth_a_warning:
        said.append("It comes more often than it did: look at power, contacts, relays or gas.")
    return said


def _slope(trend: Trend, show: Callable[[float], str], what: str) -> str:
    line = trend.line
    if trend.verdict is Verdict.TOO_FEW or line is None:
        return f"Whether it changes can be told from {LEAST_POINTS} firings on."
    low, high = _shown(line.low, show), _shown(line.high, show)
    if trend.verdict is Verdict.NONE_TOLD:
        return f"No trend can be told: {what} changes by {low} to {high} with each firing."
    verb = "grows" if trend.verdict is Verdict.RISES else "falls"
    ends = sorted((abs(line.low), abs(line.high)))
    return (
        f"It is more than chance: {what} {verb} by {show(abs(line.slope))} with each firing (nine "
        f"in ten: {show(ends[0])} to {show(ends[1])})."
    )


def _shown(slope: float, show: Callable[[float], str]) -> str:
    return f"{'−' if slope < 0.0 else '+'}{show(abs(slope))}"


def _signed(difference_c: float, words: Words) -> str:
    return f"{'−' if difference_c < 0.0 else '+'}{words.difference(abs(difference_c))}"


def _fine(words: Words) -> Callable[[float], str]:
    """A difference to a tenth of a degree: from one firing to the next it is small."""
    return lambda c: f"{difference_from_c(c, words.unit):,.1f} °{words.unit.value}"


def _fine_rate(words: Words) -> Callable[[float], str]:
    return lambda c: f"{_fine(words)(c)} an hour"


def _minutes(seconds: float) -> str:
    return f"{seconds / 60.0:,.0f} min"


def _firings(count: int) -> str:
    return "1 firing" if count == 1 else f"{count} firings"
