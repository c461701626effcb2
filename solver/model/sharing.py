"""One break that answers two rules: a meal at noon is the meal of the shift and that of the hour.

A due is *covered* where every break that answers another one, which is hard, answers it too: it
needs no break of its own. Where the two spans of starts only overlap, the model may let one break
answer both: the `owner` has the break, the `due` shares it. A break that must follow another one is
never the same, but may be shared with a third rule. The parts of `break-total` are what is left
when the hard breaks have been counted; they share with soft ones.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace

from solver.model.asked import break_total, meal_break, meal_window, second_meal
from solver.model.dues import Due, Key
from solver.model.facts import Span
from solver.model.placement import BreakPlacement

SHARING = (meal_break.CODE, second_meal.CODE, meal_window.CODE)


def uncovered(dues: Iterable[Due]) -> list[Due]:
    """The dues that need a break of their own. One that another follows keeps it."""
    left = list(dues)
    followed = {due.after for due in left}
    for due in reversed(list(left)):
        others = (each for each in left if each is not due)
        if due.key not in followed and any(_covers(each, due) for each in others):
            left.remove(due)
    # What another follows comes first, whichever rule it is of.
    return sorted(left, key=lambda due: due.after is not None)


def sharing(dues: Iterable[Due]) -> Iterator[tuple[Due, Due]]:
    """Pairs of a due and an owner whose break may answer both."""
    every = [due for due in dues if due.fits]
    found = [due for due in every if due.rule in SHARING]
    parts = [due for due in every if due.rule == break_total.CODE]
    for place, owner in enumerate(found):
        for at, due in enumerate(found):
            longer = owner.size > due.size or (owner.size == due.size and place < at)
            if longer and _may_share(owner, due) and shared_starts(owner, due) is not None:
                yield due, owner
    for due in parts:
        for owner in found:
            if _counts_for(owner, due) and shared_starts(owner, due) is not None:
                yield due, owner


def parts_in(owner: Due, due: Due) -> int:
    """How many parts like `due` the owner's break may answer; 1 where it is no part."""
    return owner.size // due.size if due.rule == break_total.CODE else 1


def apart(dues: Iterable[Due]) -> list[Due]:
    """Hard dues of which no two are answered by one break, the longest first."""
    every = sorted((due for due in dues if due.hard and due.fits), key=lambda due: -due.size)
    shared = {frozenset((due.key, owner.key)) for due, owner in sharing(every)}
    found: list[Due] = []
    for due in every:
        if not any(frozenset((due.key, each.key)) in shared for each in found):
            found.append(due)
    return found


def joint(dues: Iterable[Due]) -> list[Due]:
    """One due in place of two where their starts have enough in common: a guess for a quick plan.

    The break keeps the key of its owner.
    """
    found = {due.key: due for due in dues}
    for due, owner in sharing(list(found.values())):
        if due.key not in found or owner.key not in found or (due.after and owner.after):
            continue
        if due.rule == break_total.CODE:
            continue
        one = found[owner.key]
        starts = shared_starts(one, due)
        if starts is None or starts[1] - starts[0] < one.size or due.hard > one.hard:
            continue
        if any(each.after == due.key for each in found.values()):
            continue
        del found[due.key]
        found[owner.key] = replace(
            one,
            first=starts[0],
            last=starts[1],
            inside=one.inside and due.inside,
            after=one.after or due.after,
        )
    return list(found.values())


def shared_in(dues: Iterable[Due], breaks: Iterable[BreakPlacement]) -> dict[Key, BreakPlacement]:
    """By due without a break of its own, the break of a placement that answers it as well."""
    taken = {rest.due.key: rest for rest in breaks}
    every = list(dues)
    found: dict[Key, BreakPlacement] = {}
    for due, owner in sharing(every):
        rest = taken.get(owner.key)
        if rest is None or due.key in taken or due.key in found:
            continue
        served = [key for key, each in found.items() if each is rest and key[0] == due.rule]
        if len(served) >= parts_in(owner, due):
            continue
        if _answers(due, owner, rest, taken):
            found[due.key] = rest
    return found


def _answers(
    due: Due, owner: Due, rest: BreakPlacement, taken: Mapping[Key, BreakPlacement]
) -> bool:
    starts = shared_starts(owner, due)
    before = taken.get(due.after) if due.after is not None else None
    return (
        starts is not None
        and starts[0] <= rest.start <= starts[1]
        and (due.inside or rest.inside is None)
        and (
            due.after is None
            or due.rule == break_total.CODE
            or (before is not None and before.end <= rest.start)
        )
    )


def _covers(owner: Due, due: Due) -> bool:
    """Whether every break that answers `owner` answers `due`."""
    return (
        owner.hard
        and due.hard
        and owner.fits
        and due.after is None
        and _may_share(owner, due)
        and owner.size >= due.size
        and due.first <= owner.first
        and owner.last + owner.size <= due.last + due.size
        and (due.inside or not owner.inside)
    )


def _may_share(owner: Due, due: Due) -> bool:
    """Whether the rules would count one break for both."""
    return (
        owner.shift == due.shift
        and owner.kind is due.kind
        and owner.rule in SHARING
        and due.rule in SHARING
        and (owner.rule != due.rule or owner.rule == meal_window.CODE)
        and due.after != owner.key
        and owner.after != due.key
        and (owner.over is None or due.over is None or _meet(owner.over, due.over))
    )


def _counts_for(owner: Due, part: Due) -> bool:
    """Whether a break that is wished for counts as a part; hard ones have been taken off."""
    return (
        not owner.hard
        and owner.shift == part.shift
        and owner.kind is part.kind
        and owner.size >= part.size
        and (owner.over is None or part.over is None or _meet(owner.over, part.over))
    )


def _meet(one: Span, other: Span) -> bool:
    return max(one[0], other[0]) <= min(one[1], other[1])


def shared_starts(owner: Due, due: Due) -> Span | None:
    """Where the owner's break starts if it answers both, the first and the last step."""
    first = max(owner.first, due.first)
    last = min(owner.last, due.last + due.size - owner.size)
    return (first, last) if first <= last else None
