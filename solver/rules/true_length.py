"""Part of `work-done`: how long a phase lasts, in whole numbers alone."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import ROUND_HALF_UP, Decimal

from schemas.resources import StaffMember
from schemas.work import PhaseWork


def hundredths(factor: float) -> int:
    """A pace or a help rate in whole hundredths, half a hundredth upwards.

    Reads the number as it is written, so 1.005 is 101 although its double lies just below.
    """
    exact = Decimal(repr(factor)) * 100
    return int(exact.quantize(Decimal(1), rounding=ROUND_HALF_UP))


def own_work(work: PhaseWork, performer: StaffMember, step: int) -> int:
    """Minutes the performer alone takes, rounded up to the grid of `step` minutes."""
    return _ceil(work.minutes * hundredths(performer.pace), 100 * step) * step


def duration(
    work: PhaseWork,
    performer: StaffMember,
    helped: Iterable[tuple[StaffMember, int]],
    rest: int,
    step: int,
) -> int:
    """Minutes the phase lasts with so much help (helper, minutes) and break inside.

    Help in a phase that is not shared brings nothing.
    """
    alone = own_work(work, performer, step) + rest
    if not work.shared:
        return alone
    saved = sum(hundredths(helper.help_rate) * minutes for helper, minutes in helped)
    if not saved:
        return alone
    return max(step, _ceil(100 * alone - saved, 100 * step) * step)


def _ceil(quantity: int, unit: int) -> int:
    return -(-quantity // unit)
