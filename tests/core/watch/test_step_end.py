"""The signs that one step of the plan is at its end, each taken with its slack."""

from __future__ import annotations

import math

from supervisor.core.schedule import PlannedStep, Timeline
from supervisor.core.watch.dip import Dip
from supervisor.core.watch.let_go import LetGo, falls_away
from supervisor.core.watch.step_end import StepEnd
from tests.core.firings import plan


def step(*steps: str, index: int = 0) -> PlannedStep:
    return Timeline(plan(*steps)).steps[index]


def test_a_kiln_has_arrived_at_the_top_itself() -> None:
    end = StepEnd(step("100 600"), turns_next=True)
    assert not end.look(0.0, 590.0, 100.0)
    assert end.look(360.0, 599.5, 100.0)


def test_a_kiln_near_its_top_has_arrived_when_it_slows_for_a_minute() -> None:
    end = StepEnd(step("100 600", "100 700"), turns_next=False)
    assert not end.look(0.0, 596.0, 30.0)
    assert not end.look(50.0, 596.0, 30.0)
    assert end.look(60.0, 596.0, 30.0)
    assert end.slow_for_s == 60.0


def test_a_kiln_short_of_its_top_stops_there_only_where_the_plan_does() -> None:
    holds = StepEnd(step("100 600 20", "100 700"), turns_next=False)
    climbs_on = StepEnd(step("100 600", "100 700"), turns_next=False)
    for elapsed_s in (0.0, 299.0):
        assert not holds.look(elapsed_s, 585.0, 0.0)
        assert not climbs_on.look(elapsed_s, 585.0, 0.0)
    assert holds.look(300.0, 585.0, 0.0)
    assert not climbs_on.look(300.0, 585.0, 0.0)


def test_a_step_that_goes_on_upwards_is_never_over_for_cooling() -> None:
    end = StepEnd(step("100 600 20", "100 700"), turns_next=False)
    end.look(0.0, 595.0, 0.0)
    assert not end.climb_may_be_over()
    assert not end.hold_may_be_over(9000.0)


def test_a_hold_may_be_over_three_minutes_early() -> None:
    end = StepEnd(step("100 600 10"), turns_next=True)
    assert not end.hold_may_be_over(419.0)
    assert end.hold_may_be_over(420.0)


def test_a_cooling_step_is_looked_at_from_above() -> None:
    end = StepEnd(step("100 600", "50 400 10", index=1), turns_next=True)
    assert not end.look(0.0, 500.0, -50.0)
    assert end.look(7200.0, 400.5, -50.0)


def test_a_kiln_that_is_let_go_falls_fast_or_far() -> None:
    assert not falls_away(1000.0, 997.0, -200.0)
    assert not falls_away(1000.0, 990.0, -20.0)
    assert falls_away(1000.0, 990.0, -60.0)
    assert falls_away(1000.0, 980.0, -20.0)


def let_go_after_s(fallen_c: float, within_s: float) -> float | None:
    """When a kiln that falls so far within so long, and no farther, counts as let go."""
    let_go = LetGo()
    for n in range(1, 60):
        elapsed_s = 5.0 * n
        part = min(elapsed_s / within_s, 1.0)
        rate_c_per_h = -fallen_c / within_s * 3600.0 if part < 1.0 else -50.0
        if let_go.falls(
            elapsed_s, 1000.0, 1000.0 - fallen_c * part, rate_c_per_h, 20.0, 0.0, is_short=False
        ):
            return elapsed_s
    return None


def test_a_chill_through_a_spyhole_is_waited_for_before_a_kiln_is_let_go() -> None:
    deep_s, shallow_s, lifted_s = (
        let_go_after_s(fallen_c, 40.0) for fallen_c in (30.0, 12.0, 200.0)
    )
    # A plug is out for less than a minute; nothing but a lid that is lifted takes 200 °C off.
    assert deep_s is not None
    assert shallow_s is not None
    assert lifted_s is not None
    assert 60.0 <= deep_s <= 70.0
    assert 180.0 <= shallow_s <= 195.0
    assert lifted_s <= 20.0


def test_a_fire_that_swings_about_its_hold_has_arrived_when_it_rises_no_more() -> None:
    holds = StepEnd(step("60 1000 20"), turns_next=True)
    arrived_s = None
    for n in range(200):
        elapsed_s = 10.0 * n
        temp_c = 987.0 + 4.0 * math.sin(elapsed_s / 70.0)
        rate_c_per_h = 4.0 / 70.0 * math.cos(elapsed_s / 70.0) * 3600.0
        if holds.look(elapsed_s, temp_c, rate_c_per_h):
            arrived_s = elapsed_s
            break
    assert arrived_s is not None
    assert 600.0 <= arrived_s <= 900.0


