"""`partline take-off FILE`: braids, minutes with odds, crews, hair, cautions."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from api.cli.documents import read_document, spoken
from api.cli.options import File, Json
from api.cli.outlet import Outlet
from api.cli.planning import sensible
from api.cli.refusal import RefusalError
from api.cli.tables.explanation import explanation_tables
from api.cli.tables.take_off import take_off_tables
from schemas.takeoff import TakeOffRequest
from solver.takeoff import explained, house_materials
from solver.takeoff import take_off as reckon
from solver.takeoff.drawing import parting_map
from solver.takeoff.rates import rate_book

Explain = Annotated[
    bool, typer.Option("--explain", help="Every figure, line by line, with where it comes from.")
]
Map = Annotated[
    str | None,
    typer.Option("--map", metavar="FILE.svg", help="Also draw the parting, as an SVG image."),
]


def take_off(
    file: File, *, explain: Explain = False, drawing: Map = None, machine: Json = False
) -> None:
    """Turn a style into minutes and hair. FILE is a take-off-request."""
    outlet = Outlet(machine)
    request = read_document(file, TakeOffRequest)
    with sensible(file):
        answer = explained(request) if explain else reckon(request)
    if drawing is not None:
        _draw(request, drawing)
        outlet.note(f"The parting map is in {spoken(drawing)}.")
    if machine:
        outlet.json(answer)
        return
    materials = {
        material.id: material.name for material in (*house_materials(), *request.materials)
    }
    outlet.show(*take_off_tables(answer, materials))
    if explain:
        outlet.show(*explanation_tables(answer))


def _draw(request: TakeOffRequest, drawing: str) -> None:
    """Write the map. Raises RefusalError where the file cannot be written."""
    if not drawing.lower().endswith(".svg"):
        # Anything else may be a document that is dear to somebody.
        raise RefusalError(f"--map {drawing}: name a file that ends in .svg")
    image = parting_map(request.style, rate_book(request.rates))
    try:
        Path(drawing).write_text(image, encoding="utf-8")
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise RefusalError(f"--map {drawing} cannot be written ({reason})") from None
