"""How well the planner keeps its time: `python -m tests.benchmarks.budget --json`.

Rows with the size, the seconds asked and taken, their difference `over`, and the processor seconds
spent; a last kind of row, `colliding`, has promises that cannot all hold, so that reasons are
sought as well. `stopped` rows ask for a minute and are told to stop after one second: `over` counts
from then. A planner that keeps its word is over by at most 0.3 s on a machine with nothing else to
do; one that proves its plan is done sooner.
"""

from __future__ import annotations

import argparse
import json
import sys
from dataclasses import asdict, dataclass
from time import monotonic, process_time

from schemas.booking import Booking, Promise
from schemas.daybook import DayBook
from solver.plan import plan_days
from tests.benchmarks.salon_days import SIZES, salon_days

STOPPED_AFTER = 1.0


@dataclass(frozen=True)
class Row:
    """One run."""

    case: str
    size: str
    asked: float
    taken: float
    over: float
    processor: float
    status: str


def colliding(size: str, seed: int) -> DayBook:
    """The book with every request promised at the start of its window."""
    book = salon_days(size, seed)
    promised = tuple(
        Booking(
            **request.model_dump(exclude={"windows", "preferred", "value"}),
            promise=Promise(start=request.windows[0].start),
        )
        for request in book.requests
    )
    return book.model_copy(update={"bookings": promised, "requests": ()})


def run(case: str, size: str, seed: int, seconds: float, workers: int) -> Row:
    book = colliding(size, seed) if case == "colliding" else salon_days(size, seed)
    begun, worked = monotonic(), process_time()
    stopped = case == "stopped"
    result = plan_days(
        book,
        seconds=60.0 if stopped else seconds,
        seed=seed,
        workers=workers,
        stop=(lambda: monotonic() - begun > STOPPED_AFTER) if stopped else None,
    )
    taken = monotonic() - begun
    asked = STOPPED_AFTER if stopped else seconds
    spent = process_time() - worked
    return Row(case, size, asked, taken, max(0.0, taken - asked), spent, result.status.value)


def main(arguments: list[str] | None = None) -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--sizes", default="S,M,L", help=f"of {', '.join(SIZES)}")
    parser.add_argument("--seconds", default="1,3,10")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--workers", type=int, default=2)
    parser.add_argument("--json", action="store_true", help="a JSON list of rows on stdout")
    asked = parser.parse_args(arguments)
    cases = [("plain", float(seconds)) for seconds in asked.seconds.split(",")]
    cases += [("colliding", 1.0), ("stopped", STOPPED_AFTER)]
    rows = []
    for size in asked.sizes.split(","):
        for case, seconds in cases:
            row = run(case, size, asked.seed, seconds, asked.workers)
            rows.append(row)
            sys.stderr.write(
                f"{row.case:9} {row.size:6} asked {row.asked:4.1f} s  taken {row.taken:6.2f} s"
                f"  over {row.over:5.2f} s  processor {row.processor:6.2f} s  {row.status}\n"
            )
    if asked.json:
        sys.stdout.write(json.dumps([asdict(row) for row in rows], indent=1) + "\n")


if __name__ == "__main__":
    main()