def test_a_fire_that_swings_and_climbs_has_not_arrived() -> None:
    holds = StepEnd(step("60 1000 20"), turns_next=True)
    for n in range(80):
        elapsed_s = 10.0 * n
        temp_c = 984.0 + 45.0 * elapsed_s / 3600.0 + 4.0 * math.sin(elapsed_s / 70.0)
        rate_c_per_h = 45.0 + 4.0 / 70.0 * math.cos(elapsed_s / 70.0) * 3600.0
        assert not holds.look(elapsed_s, temp_c, rate_c_per_h), elapsed_s


def test_what_a_kiln_stood_before_a_dip_does_not_count_when_it_is_back() -> None:
    end = StepEnd(step("60 1000 20"), turns_next=True)
    course = [(0.0, 985.0), (600.0, 985.0), (900.0, 970.0), (4000.0, 970.0), (4300.0, 985.5)]
    for elapsed_s, temp_c in course:
        end.see(elapsed_s, temp_c, 0.0)
    assert end.stood_s == 0.0


def test_what_falls_short_of_its_top_must_fall_like_a_kiln_without_heat() -> None:
    assert falls_away(1200.0, 1190.0, -60.0)
    assert not falls_away(1200.0, 1190.0, -60.0, is_short=True)
    assert falls_away(1200.0, 1190.0, -100.0, is_short=True)
    assert falls_away(1200.0, 1170.0, -60.0, is_short=True)


def climbed(end: StepEnd, points: list[tuple[float, float, float]]) -> None:
    """Let ``end`` look at seconds, °C and °C an hour."""
    for elapsed_s, temp_c, rate_c_per_h in points:
        end.look(elapsed_s, temp_c, rate_c_per_h)


def test_a_short_hold_may_have_been_held_where_the_kilns_own_reads_more() -> None:
    short = StepEnd(step("60 1250 10"), turns_next=True)
    points = [(60.0 * n, 1230.0 + 1.0 * n, 60.0) for n in range(13)]
    climbed(short, points[:6])
    assert not short.climb_may_be_over()
    climbed(short, points[6:])
    assert short.climb_may_be_over()
    long = StepEnd(step("60 1250 60"), turns_next=True)
    climbed(long, points)
    assert not long.climb_may_be_over()


def test_who_comes_down_to_the_top_from_above_it_still_stands_there() -> None:
    end = StepEnd(step("100 1200 30"), turns_next=True)
    over = [(60.0 * n, 1195.0 + 1.5 * n, 90.0) for n in range(20)]
    climbed(end, over)
    back = [(1200.0 + 60.0 * n, 1200.0, 0.0) for n in range(15)]
    for elapsed_s, temp_c, rate_c_per_h in back:
        end.see(elapsed_s, temp_c, rate_c_per_h)
    assert end.hold_may_be_over(0.0)
    fallen = StepEnd(step("100 1200 30"), turns_next=True)
    climbed(fallen, over)
    fallen.see(1200.0, 1190.0, -200.0)
    assert not fallen.hold_may_be_over(0.0)


def test_a_probe_is_behind_a_kiln_that_climbs_in_a_great_hurry() -> None:
    raku, glaze = (StepEnd(step("- 980"), turns_next=True) for _ in range(2))
    climbed(raku, [(10.0 * n, 500.0 + 3.0 * n, 1080.0) for n in range(146)])
    climbed(glaze, [(100.0 * n, 500.0 + 3.0 * n, 108.0) for n in range(146)])
    assert raku.climb_may_be_over()
    assert not glaze.climb_may_be_over()


def test_that_ours_read_more_far_below_does_not_put_off_the_end_of_a_short_hold() -> None:
    end = StepEnd(step("60 1250"), turns_next=True, apart_c=10.0)
    climbed(end, [(60.0 * n, 1225.0 + 1.0 * n, 60.0) for n in range(10)])
    assert end.climb_may_be_over()


def test_a_probe_catches_up_with_a_kiln_that_stands() -> None:
    in_a_hurry = [(10.0 * n, 500.0 + 3.0 * n, 1080.0) for n in range(146)]
    let_go, stands = (StepEnd(step("- 980"), turns_next=True) for _ in range(2))
    climbed(let_go, in_a_hurry)
    climbed(stands, in_a_hurry)
    climbed(stands, [(1460.0 + 10.0 * n, 935.0, 0.0) for n in range(90)])
    assert let_go.climb_may_be_over()
    assert not stands.climb_may_be_over()


def test_a_fire_came_to_its_top_when_it_last_rose() -> None:
    holds = StepEnd(step("60 1000 20"), turns_next=True)
    for n in range(200):
        elapsed_s = 10.0 * n
        # It climbs for five minutes, and then swings about what it came to.
        climbed_c = 60.0 * min(elapsed_s, 300.0) / 3600.0
        temp_c = 985.0 + climbed_c + 3.0 * math.sin(elapsed_s / 70.0)
        if holds.look(elapsed_s, temp_c, 3.0 / 70.0 * math.cos(elapsed_s / 70.0) * 3600.0):
            break
    assert elapsed_s < 1500.0
    assert holds.slow_for_s >= 600.0
    assert holds.is_slow


