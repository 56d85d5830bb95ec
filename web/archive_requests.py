"""The shapes of what is asked of past firings, and of what a person adds to one."""

from __future__ import annotations

from typing import Annotated
from uuid import UUID

from pydantic import Field, StringConstraints

from web.models import Mode
from web.requests import NAME_MAX_CHARS, NOTE_MAX_CHARS, PLACE_MAX_CHARS, Name, Place
from web.wire import Wire

PAGE_MOST = 200
SEARCH_MAX_CHARS = 200
ACCOUNT_MAX_CHARS = 4000
CAPTION_MAX_CHARS = 500
FINDINGS_MOST = 100
TOPIC = r"^[a-z0-9][a-z0-9_.-]{0,59}$"
DAY = r"^\d{4}-\d\d-\d\d$"
NUMBER_MOST = 2**53

Day = Annotated[str, StringConstraints(pattern=DAY)]
Key = Annotated[str, StringConstraints(pattern=TOPIC)]
ClientId = Annotated[
    UUID | None,
    Field(description="UUID that the sender makes and keeps when it tries again."),
]


class FiringQuery(Wire):
    """Which firings are wanted; what is left out matches all."""

    search: Annotated[str, StringConstraints(max_length=SEARCH_MAX_CHARS)] = Field(
        default="",
        description="Words, each of which is somewhere in the firing's name, kiln, plan, notes, "
        "accounts or findings.",
    )
    kiln: Annotated[str, StringConstraints(max_length=PLACE_MAX_CHARS)] | None = Field(
        default=None, description="The kiln's whole name."
    )
    since: Day | None = Field(default=None, description="First day on which it began, 2026-11-25.")
    until: Day | None = Field(default=None, description="Last day on which it began.")
    cone: Annotated[str, StringConstraints(max_length=20)] | None = Field(
        default=None, description="The hardest cone that is down by calculation."
    )
    mode: Mode | None = Field(default=None, description="live, simulation, or replay for a log.")
    offset: int = Field(default=0, ge=0, le=NUMBER_MOST, description="Firings to pass over.")
    limit: int = Field(default=50, ge=1, le=PAGE_MOST, description="Firings on a page.")


class PastNoteRequest(Wire):
    """A person writes something down about a firing."""

    text: Annotated[
        str, StringConstraints(strip_whitespace=True, min_length=1, max_length=NOTE_MAX_CHARS)
    ] = Field(description=f"Plain text, 1 to {NOTE_MAX_CHARS:,} characters.")
    elapsed_s: float | None = Field(
        default=None,
        ge=0,
        le=1e9,
        description="Of which moment of the firing; null: its end, or now while it goes on.",
    )
    by: Name | None = Field(default=None, description="Who, if they say so.")
    client_id: ClientId = None


class PastLookRequest(Wire):
    """What a real cone showed, read during the firing or out of the cold kiln."""

    cone: Annotated[str, StringConstraints(max_length=20)] = Field(
        description='Which: "022" to "14", half cones as "05.5" and "5.5".'
    )
    clock: Annotated[str, StringConstraints(max_length=40)] = Field(
        description="Its tip as the hand of a clock, as in LookRequest."
    )
    channel: Place | None = Field(default=None, description="Channel beside which it stood.")
    shelf: Place | None = Field(default=None, description="Where it stood, in your own words.")
    elapsed_s: float | None = Field(
        default=None,
        ge=0,
        le=1e9,
        description="When it was seen so, seconds of the firing; null: as it came out of the kiln.",
    )
    by: Name | None = Field(default=None, description="Who, if they say so.")
    client_id: ClientId = None


class AccountRequest(Wire):
    """A person tells of a firing: what was in it, which glazes, how it came out."""

    topic: Key = Field(description="load, glazes, result, or another short word.")
    text: Annotated[str, StringConstraints(max_length=ACCOUNT_MAX_CHARS)] = Field(
        description="Plain text; counts in place of the one before, and empty takes it back."
    )
    by: Name | None = Field(default=None, description="Who, if they say so.")
    client_id: ClientId = None


class FindingRequest(Wire):
    """One tick at unloading."""

    key: Key = Field(description="What was found.")
    level: int = Field(ge=0, le=10, description="How much of it; 0 takes it back.")
    place: Annotated[str, StringConstraints(strip_whitespace=True, max_length=PLACE_MAX_CHARS)] = (
        Field(default="", description="Where in the kiln; empty: the whole load.")
    )
    text: Annotated[str, StringConstraints(max_length=NOTE_MAX_CHARS)] | None = Field(
        default=None, description="A few words about it."
    )


class FindingsRequest(Wire):
    """What a person has found at unloading; others stay as they are."""

    findings: list[FindingRequest] = Field(
        max_length=FINDINGS_MOST, description="What was found, or is no more."
    )
    by: Name | None = Field(default=None, description="Who, if they say so.")


class PhotoRequest(Wire):
    """What is said of a photo; its bytes are the request's body."""

    caption: (
        Annotated[str, StringConstraints(strip_whitespace=True, max_length=CAPTION_MAX_CHARS)]
        | None
    ) = Field(default=None, description="What it shows.")
    by: (
        Annotated[str, StringConstraints(strip_whitespace=True, max_length=NAME_MAX_CHARS)] | None
    ) = Field(default=None, description="Who, if they say so.")
    client_id: ClientId = None
