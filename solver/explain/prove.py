"""Ask the planner whether a request fits a day book, and keep its plan as the proof."""

from __future__ import annotations

from dataclasses import dataclass

from schemas.booking import Booking, Request
from schemas.daybook import DayBook
from schemas.plan import PlannedBreak, PlannedVisit, PlanResult
from solver.model.facts import is_promised, worth
from solver.model.search import Budget
from solver.plan import Progress, plan_days


@dataclass(frozen=True)
class Proof:
    """Where the request went in a plan that passed the checker, with its crew's breaks."""

    placed: PlannedVisit
    breaks: tuple[PlannedBreak, ...]


def promised_only(book: DayBook, request: Request) -> DayBook:
    """The book with what is promised, and the request alone; it is worth something."""
    bookings: tuple[Booking, ...] = tuple(b for b in book.bookings if is_promised(b))
    wanted = request if worth(request) else request.model_copy(update={"value": 1})
    return book.model_copy(update={"bookings": bookings, "requests": (wanted,)})


def prove(book: DayBook, request_id: str, budget: Budget) -> Proof | None:
    """Plan the days of the book with this request until it is accepted; None if it never is."""
    (request,) = (each for each in book.requests if each.id == request_id)
    asked = promised_only(book, request)
    accepted: list[bool] = []

    def heard(progress: Progress) -> None:
        if progress.tier == "accepted-value" and progress.value > 0:
            accepted.append(True)

    # The first plan that takes the request will do; the days after it are laid as they are booked.
    quick = plan_days(
        asked,
        seconds=budget.left,
        seed=budget.seed,
        on_progress=heard,
        stop=lambda: bool(accepted) or budget.over,
    )
    found = _found(quick, request_id)
    if found is None and accepted and not budget.over:
        whole = plan_days(asked, seconds=budget.left, seed=budget.seed, stop=lambda: budget.over)
        found = _found(whole, request_id)
    return found


def _found(result: PlanResult, request_id: str) -> Proof | None:
    if result.plan is None:
        return None
    for placed in result.plan.visits:
        if placed.visit == request_id:
            crew = {placed.lead, *placed.assistants}
            day = placed.window.start.date()
            breaks = tuple(
                planned
                for planned in result.plan.breaks
                if planned.staff in crew and planned.window.start.date() == day
            )
            return Proof(placed, breaks)
    return None
