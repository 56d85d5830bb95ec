"""What a detector is shown of an instant: moves of the kiln, and none that are not."""

from __future__ import annotations

from supervisor.core.units import Unit
from supervisor.core.watch.detectors.moment import Moment
from supervisor.core.watch.follower import PlanFollower
from supervisor.core.watch.wording import Words
from tests.core.firings import plan


def a_moment() -> Moment:
    return Moment(PlanFollower(plan("100 1000")), Words(Unit.C))


def looked(moment: Moment, elapsed_s: float, temp_c: float, lead: int = 0) -> tuple[float, float]:
    moment.elapsed_s = elapsed_s
    moment.see(temp_c, -100.0, 10.0, 0.3, lead)
    return moment.moved_c, moment.moved_s


def test_a_move_is_that_since_the_last_look() -> None:
    moment = a_moment()
    assert looked(moment, 0.0, 500.0) == (0.0, 0.0)
    assert looked(moment, 5.0, 499.0) == (-1.0, 5.0)


def test_a_change_of_the_leading_probe_is_no_move_and_is_known_for_one_look() -> None:
    moment = a_moment()
    looked(moment, 0.0, 500.0)
    looked(moment, 5.0, 480.0)
    assert looked(moment, 10.0, 500.0, lead=1) == (0.0, 0.0)
    assert moment.is_new_lead
    looked(moment, 15.0, 500.0, lead=1)
    assert not moment.is_new_lead


def test_a_gap_or_a_jump_is_no_move() -> None:
    moment = a_moment()
    looked(moment, 0.0, 500.0)
    assert looked(moment, 601.0, 490.0) == (0.0, 0.0)
    assert not moment.is_new_lead
    assert looked(moment, 606.0, 400.0) == (0.0, 0.0)
    assert looked(moment, 611.0, 399.0) == (-1.0, 5.0)


def test_how_far_it_jumps_or_the_leading_probe_differs_is_known_for_one_look() -> None:
    moment = a_moment()
    looked(moment, 0.0, 500.0)
    looked(moment, 5.0, 400.0)
    assert moment.jumped_c == -100.0
    looked(moment, 10.0, 390.0, lead=1)
    assert moment.jumped_c == -10.0
    looked(moment, 15.0, 390.0, lead=1)
    assert moment.jumped_c == 0.0
    looked(moment, 1000.0, 300.0, lead=1)
    assert moment.jumped_c == 0.0


def test_for_how_long_nothing_was_seen_is_known_for_one_look() -> None:
    moment = a_moment()
    looked(moment, 0.0, 500.0)
    looked(moment, 5.0, 500.0)
    moment.elapsed_s = 10.0
    moment.see(None, 0.0, 0.0, 0.0)
    assert moment.unseen_s == 0.0
    looked(moment, 95.0, 502.0)
    assert (moment.unseen_s, moment.is_after_a_gap) == (90.0, False)
    looked(moment, 100.0, 502.0)
    assert moment.unseen_s == 0.0
    looked(moment, 801.0, 510.0)
    assert (moment.unseen_s, moment.is_after_a_gap) == (701.0, True)
