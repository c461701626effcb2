"""Why a request does not fit: reasons day by day, and the changes that would make room."""

from __future__ import annotations

from collections.abc import Iterator

from rich.console import Group, RenderableType
from rich.text import Text

from api.cli.tables.book import Names
from api.cli.tables.words import cell, indented, plain_table
from schemas.daybook import DayBook
from schemas.explanations import DayReasons, Explanation, Fit

_SAID = {
    Fit.DOES_NOT_FIT: ("does not fit, however the bookings are arranged", "bold red"),
    Fit.NOT_AS_BOOKED: (
        "does not fit as the book stands; whether arranging others anew would make room could not "
        "be told in the time",
        "bold red",
    ),
    Fit.UNKNOWN: ("no place found, and none proved impossible; give it more --seconds", "bold red"),
}


def why_tables(answer: Explanation, book: DayBook) -> Iterator[RenderableType]:
    client = Names.of(book).client(answer.request)
    if answer.placed is not None:
        start = answer.placed.window.start
        yield Text(f"{client} fits: {start:%Y-%m-%d} at {start:%H:%M}.", style="bold green")
        return
    sentence, style = _SAID[answer.fit]
    yield Text(f"{client} {sentence}.", style=style)
    for day in answer.days:
        yield _day(day)
    if answer.days_left_out:
        yield Text(f"{answer.days_left_out} more day(s) are not explained.", style="dim")
    if answer.changes:
        table = plain_table("cost", "change that makes room (each was planned)", right=["cost"])
        for change in answer.changes:
            table.add_row(str(change.cost), cell(change.sentence))
        yield table
    else:
        yield Text("No single change that is known makes room.", style="yellow")
    if not answer.seconds_did:
        yield Text("Not every change was tried in the time.", style="dim")


def _day(day: DayReasons) -> RenderableType:
    how = "in the way, each of them needed" if day.minimal else "in the way, among others perhaps"
    depth = ", everybody booked staying where they are" if day.as_booked else ""
    lines: list[RenderableType] = [Text(f"{day.date}: {how}{depth}", style="bold")]
    if not day.promises_hold:
        lines.append(indented("The promises of that day cannot all hold even without her.", 2))
    for reason in day.reasons:
        lines += [
            Text(f"x {reason.rule}", style="bold red"),
            indented(reason.detail, 2),
        ]
    return Group(*lines)
