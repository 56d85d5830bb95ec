"""Facts of a firing that went well, and of ones that differ from it in a single thing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import cache
from typing import Any

from supervisor.core.events import Kind, Severity
from supervisor.core.review import (
    ChannelCones,
    EvennessAt,
    EvennessFacts,
    FiringFacts,
    Opening,
    Passage,
    ReductionFacts,
    StepFacts,
    Trouble,
)
from supervisor.core.schedule.model import BandName
from tests.core.firings import HOUR_S, as_planned, cooled
from tests.core.review.logs import GLAZE, fired, looked_back, made

BISQUE = made(
    'name = "bisque"\nkind = "bisque"\n[[step]]\nrate = 80\nto = 120\nhold_min = 60\n'
    "[[step]]\nrate = 120\nto = 1000\nhold_min = 15\n"
)


@cache
def good() -> FiringFacts:
    """A glaze firing to cone 6 that kept its plan, seen by one thermocouple."""
    return looked_back(fired(GLAZE, cools_s=17 * HOUR_S))


@cache
def bisque() -> FiringFacts:
    """A bisque firing that kept its plan."""
    return looked_back(cooled(as_planned(BISQUE), 15 * HOUR_S), BISQUE)


def band(name: BandName, *, too_fast: float | None, base: FiringFacts | None = None) -> FiringFacts:
    """The firing with one of its bands crossed so much too fast."""
    facts = base or good()
    assert any(one.name == name for one in facts.bands)
    return replace(
        facts,
        bands=tuple(
            replace(one, too_fast=too_fast) if one.name == name else one for one in facts.bands
        ),
    )


def without_band(name: BandName) -> FiringFacts:
    return replace(good(), bands=tuple(one for one in good().bands if one.name != name))


def peak_step(**changed: Any) -> FiringFacts:
    """The firing with another last step; ``actual`` may name fields of it to change."""
    *steps, last = good().steps
    assert last.actual is not None
    actual = changed.pop("actual", None)
    leg = replace(last.actual, **actual) if actual else last.actual
    return replace(good(), steps=(*steps, replace(last, actual=leg, **changed)))


def held(minutes: float) -> FiringFacts:
    """The firing with a peak that was held so long."""
    last: StepFacts = good().steps[-1]
    peak = good().peak
    assert last.actual is not None
    assert peak is not None
    facts = peak_step(actual={"end_s": last.actual.reach_s + 60.0 * minutes})
    return replace(facts, peak=replace(peak, hold_s=60.0 * minutes))


def peak(**changed: Any) -> FiringFacts:
    there = good().peak
    assert there is not None
    return replace(good(), peak=replace(there, **changed))


def cones(**changed: Any) -> FiringFacts:
    """The firing with its one channel's cones otherwise."""
    (one,) = good().cones
    return replace(good(), cones=(replace(one, **changed),))


def target(cone: str | None) -> FiringFacts:
    plan = good().plan
    assert plan is not None
    return replace(good(), plan=replace(plan, target_cone=cone))


def even(peak_apart_c: float | None, cones_apart: float) -> FiringFacts:
    """The firing as of a kiln of two channels."""
    worst = EvennessAt(4 * HOUR_S, 900.0, 25.0, "top", "low")
    facts = EvennessFacts(worst, 8.0, {}, peak_apart_c, cones_apart, "top", "low", (worst,))
    return replace(good(), evenness=facts)


def cooling(**changed: Any) -> FiringFacts:
    there = good().cooling
    assert there is not None
    return replace(good(), cooling=replace(there, **changed))


def opened(temp_c: float) -> FiringFacts:
    return cooling(opened=Opening(60000.0, temp_c, 800.0, 70.0))


def passed(mean_c_per_h: float) -> Passage:
    """A passage through where crystals grow."""
    return Passage(
        1100.0, 760.0, 1.0, 0.0, 340.0 / mean_c_per_h * HOUR_S, mean_c_per_h, mean_c_per_h, 1100.0
    )


def hot_for(hours: float) -> FiringFacts:
    return replace(
        good(),
        above=tuple(
            replace(one, time_s=hours * HOUR_S) if one.temp_c == 1100.0 else one
            for one in good().above
        ),
    )


def reduced(begun_c: float | None, minutes: float | None = None) -> FiringFacts:
    """The firing with notes of a reduction."""
    return replace(
        good(),
        reduction=ReductionFacts(
            None,
            None,
            begun_s=None if begun_c is None else 20000.0,
            begun_c=begun_c,
            ended_s=None if minutes is None else 20000.0 + 60.0 * minutes,
        ),
    )


def stalled() -> FiringFacts:
    """The firing that did not come to its end."""
    trouble = Trouble(
        Kind.STALL, Severity.WARNING, None, 30000.0, None, 1100.0, "The climb has stalled."
    )
    return replace(peak_step(is_complete=False), troubles=(trouble,))


def warmed(rate_c_per_h: float) -> FiringFacts:
    """The firing with that rate wherever it was below 650 °C."""
    return replace(
        good(),
        bands=tuple(
            replace(one, passage=replace(one.passage, fastest_c_per_h=rate_c_per_h))
            for one in good().bands
        ),
    )


def seen_cones(ranges: Sequence[tuple[float | None, float | None]]) -> FiringFacts:
    """The firing with real cones beside each of several channels."""
    (one,) = good().cones
    found: list[ChannelCones] = [
        replace(one, channel=f"place {n}", seen_place_low=low, seen_place_high=high)
        for n, (low, high) in enumerate(ranges)
    ]
    return replace(good(), channels=tuple(channel.channel for channel in found), cones=tuple(found))
