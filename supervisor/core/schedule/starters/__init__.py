"""Five schedules to begin with, packaged as TOML files beside this module.

They are our own, for ordinary studio kilns; the clay's and the glaze's maker and the kiln's
own handbook come first.
"""

from __future__ import annotations

from functools import cache
from importlib.resources import files

from supervisor.core.errors import InputError
from supervisor.core.schedule.model import Schedule
from supervisor.core.schedule.parse import parse_schedule

_NAMES = ("bisque", "lowfire-glaze", "midfire-glaze", "midfire-slow-cool", "highfire-reduction")


def starter_names() -> tuple[str, ...]:
    """Names by which the starter schedules are asked for."""
    return _NAMES


def starter_text(name: str) -> str:
    """The TOML text of the starter ``name``; raises InputError when there is none."""
    if name not in _NAMES:
        raise InputError(f"there is no starter schedule {name!r}; there are {', '.join(_NAMES)}")
    return files(__package__).joinpath(f"{name}.toml").read_text(encoding="utf-8")


@cache
def starter(name: str) -> Schedule:
    """The starter schedule ``name``; raises InputError when there is none."""
    return parse_schedule(starter_text(name), f"{name}.toml")
