"""What a hold is worth, and the rule of one cone low and 25 minutes."""

from __future__ import annotations

import math
import statistics
from itertools import pairwise
from pathlib import Path

import pytest

from supervisor.core.heatwork import CONES, WHOLE_CONE_NAMES, HeatWork, cone_at, place_on_scale
from supervisor.core.heatwork.hold import OneConeLow, cones_between, one_cone_low

RATES_C_PER_H = (60.0, 108.0, 150.0, 200.0)
DOCS = Path(__file__).parents[3] / "supervisor" / "core" / "heatwork" / "README.md"


def climbed(rate_c_per_h: float, to_c: float, hold_min: float = 0.0) -> HeatWork:
    work = HeatWork()
    seconds = int((to_c - 20.0) / rate_c_per_h * 3600.0)
    for elapsed_s in (*range(0, seconds, 30), seconds):
        work.add(float(elapsed_s), 20.0 + elapsed_s / seconds * (to_c - 20.0))
    if hold_min:
        work.add(seconds + hold_min * 60.0, to_c)
    return work


def tried(cone: str, rate_c_per_h: float) -> OneConeLow:
    found = one_cone_low(cone, rate_c_per_h)
    assert found is not None
    return found


@pytest.mark.parametrize("rate_c_per_h", RATES_C_PER_H)
@pytest.mark.parametrize("cone", ["06", "1", "6", "10"])
def test_the_rule_is_tried_on_a_climb_that_ends_as_the_lower_cone_falls(
    cone: str, rate_c_per_h: float
) -> None:
    found = tried(cone, rate_c_per_h)
    climb = climbed(rate_c_per_h, found.temp_c).progress().work
    assert climb[found.low] == pytest.approx(1.0, abs=0.01)
    held = climbed(rate_c_per_h, found.temp_c, 25.0).progress().work
    assert held[cone] == pytest.approx(found.share, rel=0.01)
    assert found.hold_s is not None
    solved = climbed(rate_c_per_h, found.temp_c, found.hold_s / 60.0).progress().work
    assert solved[cone] == pytest.approx(1.0, abs=0.01)


def test_the_rule_of_thumb_is_about_true_of_a_slow_climb() -> None:
    # Common practice, no source: one cone low and 20 to 30 minutes is about one cone more.
    holds_min = [
        (tried(cone, 60.0).hold_s or math.inf) / 60.0
        for cone in WHOLE_CONE_NAMES[WHOLE_CONE_NAMES.index("06") :]
    ]
    assert 20.0 < statistics.median(holds_min) < 35.0


def test_the_same_hold_is_worth_more_after_a_faster_climb() -> None:
    for cone in WHOLE_CONE_NAMES[2:]:
        shares = [tried(cone, rate_c_per_h).share for rate_c_per_h in RATES_C_PER_H]
        assert shares == sorted(shares), cone


def test_the_softest_cone_has_none_before_it() -> None:
    assert one_cone_low("022", 60.0) is None


def test_a_hold_is_worth_the_cones_that_it_brings_down() -> None:
    found = tried("6", 60.0)
    assert found.hold_s is not None
    before = climbed(60.0, found.temp_c + 0.2).progress()
    after = climbed(60.0, found.temp_c + 0.2, found.hold_s / 60.0 + 1.0).progress()
    assert cones_between(before, after) == pytest.approx(1.0, abs=0.05)
    cold = climbed(60.0, 500.0).progress()
    assert cones_between(cold, after) is None


@pytest.mark.parametrize("cone", WHOLE_CONE_NAMES[1:-1])
def test_a_cone_just_down_stands_at_its_own_place(cone: str) -> None:
    work = dict.fromkeys(CONES, 0.0)
    for name in WHOLE_CONE_NAMES[: WHOLE_CONE_NAMES.index(cone)]:
        work[name] = 3.0
    work[cone] = 1.0
    place = place_on_scale(work)
    assert place == WHOLE_CONE_NAMES.index(cone)
    assert cone_at(place) == cone


def test_the_place_grows_with_time_and_without_a_step() -> None:
    work = HeatWork()
    places = []
    for elapsed_s in range(0, 19 * 3600, 120):
        work.add(float(elapsed_s), 20.0 + elapsed_s / 3600.0 * 75.0)
        place = place_on_scale(work.progress().work)
        if place is not None:
            places.append(place)
    assert places == sorted(places)
    assert max(b - a for a, b in pairwise(places)) < 0.6
    assert places[-1] == len(WHOLE_CONE_NAMES) - 1


def table_rows() -> list[str]:
    """The table of the docs, as the program works it out."""
    rows = []
    for cone in ("06", "04", "01", "4", "5", "6", "8", "10"):
        found = [tried(cone, rate_c_per_h) for rate_c_per_h in RATES_C_PER_H]
        cells = [
            f"{one.share * 100.0:.0f} %, {(one.hold_s or math.inf) / 60.0:.0f} min" for one in found
        ]
        rows.append(f"| {found[0].low} to {cone} | {' | '.join(cells)} |")
    return rows


def test_the_table_in_the_docs_is_what_the_program_says() -> None:
    text = DOCS.read_text(encoding="utf-8")
    for row in table_rows():
        assert row in text
