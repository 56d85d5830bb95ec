"""A configuration written out for its owner: every key, what it is for, and its default.

Knows how ``spyhole.toml`` is spelled; where the answers come from is not its business. A key
that nobody has set stands there as a comment, ``#key = default``: taking the ``#`` away changes
nothing but lets the value be changed.
"""

from __future__ import annotations

import json
import textwrap
from collections.abc import Iterator
from typing import Any

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from supervisor.core.units import Unit, difference_from_c, from_c
from supervisor.core.watch import WatchSettings
from supervisor.service.config import TABLES, Config

_WIDTH = 96
_ABOUT = (
    "What spyhole watches, and with what. A line that begins with # is a comment. One such as "
    "`#port = 8017` names a key that is not set, with its default or an example: take the # away "
    "to set it. `spyhole watch` reads this file when it starts."
)
_ABOUT_TABLE = {
    "kiln": "The kiln.",
    "sensor": "One such table for each thermocouple. The first leads; the others stand in when it "
    "fails, and together they tell how even the kiln is.",
    "watch": "The plan, and what is worth a word.",
    "mqtt": "The broker that carries the messages. Without this table page and record work, and "
    "nothing is sent. One on another machine can still tell that this one has died.",
    "alerts": "When alerts are told again, when to others, and when not at night.",
    "notify": "Phones and mailboxes beside MQTT; needs Apprise: run ./task install-pi again, "
    'or pip install "apprise>=1.9". See '
    "whether it arrives with `spyhole notify --test`.",
    "page": "The page.",
    "record": "Where every firing is kept.",
}
_EXAMPLE_LIMIT_C = 1290.0


def config_text(config: Config) -> str:
    """``config`` as the text of a ``spyhole.toml``; parsing it gives ``config`` again.

    What was set when ``config`` was made is written as it is, all else as a comment.
    """
    lines = [
        *_prose(_ABOUT),
        "",
        *_key("units", Config.model_fields["units"], config.units, is_set=True, unit=config.unit),
    ]
    for name, model in TABLES.items():
        found = getattr(config, name)
        lines += ["", "", *_prose(_ABOUT_TABLE.get(name, name))]
        if name == "sensor":
            for place, sensor in enumerate(found):
                lines += ([""] if place else []) + list(
                    _table("[[sensor]]", model, sensor, config.unit, is_brief=place > 0)
                )
            if not found:
                lines += _table("[[sensor]]", model, None, config.unit)
        else:
            lines += _table(f"[{name}]", model, found, config.unit)
    return "\n".join(lines) + "\n"


def toml_text(text: str) -> str:
    """A string as a basic TOML string."""
    # A JSON string is one, but for DEL, which TOML wants escaped.
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def _table(
    head: str,
    model: type[BaseModel],
    table: BaseModel | None,
    unit: Unit,
    *,
    is_brief: bool = False,
) -> Iterator[str]:
    """A table's lines; one that is not there is a comment as a whole."""
    yield head if table is not None else f"#{head}"
    for name, field in model.model_fields.items():
        is_set = table is not None and name in table.model_fields_set
        value = None if table is None else getattr(table, name)
        if not is_brief:
            yield from _key(field.alias or name, field, value, is_set=is_set, unit=unit)
        elif is_set:
            yield f"{name} = {_value(value)}"


def _key(name: str, field: FieldInfo, value: Any, *, is_set: bool, unit: Unit) -> Iterator[str]:
    yield from _prose(field.description or name)
    if is_set and value is not None:
        yield f"{name} = {_value(value)}"
    else:
        yield f"#{name} = {_value(_default(name, field, unit))}"


def _default(name: str, field: FieldInfo, unit: Unit) -> Any:
    """What counts where nothing is said, or an example where that is nothing."""
    watch = WatchSettings()
    in_unit = {
        "overshoot": difference_from_c(watch.overshoot_c, unit),
        "uneven": difference_from_c(watch.uneven_c, unit),
        "open_below": from_c(watch.open_below_c, unit),
        "ambient": from_c(watch.ambient_c, unit),
        "limit": from_c(_EXAMPLE_LIMIT_C, unit),
    }
    if name in in_unit:
        return round(in_unit[name], 6)
    default = None if field.is_required() else field.get_default(call_default_factory=True)
    return (field.examples or [""])[0] if default is None else default


def _value(value: Any) -> str:
    if isinstance(value, str):
        return toml_text(value)
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, list):
        return f"[{', '.join(map(_value, value))}]"
    # A figure that is whole is written without its point, as a person would.
    return repr(int(value)) if value == int(value) else repr(value)


def _prose(text: str) -> Iterator[str]:
    for line in textwrap.wrap(text, _WIDTH, break_long_words=False):
        yield f"# {line}"
