"""Which meal breaks a person's shifts owe, and where each could lie.

Read from raw times: whether a break lies inside work is asked of the work's windows, not of the
break's label. In a shift that owes a break, the first break that is good as it stands and lies
between duties may move within the rule; every other break in the book stays where it is.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from schemas.plan import BreakKind, PlannedBreak, PlannedVisit
from schemas.resources import Shift
from solver.bits import span
from solver.openings.raster import Raster
from solver.rules import MealBreak


@dataclass(frozen=True)
class ShiftMeals:
    """The meal of one shift, in slots. `places` are the starts left by all other duties."""

    start: int
    end: int
    needed: bool
    """The rule asks for a break that no break inside placed work gives."""
    length: int
    allowed: int
    """Starts the rule and the shift allow, busy or not."""
    places: int
    movable: PlannedBreak | None


def work_of(staff: str, visits: Iterable[PlannedVisit], raster: Raster) -> int:
    """The slots in which this person performs or helps."""
    bits = 0
    for visit in visits:
        for phase in visit.phases:
            windows = [phase.window] if phase.performer == staff else []
            windows += [help_.window for help_ in phase.help if help_.staff == staff]
            if windows:
                bits |= raster.taken(windows)
    return bits


def shift_meals(
    shift: Shift,
    rule: MealBreak | None,
    work: int,
    breaks: Sequence[PlannedBreak],
    raster: Raster,
) -> ShiftMeals:
    """The meal of `shift`, given the person's `work` and all her `breaks` that meet the shift."""
    start, end = raster.inward(shift.window)
    minutes = shift.window.minutes
    if rule is None or minutes <= rule.after:
        return ShiftMeals(start, end, False, 0, 0, 0, None)
    length = raster.ceil(rule.minutes)
    first = raster.frame.minute(shift.window.start)
    earliest = -(-(first + rule.earliest) // raster.unit)
    latest = min((first + rule.latest) // raster.unit, end - length)
    allowed = span(earliest, latest + 1) & raster.on_grid & (raster.on_grid >> length)
    good = [each for each in breaks if _is_good(each, shift, rule)]
    inside = [each for each in good if raster.taken([each.window]) & work]
    if inside:
        return ShiftMeals(start, end, False, length, allowed, 0, None)
    movable = good[0] if good else None
    busy = work | raster.taken(each.window for each in breaks if each is not movable)
    places = allowed
    for ahead in range(length):
        places &= ~(busy >> ahead)
    return ShiftMeals(start, end, True, length, allowed, places, movable)


def _is_good(each: PlannedBreak, shift: Shift, rule: MealBreak) -> bool:
    window = shift.window
    if each.kind is not BreakKind.MEAL or not window.contains(each.window):
        return False
    begun = round((each.window.start - window.start).total_seconds() / 60)
    allowed = each.inside is None or rule.inside == 1
    return allowed and rule.earliest <= begun <= rule.latest and each.window.minutes >= rule.minutes


def middle_place(meals: ShiftMeals, places: int) -> int | None:
    """The start in `places` nearest the middle of what the rule allows, the earlier of two."""
    return middle_of(meals.allowed, places)


def middle_of(allowed: int, places: int) -> int | None:
    """The start in `places` nearest the middle of `allowed`, the earlier of two."""
    if not places or not allowed:
        return None
    low = (allowed & -allowed).bit_length() - 1
    middle = (low + allowed.bit_length() - 1) // 2
    before = places & span(0, middle + 1)
    after = places >> middle
    earlier = before.bit_length() - 1 if before else None
    later = middle + (after & -after).bit_length() - 1 if after else None
    if earlier is None or later is None:
        return earlier if later is None else later
    return earlier if middle - earlier <= later - middle else later
