"""What is refused to somebody who looks at pages: the same problems, told as a page."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, cast

from litestar import Request, Response
from litestar.handlers import BaseRouteHandler
from litestar.response import Template
from litestar.types import ExceptionHandlersMap

from api.pages.frame import page, part, wants_part
from schemas.problems import Problem

_AnyRequest = Request[Any, Any, Any]
_TITLES = {
    401: "Sign in first",
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


def _told(handler: _Handler) -> Callable[[_AnyRequest, Any], Response[bytes] | Template]:
    def tell(request: _AnyRequest, error: Any) -> Response[bytes] | Template:
        answer = handler(request, error)
        if not _is_of_pages(request):
            return answer
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
    shown = page("refusal.html", title=title, salon=None, status=problem.status, problem=problem)
    if problem.status == 401:
        shown.context["places"] = ()
    return shown


def _is_of_pages(request: _AnyRequest) -> bool:
    handler = cast("BaseRouteHandler | None", request.scope.get("route_handler"))
    if handler is not None:
        return bool(handler.opt.get("page"))
    # Nothing is at this path: a browser is told so in a page.
    return not request.url.path.startswith("/v1/") and "text/html" in request.headers.get(
        "accept", ""
    )
