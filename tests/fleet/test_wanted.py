"""What is owed to a firing, on courses written down by hand."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from simulator.faults import FaultKind
from simulator.operation import Operation, OperatorKind
from supervisor.core.events import Kind
from supervisor.core.readings import FaultCause
from supervisor.core.schedule import Schedule, Step
from supervisor.fleet.course import Aim, Course
from supervisor.fleet.wanted import Owed, owed
from tests.fleet.courses import PEAK_C, course, made_up, planned_aim, planned_c

HOUR_S = 3600.0
ONSET = 5.0


def twin(kind: FaultKind, hours: float = 14.0) -> Course:
    return course(made_up(kind), planned_c, hours, aim=planned_aim)


def test_a_kiln_that_stands_still_is_owed_a_stall_from_then_on() -> None:
    stands = course(
        made_up(FaultKind.STALL), lambda h: planned_c(min(h, ONSET)), 9.0, onset_s=ONSET * HOUR_S
    )
    due = owed(stands, twin(FaultKind.STALL))
    assert due is not None
    assert (due.what, due.within_s) == ("stands", 900.0)
    assert due.since_s == pytest.approx(ONSET * HOUR_S, abs=240.0)
    assert due.kinds == {Kind.STALL}


IN_DOUBT_H = 2.0 * 10.0 / 100.0
"""At half of 100 °C an hour, 10 °C more: what a thermocouple of class 2 leaves in doubt."""


def test_a_kiln_that_only_slows_down_is_owed_that_it_lags_once_it_is_surely_half_an_hour_late() -> (
    None
):
    slows = course(
        made_up(FaultKind.STALL),
        lambda h: planned_c(h) if h < ONSET else planned_c(ONSET) + 50.0 * (h - ONSET),
        14.0,
        onset_s=ONSET * HOUR_S,
    )
    due = owed(slows, twin(FaultKind.STALL))
    assert due is not None
    assert due.what == "lags"
    assert due.kinds == {Kind.LAGGING, Kind.STALL}
    # At half the pace an hour makes half an hour.
    assert due.since_s == pytest.approx((ONSET + 1.0 + IN_DOUBT_H) * HOUR_S, abs=60.0)


def slow_from(hour: float, from_h: float, rate_c_per_h: float) -> float:
    return planned_c(min(hour, from_h)) + rate_c_per_h * max(hour - from_h, 0.0)


def test_a_kiln_that_was_ahead_of_its_plan_has_time_to_lose() -> None:
    kind = FaultKind.STALL

    def ahead_c(hour: float) -> float:
        return min(20.0 + 150.0 * hour, 1000.0)

    slows = course(
        made_up(kind),
        lambda h: ahead_c(h) if h < 4.0 else ahead_c(4.0) + 50.0 * (h - 4.0),
        14.0,
        onset_s=4.0 * HOUR_S,
    )
    due = owed(slows, course(made_up(kind), ahead_c, 14.0, aim=planned_aim))
    assert due is not None
    assert due.what == "lags"
    # After 4 h it is 2 h ahead; of these and the half hour half an hour's climb takes one.
    assert due.since_s == pytest.approx((4.0 + 5.0 + IN_DOUBT_H) * HOUR_S, abs=60.0)


def test_a_cold_corner_of_a_kiln_that_keeps_its_plan_is_not_late_after_a_hold() -> None:
    kind = FaultKind.COLD_ZONE

    # Two steps, with a hold of an hour between them at 520 °C; the zone that leads is 15 °C behind.
    def held_c(hour: float) -> float:
        return planned_c(hour if hour < 5.0 else max(5.0, hour - 1.0))

    def aim(hour: float) -> Aim:
        return Aim.HOLDING if 5.0 <= hour < 6.0 else Aim.CLIMBING

    def step(hour: float) -> int:
        return int(hour >= 6.0)

    scenario = made_up(kind, channels=1)
    plan = Schedule("two steps", (Step(520.0, 100.0, 3600.0), Step(1000.0, 100.0)))
    scenario = replace(scenario, schedule=plan)
    cold = course(
        scenario,
        lambda h: held_c(h) - (15.0 if h > 3.0 else 0.0),
        9.0,
        onset_s=3.0 * HOUR_S,
        aim=aim,
        step=step,
    )
    assert owed(cold, course(scenario, held_c, 9.0, aim=aim, step=step)) is None


def test_a_kiln_that_has_not_begun_to_climb_does_not_stand() -> None:
    # It begins warm, and for 20 minutes bricks and elements take what heat there is.
    kind = FaultKind.WORN_ELEMENTS
    worn = course(made_up(kind), lambda h: 80.0 + 90.0 * max(h - 1.0 / 3.0, 0.0), 1.8, onset_s=0.0)
    assert owed(worn, course(made_up(kind), lambda h: 80.0 + 100.0 * h, 1.8)) is None


def test_while_ware_dries_a_kiln_is_not_late() -> None:
    kind = FaultKind.WORN_ELEMENTS
    worn = course(made_up(kind), lambda h: min(20.0 + 50.0 * h, 1000.0), 9.0, onset_s=0.0)
    due = owed(worn, twin(kind))
    assert due is not None
    assert due.what == "lags"
    # It is half an hour late after one hour, at 70 °C; at 120 °C it counts.
    assert due.since_s == pytest.approx(2.0 * HOUR_S, abs=60.0)


def test_where_a_person_fires_the_plan_has_its_clock_from_where_the_ware_is_dry() -> None:
    kind = FaultKind.WORN_ELEMENTS
    by_hand = replace(made_up(kind), operation=Operation(kind=OperatorKind.SWITCHES))

    def slow_c(hour: float) -> float:
        return min(20.0 + 50.0 * hour, 1000.0)

    due = owed(
        course(by_hand, slow_c, 9.0, onset_s=0.0),
        course(by_hand, planned_c, 14.0, aim=planned_aim),
    )
    assert due is not None
    assert due.what == "lags"
    # 120 °C after two hours, and half an hour late after one hour more.
    assert due.since_s == pytest.approx((3.0 + IN_DOUBT_H) * HOUR_S, abs=60.0)


def test_a_kiln_that_stands_at_its_peak_by_our_thermocouple_is_not_owed_a_stall() -> None:
    kind = FaultKind.STALL

    def dies_at(peak_c: float) -> str | None:
        hour = (peak_c - 20.0) / 100.0
        stands = course(made_up(kind), lambda h: planned_c(min(h, hour)), 14.0, onset_s=hour * 3600)
        due = owed(stands, twin(kind))
        return None if due is None else due.what

    assert dies_at(980.0) == "stands"
    assert dies_at(992.0) != "stands"


def test_a_kiln_that_sinks_from_near_its_peak_is_owed_no_climb_any_more() -> None:
    """What is by our thermocouple near its peak is through, or is not, for anybody beside it."""
    kind = FaultKind.GAS_ICING

    def sinks_from(peak_c: float) -> str | None:
        hour = (peak_c - 20.0) / 100.0

        def temp_c(h: float) -> float:
            return planned_c(h) if h < hour else peak_c - 20.0 * (h - hour)

        sinks = course(made_up(kind), temp_c, hour + 6.0, onset_s=hour * HOUR_S)
        due = owed(sinks, twin(kind))
        return None if due is None else due.what

    assert sinks_from(980.0) == "stands"
    assert sinks_from(992.0) is None


@pytest.mark.parametrize(
    ("first", "from_c", "creeps_c_per_h", "what"),
    [
        (Step(600.0, 100.0, 1200.0), 580.0, 20.0, "stands"),
        (Step(600.0, 100.0, 1200.0), 593.0, 20.0, None),
        (Step(600.0, 100.0), 580.0, 18.0, "stands"),
        (Step(600.0, 100.0), 593.0, 18.0, None),
        (Step(600.0, 100.0), 593.0, 10.0, "stands"),
    ],
)
def test_a_kiln_that_may_be_through_with_its_climb_is_not_owed_a_stall(
    first: Step, from_c: float, creeps_c_per_h: float, what: str | None
) -> None:
    """As near to a hold, or to a slower climb, as thermocouples differ, it may be in that."""
    scenario = replace(
        made_up(FaultKind.STALL),
        schedule=Schedule("made up", (first, Step(PEAK_C, 60.0, 3600.0))),
    )
    hour = (from_c - 20.0) / 100.0

    def temp_c(h: float) -> float:
        return planned_c(h) if h < hour else from_c + creeps_c_per_h * (h - hour)

    creeps = course(scenario, temp_c, hour + 0.35, onset_s=hour * HOUR_S)
    well = course(scenario, planned_c, 14.0)
    due = owed(creeps, well)
    assert (None if due is None else due.what) == what


def test_a_zone_that_is_hardly_left_behind_is_no_kiln_that_stands() -> None:
    scenario = made_up(FaultKind.COLD_ZONE, channels=2)

    def left(part: float) -> Owed | None:
        def temps_c(hour: float) -> tuple[float, ...]:
            return slow_from(hour, ONSET, 20.0), slow_from(hour, ONSET, 100.0 * part)

        cold = course(scenario, temps_c, ONSET + 0.4, onset_s=ONSET * HOUR_S)
        return owed(cold, course(scenario, lambda h: (planned_c(h),) * 2, 14.0))

    assert left(0.7) is None
    whole, apart = left(0.3), left(0.9)
    assert whole is not None
    assert apart is not None
    assert whole.what == apart.what == "stands"


def test_a_fire_does_not_stand_between_the_height_of_a_charge_and_the_foot_of_the_next() -> None:
    kind = FaultKind.COLD_ZONE
    stokes = replace(made_up(kind), operation=Operation(kind=OperatorKind.STOKING))

    def stoked_c(hour: float) -> float:
        # Half the pace of the plan, and a swing with each charge.
        return slow_from(hour, ONSET, 50.0) + 8.0 * math.sin(2.0 * math.pi * hour * 6.0)

    fire = course(stokes, stoked_c, 14.0, onset_s=ONSET * HOUR_S)
    due = owed(fire, course(stokes, planned_c, 14.0, aim=planned_aim))
    assert due is not None
    assert due.what == "lags"


def test_a_climb_that_dies_away_over_hours_may_be_told_as_late() -> None:
    dies = course(
        made_up(FaultKind.DOOR_AJAR, at_c=520.0),
        lambda h: planned_c(h) if h < ONSET else 600.0 - 80.0 * math.exp(-1.25 * (h - ONSET)),
        14.0,
        onset_s=ONSET * HOUR_S,
    )
    due = owed(dies, twin(FaultKind.DOOR_AJAR))
    assert due is not None
    assert due.what == "dies away"
    assert due.kinds == {Kind.STALL, Kind.LAGGING}
    assert due.within_s == 1800.0
    # The slope of 100 °C/h has fallen to a quarter after 1.1 h.
    assert due.since_s == pytest.approx((ONSET + 1.05) * HOUR_S, abs=300.0)


def test_a_fault_after_which_the_kiln_keeps_its_plan_is_owed_nothing() -> None:
    for kind in (FaultKind.STALL, FaultKind.POWER_CUT, FaultKind.DOOR_AJAR, FaultKind.COLD_ZONE):
        keeps = course(made_up(kind), planned_c, 14.0, onset_s=ONSET * HOUR_S, aim=planned_aim)
        assert owed(keeps, twin(kind)) is None


def test_a_short_stand_is_nothing_to_be_found() -> None:
    def pauses(hour: float) -> float:
        return planned_c(hour if hour < ONSET else max(ONSET, hour - 0.15))

    short = course(made_up(FaultKind.STALL), pauses, 9.0, onset_s=ONSET * HOUR_S)
    assert owed(short, twin(FaultKind.STALL)) is None


def test_a_dip_that_is_made_good_when_it_would_be_told_is_no_stand() -> None:
    """4 °C are lost in two minutes, and more than that made good within the quarter of an hour."""

    def dips(hour: float) -> float:
        since_h = hour - ONSET
        lost_c = min(max(since_h, 0.0) * 30.0, 1.0) * 4.0
        return planned_c(min(hour, ONSET)) - lost_c + 100.0 * max(since_h - climbs_after_h, 0.0)

    climbs_after_h = 9.5 / 60.0
    well = twin(FaultKind.STALL)
    dipped = course(made_up(FaultKind.STALL), dips, 9.0, onset_s=ONSET * HOUR_S)
    due = owed(dipped, well)
    assert due is None or due.what != "stands"
    climbs_after_h = 14.5 / 60.0
    stood = course(made_up(FaultKind.STALL), dips, 9.0, onset_s=ONSET * HOUR_S)
    due = owed(stood, well)
    assert due is not None
    assert due.what == "stands"


def test_nothing_is_owed_before_a_fault_has_begun_nor_for_a_wall_clock() -> None:
    kind = FaultKind.STALL
    assert owed(course(made_up(kind), planned_c, 9.0), twin(kind)) is None
    clock = course(made_up(FaultKind.CLOCK_STEP), planned_c, 9.0, onset_s=HOUR_S)
    assert owed(clock, clock) is None


def test_a_fall_under_a_plan_that_heats_is_owed_a_loss_of_heat_from_the_cut_on() -> None:
    cut = course(
        made_up(FaultKind.POWER_CUT),
        lambda h: planned_c(h) if h < ONSET else planned_c(ONSET) - 80.0 * (h - ONSET),
        9.0,
        onset_s=ONSET * HOUR_S,
    )
    due = owed(cut, twin(FaultKind.POWER_CUT))
    assert due is not None
    assert (due.since_s, due.within_s) == (ONSET * HOUR_S, 300.0)
    assert due.kinds == {Kind.HEAT_LOST}


def test_a_fire_that_nobody_stokes_falls_from_where_it_burns_down_deeper_than_charges_do() -> None:
    kind = FaultKind.POWER_CUT
    stokes = replace(made_up(kind), operation=Operation(kind=OperatorKind.STOKING))
    out = course(
        stokes,
        lambda h: planned_c(min(h, ONSET)) - 300.0 * max(h - ONSET, 0.0),
        7.0,
        onset_s=ONSET * HOUR_S,
    )
    due = owed(out, course(stokes, planned_c, 14.0, aim=planned_aim))
    assert due is not None
    # It stands before it has fallen so far, and whoever is told that goes and looks as well.
    assert due.kinds == {Kind.HEAT_LOST, Kind.STALL}
    # 15 °C at 300 °C/h.
    assert due.since_s == pytest.approx((ONSET + 0.05) * HOUR_S, abs=21.0)


def test_a_kiln_that_was_to_cool_anyway_has_lost_nothing() -> None:
    kind = FaultKind.EARLY_SHUT_OFF
    late = 10.9
    off = course(
        made_up(kind),
        lambda h: planned_c(h) - max(0.0, h - late) * 80.0,
        14.0,
        onset_s=late * HOUR_S,
        aim=planned_aim,
    )
    assert owed(off, twin(kind)) is None


def test_a_climb_after_the_end_is_owed_from_its_fifth_degree_on_if_it_goes_on() -> None:
    kind = FaultKind.RELAY_STUCK

    def climbs(hour: float, to_c: float) -> float:
        if hour < 11.0:
            return planned_c(hour)
        return 900.0 + min(20.0 * (hour - 11.0), to_c)

    for to_c, is_owed in ((40.0, True), (10.0, False)):
        stuck = course(
            made_up(kind),
            lambda h, to_c=to_c: climbs(h, to_c),  # type: ignore[misc]
            14.0,
            onset_s=11.0 * HOUR_S,
            aim=planned_aim,
        )
        due = owed(stuck, twin(kind))
        assert (due is not None) is is_owed
        if due is not None:
            assert (due.what, due.within_s) == ("climbs on", 300.0)
            assert due.since_s == pytest.approx(11.25 * HOUR_S, abs=21.0)


def test_a_kiln_that_only_stays_hot_is_counted_apart() -> None:
    kind = FaultKind.RELAY_STUCK

    def cools(hour: float, per_h: float) -> float:
        return planned_c(hour) - per_h * max(0.0, hour - 10.8)

    stuck = course(
        made_up(kind), lambda h: cools(h, 1.0), 14.0, onset_s=11.0 * HOUR_S, aim=planned_aim
    )
    well = course(made_up(kind), lambda h: cools(h, 100.0), 14.0, aim=planned_aim)
    due = owed(stuck, well)
    assert due is not None
    assert (due.what, due.promised) == ("stays hot", False)


def test_an_opened_kiln_must_fall_faster_than_a_shut_one() -> None:
    kind = FaultKind.FAST_COOLING

    def cools(hour: float, per_h: float) -> float:
        before = planned_c(hour) - 100.0 * max(0.0, min(hour, 12.0) - 10.8)
        return before - per_h * max(0.0, hour - 12.0)

    well = course(made_up(kind), lambda h: cools(h, 100.0), 14.0, aim=planned_aim)
    for per_h, is_owed in ((200.0, True), (120.0, False)):
        opened = course(
            made_up(kind),
            lambda h, per_h=per_h: cools(h, per_h),  # type: ignore[misc]
            14.0,
            onset_s=12.0 * HOUR_S,
            aim=planned_aim,
        )
        due = owed(opened, well)
        assert (due is not None) is is_owed
        if due is not None:
            assert due.kinds == {Kind.FAST_COOLING}


def test_a_door_opened_where_the_kiln_comes_to_a_hold_may_be_told_as_lost_heat() -> None:
    kind = FaultKind.FAST_COOLING

    def shut_c(hour: float) -> float:
        return planned_c(hour) - 100.0 * max(0.0, hour - 11.0)

    def opened_c(hour: float) -> float:
        return shut_c(hour) - 150.0 * max(0.0, hour - 12.0)

    def aim(hour: float) -> Aim:
        return Aim.HOLDING if hour > 12.1 else Aim.COOLING

    well = course(made_up(kind), shut_c, 14.0, aim=aim)
    opened = course(made_up(kind), opened_c, 14.0, onset_s=12.0 * HOUR_S, aim=aim)
    due = owed(opened, well)
    assert due is not None
    assert due.kinds == {Kind.FAST_COOLING, Kind.HEAT_LOST}


def test_uneven_counts_from_where_the_tolerance_is_passed_for_good() -> None:
    kind = FaultKind.COLD_ZONE
    scenario = made_up(kind, channels=2)

    def apart(hour: float) -> tuple[float, ...]:
        return planned_c(hour), planned_c(hour) - 40.0 * max(0.0, hour - 6.0)

    cold = course(scenario, apart, 9.0, onset_s=6.0 * HOUR_S)
    well = course(scenario, lambda h: (planned_c(h),) * 2, 9.0)
    due = owed(cold, well)
    assert due is not None
    assert due.kinds == {Kind.UNEVEN}
    # 40 °C from 600 °C on, and one more.
    assert due.since_s == pytest.approx(7.025 * HOUR_S, abs=41.0)
    assert owed(cold, cold) is None


def test_a_probe_is_owed_a_fault_of_that_channel_with_a_cause_that_fits() -> None:
    broken = course(
        made_up(FaultKind.OPEN_THERMOCOUPLE, channel="probe0"), planned_c, 9.0, onset_s=HOUR_S
    )
    due = owed(broken, broken)
    assert due is not None
    assert (due.since_s, due.within_s, due.channel) == (HOUR_S, 60.0, "probe0")
    assert due.causes == {FaultCause.OPEN}


def test_swapped_leads_are_owed_nothing_before_the_kiln_is_warm() -> None:
    swapped = course(
        made_up(FaultKind.REVERSED_THERMOCOUPLE, channel="probe0"), planned_c, 9.0, onset_s=0.0
    )
    due = owed(swapped, swapped)
    assert due is not None
    # 20 °C at 100 °C/h.
    assert due.since_s == pytest.approx(0.2 * HOUR_S, abs=21.0)


def test_swapped_leads_are_owed_nothing_while_the_kiln_is_candled() -> None:
    """At 6 °C an hour, overnight, what they show is a shed that cools."""

    def candled_c(hour: float) -> float:
        return 20.0 + 6.0 * min(hour, 8.0) + 100.0 * max(hour - 8.0, 0.0)

    scenario = made_up(FaultKind.REVERSED_THERMOCOUPLE, channel="probe0")
    swapped = course(scenario, candled_c, 9.0, onset_s=0.0)
    due = owed(swapped, swapped)
    assert due is not None
    # 10 °C within half an hour, the end of which is climbed at 100 °C/h.
    assert due.since_s == pytest.approx((8.0 + 7.0 / 94.0) * HOUR_S, abs=61.0)


def test_an_operator_at_rest_is_not_owed_a_stall() -> None:
    kind = FaultKind.STALL
    holds = course(
        made_up(kind),
        lambda h: planned_c(min(h, ONSET)),
        9.0,
        onset_s=ONSET * HOUR_S,
        aim=lambda h: Aim.CLIMBING if h < ONSET else Aim.HOLDING,
    )
    assert owed(holds, twin(kind)) is None
