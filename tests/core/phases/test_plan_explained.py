"""What a technician says of a plan: where it hurries and dawdles, what it risks, what is left."""

from __future__ import annotations

import re

import pytest
from hypothesis import given, settings

from supervisor.core.phases.bands import BANDS, bands_of
from supervisor.core.phases.cautions import cautions_for
from supervisor.core.phases.explain import Explanation, explain
from supervisor.core.phases.passage import phases_of
from supervisor.core.phases.tempo import dawdles_of, hurries_of, last_stretch, late_coolings_of
from supervisor.core.phases.worth import heatwork_of, hold_for, hold_worth
from supervisor.core.schedule import (
    Atmosphere,
    FiringKind,
    Schedule,
    Timeline,
    parse_schedule,
    starter,
    starter_names,
)
from supervisor.core.schedule.model import BandName, Way
from supervisor.core.units import Unit
from supervisor.core.watch.wording import Words
from tests.core.watch.test_phases_live import schedules

HOUR_S = 3600.0
CELSIUS = Words(Unit.C)


def fired(*steps: str, kind: str = "glaze", top: str = 'target_cone = "6"') -> Schedule:
    """A schedule from steps as ``"rate to hold_min"``; a rate of ``-`` is natural."""
    lines = ['name = "x"', f'kind = "{kind}"', top]
    for step in steps:
        rate, to, *hold = step.split()
        lines += ["[[step]]", f"to = {to}"]
        lines += [] if rate == "-" else [f"rate = {rate}"]
        lines += [f"hold_min = {hold[0]}"] if hold else []
    return parse_schedule("\n".join(lines))


GOOD = fired("80 120 20", "140 620", "150 1105", "60 1205 35")
BISQUE = 'target_cone = "06"'


def told(schedule: Schedule) -> Explanation:
    return explain(schedule, Timeline(schedule), CELSIUS)


def cautions(schedule: Schedule) -> list[str]:
    return cautions_for(schedule, Timeline(schedule), CELSIUS)


def names(schedule: Schedule) -> list[str]:
    return [str(phase.band.name) for phase in phases_of(schedule, Timeline(schedule))]


def test_the_table_says_everything_of_every_band() -> None:
    for band in BANDS:
        assert band.name in list(BandName)
        assert band.way is BandName(band.name).way
        for text in (band.why, band.care, band.source):
            assert len(text) > 10, band.name
            assert text == text.strip().rstrip("."), band.name
        assert band.fastest_c_per_h is None or band.way is not Way.HOLDING
    assert {band.name for band in BANDS} == set(BandName)


def test_no_kind_of_firing_has_a_band_twice() -> None:
    for kind in FiringKind:
        for atmosphere in Atmosphere:
            schedule = Schedule("x", GOOD.steps, kind=kind, atmosphere=atmosphere)
            found = [band.name for band in bands_of(schedule)]
            assert len(found) == len(set(found))


def test_a_glaze_melts_over_the_last_hundred_degrees_and_levels_in_its_hold() -> None:
    phases = {str(p.band.name): p for p in phases_of(GOOD, Timeline(GOOD))}
    melting, levelling = phases["melting"], phases["levelling"]
    assert (melting.band.from_c, melting.band.to_c) == (1105.0, 1205.0)
    assert melting.rate_c_per_h == pytest.approx(60.0)
    assert levelling.start_s == pytest.approx(melting.end_s)
    assert levelling.end_s - levelling.start_s == pytest.approx(35 * 60.0)
    assert "levelling" not in names(fired("100 1205"))


@pytest.mark.parametrize(
    ("down", "grow"),
    [(("- 90",), False), (("70 780",), True), (("- 1030 25", "- 90"), True), (("300 90",), False)],
)
def test_crystals_grow_where_the_plan_fires_down_slowly_or_holds(
    down: tuple[str, ...], grow: bool
) -> None:
    assert ("crystals grow" in names(fired("100 1205 20", *down))) is grow


def test_a_low_glaze_seals_before_the_gases_of_a_high_one_have_left() -> None:
    low = {b.name: b for b in bands_of(fired("100 1000"))}
    assert low[BandName.GASES_LEAVE].to_c == 900.0
    assert BandName.GASES_LEAVE not in {b.name for b in bands_of(fired("100 760"))}


