"""Scenario files: all that ship load, and every mistake gets one sentence."""

from __future__ import annotations

from pathlib import Path

import pytest

from simulator.faults import FaultKind
from simulator.operation import OperatorKind, Stage
from simulator.scenario import load_scenario, parse_scenario, scenario_names
from supervisor.core.errors import InputError
from supervisor.core.schedule import starter, starter_text

GOOD = """
title = "a test"
kiln = "studio-electric"
schedule = "bisque"
"""

SHIPPED = (
    "bottle-ices-up",
    "broken-probe",
    "clock-steps",
    "cold-bottom",
    "damper-left-open",
    "door-ajar",
    "healthy-bisque",
    "healthy-candled",
    "healthy-gas-by-hand",
    "healthy-highfire",
    "healthy-lowfire",
    "healthy-midfire",
    "healthy-one-probe",
    "healthy-slow-cool",
    "healthy-switches",
    "healthy-warm-and-late",
    "healthy-wood",
    "opened-hot",
    "phase-lost",
    "power-cut",
    "power-cut-for-good",
    "probe-slipped",
    "relay-welded-at-the-end",
    "relay-welded-in-hold",
    "shorted-probe",
    "shut-off-early",
    "silent-rig",
    "stall",
    "stuck-value",
    "swapped-leads",
    "tripped-breaker",
    "worn-elements",
)


def test_the_shipped_scenarios_are_there() -> None:
    assert scenario_names() == SHIPPED


@pytest.mark.parametrize("name", SHIPPED)
def test_a_shipped_scenario_loads(name: str) -> None:
    scenario = load_scenario(name)
    assert scenario.name == name
    assert scenario.title
    expected = ("kiln",) if name == "healthy-one-probe" else ("top", "middle", "bottom")
    assert scenario.channels == expected
    assert bool(scenario.faults) is not name.startswith("healthy")


def test_every_kind_of_fault_has_a_scenario() -> None:
    shown = {fault.kind for name in SHIPPED for fault in load_scenario(name).faults}
    assert shown == set(FaultKind)


def test_every_kind_of_operator_has_a_healthy_firing() -> None:
    shown = {load_scenario(name).operation.kind for name in SHIPPED if name.startswith("healthy")}
    assert shown == set(OperatorKind)


def test_every_starter_schedule_has_a_healthy_firing() -> None:
    healthy = [load_scenario(name) for name in SHIPPED if name.startswith("healthy")]
    assert len({scenario.schedule.name for scenario in healthy}) == 5
    high = load_scenario("healthy-highfire")
    assert high.kiln.kind == "gas"
    assert high.schedule == starter("highfire-reduction")


def test_what_is_left_out_has_its_default() -> None:
    scenario = parse_scenario(GOOD, "mine")
    assert scenario.duration_s is None
    assert scenario.faults == ()
    assert [sensor.lag_s for sensor in scenario.sensors] == [30.0, 30.0, 30.0]


def test_a_full_file_is_read_as_written() -> None:
    scenario = parse_scenario(
        GOOD
        + """
ambient_c = 5
start_delay_min = 30
hours = 2.5
seed = 77
[[sensor]]
channel = "spy"
zone = "bottom"
lag_s = 20
noise_c = 0.1
offset_c = -2
[[fault]]
kind = "open_thermocouple"
channel = "spy"
at_min = 10
for_min = 5
""",
        "mine",
    )
    assert scenario.ambient_c == 5.0
    assert scenario.start_delay_s == 1800.0
    assert scenario.duration_s == 9000.0
    assert scenario.seed == 77
    assert scenario.channels == ("spy",)
    assert scenario.sensors[0].offset_c == -2.0
    fault = scenario.faults[0]
    assert (fault.kind, fault.at_s, fault.lasts_s) == (FaultKind.OPEN_THERMOCOUPLE, 600.0, 300.0)


