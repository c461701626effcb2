"""Which breaks that the rules ask for are answered by breaks that were taken, or were told.

Each due is matched to a break of its own first. Then one break may answer for several rules: a meal
at noon is the meal of the shift and the meal of that time of day. It does not where a rule counts
breaks beside the one that `meal-break` asks for.
"""

from __future__ import annotations

from dataclasses import dataclass

from solver.model.asked import break_total, meal_break, meal_window, second_meal
from solver.model.asked_breaks import dues_of
from solver.model.dues import Due, Key
from solver.model.facts import Day, Span
from solver.model.held import Held, HeldBreak


@dataclass(frozen=True)
class Matching:
    """By the key of a due."""

    held: dict[Key, HeldBreak]
    later: dict[Key, HeldBreak]
    left: tuple[HeldBreak, ...]
    """Held breaks that no due is matched to."""
    shared: dict[Key, Key | None]
    """Dues that the break of another due answers too; None stands for a break in `left`."""
    joint: dict[Key, Span]
    """Where a break still to come must start because it answers for others too."""


def match_breaks(day: Day, held: Held) -> Matching:
    """Match every due of the day."""
    dues = list(dues_of(day))
    found: dict[Key, HeldBreak] = {}
    waiting = sorted((*held.breaks, *held.later), key=lambda given: given.start)
    asked = {due.key for due in dues}
    for due in dues:
        if due.after in asked and due.after not in found:
            continue  # it counts only behind a break that nobody took
        for given in waiting:
            if given.size == due.size and _answers(day, given, due):
                waiting.remove(given)
                found[due.key] = given
                break
    taken = set(held.breaks)
    shared, joint = _shared(day, dues, found, taken, waiting)
    return Matching(
        held={key: given for key, given in found.items() if given in taken},
        later={key: given for key, given in found.items() if given not in taken},
        left=tuple(given for given in waiting if given in taken),
        shared=shared,
        joint=joint,
    )


def _answers(day: Day, given: HeldBreak, due: Due) -> bool:
    person = day.shifts[due.shift].person.id
    in_time = due.first <= given.start <= due.last
    inside = due.inside or given.inside is None
    return (given.staff, given.kind) == (person, due.kind) and in_time and inside


def _shared(
    day: Day,
    dues: list[Due],
    found: dict[Key, HeldBreak],
    taken: set[HeldBreak],
    waiting: list[HeldBreak],
) -> tuple[dict[Key, Key | None], dict[Key, Span]]:
    """Dues without a break of their own that another's answers, one for each rule and break."""
    by_key = {due.key: due for due in dues}
    owners: list[tuple[Key | None, HeldBreak]] = [*found.items()]
    owners += [(None, given) for given in waiting if given in taken]
    shared: dict[Key, Key | None] = {}
    joint: dict[Key, Span] = {}
    served: set[tuple[HeldBreak, str]] = {(given, key[0]) for key, given in found.items()}
    for due in dues:
        if due.key in found:
            continue
        for key, given in owners:
            owner = by_key[key] if key is not None else None
            fits = given.size >= due.size and _answers(day, given, due)
            if not fits or (given, due.rule) in served or not _may_share(owner, due):
                continue
            served.add((given, due.rule))
            shared[due.key] = key
            if owner is not None and given not in taken:
                first, last = joint.get(owner.key, (owner.first, owner.last))
                joint[owner.key] = max(first, due.first), min(last, due.last)
            break
    return shared, joint


def _may_share(owner: Due | None, due: Due) -> bool:
    """Whether the rules count one break for both; a soft break may be left out, a hard one not."""
    if owner is None:
        return due.rule != second_meal.CODE
    if due.hard and not owner.hard:
        return False
    for part, other in ((due, owner), (owner, due)):
        if part.rule == break_total.CODE:
            return not other.hard  # a hard one has been taken off the minutes due in all
    if meal_window.CODE in {due.rule, owner.rule}:
        return True
    first = owner.rule == second_meal.CODE and owner.key[2] == 0
    return owner.rule != meal_break.CODE and not first
