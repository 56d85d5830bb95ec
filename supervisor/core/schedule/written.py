"""A schedule written as TOML, so that reading it gives the same schedule. Knows no files."""

from __future__ import annotations

import json
from collections.abc import Sequence

from supervisor.core.schedule.model import BandChange, Schedule, Step
from supervisor.core.units import Unit, difference_from_c, from_c

_DIGITS = 9


def schedule_toml(schedule: Schedule, comments: Sequence[str] = ()) -> str:
    """The text of ``schedule`` in its own units; ``comments`` stand at its head, a line each.

    >>> from supervisor.core.schedule.parse import parse_schedule
    >>> plan = Schedule("a “test”", (Step(1000.0, 100.0, 600.0),), Unit.F)
    >>> parse_schedule(schedule_toml(plan, ["as fired"])) == plan
    True
    """
    unit = schedule.units
    lines = [f"# {_plain(comment)}".rstrip() for comment in comments]
    lines += [
        f"name = {toml_string(schedule.name)}",
        f'units = "{unit.value}"',
        f'kind = "{schedule.kind.value}"',
        f'atmosphere = "{schedule.atmosphere.value}"',
    ]
    if schedule.target_cone is not None:
        lines.append(f'target_cone = "{schedule.target_cone}"')
    for step in schedule.steps:
        lines += ["", *_step(step, unit)]
    for band in schedule.bands:
        lines += ["", *_band(band, unit)]
    return "\n".join(lines) + "\n"


def _step(step: Step, unit: Unit) -> list[str]:
    lines = ["[[step]]"]
    if step.rate_c_per_h is not None:
        lines.append(f"rate = {_number(difference_from_c(step.rate_c_per_h, unit))}")
    lines.append(f"to = {_number(from_c(step.to_c, unit))}")
    if step.hold_s:
        lines.append(f"hold_min = {_number(step.hold_s / 60.0)}")
    if step.note:
        lines.append(f"note = {toml_string(step.note)}")
    return lines


def _band(band: BandChange, unit: Unit) -> list[str]:
    lines = ["[[band]]", f"name = {toml_string(band.name)}"]
    if band.is_left_out:
        return [*lines, "leave_out = true"]
    if band.from_c is not None and band.to_c is not None:
        lines.append(f"from = {_number(from_c(band.from_c, unit))}")
        lines.append(f"to = {_number(from_c(band.to_c, unit))}")
    if band.at_any_rate:
        lines.append('fastest = "any"')
    elif band.fastest_c_per_h is not None:
        lines.append(f"fastest = {_number(difference_from_c(band.fastest_c_per_h, unit))}")
    if band.why:
        lines.append(f"why = {toml_string(band.why)}")
    return lines


def toml_string(text: str) -> str:
    """``text`` as a basic string of TOML, which escapes as JSON does, and U+007F as well.

    >>> print(toml_string('say "so"'))
    "say \\"so\\""
    """
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def _plain(comment: str) -> str:
    """A comment on one line, without control characters, which TOML refuses there."""
    return "".join(c if c.isprintable() else " " for c in comment)


def _number(value: float) -> str:
    value = round(value, _DIGITS)
    return repr(int(value)) if value == int(value) else repr(value)
