"""The page's web application: routes, and nothing behind them but the desk.

Knows which address answers what. There is no route that acts on a kiln; those that
write anything write to the record: that a person has seen an alert, what a person noted or saw of
the real cones, whether the calculation of cones is to follow them, and where a log begins and ends.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from importlib.metadata import PackageNotFoundError, version
from typing import Annotated, Any

from fastapi import APIRouter, Body, FastAPI, Path, Query, Request
from fastapi.routing import APIRoute
from starlette.middleware.gzip import GZipMiddleware
from starlette.responses import Response, StreamingResponse

from web import problems
from web.access.access import Access
from web.access.description import describe_access
from web.access.gate import Gate, signed, visitor_of
from web.access.routes import access_routes
from web.chart import Course
from web.files import PageFiles
from web.guard import Guard
from web.intake import Intake
from web.interface import KilnDesk
from web.models import Chart, Health, Look, Note, Snapshot
from web.news import News
from web.requests import (
    PLACE_MAX_CHARS,
    AcceptOffsetRequest,
    AcknowledgeRequest,
    BeginLogRequest,
    EndLogRequest,
    LookRequest,
    NoteRequest,
    WithdrawNoteRequest,
    WithdrawRequest,
)
from web.stream import follow
from web.writing import ACCEPTED, Writings, done, empty_or_kept, or_kept

CHART_POINTS = 1500
"""Chart rows when none are asked for: more than a phone's screen has columns."""
CHART_POINTS_LEAST = 100
CHART_POINTS_MOST = 10_000
GZIP_LEVEL = 6

ABOUT = """\
The page of **spyhole**, which watches a kiln through thermocouples and reads only.

Nothing here can act on a kiln. What is posted is written to the record: an acknowledgement, a
note, a look at a real cone, whether the calculation of cones follows the real ones, and where a
firing's log begins and ends; and to past firings notes, accounts, findings and photos.
While the disk refuses, all answer 202 after 3 seconds: kept in memory, written when it can be.
Writing needs a session (`POST /api/session/begin`), and so does reading where the owner wants it;
`GET /api/session` tells. Its cookie goes with the header `X-Spyhole: 1`.
Temperatures are in °C and times in seconds of the firing (in a simulation they pass faster than
real ones); `time` is a label for people. Every failure has the shape `ErrorAnswer`.
"""
STREAM_ABOUT = """\
Server-sent events for as long as the page is open:

- `snapshot`: a `Snapshot`, at once.
- `changes`: those parts of the snapshot that are new, each whole (`{"temp_c": 1183.4, ...}`), at
  most twice a second: at once when a temperature has moved by a degree or anything else has
  changed than what moves with every reading; that after 30 seconds.
- `points`: `Points`, the chart's new rows, before the changes that they belong to. What lies
  within a degree of the line is left out.
- `beat`: a `Beat`, when nothing has been said for 5 seconds.
- `closing`: the last word when spyhole is ended on purpose.
- `signed_out`: the last word when who listens may not read any more.

Who has lost the stream fetches the chart anew and goes on.
"""


EVENTS = "text/event-stream"
_EVENT = {
    "type": "object",
    "required": ["event", "data"],
    "properties": {
        "event": {"enum": ["snapshot", "changes", "points", "beat", "closing", "signed_out"]},
        "data": {"type": "string", "contentMediaType": "application/json"},
    },
}
_EVENTS: dict[int | str, dict[str, Any]] = {
    200: {"description": "The events.", "content": {EVENTS: {"itemSchema": _EVENT}}}
}

FiringId = Annotated[str, Path(max_length=PLACE_MAX_CHARS, description="The firing's `id`.")]
ChannelName = Annotated[str, Path(max_length=PLACE_MAX_CHARS, description="The channel's `name`.")]


@dataclass(slots=True)
class Stopping:
    """Whether the server is being stopped: the one thing that ends the streams."""

    is_set: bool = False


