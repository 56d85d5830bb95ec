"""What a technician says of a plan: where it hurries and dawdles, what it risks, what is left."""

from __future__ import annotations

import math
import re
from dataclasses import replace

import pytest
from hypothesis import given, settings

from supervisor.core.heatwork import CONES, Wire
from supervisor.core.phases.bands import BANDS, bands_of
from supervisor.core.phases.cautions import cautions_for
from supervisor.core.phases.explain import Explanation, explain
from supervisor.core.phases.passage import phases_of
from supervisor.core.phases.tempo import dawdles_of, hurries_of, last_stretch, late_coolings_of
from supervisor.core.phases.worth import (
    heatwork_of,
    hold_for,
    hold_worth,
    interval_of,
    whole_hold_for,
)
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
    return list(cautions_for(schedule, Timeline(schedule), CELSIUS))


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


def held_at_peak(schedule: Schedule, minutes: float, peak_c: float | None = None) -> float:
    """The target's work with so long a hold, and another peak where one is given."""
    steps = list(schedule.steps)
    at = schedule.peak_step
    steps[at] = replace(steps[at], hold_s=minutes * 60.0, to_c=peak_c or steps[at].to_c)
    work = heatwork_of(Timeline(replace(schedule, steps=tuple(steps)))).work
    return work[schedule.target_cone or ""]


def advised_c(said: str) -> list[float]:
    """Every temperature that a sentence tells to fire to or to hold at."""
    found = re.findall(r"(?:fire to (?:about|the kiln's limit of)|in all at) ([\d,]+) °C", said)
    return [float(figure.replace(",", "")) for figure in found]


@pytest.mark.parametrize("limit_c", range(1150, 1311, 10))
@pytest.mark.parametrize("cone", ["6", "8", "10"])
@pytest.mark.parametrize("peak_c", [1180, 1205, 1230])
def test_nothing_is_advised_above_the_kilns_limit(limit_c: int, cone: str, peak_c: int) -> None:
    plan = fired("100 1105", f"60 {peak_c} 10", top=f'target_cone = "{cone}"')
    said = cautions_for(plan, Timeline(plan), CELSIUS, float(limit_c))
    for sentence in said:
        assert all(temp_c <= limit_c for temp_c in advised_c(sentence)), sentence
    if held_at_peak(plan, 10.0) < 1.0:
        assert any(advised_c(sentence) for sentence in said) or "choose a lower cone" in said[-1]


def test_a_kiln_that_cannot_reach_the_cone_is_told_to_fire_a_lower_one() -> None:
    plan = fired("100 1105", "60 1230 10", top='target_cone = "10"')
    (free,) = cautions_for(plan, Timeline(plan), CELSIUS)
    assert advised_c(free) == [1275.0]
    (said,) = cautions_for(plan, Timeline(plan), CELSIUS, 1230.0)
    assert advised_c(said) == []
    assert "at or below its maker's limit of 1,230 °C" in said
    assert "choose a lower cone" in said
    longer = whole_hold_for("10", plan, Timeline(plan))
    assert longer is not None
    assert longer > 180


@pytest.mark.parametrize("peak_c", [1230, 1290])
def test_a_longer_hold_at_the_limit_is_advised_where_it_does_it(peak_c: int) -> None:
    plan = fired("100 1105", f"200 {peak_c}", top='target_cone = "11"')
    *_, said = cautions_for(plan, Timeline(plan), CELSIUS, 1275.0)
    match = re.search(r"fire to the kiln's limit of 1,275 °C and hold (\d+) minutes in all", said)
    assert match is not None, said
    assert advised_c(said) == [1275.0]
    assert held_at_peak(plan, float(match.group(1)), 1275.0) >= 1.0
    assert held_at_peak(plan, float(match.group(1)) - 1.0, 1275.0) < 1.0


def test_no_hold_above_the_limit_is_told_to_who_asks_for_one() -> None:
    plan = fired("100 1105", "60 1240 10")
    asked = explain(plan, Timeline(plan), CELSIUS, limit_c=1230.0, hold_for_cone="8")
    assert not any("A hold of" in line for line in dict(asked.sections)["Heat-work"])
    assert "above the kiln's limit of 1,230 °C" in " ".join(spoken(asked))
    high = fired("100 1105", "60 1230 10", top='target_cone = "10"')
    limited = explain(high, Timeline(high), CELSIUS, limit_c=1230.0)
    assert "a rule of the trade" not in " ".join(spoken(limited)).lower()
    assert "a rule of the trade" in " ".join(spoken(told(high))).lower()


