"""What the rules on meals share: a shift's meal breaks, and which of them are good."""

from __future__ import annotations

from collections.abc import Iterator

from schemas.plan import BreakKind
from schemas.resources import Shift
from schemas.rules import RuleSetting
from solver.rules.handwork import is_concerned
from solver.rules.reading import Reading, Rest, Span


def shifts_concerned(reading: Reading, setting: RuleSetting) -> Iterator[tuple[Shift, Span]]:
    """The shifts of everybody the rule looks at, with the time on duty in minutes."""
    for shift in reading.day_book.shifts:
        if is_concerned(reading, shift.staff, setting):
            yield shift, reading.duty(shift)


def meals_of(reading: Reading, shift: Shift, *, least: int, inside: int) -> list[Rest]:
    """The meal breaks wholly in the shift, in order, of at least so many minutes.

    With `inside` 0, those that lie inside a visit are left out.
    """
    return [
        rest
        for rest in reading.rests_within(shift.staff, *reading.duty(shift))
        if rest.planned.kind is BreakKind.MEAL
        and rest.end - rest.start >= least
        and (rest.planned.inside is None or inside == 1)
    ]
