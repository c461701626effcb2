"""Where a request of a browser comes from, and the cookie it carries.

Browsers send cookies, and reach services on the same machine, on behalf of any page that asks them
to. They say which page that was: by Sec-Fetch-Site (W3C Fetch Metadata) and by Origin (RFC 6454).
"""

from __future__ import annotations

from typing import Any
from urllib.parse import urlsplit

from litestar import Request
from litestar.connection import ASGIConnection
from litestar.datastructures import Headers
from litestar.types import HTTPScope, Receive, Scope

from api.paths import SAFE
from api.services.errors import ForeignRequestError
from api.services.sessions import is_proof
from api.settings import LOOPBACK

PROOF_HEADER = "X-CSRF-Token"
PROOF_FIELD = "_csrf_token"
_FORM = "application/x-www-form-urlencoded"
_FOREIGN = "a page of somebody else led here: open the page of this service and ask from there"


def require_from_here(scope: HTTPScope) -> None:
    """Raises ForeignRequestError where a change was asked for by a page that is none of ours.

    Whoever sends neither header is no browser of these years, and is led by nobody.
    """
    if scope["method"] in SAFE:
        return
    headers = Headers.from_scope(scope)
    site, origin = headers.get("sec-fetch-site"), headers.get("origin")
    if site is not None:
        foreign = site not in {"same-origin", "none"}
    else:
        foreign = origin is not None and urlsplit(origin).netloc != headers.get("host")
    if foreign:
        raise ForeignRequestError(_FOREIGN)


def require_this_machine(scope: HTTPScope) -> None:
    """Raises ForeignRequestError where a service that asks for no token is called by another name.

    A name of somebody else's may lead to this machine, and its pages are then of the same origin.
    """
    if _host(scope) not in LOOPBACK:
        raise ForeignRequestError(
            f"without tokens this service is asked for by {' or '.join(LOOPBACK)} alone"
        )


async def require_proof(scope: HTTPScope, receive: Receive, session: str) -> None:
    """Raises ForeignRequestError where a change does not carry what only our pages know."""
    if scope["method"] in SAFE:
        return
    stated = Headers.from_scope(scope).get(PROOF_HEADER)
    if stated is None and _media_type(scope) == _FORM:
        request: Request[Any, Any, Any] = scope["litestar_app"].request_class(scope, receive)
        # The framework keeps what was read for the handler, within the limit of a body.
        stated = (await request.form()).get(PROOF_FIELD)
    if not isinstance(stated, str) or not is_proof(stated, session):
        raise ForeignRequestError("this form is not the newest: open its page again")


def session_of(scope: Scope) -> str | None:
    """What the cookie of a session says, where there is one."""
    connection: ASGIConnection[Any, Any, Any, Any] = ASGIConnection(scope)
    return connection.cookies.get(cookie_name(scope)) or None


def cookie_name(scope: Scope) -> str:
    """With the prefix that makes browsers insist on TLS (RFC 6265bis), where there can be any."""
    return "__Host-partline" if is_sent_safely(scope) else "partline"


def is_sent_safely(scope: Scope) -> bool:
    """False on plain HTTP within this machine; elsewhere a cookie asks for TLS, come what may."""
    return scope["scheme"] == "https" or _host(scope) not in LOOPBACK


def _host(scope: Scope) -> str | None:
    try:
        return urlsplit(f"//{Headers.from_scope(scope).get('host', '')}").hostname
    except ValueError:
        return None


def _media_type(scope: Scope) -> str:
    return Headers.from_scope(scope).get("content-type", "").split(";", 1)[0].strip().lower()
