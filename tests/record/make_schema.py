"""Makes ``supervisor/record/firing.schema.json``: ``python -m tests.record.make_schema``.

Facts, events and alerts are described from their own classes, field by field, so that the schema
can't say otherwise; the rest stands here. A field that is new makes ``test_json_schema`` fail
until the file is made anew.
"""

from __future__ import annotations

from pathlib import Path

import supervisor.record.export
from supervisor.core.alerts import Alert
from supervisor.core.events import Event
from supervisor.core.readings import FaultCause
from supervisor.core.review import FiringFacts
from supervisor.record.rows import Mode
from tests.describing import (
    ANYTHING,
    NUMBER,
    TEXT,
    TEXT_OR_NULL,
    Described,
    Schema,
    closed,
    many,
    one_of,
    text_of,
    whole,
)

PATH = Path(supervisor.record.export.__file__).with_name("firing.schema.json")


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
    note = {"elapsed_s": NUMBER, "time": TEXT_OR_NULL, "by": TEXT_OR_NULL, "text": TEXT}
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
        "notes": many(closed(note)),
        "withdrawn_notes": many(
            closed(
                {
                    **note,
                    "withdrawn_at_s": NUMBER,
                    "withdrawn_time": TEXT_OR_NULL,
                    "withdrawn_by": TEXT_OR_NULL,
                }
            )
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
    return whole(
        "A firing, as `spyhole report FIRING --out FILE.json` writes it",
        closed(properties, optional=("withdrawn_notes", "accounts", "findings", "photos")),
        described,
    )


def text() -> str:
    """The file's text."""
    return text_of(schema())


if __name__ == "__main__":
    PATH.write_text(text(), encoding="utf-8")
    print(PATH)
