"""One JSON shape for whatever fails, with a sentence for a person in it.

Knows how errors become answers; decides nothing about what is an error.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse
from starlette.exceptions import HTTPException

from supervisor.core.errors import InputError, RecordError, SpyholeError
from supervisor.core.events import Value
from supervisor.core.reasons import Reason
from web.archive import NoSuchFiringError, NoSuchPhotoError
from web.following import UnknownKilnError
from web.interface import (
    UnknownAlertError,
    UnknownChannelError,
    UnknownFiringError,
    UnknownLookError,
    UnknownNoteError,
)
from web.models import ErrorAnswer, Problem
from web.plans import UnknownPlanError
from web.replay import UnknownReplayError
from web.requests import UnprintableError
from web.wire import Why, why_of

CODES = {
    400: "bad_request",
    401: "sign_in",
    403: "foreign_origin",
    404: "not_found",
    405: "method_not_allowed",
    413: "too_large",
    415: "not_json",
    422: "invalid",
    429: "too_soon",
    500: "bug",
    503: "unavailable",
}
"""The fixed word for programs, by HTTP status."""

_UNKNOWN = (
    NoSuchFiringError,
    NoSuchPhotoError,
    UnknownAlertError,
    UnknownChannelError,
    UnknownFiringError,
    UnknownKilnError,
    UnknownLookError,
    UnknownNoteError,
    UnknownPlanError,
    UnknownReplayError,
)

WORDS = {
    404: "There is nothing at this address.",
    405: "This address does not take that method.",
    500: "Something went wrong inside spyhole; its log has the details.",
}
REASONS = {404: Reason.NOTHING_HERE, 500: Reason.BUG}
_UNFIT = {
    "missing": Reason.MISSING,
    "string_too_short": Reason.EMPTY,
    "string_too_long": Reason.TOO_LONG,
    "float_parsing": Reason.NO_NUMBER,
    "float_type": Reason.NO_NUMBER,
    "finite_number": Reason.NO_NUMBER,
    "int_parsing": Reason.NO_NUMBER,
    "int_type": Reason.NO_NUMBER,
    "int_from_float": Reason.NO_NUMBER,
    "greater_than_equal": Reason.AT_LEAST,
    "less_than_equal": Reason.AT_MOST,
}
"""Pydantic's kinds of error of which a page has words; any other is merely unfit."""
_BOUNDS = {
    Reason.TOO_LONG: ("max_length", "most"),
    Reason.AT_LEAST: ("ge", "least"),
    Reason.AT_MOST: ("le", "most"),
}
"""Where Pydantic keeps what is allowed, and what it is called here."""


def answer(
    status: int,
    message: str,
    *,
    field: str | None = None,
    code: str | None = None,
    why: Why | Reason | None = None,
) -> JSONResponse:
    """The answer for an error of HTTP ``status``, with ``message`` as its one sentence.

    ``why`` is what that is made of, a reason alone where no figure is in it.
    """
    problem = Problem(
        code=code or CODES.get(status, f"http_{status}"),
        message=message,
        field=field,
        why=Why(reason=why) if isinstance(why, Reason) else why,
    )
    return JSONResponse(ErrorAnswer(error=problem).model_dump(), status_code=status)


def documented(*statuses: int) -> dict[int | str, dict[str, Any]]:
    """The ``responses`` of a route that may answer with these statuses.

    Every route may also meet 400 (a foreign host name) and 500.
    """
    about = {
        400: "The host name is not one that this page answers to, or the request is malformed.",
        401: "The PIN is asked for: sign in. Or it was the wrong one.",
        403: "The request comes from another site's page; or no PIN is set, and it does not come "
        "from the machine itself (`no_pin`).",
        404: "There is no such thing.",
        413: "The body is too large.",
        415: "The body is not application/json.",
        422: "A part of the request does not fit; `field` names it.",
        500: "A bug in spyhole.",
        429: "Too many wrong PINs: `Retry-After` says in how many seconds one is looked at.",
        503: "The record can't be written at the moment; or the PIN can't be read.",
    }
    return {
        status: {"model": ErrorAnswer, "description": about[status]}
        for status in sorted({400, 500, *statuses})
    }


def install(app: FastAPI) -> None:
    """Make ``app`` answer with the one shape whatever fails."""

    @app.exception_handler(HTTPException)
    async def on_http(_: Request, error: HTTPException) -> JSONResponse:
        status = error.status_code
        told = WORDS.get(status, f"{error.detail}.")
        response = answer(status, told, why=REASONS.get(status))
        response.headers.update(error.headers or {})
        return response

    @app.exception_handler(RequestValidationError)
    async def on_invalid(_: Request, error: RequestValidationError) -> JSONResponse:
        first = error.errors()[0]
        field = ".".join(str(part) for part in first["loc"][1:]) or None
        if first["type"] == "json_invalid":
            return answer(422, "The body is not well-formed JSON.")
        name = f"“{field}”" if field else "The body"
        said = first["msg"].removeprefix("Value error, ")
        why = _why_unfit(first, field)
        return answer(422, f"{name} does not fit: {said}.", field=field, why=why)

    @app.exception_handler(SpyholeError)
    async def on_spyhole(_: Request, error: SpyholeError) -> JSONResponse:
        why = why_of(error)
        if isinstance(error, _UNKNOWN):
            return answer(404, str(error), why=why)
        if why is None and isinstance(error, RecordError):
            why = Why(reason=Reason.DISK_REFUSES)
        return answer(422 if isinstance(error, InputError) else 503, str(error), why=why)


def _why_unfit(error: Mapping[str, Any], field: str | None) -> Why:
    """What Pydantic says of a part of the request, by its name and figures."""
    reason = _UNFIT.get(error["type"], Reason.UNFIT)
    if isinstance(error.get("ctx", {}).get("error"), UnprintableError):
        reason = Reason.UNPRINTABLE
    figures: dict[str, Value] = {"field": field or ""}
    if reason in _BOUNDS:
        theirs, ours = _BOUNDS[reason]
        figures[ours] = error["ctx"][theirs]
    return Why(reason=reason, figures=figures)
