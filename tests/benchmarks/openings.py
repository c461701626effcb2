"""How fast openings are found: `python -m tests.benchmarks.openings [--json] [--cases 4w,12w]`.

Each case fills a book (see `full_books`), then asks random questions over the whole book for the
ranked ten. Rows of a case:

* `asked`: a question to a standing index, styles seen before; `new style`: the same questions to an
  index that has not met their styles; `cold`: the index is built first. All end with every opening
  judged by the checker's rules. `memory_mb` is what the index holds after all questions;
* `changed`: one booking is taken off the book or put back, the index following;
* `planner`: one CP-SAT solve for a question, on the day alone on which its first opening lies.

Times are processor time of one core, so that a busy machine blurs them less; the planner's are on
the clock. `growth` tells the medians of `asked` against weeks and against chairs, leads and
assistants. No test is timed: run this and compare by hand.
"""

from __future__ import annotations

import argparse
import json
import sys
import tracemalloc
from random import Random
from statistics import median, quantiles
from time import perf_counter, process_time

from schemas.daybook import DayBook
from schemas.openings import OpeningsQuestion
from schemas.windows import TimeWindow
from solver.openings import BookIndex, find_openings, sold
from solver.plan import plan_days
from tests.benchmarks.full_books import Size, full_book, lead_load, request

CASES = {
    "1w": Size(weeks=1, chairs=10, leads=8, assistants=5),
    "2w": Size(weeks=2, chairs=10, leads=8, assistants=5),
    "4w": Size(weeks=4, chairs=10, leads=8, assistants=5),
    "4w-half": Size(weeks=4, chairs=5, leads=4, assistants=3),
    "4w-double": Size(weeks=4, chairs=20, leads=16, assistants=10),
    "8w": Size(weeks=8, chairs=10, leads=8, assistants=5),
    "12w": Size(weeks=12, chairs=20, leads=16, assistants=10),
}


def questions(book: DayBook, count: int) -> list[OpeningsQuestion]:
    random = Random("questions")
    whole = TimeWindow(start=book.open[0].start, end=book.open[-1].end)
    return [
        OpeningsQuestion(request=request(random, f"asked-{n}", (whole,)), limit=10)
        for n in range(count)
    ]


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
        begun = process_time()
        find_openings(index.day_book, question, index=index)
        times.append(process_time() - begun)
    return times


def followed(index: BookIndex, count: int) -> list[float]:
    """Takes bookings off and puts them back."""
    times = []
    for booking in Random("changed").sample(index.day_book.bookings, count):
        begun = process_time()
        index = index.without_booking(booking.id)
        times.append(process_time() - begun)
        begun = process_time()
        index = index.with_booking(booking)
        times.append(process_time() - begun)
    return times


def planned(book: DayBook, asked: list[OpeningsQuestion], seconds: float) -> list[float]:
    """Time on the clock of one solve for each question, on the day of its first opening."""
    times = []
    index = BookIndex.of(book)
    for question in asked:
        answer = find_openings(book, question, index=index)
        if answer.openings:
            opening = answer.openings[0]
            day, plan = sold(book, question.request, opening)
            bookings = tuple(each for each in day.bookings if each.id != question.request.id)
            day = day.model_copy(update={"bookings": bookings, "breaks": plan.breaks})
            begun = perf_counter()
            plan_days(day, seconds=seconds)
            times.append(perf_counter() - begun)
    return times


def measure(case: str, options: argparse.Namespace) -> list[dict[str, object]]:
    count = options.questions
    book = full_book(CASES[case], options.seed)
    asked = questions(book, count)

    tracemalloc.start()
    index = BookIndex.of(book)
    answers = [find_openings(book, question, index=index) for question in asked]
    memory = tracemalloc.get_traced_memory()[0] / 1e6
    tracemalloc.stop()

    facts: dict[str, object] = {
        "memory_mb": round(memory, 1),
        "bookings": len(book.bookings),
        "lead_load": round(lead_load(book), 3),
        "offered_mean": round(sum(len(answer.openings) for answer in answers) / count, 1),
        "found_mean": round(sum(answer.found for answer in answers) / count, 1),
    }
    rows: list[tuple[str, list[float]]] = [("asked", asked_of(index, asked))]
    fresh = BookIndex.of(book)
    met: dict[object, OpeningsQuestion] = {}
    for question in asked:
        met.setdefault(question.request.phases, question)
    rows.append(("new style", asked_of(fresh, list(met.values()))))
    cold = []
    for question in asked[:5]:
        begun = process_time()
        find_openings(book, question)
        cold.append(process_time() - begun)
    rows.append(("cold", cold))
    rows.append(("changed", followed(index, 10)))
    if options.planner:
        rows.append(("planner", planned(book, asked[: options.planner], seconds=10)))
    return [
        {"case": f"{case} {name}", "times": len(times), **milliseconds(times), **facts}
        for name, times in rows
    ]


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
