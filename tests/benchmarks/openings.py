"""How fast openings are found: `python -m tests.benchmarks.openings [--json] [--cases 4w,12w]`.

Each case fills a book (see `full_books`), then asks for the ranked ten. Every question is drawn
anew: one of 56 styles, with an assistant or without, for one day up to the whole book, any wish.
Rows of a case:

* `alone`: questions of clients who want no assistant, to an index that was asked many others before
  (not these); `asked`: the same with an assistant allowed for two in three, her help placed where
  she is free; `nothing`: those of `asked` that found no opening, and why;
* `after a change`: as `asked`, one booking taken off or put back before each question;
* `new style`: to an index that has not met the style; `cold`: the index is built first;
* `changed`: one booking is taken off the book or put back, the index following;
* `rearranging`: one day looked at for one client, others moved within their promises where that
  needs be, in `--seconds` on the clock, 0.3 if left out; `as-booked`, `with-rearranging`, `none`
  and `out-of-time` are those of it that were answered so, with the people told and the things moved
  on average;
* `planner`: one CP-SAT solve for a question, on the day alone on which its first opening lies.

Every opening is judged before it is given back. `memory_mb` is what the index holds after all
questions. Times are processor time of one core, so that a busy machine blurs them less; the
planner's are on the clock. `growth` tells the medians of `asked` against weeks and against chairs,
leads and assistants. No test is timed: run this and compare by hand.
"""

from __future__ import annotations

import argparse
import json
import sys
import tracemalloc
from random import Random
from statistics import median, quantiles
from time import perf_counter, process_time, thread_time

from schemas.booking import Booking
from schemas.daybook import DayBook
from schemas.openings import OpeningsQuestion
from schemas.rearranging import RearrangedDay, Room
from schemas.windows import TimeWindow
from solver.openings import BookIndex, find_openings, rearranged_days, sold
from solver.plan import plan_days
from tests.benchmarks.full_books import HOUSE, WISHES, Size, full_book, lead_load, request

CASES = {
    "1w": Size(weeks=1, chairs=10, leads=8, assistants=5),
    "2w": Size(weeks=2, chairs=10, leads=8, assistants=5),
    "4w": Size(weeks=4, chairs=10, leads=8, assistants=5),
    "1w-rules": Size(weeks=1, chairs=10, leads=8, assistants=5, rules=HOUSE),
    "4w-half": Size(weeks=4, chairs=5, leads=4, assistants=3),
    "4w-double": Size(weeks=4, chairs=20, leads=16, assistants=10),
    "8w": Size(weeks=8, chairs=10, leads=8, assistants=5),
    "12w": Size(weeks=12, chairs=20, leads=16, assistants=10),
}


def questions(book: DayBook, count: int, seed: str = "asked") -> list[OpeningsQuestion]:
    """Random questions; another seed gives others."""
    random = Random(seed)
    return [
        OpeningsQuestion(
            request=request(random, f"{seed}-{n}", (some_days(random, book),)),
            wish=random.choice(WISHES),
            limit=10,
        )
        for n in range(count)
    ]


def some_days(random: Random, book: DayBook) -> TimeWindow:
    """One day, a few days, weeks, or the whole book."""
    first = random.randrange(len(book.open))
    last = min(len(book.open) - 1, first + random.choice((0, 2, 5, 11)))
    if random.random() < 0.5:
        first, last = 0, len(book.open) - 1
    return TimeWindow(start=book.open[first].start, end=book.open[last].end)


def over_all(book: DayBook, question: OpeningsQuestion) -> OpeningsQuestion:
    """The same question for a client whom the whole book suits."""
    whole = TimeWindow(start=book.open[0].start, end=book.open[-1].end)
    request = question.request.model_copy(update={"windows": (whole,)})
    return question.model_copy(update={"request": request})


def without_help(question: OpeningsQuestion) -> OpeningsQuestion:
    request = question.request.model_copy(update={"max_assistants": 0})
    return question.model_copy(update={"request": request})


def milliseconds(times: list[float]) -> dict[str, float]:
    if len(times) < 2:
        times = [*times, *times] or [0.0, 0.0]
    return {
        "median_ms": round(1000 * median(times), 3),
        "p95_ms": round(1000 * quantiles(times, n=20)[-1], 3),
    }


def asked_of(index: BookIndex, asked: list[OpeningsQuestion]) -> list[float]:
    times = []
    for question in asked:
        begun = thread_time()
        find_openings(index.day_book, question, index=index)
        times.append(thread_time() - begun)
    return times


def followed(
    index: BookIndex, asked: list[OpeningsQuestion]
) -> tuple[list[float], list[float], BookIndex]:
    """Takes bookings off and puts them back, and asks after each: both times, and the index."""
    changes, answers = [], []
    taken: Booking | None = None
    random = Random("changed")
    for question in asked:
        begun = thread_time()
        if taken is None:
            taken = random.choice(index.day_book.bookings)
            index = index.without_booking(taken.id)
        else:
            index, taken = index.with_booking(taken), None
        changes.append(thread_time() - begun)
        answers += asked_of(index, [question])
    return changes, answers, index


def planned(
    book: DayBook, asked: list[OpeningsQuestion], count: int, seconds: float
) -> list[float]:
    """Time on the clock of one solve for each question, on the day of its first opening."""
    times = []
    index = BookIndex.of(book)
    for question in asked:
        answer = find_openings(book, question, index=index)
        if answer.openings and len(times) < count:
            opening = answer.openings[0]
            day, plan = sold(book, question.request, opening)
            bookings = tuple(each for each in day.bookings if each.id != question.request.id)
            day = day.model_copy(update={"bookings": bookings, "breaks": plan.breaks})
            begun = perf_counter()
            plan_days(day, seconds=seconds)
            times.append(perf_counter() - begun)
    return times


