"""The shapes of what a person writes on the page, with units in every physical name.

Knows what fits at all; whether a cone or a channel is there is the desk's business.
"""

from __future__ import annotations

from typing import Annotated
from uuid import UUID

from pydantic import AfterValidator, Field, StringConstraints

from web.wire import Wire

NOTE_MAX_CHARS = 2000
"""Longest note that is taken, in characters."""
NAME_MAX_CHARS = 60
"""Longest name of a person who acknowledges or writes, in characters."""
PLACE_MAX_CHARS = 200
"""Longest name of a channel or a shelf that is taken, in characters."""


class UnprintableError(ValueError):
    """A text with signs that can't be seen."""


def _printable(text: str) -> str:
    # It stands in subjects of letters and on terminals, where other signs are commands.
    if not text.isprintable():
        raise UnprintableError("it has signs in it that can't be seen; give one line of plain text")
    return text


Name = Annotated[
    str,
    StringConstraints(strip_whitespace=True, min_length=1, max_length=NAME_MAX_CHARS),
    AfterValidator(_printable),
]


class AcknowledgeRequest(Wire):
    """A person has seen an alert."""

    by: Name | None = Field(default=None, description="Who, if they say so.", examples=["Ana"])


class NoteRequest(Wire):
    """A person writes something down."""

    text: Annotated[
        str, StringConstraints(strip_whitespace=True, min_length=1, max_length=NOTE_MAX_CHARS)
    ] = Field(
        description=f"Plain text, 1 to {NOTE_MAX_CHARS:,} characters.", examples=["Damper half in."]
    )
    by: Name | None = Field(default=None, description="Who, if they say so.", examples=["Ana"])
    client_id: UUID | None = Field(
        default=None,
        description="UUID that the sender makes for each note and keeps when it tries again: "
        "the same one again gives the note that was written then, and writes nothing.",
    )


Place = Annotated[
    str,
    StringConstraints(strip_whitespace=True, min_length=1, max_length=PLACE_MAX_CHARS),
    AfterValidator(_printable),
]


class LookRequest(Wire):
    """A person has looked at a real cone."""

    cone: Annotated[str, StringConstraints(max_length=20)] = Field(
        description='Which: "022" to "14", half cones as "05.5" and "5.5".', examples=["6"]
    )
    clock: Annotated[str, StringConstraints(max_length=40)] = Field(
        description="Its tip as the hand of a clock from 12 (upright) to 6 (touching the shelf), "
        '"3" or "3:30"; or "upright", "just touching", "touching". One that bends to the left is '
        "read as in a mirror.",
        examples=["3:30"],
    )
    channel: Place | None = Field(
        default=None,
        description="Channel beside which it stood; without it the look tells of no offset, but "
        "where there is one channel only.",
    )
    shelf: Place | None = Field(default=None, description="Where it stood, in your own words.")
    minutes_ago: float = Field(
        default=0.0, ge=0, le=100_000, description="How long ago, minutes of firing time."
    )
    by: Name | None = Field(default=None, description="Who, if they say so.", examples=["Ana"])
    client_id: UUID | None = Field(default=None, description="As in NoteRequest.")


class AcceptOffsetRequest(Wire):
    """A person wants the calculation of cones to follow what the real ones showed."""

    offset_c: float = Field(
        description="The estimate's `offset_c` that the person saw, degrees Celsius: another one "
        "than now is refused.",
        examples=[4.2],
    )


class BeginLogRequest(Wire):
    """A person wants the log to begin now."""

    after: Annotated[str, StringConstraints(min_length=1, max_length=PLACE_MAX_CHARS)] = Field(
        description="Id of the firing that the person saw, armed or closed; when another has "
        "begun since, nothing changes.",
        examples=["2026-11-25-b07f"],
    )
    by: Name | None = Field(default=None, description="Who, if they say so.", examples=["Ana"])


class EndLogRequest(Wire):
    """A person wants this firing's log to end now."""

    by: Name | None = Field(default=None, description="Who, if they say so.", examples=["Ana"])


class WithdrawRequest(Wire):
    """A person takes something back; nothing further is to be said: `{}`."""


class WithdrawNoteRequest(Wire):
    """A person takes a note back."""

    by: Name | None = Field(default=None, description="Who, if they say so.", examples=["Ana"])
