"""Lists in pages: the link to the next one (RFC 8288), beside `next` in the document."""

from __future__ import annotations

from typing import Any
from urllib.parse import parse_qsl, urlencode

from litestar import Litestar, Request, Response
from litestar.response.base import ASGIResponse

from schemas.pages import Page


class Listed(Response[Any]):
    """A response that says in a header where a list begins and where it goes on."""

    def to_asgi_response(
        self, app: Litestar | None, request: Request[Any, Any, Any], **stated: Any
    ) -> ASGIResponse:
        if isinstance(self.content, Page):
            self.headers["Link"] = links(request, self.content.next)
        return super().to_asgi_response(app, request, **stated)


def links(request: Request[Any, Any, Any], next_: str | None) -> str:
    """Targets are relative to the answer, so that a proxy may stand in front."""
    stated = parse_qsl(request.url.query, keep_blank_values=True)
    kept = [pair for pair in stated if pair[0] != "after"]
    told = [f'<{_target(request, kept)}>; rel="first"']
    if next_ is not None:
        told.append(f'<{_target(request, [*kept, ("after", next_)])}>; rel="next"')
    return ", ".join(told)


def _target(request: Request[Any, Any, Any], query: list[tuple[str, str]]) -> str:
    return request.url.path + (f"?{urlencode(query)}" if query else "")
