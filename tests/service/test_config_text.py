"""What is written out for the owner parses with our own parser, and leaves no key unsaid."""

from __future__ import annotations

import re
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import BaseModel

from supervisor.core.units import Unit
from supervisor.core.watch import WatchSettings
from supervisor.service import config as tables
from supervisor.service.config import Config, parse_config
from supervisor.service.config_alerts import AlertsTable, NotifyTable
from supervisor.service.config_record import RecordTable
from supervisor.service.config_text import config_text, toml_text

TABLES: dict[str, type[BaseModel]] = {
    "kiln": tables.KilnTable,
    "sensor": tables.SensorTable,
    "watch": tables.WatchTable,
    "alerts": AlertsTable,
    "mqtt": tables.MqttTable,
    "notify": NotifyTable,
    "page": tables.PageTable,
    "record": RecordTable,
}

text = st.text(max_size=40).filter(lambda t: t.strip() != "")
word = text.map(lambda t: t.strip())


def figure(low: float, high: float) -> st.SearchStrategy[float]:
    return st.floats(low, high, allow_nan=False) | st.integers(int(low) + 1, int(high)).map(float)


SENSOR = st.fixed_dictionaries(
    {"channel": word, "chip_select": text},
    optional={
        "type": st.sampled_from("BEJKNRST"),
        "wire": st.sampled_from(["standard", "special"]),
        "offset": figure(-50, 50),
        "averaging": st.sampled_from([1, 2, 4, 8, 16]),
    },
)
WHOLE: st.SearchStrategy[dict[str, Any]] = st.fixed_dictionaries(
    {},
    optional={
        "units": st.sampled_from(["C", "F"]),
        "kiln": st.fixed_dictionaries(
            {},
            optional={
                "name": word,
                "kind": st.sampled_from(["electric", "gas", "wood"]),
                "limit": figure(1, 3000),
                "ambient": figure(-40, 140),
            },
        ),
        "sensor": st.lists(SENSOR, max_size=4),
        "watch": st.fixed_dictionaries(
            {},
            optional={
                "schedule": text,
                "interval_s": figure(0.2, 60),
                "mains_hz": st.sampled_from([50, 60]),
                "false_alarms_per_1000_h": figure(0.01, 100),
                "lagging_min": figure(0.1, 1440),
                "overshoot": figure(0.1, 200),
                "uneven": figure(0.1, 400),
                "cone_near_min": figure(0.1, 240),
                "no_readings_min": figure(0.5, 60),
                "open_below": figure(0.1, 400),
            },
        ),
        "alerts": st.fixed_dictionaries(
            {},
            optional={
                "remind_critical_min": figure(0, 1440),
                "remind_warning_min": figure(0, 1440),
                "escalate_min": figure(0, 1440),
                "quiet_from": st.times(),
                "quiet_to": st.times(),
            },
        ),
        "notify": st.fixed_dictionaries(
            {},
            optional={
                "urls": st.lists(text, max_size=3),
                "escalate_urls": st.lists(text, max_size=3),
                "from": st.sampled_from(["info", "warning", "critical"]),
            },
        ),
        "mqtt": st.fixed_dictionaries(
            {"host": word},
            optional={
                "port": st.integers(0, 65535),
                "user": text,
                "password": text,
                "password_file": text,
                "tls": st.booleans(),
                "ca_file": text,
                "cert_file": text,
                "key_file": text,
            },
        ),
        "page": st.fixed_dictionaries(
            {},
            optional={
                "host": word,
                "port": st.integers(0, 65535),
                "names": st.lists(word, max_size=3),
            },
        ),
        "record": st.fixed_dictionaries({}, optional={"data": text, "plans": text}),
    },
)


@given(WHOLE)
def test_whatever_is_set_comes_back_from_the_text(values: dict[str, Any]) -> None:
    config = Config.model_validate(values)
    assert parse_config(config_text(config), "written") == config


@given(st.text(max_size=60))
def test_a_string_comes_back_letter_for_letter(text: str) -> None:
    found = parse_config(f"[mqtt]\nhost = 'h'\nuser = {toml_text(text)}\n", "written")
    assert found.mqtt is not None
    assert found.mqtt.user == text


@pytest.mark.parametrize("units", ["C", "F"])
@pytest.mark.parametrize("sensors", [0, 1, 3])
def test_every_key_of_every_table_is_there_set_or_as_a_comment(units: str, sensors: int) -> None:
    config = Config.model_validate(
        {
            "units": units,
            "sensor": [
                {"channel": f"place {n}", "chip_select": f"D{n + 4}"} for n in range(sensors)
            ],
        }
    )
    written = config_text(config)
    for name, model in TABLES.items():
        section = re.split(rf"^#?\[+{name}\]+$", written, flags=re.MULTILINE)[1]
        section = re.split(r"^#?\[", section, flags=re.MULTILINE)[0]
        for field_name, field in model.model_fields.items():
            key = field.alias or field_name
            assert re.search(rf"^#?{key} = \S", section, re.MULTILINE), (name, key)
    assert set(TABLES) | {"units"} == set(Config.model_fields)


def test_every_key_is_explained_above_it() -> None:
    lines = config_text(Config()).splitlines()
    keys = [place for place, line in enumerate(lines) if re.match(r"#?[a-z_0-9]+ = ", line)]
    assert len(keys) == 1 + sum(len(model.model_fields) for model in TABLES.values())
    for place in keys:
        assert lines[place - 1].startswith("# "), lines[place]
        assert lines[place - 1].endswith((".", "16", "T.")), lines[place - 1]
    assert max(map(len, lines)) <= 100


@pytest.mark.parametrize("unit", list(Unit))
def test_taking_the_mark_of_a_default_away_changes_nothing(unit: Unit) -> None:
    """Where there is a default; the rest are examples of what may stand there."""
    config = Config.model_validate({"units": unit.value})
    bare = re.sub(r"^#(?=\S)", "", config_text(config), flags=re.MULTILINE)
    found = parse_config(bare, "written")
    for name, model in TABLES.items():
        if name in ("sensor", "mqtt"):
            continue
        for key, field in model.model_fields.items():
            if field.default is not None:
                assert getattr(getattr(found, name), key) == field.default, (name, key)
    said, default = found.watch_settings(), WatchSettings()
    assert said.overshoot_c == pytest.approx(default.overshoot_c)
    assert said.uneven_c == pytest.approx(default.uneven_c)
    assert said.open_below_c == pytest.approx(default.open_below_c)
    assert said.limit_c == pytest.approx(1290.0)
    assert found.sensor[0].type == "K"
    assert found.mqtt is not None
    assert (found.mqtt.host, found.mqtt.port) == ("localhost", 1883)
