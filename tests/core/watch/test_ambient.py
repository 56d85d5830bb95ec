"""The air about the kiln: what it cools down to is what the owner says."""

from __future__ import annotations

from supervisor.core.watch import Watch, WatchSettings
from supervisor.core.watch.detectors.moment import Moment
from supervisor.core.watch.follower import PlanFollower
from supervisor.core.watch.following import Following
from tests.core.firings import HOUR_S, as_planned, cut, plan, seen

BISQUE = plan("150 1000 10", "- 100")


def test_a_firing_that_was_kept_without_it_is_watched_as_it_was() -> None:
    kept = {name: value for name, value in WatchSettings().kept().items() if name != "ambient_c"}
    read = WatchSettings.of_kept(kept)
    assert read == WatchSettings()
    assert read is not None
    assert read.ambient_c == 20.0
    cold = WatchSettings(ambient_c=-5.0)
    assert WatchSettings.of_kept(cold.kept()) == cold


def test_a_plan_that_cools_by_itself_cools_down_to_the_air() -> None:
    """By Newton's law a kiln is sooner at 100 °C in the cold: t = τ·ln((T0 − Ta)/(T − Ta))."""
    ends = {}
    for ambient_c in (-10.0, 20.0, 40.0):
        watch = Watch(BISQUE, ("kiln",), WatchSettings(ambient_c=ambient_c))
        for reading in seen(cut(as_planned(BISQUE, start_c=45.0), HOUR_S)):
            watch.feed(reading)
        assert watch.timeline.shed_c == ambient_c
        ends[ambient_c] = watch.timeline.total_s
    assert ends[-10.0] < ends[20.0] < ends[40.0]


def test_what_the_watch_holds_against_the_air_is_held_against_the_one_that_is_told() -> None:
    watch = Watch(BISQUE, ("top", "low"), WatchSettings(ambient_c=33.0))
    held: list[object] = [watch._moment, watch._plan, watch._following]
    moment, follower, following = held
    assert isinstance(moment, Moment)
    assert isinstance(follower, PlanFollower)
    assert isinstance(following, Following)
    assert (moment.ambient_c, follower._shed_c, following._shed_c) == (33.0, 33.0, 33.0)
