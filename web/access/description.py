"""What the description of the interface (OpenAPI) says of access, for every route alike.

Knows which answers guard and gate may give before a route is asked, and adds them, so that no
route has to name them and a new one is described rightly from its first day.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from fastapi import FastAPI

from web.access.access import Access, Reading
from web.access.gate import (
    OPEN_BELOW,
    OPEN_PATHS,
    OWN_HEADER,
    PRIVATE_PATHS,
    SIGN_PATHS,
    is_write,
)
from web.problems import documented

SESSION = "session"
_SCHEME = {
    "type": "apiKey",
    "in": "cookie",
    "name": "spyhole-8017",
    "description": "The cookie that `POST /api/session/begin` sets, named after the port (by "
    "HTTPS with `__Host-` before it). Until a PIN is set, the machine itself needs none.",
}
_OWN = {
    "name": OWN_HEADER,
    "in": "header",
    "required": False,
    "schema": {"type": "string"},
    "description": "Needed with the session's cookie: no other site's page can send it.",
}
_HEADERS = {
    "401": {
        "WWW-Authenticate": {
            "schema": {"type": "string"},
            "description": "Names no scheme that a browser would ask for by itself.",
        }
    },
    "429": {
        "Retry-After": {
            "schema": {"type": "integer", "minimum": 1},
            "description": "Seconds until the next PIN is looked at.",
        }
    },
}


def describe_access(app: FastAPI, access: Access) -> None:
    """Let the description of ``app`` tell who may what."""
    plain = app.openapi

    def openapi() -> dict[str, Any]:
        is_new = app.openapi_schema is None
        description = plain()
        if is_new:
            _complete(description, access)
        return description

    app.openapi = openapi  # type: ignore[method-assign]


def _complete(description: dict[str, Any], access: Access) -> None:
    schemes = description.setdefault("components", {}).setdefault("securitySchemes", {})
    schemes[SESSION] = _SCHEME
    for path, method, operation in _operations(description):
        writes = is_write(method, path)
        is_open = path in (SIGN_PATHS if writes else OPEN_PATHS) or path.startswith(OPEN_BELOW)
        if not is_open:
            _may_answer(operation, 401, 403, 503)
            if writes or path in PRIVATE_PATHS or access.reading is Reading.PIN:
                operation["security"] = [{SESSION: []}]
        elif path.startswith("/api/"):
            _may_answer(operation, 403)
        if writes:
            operation.setdefault("parameters", []).append(_OWN)
        for status, headers in _HEADERS.items():
            if status in operation["responses"]:
                operation["responses"][status]["headers"] = headers


def _operations(description: dict[str, Any]) -> Iterator[tuple[str, str, dict[str, Any]]]:
    for path, methods in description["paths"].items():
        for method, operation in methods.items():
            yield path, method.upper(), operation


def _may_answer(operation: dict[str, Any], *statuses: int) -> None:
    for status in statuses:
        about = documented(status)[status]["description"]
        operation["responses"].setdefault(
            str(status),
            {
                "description": about,
                "content": {
                    "application/json": {"schema": {"$ref": "#/components/schemas/ErrorAnswer"}}
                },
            },
        )
    operation["responses"] = dict(sorted(operation["responses"].items()))
