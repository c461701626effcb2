"""How good and how fast the planner is: `python -m tests.benchmarks.plan --sizes S,M --json`.

Rows with size, seed, method, seconds, value, bound, gap and first_plan_seconds, of seeded books in
which more is asked than fits. `seconds` is the time given, `taken` the time used; several times
may be given, `--seconds 1,5,10,30`, each a run of its own. Methods: `ours`; `greedy`, our first
plan alone; `plain`, one shot of the same model for the accepted value with no sums, no start and no
tiers; `pyjobshop`, the nearest formulation in a general scheduling library, if it is there:
`tests.benchmarks.pyjobshop_day` says what it cannot express; its bound is for such plans alone.
"""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Callable
from dataclasses import asdict, dataclass, replace
from itertools import product
from statistics import mean
from time import monotonic

from schemas.daybook import DayBook
from schemas.plan import PlanResult
from solver.days import part_days
from solver.model.build import build_day
from solver.model.constraints import post_all
from solver.model.facts import Day
from solver.model.greedy import Greedy
from solver.model.objective import goals
from solver.model.progress import gap
from solver.model.search import Budget, solve
from solver.model.variables import build_variables
from solver.plan import Progress, plan_days
from solver.rules import settings_in_force
from tests.benchmarks.pyjobshop_day import run_pyjobshop
from tests.benchmarks.salon_days import SIZES, salon_days


@dataclass(frozen=True)
class Row:
    """One run. `bound` and `gap` are missing where the method proves nothing."""

    size: str
    seed: int
    method: str
    seconds: float
    value: int | None
    bound: int | None
    gap: float | None
    first_plan_seconds: float | None
    taken: float = 0.0


def days_of(book: DayBook) -> list[Day]:
    settings = settings_in_force(book)
    return [
        build_day(book, part.openings, part.shifts, part.visits, settings)
        for part in part_days(book)
    ]


def ours(book: DayBook, seed: int, seconds: float, workers: int) -> tuple[PlanResult, float | None]:
    begun, first = monotonic(), list[float]()

    def hear(_: Progress) -> None:
        if not first:
            first.append(monotonic() - begun)

    result = plan_days(book, seconds=seconds, seed=seed, workers=workers, on_progress=hear)
    return result, first[0] if first else None


def run_ours(size: str, seed: int, seconds: float, workers: int) -> Row:
    begun = monotonic()
    result, first = ours(salon_days(size, seed), seed, seconds, workers)
    value = result.tiers[0] if result.tiers else None
    return Row(
        size,
        seed,
        "ours",
        monotonic() - begun,
        value.value if value else None,
        value.bound if value else None,
        value.gap if value else None,
        first,
    )


def run_greedy(size: str, seed: int, seconds: float, workers: int) -> Row:
    """Our first plan alone, every day in turn."""
    days = days_of(salon_days(size, seed))
    begun, total, first = monotonic(), 0, list[float]()
    for number, day in enumerate(days):
        greedy = Greedy(day, seed)
        until = begun + seconds * (number + 1) / len(days)
        greedy.run(
            lambda until=until: monotonic() > until,
            lambda _: first.append(monotonic() - begun) if not first else None,
        )
        if greedy.best is None:
            return Row(size, seed, "greedy", monotonic() - begun, None, None, None, None)
        total += greedy.value
    return Row(size, seed, "greedy", monotonic() - begun, total, None, None, first[0])


def run_plain(size: str, seed: int, seconds: float, workers: int) -> Row:
    """The same rules in one shot for the accepted value: no sums, no start, no tiers."""
    days = days_of(salon_days(size, seed))
    begun, values, bounds, first = monotonic(), list[int](), list[int](), list[float]()
    for number, day in enumerate(days):
        model = build_variables(day)
        post_all(model)
        left = begun + seconds - monotonic()
        budget = Budget(left / (len(days) - number), workers=workers, seed=seed)

        def hear(*_: object) -> None:
            if not first:
                first.append(monotonic() - begun)

        answer = solve(model, goals(model)[0], budget, hear, sums=False)
        if answer.value is None or answer.bound is None:
            return Row(size, seed, "plain", monotonic() - begun, None, None, None, None)
        values.append(answer.value)
        bounds.append(answer.bound)
    value, bound = sum(values), sum(bounds)
    spent = monotonic() - begun
    return Row(
        size, seed, "plain", spent, value, bound, gap(value, bound), first[0] if first else None
    )


def run_other(size: str, seed: int, seconds: float, workers: int) -> Row:
    """The same days as PyJobShop says them."""
    begun = monotonic()
    try:
        value, bound, first = run_pyjobshop(size, seed, seconds, workers)
    except RuntimeError as missing:
        raise SystemExit(f"the method pyjobshop is not to be had: {missing}") from missing
    share = gap(value, bound) if value is not None else None
    return Row(size, seed, "pyjobshop", monotonic() - begun, value, bound, share, first)


METHODS: dict[str, Callable[[str, int, float, int], Row]] = {
    "ours": run_ours,
    "greedy": run_greedy,
    "plain": run_plain,
    "pyjobshop": run_other,
}


def main(arguments: list[str] | None = None) -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--sizes", default="studio,S,M", help=f"of {', '.join(SIZES)}")
    parser.add_argument("--seeds", default="1,2,3")
    parser.add_argument("--seconds", default="10", help="one or several, as 1,5,10,30")
    parser.add_argument("--workers", type=int, default=2)
    parser.add_argument("--methods", default="ours,greedy,plain")
    parser.add_argument("--json", action="store_true", help="a JSON list of rows on stdout")
    asked = parser.parse_args(arguments)
    rows = []
    for size in asked.sizes.split(","):
        for method in asked.methods.split(","):
            for seconds in map(float, asked.seconds.split(",")):
                for seed in map(int, asked.seeds.split(",")):
                    row = METHODS[method](size, seed, seconds, asked.workers)
                    rows.append(replace(row, seconds=seconds, taken=row.seconds))
                    sys.stderr.write(f"{line(rows[-1])}\n")
    if asked.json:
        sys.stdout.write(json.dumps([asdict(row) for row in rows], indent=1) + "\n")
        return
    for size in asked.sizes.split(","):
        for method, seconds in product(
            asked.methods.split(","), map(float, asked.seconds.split(","))
        ):
            found = [
                row
                for row in rows
                if (row.size, row.method, row.seconds) == (size, method, seconds)
            ]
            values = [row.value for row in found if row.value is not None]
            gaps = [row.gap for row in found if row.gap is not None]
            sys.stdout.write(
                f"{size:7} {method:9} {seconds:4.0f} s  plans {len(values)}/{len(found)}"
                f"  mean value {mean(values) if values else float('nan'):9.1f}"
                f"  mean gap {mean(gaps) if gaps else float('nan'):.3f}\n"
            )


def line(row: Row) -> str:
    shown = "-" if row.gap is None else f"{row.gap:.3f}"
    first = "-" if row.first_plan_seconds is None else f"{row.first_plan_seconds:.2f}"
    return (
        f"{row.size:7} seed {row.seed:3} {row.method:9} {row.seconds:4.0f} s"
        f" (took {row.taken:5.2f})  value {row.value}"
        f"  bound {row.bound}  gap {shown}  first plan after {first} s"
    )


if __name__ == "__main__":
    main()
