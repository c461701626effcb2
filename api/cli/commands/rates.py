"""`partline rates`: the figures that take-offs reckon with."""

from __future__ import annotations

from api.cli.options import Json
from api.cli.outlet import Outlet
from api.cli.tables.words import cell, plain_table
from solver.takeoff import house_rates


def rates(machine: Json = False) -> None:
    """List the rates: code, value, plausible range, unit, provenance, sentence."""
    outlet = Outlet(machine)
    known = house_rates()
    if machine:
        outlet.json(known)
        return
    figures = ["value", "range"]
    table = plain_table("rate", *figures, "from", "what it is, and its unit", right=figures)
    for rate in known:
        words = f"{rate.sentence}, {rate.unit}"
        table.add_row(
            cell(rate.code),
            f"{rate.value:g}",
            f"{rate.low:g}-{rate.high:g}",
            rate.provenance.value,
            cell(words if rate.source is None else f"{words} ({rate.source})"),
        )
    outlet.show(table)
