"""A schedule as TOML again: what the record keeps when there was no file to keep."""

from __future__ import annotations

from supervisor.core.schedule import Schedule
from supervisor.core.units import difference_from_c, from_c
from supervisor.service.config_text import toml_text


def schedule_toml(schedule: Schedule) -> str:
    """The text of ``schedule`` in its own units; parsing it gives the same schedule."""
    unit = schedule.units
    lines = [
        f"name = {toml_text(schedule.name)}",
        f'units = "{unit.value}"',
        f'kind = "{schedule.kind.value}"',
        f'atmosphere = "{schedule.atmosphere.value}"',
    ]
    if schedule.target_cone is not None:
        lines.append(f'target_cone = "{schedule.target_cone}"')
    for step in schedule.steps:
        lines += ["", "[[step]]"]
        if step.rate_c_per_h is not None:
            lines.append(f"rate = {_number(difference_from_c(step.rate_c_per_h, unit))}")
        lines.append(f"to = {_number(from_c(step.to_c, unit))}")
        if step.hold_s:
            lines.append(f"hold_min = {_number(step.hold_s / 60.0)}")
        if step.note:
            lines.append(f"note = {toml_text(step.note)}")
    return "\n".join(lines) + "\n"


def _number(value: float) -> str:
    value = round(value, 9)
    return repr(int(value)) if value == int(value) else repr(value)
