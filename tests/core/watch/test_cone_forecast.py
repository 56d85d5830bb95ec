"""When the coming cones go down: by the plan, at the present rate, and how sure that is."""

from __future__ import annotations

import pytest

from supervisor.core.events import Kind, State
from supervisor.core.heatwork import Correction, Wire
from supervisor.core.schedule import Schedule
from supervisor.core.watch import ConeStatus, Watch, WatchSettings
from supervisor.core.watch.cone_forecast import ConeForecast
from supervisor.core.watch.settings import WatchSettings as Kept
from tests.core.firings import HOUR_S, Rig, as_planned, cooled, plan, seen

SCHEDULE = plan("150 900", "100 1100", "60 1205 60", cone="6")
QUIET = Rig(every_s=10.0, noise_c=0.1)


def watched_until(
    elapsed_s: float,
    schedule: Schedule = SCHEDULE,
    *,
    fired: Schedule | None = None,
    settings: WatchSettings | None = None,
) -> Watch:
    watch = Watch(schedule, ("kiln",), settings)
    for reading in seen(as_planned(fired or schedule), rig=QUIET):
        if reading.elapsed_s > elapsed_s:
            break
        watch.feed(reading)
    return watch


def target(watch: Watch) -> ConeStatus:
    return next(cone for cone in watch.status().cones if cone.role == "target")


def forecast(watch: Watch) -> ConeForecast:
    found = target(watch).forecast
    assert found is not None
    return found


FALL_S = target(watched_until(1e9)).down_at_s or 0.0


@pytest.mark.parametrize("before_h", [6.0, 3.0, 1.5, 0.6, 0.2])
def test_a_kiln_that_keeps_its_plan_is_forecast_from_the_start(before_h: float) -> None:
    assert FALL_S > 10 * HOUR_S
    watch = watched_until(FALL_S - before_h * HOUR_S)
    left_s = FALL_S - watch.status().elapsed_s
    found = forecast(watch)
    assert found.expected_s == pytest.approx(left_s, abs=240.0)
    assert found.if_plan_s == pytest.approx(left_s, abs=240.0)
    assert found.earliest_s is not None
    assert found.latest_s is None or found.latest_s > left_s
    assert found.earliest_s < left_s


def test_a_rate_that_goes_on_is_told_beside_the_plan() -> None:
    watch = watched_until(FALL_S - 2 * HOUR_S)
    found = forecast(watch)
    # At 60 °C/h cone 6 goes down at 1222 °C (published); the plan holds it back at 1205 °C.
    here_c = watch.status().temp_c
    assert here_c is not None
    assert found.at_rate_s == pytest.approx((1222.0 - here_c) / 60.0 * HOUR_S, abs=400.0)
    assert found.if_plan_s is not None
    assert found.at_rate_s is not None
    assert found.at_rate_s < found.if_plan_s


def test_at_the_last_hold_the_rest_of_it_is_told() -> None:
    watch = watched_until(FALL_S - 0.25 * HOUR_S)
    left_s = FALL_S - watch.status().elapsed_s
    found = forecast(watch)
    assert found.hold_s == pytest.approx(left_s, abs=60.0)
    assert found.expected_s == pytest.approx(left_s, abs=60.0)


def test_a_cone_that_the_plan_does_not_reach_is_not_expected() -> None:
    low = plan("150 900", "100 1100", "60 1180 10", cone="6")
    found = forecast(watched_until(8.7 * HOUR_S, low))
    assert (found.expected_s, found.if_plan_s, found.latest_s) == (None, None, None)
    assert found.at_rate_s is not None


def test_a_slower_kiln_is_expected_later_than_its_plan_says() -> None:
    slow = plan("150 900", "100 1100", "35 1205 60")
    found = forecast(watched_until(8.7 * HOUR_S, fired=slow))
    assert found.expected_s is not None
    assert found.if_plan_s is not None
    assert found.expected_s > found.if_plan_s + 1800.0


def test_nothing_is_forecast_before_the_kiln_climbs_and_after_a_fall() -> None:
    waiting = watched_until(60.0)
    assert all(cone.forecast is None for cone in waiting.status().cones)
    over = watched_until(1e9)
    assert target(over).forecast is None
    guard = over.status().cones[2]
    assert guard.role == "guard"
    assert guard.expected_in_s is None or guard.expected_in_s >= 0.0


