"""What home-automation hubs are told, so that they show a kiln without being set up.

By the convention of MQTT discovery: one retained message for each thing to see, on
``<prefix>/<component>/<node>/<object>/config``, that says where its value stands and how it is
taken out of the status that is published anyway. Each has a topic of its own, though hubs of
late years also take a whole device in one message: that way every hub understands it, each
message is small, and a thing is taken back by an empty message.

Only things to look at (``sensor``, ``binary_sensor``): there is nothing here that a hub could
switch, and no topic on which it could ask. Knows names and units; publishes nothing itself.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from hashlib import sha256

from supervisor.core.errors import InputError
from supervisor.core.events import Severity
from supervisor.core.units import Unit
from supervisor.core.watch.moves import Activity
from supervisor.messaging.topics import OFFLINE, ONLINE, PREFIX, Topics, slug

EXPIRE_S = 180
"""A value is not shown any longer than this without being repeated; it is repeated each minute."""

_ID = re.compile(r"[A-Za-z0-9_-]+")
"""What the convention allows as node and object in a topic."""

_NO_ALERT = "none"


@dataclass(frozen=True, slots=True)
class Discovery:
    """Makes the messages of one kiln."""

    prefix: str
    kiln: str
    channels: tuple[str, ...]
    units: Unit
    version: str

    def messages(self, name: str, topics: Topics) -> dict[str, str]:
        """The messages, by their topics, of the kiln that goes by ``name`` at the broker."""
        node = f"{PREFIX}_{_id(name)}"
        shared: dict[str, object] = {
            "device": {
                "identifiers": [node],
                "name": self.kiln,
                "model": "kiln watch (reads only)",
                "manufacturer": PREFIX,
                "sw_version": self.version,
            },
            "origin": {"name": PREFIX, "sw_version": self.version},
            "qos": 1,
        }
        found = {}
        for component, key, own in self._things(topics):
            message = {"unique_id": f"{node}_{key}", **own, **shared}
            topic = f"{self.prefix}/{component}/{node}/{key}/config"
            found[topic] = json.dumps(message, ensure_ascii=False, allow_nan=False)
        return found

    def _things(self, topics: Topics) -> Iterator[tuple[str, str, Mapping[str, object]]]:
        """Component, object and the message's own fields of each thing to see."""
        from_status = {
            "state_topic": topics.status,
            "availability_topic": topics.availability,
            "payload_available": ONLINE,
            "payload_not_available": OFFLINE,
            "expire_after": EXPIRE_S,
        }
        temperature = {
            **from_status,
            "device_class": "temperature",
            "state_class": "measurement",
            "unit_of_measurement": f"°{self.units.value}",
            "suggested_display_precision": 0,
        }
        yield (
            "sensor",
            "temperature",
            {**temperature, "name": "Temperature", "value_template": self._degrees("temp_c")},
        )
        yield (
            "sensor",
            "plan",
            {**temperature, "name": "Plan", "value_template": self._degrees("target_c")},
        )
        for channel in self.channels:
            where = f"channels[{json.dumps(channel)}]"
            yield (
                "sensor",
                f"channel_{_id(channel)}",
                {
                    **temperature,
                    "name": f"Temperature {channel}",
                    "value_template": self._degrees(f"{where}.temp_c"),
                },
            )
            yield (
                "binary_sensor",
                f"fault_{_id(channel)}",
                {
                    **from_status,
                    "name": f"Fault {channel}",
                    "device_class": "problem",
                    "entity_category": "diagnostic",
                    "value_template": f"{{{{ 'ON' if value_json.{where}.fault else 'OFF' }}}}",
                },
            )
        yield (
            "sensor",
            "rate",
            {
                **from_status,
                "name": "Rate",
                "state_class": "measurement",
                "unit_of_measurement": f"°{self.units.value}/h",
                "suggested_display_precision": 0,
                "value_template": self._degrees("rate_c_per_h", is_difference=True),
            },
        )
        yield (
            "sensor",
            "late",
            {
                **from_status,
                "name": "Behind plan",
                "device_class": "duration",
                "state_class": "measurement",
                "unit_of_measurement": "min",
                "suggested_display_precision": 0,
                "value_template": _known("late_s", "(it / 60) | round(1)"),
            },
        )
        yield (
            "sensor",
            "activity",
            {
                **from_status,
                "name": "Activity",
                "device_class": "enum",
                "options": [activity.value for activity in Activity],
                "value_template": "{{ value_json.activity }}",
            },
        )
        yield (
            "sensor",
            "sentence",
            {
                **from_status,
                "name": "In words",
                # A hub shows no state longer than 255 characters.
                "value_template": "{{ value_json.sentence[:255] }}",
            },
        )
        yield from _cone(from_status)
        yield from _alerts(from_status)
        yield (
            "binary_sensor",
            "connected",
            {
                "name": "Watching",
                "device_class": "connectivity",
                "entity_category": "diagnostic",
                "state_topic": topics.availability,
                "payload_on": ONLINE,
                "payload_off": OFFLINE,
            },
        )

    def _degrees(self, key: str, *, is_difference: bool = False) -> str:
        if self.units is Unit.C:
            return _known(key, "it")
        return _known(
            key, "(it * 1.8) | round(1)" if is_difference else "(it * 1.8 + 32) | round(1)"
        )