def test_a_plan_that_turns_within_a_band_has_it_if_it_sees_half_of_it() -> None:
    assert "opening" in names(fired("100 1000", "60 80"))
    assert "opening" not in names(fired("100 1000", "60 90"))


@pytest.mark.parametrize("name", starter_names())
def test_a_starter_is_explained_without_a_caution(name: str) -> None:
    told_of = told(starter(name))
    assert told_of.cautions == ()
    assert told_of.hurries == ()
    assert [heading for heading, _ in told_of.sections][:4] == [
        "The plan",
        "Heat-work",
        "What the ware goes through",
        "Pace",
    ]


@pytest.mark.parametrize(
    ("schedule", "words"),
    [
        (fired("250 1000", kind="bisque", top=BISQUE), "“drying”"),
        (fired("90 640", "250 1000", kind="bisque", top=BISQUE), "“burning out”"),
        (fired("100 640", "300 1105", "60 1205 35"), "“gases leave”"),
        (fired("100 1105", "60 1205 35", "300 50"), "“quartz turns back”"),
        (fired("100 1105", "150 1105 10"), "fire to about 1,2"),
        (fired("100 1105", "60 1180 30"), "hold 2 h"),
        (fired("100 1105", "60 1270"), "overfired"),
        (fired("100 1105", "60 1205 300"), "5 h at 1,205 °C is very long"),
        (fired("100 800 900", "100 1105", "60 1205 35"), "15 h at 800 °C is very long"),
        (fired("100 1205", top=""), "names no target_cone"),
        (fired("250 1205", kind="other"), "does not say what is fired"),
        (fired("- 10"), "far off"),
    ],
)
def test_a_bad_plan_is_cautioned(schedule: Schedule, words: str) -> None:
    said = cautions(schedule)
    assert any(words in caution for caution in said), said
    for caution in said:
        assert re.fullmatch(r"[A-Z].*\.", caution), caution
        assert len(caution) < 420, caution


@pytest.mark.parametrize(
    "schedule",
    [
        GOOD,
        fired("40 90 600", "90 620", "140 900", "60 995 10", kind="bisque", top=BISQUE),
        fired("90 200", kind="other", top=""),
        fired("80 120", "120 1105", "60 1205 35", "- 1030 60", "60 780", "- 60"),
    ],
)
def test_a_good_plan_is_not(schedule: Schedule) -> None:
    assert cautions(schedule) == []


def test_what_is_advised_to_an_underfired_plan_brings_its_cone_down() -> None:
    low = fired("100 1105", "60 1180 30")
    (caution,) = cautions(low)
    match = re.search(r"fire to about ([\d,]+) °C", caution)
    assert match is not None
    peak_c = float(match.group(1).replace(",", ""))
    assert heatwork_of(Timeline(fired("100 1105", f"60 {peak_c} 30"))).work["6"] >= 1.0
    assert heatwork_of(Timeline(fired("100 1105", f"60 {peak_c - 10} 30"))).work["6"] < 1.0
    hold_min = hold_for("6", low, Timeline(low))
    assert hold_min is not None
    assert heatwork_of(Timeline(fired("100 1105", f"60 1180 {hold_min + 1}"))).work["6"] >= 1.0


def test_a_cold_peak_needs_more_than_any_hold() -> None:
    cold = fired("- 10")
    assert hold_for("022", cold, Timeline(cold)) is None


def test_a_plan_that_dawdles_is_told_where_and_how_long_it_could_take() -> None:
    slow = fired("80 120 60", "100 550", "140 1105", "60 1205 35")
    (stretch,) = dawdles_of(slow, Timeline(slow))
    assert (stretch.from_c, stretch.to_c) == (120.0, 550.0)
    assert stretch.spent_s == pytest.approx(4.3 * HOUR_S)
    assert stretch.could_s == pytest.approx(430 / 150 * HOUR_S)
    (said,) = told(slow).dawdles
    assert said == (
        "It spends 4 h 18 min between 120 °C and 550 °C, where nothing needs it; at 150 °C an "
        "hour it would take 2 h 52 min."
    )
    assert dawdles_of(GOOD, Timeline(GOOD)) == []


