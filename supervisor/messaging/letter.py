"""A message as a person gets it on a phone: a title, a text, and where the page is.

Knows the alert book's messages; knows no service that carries them.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from supervisor.core.alerts import Step
from supervisor.core.alerts.message import summary_title
from supervisor.core.alerts.sorts import RANK
from supervisor.core.events import Severity

_BEFORE_TITLE = {
    Step.REMINDED: "Still so: ",
    Step.ESCALATED: "Nobody answers: ",
    Step.CLEARED: "Over: ",
    Step.ACKNOWLEDGED: "Acknowledged: ",
}
_URGENT = "Urgent: "
_OVER = (Step.CLEARED, Step.ACKNOWLEDGED)

Message = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Letter:
    """What is sent. ``kind`` is one of Apprise's: info, success, warning, failure."""

    title: str
    body: str
    kind: str = "info"


def letter_of(payloads: Sequence[str], page_url: str | None) -> Letter:
    """One letter about all that waits; of each alert only the latest word.

    What is critical and still so comes first and names the letter, the rest as it happened. A
    channel that comes back after a night is not to ring for each hour of it.
    """
    latest: dict[str, Message] = {}
    for payload in payloads:
        message: Message = json.loads(payload)
        name = str(message["alert"] or message["id"])
        latest.pop(name, None)
        latest[name] = message
    messages = sorted(latest.values(), key=_is_urgent, reverse=True)
    first = messages[0]
    if len(messages) == 1:
        title = f"{first['kiln']}: {_title(first)}"
        body = _body(first)
    else:
        title = f"{first['kiln']}: {summary_title(len(messages))}"
        if _is_urgent(first):
            title = f"{first['kiln']}: {_title(first)}, and {len(messages) - 1} more"
        body = "\n\n".join(f"{_title(message)}\n{_body(message)}" for message in messages)
    if page_url is not None:
        body = f"{body}\n\n{page_url}"
    # A title is a header of a letter, where a line's end is the beginning of another header.
    return Letter(" ".join(title.split()), body, _kind(messages))


def is_critical(payload: str) -> bool:
    """Whether a message tells of a critical alert, or of what has become of one."""
    message: Message = json.loads(payload)
    return bool(message["severity"] == Severity.CRITICAL)


def trial_letter(kiln: str, page_url: str | None = None) -> Letter:
    """What is sent to see whether it arrives."""
    body = "This is a test. If you read it, spyhole's alerts reach you here."
    return Letter(f"{kiln}: a test", body if page_url is None else f"{body}\n\n{page_url}")


def _title(message: Message) -> str:
    step = Step(message["state"])
    if step is Step.RAISED and message["severity"] == Severity.CRITICAL:
        return f"{_URGENT}{message['title']}"
    return f"{_BEFORE_TITLE.get(step, '')}{message['title']}"


def _body(message: Message) -> str:
    text = str(message["message"])
    if message["state"] == Step.ACKNOWLEDGED:
        text = f"{message['by']} has acknowledged this: {text}"
    time = message["time"]
    if message["state"] == Step.SUMMARY or not isinstance(time, str) or len(time) < 16:
        return text
    return f"{text} ({time[11:16]})"


def _is_urgent(message: Message) -> bool:
    return message["severity"] == Severity.CRITICAL and message["state"] not in _OVER


def _kind(messages: Sequence[Message]) -> str:
    standing = [Severity(m["severity"]) for m in messages if m["state"] not in _OVER]
    if not standing:
        return "success"
    worst = max(standing, key=RANK.__getitem__)
    return {Severity.CRITICAL: "failure", Severity.WARNING: "warning"}.get(worst, "info")
