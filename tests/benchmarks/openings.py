"""How fast openings are found: `python -m tests.benchmarks.openings [--json] [--cases 4w,12w]`.

Each case fills a book (see `full_books`), then asks random questions over the whole book for the
ranked ten. `asked` is a question to a standing index, `cold` builds the index first; both end with
every opening judged by the checker, and `judging_ms` is the checker's part of the median.
`memory_mb` is what the index holds after all questions. Times are processor time of one core, so
that a busy machine blurs them less. No test is timed: run this and compare by hand.
"""

from __future__ import annotations

import argparse
import json
import sys
import tracemalloc
from random import Random
from statistics import median, quantiles
from time import process_time

from schemas.daybook import DayBook
from schemas.openings import OpeningsQuestion
from schemas.windows import TimeWindow
from solver.checker import hard_findings
from solver.openings import BookIndex, find_openings, sold
from tests.benchmarks.full_books import Size, full_book, lead_load, request

CASES = {
    "1w": Size(weeks=1, chairs=10, leads=8, assistants=5),
    "4w": Size(weeks=4, chairs=10, leads=8, assistants=5),
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
    return {
        "median_ms": round(1000 * median(times), 3),
        "p95_ms": round(1000 * quantiles(times, n=20)[-1], 3),
    }


def measure(case: str, count: int, seed: int) -> list[dict[str, object]]:
    book = full_book(CASES[case], seed)
    asked = questions(book, count)
    facts = {"bookings": len(book.bookings), "lead_load": round(lead_load(book), 3)}

    tracemalloc.start()
    index = BookIndex.of(book)
    for question in asked:
        find_openings(book, question, index=index)
    memory = tracemalloc.get_traced_memory()[0] / 1e6
    tracemalloc.stop()

    warm, offered, found = [], 0, 0
    for question in asked:
        begun = process_time()
        answer = find_openings(book, question, index=index)
        warm.append(process_time() - begun)
        offered += len(answer.openings)
        found += answer.found
    judging = []
    for question in asked:
        answer = find_openings(book, question, index=index)
        sales = [sold(book, question.request, opening) for opening in answer.openings]
        begun = process_time()
        for sale in sales:
            hard_findings(*sale)
        judging.append(process_time() - begun)
    cold = []
    for question in asked[:5]:
        begun = process_time()
        find_openings(book, question)
        cold.append(process_time() - begun)
    facts |= {"judging_ms": milliseconds(judging)["median_ms"]}
    facts |= {"offered_mean": round(offered / count, 1), "found_mean": round(found / count, 1)}
    return [
        {
            "case": f"{case} asked",
            "questions": count,
            **milliseconds(warm),
            "memory_mb": round(memory, 1),
            **facts,
        },
        {"case": f"{case} cold", "questions": 5, **milliseconds(cold), **facts},
    ]


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--json", action="store_true", help="print a JSON list")
    parser.add_argument("--cases", default="1w,4w", help=f"out of {','.join(CASES)}")
    parser.add_argument("--questions", type=int, default=60)
    parser.add_argument("--seed", type=int, default=1)
    options = parser.parse_args()
    rows = [
        row
        for case in options.cases.split(",")
        for row in measure(case, options.questions, options.seed)
    ]
    if options.json:
        sys.stdout.write(json.dumps(rows, indent=2) + "\n")
        return
    for row in rows:
        sys.stdout.write("  ".join(f"{key} {value}" for key, value in row.items()) + "\n")


if __name__ == "__main__":
    main()
