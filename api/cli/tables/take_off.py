"""A take-off for people: braids, minutes with odds, crews, hair, cautions."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from rich.console import RenderableType
from rich.table import Table
from rich.text import Text

from api.cli.tables.money import money
from api.cli.tables.words import DASH, cell, grams, hours, indented, plain_table
from schemas.hair import HairSubstitute
from schemas.takeoff import TakeOff


def take_off_tables(
    answer: TakeOff, materials: Mapping[str, str] | None = None
) -> Iterator[RenderableType]:
    """The parts of the answer, top to bottom; `materials` gives names to material ids."""
    curls = f", {answer.curls} curls" if answer.curls else ""
    booked = hours(answer.minutes.booked)
    head = Text(f"{answer.style}: {answer.braids} braids{curls}", style="bold")
    head.append(f"\nbooked at P{answer.minutes.percentile} for the lead alone: {booked}")
    yield head
    if answer.rows:
        yield _rows(answer)
    yield _minutes(answer)
    yield _crews(answer)
    if answer.hair:
        yield _hair(answer, materials or {})
    for instead in answer.substitutes:
        yield indented(_substitute(instead, materials or {}), 2, "~")
    for caution in answer.cautions:
        yield indented(caution.sentence, 2, "!", style="yellow")


def _rows(answer: TakeOff) -> Table:
    table = plain_table(
        "section", "boxes, row by row", "curls on each", "braids", title="Parting", right=["braids"]
    )
    sections: dict[str, list[tuple[int, float]]] = {}
    for row in answer.rows:
        sections.setdefault(row.section, []).append((row.braids, row.curls_per_braid))
    for section, rows in sections.items():
        table.add_row(
            section,
            " ".join(str(braids) for braids, _ in rows),
            " ".join(f"{curls:.3g}" for _, curls in rows) if any(c for _, c in rows) else "",
            str(sum(braids for braids, _ in rows)),
        )
    return table


def _minutes(answer: TakeOff) -> Table:
    odds = ["mean", "P50", "P80", "P95"]
    table = plain_table("phase", *odds, title="Time, lead alone", right=odds)
    for phase in answer.phase_minutes:
        table.add_row(phase.kind, *map(hours, (phase.mean, phase.p50, phase.p80, phase.p95)))
    table.add_section()
    whole = answer.minutes
    table.add_row("visit", *map(hours, (whole.mean, whole.p50, whole.p80, whole.p95)), style="bold")
    return table


def _crews(answer: TakeOff) -> Table:
    heading = f"booked at P{answer.minutes.percentile}"
    timed = any(crew.finish is not None for crew in answer.crews)
    figures = [heading, "saved", *(["done by"] if timed else [])]
    table = plain_table("crew", *figures, title="Crews", right=figures)
    for crew in answer.crews:
        told = [cell(crew.crew), hours(crew.booked), hours(crew.saved) if crew.saved else ""]
        if crew.finish is not None:
            told.append(f"{crew.finish:%H:%M}")
        table.add_row(*told)
    return table


def _hair(answer: TakeOff, materials: Mapping[str, str]) -> Table:
    costs = "".join(f", {money(each.price, each.currency)}" for each in answer.hair_prices)
    figures = ["used", "packs", "left over", "price"]
    table = plain_table(
        "material",
        "role",
        *figures,
        title=f"Hair, {grams(answer.hair_grams)} in all{costs}",
        right=figures,
    )
    for line in answer.hair:
        name = materials.get(line.material, line.material)
        table.add_row(
            cell(name + (" (client brings it)" if line.brought_by_client else "")),
            line.role.value,
            grams(line.grams),
            str(line.packs),
            grams(line.left_over_grams),
            DASH if line.currency is None else money(line.price, line.currency),
        )
    return table


def _substitute(instead: HairSubstitute, materials: Mapping[str, str]) -> str:
    """What could be used, and whether it is there."""
    asked = materials.get(instead.instead_of, instead.instead_of)
    there = "on the shelf" if instead.on_hand else "to be ordered"
    return f"{asked} is {grams(instead.short_grams)} short. {instead.sentence}; {there}."
