"""Whether a well-formed day book makes sense: the fields held against each other.

The documents in `schemas` bound each field; here ids must lead somewhere, times must be the salon's
own and on its grid, rules must exist and be set in range, and no confirmed booking may ask for what
no plan of this day book could give.
"""

from __future__ import annotations

from schemas.daybook import DayBook
from solver.crossing.places import place_faults
from solver.crossing.promises import promise_faults
from solver.crossing.references import reference_faults
from solver.crossing.times import time_faults
from solver.errors import DayBookError, Fault
from solver.rules import setting_faults

MOST_FAULTS = 100
"""Faults told at once: a hundred are enough to begin with."""


def cross_check(day_book: DayBook) -> None:
    """Return if the day book makes sense; else raise `DayBookError`, a fault for each thing wrong.

    Each fault carries the JSON pointer (RFC 6901) of its field, for example
    `/bookings/3/promise/lead`. A field is told once.
    """
    faults: dict[str, Fault] = {}
    for part in (reference_faults, time_faults, place_faults, promise_faults, setting_faults):
        for fault in part(day_book):
            faults.setdefault(fault.pointer, fault)
    if faults:
        raise DayBookError(*list(faults.values())[:MOST_FAULTS])