def test_a_file_says_who_works_the_kiln_and_when_a_fault_begins() -> None:
    scenario = parse_scenario(
        """
title = "a test"
kiln = "studio-gas"
schedule = "highfire-reduction"
start_c = 60
interval_s = 10
load = 0.8
began = "2026-03-28T21:10:00+01:00"
[operator]
kind = "burner"
visit_min = [20, 40]
offset_c = -3
reduce_at_c = 880
reduce_min = 45
reduce_rate = 0
candle_min = 480
candle_share = 0.02
pause_at_c = 600
pause_min = 15
skip_step = 2
[[fault]]
kind = "door_ajar"
stage = "last_hold"
after_min = 5
severity = 0.1
[[fault]]
kind = "fast_cooling"
below_c = 900
[[fault]]
kind = "clock_step"
at_min = 5
step_min = -60
""",
        "mine",
    )
    operation = scenario.operation
    assert operation.kind is OperatorKind.BURNER
    assert operation.visit_s == (1200.0, 2400.0)
    assert operation.reduction is not None
    assert operation.reduction.lasts_s == 2700.0
    assert (operation.candle_s, operation.candle_share) == (28_800.0, 0.02)
    assert (operation.pause_at_c, operation.pause_s, operation.skipped_step) == (600.0, 900.0, 1)
    assert (scenario.start_c, scenario.interval_s) == (60.0, 10.0)
    door, cooling, clock = scenario.faults
    assert (door.stage, door.after_s, door.severity) == (Stage.LAST_HOLD, 300.0, 0.1)
    assert cooling.below_c == 900.0
    assert clock.step_s == -3600.0
    assert scenario.kiln.middle.ware_kg == pytest.approx(0.8 * 34.0)


def test_another_seed_changes_nothing_else() -> None:
    scenario = load_scenario("stall")
    assert scenario.with_seed(5).with_seed(scenario.seed) == scenario
    assert scenario.with_seed(5).seed == 5


def test_a_file_finds_its_schedule_beside_it(tmp_path: Path) -> None:
    (tmp_path / "plan.toml").write_text(starter_text("lowfire-glaze"), encoding="utf-8")
    path = tmp_path / "mine.toml"
    path.write_text(GOOD.replace('"bisque"', '"plan.toml"'), encoding="utf-8")
    scenario = load_scenario(str(path))
    assert scenario.name == "mine"
    assert scenario.schedule == starter("lowfire-glaze")


FAULT = '[[fault]]\nkind = "{kind}"\n'