def swings_at(end: StepEnd, level_c: float) -> float | None:
    """When a kiln whose controller swings by 3 °C about ``level_c`` counts as arrived."""
    for n in range(400):
        elapsed_s = 10.0 * n
        temp_c = level_c + 3.0 * math.sin(elapsed_s / 70.0)
        if end.look(elapsed_s, temp_c, 3.0 / 70.0 * math.cos(elapsed_s / 70.0) * 3600.0):
            return elapsed_s
    return None


def test_a_kiln_that_swings_at_the_foot_of_a_cooling_has_arrived_when_it_falls_no_more() -> None:
    held = step("100 1200", "- 1100 60", index=1)
    arrived_s = swings_at(StepEnd(held, turns_next=True), 1112.0)
    assert arrived_s is not None
    assert 600.0 <= arrived_s <= 900.0
    far_s = swings_at(StepEnd(held, turns_next=True), 1122.0)
    assert far_s is not None
    assert 780.0 <= far_s <= 1200.0
    assert swings_at(StepEnd(held, turns_next=True), 1135.0) is None
    # One that sinks, however slowly beside its plan, is not held there.
    sinks = StepEnd(step("100 1200", "240 1100 60", index=1), turns_next=True)
    for n in range(40):
        assert not sinks.look(60.0 * n, 1155.0 - 50.0 * n / 60.0, -50.0)
    # Where the plan does not hold, it only cools slowly.
    passed = step("100 1200", "50 1100", "50 900", index=1)
    assert swings_at(StepEnd(passed, turns_next=True), 1112.0) is None


def test_a_kiln_far_above_its_top_is_turned_off_whatever_is_left_of_its_hold() -> None:
    held = step("60 1200 60")
    ran_away, over = StepEnd(held, turns_next=True), StepEnd(held, turns_next=True)
    ran_away.look(0.0, 1245.0, 300.0)
    over.look(0.0, 1220.0, 300.0)
    assert ran_away.hold_may_be_over(300.0)
    assert not over.hold_may_be_over(300.0)


def test_a_hold_that_was_held_before_the_kiln_climbed_on_needs_no_second() -> None:
    held = step("60 1200 20")
    for was_held in (True, False):
        end = StepEnd(held, turns_next=True)
        end.goes_on_from(StepEnd(held, turns_next=True), was_held=was_held)
        end.look(0.0, 1190.0, 100.0)
        assert end.climb_may_be_over() is was_held


def test_who_stands_at_the_plans_own_top_is_there_whatever_ours_read_more_far_below() -> None:
    held = step("60 1000 20")
    stands = StepEnd(held, turns_next=True, apart_c=20.0)
    assert not stands.look(0.0, 992.0, 0.0)
    assert stands.look(300.0, 992.0, 0.0)
    swings = StepEnd(held, turns_next=True, apart_c=20.0)
    arrived_s = swings_at(swings, 990.0)
    assert arrived_s is not None
    assert 600.0 <= arrived_s <= 900.0
    # Who climbs on at the pace of the plan is not there before ours is where it should be.
    climbs = StepEnd(held, turns_next=True, apart_c=20.0)
    for n in range(17):
        assert not climbs.look(60.0 * n, 1002.0 + n, 60.0)
    assert climbs.look(1080.0, 1020.0, 60.0)


def held_about(below_c: float, minutes: int, rate_c_per_h: float = -5.0) -> StepEnd:
    """A hold of 45 minutes that came to its top and then went on so far below it."""
    end = StepEnd(step("60 1260 45"), turns_next=True)
    end.look(0.0, 1259.5, 60.0)
    for minute in range(1, minutes + 1):
        end.see(60.0 * minute, 1260.0 - below_c, rate_c_per_h)
    return end


def test_a_fire_that_is_held_give_or_take_20_degrees_counts_from_when_it_came_to_its_top() -> None:
    assert not held_about(18.0, 30).hold_may_be_over(300.0)
    assert held_about(18.0, 36).hold_may_be_over(300.0)
    assert not held_about(30.0, 60).hold_may_be_over(300.0)
    assert not held_about(18.0, 60, rate_c_per_h=-60.0).hold_may_be_over(300.0)


def test_the_flicker_of_a_fire_that_was_let_go_is_no_new_climb() -> None:
    top = step("60 1260 45")
    seen, unseen = Dip(top, 1255.0, 1240.0), Dip(top, 1255.0, 1240.0, is_unseen=True)
    assert not seen.is_over(0.0, 1246.0, 200.0)
    assert unseen.is_over(0.0, 1246.0, 200.0)
    assert not seen.is_over(40.0, 1242.0, -50.0)
    assert not seen.is_over(60.0, 1246.0, 200.0)
    assert not seen.is_over(110.0, 1249.0, 200.0)
    assert seen.is_over(120.0, 1250.0, 200.0)
