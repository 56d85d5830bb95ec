"""The routes of signing in and out, and of the trail."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Body, Query, Request
from fastapi.responses import JSONResponse
from starlette.responses import Response

from supervisor.core.reasons import Reason
from web.access.access import Access, NoPinError, PinState, TooSoonError, Visitor, WrongPinError
from web.access.gate import CHALLENGE, cookie_name, unreadable_pin, visitor_of
from web.access.models import (
    DEEDS_MOST,
    Audit,
    AuditEntry,
    SessionState,
    SignInRequest,
    SignOutRequest,
)
from web.access.sessions import LIFE_S
from web.problems import answer, documented
from web.wire import Why


def access_routes(access: Access) -> APIRouter:
    """The routes over ``access``."""
    router = APIRouter()

    @router.get("/api/session", tags=["access"], responses=documented())
    async def session(request: Request) -> SessionState:
        """Who asks, and what they may. Open to everybody."""
        return _state(access, visitor_of(request))

    @router.post(
        "/api/session/begin",
        tags=["access"],
        response_model=SessionState,
        responses=documented(401, 403, 413, 415, 422, 429, 503),
    )
    async def sign_in(request: Request, given: Annotated[SignInRequest, Body()]) -> Response:
        """Sign in with the PIN. The answer's cookie is the session.

        After some wrong PINs the next one is looked at only after a while (429, `Retry-After`).
        """
        visitor = visitor_of(request)
        try:
            token = await access.sign_in(visitor, given.pin.get_secret_value(), given.name)
        except WrongPinError:
            refused = answer(
                401, "That is not the PIN.", code="wrong_pin", field="pin", why=Reason.WRONG_PIN
            )
            refused.headers["WWW-Authenticate"] = CHALLENGE
            return refused
        except TooSoonError as error:
            seconds = f"{error.wait_s:.0f}"
            refused = answer(
                429,
                f"Too many wrong PINs: the next one is looked at in {seconds} seconds.",
                why=Why(reason=Reason.TOO_MANY_PINS, figures={"seconds": int(seconds)}),
            )
            refused.headers["Retry-After"] = seconds
            return refused
        except NoPinError:
            if access.pin_state is PinState.UNREADABLE:
                return unreadable_pin(access.how_to_set())
            return answer(
                403,
                "No PIN is set, so there is nothing to sign in with.",
                code="no_pin",
                why=Reason.NO_PIN_TO_SIGN_IN,
            )
        entered = access.visitor(visitor.address, is_here=visitor.is_here, token=token)
        response = JSONResponse(_state(access, entered).model_dump(mode="json"))
        response.set_cookie(
            cookie_name(request.scope),
            token,
            max_age=int(LIFE_S),
            path="/",
            secure=request.scope["scheme"] == "https",
            httponly=True,
            samesite="strict",
        )
        return response

    @router.post(
        "/api/session/end",
        tags=["access"],
        status_code=204,
        response_class=Response,
        responses=documented(403, 413, 415, 422),
    )
    async def sign_out(request: Request, given: Annotated[SignOutRequest, Body()]) -> Response:
        """Sign out, here or everywhere. Who is not signed in stays so."""
        await access.sign_out(visitor_of(request), everywhere=given.everywhere)
        response = Response(status_code=204)
        response.delete_cookie(
            cookie_name(request.scope),
            path="/",
            secure=request.scope["scheme"] == "https",
            httponly=True,
            samesite="strict",
        )
        return response

    @router.get("/api/audit", tags=["access"], responses=documented(401, 403, 422, 503))
    async def audit(
        limit: Annotated[int, Query(ge=1, le=DEEDS_MOST, description="Most entries wanted.")] = 100,
    ) -> Audit:
        """Who wrote what from where, newest first. Only for those who may write."""
        return Audit(
            entries=[
                AuditEntry(
                    number=kept.number,
                    time=kept.time,
                    who=kept.deed.who,
                    what=kept.deed.what,
                    detail=dict(kept.deed.detail),
                    address=kept.deed.address,
                    firing=kept.firing,
                )
                for kept in await access.trail.latest(limit)
            ]
        )

    return router


def _state(access: Access, visitor: Visitor) -> SessionState:
    pin = access.pin_state
    return SessionState(
        reading=access.reading,
        pin=pin,
        pin_is_digits=access.pin_is_digits,
        signed_in=visitor.session is not None,
        name=visitor.name,
        may_read=access.refuses_reading(visitor) is None,
        may_write=access.refuses_writing(visitor) is None,
        left_s=access.left_s(visitor),
        how_to_set=None if pin is PinState.SET else access.how_to_set(),
    )
