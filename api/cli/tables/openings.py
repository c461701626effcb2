"""Openings for people: when, where, with whom and why; with none, what is in the way."""

from __future__ import annotations

from collections.abc import Iterator

from rich.console import RenderableType
from rich.padding import Padding
from rich.text import Text

from api.cli.tables.book import Names
from api.cli.tables.words import cell, clock, day_name, hours, plain_table, span
from schemas.openings import Opening, OpeningsAnswer


def openings_tables(answer: OpeningsAnswer, names: Names) -> Iterator[RenderableType]:
    client = names.client(answer.request)
    if not answer.openings:
        yield Text(f"{client}: nothing fits as the book stands", style="bold red")
        if answer.obstacles:
            table = plain_table("in the way", "places closed", right=["places closed"])
            for obstacle in answer.obstacles:
                table.add_row(cell(obstacle.sentence), str(obstacle.places))
            yield table
        return
    fit = f"{answer.found} start{'s' if answer.found != 1 else ''} fit"
    yield Text(f"{client}: {fit}, best first", style="bold")
    for number, opening in enumerate(answer.openings, start=1):
        yield opening_block(opening, names, number)


def opening_block(opening: Opening, names: Names, number: int) -> RenderableType:
    """One opening: a line to say on the phone, the hours of the hands, the reasons."""
    zone = names.zone
    minutes = (opening.finish - opening.start).total_seconds() / 60
    text = Text()
    text.append(f"{number}. ", style="bold cyan")
    text.append(
        f"{day_name(opening.start.astimezone(zone).date())} "
        f"{span(opening.start, opening.finish, zone)}",
        style="bold",
    )
    text.append(f"  {hours(minutes)}  {names.chair(opening.chair)}  {names.crew(opening.visit)}")
    text.append(f"\n   {_hands(opening, names)}", style="dim")
    meals = [
        f"{names.person(rest.staff)} {span(rest.window.start, rest.window.end, zone)}"
        + (" inside the braiding" if rest.inside == opening.visit.visit else "")
        for rest in opening.breaks
    ]
    if meals:
        text.append(f"\n   breaks: {', '.join(meals)}", style="dim")
    for reason in opening.reasons:
        text.append(f"\n   - {reason}")
    return Padding(text, (0, 0, 1, 1))


def _hands(opening: Opening, names: Names) -> str:
    told = []
    for phase in opening.visit.phases:
        words = (
            f"{phase.kind} {clock(phase.window.start, names.zone)} {names.person(phase.performer)}"
        )
        for help_ in phase.help:
            hands = span(help_.window.start, help_.window.end, names.zone)
            words += f" with {names.person(help_.staff)} {hands}"
        told.append(words)
    return ", ".join(told)
