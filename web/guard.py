"""What every request passes first: whose page is asking, how much it sends, what may load.

Knows HTTP headers and sizes, nothing of kilns. It keeps other sites' pages from reading (by a
host name that they point at this machine) and from writing (by a form or a script of theirs),
and tells the browser to load nothing from anywhere else. It goes by the headers alone: who the
person is, and what they may, is asked behind it (``web.access.gate``), and only then is a body
read (``web.intake``).
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from ipaddress import ip_address

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import PlainTextResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from supervisor.core.reasons import Reason
from web.intake import PHOTO_TYPES, SAFE_METHODS, taken_at, too_large, turn_away
from web.problems import WORDS, answer

_PLAIN_NAME = re.compile(r"[a-z0-9]([a-z0-9.-]{0,100}[a-z0-9])?")
CONTENT_POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; "
    "connect-src 'self'; manifest-src 'self'; base-uri 'none'; form-action 'none'; "
    "frame-ancestors 'none'; require-trusted-types-for 'script'; trusted-types default"
)
POLICY = "Content-Security-Policy"
"""A route that sends a document of its own says its own; all others have the page's."""
HEADERS = {
    POLICY: CONTENT_POLICY,
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Permissions-Policy": "camera=(), geolocation=(), microphone=()",
}
FILE_HEADERS = {
    name: HEADERS[name] for name in ("X-Content-Type-Options", "Cross-Origin-Resource-Policy")
}
"""What the page's scripts, styles and pictures are sent with: the other headers say what a document
may do, and three dozen files with them cost a phone as much as the chart's library."""
FILES_AT = "/static/"


def host_of(netloc: str) -> str:
    """The host in ``host:port``, in lower case, brackets and port taken off.

    >>> host_of("Kiln.local:8080"), host_of("[fe80::1]:80"), host_of("192.168.1.7")
    ('kiln.local', 'fe80::1', '192.168.1.7')
    """
    if netloc.startswith("["):
        return netloc[1:].partition("]")[0].lower()
    return netloc.partition(":")[0].lower()


def is_address(host: str) -> bool:
    """Whether ``host`` is a literal IP address, which no one can point elsewhere."""
    try:
        ip_address(host.partition("%")[0])
    except ValueError:
        return False
    return True


def is_loopback(host: str) -> bool:
    """Whether ``host`` is this very machine by an address or a name that never leaves it.

    >>> [is_loopback(host) for host in ("127.0.0.2", "::1", "localhost", "10.0.0.1", "kiln.local")]
    [True, True, True, False, False]
    """
    try:
        address = ip_address(host.partition("%")[0])
    except ValueError:
        return host == "localhost" or host.endswith(".localhost")
    mapped = getattr(address, "ipv4_mapped", None)
    return bool((mapped or address).is_loopback)


class Guard:
    """ASGI layer around the whole app.

    A request is refused unless its Host is an IP address, ``localhost``, a name under
    ``.localhost`` or ``.local``, or one of ``allowed_hosts``. Another site's script or picture
    gets nothing of what is below ``/api/``. Anything but GET, HEAD and OPTIONS must be
    ``application/json`` of at most 32 KiB, or a photo where one is taken in, and come from the
    page's own origin (or from a program that is no browser and so sends no origin).
    """

    def __init__(self, app: ASGIApp, allowed_hosts: Iterable[str] = ()) -> None:
        self._app = app
        self._allowed = frozenset(host.lower().rstrip(".") for host in allowed_hosts)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        started = False

        async def guarded_send(message: Message) -> None:
            nonlocal started
            if message["type"] == "http.response.start":
                started = True
                headers = MutableHeaders(scope=message)
                is_file = message["status"] < 400 and scope["path"].startswith(FILES_AT)
                guards = FILE_HEADERS if is_file else HEADERS
                policy = headers.get(POLICY)
                for name, value in guards.items():
                    headers[name] = value
                if policy is not None:
                    headers[POLICY] = policy
                headers.setdefault("Cache-Control", "no-store")
            await send(message)

        try:
            await self._pass_on(scope, receive, guarded_send)
        except Exception:
            if not started:
                await answer(500, WORDS[500], why=Reason.BUG)(scope, receive, guarded_send)
            raise

    async def _pass_on(self, scope: Scope, receive: Receive, send: Send) -> None:
        headers = Headers(scope=scope)
        host = host_of(headers.get("host", ""))
        if not self._is_ours(host):
            await turn_away(_foreign_name(host, headers), scope, receive, send)
            return
        refusal = self._refusal(scope["method"], scope["path"], headers)
        if refusal is not None:
            await turn_away(refusal, scope, receive, send)
            return
        await self._app(scope, receive, send)

    def _refusal(self, method: str, path: str, headers: Headers) -> Response | None:
        netloc = headers.get("host", "")
        site = headers.get("sec-fetch-site")
        if method in SAFE_METHODS:
            # Somebody may follow a link of another site's to here; nothing of it may be fetched.
            is_link = headers.get("sec-fetch-mode") == "navigate"
            if site in ("cross-site", "same-site") and path.startswith("/api/") and not is_link:
                return answer(403, "Another site's page may not read here.")
            return None
        origin = headers.get("origin")
        foreign = origin is not None and origin.partition("://")[2].lower() != netloc.lower()
        if foreign or site not in (None, "same-origin"):
            return answer(403, "Only this page itself may write here, not one of another site.")
        types, most = taken_at(path)
        media_type = headers.get("content-type", "").partition(";")[0].strip().lower()
        if media_type not in types:
            why = Reason.NO_IMAGE if types == PHOTO_TYPES else None
            return answer(415, f"The body must be {' or '.join(types)}.", why=why)
        length = headers.get("content-length", "0")
        if not length.isdecimal() or int(length) > most:
            return too_large(most)
        return None

    def _is_ours(self, host: str) -> bool:
        name = host.rstrip(".")
        return (
            is_address(name)
            or name == "localhost"
            or name.endswith((".localhost", ".local"))
            or name in self._allowed
        )


def _foreign_name(host: str, headers: Headers) -> Response:
    """How to open the page, for whoever came by a name that it does not answer to."""
    how = 'as one of "names"'
    if _PLAIN_NAME.fullmatch(host):
        how = f'names = ["{host}"]'
    told = (
        f"This page does not answer to the name “{host[:80]}”, which another site could have made "
        "up. Open it by the machine's address or by its name in .local; or, where you gave it that "
        f"name, write it into spyhole.toml, under [page] {how}, and restart spyhole."
    )
    # A person reads it in the browser's window, a program takes what it always gets.
    if "text/html" in headers.get("accept", ""):
        return PlainTextResponse(told, 400)
    return answer(400, told)
