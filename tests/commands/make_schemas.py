"""Makes the schemas of what is said with ``--json``: ``python -m tests.commands.make_schemas``.

``supervisor/commands/<command>.schema.json`` for compare, repeat, trends and unload. Whatever is
written from a class is described from that class; a field that is new makes ``test_json_schema``
fail until the files are made anew.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import get_type_hints

import supervisor.commands
from supervisor.core.compare import Align
from supervisor.core.compare.so_far import SoFar
from supervisor.core.compare.subject import Part
from supervisor.core.defects import Traced
from supervisor.core.refit import Refit, Suggestion
from supervisor.core.review import FiringFacts
from supervisor.core.schedule.model import Step
from supervisor.core.trends import FiringPoint, Trend
from supervisor.core.units import Unit
from tests.describing import (
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

NUMBER_OR_NULL: Schema = {"type": ["number", "null"]}
YES_OR_NO: Schema = {"type": "boolean"}
SENTENCES = many(TEXT)


def compare() -> Schema:
    """``spyhole compare A B --json``."""
    described, facts = Described(), get_type_hints(FiringFacts)
    by_cone = {"type": "object", "additionalProperties": NUMBER}
    subject: dict[str, Schema] = {
        "name": TEXT,
        "label": TEXT,
        "is_plan": YES_OR_NO,
        "goes_on": YES_OR_NO,
        "cone": TEXT_OR_NULL,
        "place": NUMBER_OR_NULL,
        "peak": described.of(facts["peak"]),
        "cooling": described.of(facts["cooling"]),
        "work": closed({part.value: by_cone for part in Part}),
    }
    difference = closed(
        {
            "what": TEXT,
            "unit": one_of("c", "s", "c_per_h", "cones", ""),
            "reference": NUMBER_OR_NULL,
            "other": NUMBER_OR_NULL,
            "by": NUMBER_OR_NULL,
            "weight": NUMBER,
            "is_alike": YES_OR_NO,
            "parts": by_cone,
        }
    )
    parted = {"anyOf": [_parting("s", "c"), _parting("c", "s")]}
    compared = closed(
        {
            **subject,
            "so_far": many(described.of(SoFar)),
            "parted": many(parted),
            "differences": many(difference),
            "sentences": SENTENCES,
        }
    )
    body = closed(
        {
            "align": one_of(*(align.value for align in Align)),
            "from_c": NUMBER,
            "reference": closed(subject),
            "compared": many(compared),
        }
    )
    return whole("What `spyhole compare A B --json` prints", body, described)


def _parting(axis: str, unit: str) -> Schema:
    """Aligned by time or from the peak seconds and °C; by temperature °C and seconds."""
    return closed(
        {
            f"at_{axis}": NUMBER,
            f"until_{axis}": NUMBER_OR_NULL,
            f"by_{unit}": NUMBER,
            f"worst_at_{axis}": NUMBER,
            f"beyond_{unit}": NUMBER,
        }
    )


def trends() -> Schema:
    """``spyhole trends --json``."""
    described = Described()
    point = described.of(FiringPoint)
    described.of(Trend)
    trend = described.definitions.pop("Trend")
    # So few firings set no bound to a slope, and no number of JSON says so.
    described.definitions["Line"]["properties"] |= {"low": NUMBER_OR_NULL, "high": NUMBER_OR_NULL}
    said = closed({unit.value: SENTENCES for unit in Unit})
    with_words = {
        "description": trend["description"],
        **closed({**trend["properties"], "said": said}),
    }
    kiln = closed({"kiln": TEXT, "firings": many(point), "trends": many(with_words)})
    body = closed({"kilns": many(kiln)})
    return whole("What `spyhole trends --json` prints", body, described)


def unload() -> Schema:
    """``spyhole unload FIRING --json``."""
    described = Described()
    body = closed({"firing": TEXT, "defects": many(described.of(Traced))})
    return whole("What `spyhole unload FIRING --json` prints", body, described)


def repeat() -> Schema:
    """``spyhole repeat FIRING --json``."""
    described, fitted = Described(), get_type_hints(Refit)
    heatwork = closed(
        {
            "firing": NUMBER_OR_NULL,
            "plan": NUMBER_OR_NULL,
            "cones_apart": NUMBER_OR_NULL,
            "within_a_tenth": YES_OR_NO,
            "hold_added_s": described.of(fitted["hold_added_s"]),
        }
    )
    body = closed(
        {
            "firing": TEXT,
            "out": TEXT_OR_NULL,
            "toml": TEXT,
            "name": TEXT,
            "target_cone": TEXT_OR_NULL,
            "steps": many(described.of(Step)),
            "start_c": NUMBER,
            "within_c": NUMBER,
            "off_c": NUMBER,
            "off_at_s": described.of(fitted["off_at_s"]),
            "heatwork": heatwork,
            "left_out": described.of(fitted["left_out"]),
            "suggestions": many(described.of(Suggestion)),
        }
    )
    return whole("What `spyhole repeat FIRING --json` prints", body, described)


SCHEMAS: dict[str, Callable[[], Schema]] = {
    one.__name__: one for one in (compare, repeat, trends, unload)
}


def path_of(command: str) -> Path:
    """Where the schema of a command lies."""
    return Path(supervisor.commands.__file__).with_name(f"{command}.schema.json")


if __name__ == "__main__":
    for command, make in SCHEMAS.items():
        path_of(command).write_text(text_of(make()), encoding="utf-8")
        print(path_of(command))
