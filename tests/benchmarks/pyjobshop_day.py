"""A salon day as PyJobShop says it: the nearest formulation in a general scheduling library.

PyJobShop (Leon Lan, Joost Berkhout; MIT; https://pyjobshop.org) writes its own CP-SAT model from
jobs, tasks, modes and resources, so it shares nothing with ours but the facts of the day.
`tests.benchmarks.pyjobshop_model` says the day in its words:

- Accept or decline: a job that is late when its task `pass` is present, with the request's worth as
  weight; the least late weight is the most accepted value.
- One lead: a mode of a crew phase by a lead depends on the braiding's modes by the same lead.
- Help: a braiding's mode states the rates of its helpers; it depends on helper tasks that start and
  end with it, each on an assistant of that rate. With `parts` there are modes with one assistant
  for one of so many steps, at any time inside the braiding.
- Chair: a task that starts with the first phase and ends a turnaround after the last.
- Arrivals: a task of one step on a door that is open at the arrival steps alone.
- Meals: a task on the hands of each shift; with `inside`, one of several, the others within a
  braiding whose mode is so much longer. `Machine.breaks` cannot say this: they lie at fixed times.

What it cannot say, and so does not do: help of any length (an assistant stays for all of it, for
one of the lengths of `parts`, or does not come; two helpers stay for all of it); soft rules, which
are no goal of its; the tiers after the accepted value. Its bound holds for these plans alone, and
ours may be worth more. Refused with a ValueError are requests with several windows, promises that
may move, breaks of several rules for one shift, soft breaks, closed chairs, chairs with turnarounds
of their own, and visits whose lead does not perform exactly one phase that is hers alone. Every
plan is written down as ours and judged by our checker.

    python -m tests.benchmarks.pyjobshop_day --sizes S,M --seeds 1,2,3 --seconds 10 --json
"""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Iterable
from dataclasses import dataclass
from time import monotonic

from schemas.daybook import DayBook
from schemas.plan import Plan
from schemas.rules import Finding
from solver.checker import check
from solver.days import part_days
from solver.model.build import build_day
from solver.rules import settings_in_force
from solver.writing import write_plan
from tests.benchmarks.pyjobshop_model import Answer, ShopDay
from tests.benchmarks.salon_days import salon_days

FEW, MANY = 12, 40
"""Requests: up to the one a day may be said in all detail, above the other in none."""


@dataclass(frozen=True)
class Outcome:
    """A whole book; `findings` are the hard ones our checker has against the plan."""

    value: int | None
    bound: int
    first: float | None
    plan: Plan | None
    findings: tuple[Finding, ...] = ()


def plan_with_pyjobshop(
    book: DayBook,
    seconds: float,
    workers: int,
    *,
    seed: int = 1,
    inside: bool = False,
    parts: tuple[int, ...] = (),
) -> Outcome:
    """Each day in turn with its share of the time. Raises ValueError for what it cannot say."""
    settings, days = settings_in_force(book), part_days(book)
    begun, answers, plans, first = monotonic(), list[Answer](), list[Plan](), None
    for count, part in enumerate(days):
        day = build_day(book, part.openings, part.shifts, part.visits, settings)
        share = (begun + seconds - monotonic()) / (len(days) - count)
        before = monotonic() - begun
        answer = ShopDay(day, inside=inside, parts=parts).solve(share, workers, seed)
        answers.append(answer)
        if answer.placement is not None:
            plans.append(write_plan(day, answer.placement))
            first = before + (answer.first or 0) if first is None else first
    bound = sum(answer.bound for answer in answers)
    if len(plans) < len(days):
        return Outcome(None, bound, None, None)
    plan = _joined(book, plans)
    hard = tuple(finding for finding in check(book, plan) if finding.hard)
    return Outcome(sum(answer.value or 0 for answer in answers), bound, first, plan, hard)


def _joined(book: DayBook, plans: Iterable[Plan]) -> Plan:
    visits = tuple(visit for plan in plans for visit in plan.visits)
    placed = {visit.visit for visit in visits}
    return Plan(
        visits=visits,
        breaks=tuple(rest for plan in plans for rest in plan.breaks),
        declined=tuple(each.id for each in book.requests if each.id not in placed),
    )


def run_pyjobshop(
    size: str,
    seed: int,
    seconds: float,
    workers: int,
    *,
    inside: bool | None = None,
    parts: tuple[int, ...] | None = None,
) -> tuple[int | None, int | None, float | None]:
    """Accepted value, bound and seconds to the first plan of a generated book.

    `inside` lets meals lie inside braidings, `parts` are steps for which one assistant may help.
    Both make the model larger. Left out, they are what reached most in twenty processor seconds:
    with up to `FEW` requests both, with up to `MANY` one and two hours of help and no meals inside,
    and neither where there are more. With several days the first plan is that of the first day.
    Raises RuntimeError where the library is missing, or where our checker finds a hard breach in
    its plan.
    """
    book = salon_days(size, seed)
    count = len(book.requests)
    lengths = (6, 12, 24) if count <= FEW else (12, 24) if count <= MANY else ()
    outcome = plan_with_pyjobshop(
        book,
        seconds,
        workers,
        inside=count <= FEW if inside is None else inside,
        parts=lengths if parts is None else parts,
    )
    if outcome.findings:
        raise RuntimeError("; ".join(f"{each.rule}: {each.detail}" for each in outcome.findings))
    return outcome.value, outcome.bound, outcome.first


def main(arguments: list[str] | None = None) -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--sizes", default="S,M")
    parser.add_argument("--seeds", default="1,2,3")
    parser.add_argument("--seconds", type=float, default=10.0)
    parser.add_argument("--workers", type=int, default=2)
    parser.add_argument("--inside", type=int, choices=(0, 1), help="meals inside braidings too")
    parser.add_argument("--parts", help="steps of help by one assistant, such as 12,24; 0 for none")
    parser.add_argument("--json", action="store_true", help="a JSON list of rows on stdout")
    asked = parser.parse_args(arguments)
    inside = None if asked.inside is None else bool(asked.inside)
    parts = None
    if asked.parts is not None:
        parts = tuple(step for step in map(int, asked.parts.split(",")) if step)
    rows = []
    for size in asked.sizes.split(","):
        for seed in map(int, asked.seeds.split(",")):
            value, bound, first = run_pyjobshop(
                size, seed, asked.seconds, asked.workers, inside=inside, parts=parts
            )
            row = {"size": size, "seed": seed, "value": value, "bound": bound, "first": first}
            rows.append(row)
            sys.stderr.write(f"{row}\n")
    if asked.json:
        sys.stdout.write(json.dumps(rows, indent=1) + "\n")


if __name__ == "__main__":
    main()
