"""The page's own files, kept in memory as they are sent: without comments, compressed once.

Knows files and HTTP's caching, nothing of kilns. A browser asks each time whether a file has
changed and is told by the file's content. Compressing is done when a file is first asked for, as
hard as gzip can: on a Pi a file that is compressed for each phone anew costs more than the file.
"""

from __future__ import annotations

import gzip
import hashlib
import json
import mimetypes
import re
from dataclasses import dataclass
from pathlib import Path

from starlette.datastructures import Headers
from starlette.exceptions import HTTPException
from starlette.responses import Response
from starlette.types import Receive, Scope, Send

STATIC = Path(__file__).parent / "static"
GZIP_LEVEL = 9
SERVICE_WORKER = "sw.js"
MARK_DIGITS = 12
"""Enough of a file's digest to tell it from what it was; four dozen files send theirs."""
LEAST_TO_COMPRESS = 400
"""Smaller files are sent as they are, in bytes."""
TYPES = {
    ".js": "text/javascript",
    ".css": "text/css; charset=utf-8",
    ".html": "text/html; charset=utf-8",
    ".svg": "image/svg+xml",
    ".webmanifest": "application/manifest+json",
}
"""Names of types, whatever the machine's own list says. Modules are UTF-8 in any case, and so are
the other scripts of a page that is."""


_COMMENT = re.compile(r"^[ \t]*(?:/\*(?:(?!\*/).)*\*/|//[^\n]*)[ \t]*$", re.MULTILINE | re.DOTALL)
"""A comment that has its lines to itself; one before or behind code stays."""


def lean(path: Path) -> bytes:
    """The file's content; of our own scripts and styles without the comments, line by line.

    They are a fifth of what a phone would load. Lines keep their numbers.
    """
    plain = path.read_bytes()
    if path.suffix not in (".js", ".css") or "vendor" in path.parts:
        return plain
    return _COMMENT.sub(_as_many_lines, plain.decode()).encode()


def _as_many_lines(comment: re.Match[str]) -> str:
    return "\n" * comment[0].count("\n")


@dataclass(frozen=True, slots=True)
class Kept:
    """A file as it was read, with its mark by content."""

    changed_ns: int
    plain: bytes
    small: bytes | None
    etag: str


class PageFiles:
    """ASGI application that answers with the files of ``folder``, and with nothing outside it."""

    def __init__(self, folder: Path = STATIC) -> None:
        self._folder = folder.resolve()
        self._kept: dict[Path, Kept] = {}

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["method"] not in ("GET", "HEAD"):
            raise HTTPException(405, headers={"Allow": "GET, HEAD"})
        path = scope["path"].removeprefix(scope.get("root_path", "")).lstrip("/")
        response = self.answer(path, Headers(scope=scope))
        await response(scope, receive, send)

    def answer(self, name: str, headers: Headers) -> Response:
        """The file ``name``, or that it has not changed. Raises HTTPException 404 without one."""
        kept = self.read(name)
        shown = {"ETag": kept.etag, "Cache-Control": "no-cache", "Vary": "Accept-Encoding"}
        asked = [
            tag.strip().removeprefix("W/") for tag in headers.get("if-none-match", "").split(",")
        ]
        if kept.etag in asked:
            return Response(status_code=304, headers=shown)
        suffix = Path(name).suffix
        media_type = (
            TYPES.get(suffix) or mimetypes.guess_type(name)[0] or "application/octet-stream"
        )
        shown["Content-Type"] = media_type
        if kept.small is not None and "gzip" in headers.get("accept-encoding", ""):
            shown["Content-Encoding"] = "gzip"
            return Response(kept.small, headers=shown)
        return Response(kept.plain, headers=shown)

    def service_worker(self) -> Response:
        """The script that keeps these files on a phone, with their names and their version.

        The version is their content's: any change of any file makes another one.
        """
        names = sorted(
            str(path.relative_to(self._folder))
            for path in self._folder.rglob("*.*")
            if path.is_file() and path.name != SERVICE_WORKER
        )
        marks = "".join(f"{name}{self.read(name).etag}" for name in names)
        shell = {
            "VERSION": hashlib.sha256(marks.encode()).hexdigest()[:20],
            "FILES": ["/", *(f"/static/{name}" for name in names if name != "index.html")],
        }
        script = self.read(SERVICE_WORKER).plain.decode()
        return Response(
            f"self.SHELL = {json.dumps(shell)};\n{script}",
            media_type=TYPES[".js"],
            headers={"Cache-Control": "no-cache"},
        )

    def read(self, name: str) -> Kept:
        """The file as it is now. Raises HTTPException 404 where there is none in the folder."""
        try:
            path = (self._folder / name).resolve()
            if not path.is_relative_to(self._folder) or not path.is_file():
                raise HTTPException(404)
            changed_ns = path.stat().st_mtime_ns
        except (OSError, ValueError):
            raise HTTPException(404) from None
        kept = self._kept.get(path)
        if kept is None or kept.changed_ns != changed_ns:
            plain = lean(path)
            small = gzip.compress(plain, GZIP_LEVEL, mtime=0)
            is_worth_it = len(plain) >= LEAST_TO_COMPRESS and len(small) < 0.9 * len(plain)
            etag = f'"{hashlib.sha256(plain).hexdigest()[:MARK_DIGITS]}"'
            kept = Kept(changed_ns, plain, small if is_worth_it else None, etag)
            self._kept[path] = kept
        return kept
