"""Work past the end of a shift: how much of it is allowed, and what each minute costs.

Without this rule nobody works past her shift. With it, whoever it looks at may go on for up to
`minutes` after her shift ends, until her next one begins, and each minute from the end on the rota
to the end of her last work costs the weight. Where it is set several times, the first setting that
looks at a person is hers.

A shift with overtime is as long as she is on duty: the rules on breaks judge it by that, so half an
hour more may ask for a further break. The rules on hours count the work in it like any other.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated

from pydantic import Field

from schemas.rules import RuleSetting
from schemas.units import Number
from solver.rules.duty import setting_of
from solver.rules.reading import Reading, span
from solver.rules.rule import Breach, Parameters, Rule


class Overtime(Parameters):
    """How much overtime there may be."""

    minutes: Annotated[int, Field(ge=0, le=480), Number] = 0
    """The most minutes past the end of a shift."""


def _check(reading: Reading, parameters: Overtime, setting: RuleSetting) -> Iterator[Breach]:
    for shift in reading.day_book.shifts:
        (start, ends), (_, until) = span(shift.window), reading.duty(shift)
        hers = setting_of(reading.day_book, reading.staff.get(shift.staff))
        if until <= ends or hers is None or hers.label != setting.label:
            continue
        who, more = reading.person(shift.staff), until - ends
        visits = dict.fromkeys(
            planned.visit
            for planned in reading.plan.visits
            for phase in planned.phases
            for staff, window in (
                (phase.performer, phase.window),
                *((help_.staff, help_.window) for help_ in phase.help),
            )
            if staff == shift.staff and start <= span(window)[0] and ends < span(window)[1] <= until
        )
        yield Breach(
            detail=f"{who} works {more} min of overtime, {reading.when(ends, until)}; her shift "
            f"ends at {reading.clock(ends)}, and {parameters.minutes} min are allowed.",
            remedy=f"Ask {who} whether she stays, or give the work after "
            f"{reading.clock(ends)} to somebody else.",
            visits=tuple(visits),
            staff=(shift.staff,),
            window=reading.window(ends, until),
            size=more,
        )


RULE = Rule(
    code="overtime",
    sentence="Work past the end of a shift is allowed up to a limit, and costs.",
    parameters=Overtime,
    check=_check,
    scopes=("staff_tags",),
    house_hard=False,
    source="Common practice, no source; check your local code",
    house_on=False,
    repeatable=True,
    only_soft=True,
)
