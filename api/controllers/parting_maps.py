"""Parting maps as SVG, and what a browser may do with them: nothing but show them."""

from __future__ import annotations

from litestar import Controller, Response, get, post
from litestar.di import NamedDependency
from litestar.params import JSONBody

from api.controllers.operations import FINDS, refuses
from api.controllers.parameters import Name
from api.controllers.questions import ASKS
from api.services.desk import Desk
from schemas.quantities import PartingMapQuestion

SVG = "image/svg+xml"
HEADERS = {
    # Opened by itself, an image runs and loads nothing, whatever stands in it.
    "Content-Security-Policy": "default-src 'none'; frame-ancestors 'self'; sandbox",
    "X-Content-Type-Options": "nosniff",
}


class PartingMapController(Controller):
    path = "/parting-maps"
    tags = ("take-offs",)

    @post(
        operation_id="drawParting",
        summary="Draw the parting of a style",
        status_code=200,
        media_type=SVG,
        opt=refuses(ASKS, svg=True),
    )
    async def draw_parting(
        self, desk: NamedDependency[Desk], data: JSONBody[PartingMapQuestion]
    ) -> Response[bytes]:
        """An SVG image of the head from above and behind: boxes, row numbers and curls."""
        return _drawn(await desk.quantities.draw(data))


class StyleMapController(Controller):
    path = "/styles"
    tags = ("styles",)

    @get(
        "/{id:str}/parting-map",
        operation_id="readPartingMap",
        summary="See the parting of a style",
        media_type=SVG,
        opt=refuses(FINDS, svg=True),
    )
    async def read_parting_map(self, desk: NamedDependency[Desk], name: Name) -> Response[bytes]:
        """The parting of one line of the menu, as an SVG image at an address of its own."""
        return _drawn(await desk.quantities.draw_of_menu(name))


def _drawn(image: str) -> Response[bytes]:
    return Response(image.encode(), media_type=SVG, headers=HEADERS)
