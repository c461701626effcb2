"""Every break that the rules in force ask of a day.

Overtime makes a shift longer, and a longer shift may owe more breaks, or others. What a shift owes
is worked out without overtime and with every amount of it there may be: what is the same for all is
asked for anyway, the rest only where so much overtime is worked (`Due.over`). Amounts for which as
many breaks are due are taken together; each break then lies where it is good for all of them.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from solver.model.asked import break_total, meal_break, meal_window, rest_breaks, second_meal
from solver.model.dues import Due, Key
from solver.model.facts import Day, DayShift, Span
from solver.model.sharing import apart, uncovered

VARIANT = 1000
"""Added to a key's number for each further way in which a shift's breaks may fall out."""


def dues_of(day: Day) -> Iterator[Due]:
    """Every due break that is still to be given, those that fit nowhere too."""
    return (due for due in day.dues if due.key not in day.answered)


def all_asked(day: Day) -> Iterator[Due]:
    """Every due break of the day's shifts; a break that another follows comes first."""
    plain = _asked(day, 0)
    longer = _longer(day)
    for shift in day.shifts:
        found = plain.get(shift.index, [])
        if shift.overtime:
            found = list(_with_overtime(shift, found, longer))
        yield from found


def _asked(day: Day, over: int) -> dict[int, list[Due]]:
    """By shift, what the rules ask if everybody who may works so many steps of overtime."""
    if over:
        shifts = tuple(_lengthened(day, shift, over) for shift in day.shifts)
        day = replace(day, shifts=shifts)
    meals = uncovered([*meal_break.dues(day), *second_meal.dues(day), *meal_window.dues(day)])
    found: dict[int, list[Due]] = {}
    for due in (*meals, *break_total.dues(day, apart(meals)), *rest_breaks.dues(day)):
        found.setdefault(due.shift, []).append(due)
    return found


def _lengthened(day: Day, shift: DayShift, over: int) -> DayShift:
    """The shift as long as with overtime; its breaks stay within the hours of the rota."""
    if over > shift.overtime:
        return shift
    return replace(shift, minutes=(shift.end + over) * day.grid - shift.start_minute)


def _longer(day: Day) -> dict[int, dict[int, list[Due]]]:
    """What is asked for each amount of overtime that somebody may work."""
    most = max((shift.overtime for shift in day.shifts), default=0)
    return {over: _asked(day, over) for over in range(1, most + 1)}


def _with_overtime(
    shift: DayShift, plain: list[Due], longer: dict[int, dict[int, list[Due]]]
) -> Iterator[Due]:
    """The dues of one shift: those asked anyway, and those asked for some amounts of overtime."""
    groups: list[tuple[Span, list[Due]]] = [((0, 0), plain)]
    for over in range(1, shift.overtime + 1):
        asked = longer[over].get(shift.index, [])
        (first, _), last = groups[-1]
        if last == asked or (first and _shapes(last) == _shapes(asked)):
            groups[-1] = ((first, over), [_both(*pair) for pair in zip(last, asked, strict=True)])
        else:
            groups.append(((over, over), asked))
    always: set[Key] = set()
    for due in plain:
        follows = due.after is None or due.after in always
        if follows and all(due in asked for _, asked in groups):
            always.add(due.key)
    for number, (amounts, asked) in enumerate(groups):
        for due in asked:
            if due.key in always:
                if not number:
                    yield due
                continue
            after = due.after
            if after is not None and after not in always:
                after = _variant(after, number)
            yield replace(due, key=_variant(due.key, number), after=after, over=amounts)


def _shapes(dues: list[Due]) -> list[Due]:
    return [replace(due, first=0, last=0) for due in dues]


def _both(one: Due, other: Due) -> Due:
    """The starts that are good for both."""
    return replace(one, first=max(one.first, other.first), last=min(one.last, other.last))


def _variant(key: Key, number: int) -> Key:
    return key[0], key[1], key[2] + VARIANT * number
