"""A repaired day for people: what to renegotiate, what changed, whom to tell."""

from __future__ import annotations

from collections.abc import Iterator

from rich.console import RenderableType
from rich.text import Text

from api.cli.tables.solve import tier_table
from api.cli.tables.words import DASH, cell, indented, plain_table
from schemas.plan import SolveStatus
from schemas.repair import RepairResult

_SAID = {
    SolveStatus.OPTIMAL: ("repaired; nothing better is possible", "bold green"),
    SolveStatus.FEASIBLE: ("repaired; more time might win what the gaps leave", "bold yellow"),
    SolveStatus.INFEASIBLE: ("no repair: the day cannot go on like this", "bold red"),
    SolveStatus.OUT_OF_TIME: ("no repair found in the time; give it more --seconds", "bold red"),
}


def repair_tables(result: RepairResult) -> Iterator[RenderableType]:
    sentence, style = _SAID[result.status]
    yield Text(sentence, style=style)
    if result.plan is None:
        return
    if result.renegotiate:
        yield Text("To be renegotiated:", style="bold red")
        for owed in result.renegotiate:
            yield indented(owed.say, 2)
    if result.differences:
        table = plain_table("what", "tell", "say")
        for difference in result.differences:
            tell = ", ".join(person.name for person in difference.tell)
            table.add_row(difference.what.value, cell(tell or DASH), cell(difference.say))
        yield table
    else:
        yield Text("Nothing changes.", style="green")
    if result.tiers:
        yield tier_table(result.tiers)