@pytest.mark.parametrize("cone", ["05", "1", "6", "10"])
@pytest.mark.parametrize("rate", [60, 150, 400])
def test_a_plan_is_worth_the_same_whether_it_names_its_cooling_or_not(cone: str, rate: int) -> None:
    peak_c = CONES[cone].temp_at_rate(5e-4)
    bare = fired("150 500", f"{rate} {peak_c:.0f} 10", top=f'target_cone = "{cone}"')
    whole = fired("150 500", f"{rate} {peak_c:.0f} 10", "- 400", top=f'target_cone = "{cone}"')
    one, other = (heatwork_of(Timeline(plan)) for plan in (bare, whole))
    assert one.work[cone] == pytest.approx(other.work[cone], rel=1e-3)
    assert one.cone == other.cone
    assert interval_of(Timeline(bare), Wire()) == interval_of(Timeline(whole), Wire())
    asked = [hold_for(cone, plan, Timeline(plan)) for plan in (bare, whole)]
    assert asked[0] == pytest.approx(asked[1], rel=1e-3, abs=1e-3)


@pytest.mark.parametrize("down", [("20 1100",), ("- 1150 60", "- 700"), ("60 1160", "40 1050")])
def test_what_is_advised_counts_the_cooling_that_the_plan_names(down: tuple[str, ...]) -> None:
    plan = fired("100 1105", "60 1185 10", *down)
    (said,) = cautions(plan)
    match = re.search(r"hold (?:(\d) h )?(\d+) min(?:utes)? in all at 1,185 °C, or fire", said)
    assert match is not None, said
    minutes = int(match.group(1) or 0) * 60.0 + int(match.group(2))
    _, peak_c = advised_c(said)
    assert held_at_peak(plan, minutes) >= 1.0 > held_at_peak(plan, minutes - 1.0)
    assert held_at_peak(plan, 10.0, peak_c) >= 1.0 > held_at_peak(plan, 10.0, peak_c - 9.0)


def test_a_cone_that_falls_after_the_plans_end_is_said_to() -> None:
    plan = fired("80 120", "150 1222 10")
    timeline = Timeline(plan)
    assert heatwork_of(timeline).down_at_s["6"] > timeline.total_s + 60.0
    first = dict(told(plan).sections)["Heat-work"][0]
    assert "after the plan's end, in the first of the kiln's own cooling" in first
    named = dict(told(fired("80 120", "150 1222 10", "- 700")).sections)["Heat-work"][0]
    assert re.search(r"cone 6 goes down at \d+:\d\d, while it cools, and", named)
    assert "own cooling" not in named
    good = dict(told(GOOD).sections)["Heat-work"][0]
    assert re.search(r"what it needs, with the first of the kiln's own cooling; ", good)
    (caution,) = cautions(fired("100 1105", "60 1205 15"))
    assert caution.startswith("By calculation the plan, with the first of the kiln's own cooling,")


def test_cooling_that_overfires_is_not_said_to_do_so_before_the_peak_is_over() -> None:
    plan = fired("80 120", "900 1275", top='target_cone = "6"')
    timeline = Timeline(plan)
    progress = heatwork_of(timeline)
    assert progress.work["6"] > 3.0
    assert progress.down_at_s["6"] > timeline.total_s
    said = [sentence for sentence in cautions(plan) if "overfired" in sentence]
    assert len(said) == 1
    assert "before the peak is over" not in said[0]


def test_the_hold_that_is_told_is_never_a_minute_too_short() -> None:
    for hold_min in range(1, 26):
        plan = fired("80 120", f"60 1205 {hold_min}")
        if held_at_peak(plan, hold_min) >= 1.0:
            continue
        (said,) = cautions(plan)
        match = re.search(r"hold (\d+) minutes in all", said)
        assert match is not None
        assert int(match.group(1)) > hold_min
        assert held_at_peak(plan, float(match.group(1))) >= 1.0
        assert held_at_peak(plan, float(match.group(1)) - 1.0) < 1.0


