"""A time in which nobody looked at the thermocouples: what is said of it, and of what it hid."""

from __future__ import annotations

from dataclasses import replace

import pytest

from supervisor.core.events import Event, Kind, Severity
from supervisor.core.readings import Reading
from supervisor.core.schedule import Schedule, Timeline
from supervisor.core.watch import WatchSettings
from tests.core.firings import (
    HOUR_S,
    Points,
    Rig,
    alarms,
    as_planned,
    cleared,
    cooled,
    cut,
    interrupted,
    once_each,
    plan,
    raised,
    reached_s,
    seen,
    told,
)

GLAZE = plan("150 1000", "60 1220 20")
DROPPED = plan("150 1000", "60 1220 20", "150 1000 60", "- 600")
RIG = Rig(every_s=10.0)
WIRING = ("wiring", "can't see the kiln")


def end_s(schedule: Schedule) -> float:
    """When the last step that heats is over."""
    turns = [step for step in Timeline(schedule).steps if step.climbs]
    return turns[-1].end_s


def dark(points: Points, from_s: float, for_s: float) -> list[Reading]:
    """What is read of the points by a rig that nobody asks for a while."""
    return [r for r in seen(points, rig=RIG) if not from_s <= r.elapsed_s < from_s + for_s]


def left_to_itself(schedule: Schedule, from_s: float, for_s: float, constant_s: float) -> Points:
    """The plan, the kiln's own cooling after it, till two hours after the dark."""
    whole = as_planned(schedule)
    after_s = max(from_s + for_s + 2 * HOUR_S - whole[-1][0], 0.0)
    return cooled(whole, after_s, constant_s=constant_s)


def but_for_the_dark(events: list[Event]) -> list[str]:
    return [one for one in alarms(events) if "looked at" not in one]


@pytest.mark.parametrize("schedule", [GLAZE, DROPPED], ids=["let go", "dropped"])
@pytest.mark.parametrize(
    ("before_min", "dark_min", "constant_h"),
    [(5, 20, 5), (17, 40, 5), (17, 120, 8), (30, 40, 8), (60, 67, 5), (120, 240, 8), (30, 600, 5)],
)
def test_a_plan_that_ended_in_the_dark_has_lost_no_heat(
    schedule: Schedule, before_min: float, dark_min: float, constant_h: float
) -> None:
    from_s = end_s(schedule) - 60.0 * before_min
    points = left_to_itself(schedule, from_s, 60.0 * dark_min, constant_h * HOUR_S)
    events = told(schedule, dark(points, from_s, 60.0 * dark_min))
    once_each(events)
    assert but_for_the_dark(events) == []
    if schedule is GLAZE:
        assert len(raised(events, Kind.FIRING_FINISHED)) == 1
    else:
        assert raised(events, Kind.STEP_BEGUN)[-1].data["step"] in (3, 4)


@pytest.mark.parametrize(("before_min", "dark_min"), [(60, 20), (120, 60), (240, 180)])
def test_heat_that_went_in_a_dark_too_short_for_the_rest_is_lost(
    before_min: float, dark_min: float
) -> None:
    from_s = end_s(GLAZE) - 60.0 * before_min
    points = cooled(cut(as_planned(GLAZE), from_s), 60.0 * dark_min + 2 * HOUR_S)
    events = told(GLAZE, dark(points, from_s, 60.0 * dark_min))
    (lost,) = raised(events, Kind.HEAT_LOST)
    assert lost.elapsed_s - (from_s + 60.0 * dark_min) < 900.0
    assert raised(events, Kind.FIRING_FINISHED) == []


def test_a_fall_that_no_kiln_makes_in_what_was_left_is_lost_heat() -> None:
    """An hour was left of the plan; 64 minutes later it is where only an hour of cooling leads."""
    from_s = end_s(GLAZE) - HOUR_S
    points = cooled(cut(as_planned(GLAZE), from_s), 4 * HOUR_S, constant_s=2.5 * HOUR_S)
    events = told(GLAZE, dark(points, from_s, HOUR_S + 240.0))
    assert len(raised(events, Kind.HEAT_LOST)) == 1


