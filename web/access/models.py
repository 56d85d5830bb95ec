"""The shapes of signing in and out, and of the trail."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field, SecretStr, StrictBool

from web.access.access import PinState, Reading
from web.access.pin import LONGEST
from web.requests import Name
from web.wire import Wire

DEEDS_MOST = 500
"""Most deeds in one answer."""


class SignInRequest(Wire):
    """A person has the PIN, and says who they are."""

    pin: Annotated[SecretStr, Field(min_length=1, max_length=4 * LONGEST)] = Field(
        description="The PIN.", examples=["581093"]
    )
    name: Name = Field(
        description="Who signs in: with this name they sign what they write.", examples=["Ana"]
    )


class SignOutRequest(Wire):
    """A person signs out."""

    everywhere: StrictBool = Field(
        default=False,
        description="Whether everybody is signed out, on every phone.",
        examples=[True],
    )


class SessionState(Wire):
    """Who asks, and what they may."""

    reading: Reading = Field(description="Who may read: everybody (open), or with the PIN.")
    pin: PinState = Field(description="Whether a PIN is set, and whether spyhole can read it.")
    pin_is_digits: bool = Field(description="Whether digits are enough to type the PIN.")
    signed_in: bool = Field(description="Whether this visitor's session goes on.")
    name: str | None = Field(description="The name given at sign-in.")
    may_read: bool = Field(description="Whether this visitor may read.")
    may_write: bool = Field(description="Whether this visitor may write.")
    left_s: float | None = Field(description="Seconds until the session ends.")
    how_to_set: str | None = Field(
        description="The command that sets the PIN on the machine; null while one is set."
    )


class AuditEntry(Wire):
    """Somebody did something."""

    number: int = Field(description="Grows with each.")
    time: str = Field(description="Wall-clock label, ISO 8601 with offset.")
    who: str | None = Field(
        description="The name given at sign-in, or with the request; null: none was given."
    )
    what: str = Field(
        description="The write, which its `operationId` ends with; or sign_in, wrong_pin (then "
        "the name is only what somebody claimed), sign_out, sign_out_everywhere, pin_set, "
        "pin_removed.",
        examples=["acknowledge"],
    )
    detail: dict[str, str] = Field(description="To what, by the parameters of the path.")
    address: str = Field(description='Network address that it came from; "terminal".')
    firing: str | None = Field(description="The firing that went on.")


class Audit(Wire):
    """Who did what, newest first."""

    entries: list[AuditEntry] = Field(max_length=DEEDS_MOST, description="Newest first.")
