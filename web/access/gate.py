"""What every request passes after the guard: who asks, whether they may, and what they did.

It asks before a body is read: a stranger's costs nothing but its headers.

Knows methods, headers and the paths that are open to everybody; what a visitor may is decided by
``web.access.access``. A path that is not named here is guarded: reading as configured, everything
but reading by the PIN. What was written is in the trail before the answer says so.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from starlette.datastructures import Headers
from starlette.requests import Request, cookie_parser
from starlette.responses import Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from supervisor.core.reasons import Reason
from web.access.access import Access, Refusal, Visitor
from web.access.interface import Deed
from web.guard import host_of, is_loopback
from web.intake import SAFE_METHODS, turn_away
from web.problems import answer
from web.wire import Why

OPEN_PATHS = frozenset({"/", "/sw.js", "/healthz", "/openapi.json", "/favicon.ico", "/api/session"})
OPEN_BELOW = "/static/"
"""What anybody may read: the page without a reading in it, and whether the daemon is alive."""
SIGN_PATHS = frozenset({"/api/session/begin", "/api/session/end"})
"""What anybody may write to: how else would they sign in?"""
PRIVATE_PATHS = frozenset({"/api/audit"})
"""What only those who may write may read: it has names and addresses."""
READING_POSTS = frozenset({"/api/plans/explain"})
"""What is posted and writes nothing: a question too long for an address. It goes as reading."""
OWN_HEADER = "X-Spyhole"
"""A header that no form and no other site's script can send: browsers ask the server first, and
this one never says yes."""
FORWARDED = (
    *("forwarded", "via", "x-forwarded-for", "x-forwarded-host", "x-forwarded-proto"),
    "x-real-ip",
)
"""What a proxy adds: its own address is not that of who asks."""
CHALLENGE = 'PIN realm="spyhole"'
"""A 401 has to name a scheme (RFC 9110, 15.5.2); one that no browser opens a window of its own
for."""
DETAIL_MAX_CHARS = 200

_STATE = "visitor"
_SIGNED = "signed"


def is_write(method: str, path: str) -> bool:
    """Whether a request may write something, as far as method and path tell."""
    return method not in SAFE_METHODS and not (method == "POST" and path in READING_POSTS)


def cookie_name(scope: Scope) -> str:
    """The name of the session's cookie: of this port, for browsers send cookies to every port of
    a machine, and more than one kiln may be watched from it.

    By HTTPS it has the prefix that lets a browser take it from this very host alone (RFC 6265bis,
    4.1.3.2).
    """
    port = (scope.get("server") or ("", 0))[1]
    name = f"spyhole-{port}"
    return f"__Host-{name}" if scope.get("scheme") == "https" else name


def visitor_of(request: Request) -> Visitor:
    """Who sent the request."""
    found: Visitor = getattr(request.state, _STATE)
    return found


def signed(request: Request, by: str | None) -> str | None:
    """Who did this: the name given at sign-in, which nobody can sign over; else ``by``."""
    name = visitor_of(request).name or by
    setattr(request.state, _SIGNED, name)
    return name


class Gate:
    """ASGI layer between the guard and the routes."""

    def __init__(self, app: ASGIApp, access: Access, *, behind_proxy: bool = False) -> None:
        """With ``behind_proxy`` nobody is taken to be at the machine itself."""
        self._app = app
        self._access = access
        self._behind_proxy = behind_proxy

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        headers = Headers(scope=scope)
        visitor = self._visitor(scope, headers)
        state: dict[str, Any] = scope.setdefault("state", {})
        state[_STATE] = visitor
        writes = is_write(scope["method"], scope["path"])
        refusal = self._refusal(scope["path"], visitor, writes=writes)
        if refusal is not None:
            refused = _refuse(refusal, self._access.how_to_set(), writes)
            await turn_away(refused, scope, receive, send)
            return
        if not writes:
            await self._app(scope, receive, send)
            return
        if visitor.session is not None and OWN_HEADER.lower() not in headers:
            refused = answer(
                403,
                f"Whoever is signed in writes with the header “{OWN_HEADER}: 1”, which only the "
                "page itself or a program can send.",
            )
            await turn_away(refused, scope, receive, send)
            return
        await self._app(scope, receive, self._noting(scope, visitor, send))

    def _visitor(self, scope: Scope, headers: Headers) -> Visitor:
        client = scope.get("client")
        address = client[0] if client else ""
        is_here = (
            not self._behind_proxy
            and is_loopback(address)
            and is_loopback(host_of(headers.get("host", "")))
            and not any(name in headers for name in FORWARDED)
        )
        token = cookie_parser(headers.get("cookie", "")).get(cookie_name(scope))
        return self._access.visitor(address, is_here=is_here, token=token)

    def _refusal(self, path: str, visitor: Visitor, *, writes: bool) -> Refusal | None:
        if writes:
            return None if path in SIGN_PATHS else self._access.refuses_writing(visitor)
        if path in OPEN_PATHS or path.startswith(OPEN_BELOW):
            return None
        if path in PRIVATE_PATHS:
            return self._access.refuses_writing(visitor)
        return self._access.refuses_reading(visitor)

    def _noting(self, scope: Scope, visitor: Visitor, send: Send) -> Send:
        """A ``send`` before whose first word of success the deed is in the trail."""
        if scope["path"] in SIGN_PATHS:
            return send

        async def noting(message: Message) -> None:
            if message["type"] == "http.response.start" and 200 <= message["status"] < 300:
                deed = _deed(scope, visitor)
                if message["status"] == 202:
                    # The disk makes them wait already.
                    self._access.note_later(deed)
                else:
                    await self._access.note(deed)
            await send(message)

        return noting


def _deed(scope: Scope, visitor: Visitor) -> Deed:
    route = scope.get("route")
    params: Mapping[str, object] = scope.get("path_params") or {}
    return Deed(
        what=getattr(route, "name", None) or str(scope["path"])[:DETAIL_MAX_CHARS],
        who=scope["state"].get(_SIGNED) or visitor.name,
        address=visitor.address,
        detail={name: str(value)[:DETAIL_MAX_CHARS] for name, value in params.items()},
    )


def _refuse(refusal: Refusal, how_to_set: str, writes: bool) -> Response:
    what = "write" if writes else "read"
    if refusal is Refusal.SIGN_IN:
        why = Reason.SIGN_IN_TO_WRITE if writes else Reason.SIGN_IN_TO_READ
        refused = answer(401, f"Sign in with the PIN to {what} here.", why=why)
        refused.headers["WWW-Authenticate"] = CHALLENGE
        return refused
    if refusal is Refusal.NO_PIN:
        return answer(
            403,
            f"Until a PIN is set, only the machine at the kiln itself (at 127.0.0.1) may {what}: "
            f"set one there with “{how_to_set}”.",
            code="no_pin",
            why=Why(reason=Reason.NO_PIN, figures={"how": how_to_set}),
        )
    return unreadable_pin(how_to_set)


def unreadable_pin(how_to_set: str) -> Response:
    """The answer where nobody can tell whether a PIN is the right one."""
    return answer(
        503,
        "The PIN can't be read on the machine at the kiln, so nobody is let in: set it anew "
        f"there with “{how_to_set}”.",
        code="pin_unreadable",
        why=Why(reason=Reason.PIN_UNREADABLE, figures={"how": how_to_set}),
    )