def test_a_raku_kiln_that_is_colder_than_any_shut_one_was_opened_in_the_dark() -> None:
    raku = plan("440 980 5")
    from_s = end_s(raku) - HOUR_S
    points = left_to_itself(raku, from_s, 2 * HOUR_S, 1.2 * HOUR_S)
    events = told(raku, dark(points, from_s, 2 * HOUR_S))
    assert raised(events, Kind.HEAT_LOST) == []
    assert len(raised(events, Kind.FIRING_FINISHED)) == 1


def test_two_gaps_one_after_the_other_hide_as_much_as_one() -> None:
    from_s = end_s(GLAZE) - 1800.0
    points = left_to_itself(GLAZE, from_s, 90 * 60.0, 5 * HOUR_S)
    back_s = from_s + 40 * 60.0
    readings = [
        one
        for one in seen(points, rig=RIG)
        if not from_s <= one.elapsed_s < from_s + 90 * 60.0
        or back_s <= one.elapsed_s < back_s + 60.0
    ]
    events = told(GLAZE, readings)
    assert but_for_the_dark(events) == []
    assert len(raised(events, Kind.FIRING_FINISHED)) == 1


@pytest.mark.parametrize(("hours", "count"), [(3.0, 0), (1.0, 1)])
def test_a_dark_over_two_holds_on_the_way_down_counts_for_both(hours: float, count: int) -> None:
    """Dark from the hold at the top, 3 h reach into the last hold, and 1 h into the first."""
    schedule = plan("150 1250 15", "300 1120 90", "150 1030 90")
    points = as_planned(schedule)
    from_s = Timeline(schedule).steps[0].end_s - 60.0
    let_go_s = points[-1][0] - (300.0 if count == 0 else 3600.0)
    readings = dark(cooled(cut(points, let_go_s), HOUR_S), from_s, hours * HOUR_S)
    events = told(schedule, readings, settings=WatchSettings(kiln_kind="electric"))
    assert len(raised(events, Kind.HEAT_LOST)) == count


def test_a_log_that_is_kept_every_six_minutes_has_no_gaps() -> None:
    """Heat that is lost in its last hold is lost, and no end that nobody saw."""
    cut_s = end_s(GLAZE) - 900.0
    points = cooled(cut(as_planned(GLAZE), cut_s), 3 * HOUR_S)
    events = told(GLAZE, seen(points, rig=Rig(every_s=360.0)))
    assert [e for e in events if "unseen_s" in e.data] == []
    assert len(raised(events, Kind.HEAT_LOST)) == 1


def test_an_end_that_nobody_saw_is_not_spoken_of_as_one_that_was_seen() -> None:
    from_s = end_s(GLAZE) - 1000.0
    points = left_to_itself(GLAZE, from_s, 2 * HOUR_S, 5 * HOUR_S)
    (end,) = raised(told(GLAZE, dark(points, from_s, 2 * HOUR_S)), Kind.FIRING_FINISHED)
    assert end.data["unseen_s"] == pytest.approx(2 * HOUR_S, abs=20.0)
    assert "can't be told from here: look at the witness cones" in end.message
    (step,) = (
        e
        for e in raised(
            told(
                DROPPED,
                dark(left_to_itself(DROPPED, from_s, 2 * HOUR_S, 5 * HOUR_S), from_s, 2 * HOUR_S),
            ),
            Kind.STEP_BEGUN,
        )
        if "unseen_s" in e.data
    )
    assert "Nobody looked for 2 h" in step.message


def test_a_kiln_that_is_lit_again_after_such_an_end_goes_on_with_its_plan() -> None:
    """The power was away for two hours, with a quarter of an hour left; the controller goes on."""
    from_s = end_s(GLAZE) - 1800.0
    fallen = cooled(cut(as_planned(GLAZE), from_s), 2.5 * HOUR_S)
    last_s, last_c = fallen[-1]
    back_s = last_s + (1220.0 - last_c) / 150.0 * HOUR_S
    points = [*fallen, (back_s, 1220.0), (back_s + 1200.0, 1220.0)]
    events = told(GLAZE, dark(cooled(points, 2 * HOUR_S), from_s, 2 * HOUR_S))
    assert but_for_the_dark(events) == []
    assert [e.data.get("unseen_s") is None for e in raised(events, Kind.FIRING_FINISHED)] == [
        False,
        True,
    ]


