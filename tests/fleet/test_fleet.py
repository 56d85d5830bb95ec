"""Whole trials, and the figures made of them."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest

from simulator.draw import draw_firing, healthy
from simulator.faults import FaultKind
from simulator.operation import OperatorKind
from simulator.run import simulate
from supervisor.commands.main import main
from supervisor.core.events import Event, Kind
from supervisor.core.schedule import parse_schedule
from supervisor.core.watch.detectors.heat_lost import HeatLost
from supervisor.core.watch.detectors.sensors import SensorFaults
from supervisor.fleet.course import GRID_S, Aim, LiveCourse, true_course
from supervisor.fleet.ideal import OFFSET_C
from supervisor.fleet.many import Fleet, run_fleet
from supervisor.fleet.plain import BEST, MEANS, PlainAlarm, PlainLimits, PlainWatcher, grid
from supervisor.fleet.seeds import is_held_out
from supervisor.fleet.table import page, wrongs
from supervisor.fleet.tally import best_of, quantile, tally
from supervisor.fleet.trial import Said, Trial, try_firing
from supervisor.fleet.wanted import Owed

CUTS = Fleet(2, start=30, healthy=False, kinds=(FaultKind.POWER_CUT,))
"""Seldom looked at, so that they are soon tried."""
BARE = Trial(1, None, "kiln", "controller", "plan", 10.0, 5.0, 1, 0.5)


def nothing(*_: object, **__: object) -> list[Event]:
    return []


def test_a_power_cut_is_found_and_not_by_a_watch_whose_alert_is_gone(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    found = [trial for trial in run_fleet(CUTS, jobs=1) if trial.owed is not None]
    assert found
    assert all(trial.found and trial.found.kind is Kind.HEAT_LOST for trial in found)
    monkeypatch.setattr(HeatLost, "feed", nothing)
    missed = [trial for trial in run_fleet(CUTS, jobs=1) if trial.owed is not None]
    assert [trial.owed for trial in missed] == [trial.owed for trial in found]
    assert all(trial.found is None for trial in missed)
    rates = [tally(trials, BEST).faults[0].watch.found for trials in (found, missed)]
    assert rates == [len(found), 0]


def test_a_probe_that_breaks_must_be_named(monkeypatch: pytest.MonkeyPatch) -> None:
    trial = try_firing(36, FaultKind.OPEN_THERMOCOUPLE)
    assert trial.found is not None
    assert trial.in_time
    broken = draw_firing(36, fault=FaultKind.OPEN_THERMOCOUPLE).faults[0]
    assert trial.found.channel == broken.channel
    monkeypatch.setattr(SensorFaults, "feed", nothing)
    assert try_firing(36, FaultKind.OPEN_THERMOCOUPLE).found is None


def test_a_kiln_whose_probe_slips_out_is_judged_by_how_it_would_go_on() -> None:
    # The slipped probe is the first, and falls to the shed; by the other the kiln is too hot, and
    # is lifted out at last.
    trial = try_firing(1671, FaultKind.SLIPPED_THERMOCOUPLE)
    assert trial.in_time
    assert {said.kind for said in trial.said} >= {Kind.OVERSHOOT, Kind.FAST_COOLING}
    assert all(said.is_so for said in trial.said)


def test_the_same_seeds_give_the_same_trials_on_any_number_of_cores() -> None:
    fleet = Fleet(2, start=16, kinds=())
    assert list(run_fleet(fleet, jobs=1)) == list(run_fleet(fleet, jobs=2))


def test_the_ideal_detector_finds_a_cut_when_the_courses_with_and_without_it_are_6_apart() -> None:
    trials = [trial for trial in run_fleet(CUTS, jobs=1) if trial.owed is not None]
    assert trials
    for trial in trials:
        scenario = draw_firing(trial.seed, fault=FaultKind.POWER_CUT)
        course, well = true_course(scenario), true_course(healthy(scenario))
        apart_s = next(
            n * GRID_S
            for n in range(min(len(course), len(well)))
            if any(
                abs(course.shown_c(n, m) - well.shown_c(n, m)) > 2.0 * OFFSET_C
                for m in range(trial.channels)
            )
        )
        assert trial.onset_s is not None
        assert trial.ideal_delay_s is not None
        delay_s = apart_s - trial.onset_s
        assert delay_s - GRID_S <= trial.ideal_delay_s <= delay_s + 90.0


def test_what_becomes_a_warning_before_it_is_due_is_found() -> None:
    """The same kind is taken back as information, and raised as a warning at that moment."""
    trial = try_firing(6159, FaultKind.PHASE_LOST)
    assert trial.found is not None
    assert (trial.found.kind, trial.in_time) == (Kind.LAGGING, True)


def test_a_step_of_the_wall_clock_changes_labels_and_nothing_else() -> None:
    trial = try_firing(52, FaultKind.CLOCK_STEP)
    assert trial.onset_s is not None
    assert trial.owed is None
    assert not trial.labels_matter


def test_a_live_course_is_the_true_one_and_its_readings_those_of_the_log() -> None:
    scenario = replace(draw_firing(6), duration_s=7200.0)
    live = LiveCourse(scenario)
    readings = list(live.readings())
    assert readings == list(simulate(scenario))
    truth = true_course(scenario)
    assert live.course.temps_c == truth.temps_c[: len(live.course)]
    assert abs(len(truth) - len(live.course)) <= 1
    assert {Aim.CLIMBING} <= set(truth.aims)


def test_without_noise_a_channel_would_show_what_it_shows_on_average() -> None:
    scenario = replace(draw_firing(7), duration_s=3600.0, interval_s=20.0)
    assert scenario.operation.kind is OperatorKind.CONTROLLER
    live = LiveCourse(scenario)
    offs_c = [reading.temps_c[scenario.channels[0]] or 0.0 for reading in live.readings()]
    shown_c = [live.course.shown_c(n, 0) for n in range(len(live.course))]
    count = min(len(offs_c), len(shown_c))
    mean_c = sum(a - b for a, b in zip(offs_c[:count], shown_c[:count], strict=True)) / count
    noise_c = scenario.sensors[0].noise_c + (scenario.sensors[0].resolution_c or 0.0)
    assert abs(mean_c) < 4.0 * noise_c / count**0.5


def owed_trial(delay_s: float | None, plain: tuple[PlainAlarm, ...] = ()) -> Trial:
    due = Owed("falls", 3600.0, 300.0, frozenset({Kind.HEAT_LOST}))
    found = None
    if delay_s is not None:
        found = Said(3600.0 + delay_s, Kind.HEAT_LOST, "It falls.", None, is_so=True)
    return replace(
        BARE,
        fault=FaultKind.POWER_CUT,
        onset_s=3600.0,
        owed=due,
        found=found,
        delay_s=delay_s,
        plain=plain,
    )


def test_what_comes_late_is_found_but_not_in_time() -> None:
    figures = tally([owed_trial(60.0), owed_trial(301.0), owed_trial(None)], BEST)
    (row,) = figures.faults
    assert (row.watch.owed, row.watch.found, row.watch.in_time) == (3, 2, 1)
    assert row.watch.median_s == pytest.approx(180.5)
    assert row.ideal is None
    said = wrongs([owed_trial(60.0), owed_trial(301.0), owed_trial(None)])
    assert [line.split()[0] for line in said] == ["LATE", "MISSED"]


def test_false_alarms_are_counted_by_the_hours_of_healthy_firings() -> None:
    alarm = Said(100.0, Kind.STALL, "It stands.", None, is_so=False)
    rightly = replace(alarm, is_so=True)
    figures = tally([replace(BARE, said=(alarm, alarm, rightly)), BARE], BEST)
    assert figures.healthy_h == 20.0
    (row,) = figures.alarms
    assert (row.kind, row.raised, row.false) == (Kind.STALL, 3, 2)
    assert "| stall | 3 | 1 | 2 | 100.00 | 0.3 |" in page(Fleet(2, kinds=()), figures, 1.0)
    assert [line.split()[:2] for line in wrongs([replace(BARE, said=(alarm, rightly))])] == [
        ["FALSE", "stall"],
        ["RIGHT", "stall"],
    ]


def test_the_page_says_which_seeds_it_stands_on() -> None:
    figures = tally([BARE], BEST)
    tuning = page(Fleet(4, start=10, kinds=()), figures, 1.0)
    final = page(Fleet(4, start=10, kinds=(), held_out=True), figures, 1.0)
    assert "Seeds 10 to 15, 4 of them, for tuning" in tuning
    assert "Seeds 11 to 20, 4 of them, held out" in final


def test_the_best_plain_limits_find_more_and_cry_wolf_less() -> None:
    finds = PlainAlarm(3700.0, "below", 25.0)
    cries = PlainAlarm(50.0, "below", 15.0)
    trials = [owed_trial(60.0, (finds, cries)), replace(BARE, plain=(cries,))]
    assert best_of(trials).off_plan_c == 25.0
    assert tally(trials, best_of(trials)).faults[0].plain.in_time == 1
    assert tally(trials, replace(BEST, off_plan_c=60.0)).faults[0].plain.found == 0


def test_the_plain_watcher_sees_a_kiln_that_falls_behind_its_plan() -> None:
    scenario = draw_firing(31, fault=FaultKind.POWER_CUT)
    plain = PlainWatcher(scenario)
    live = LiveCourse(scenario)
    for reading in live.readings():
        plain.feed(reading)
    onset_s = live.course.onset_s
    assert onset_s is not None
    after = [alarm for alarm in plain.alarms if alarm.at_s > onset_s]
    lows = [alarm.at_s for alarm in after if alarm.rule == "below"]
    # The wider the band, the later the alarm.
    assert lows == sorted(lows)
    assert {alarm.rule for alarm in after} <= set(MEANS)
    assert BEST in grid()
    assert (
        BEST.rules()
        == PlainLimits(BEST.off_plan_c, BEST.slow_min, BEST.fall_c_per_h, BEST.apart_c).rules()
    )


def test_quantiles_lie_straight_between_neighbours() -> None:
    assert quantile([1.0, 2.0, 3.0, 4.0], 0.95) == pytest.approx(3.85)
    assert quantile([7.0], 0.95) == 7.0


def test_the_command_writes_its_table_and_lists_what_went_wrong(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "fleet.md"
    words = ["fleet", "--firings", "1", "--seed-from", "36", "--fault", "frozen_thermocouple"]
    assert main([*words, "--jobs", "1", "--out", str(out), "--list"]) == 0
    assert out.read_text().startswith("# What the watch finds")
    assert "Seeds 36 to 36" in out.read_text()
    capsys.readouterr()
    assert main([*words, "--jobs", "1", "--hold-out", "--json"]) == 0
    document = json.loads(capsys.readouterr().out)
    assert document["seeds"] == {"first": 38, "last": 38, "count": 1, "held_out": True}
    assert is_held_out(document["seeds"]["first"])
    assert document["tried"] == {"frozen_thermocouple": 1}


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (["--healthy", "--faulty"], 1),
        (["--healthy", "--fault", "stall"], 1),
        (["--false-alarms", "1000"], 1),
        (["--fault", "gremlins"], 2),
        (["--firings", "0"], 2),
        (["--jobs", "none"], 2),
    ],
)
def test_what_can_not_be_tried_is_refused(
    words: list[str], code: int, capsys: pytest.CaptureFixture[str]
) -> None:
    try:
        found: object = main(["fleet", *words])
    except SystemExit as leaving:
        found = leaving.code
    assert found == code
    assert capsys.readouterr().err.count("Traceback") == 0


def test_simulate_makes_the_very_log_of_a_trial_and_its_plan(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    log, plan = tmp_path / "log.csv", tmp_path / "plan.toml"
    words = ["simulate", "--out", str(log), "--plan", str(plan), "--drawn", "31:power_cut"]
    assert main(words) == 0
    scenario = draw_firing(31, fault=FaultKind.POWER_CUT)
    schedule = parse_schedule(plan.read_text(), "plan.toml")
    assert len(schedule.steps) == len(scenario.schedule.steps)
    for written, meant in zip(schedule.steps, scenario.schedule.steps, strict=True):
        assert written.to_c == pytest.approx(meant.to_c)
    lines = log.read_text().splitlines()
    readings = list(simulate(scenario))
    assert len(lines) == len(readings) + 1
    assert float(lines[-1].split(",")[0]) == readings[-1].elapsed_s
    capsys.readouterr()
    for drawn in ("6:gremlins", "six", "-1", "6:"):
        assert main(["simulate", "--out", str(log), f"--drawn={drawn}"]) == 1
    assert main(["simulate", "stall", "--drawn", "6", "--out", str(log)]) == 1
    assert main(["simulate", "--drawn", "6", "--seed", "4", "--out", str(log)]) == 1
    assert main(["simulate", "--out", str(log)]) == 1


def test_a_healthy_trial_is_the_whole_firing_and_owes_nothing() -> None:
    scenario = draw_firing(16)
    trial = try_firing(16, None)
    last_s = max(reading.elapsed_s for reading in simulate(scenario))
    assert trial.hours * 3600.0 == pytest.approx(last_s)
    assert (trial.kiln, trial.operator) == (scenario.kiln.name, str(scenario.operation.kind))
    assert trial.owed is None
