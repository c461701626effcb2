"""A day as strips of characters: one cell for a quarter of an hour, one row for a chair or person.

A visit is a letter. On a chair's row it fills the whole time the chair is taken; on a person's row
a capital is work in her own hands, a small letter is help beside the lead, `=` is a break and `.`
is shift time that is free.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from rich.text import Text

from schemas.dayview import DutyRole, StaffDayView, VisitDayView
from schemas.windows import TimeWindow

CELL = timedelta(minutes=15)
ALPHABET = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
LEGEND = "A works on A, a helps on A, = break, . free"
_COLOURS = ("cyan", "green", "magenta", "yellow", "blue", "bright_red")


@dataclass(frozen=True)
class Face:
    """The hours shown: from a full hour, so many cells of a quarter of an hour."""

    start: datetime
    cells: int

    @classmethod
    def around(cls, start: datetime, end: datetime) -> Face:
        """The full hours around `[start, end)`, both in local time."""
        first = start.replace(minute=0)
        hours = -(-(end - first) // timedelta(hours=1))
        return cls(first, 4 * hours)

    def hours(self) -> str:
        """The heading: `09  10  11`."""
        marks = [self.start + index * CELL for index in range(0, self.cells, 4)]
        return "".join(f"{mark.hour:02d}  " for mark in marks).rstrip()

    def middles(self) -> list[datetime]:
        """The middle of every cell, which decides what it shows."""
        return [self.start + index * CELL + CELL / 2 for index in range(self.cells)]


def letters(visits: Sequence[VisitDayView]) -> dict[str, str]:
    """A letter for each visit in the order given; `*` when the alphabet is used up."""
    return {
        visit.visit: ALPHABET[index] if index < len(ALPHABET) else "*"
        for index, visit in enumerate(visits)
    }


def chair_strip(face: Face, visits: Sequence[VisitDayView], marks: Mapping[str, str]) -> Text:
    """One chair: its `visits` as letters, `.` where it is free."""
    row = Text()
    for middle in face.middles():
        taken = [marks[visit.visit] for visit in visits if _holds(visit.window, middle)]
        _append(row, taken[0] if taken else ".")
    return row


def person_strip(face: Face, person: StaffDayView, marks: Mapping[str, str]) -> Text:
    """One person over the day."""
    row = Text()
    for middle in face.middles():
        mark = "." if any(_holds(shift, middle) for shift in person.shifts) else " "
        for duty in person.duties:
            if _holds(duty.window, middle):
                letter = marks.get(duty.visit, "*")
                mark = letter if duty.role is DutyRole.PERFORMER else letter.lower()
        if any(_holds(rest.window, middle) for rest in person.breaks):
            mark = "="
        _append(row, mark)
    return row


def _holds(window: TimeWindow, instant: datetime) -> bool:
    return window.start <= instant < window.end


def _append(row: Text, mark: str) -> None:
    if mark == "=":
        row.append(mark, style="bold")
    elif mark in ". ":
        row.append(mark, style="dim")
    else:
        row.append(mark, style=_COLOURS[ALPHABET.find(mark.upper()) % len(_COLOURS)])
