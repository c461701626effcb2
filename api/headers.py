"""What every answer tells a browser: to guess nothing, to keep nothing, to load nothing from afar.

An answer that says so itself keeps its own words.
"""

from __future__ import annotations

from litestar.datastructures import MutableScopeHeaders
from litestar.enums import ScopeType
from litestar.types import Message, Scope

from api.paths import is_page

PAGE_POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; "
    "connect-src 'self'; form-action 'self'; frame-ancestors 'none'; base-uri 'none'"
)
POLICY = "default-src 'none'; frame-ancestors 'none'"
"""Of what is no page and loads nothing."""
ALWAYS = {
    "X-Content-Type-Options": "nosniff",
    # Not "no-referrer": a browser would then call the origin of its forms null.
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Cache-Control": "no-store",
}


async def guard_browser(message: Message, scope: Scope) -> None:
    """A hook: the headers above, when an answer begins."""
    if message["type"] != "http.response.start" or scope["type"] != ScopeType.HTTP:
        return
    headers = MutableScopeHeaders.from_message(message)
    policy = PAGE_POLICY if is_page(scope) else POLICY
    for name, value in {**ALWAYS, "Content-Security-Policy": policy}.items():
        headers.setdefault(name, value)
