"""A warning in a firing in which nothing is broken is right only where the truth bears it out."""

from __future__ import annotations

from simulator.faults import FaultKind
from supervisor.core.events import Event, Kind, Severity, State, Value
from supervisor.fleet.course import Aim
from supervisor.fleet.judge import is_so
from tests.fleet.courses import course, made_up, planned_aim, planned_c

HOUR_S = 3600.0


def said(kind: Kind, hour: float, channel: str | None = None, **data: Value) -> Event:
    return Event(hour * HOUR_S, kind, Severity.WARNING, State.RAISED, "Said.", channel, data=data)


WELL = course(made_up(None), planned_c, 14.0, aim=planned_aim)


def test_nothing_is_so_of_a_kiln_on_its_plan() -> None:
    for event in (
        said(Kind.STALL, 5.0),
        said(Kind.HEAT_LOST, 5.0),
        said(Kind.HEAT_STUCK_ON, 10.5),
        said(Kind.OVERSHOOT, 10.0, top_c=1000.0),
        said(Kind.FAST_HEATING, 5.0, band="quartz turns", fastest_c_per_h=150.0),
        said(Kind.UNEVEN, 5.0, allowed_c=40.0),
        said(Kind.SENSOR_FAULT, 5.0, "probe0", cause="open"),
        said(Kind.NO_READINGS, 5.0),
        said(Kind.LAGGING, 5.0, to_c=1000.0),
        said(Kind.COOL_TO_OPEN, 5.0),
    ):
        assert not is_so(event, WELL), event.kind


def test_a_stall_is_so_where_a_controller_stands_paused() -> None:
    paused = course(made_up(None), lambda h: planned_c(h if h < 5.0 else max(5.0, h - 0.5)), 8.0)
    assert is_so(said(Kind.STALL, 5.3), paused)
    assert is_so(said(Kind.STALL, 5.08), paused)
    assert not is_so(said(Kind.STALL, 4.7), paused)
    assert not is_so(said(Kind.STALL, 6.5), paused)


def test_heat_is_lost_where_the_kiln_has_fallen_though_somebody_heats() -> None:
    falls = course(
        made_up(None), lambda h: planned_c(h) if h < 5.0 else 520.0 - 60.0 * (h - 5.0), 8.0
    )
    assert is_so(said(Kind.HEAT_LOST, 5.3), falls)
    assert not is_so(said(Kind.HEAT_LOST, 5.05), falls)
    ended = course(made_up(None), lambda h: 500.0 - 60.0 * h, 2.0, aim=lambda h: Aim.FINISHED)
    assert is_so(said(Kind.HEAT_LOST, 1.0), ended), "a firing that ended at half its height"
    looked = course(made_up(None), lambda h: planned_c(h) - (10.0 if 5.0 < h < 5.02 else 0.0), 8.0)
    assert not is_so(said(Kind.HEAT_LOST, 5.01), looked), "a plug that was out"
    let_be = course(made_up(None), lambda h: 990.0 - 60.0 * h, 2.0, aim=lambda h: Aim.FINISHED)
    assert not is_so(said(Kind.HEAT_LOST, 1.0), let_be)


def test_too_fast_is_so_only_above_the_rate_that_was_named() -> None:
    for fastest, right in ((80.0, True), (99.0, True), (101.0, False)):
        event = said(Kind.FAST_HEATING, 5.0, band="quartz turns", fastest_c_per_h=fastest)
        assert is_so(event, WELL) is right
    # Figures that are whole are figures.
    whole = said(Kind.FAST_HEATING, 5.0, band="quartz turns", fastest_c_per_h=80)
    assert is_so(whole, WELL)
    # A kiln that nobody has opened does not fall faster than a shut one.
    assert not is_so(said(Kind.FAST_COOLING, 5.0, band=None, fastest_c_per_h=1.0), WELL)


def test_an_overshoot_is_so_where_the_probe_without_noise_shows_it() -> None:
    for above_c, right in ((11.0, True), (9.0, False)):
        over = course(
            made_up(None),
            lambda h, above_c=above_c: planned_c(h) + (above_c if h > 10.0 else 0.0),  # type: ignore[misc]
            11.0,
            aim=planned_aim,
        )
        assert is_so(said(Kind.OVERSHOOT, 10.5, top_c=1000.0), over) is right


def test_a_zone_is_left_behind_while_the_others_leave_it_and_it_does_not_come_back() -> None:
    def left_c(hour: float) -> tuple[float, ...]:
        return planned_c(hour), planned_c(min(hour, 5.0)) + 80.0 * max(hour - 5.3, 0.0)

    left = course(made_up(None, channels=2), left_c, 8.0)

    def is_left(hour: float, cold: str) -> bool:
        event = said(Kind.UNEVEN, hour, cold=cold, left_c=25.0, allowed_c=60.0)
        return is_so(event, left)

    assert is_left(5.25, "probe1")
    assert not is_left(5.25, "probe0")
    assert not is_left(4.9, "probe1")
    assert not is_left(6.0, "probe1")


def test_a_sensor_fault_is_so_of_the_channel_that_has_one_and_from_then_on() -> None:
    scenario = made_up(FaultKind.OPEN_THERMOCOUPLE, channels=2, channel="probe1")
    broken = course(scenario, lambda h: (planned_c(h),) * 2, 8.0, onset_s=3.0 * HOUR_S)
    assert is_so(said(Kind.SENSOR_FAULT, 3.1, "probe1"), broken)
    assert not is_so(said(Kind.SENSOR_FAULT, 3.1, "probe0"), broken)
    assert not is_so(said(Kind.SENSOR_FAULT, 2.9, "probe1"), broken)
    assert not is_so(said(Kind.NO_READINGS, 3.1), broken)


def test_a_warning_of_a_climb_that_dies_away_is_so_if_it_never_arrives() -> None:
    dies = course(made_up(None), lambda h: min(planned_c(h), 900.0), 12.0)
    assert is_so(said(Kind.LAGGING, 10.0, to_c=1000.0), dies)