def _cone(
    from_status: Mapping[str, object],
) -> Iterator[tuple[str, str, Mapping[str, object]]]:
    """The plan's target cone; what is calculated says so in its name."""
    yield (
        "sensor",
        "cone",
        {
            **from_status,
            "name": "Target cone, calculated",
            "state_class": "measurement",
            "unit_of_measurement": "%",
            "suggested_display_precision": 0,
            "value_template": _known("target_cone", "([it.work, 1] | min * 100) | round(0)"),
            "json_attributes_topic": from_status["state_topic"],
            "json_attributes_template": "{{ (value_json.target_cone or {}) | tojson }}",
        },
    )
    yield (
        "sensor",
        "cone_expected",
        {
            **from_status,
            "name": "Target cone expected",
            "device_class": "timestamp",
            "value_template": _known("target_cone", "it.expected_time"),
        },
    )


def _alerts(
    from_status: Mapping[str, object],
) -> Iterator[tuple[str, str, Mapping[str, object]]]:
    worst = "value_json.worst_alert"
    yield (
        "sensor",
        "worst_alert",
        {
            **from_status,
            "name": "Worst alert",
            "device_class": "enum",
            "options": [_NO_ALERT, *(severity.value for severity in Severity)],
            "value_template": f"{{{{ {worst}.severity if {worst} else '{_NO_ALERT}' }}}}",
            "json_attributes_topic": from_status["state_topic"],
            "json_attributes_template": f"{{{{ ({worst} or {{}}) | tojson }}}}",
        },
    )
    grave = f"{worst} and {worst}.severity != '{Severity.INFO.value}'"
    yield (
        "binary_sensor",
        "alert",
        {
            **from_status,
            "name": "Alert",
            "device_class": "problem",
            "value_template": f"{{{{ 'ON' if {grave} else 'OFF' }}}}",
        },
    )


def _known(key: str, made: str) -> str:
    """A template: ``made`` of the value ``it``; None, which a hub shows as unknown, of none."""
    return f"{{% set it = value_json.{key} %}}{{{{ None if it is none else {made} }}}}"


def _id(name: str) -> str:
    """The name in an id, with a mark made from it where that is not the name itself."""
    try:
        made = slug(name)
    except InputError:
        made = ""
    if made == name and _ID.fullmatch(made):
        return made
    plain = re.sub(r"[^A-Za-z0-9_-]+", "", made).strip("-")
    mark = sha256(name.encode("utf-8", "surrogatepass")).hexdigest()[:6]
    return f"{plain}-{mark}" if plain else mark
