"""Days on which others make room, for people: her place, what would move, whom to tell."""

from __future__ import annotations

from collections.abc import Iterator

from rich.console import Group, RenderableType
from rich.text import Text

from api.cli.tables.book import Names
from api.cli.tables.words import DASH, cell, day_name, hours, plain_table, span
from schemas.rearranging import RearrangedDay, RearrangingAnswer, Room

_NO = {
    Room.NONE: ("no room, whatever moves within the promises", "red"),
    Room.OUT_OF_TIME: ("no room found in the time; give it more --day-seconds", "yellow"),
}


def rearranged_tables(answer: RearrangingAnswer, names: Names) -> Iterator[RenderableType]:
    client = names.client(answer.request)
    room = sum(day.visit is not None for day in answer.days)
    style = "bold" if room else "bold red"
    of = f"{len(answer.days)} day{'s' if len(answer.days) != 1 else ''} looked at"
    yield Text(f"{client}: room on {room} of {of}", style=style)
    for day in answer.days:
        yield _day(day, names)


def _day(day: RearrangedDay, names: Names) -> RenderableType:
    head = Text(day_name(day.date), style="bold")
    if day.visit is None:
        sentence, style = _NO[day.room]
        return head.append(f"  {sentence}", style=f"not bold {style}")
    window, minutes = day.visit.window, day.visit.window.minutes
    head.append(f" {span(window.start, window.end, names.zone)}")
    head.append(
        f"  {hours(minutes)}  {names.chair(day.visit.chair)}  {names.crew(day.visit)}",
        style="not bold",
    )
    if not day.moves:
        return Group(head, Text("  nobody else is told anything new", style="dim"))
    table = plain_table("what", "tell", "say")
    for each in day.moves:
        tell = ", ".join(person.name for person in each.tell)
        table.add_row(each.what.value, cell(tell or DASH), cell(each.say))
    return Group(head, table)
