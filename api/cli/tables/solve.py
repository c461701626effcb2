"""What a solve says of its plan: status, tiers, bounds and gaps."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rich.console import RenderableType
from rich.table import Table
from rich.text import Text

from api.cli.tables.words import cell, plain_table
from schemas.plan import PlanResult, SolveStatus, Tier

_SAID = {
    SolveStatus.OPTIMAL: ("optimal: every goal below is proved best", "bold green"),
    SolveStatus.FEASIBLE: (
        "feasible: a good plan; a gap below is what more time might win",
        "bold yellow",
    ),
    SolveStatus.INFEASIBLE: ("infeasible: the promises cannot all be kept", "bold red"),
    SolveStatus.OUT_OF_TIME: (
        "out of time: no plan found, none proved impossible; give it more --seconds",
        "bold red",
    ),
}


def solve_tables(result: PlanResult) -> Iterator[RenderableType]:
    sentence, style = _SAID[result.status]
    yield Text(sentence, style=style)
    if result.tiers:
        table = tier_table(result.tiers)
        table.caption = f"most chairs taken at one time: {result.peak_chairs}"
        table.caption_justify = "left"
        yield table


def tier_table(tiers: Sequence[Tier]) -> Table:
    """The goals in their order, with what is reached and what is proved."""
    figures = ["value", "bound", "gap"]
    table = plain_table("goal", *figures, right=figures)
    for tier in tiers:
        want = "most" if tier.maximised else "least"
        table.add_row(
            cell(f"{tier.name} ({want})"),
            str(tier.value),
            str(tier.bound),
            f"{100 * tier.gap:.1f} %",
        )
    return table
