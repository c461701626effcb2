"""Openings for people: when, where, with whom and why; with none, what is in the way."""

from __future__ import annotations

from collections.abc import Iterator

from rich.console import Group, RenderableType
from rich.text import Text

from api.cli.tables.book import Names
from api.cli.tables.words import cell, clock, day_name, hours, indented, plain_table, span
from schemas.openings import Opening, OpeningsAnswer
from schemas.plan import PlannedBreak, PlannedPhase


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
    head = Text(f"{number}. ", style="bold cyan")
    day = day_name(opening.start.astimezone(zone).date())
    head.append(f"{day} {span(opening.start, opening.finish, zone)}", style="bold not cyan")
    head.append(
        f"  {hours(minutes)}  {names.chair(opening.chair)}  {names.crew(opening.visit)}",
        style="not bold not cyan",
    )
    lines: list[RenderableType] = [head, indented(_hands(opening, names), 3, style="dim")]
    meals = [_meal(rest, opening, names) for rest in opening.breaks]
    if meals:
        lines.append(indented(f"breaks: {', '.join(meals)}", 3, style="dim"))
    lines += [indented(reason, 5, "-") for reason in opening.reasons]
    return Group(*lines, Text())


def _meal(rest: PlannedBreak, opening: Opening, names: Names) -> str:
    when = span(rest.window.start, rest.window.end, names.zone)
    inside = " inside the braiding" if rest.inside == opening.visit.visit else ""
    return f"{names.person(rest.staff)} {when}{inside}"


def _hands(opening: Opening, names: Names) -> str:
    told = []
    for phase in opening.visit.phases:
        words = (
            f"{phase.kind} {clock(phase.window.start, names.zone)} {names.person(phase.performer)}"
        )
        told.append(words + "".join(f" + {beside}" for beside in helping(phase, names)))
    return ", ".join(told)


def helping(phase: PlannedPhase, names: Names) -> Iterator[str]:
    """Who helps in the phase; with her hours where she does not stay for the whole of it."""
    for help_ in phase.help:
        name = names.person(help_.staff)
        whole = help_.window == phase.window
        yield name if whole else f"{name} {span(help_.window.start, help_.window.end, names.zone)}"
