"""Scenario files: all that ship load, and every mistake gets one sentence."""

from __future__ import annotations

from pathlib import Path

import pytest

from simulator.faults import FaultKind
from simulator.scenario import load_scenario, parse_scenario, scenario_names
from supervisor.core.errors import InputError
from supervisor.core.schedule import starter, starter_text

GOOD = """
title = "a test"
kiln = "studio-electric"
schedule = "bisque"
"""

SHIPPED = (
    "broken-probe",
    "healthy-bisque",
    "healthy-highfire",
    "healthy-lowfire",
    "healthy-midfire",
    "healthy-slow-cool",
    "power-cut",
    "power-cut-for-good",
    "stall",
    "tripped-breaker",
)


def test_the_shipped_scenarios_are_there() -> None:
    assert scenario_names() == SHIPPED


@pytest.mark.parametrize("name", SHIPPED)
def test_a_shipped_scenario_loads(name: str) -> None:
    scenario = load_scenario(name)
    assert scenario.name == name
    assert scenario.channels == ("top", "middle", "bottom")
    assert bool(scenario.faults) is not name.startswith("healthy")


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
    (GOOD + FAULT.format(kind="stall") + "at_c = 5\nat_min = 5\n", "give one of the two"),
    (GOOD + FAULT.format(kind="stall") + "at_c = 5\nsize = 5\n", "fault 1: unknown key “size”"),
    (GOOD + FAULT.format(kind="power_cut") + "at_c = 5\nseverity = 0.5\n", "belongs to a stall"),
    (GOOD + FAULT.format(kind="stall") + 'at_c = 5\nchannel = "top"\n', "belongs to a probe"),
    (
        GOOD + FAULT.format(kind="open_thermocouple") + 'at_c = 5\nchannel = "door"\n',
        "must name the probe that breaks, one of top, middle, bottom",
    ),
]


@pytest.mark.parametrize(("text", "said"), MISTAKES)
def test_a_mistake_is_answered_with_file_and_key(text: str, said: str) -> None:
    with pytest.raises(InputError) as caught:
        parse_scenario(text, "mine")
    message = str(caught.value)
    assert said in message
    assert message.startswith("mine.toml")
    assert "\n" not in message
    assert len(message) < 300


def test_an_unknown_name_is_answered_with_those_there_are() -> None:
    with pytest.raises(InputError, match="one of broken-probe, healthy-bisque"):
        load_scenario("meteorite")


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
