"""``replay --set``: what would have been said otherwise, of logs and of firings of the record."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from supervisor.commands.what_if import differences, field_of, parse_changes, settable
from supervisor.core.events import Event, Kind, Severity, State, Value
from supervisor.core.units import Unit
from supervisor.core.watch import WatchSettings
from tests.commands.conftest import Spyhole

PLAN = ("--schedule", "midfire-glaze")


def said(minutes: float, kind: Kind, channel: str | None = None, **data: Value) -> Event:
    return Event(
        minutes * 60.0, kind, Severity.WARNING, State.RAISED, "Go and look.", channel, data=data
    )


def shown(before: list[Event], after: list[Event]) -> list[tuple[str, float | None]]:
    return [(one.mark, one.moved_s) for one in differences(before, after)]


def test_the_same_events_do_not_differ() -> None:
    events = [said(10, Kind.STALL), said(20, Kind.CONE_DOWN, cone="6")]
    assert shown(events, list(reversed(events))) == []
    assert shown(events, [said(10.4, Kind.STALL), events[1]]) == []


def test_lines_come_go_and_move() -> None:
    before = [said(10, Kind.STALL), said(30, Kind.UNEVEN)]
    after = [said(14, Kind.STALL), said(40, Kind.OVERSHOOT)]
    found = differences(before, after)
    assert [(one.mark, one.moved_s) for one in found] == [("~", 240.0), ("-", None), ("+", None)]
    assert found[0].line() == "~ 0:14 !  stall: Go and look. (4 min later)"
    assert differences(after, before)[0].line().endswith("(4 min sooner)")
    assert found[2].document()["what"] == "added"


def test_the_nearest_of_several_alerts_is_taken_for_the_same() -> None:
    before = [said(10, Kind.STALL), said(200, Kind.STALL)]
    assert shown(before, [said(205, Kind.STALL)]) == [("-", None), ("~", 300.0)]
    # A whole morning later it is another one.
    assert shown(before[:1], [said(600, Kind.STALL)]) == [("-", None), ("+", None)]


def test_another_channel_or_another_cone_is_another_alert() -> None:
    assert len(shown([said(1, Kind.SENSOR_FAULT, "a")], [said(1, Kind.SENSOR_FAULT, "b")])) == 2
    assert len(shown([said(1, Kind.CONE_DOWN, cone="5")], [said(1, Kind.CONE_DOWN, cone="6")])) == 2


def test_what_is_cleared_is_not_compared() -> None:
    over = Event(60.0, Kind.STALL, Severity.WARNING, State.CLEARED, "It climbs again.")
    assert shown([over], []) == []


def test_every_tolerance_of_the_configuration_can_be_set() -> None:
    assert {"overshoot", "lagging_min", "false_alarms_per_1000_h"} <= set(settable())
    for key in settable():
        value = "30"
        changes = parse_changes([f"{key}={value}"], "C")
        field = field_of(key)
        assert getattr(changes.on(WatchSettings()), field) in (30.0, 1800.0), key
        others = WatchSettings(lagging_s=7.0) if field != "lagging_s" else WatchSettings()
        kept = changes.on(others)
        assert kept.lagging_s == 7.0 or field == "lagging_s"


def test_a_temperature_is_in_the_scale_of_the_firing() -> None:
    for units, kelvins in ((Unit.C, 18.0), (Unit.F, 10.0)):
        changed = parse_changes(["overshoot = 18"], units.value).on(WatchSettings(units=units))
        assert changed.overshoot_c == pytest.approx(kelvins)
        assert changed.units is units


def test_the_kiln_may_be_told_too() -> None:
    changed = parse_changes(["kiln.kind=gas", "kiln.limit=1300"], "C").on(WatchSettings())
    assert (changed.kiln_kind, changed.limit_c) == ("gas", 1300.0)


def test_a_log_is_held_against_what_is_said_with_the_settings_as_they_are(
    spyhole: Spyhole, glaze_log: Path, tmp_path: Path
) -> None:
    found = spyhole("replay", glaze_log, *PLAN, "--set", "kiln.limit=1000", "--json")
    assert (found.code, found.err) == (0, "")
    (one,) = found.document
    assert (one["of"], one["set"]) == (glaze_log.name, "kiln.limit=1000")
    assert one["as_before"] > 5
    assert [(d["what"], d["event"]["kind"]) for d in one["differences"]] == [
        ("added", "over_limit")
    ]
    config = tmp_path / "spyhole.toml"
    config.write_text("[kiln]\nlimit = 1000\n")
    back = spyhole(
        "replay", glaze_log, *PLAN, "--config", config, "--set", "kiln.limit=1400", "--json"
    )
    assert [d["what"] for d in back.document[0]["differences"]] == ["gone"]


def test_an_alert_that_comes_sooner_is_told_with_its_minutes(
    spyhole: Spyhole, glaze_log: Path
) -> None:
    text = spyhole("replay", glaze_log, glaze_log, *PLAN, "--set", "cone_near_min=30")
    assert text.code == 0
    moved = re.findall(
        r"^  ~ \d+:\d\d +cone_near: .* \((\d+) min sooner\)$", text.out, re.MULTILINE
    )
    assert len(moved) >= 4
    assert all(5 <= int(minutes) <= 20 for minutes in moved)
    heading = f"{glaze_log.name}, with cone_near_min=30:"
    assert text.out.splitlines().count(heading) == 2


def test_a_firing_of_the_record_is_held_against_what_was_said_of_it(
    spyhole: Spyhole, glaze_log: Path, tmp_path: Path
) -> None:
    data = ("--data", tmp_path)
    firing = spyhole("log", "add", glaze_log, *PLAN, *data).out.strip()
    same = spyhole("replay", "--firing", firing, *data, "--set", "lagging_min=30")
    assert same.code == 0
    assert "0 more, 0 gone, 0 at another time" in same.out
    hot = spyhole("replay", "--firing", firing[:-1], *data, "--set", "kiln.limit=1000", "--json")
    (one,) = hot.document
    assert one["of"] == f"firing {firing}"
    assert [d["event"]["kind"] for d in one["differences"]] == ["over_limit"]


@pytest.mark.parametrize(
    ("setting", "why"),
    [
        ("overshoot", "give key=value"),
        ("=5", "give key=value"),
        ("overshoot=hot", "watch.overshoot"),
        ("overshoot=-1", "watch.overshoot"),
        ("gremlins=1", "unknown key"),
        ("mqtt.host=there", "give key=value"),
        ("schedule=bisque", "changes nothing"),
        ("overshoot=1\n[mqtt]", "give key=value"),
    ],
)
def test_what_can_not_be_set_is_refused_in_one_sentence(
    spyhole: Spyhole, stall_log: Path, setting: str, why: str
) -> None:
    found = spyhole("replay", stall_log, *PLAN, "--set", setting)
    assert (found.code, found.out) == (1, "")
    assert why in found.err
    assert len(found.err.splitlines()) == 1


def test_a_setting_given_twice_is_refused(spyhole: Spyhole, stall_log: Path) -> None:
    found = spyhole("replay", stall_log, *PLAN, "--set", "overshoot=5", "--set", "overshoot=6")
    assert found.code == 1
    assert "twice" in found.err


def test_what_does_not_go_together_is_said(spyhole: Spyhole, stall_log: Path) -> None:
    for words, code in (
        ((stall_log, stall_log, *PLAN), 2),
        (("--firing", "1"), 2),
        ((stall_log, "--set", "overshoot=5"), 2),
        ((), 2),
        (("--firing", "1", "--set", "overshoot=5"), 1),
        ((stall_log, *PLAN, "--set", "overshoot=5", "--page"), 1),
    ):
        found = spyhole("replay", *words)
        assert found.code == code, words
        assert "Traceback" not in found.err
