"""JSON Schemas of what is written, made from the classes that are written."""

from __future__ import annotations

import json
import types
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from enum import Enum
from typing import Any, Union, get_args, get_origin, get_type_hints

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


def whole(title: str, body: Schema, described: Described) -> Schema:
    """A schema for itself, with every class that it speaks of."""
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": title,
        "description": "Temperatures are °C, times seconds of the firing's own clock unless they "
        "are labels (ISO 8601), rates °C an hour. null is: not known.",
        **body,
        "$defs": dict(sorted(described.definitions.items())),
    }


def text_of(schema: Schema) -> str:
    """The text of a schema's file."""
    return json.dumps(schema, ensure_ascii=False, indent=2) + "\n"
