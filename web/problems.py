"""One JSON shape for whatever fails, with a sentence for a person in it.

Knows how errors become answers; decides nothing about what is an error.
"""

from __future__ import annotations

from typing import Any

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse
from starlette.exceptions import HTTPException

from supervisor.core.errors import InputError, SpyholeError
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


def answer(
    status: int, message: str, *, field: str | None = None, code: str | None = None
) -> JSONResponse:
    """The answer for an error of HTTP ``status``, with ``message`` as its one sentence."""
    problem = Problem(
        code=code or CODES.get(status, f"http_{status}"), message=message, field=field
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
        response = answer(error.status_code, WORDS.get(error.status_code, f"{error.detail}."))
        response.headers.update(error.headers or {})
        return response

    @app.exception_handler(RequestValidationError)
    async def on_invalid(_: Request, error: RequestValidationError) -> JSONResponse:
        first = error.errors()[0]
        field = ".".join(str(part) for part in first["loc"][1:]) or None
        if first["type"] == "json_invalid":
            return answer(422, "The body is not well-formed JSON.")
        name = f"“{field}”" if field else "The body"
        why = first["msg"].removeprefix("Value error, ")
        return answer(422, f"{name} does not fit: {why}.", field=field)

    @app.exception_handler(SpyholeError)
    async def on_spyhole(_: Request, error: SpyholeError) -> JSONResponse:
        if isinstance(error, _UNKNOWN):
            return answer(404, str(error))
        return answer(422 if isinstance(error, InputError) else 503, str(error))