def create_app(
    desk: KilnDesk,
    *,
    access: Access | None = None,
    allowed_hosts: Iterable[str] = (),
    behind_proxy: bool = False,
    routers: Iterable[APIRouter] = (),
) -> FastAPI:
    """The application that shows ``desk``, and what ``routers`` (of ``web.routers``) add to it.

    ``access`` says who may what; without it there is no PIN, everybody may read and the machine
    itself write. With ``behind_proxy`` nobody counts as the machine itself.
    ``allowed_hosts`` are host names, besides IP addresses, ``localhost`` and ``*.local``, under
    which the page may be opened (the machine's own name, a name in the house's DNS).
    """
    app = FastAPI(
        title="spyhole",
        version=_version(),
        description=ABOUT,
        docs_url=None,
        redoc_url=None,
        openapi_tags=[
            {"name": "look", "description": "Read how the firing goes."},
            {"name": "record", "description": "Write to the record, never to the kiln."},
            {"name": "access", "description": "Sign in and out, and who wrote what."},
        ],
        generate_unique_id_function=lambda route: route.name,
    )
    access = access or Access()
    stopping = app.state.stopping = Stopping()
    writings = Writings()
    news = News(desk)
    problems.install(app)
    app.add_middleware(GZipMiddleware, minimum_size=1000, compresslevel=GZIP_LEVEL)
    app.add_middleware(Intake)
    app.add_middleware(Gate, access=access, behind_proxy=behind_proxy)
    app.add_middleware(Guard, allowed_hosts=tuple(allowed_hosts))

    files = PageFiles()

    @app.get("/", include_in_schema=False)
    async def page(request: Request) -> Response:
        return files.answer("index.html", request.headers)

    @app.get("/sw.js", include_in_schema=False)
    async def service_worker() -> Response:
        return files.service_worker()

    @app.get("/healthz", tags=["look"], responses=problems.documented())
    async def healthz() -> Health:
        """Whether the daemon is alive and what its readings, record and broker do."""
        now = desk.snapshot()
        return Health(
            mode=now.mode,
            recording=now.recording,
            reading_age_s=now.reading_age_s,
            stale=now.stale,
            record=now.record,
            mqtt=now.mqtt,
            revision=now.revision,
        )

    @app.get("/api/snapshot", tags=["look"], responses=problems.documented())
    async def snapshot() -> Snapshot:
        """Everything but the chart as it stands now."""
        return desk.snapshot()

    @app.get("/api/chart", tags=["look"], responses=problems.documented(422))
    async def chart(
        max_points: Annotated[
            int,
            Query(
                ge=CHART_POINTS_LEAST,
                le=CHART_POINTS_MOST,
                description="Most rows wanted; the peaks of every channel are kept.",
            ),
        ] = CHART_POINTS,
    ) -> Chart:
        """The whole firing and its plan line, thinned."""
        return desk.chart(max_points)

    @app.get("/api/course", tags=["look"], responses=problems.documented())
    async def course() -> Course:
        """What the kiln is expected to do, the ware's phases, and what happened so far.

        To be asked for anew now and then: the forecast is of this moment.
        """
        return await desk.course()

    @app.get(
        "/api/stream",
        tags=["look"],
        response_class=StreamingResponse,
        responses=_EVENTS | problems.documented(),
        description=STREAM_ABOUT,
        summary="Stream",
    )
    async def stream(http: Request) -> StreamingResponse:
        visitor = visitor_of(http)
        is_small = "gzip" in http.headers.get("accept-encoding", "")
        events = follow(
            news,
            lambda: stopping.is_set,
            lambda: access.refuses_reading(visitor) is None,
            is_small=is_small,
        )
        headers = {"Vary": "Accept-Encoding", "X-Accel-Buffering": "no"}
        if is_small:
            headers["Content-Encoding"] = "gzip"
        return StreamingResponse(events, media_type=EVENTS, headers=headers)

    @app.post(
        "/api/alerts/{alert_id}/acknowledge",
        tags=["record"],
        status_code=204,
        response_class=Response,
        responses=ACCEPTED | problems.documented(403, 404, 413, 415, 422, 503),
    )
    async def acknowledge(
        alert_id: Annotated[str, Path(max_length=200, description="The alert's `id`.")],
        request: Annotated[AcknowledgeRequest, Body()],
        http: Request,
    ) -> Response:
        """Note that a person has seen this alert. Once more changes nothing."""
        by = signed(http, request.by)
        return empty_or_kept(await writings.in_time(done(desk.acknowledge(alert_id, by))))

    @app.post(
        "/api/notes",
        tags=["record"],
        status_code=201,
        response_model=Note,
        responses=ACCEPTED | problems.documented(403, 413, 415, 422, 503),
    )
    async def add_note(request: Annotated[NoteRequest, Body()], http: Request) -> Note | Response:
        """Write a note at the firing's present time.

        The same `client_id` again gives the note that was written then, and writes nothing.
        """
        by = signed(http, request.by)
        client_id = None if request.client_id is None else str(request.client_id)
        note = await writings.in_time(desk.add_note(request.text, by, client_id))
        return or_kept(note)

    @app.post(
        "/api/notes/{number}/withdraw",
        tags=["record"],
        status_code=204,
        response_class=Response,
        responses=ACCEPTED | problems.documented(403, 404, 413, 415, 422, 503),
    )
    async def withdraw_note(
        number: Annotated[int, Path(ge=0, le=2**53, description="The note's `id`.")],
        request: Annotated[WithdrawNoteRequest, Body()],
        http: Request,
    ) -> Response:
        """Take back a note that was written by mistake: it counts no longer.

        The record keeps it, with who took it back and when. Once more changes nothing.
        """
        by = signed(http, request.by)
        return empty_or_kept(await writings.in_time(done(desk.withdraw_note(number, by))))

    @app.post(
        "/api/cones",
        tags=["record"],
        status_code=201,
        response_model=Look,
        responses=ACCEPTED | problems.documented(403, 413, 415, 422, 503),
    )
    async def add_look(request: Annotated[LookRequest, Body()], http: Request) -> Look | Response:
        """Write what a real cone shows, now or some minutes ago.

        The same `client_id` again gives what was written then, and writes nothing. It changes
        no figure: what it says of an offset is proposed in a later snapshot.
        """
        by = signed(http, request.by)
        look = await writings.in_time(desk.add_look(request.model_copy(update={"by": by})))
        return or_kept(look)

    @app.post(
        "/api/cones/{number}/withdraw",
        tags=["record"],
        status_code=204,
        response_class=Response,
        responses=ACCEPTED | problems.documented(403, 404, 413, 415, 422, 503),
    )
    async def withdraw_look(
        number: Annotated[int, Path(ge=0, le=2**53, description="The look's `number`.")],
        _: Annotated[WithdrawRequest, Body()],
    ) -> Response:
        """Take back a look at a cone that was entered by mistake. Once more changes nothing."""
        return empty_or_kept(await writings.in_time(done(desk.withdraw_look(number))))

    @app.post(
        "/api/offsets/{channel:path}/accept",
        tags=["record"],
        status_code=204,
        response_class=Response,
        responses=ACCEPTED | problems.documented(403, 404, 413, 415, 422, 503),
    )
    async def accept_offset(
        channel: ChannelName, request: Annotated[AcceptOffsetRequest, Body()]
    ) -> Response:
        """Correct the calculation of this channel's cones by what the real ones showed.

        It counts from now on, in this firing and in later ones of the kiln, and for no reading.
        Once more changes nothing.
        """
        return empty_or_kept(
            await writings.in_time(done(desk.accept_offset(channel, request.offset_c)))
        )

    @app.post(
        "/api/offsets/{channel:path}/withdraw",
        tags=["record"],
        status_code=204,
        response_class=Response,
        responses=ACCEPTED | problems.documented(403, 404, 413, 415, 422, 503),
    )
    async def withdraw_offset(
        channel: ChannelName, _: Annotated[WithdrawRequest, Body()]
    ) -> Response:
        """Calculate this channel's cones uncorrected again. Once more changes nothing."""
        return empty_or_kept(await writings.in_time(done(desk.withdraw_offset(channel))))

    @app.post(
        "/api/log/begin",
        tags=["record"],
        status_code=204,
        response_class=Response,
        responses=ACCEPTED | problems.documented(403, 413, 415, 422, 503),
    )
    async def begin_log(request: Annotated[BeginLogRequest, Body()], http: Request) -> Response:
        """Begin the next firing's log now, instead of waiting for the kiln to climb.

        It begins with the plan that the snapshot names. Once more changes nothing.
        """
        by = signed(http, request.by)
        return empty_or_kept(await writings.in_time(done(desk.begin_log(request.after, by))))

    @app.post(
        "/api/log/{firing_id}/end",
        tags=["record"],
        status_code=204,
        response_class=Response,
        responses=ACCEPTED | problems.documented(403, 404, 413, 415, 422, 503),
    )
    async def end_log(
        firing_id: FiringId,
        request: Annotated[EndLogRequest, Body()],
        http: Request,
    ) -> Response:
        """End this firing's log now, instead of waiting until the kiln is cold.

        The kiln is watched further, and warnings still come. Once more changes nothing.
        """
        by = signed(http, request.by)
        return empty_or_kept(await writings.in_time(done(desk.end_log(firing_id, by))))

    for router in routers:
        app.include_router(router, generate_unique_id_function=_name_with_its_place)
    app.include_router(access_routes(access))
    describe_access(app, access)
    app.mount("/static", files, name="static")
    return app


def _name_with_its_place(route: APIRoute) -> str:
    """The name of an operation of a router: two routers may well call theirs the same."""
    return f"{route.path.split('/')[2]}_{route.name}"


def end_streams(app: FastAPI) -> None:
    """Let every open stream of ``app`` say goodbye and end, within a second."""
    app.state.stopping.is_set = True


def _version() -> str:
    try:
        return version("spyhole")
    except PackageNotFoundError:
        return "unknown"