def test_a_hold_that_lacks_a_breath_is_told_a_minute_more() -> None:
    plan = fired("80 120", "60 1205 11")
    needed_min = hold_for("6", plan, Timeline(plan))
    assert needed_min is not None
    whole = whole_hold_for("6", plan, Timeline(plan))
    assert whole == math.ceil(needed_min)
    # Peaks are moved until the hold that is needed lies just above a whole minute.
    low_c, high_c = 1205.0, 1206.0
    for _ in range(30):
        middle_c = (low_c + high_c) / 2.0
        moved = fired("80 120", f"60 {middle_c:.6f} 11")
        now_min = hold_for("6", moved, Timeline(moved))
        assert now_min is not None
        low_c, high_c = (middle_c, high_c) if now_min > whole - 0.6 else (low_c, middle_c)
    short = whole - 1
    moved = fired("80 120", f"60 {high_c:.6f} {short}")
    now_min = hold_for("6", moved, Timeline(moved))
    assert now_min is not None
    assert short < now_min < short + 0.5
    (said,) = cautions(moved)
    assert f"hold {whole} minutes in all" in said
    wanted = explain(moved, Timeline(moved), CELSIUS, hold_for_cone="6").wanted
    assert wanted is not None
    assert wanted.hold_min == whole


def test_a_long_hold_that_is_wanted_is_told_in_hours() -> None:
    plan = fired("100 1105", "60 1205 11")
    asked = explain(plan, Timeline(plan), CELSIUS, hold_for_cone="9")
    (said,) = [line for line in spoken(asked) if line.startswith("A hold of")]
    assert re.match(r"A hold of \d h \d+ min at 1,205 °C, in place of the plan's own,", said)


def test_work_at_its_cap_is_more_than_so_many_times() -> None:
    (said,) = cautions(fired("80 120", "60 1205 20", top='target_cone = "04"'))
    assert "has more than 40 times the heat-work" in said
    (said,) = cautions(fired("80 120", "60 1205 35", top='target_cone = "4"'))
    assert re.search(r"has \d+ times the heat-work", said)


def test_a_rate_that_is_our_guess_is_said_to_be() -> None:
    natural = fired("- 1205 20", kind="other")
    assert hurries_of(natural, Timeline(natural)) == []
    (last,) = dict(told(natural).sections)["Pace"]
    assert last.endswith("200 °C an hour (assumed where a step has no rate).")
    assert "a step without a rate is assumed to climb 200 °C an hour" in cautions(natural)[0]
    raw = fired("- 1060 20", kind="bisque", top='target_cone = "04"')
    for said in cautions(raw):
        assert "200 °C an hour (assumed where a step has no rate) through" in said
    rated = fired("200 1060 20", kind="bisque", top='target_cone = "04"')
    assert len(cautions(rated)) == len(cautions(raw)) > 2
    for plan in (rated, fired("250 1205 20", kind="other")):
        assert "assumed" not in " ".join([*cautions(plan), *spoken(told(plan))])
        assert hurries_of(plan, Timeline(plan)) != []


def test_a_kiln_that_starts_above_the_first_step_is_not_told_of_late_cooling() -> None:
    down = fired("100 10", kind="other", top="")
    assert late_coolings_of(Timeline(down)) == []
    warm = fired("100 1105", "60 1205 35", "20 30")
    assert late_coolings_of(Timeline(warm)) != []


def test_the_interval_names_the_controllers_probe_and_its_place() -> None:
    line = dict(told(GOOD).sections)["Heat-work"][1]
    assert "a controller's thermocouple of standard type K, its place, the cones and" in line
    assert "new" not in line


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


@pytest.mark.parametrize(("peak", "melts"), [("70", False), ("580", False), ("600", True)])
def test_a_glaze_plan_that_only_dries_melts_nothing(peak: str, melts: bool) -> None:
    names = {phase.band.name for phase in told(fired(f"40 {peak} 30")).phases}
    assert ({"melting", "levelling"} <= names) is melts
    assert melts or not {"melting", "levelling"} & names
