"""`partline openings FILE`: where the requests of a day book fit."""

from __future__ import annotations

from functools import partial
from typing import Annotated, Any

import typer

from api.cli.documents import read_document, spoken
from api.cli.options import File, Json, Seconds, Seed
from api.cli.outlet import Outlet
from api.cli.planning import sensible, solve, sound_book, watched
from api.cli.refusal import INTERRUPTED, NO, RefusalError
from api.cli.tables.book import Names
from api.cli.tables.findings import findings_blocks
from api.cli.tables.openings import openings_tables
from api.cli.tables.rearranging import rearranged_tables
from schemas.booking import BookingStatus, Request
from schemas.daybook import DayBook
from schemas.openings import OpeningsQuestion, Wish
from schemas.plan import Plan
from schemas.rearranging import DAY_SECONDS, Depth, RearrangingAnswer
from solver.errors import Fault
from solver.model.progress import OnProgress, Stop
from solver.openings import BookIndex, find_openings, rearranged_days


def openings(
    file: File,
    *,
    request: Annotated[
        str | None,
        typer.Option("--request", metavar="ID", help="One request of the day book; none: each."),
    ] = None,
    limit: Annotated[int, typer.Option("--limit", min=1, max=50, help="Openings to show.")] = 3,
    wish: Annotated[
        Wish, typer.Option("--wish", help="What matters most to the client.")
    ] = Wish.SOONEST,
    depth: Annotated[
        Depth,
        typer.Option("--depth", help="In the book as it stands, or where others would make room."),
    ] = Depth.AS_BOOKED,
    day_seconds: Annotated[
        float,
        typer.Option(
            "--day-seconds", min=0.05, max=60, help="With rearranging: time for each day."
        ),
    ] = DAY_SECONDS,
    seconds: Seconds = 10.0,
    seed: Seed = 1,
    machine: Json = False,
) -> None:
    """Find where the requests of a day book fit. FILE is a day-book with requests.

    Bookings without a place are first placed by the planner. With rearranging, each day that suits
    is told with what would move and for whom; Ctrl-C gives the days looked at by then, with exit
    code 130. Exit code 1: a request fits nowhere.
    """
    outlet = Outlet(machine)
    book = sound_book(read_document(file, DayBook), file)
    wanted = _wanted(book, request, file)
    placed = _placed(outlet, book, seconds, seed, file)
    if depth is Depth.WITH_REARRANGING:
        asked = [OpeningsQuestion(request=one, wish=wish) for one in wanted]
        time = {"seconds": day_seconds, "seed": seed}
        done = watched(outlet, "rearranging", partial(_rearranged, placed, asked, time), file)
        if machine:
            outlet.json(done.answer)
        else:
            for each in done.answer:
                outlet.show(*rearranged_tables(each, Names.of(book)))
        done.leave(no=not all(any(day.plan for day in each.days) for each in done.answer))
        return
    with sensible(file):
        index = BookIndex.of(placed)
        questions = (OpeningsQuestion(request=one, wish=wish, limit=limit) for one in wanted)
        answers = [find_openings(placed, question, index=index) for question in questions]
    if machine:
        outlet.json(answers)
    else:
        names = Names.of(book)
        for answer in answers:
            outlet.show(*openings_tables(answer, names))
    if not all(answer.openings for answer in answers):
        raise typer.Exit(NO)


def _rearranged(
    placed: DayBook,
    asked: list[OpeningsQuestion],
    time: dict[str, Any],
    _: OnProgress,
    stop: Stop,
) -> list[RearrangingAnswer]:
    """The days of every request, others moved within their promises."""
    index = BookIndex.of(placed)
    return [
        RearrangingAnswer(
            request=each.request.id,
            days=tuple(rearranged_days(placed, each, index=index, stop=stop, **time)),
        )
        for each in asked
    ]


def _wanted(book: DayBook, request: str | None, file: str) -> tuple[Request, ...]:
    if not book.requests:
        detail = "is empty: add the visit to be placed"
        raise RefusalError(f"{spoken(file)} asks for nothing", [Fault("/requests", detail)])
    if request is None:
        return book.requests
    wanted = tuple(one for one in book.requests if one.id == request)
    if not wanted:
        known = ", ".join(one.id for one in book.requests)
        detail = f"holds no request {request}; there are: {known}"
        raise RefusalError(f"{spoken(file)} does not ask for that", [Fault("/requests", detail)])
    return wanted


def _placed(outlet: Outlet, book: DayBook, seconds: float, seed: int, file: str) -> DayBook:
    """`book` without its requests, and with a place for every booking that stands."""
    standing = [one for one in book.bookings if one.status is not BookingStatus.CANCELLED]
    bare = book.model_copy(update={"requests": ()})
    if all(one.placed is not None for one in standing):
        return bare
    homeless = sum(one.placed is None for one in standing)
    said = "1 booking has" if homeless == 1 else f"{homeless} bookings have"
    outlet.note(f"{said} no place yet: planning first.")
    solved = solve(outlet, bare, seconds, seed, file)
    if solved.interrupted:
        raise typer.Exit(INTERRUPTED)
    result = solved.answer
    if result.plan is None:
        outlet.note("The bookings cannot all be placed, so nothing can be offered beside them.")
        for block in findings_blocks(result.findings):
            outlet.err.print(block)
        if outlet.machine:
            outlet.json([])
        raise typer.Exit(NO)
    return with_places(bare, result.plan)


def with_places(book: DayBook, plan: Plan) -> DayBook:
    """`book` as `plan` places it; bookings that the plan declined are left out."""
    places = {visit.visit: visit for visit in plan.visits}
    bookings = tuple(
        booking.model_copy(update={"placed": places[booking.id]})
        for booking in book.bookings
        if booking.id in places
    )
    return book.model_copy(update={"bookings": bookings, "breaks": plan.breaks})
