"""The page that shows the document. All it needs is shipped in `api/static`."""

from __future__ import annotations

from importlib.resources import files

from litestar import Response, get
from litestar.exceptions import NotFoundException
from litestar.params import FromPath

from api.description.document import describe
from api.paths import EVERYBODY

ASSETS = {
    "swagger-ui-bundle.js": "text/javascript; charset=utf-8",
    "swagger-ui.css": "text/css; charset=utf-8",
    "description.js": "text/javascript; charset=utf-8",
    "description.css": "text/css; charset=utf-8",
}
# The browser itself is told to load nothing from elsewhere.
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self' 'unsafe-inline'; "
    "img-src 'self' data:; font-src 'self' data:; connect-src 'self'; base-uri 'none'; "
    "form-action 'self'; frame-ancestors 'none'"
)
PAGE = """<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>Partline API</title>
<link rel="icon" href="data:,">
<link rel="stylesheet" href="/schema/assets/swagger-ui.css">
<link rel="stylesheet" href="/schema/assets/description.css">
<script src="/schema/assets/swagger-ui-bundle.js" defer></script>
<script src="/schema/assets/description.js" defer></script>
</head>
<body>
<noscript>This page needs JavaScript. The document is at /schema/openapi.json.</noscript>
<div id="description"></div>
</body>
</html>
"""


@get("/schema", opt=EVERYBODY)
async def page() -> Response[str]:
    return Response(PAGE, media_type="text/html", headers={"Content-Security-Policy": POLICY})


@get("/schema/openapi.json", opt=EVERYBODY)
async def document() -> Response[dict[str, object]]:
    return Response(describe(), media_type="application/json")


@get("/schema/assets/{name:str}", opt=EVERYBODY)
async def asset(name: FromPath[str]) -> Response[bytes]:
    if name not in ASSETS:
        raise NotFoundException
    content = files("api").joinpath("static", name).read_bytes()
    headers = {"Cache-Control": "public, max-age=3600"}
    return Response(content, media_type=ASSETS[name], headers=headers)


PAGES = (page, document, asset)