Looked = tuple[float, float, RearrangedDay]
"""Processor time of the whole process, time on the clock, and the answer."""


def looked_at(book: DayBook, count: int, seconds: float) -> list[Looked]:
    """One random day each for random clients, with rearranging."""
    random, index, found = Random("rearranging"), BookIndex.of(book), list[Looked]()
    for number in range(count):
        day = random.choice(book.open)
        wanted = request(random, f"rearranging-{number}", (day,))
        question = OpeningsQuestion(request=wanted)
        begun, on_the_clock = process_time(), perf_counter()
        (answer,) = rearranged_days(book, question, index=index, seconds=seconds)
        found.append((process_time() - begun, perf_counter() - on_the_clock, answer))
    return found


def rearranging(case: str, found: list[Looked]) -> list[dict[str, object]]:
    """A row for all days looked at, and one for each sort of answer."""
    sorts = {"": found} | {
        f" {room.value}": [each for each in found if each[2].room is room] for room in Room
    }
    rows: list[dict[str, object]] = []
    for name, some in sorts.items():
        if some:
            told = [len({(p.role, p.id) for m in a.moves for p in m.tell}) for *_, a in some]
            rows.append(
                {
                    "case": f"{case} rearranging{name}",
                    "times": len(some),
                    **milliseconds([cpu for cpu, *_ in some]),
                    "most_clock_ms": round(1000 * max(clock for _, clock, _ in some), 1),
                    "told_mean": round(sum(told) / len(some), 2),
                    "moves_mean": round(sum(len(a.moves) for *_, a in some) / len(some), 2),
                }
            )
    return rows


def measure(case: str, options: argparse.Namespace) -> list[dict[str, object]]:
    count = options.questions
    book = full_book(CASES[case], options.seed)
    before, asked = questions(book, 6 * count, "before"), questions(book, count)
    index = BookIndex.of(book)
    asked_of(index, before)
    rows = {"alone": asked_of(index, [without_help(question) for question in asked])}
    rows["asked"] = asked_of(index, asked)
    answers = [find_openings(book, question, index=index) for question in asked]
    rows["nothing"] = [
        taken for taken, answer in zip(rows["asked"], answers, strict=True) if not answer.openings
    ]
    more = questions(book, count, "more")
    rows["changed"], rows["after a change"], index = followed(index, more)
    met: dict[object, OpeningsQuestion] = {}
    for question in asked:
        met.setdefault(question.request.phases, question)
    rows["new style"] = asked_of(BookIndex.of(book), list(met.values()))
    rows["cold"] = [from_nothing(book, question) for question in asked[:5]]
    if options.planner:
        rows["planner"] = planned(book, asked, options.planner, seconds=10)
    facts: dict[str, object] = {
        "memory_mb": held(book, [*before, *asked]),
        "bookings": len(book.bookings),
        "lead_load": round(lead_load(book), 3),
        "offered_mean": round(sum(len(answer.openings) for answer in answers) / count, 1),
        "found_mean": round(sum(answer.found for answer in answers) / count, 1),
    }
    return [
        {"case": f"{case} {name}", "times": len(times), **milliseconds(times), **facts}
        for name, times in rows.items()
    ] + rearranging(case, looked_at(book, options.rearranging, options.seconds))


def from_nothing(book: DayBook, question: OpeningsQuestion) -> float:
    begun = thread_time()
    find_openings(book, question)
    return thread_time() - begun


def held(book: DayBook, asked: list[OpeningsQuestion]) -> float:
    """Megabytes that an index holds after these questions."""
    tracemalloc.start()
    index = BookIndex.of(book)
    for question in asked:
        find_openings(book, question, index=index)
    memory = tracemalloc.get_traced_memory()[0] / 1e6
    tracemalloc.stop()
    return round(memory, 1)


def growth(rows: list[dict[str, object]]) -> list[dict[str, object]]:
    """The medians of `asked` against the size of the book, for the cases that were run."""
    medians = {str(row["case"]): row["median_ms"] for row in rows}
    series = {
        "weeks": ("1w", "2w", "4w", "8w"),
        "chairs, leads and assistants": ("4w-half", "4w", "4w-double"),
    }
    found: list[dict[str, object]] = []
    for name, cases in series.items():
        known = {case: medians[f"{case} asked"] for case in cases if f"{case} asked" in medians}
        if len(known) > 1:
            found.append({"case": f"growth with {name}", "median_ms": known})
    return found


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--json", action="store_true", help="print a JSON list")
    parser.add_argument("--cases", default="1w,4w", help=f"all, or out of {','.join(CASES)}")
    parser.add_argument("--questions", type=int, default=60)
    parser.add_argument("--planner", type=int, default=0, help="questions solved by the planner")
    parser.add_argument("--rearranging", type=int, default=40, help="days looked at that way")
    parser.add_argument("--seconds", type=float, default=0.3, help="on the clock, for each of them")
    parser.add_argument("--seed", type=int, default=1)
    options = parser.parse_args()
    cases = list(CASES) if options.cases == "all" else options.cases.split(",")
    rows = [row for case in cases for row in measure(case, options)]
    rows += growth(rows)
    if options.json:
        sys.stdout.write(json.dumps(rows, indent=2) + "\n")
        return
    for row in rows:
        sys.stdout.write("  ".join(f"{key} {value}" for key, value in row.items()) + "\n")


if __name__ == "__main__":
    main()
