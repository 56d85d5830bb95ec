"""Facts, and what comes of them, read back from the JSON values of ``document_of``.

The types of the facts' own fields say how, so that a fact that is added is read back too.
"""

from __future__ import annotations

import math
import types
from collections.abc import Callable, Mapping
from dataclasses import fields, is_dataclass
from enum import Enum
from functools import cache
from typing import Any, TypeVar, Union, get_args, get_origin, get_type_hints

T = TypeVar("T")


def value_of(kind: type[T], document: Mapping[str, Any]) -> T:
    """The ``kind`` that ``document_of`` wrote as ``document``, but for its rounding.

    Raises KeyError, TypeError or ValueError for what it did not write, or wrote by the rules of
    another version.

    >>> from supervisor.core.review.facts import TimeAbove
    >>> value_of(TimeAbove, {"temp_c": 600.0, "time_s": 90.0})
    TimeAbove(temp_c=600.0, time_s=90.0)
    """
    read: Any = _reader
    found: T = read(kind)(document)
    return found


@cache
def _reader(kind: Any) -> Callable[[Any], Any]:
    """What makes a value of ``kind`` of a JSON value."""
    origin, inner = get_origin(kind), get_args(kind)
    if kind is float:
        return _number
    if origin in (Union, types.UnionType):
        wanted = [one for one in inner if one is not types.NoneType]
        # A value that may be one of several plain types is what JSON says it is.
        return _or_none(_reader(wanted[0])) if len(wanted) == 1 else _as_it_is
    if origin is tuple:
        each = _reader(inner[0])
        return lambda value: tuple(each(one) for one in value)
    if origin is Mapping:
        each = _reader(inner[1])
        return lambda value: {key: each(one) for key, one in value.items()}
    if isinstance(kind, type) and issubclass(kind, Enum):
        return kind
    if is_dataclass(kind):
        return _fields_of(kind)
    return _as_it_is


def _fields_of(kind: Any) -> Callable[[Any], Any]:
    hints = get_type_hints(kind)
    readers = [(one.name, _reader(hints[one.name])) for one in fields(kind)]
    return lambda value: kind(**{name: read(value[name]) for name, read in readers})


def _or_none(read: Callable[[Any], Any]) -> Callable[[Any], Any]:
    return lambda value: None if value is None else read(value)


def _number(value: Any) -> float:
    """JSON has no number for infinity; nothing in the facts is endless downwards."""
    return math.inf if value is None else float(value)


def _as_it_is(value: Any) -> Any:
    return value
