"""Why not: the whole question, from a request to reasons and proved changes."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from schemas.booking import Request
from schemas.daybook import DayBook
from schemas.explanations import DayReasons, Explanation, Fit, ProvedChange
from solver.days import DayPart, part_days
from solver.errors import DayBookError, Fault
from solver.explain.case import Case
from solver.explain.changes import Change, day_changes, other_days
from solver.explain.hands import hands_changes
from solver.explain.prove import Proof, prove
from solver.explain.reasons import day_reasons
from solver.model.progress import Stop
from solver.model.search import Budget

MOST_DAYS = 7
"""Days that are explained; a request may suit on two months of days."""
MOST_CHANGES = 8
MOST_OTHER_DAYS = 6
REASONS_SHARE = 0.5
"""Share of the time for the reasons; the changes have the rest."""
SCREEN_SECONDS = 0.4
"""Time to see whether a change is worth proving."""


def why_not(
    day_book: DayBook,
    request_id: str,
    *,
    seconds: float = 10.0,
    seed: int = 1,
    stop: Stop | None = None,
) -> Explanation:
    """Whether the request fits beside everything promised; if not, why, and what would help.

    Confirmed bookings keep their promises and may otherwise be arranged anew; other requests and
    tentative bookings stand back. `seconds` is wall time for all of it, kept to a fraction of a
    second; `stop` ends it early, with what is known so far. Every change told was made to the day
    book and planned; the plan passed the checker.

    Raises DayBookError where there is no such request or its work is not stated in phases.
    """
    request = _the_request(day_book, request_id)
    budget = Budget(seconds, stop or (lambda: False), seed=seed)
    parts = part_days(day_book)
    suits = [part for part in parts if any(part.touches(window) for window in request.windows)]
    cases = [Case.of(day_book, part, request) for part in suits]
    proof, explained, fit = _looked_into(
        day_book, request_id, cases, budget.part(budget.left * REASONS_SHARE / 3)
    )
    if proof is not None:
        return Explanation(request=request_id, fit=fit, placed=proof.placed)
    days = _explained(explained, budget.part(budget.left * REASONS_SHARE))
    changes, did = _proved(day_book, request, parts, suits, budget)
    return Explanation(
        request=request_id,
        fit=fit,
        days=days,
        days_left_out=max(0, len(cases) - len(days)),
        changes=changes,
        seconds_did=did,
    )


def _the_request(day_book: DayBook, request_id: str) -> Request:
    for index, request in enumerate(day_book.requests):
        if request.id == request_id:
            if not request.phases:
                pointer = f"/requests/{index}/phases"
                raise DayBookError(Fault(pointer, "state the work in phases before asking why"))
            return request
    raise DayBookError(Fault("/requests", f"there is no request {request_id}"))


def _looked_into(
    day_book: DayBook, request_id: str, cases: list[Case], budget: Budget
) -> tuple[Proof | None, list[Case], Fit]:
    """A proof that it fits; else the cases in the depth that can be explained, and the verdict."""
    explained, fit = [], Fit.DOES_NOT_FIT
    for number, case in enumerate(cases):
        share = budget.part(budget.left / (len(cases) - number))
        still = Case(case.book, as_booked=True)
        standing = still.placed(share.part(share.left / 2))
        answer = standing if standing.placement is not None else case.placed(share)
        if answer.placement is not None:
            proof = prove(_on_that_day(case, day_book), request_id, share)
            if proof is not None:
                return proof, [], Fit.FITS
        if answer.impossible:
            explained.append(case)
        elif standing.impossible:
            explained.append(still)
            fit = Fit.NOT_AS_BOOKED if fit is Fit.DOES_NOT_FIT else fit
        else:
            fit = Fit.UNKNOWN
    return None, explained, fit


def _explained(cases: list[Case], budget: Budget) -> tuple[DayReasons, ...]:
    """Each day's reasons; as it is booked where the time does not do for the deeper question."""
    found = []
    told = cases[:MOST_DAYS]
    for number, case in enumerate(told):
        share = budget.part(budget.left / (len(told) - number))
        reasons = day_reasons(case, share.part(share.left * 0.6))
        if not reasons.minimal and not case.as_booked:
            still = Case(case.book, as_booked=True)
            if still.placed(share.part(share.left / 4)).impossible:
                plainer = day_reasons(still, share)
                reasons = plainer if plainer.minimal else reasons
        found.append(reasons)
    return tuple(found)