def test_a_hold_where_nothing_happens_is_dawdling_and_one_that_dries_is_not() -> None:
    held = fired("80 120 20", "150 300 120", "150 1105", "60 1205 35")
    (stretch,) = dawdles_of(held, Timeline(held))
    assert stretch.spent_s == pytest.approx((430 / 150 + 2.0) * HOUR_S)
    dried = fired("80 120 300", "150 1105", "60 1205 35")
    assert dawdles_of(dried, Timeline(dried)) == []


def test_a_plan_that_rushes_its_end_is_told() -> None:
    rushed = fired("80 120", "150 1000", "250 1205 35")
    (stretch,) = hurries_of(rushed, Timeline(rushed))
    assert (stretch.from_c, stretch.to_c) == (1105.0, 1205.0)
    assert stretch.rate_c_per_h == pytest.approx(250.0)
    assert "little time to heal" in told(rushed).hurries[0]
    harder = fired("80 120", "150 1000", "400 1205 35")
    assert "few studio kilns" in told(harder).hurries[0]
    assert hurries_of(GOOD, Timeline(GOOD)) == []


def test_the_last_hundred_degrees_are_always_told() -> None:
    last = last_stretch(GOOD, Timeline(GOOD))
    assert last is not None
    assert last.spent_s == pytest.approx(100 / 60 * HOUR_S)
    pace = dict(told(GOOD).sections)["Pace"]
    assert pace == ("The last 100 °C to the peak take 1 h 40 min, 60 °C an hour.",)
    cold = fired("100 90")
    assert last_stretch(cold, Timeline(cold)) is None


def test_a_cooling_that_no_shut_kiln_makes_is_told_as_late_and_not_as_wrong() -> None:
    schedule = fired("100 1105", "60 1205 35", "100 50")
    ((step, below_c),) = late_coolings_of(Timeline(schedule))
    assert step.to_c == 50.0
    assert below_c == pytest.approx(20.0 + 100.0 * 5.0)
    assert "no fault" in told(schedule).hurries[0]
    natural = fired("100 1205 35", "- 50")
    assert late_coolings_of(Timeline(natural)) == []


def test_a_plan_without_cooling_is_told_what_comes_after() -> None:
    after = " ".join(dict(told(GOOD).sections)["When the plan is over"])
    for words in ("no cooling", "600 °C", "about 16 hours later", "kiln maker"):
        assert words in after
    whole = fired("100 1205 35", "- 60")
    lines = dict(told(whole).sections)["When the plan is over"]
    assert len(lines) == 1
    assert "held in the hand" in lines[0]


def test_reduction_speaks_of_carbon_monoxide_and_of_the_codes() -> None:
    safety = " ".join(dict(told(starter("highfire-reduction")).sections)["Safety"])
    for words in ("carbon monoxide", "kiln maker", "local codes"):
        assert words in safety
    assert "Safety" not in dict(told(GOOD).sections)


def test_what_a_hold_is_worth_is_what_the_plan_lacks_without_it() -> None:
    (worth,) = hold_worth(GOOD, Timeline(GOOD), heatwork_of(Timeline(GOOD)))
    without = heatwork_of(Timeline(fired("80 120 20", "140 620", "150 1105", "60 1205")))
    whole = heatwork_of(Timeline(GOOD))
    assert worth.cone == "6"
    assert worth.share == pytest.approx(whole.work["6"] - without.work["6"], rel=0.02)
    assert worth.cones is not None
    assert 0.2 < worth.cones < 2.0


def spoken(explained: Explanation) -> list[str]:
    return [line for _, lines in explained.sections for line in lines]


@settings(max_examples=60, deadline=None)
@given(schedules())
def test_any_plan_is_explained_in_one_scale(schedule: Schedule) -> None:
    timeline = Timeline(schedule)
    for unit, other in ((Unit.C, "°F"), (Unit.F, "°C")):
        explained = explain(schedule, timeline, Words(unit), limit_c=1000.0, hold_for_cone="6")
        for line in spoken(explained):
            assert other not in line, line
            assert not re.search(r"None|nan|inf\b|[{}]|  \S.*  |\.\.| -\d", line), line
        assert all(lines for _, lines in explained.sections)
        starts = [phase.start_s for phase in explained.phases]
        assert starts == sorted(starts)
        for phase in explained.phases:
            assert 0.0 <= phase.start_s < phase.end_s <= timeline.total_s + 1e-6
