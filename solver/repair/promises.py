"""Promises that do not hold any more, and what would hold instead."""

from __future__ import annotations

from collections.abc import Iterator

from schemas.booking import Booking, BookingStatus, Promise
from schemas.daybook import DayBook
from schemas.plan import Plan, PlannedVisit
from schemas.repair import PromisePart, Renegotiation, RepairResult
from solver.repair.clock import minutes_between
from solver.rules.reading import Reading, minute


def renegotiations(book: DayBook, plan: Plan) -> Iterator[Renegotiation]:
    """One for each confirmed booking whose promise the plan does not keep."""
    words = Reading(book, plan)
    placed = {visit.visit: visit for visit in plan.visits}
    for booking in book.bookings:
        if booking.status is not BookingStatus.CONFIRMED:
            continue
        place = placed.get(booking.id)
        parts = tuple(_broken(booking.promise, place))
        if parts:
            yield Renegotiation(
                visit=booking.id,
                client=booking.client,
                promise=booking.promise,
                broken=parts,
                proposed=None if place is None else _proposed(booking.promise, place, parts),
                say=_say(words, booking, place, parts)[:400],
            )


def _broken(promise: Promise, place: PlannedVisit | None) -> Iterator[PromisePart]:
    if place is None:
        yield PromisePart.PLACE
        return
    if abs(minutes_between(promise.start, place.window.start)) > promise.tolerance:
        yield PromisePart.START
    if promise.lead is not None and promise.lead != place.lead:
        yield PromisePart.LEAD
    if promise.latest_finish is not None and place.window.end > promise.latest_finish:
        yield PromisePart.LATEST_FINISH


def _proposed(promise: Promise, place: PlannedVisit, parts: tuple[PromisePart, ...]) -> Promise:
    latest = promise.latest_finish
    if PromisePart.LATEST_FINISH in parts:
        latest = place.window.end
    moved = PromisePart.START in parts
    return Promise(
        start=place.window.start if moved else promise.start,
        tolerance=0 if moved else promise.tolerance,
        lead=place.lead if PromisePart.LEAD in parts else promise.lead,
        latest_finish=latest,
    )


def _say(
    words: Reading, booking: Booking, place: PlannedVisit | None, parts: tuple[PromisePart, ...]
) -> str:
    client, promise = words.client(booking.id), booking.promise
    if place is None:
        return (
            f"{client}: we are sorry, we cannot keep {words.at(minute(promise.start))} today. "
            "Please choose another day with us."
        )
    said = []
    if PromisePart.START in parts:
        said.append(
            f"you start at {words.clock(minute(place.window.start))} "
            f"instead of {words.clock(minute(promise.start))}"
        )
    if PromisePart.LEAD in parts:
        said.append(f"{words.person(place.lead)} instead of {words.person(promise.lead or '')}")
    if PromisePart.LATEST_FINISH in parts and promise.latest_finish is not None:
        said.append(
            f"you are done at {words.clock(minute(place.window.end))} "
            f"instead of {words.clock(minute(promise.latest_finish))}"
        )
    return f"{client}: would it suit you if {', and '.join(said)}?"


def agreed(result: RepairResult) -> DayBook:
    """The day book once every client agreed: proposals are promises, visits left out cancelled."""
    by_visit = {each.visit: each for each in result.renegotiate}
    placed = {} if result.plan is None else {v.visit: v for v in result.plan.visits}
    bookings = []
    for booking in result.day_book.bookings:
        update: dict[str, object] = {"placed": placed.get(booking.id)}
        wanted = by_visit.get(booking.id)
        if wanted is not None and wanted.proposed is not None:
            update["promise"] = wanted.proposed
        elif wanted is not None:
            update["status"] = BookingStatus.CANCELLED
        bookings.append(booking.model_copy(update=update))
    breaks = result.day_book.breaks if result.plan is None else result.plan.breaks
    return result.day_book.model_copy(update={"bookings": tuple(bookings), "breaks": breaks})
