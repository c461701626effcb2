"""How soon a running day is put right: `python -m tests.benchmarks.replan --sizes S,M,L --json`.

Each seeded day is planned and sold, then hit at noon or so by one event of each kind. Rows with
size, seed, event, seconds given and taken, when the first answer was there (`first_seconds`; the
greedy one counts), promises to renegotiate, people to be told, and whether the repair was proved.
"""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Iterator
from dataclasses import asdict, dataclass
from datetime import timedelta
from statistics import median
from time import monotonic

from schemas.booking import Booking, Promise
from schemas.daybook import DayBook
from schemas.plan import Plan, SolveStatus
from schemas.repair import BrokenChair, Event, LateArrival, NoShow, Overrun, SickPerson
from schemas.resources import Role
from solver.plan import Progress, plan_days
from solver.repair import repair
from tests.benchmarks.salon_days import salon_days


@dataclass(frozen=True)
class Row:
    size: str
    seed: int
    event: str
    seconds: float
    taken: float
    first_seconds: float | None
    renegotiate: int
    told: int
    proved: bool
    planned: bool


def sold_day(size: str, seed: int) -> tuple[DayBook, Plan]:
    """The day with everything our plan accepts promised as it stands; the rest has gone home."""
    book = salon_days(size, seed)
    plan = plan_days(book, seconds=5, seed=seed, workers=2).plan
    assert plan is not None
    asked = {request.id: request for request in book.requests}
    bookings = tuple(
        Booking(
            **asked[placed.visit].model_dump(exclude={"windows", "preferred", "value"}),
            promise=Promise(start=placed.window.start, tolerance=15),
            placed=placed,
        )
        for placed in plan.visits
    )
    sold = book.model_copy(update={"bookings": bookings, "requests": (), "breaks": plan.breaks})
    return sold, plan.model_copy(update={"declined": ()})


def events(book: DayBook, plan: Plan) -> Iterator[tuple[Event, object]]:
    """One event of each kind, three hours into the day."""
    now = book.open[0].start + timedelta(hours=3)
    running = [visit for visit in plan.visits if visit.window.start <= now < visit.window.end]
    coming = sorted(
        (visit for visit in plan.visits if visit.window.start > now),
        key=lambda visit: (visit.window.start, visit.visit),
    )
    people = {person.id: person for person in book.staff}
    busy = {help_.staff for visit in plan.visits for phase in visit.phases for help_ in phase.help}
    helpers = sorted(each for each in busy if Role.ASSISTANT in people[each].roles)
    if coming:
        first = coming[0]
        yield (
            LateArrival(visit=first.visit, arrives=first.window.start + timedelta(minutes=40)),
            now,
        )
        yield NoShow(visit=first.visit), first.window.start + timedelta(minutes=20)
    if running:
        yield Overrun(visit=running[0].visit, minutes=30), now
        if running[0].chair is not None:
            yield BrokenChair(chair=running[0].chair, start=now + timedelta(minutes=5)), now
    if helpers:
        yield SickPerson(staff=helpers[0], start=now), now


def run(size: str, seed: int, seconds: float, workers: int) -> Iterator[Row]:
    book, plan = sold_day(size, seed)
    for event, now in events(book, plan):
        begun, first = monotonic(), list[float]()

        def hear(_: Progress, begun: float = begun, first: list[float] = first) -> None:
            if not first:
                first.append(monotonic() - begun)

        result = repair(
            book, plan, [event], now, seconds=seconds, workers=workers, on_progress=hear
        )
        yield Row(
            size,
            seed,
            event.kind,
            seconds,
            monotonic() - begun,
            first[0] if first else None,
            len(result.renegotiate),
            len({person.id for each in result.differences for person in each.tell}),
            result.status is SolveStatus.OPTIMAL,
            result.plan is not None,
        )


def main(arguments: list[str] | None = None) -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--sizes", default="S,M,L")
    parser.add_argument("--seeds", default="1,2,3")
    parser.add_argument("--seconds", default="1", help="one or several, as 1,5")
    parser.add_argument("--workers", type=int, default=2)
    parser.add_argument("--json", action="store_true", help="a JSON list of rows on stdout")
    asked = parser.parse_args(arguments)
    rows = []
    for size in asked.sizes.split(","):
        for seconds in map(float, asked.seconds.split(",")):
            found = [
                row
                for seed in map(int, asked.seeds.split(","))
                for row in run(size, seed, seconds, asked.workers)
            ]
            rows += found
            planned = sum(row.planned for row in found)
            sys.stderr.write(
                f"{size:3} {seconds:4.0f} s  answered {planned}/{len(found)}"
                f"  proved {sum(row.proved for row in found)}"
                f"  took {median(row.taken for row in found):.2f} s"
                f"  renegotiate {sum(row.renegotiate for row in found)}"
                f"  told {sum(row.told for row in found)}\n"
            )
    if asked.json:
        sys.stdout.write(json.dumps([asdict(row) for row in rows], indent=1) + "\n")


if __name__ == "__main__":
    main()