MISTAKES = [
    ("title = ", "not valid TOML"),
    (GOOD + "color = 3\n", "unknown key “color”; allowed are title, kiln"),
    (GOOD.replace('title = "a test"', ""), "`title` is missing"),
    (GOOD + "seed = -1\n", "seed = -1 does not fit"),
    (GOOD + 'seed = "1"\n', "seed = 1 does not fit"),
    (GOOD + "ambient_c = nan\n", "ambient_c = nan does not fit"),
    (GOOD + "seed = " + "9" * 5000, "not valid TOML"),
    (GOOD + "seed = 0x" + "f" * 5000, "seed = a very long number does not fit"),
    (GOOD + "hours = 0\n", "hours = 0 does not fit"),
    (GOOD + "sensor = 3\n", "sensor = 3 does not fit"),
    (GOOD.replace("studio-electric", "studio-steam"), "there is no kiln “studio-steam”"),
    (GOOD.replace('"bisque"', '"biscuit"'), "no starter schedule 'biscuit'"),
    (GOOD.replace('"bisque"', '"no/such.toml"'), "can't read the file"),
    (GOOD + '[[sensor]]\nchannel = "a"\nzone = "lid"\n', "sensor 1: zone = lid does not fit"),
    (GOOD + '[[sensor]]\nchannel = "A b"\nzone = "top"\n', "sensor 1: channel = A b does not"),
    (GOOD + '[[sensor]]\nchannel = "a"\nzone = "top"\n' * 2, "two sensors have the same channel"),
    (GOOD + FAULT.format(kind="flood") + "at_c = 5\n", "fault 1: kind = flood does not fit"),
    (GOOD + FAULT.format(kind="stall"), "fault 1: a fault begins either"),
    (GOOD + FAULT.format(kind="stall") + "at_c = 5\nat_min = 5\n", "give one of them"),
    (GOOD + FAULT.format(kind="stall") + "at_c = 5\nsize = 5\n", "fault 1: unknown key “size”"),
    (
        GOOD + FAULT.format(kind="power_cut") + "at_c = 5\nseverity = 0.5\n",
        "a power_cut has no `severity`; it belongs to stall",
    ),
    (GOOD + FAULT.format(kind="stall") + 'at_c = 5\nchannel = "top"\n', "belongs to a probe"),
    (
        GOOD + FAULT.format(kind="open_thermocouple") + 'at_c = 5\nchannel = "door"\n',
        "must name the probe concerned, one of top, middle, bottom",
    ),
    (GOOD + "began = 'yesterday'\n", "began = yesterday does not fit; it is a date and time"),
    (GOOD + "began = '2026-03-28T21:10:00'\n", "with its offset"),
    (GOOD + "load = 0\n", "load = 0 does not fit"),
    (GOOD + "[operator]\nkind = 'robot'\n", "operator: kind = robot does not fit; it is one of"),
    (GOOD + "[operator]\nspeed = 2\n", "operator: unknown key “speed”"),
    (GOOD + "[operator]\nkind = 'stoking'\n", "does not work the electric kiln"),
    (GOOD + "[operator]\nreduce_at_c = 880\n", "a controller does not reduce"),
    (GOOD + "[operator]\npause_min = 8\n", "give `pause_at_c` and `pause_min` together"),
    (GOOD + "[operator]\ncandle_min = 8\n", "give `candle_min` and `candle_share` together"),
    (GOOD + "[operator]\nskip_step = 9\n", "skip_step = 9 does not fit; the schedule has 5 steps"),
    (GOOD + "[operator]\nvisit_min = [40, 20]\n", "the shortest and the longest time"),
    (
        GOOD + FAULT.format(kind="stall") + "stage = 'lunch'\n",
        "fault 1: stage = lunch does not fit",
    ),
    (GOOD + FAULT.format(kind="stall") + "at_c = 5\nafter_min = 5\n", "counts from a `stage`"),
    (GOOD + FAULT.format(kind="gas_icing") + "at_c = 5\n", "does not befall the electric kiln"),
    (GOOD + FAULT.format(kind="stall") + "at_c = 5\nzone = 'top'\n", "a stall has no `zone`"),
    (GOOD + FAULT.format(kind="clock_step") + "at_c = 5\n", "a clock_step, which needs it"),
    (GOOD + FAULT.format(kind="stall") + "at_c = 5\nstep_min = 5\n", "belongs to a clock_step"),
]


@pytest.mark.parametrize(("text", "said"), MISTAKES)
def test_a_mistake_is_answered_with_file_and_key(text: str, said: str) -> None:
    with pytest.raises(InputError) as caught:
        parse_scenario(text, "mine")
    message = str(caught.value)
    assert said in message
    assert message.startswith("mine.toml")
    assert "\n" not in message
    # Seventeen kinds of fault are a long list.
    assert len(message) < 340


def test_an_unknown_name_is_answered_with_names_like_it() -> None:
    with pytest.raises(InputError, match="such as healthy-midfire, stall, power-cut"):
        load_scenario("zzz")
    with pytest.raises(InputError, match="such as door-ajar"):
        load_scenario("doors-ajar")


@pytest.mark.parametrize(
    ("name", "content", "said"),
    [
        ("missing.toml", None, "can't read the file"),
        ("binary.toml", b"\xff\xfe\x00\x01", "not a text file in UTF-8"),
        ("huge.toml", b"#" * 1_000_001, "larger than 1,000,000 bytes"),
        ("deep.toml", b"a = " + b"[" * 20_000, "not valid TOML"),
    ],
)
def test_a_file_that_cannot_be_used_is_one_sentence(
    tmp_path: Path, name: str, content: bytes | None, said: str
) -> None:
    path = tmp_path / name
    if content is not None:
        path.write_bytes(content)
    with pytest.raises(InputError, match=said) as caught:
        load_scenario(str(path))
    assert name in str(caught.value)
    assert "\n" not in str(caught.value)
