"""The addresses of a firing's report, as a page for itself and as a PDF. Nothing is written."""

from __future__ import annotations

import asyncio
import gzip
from typing import Annotated, Any

from fastapi import APIRouter, Path, Query, Request
from starlette.responses import Response

from web import problems
from web.reports import Form, PressedReport, ReportPress, ReportQuery
from web.requests import PLACE_MAX_CHARS

_TYPES = {Form.HTML: "text/html; charset=utf-8", Form.PDF: "application/pdf"}
_POLICY = (
    "default-src 'none'; style-src '{style}'; img-src data:; base-uri 'none'; "
    "form-action 'none'; frame-ancestors 'none'"
)
"""Its one style sheet and the photos in it; no script, and nothing from anywhere."""

FiringId = Annotated[str, Path(max_length=PLACE_MAX_CHARS, description="The firing's `id`.")]


def router(press: ReportPress) -> APIRouter:
    """The reports of ``press`` under ``/api/firings/{firing_id}``."""
    routes = APIRouter(prefix="/api/firings")

    @routes.get(
        "/{firing_id}/report.html",
        tags=["look"],
        response_class=Response,
        responses=_a_file("text/html", "The page; it needs nothing else and prints well.")
        | problems.documented(404, 422, 503),
    )
    async def report_page(
        firing_id: FiringId, query: Annotated[ReportQuery, Query()], http: Request
    ) -> Response:
        """The firing's report as one page with everything in it: chart, tables, photos."""
        made = await press.report(firing_id, Form.HTML, query)
        headers = {"Content-Security-Policy": _POLICY.format(style=made.style)}
        return await _answer(made, Form.HTML, _name(firing_id, query, Form.HTML), http, headers)

    @routes.get(
        "/{firing_id}/report.pdf",
        tags=["look"],
        response_class=Response,
        responses=_a_file("application/pdf", "The document.") | problems.documented(404, 422, 503),
    )
    async def report_pdf(
        firing_id: FiringId, query: Annotated[ReportQuery, Query()], http: Request
    ) -> Response:
        """The firing's report as a PDF; 503 where the library that writes it is not installed."""
        made = await press.report(firing_id, Form.PDF, query)
        return await _answer(made, Form.PDF, _name(firing_id, query, Form.PDF), http, {})

    return routes


async def _answer(
    made: PressedReport, form: Form, name: str, http: Request, headers: dict[str, str]
) -> Response:
    """The report as it is: pressed when it was made, so that the watch need not wait for it."""
    # A page is looked at; a PDF is kept, which every phone and browser can show afterwards.
    disposition = "inline" if form is Form.HTML else "attachment"
    headers |= {"Content-Disposition": f'{disposition}; filename="{name}"'}
    if "gzip" in http.headers.get("accept-encoding", ""):
        headers |= {"Content-Encoding": "gzip", "Vary": "Accept-Encoding"}
        return Response(made.data, media_type=_TYPES[form], headers=headers)
    whole = await asyncio.to_thread(gzip.decompress, made.data)
    return Response(whole, media_type=_TYPES[form], headers=headers)


def _name(firing_id: str, query: ReportQuery, form: Form) -> str:
    name = f"spyhole-{firing_id}-{query.sheet.value}.{form.value}"
    return "".join(c for c in name if (c.isascii() and c.isalnum()) or c in "-_.")


def _a_file(media_type: str, about: str) -> dict[int | str, dict[str, Any]]:
    return {
        200: {"description": about, "content": {media_type: {"schema": {"type": "string"}}}},
    }
