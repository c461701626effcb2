"""Files that the pages load: shipped with the package, and nothing from elsewhere."""

from __future__ import annotations

import hashlib
from functools import cache
from importlib.resources import files

from litestar import Response, get
from litestar.exceptions import NotFoundException
from litestar.params import FromPath, FromQuery

from api.paths import EVERYBODY

KINDS = {
    "partline.css": "text/css",
    "figures.css": "text/css",
    "htmx.min.js": "text/javascript",
    "live.js": "text/javascript",
    "mark.svg": "image/svg+xml",
}
"""Every file that is handed out, with its media type."""


@cache
def content(name: str) -> bytes:
    return files("api.pages").joinpath("static", name).read_bytes()


@cache
def address(name: str) -> str:
    """Where a page finds the file; another address once its content is another."""
    return f"/assets/{name}?v={hashlib.sha256(content(name)).hexdigest()[:12]}"


@get("/assets/{name:str}", opt=EVERYBODY)
async def asset(name: FromPath[str], v: FromQuery[str] = "") -> Response[bytes]:
    del v  # Only there so that a browser keeps a file until it is another.
    if name not in KINDS:
        raise NotFoundException
    headers = {"Cache-Control": "public, max-age=31536000, immutable"}
    return Response(content(name), media_type=KINDS[name], headers=headers)
