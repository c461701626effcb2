"""Signing in with a token, once, and out again."""

from __future__ import annotations

import re
from typing import Annotated, Any

from litestar import Controller, Response, get, post
from litestar.di import NamedDependency
from litestar.params import QueryParameter
from litestar.response import Redirect, Template

from api.callers import TOKEN, address_of
from api.origins import cookie_name, is_sent_safely, require_from_here, session_of
from api.pages.frame import PageRequest, page
from api.pages.onward import SIGN_IN, within
from api.paths import EVERYBODY, WHOEVER_IS_KNOWN
from api.services.desk import Desk
from api.services.errors import UnknownCallerError

Next = Annotated[str, QueryParameter(name="next", max_length=500)]
_TOKEN = re.compile(TOKEN, re.ASCII)


class SessionPages(Controller):
    path = "/"

    @get(SIGN_IN, opt=EVERYBODY)
    async def sign_in(self, request: PageRequest, next_: Next = "/") -> Template | Redirect:
        """The form that takes a token."""
        if not request.app.state.asks_for_tokens:
            return Redirect("/", status_code=303)
        return _form(next_)

    @post(SIGN_IN, opt=EVERYBODY)
    async def begin(
        self, request: PageRequest, desk: NamedDependency[Desk]
    ) -> Template | Response[Any]:
        """A token becomes a session; the cookie says nothing else, and nobody's script reads it."""
        require_from_here(request.scope)
        await request.app.state.throttle.require(address_of(request.scope))
        form = await request.form()
        onward, token = str(form.get("next", "/")), str(form.get("token", "")).strip()
        try:
            if not _TOKEN.fullmatch(token):
                raise UnknownCallerError("that is no token", sent=True)
            text = await desk.sessions.begin(token, session_of(request.scope))
        except UnknownCallerError:
            return _form(onward, "This token is not known here, has expired or was revoked.")
        answer = Redirect(within(onward), status_code=303)
        _set_cookie(answer, request, text, int(desk.sessions.length.total_seconds()))
        return answer

    @post("/sign-out", opt=WHOEVER_IS_KNOWN)
    async def end(self, request: PageRequest, desk: NamedDependency[Desk]) -> Redirect:
        """The session is over, in this browser and in the store."""
        session = session_of(request.scope)
        if session is not None:
            await desk.sessions.end(session)
        answer = Redirect(SIGN_IN, status_code=303)
        _set_cookie(answer, request, "", 0)
        return answer


def _form(onward: str, refusal: str = "") -> Template:
    return page(
        "sign_in.html",
        title="Sign in",
        salon=None,
        places=(),
        status=403 if refusal else 200,
        onward=within(onward),
        refusal=refusal,
    )


def _set_cookie(answer: Redirect, request: PageRequest, text: str, seconds: int) -> None:
    answer.set_cookie(
        cookie_name(request.scope),
        text,
        max_age=seconds,
        secure=is_sent_safely(request.scope),
        httponly=True,
        samesite="lax",
    )