def _candidates(
    day_book: DayBook, request: Request, parts: list[DayPart], suits: list[DayPart], budget: Budget
) -> Iterator[tuple[Case, Change]]:
    for part in suits[:MOST_DAYS]:
        case = Case.of(day_book, part, request)
        for change in day_changes(case, part):
            yield case, change
        for change in hands_changes(case, budget.part(budget.left / 4)):
            yield case, change
    anchor = parts.index(suits[0]) if suits else 0
    others = sorted(
        (part for part in parts if part not in suits),
        key=lambda part: abs(parts.index(part) - anchor),
    )
    for part in others[:MOST_OTHER_DAYS]:
        case = Case.of(day_book, part, request)
        for change in other_days(case, part, abs(parts.index(part) - anchor)):
            yield case, change


def _proved(
    day_book: DayBook, request: Request, parts: list[DayPart], suits: list[DayPart], budget: Budget
) -> tuple[tuple[ProvedChange, ...], bool]:
    """The changes that do, cheapest first, and whether all of them could be tried."""
    found: list[ProvedChange] = []
    families: dict[tuple[object, str], list[tuple[Case, Change]]] = defaultdict(list)
    for case, change in _candidates(day_book, request, parts, suits, budget):
        families[case.date, change.family].append((case, change))
    offered = sorted(families.values(), key=lambda family: min(c.cost for _, c in family))
    for family in offered:
        if len(found) >= MOST_CHANGES:
            break
        if budget.over:
            return _cheapest_first(found), False
        proved = _cheapest_of(family, day_book, request.id, budget)
        if proved is not None:
            found.append(proved)
    return _cheapest_first(found), True


def _cheapest_first(found: list[ProvedChange]) -> tuple[ProvedChange, ...]:
    return tuple(sorted(found, key=lambda change: change.cost))


def _cheapest_of(
    family: list[tuple[Case, Change]], day_book: DayBook, request_id: str, budget: Budget
) -> ProvedChange | None:
    """The least of several like changes that does; the most of them is asked first.

    The day alone is asked before the whole book, and as it is booked if that will do: it is quick
    to say no.
    """
    ordered = sorted(family, key=lambda offer: offer[1].cost)
    if len(ordered) > 1 and not _has_place(*ordered[-1], budget):
        return None
    for case, change in ordered:
        if _has_place(case, change, budget):
            proof = prove(_on_that_day(case, change.make(day_book)), request_id, budget)
            if proof is not None:
                return _told(change, proof)
    return None


def _has_place(case: Case, change: Change, budget: Budget) -> bool:
    made = change.make(case.book)
    return any(
        Case(made, as_booked).placed(budget.part(SCREEN_SECONDS)).placement is not None
        for as_booked in (False, True)
    )


def _on_that_day(case: Case, day_book: DayBook) -> DayBook:
    """The whole book, the request offered on the day of the case alone."""
    whole_day = case.whole_day
    requests = tuple(
        request.model_copy(
            update={"windows": tuple(w for w in request.windows if w.overlaps(whole_day))}
        )
        if request.id == case.request.id
        else request
        for request in day_book.requests
    )
    return day_book.model_copy(update={"requests": requests})


def _told(change: Change, proof: Proof) -> ProvedChange:
    return ProvedChange(
        kind=change.kind,
        sentence=change.say(proof.placed)[:400],
        cost=change.cost,
        minutes=change.minutes,
        staff=change.staff,
        chair=change.chair,
        visit=change.visit,
        window=change.window,
        placed=proof.placed,
        breaks=proof.breaks,
    )
