"""A draft from the page's form: what does not fit in it, and the schedule and text that it is.

Knows the form's figures as typed and the keys of a schedule file. What is allowed is the schedule
parser's business: a draft is put to it again and again, each time without the part that it has
complained of, until it has nothing more to say.
"""

from __future__ import annotations

import copy
import re
import tomllib
from typing import Any

from supervisor.core.errors import InputError
from supervisor.core.schedule import Schedule, parse_schedule
from supervisor.core.schedule.parse import read_schedule
from supervisor.core.schedule.written import schedule_toml
from supervisor.core.toml_places import Path
from supervisor.core.toml_reader import MistakeError
from web.plans import DraftStep, PlanDraft, PlanMistake
from web.wire import why_shape

MOST_MISTAKES = 30
_POINT = re.compile(r"^[+-]?\d+(\.\d*)?$")
_COMMA = re.compile(r"^[+-]?\d+,\d{1,2}$")
"""Three digits after a comma are thousands to one reader and thousandths to another."""
_DECIMALS = 6
_KEY = re.compile(r"^\w+ = ")
_HERE = {
    "leave `rate` out for as fast as the kiln goes": "leave it empty for as fast as the kiln goes",
    "the direction follows from `to`": "up or down follows from where it leads",
    "this step has no `to`, the temperature it goes to": "give the temperature that it goes to",
}
"""What the parser says of a file, as it is said of a form."""
_HARMLESS: dict[str, Any] = {"name": "-", "to": 100.0, "step": [{"to": 100.0}]}
"""What stands in for a part that may not be left out."""


def document_of(draft: PlanDraft) -> dict[str, Any]:
    """The draft under the keys of a schedule file, in the order in which they are written."""
    document: dict[str, Any] = {
        "name": " ".join(draft.name.split()),
        "units": draft.units.value,
        "kind": draft.kind,
        "atmosphere": draft.atmosphere,
    }
    if draft.target_cone is not None and draft.target_cone.strip():
        document["target_cone"] = draft.target_cone.strip()
    document["step"] = [_step(step) for step in draft.steps]
    if draft.bands:
        document["band"] = [dict(band) for band in draft.bands]
    return document


def _step(step: DraftStep) -> dict[str, Any]:
    table = {
        key: figure
        for key, typed in (("rate", step.rate), ("to", step.to), ("hold_min", step.hold_min))
        if (figure := figure_of(typed)) is not None
    }
    if table.get("hold_min") == 0.0:
        del table["hold_min"]
    note = " ".join(step.note.split())
    return table | ({"note": note} if note else {})


def figure_of(typed: float | str | None) -> float | str | None:
    """A figure as typed: a number, None for nothing, or the text that is none.

    >>> figure_of(" 12,5 "), figure_of("600"), figure_of(""), figure_of("1,250"), figure_of("ten")
    (12.5, 600, None, '1,250', 'ten')
    """
    if typed is None:
        return None
    text = str(typed).strip().replace("\N{MINUS SIGN}", "-")
    if not text:
        return None
    if not _POINT.match(text) and not _COMMA.match(text):
        return text
    figure = round(float(text.replace(",", ".")), _DECIMALS)
    return int(figure) if figure.is_integer() else figure


def read_draft(draft: PlanDraft) -> tuple[Schedule | None, str, list[PlanMistake]]:
    """The schedule of ``draft`` with its text, or None, "" and its mistakes, in the form's order.

    The text is read again before it is given out: it says the same.
    """
    document = document_of(draft)
    mistakes: list[MistakeError] = []
    tried = copy.deepcopy(document)
    while len(mistakes) < MOST_MISTAKES:
        try:
            schedule = read_schedule(tried)
        except MistakeError as error:
            mistakes.append(error)
            _make_harmless(tried, error.path)
        else:
            if mistakes:
                break
            text = schedule_toml(schedule)
            if parse_schedule(text) != schedule:
                raise InputError("this plan can't be written as a file that says the same")
            return schedule, text, []
    mistakes.sort(key=lambda mistake: _place(mistake.path))
    return (
        None,
        "",
        [
            PlanMistake(field=_field(one.path), message=_said(one.what), why=why_shape(one.why))
            for one in mistakes
        ],
    )


def draft_of(text: str, schedule: Schedule) -> PlanDraft:
    """A schedule file as a draft, its figures as its writer wrote them."""
    data = tomllib.loads(text.replace("\r\n", "\n"))
    return PlanDraft(
        name=schedule.name,
        units=schedule.units,
        kind=schedule.kind.value,
        atmosphere=schedule.atmosphere.value,
        target_cone=schedule.target_cone,
        steps=[DraftStep(**step) for step in data["step"]],
        bands=data.get("band", []),
    )


def _make_harmless(document: dict[str, Any], path: Path) -> None:
    """Take away, or make good, what the parser complained of at ``path``."""
    if path and path[0] == "band":
        if len(path) > 1:
            # One of its own, so that the others keep their places.
            document["band"][path[1]] = {"name": f"-{path[1]}", "from": 100.0, "to": 200.0}
        else:
            del document["band"]
        return
    holder: Any = document
    for part in path[:-1]:
        holder = holder[part]
    if not path:
        document["name"] = _HARMLESS["name"]
    elif isinstance(path[-1], int):
        holder[path[-1]]["to"] = _HARMLESS["to"]
    elif path[-1] in _HARMLESS:
        holder[path[-1]] = copy.deepcopy(_HARMLESS[path[-1]])
    else:
        holder.pop(path[-1], None)


def _field(path: Path) -> str:
    """The part of the form that a path leads to."""
    if not path:
        return "name"
    if path[0] == "band":
        return ".".join(map(str, path[:2]))
    if path[0] == "step" and len(path) == 2:
        return f"step.{path[1]}.to"
    return ".".join(map(str, path))


def _place(path: Path) -> tuple[int, int]:
    order = ("name", "kind", "atmosphere", "target_cone", "step", "band")
    first = path[0] if path else "name"
    number = path[1] if len(path) > 1 and isinstance(path[1], int) else -1
    return (order.index(first) if first in order else 0, number)


def _said(what: str) -> str:
    """The parser's words as a sentence that stands beside its field.

    >>> _said("hold_min = -3 is not allowed; give 0 to 10080 minutes")
    '-3 is not allowed; give 0 to 10080 minutes.'
    """
    said = _KEY.sub("", what)
    for word, here in _HERE.items():
        said = said.replace(word, here)
    return f"{said[0].upper()}{said[1:]}{'' if said.endswith('.') else '.'}"
