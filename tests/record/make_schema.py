"""Makes ``supervisor/record/firing.schema.json``: ``python -m tests.record.make_schema``.

Facts, events and alerts are described from their own classes, field by field, so that the schema
can't say otherwise; the rest stands here. A field that is new makes ``test_json_schema`` fail
until the file is made anew.
"""

from __future__ import annotations

import json
import types
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from enum import Enum
from pathlib import Path
from typing import Any, Union, get_args, get_origin, get_type_hints

import supervisor.record.export
from supervisor.core.alerts import Alert
from supervisor.core.events import Event
from supervisor.core.readings import FaultCause
from supervisor.core.review import FiringFacts
from supervisor.record.rows import Mode

PATH = Path(supervisor.record.export.__file__).with_name("firing.schema.json")
Schema = dict[str, Any]

TEXT: Schema = {"type": "string"}
TEXT_OR_NULL: Schema = {"type": ["string", "null"]}
NUMBER: Schema = {"type": "number"}
ANYTHING: Schema = {"type": "object"}


def one_of(*names: str) -> Schema:
    return {"enum": list(names)}


def closed(properties: Mapping[str, Schema], optional: tuple[str, ...] = ()) -> Schema:
    """An object with these keys and no others."""
    return {
        "type": "object",
        "properties": dict(properties),
        "required": [name for name in properties if name not in optional],
        "additionalProperties": False,
    }


def many(items: Schema) -> Schema:
    return {"type": "array", "items": items}


class Described:
    """The schemas of classes, each once."""

    def __init__(self) -> None:
        self.definitions: dict[str, Schema] = {}

    def of(self, kind: Any) -> Schema:
        """The schema of a type as ``document_of`` writes its values."""
        plain = {float: "number", int: "integer", str: "string", bool: "boolean", None: "null"}
        if kind is type(None):
            return {"type": "null"}
        if kind in plain:
            return {"type": plain[kind]}
        if isinstance(kind, type) and issubclass(kind, Enum):
            return one_of(*(member.value for member in kind))
        if isinstance(kind, type) and is_dataclass(kind):
            return self._class(kind)
        origin, inside = get_origin(kind), get_args(kind)
        if origin in (Union, types.UnionType):
            return self._either([self.of(one) for one in inside])
        if origin is tuple:
            return many(self.of(inside[0]))
        assert origin is Mapping, kind
        return {"type": "object", "additionalProperties": self.of(inside[1])}

    @staticmethod
    def _either(schemas: list[Schema]) -> Schema:
        if all(set(schema) == {"type"} for schema in schemas):
            return {"type": [schema["type"] for schema in schemas]}
        return {"anyOf": schemas}

    def _class(self, kind: type) -> Schema:
        name = kind.__name__
        if name not in self.definitions:
            self.definitions[name] = {}
            hints = get_type_hints(kind)
            said = " ".join((kind.__doc__ or "").split())
            self.definitions[name] = {
                "description": said.replace("``", ""),
                **closed({one.name: self.of(hints[one.name]) for one in fields(kind)}),
            }
        return {"$ref": f"#/$defs/{name}"}


def schema() -> Schema:
    """The whole schema."""
    described = Described()
    facts = {"anyOf": [described.of(FiringFacts), {"type": "null"}]}
    event, alert = described.of(Event), described.of(Alert)
    offset = {
        "offset_c": NUMBER,
        "sigma_c": NUMBER,
        "observations": {"type": "integer"},
        "firings": {"type": "integer"},
    }
    label = {"by": TEXT_OR_NULL, "label": TEXT_OR_NULL}
    properties: dict[str, Schema] = {
        "format": {"const": "spyhole firing"},
        "version": {"const": supervisor.record.export.JSON_VERSION},
        "firing": closed(
            {
                "id": TEXT,
                "kiln": TEXT,
                "name": TEXT,
                "mode": one_of(*(mode.value for mode in Mode)),
                "is_open": {"type": "boolean"},
                "units": one_of("C", "F"),
                "started": TEXT_OR_NULL,
                "ended_at_s": {"type": ["number", "null"]},
                "ended": TEXT_OR_NULL,
            }
        ),
        "schedule_toml": TEXT_OR_NULL,
        "settings": ANYTHING,
        "channels": {**many(TEXT), "minItems": 1, "uniqueItems": True},
        "events": many(event),
        "alerts": many(alert),
        "notes": many(
            closed({"elapsed_s": NUMBER, "time": TEXT_OR_NULL, "by": TEXT_OR_NULL, "text": TEXT})
        ),
        "witness_cones": many(
            closed(
                {
                    "elapsed_s": NUMBER,
                    "time": TEXT_OR_NULL,
                    "cone": TEXT,
                    "clock": TEXT,
                    "channel": TEXT_OR_NULL,
                    "shelf": TEXT_OR_NULL,
                    "by": TEXT_OR_NULL,
                    "written": TEXT_OR_NULL,
                }
            )
        ),
        "accounts": many(closed({"topic": TEXT, "text": TEXT, **label})),
        "findings": many(
            closed(
                {
                    "key": TEXT,
                    "level": {"type": "integer"},
                    "place": TEXT,
                    "text": TEXT_OR_NULL,
                    **label,
                }
            )
        ),
        "photos": many(
            closed(
                {
                    "sha256": {"type": "string", "pattern": "^[0-9a-f]{64}$"},
                    "kind": TEXT,
                    "bytes": {"type": "integer"},
                    "width_px": {"type": "integer"},
                    "height_px": {"type": "integer"},
                    "caption": TEXT_OR_NULL,
                    **label,
                    "id": {"type": "integer"},
                }
            )
        ),
        "offsets": {
            "type": "object",
            "additionalProperties": closed({**offset, "accepted": TEXT_OR_NULL}),
        },
        "offset_changes": many(
            closed(
                {
                    "elapsed_s": {"type": ["number", "null"]},
                    "channel": TEXT,
                    "offset": {"anyOf": [closed(offset), {"type": "null"}]},
                    "at": TEXT_OR_NULL,
                }
            )
        ),
        "facts": facts,
        "readings": many(
            closed(
                {
                    "elapsed_s": NUMBER,
                    "time": TEXT_OR_NULL,
                    "temps_c": many({"type": ["number", "null"]}),
                    "faults": {
                        "type": "object",
                        "additionalProperties": one_of(*(cause.value for cause in FaultCause)),
                    },
                }
            )
        ),
    }
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "A firing, as `spyhole report FIRING --out FILE.json` writes it",
        "description": "Temperatures are °C, times seconds of the firing's own clock unless they "
        "are labels (ISO 8601), rates °C an hour. null is: not known.",
        **closed(properties, optional=("accounts", "findings", "photos")),
        "$defs": dict(sorted(described.definitions.items())),
    }


def text() -> str:
    """The file's text."""
    return json.dumps(schema(), ensure_ascii=False, indent=2) + "\n"


if __name__ == "__main__":
    PATH.write_text(text(), encoding="utf-8")
    print(PATH)