def test_better_wire_and_witness_cones_make_the_interval_narrower() -> None:
    def width_s(settings: WatchSettings) -> float:
        found = forecast(watched_until(FALL_S - 0.35 * HOUR_S, settings=settings))
        assert found.earliest_s is not None
        assert found.expected_s is not None
        return found.expected_s - found.earliest_s

    standard = width_s(WatchSettings())
    special = width_s(WatchSettings(wires={"kiln": Wire(special=True)}))
    seen_s = width_s(WatchSettings(corrections={"kiln": Correction(0.0, 1.5)}))
    assert special < 0.85 * standard
    assert seen_s < 0.85 * standard


def test_a_correction_brings_cones_down_earlier_and_is_told() -> None:
    corrected = WatchSettings(corrections={"kiln": Correction(5.0, 2.0)})
    watch = watched_until(1e9, settings=corrected)
    status = watch.status()
    assert status.correction == Correction(5.0, 2.0)
    assert status.temp_c == watched_until(1e9).status().temp_c
    down_s = target(watch).down_at_s
    assert down_s is not None
    assert down_s < FALL_S - 300.0
    assert watch.progress().offset_c == 5.0


def test_a_correction_taken_up_late_counts_for_what_is_past() -> None:
    early = watched_until(
        FALL_S - HOUR_S, settings=WatchSettings(corrections={"kiln": Correction(-4.0, 2.0)})
    )
    late = watched_until(FALL_S - HOUR_S)
    late.correct("kiln", Correction(-4.0, 2.0))
    assert late.progress() == early.progress()
    assert forecast(late) == forecast(early)
    late.correct("kiln", None)
    assert late.progress() == watched_until(FALL_S - HOUR_S).progress()


def test_settings_are_kept_with_wires_and_corrections() -> None:
    settings = WatchSettings(
        wires={"top": Wire("S", special=True)}, corrections={"top": Correction(-3.5, 1.2)}
    )
    assert Kept.of_kept(settings.kept()) == settings
    old = {key: value for key, value in WatchSettings().kept().items() if key != "wires"}
    del old["corrections"]
    assert Kept.of_kept(old) == WatchSettings()


@pytest.mark.parametrize("hold_min", [8, 9, 10])
def test_a_cone_that_falls_in_the_first_of_the_cooling_is_expected(hold_min: int) -> None:
    schedule = plan(f"150 1222 {hold_min}", cone="6")
    watch = Watch(schedule, ("kiln",))
    events = []
    for reading in seen(cooled(as_planned(schedule), 4 * HOUR_S), rig=QUIET):
        events += watch.feed(reading)
    fate = [(e.kind, e.state) for e in events if e.data.get("cone") == "6"]
    assert fate == [
        (Kind.CONE_NEAR, State.RAISED),
        (Kind.CONE_NEAR, State.CLEARED),
        (Kind.CONE_DOWN, State.RAISED),
    ]
    assert target(watch).down_at_s is not None
    (near,) = [e for e in events if e.kind is Kind.CONE_NEAR and e.data["cone"] == "6"][:1]
    assert (target(watch).down_at_s or 0.0) - near.elapsed_s > 600.0


def test_a_cone_that_a_correction_brought_down_is_awaited_anew_when_that_is_withdrawn() -> None:
    watch = Watch(SCHEDULE, ("kiln",))
    events = []
    accepted = withdrawn = False
    for reading in seen(as_planned(SCHEDULE), rig=QUIET):
        if not accepted and reading.elapsed_s > FALL_S - 1500.0:
            accepted = True
            watch.correct("kiln", Correction(20.0, 2.0))
        if not withdrawn and reading.elapsed_s > FALL_S - 1200.0:
            withdrawn = True
            watch.correct("kiln", None)
        events += watch.feed(reading)
    fate = [(e.kind, e.state) for e in events if e.data.get("cone") == "6"]
    assert fate.count((Kind.CONE_DOWN, State.RAISED)) == 2
    assert fate.count((Kind.CONE_DOWN, State.CLEARED)) == 1
    assert fate[-1] == (Kind.CONE_DOWN, State.RAISED)
    assert target(watch).down_at_s == pytest.approx(FALL_S, abs=2.0)


def test_a_cone_found_down_long_ago_is_not_said_to_fall_now() -> None:
    watch = Watch(SCHEDULE, ("kiln",))
    events = []
    accepted = False
    for reading in seen(as_planned(SCHEDULE), rig=QUIET):
        if not accepted and reading.elapsed_s > FALL_S - 120.0:
            accepted = True
            watch.correct("kiln", Correction(12.0, 2.0))
        events += watch.feed(reading)
    (down,) = [e for e in events if e.kind is Kind.CONE_DOWN and e.data["cone"] == "6"]
    assert "should be down for" in down.message
    assert "corrected by +12 °C" in down.message
