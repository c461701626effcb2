"""What is refused to somebody who looks at pages: the same problems, told as a page."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, cast

from litestar import Request, Response
from litestar.handlers import BaseRouteHandler
from litestar.response import Redirect, Template
from litestar.types import ExceptionHandlersMap

from api.pages.frame import page, part, wants_part
from api.pages.onward import SIGN_IN, sign_in_path
from api.services.errors import UnknownCallerError
from schemas.problems import Problem

_AnyRequest = Request[Any, Any, Any]
_TITLES = {
    403: "This is not yours to do",
    404: "There is nothing here",
    409: "This does not go with the book",
    412: "Somebody was faster",
    422: "Something in this address cannot be right",
    500: "Something went wrong inside",
    503: "The book cannot be reached",
}
_Handler = Callable[[_AnyRequest, Any], Response[bytes]]


def for_people_too(handlers: ExceptionHandlersMap) -> ExceptionHandlersMap:
    """The same table of handlers, whose answers are pages where pages are looked at."""
    return {kind: _told(cast("_Handler", handler)) for kind, handler in handlers.items()}


def _told(handler: _Handler) -> Callable[[_AnyRequest, Any], Response[Any] | Template]:
    def tell(request: _AnyRequest, error: Any) -> Response[Any] | Template:
        answer = handler(request, error)
        if not _is_of_pages(request):
            return answer
        if isinstance(error, UnknownCallerError):
            return _ask_to_sign_in(request)
        shown = _shown(request, Problem.model_validate_json(answer.content))
        for name in ("Retry-After", "Allow", "WWW-Authenticate"):
            if name in answer.headers:
                shown.headers[name] = answer.headers[name]
        return shown

    return tell


def _shown(request: _AnyRequest, problem: Problem) -> Template:
    if wants_part(request):
        return part("refusal_part.html", status=problem.status, problem=problem)
    title = _TITLES.get(problem.status, problem.title)
    return page("refusal.html", title=title, salon=None, status=problem.status, problem=problem)


def _ask_to_sign_in(request: _AnyRequest) -> Response[Any]:
    """Who looks for a page goes to the form and comes back; an exchange is told to take her."""
    if wants_part(request):
        return Response(None, status_code=401, headers={"HX-Redirect": SIGN_IN})
    path = request.url.path + (f"?{request.url.query}" if request.url.query else "")
    return Redirect(sign_in_path(path if request.method == "GET" else "/"), status_code=303)


def _is_of_pages(request: _AnyRequest) -> bool:
    handler = cast("BaseRouteHandler | None", request.scope.get("route_handler"))
    if handler is not None:
        return bool(handler.opt.get("page"))
    # Nothing is at this path: a browser is told so in a page.
    return not request.url.path.startswith("/v1/") and "text/html" in request.headers.get(
        "accept", ""
    )