@pytest.mark.parametrize(
    ("from_h", "severity"), [(3.0, Severity.CRITICAL), (13.0, Severity.WARNING)]
)
def test_where_nobody_looked_nothing_is_said_of_the_wiring(
    from_h: float, severity: Severity
) -> None:
    """While the plan heats, what stopped spyhole may have stopped the kiln; later it is over."""
    from_s = from_h * HOUR_S
    readings = dark(cooled(as_planned(GLAZE), 6 * HOUR_S), from_s, 2820.0)
    events = told(GLAZE, readings)
    (gap,), (over,) = raised(events, Kind.NO_READINGS), cleared(events, Kind.NO_READINGS)
    assert gap.message.startswith("Nobody looked at the thermocouples for 47 minutes: spyhole was")
    assert not any(word in said.message for said in (gap, over) for word in WIRING)
    assert (gap.severity, over.severity) == (severity, severity)
    assert gap.data["cause"] == "dark"
    assert gap.elapsed_s < over.elapsed_s == from_s + 2820.0


def test_a_rig_that_is_silent_when_spyhole_is_back_is_told_as_the_rigs_own() -> None:
    whole = seen(cut(as_planned(GLAZE), 5 * HOUR_S), rig=RIG)
    from_s, back_s = 3 * HOUR_S, 4 * HOUR_S
    readings = [
        one if one.elapsed_s < from_s else Reading(one.elapsed_s, {"kiln": None})
        for one in whole
        if not from_s <= one.elapsed_s < back_s
    ]
    events = told(GLAZE, readings)
    once_each(events)
    gap, silent = raised(events, Kind.NO_READINGS)
    assert gap.data["cause"] == "dark"
    assert silent.elapsed_s == back_s + 120.0
    assert "wiring" in silent.message
    assert "62 minutes" in silent.message


def test_a_silence_that_stands_goes_on_through_the_dark() -> None:
    readings = seen(cut(as_planned(GLAZE), 5 * HOUR_S), rig=RIG)
    blank = [
        Reading(one.elapsed_s, {"kiln": None})
        for one in readings
        if 3.0 * HOUR_S <= one.elapsed_s < 3.1 * HOUR_S
    ]
    known = [one for one in readings if one.elapsed_s < 3.0 * HOUR_S]
    after = [one for one in readings if one.elapsed_s >= 4.0 * HOUR_S]
    events = told(GLAZE, [*known, *blank, *after])
    (silent,) = raised(events, Kind.NO_READINGS)
    assert "wiring" in silent.message
    (over,) = cleared(events, Kind.NO_READINGS)
    assert over.elapsed_s == after[0].elapsed_s


@pytest.mark.parametrize("kiln_kind", [None, "electric"])
@pytest.mark.parametrize("is_blind", [False, True], ids=["nobody looks", "the probe is open"])
def test_what_was_missing_before_the_dark_is_no_stall_after_it(
    is_blind: bool, kiln_kind: str | None
) -> None:
    """A controller's dip is being made good when it gets dark; the kiln climbs on meanwhile."""
    whole = as_planned(GLAZE)
    dips_s = reached_s(whole, 700.0)
    points = interrupted(whole, dips_s, 200.0, rate_c_per_h=-60.0)
    dark_s = dips_s + 230.0
    points = cut(points, dark_s + 2 * HOUR_S)
    readings = [
        replace(r, temps_c={"kiln": None}) if dark_s <= r.elapsed_s < dark_s + 1000.0 else r
        for r in seen(points, rig=RIG)
    ]
    if not is_blind:
        readings = [r for r in readings if r.temps_c["kiln"] is not None]
    events = told(GLAZE, readings, settings=WatchSettings(kiln_kind=kiln_kind))
    assert raised(events, Kind.NO_READINGS)
    assert raised(events, Kind.STALL) == raised(events, Kind.HEAT_LOST) == []


def test_a_kiln_that_stands_through_a_dark_is_told_soon_after_it() -> None:
    """And a short blindness on the way takes no more than itself."""
    whole = as_planned(GLAZE)
    stands_s = reached_s(whole, 700.0)
    points = cut(interrupted(whole, stands_s, 2 * HOUR_S), stands_s + 1.9 * HOUR_S)
    for blind_s, most_s in ((120.0, 900.0), (1000.0, 1000.0 + 900.0)):
        begins_s = stands_s + 150.0
        readings = [
            r for r in seen(points, rig=RIG) if not begins_s <= r.elapsed_s < begins_s + blind_s
        ]
        (stall,) = raised(told(GLAZE, readings), Kind.STALL)
        assert stall.elapsed_s - stands_s < most_s
