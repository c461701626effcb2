"""`partline take-off FILE`: braids, minutes with odds, crews, hair, cautions."""

from __future__ import annotations

from api.cli.documents import read_document
from api.cli.options import File, Json
from api.cli.outlet import Outlet
from api.cli.planning import sensible
from api.cli.tables.take_off import take_off_tables
from schemas.takeoff import TakeOffRequest
from solver.takeoff import house_materials
from solver.takeoff import take_off as reckon


def take_off(file: File, machine: Json = False) -> None:
    """Turn a style into minutes and hair. FILE is a take-off-request."""
    outlet = Outlet(machine)
    request = read_document(file, TakeOffRequest)
    with sensible(file):
        answer = reckon(request)
    if machine:
        outlet.json(answer)
        return
    materials = {
        material.id: material.name for material in (*house_materials(), *request.materials)
    }
    outlet.show(*take_off_tables(answer, materials))
