"""Places of bookings that contradict themselves: phases out of order, a window that is not theirs.

Whether two places go together is no question of this kind: the checker answers it.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from schemas.daybook import DayBook
from schemas.plan import PlannedVisit
from solver.errors import Fault


def place_faults(day_book: DayBook) -> Iterator[Fault]:
    for index, booking in enumerate(day_book.bookings):
        if booking.placed is not None:
            yield from _placed(f"/bookings/{index}/placed", booking.placed)


def _placed(pointer: str, placed: PlannedVisit) -> Iterator[Fault]:
    for number, (before, after) in enumerate(pairwise(placed.phases), 1):
        if after.window.start < before.window.end:
            yield Fault(
                f"{pointer}/phases/{number}/window",
                f"{after.kind} begins before {before.kind} has ended",
            )
    begins = min(phase.window.start for phase in placed.phases)
    ends = max(phase.window.end for phase in placed.phases)
    if (placed.window.start, placed.window.end) != (begins, ends):
        yield Fault(
            f"{pointer}/window",
            f"must be that of its phases, {begins.isoformat()} to {ends.isoformat()}",
        )
