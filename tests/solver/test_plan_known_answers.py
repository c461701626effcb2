"""The planner against answers of other theories and other engines, each with its source.

Johnson's rule and published job shops are in `test_plan_published`, graph colouring in
`test_colouring`.
"""

from __future__ import annotations

from random import Random

import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, linear_sum_assignment, milp

from schemas.daybook import DayBook, Grid
from schemas.plan import Tier
from solver.days import part_days
from solver.model.build import build_day
from solver.model.greedy import Greedy
from solver.plan import plan_days
from solver.rules import settings_in_force
from tests.builders import (
    a_booking,
    a_chair,
    a_day_book,
    a_lead,
    a_phase,
    a_request,
    a_setting,
    a_shift,
    a_window,
    skills,
)


def tier(book: DayBook, name: str, seconds: float = 20) -> Tier:
    """A proved tier of the best plan."""
    found = next(tier for tier in plan_days(book, seconds=seconds).tiers if tier.name == name)
    assert found.value == found.bound
    return found


def leads(count: int, **changes: object) -> tuple:
    return tuple(a_lead(f"lead-{number}", **changes) for number in range(count))


def chairs(count: int) -> tuple:
    return tuple(a_chair(f"chair-{number}") for number in range(count))


def independent(lengths: list[int], machines: int) -> DayBook:
    """Visits that any of the leads may do at any time of a day that is long enough."""
    staff = leads(machines)
    return a_day_book(
        visits=[
            a_booking(f"visit-{n}", "0:00", length, tolerance=1440)
            for n, length in enumerate(lengths)
        ],
        grid=Grid(minutes=1, arrivals=1),
        open=(a_window("0:00", "24:00"),),
        staff=staff,
        shifts=tuple(a_shift(person.id, "0:00", "24:00") for person in staff),
        chairs=chairs(machines),
    )


def greedy_finish(book: DayBook) -> int:
    """When the greedy start's first plan ends, in minutes from the opening."""
    (part,) = part_days(book)
    day = build_day(book, part.openings, part.shifts, part.visits, settings_in_force(book))
    greedy = Greedy(day, seed=1)
    greedy.run(lambda: True, lambda _: None)
    assert greedy.best is not None
    return max(placed.end for placed in greedy.best.visits) * day.grid


@pytest.mark.parametrize("seed", range(12))
def test_the_greedy_start_keeps_grahams_bound_and_the_plan_is_the_best(seed: int) -> None:
    """R. L. Graham, Bounds on multiprocessing timing anomalies, SIAM J. Appl. Math. 17 (1969).

    Any list schedule of independent jobs on m machines ends by (2 - 1/m) times the optimum.
    """
    rng = Random(seed)
    machines = rng.randint(2, 3)
    lengths = [rng.randint(10, 90) for _ in range(rng.randint(3, 7))]
    book, best = independent(lengths, machines), shortest(lengths, machines)
    assert tier(book, "last-finish").value == best
    assert best <= greedy_finish(book) <= (2 - 1 / machines) * best


def shortest(lengths: list[int], machines: int) -> int:
    """The least makespan, by trying every sharing out of the jobs."""
    loads = {(0,) * machines}
    for length in lengths:
        loads = {
            tuple(sorted((*load[:m], load[m] + length, *load[m + 1 :])))
            for load in loads
            for m in range(machines)
        }
    return min(map(max, loads))


def test_grahams_example_of_a_list_that_ends_at_the_bound() -> None:
    # On m machines, m(m - 1) jobs of 1 and one of m end in that order at 2m - 1, at best at m.
    book = independent([10] * 6 + [30], 3)
    assert tier(book, "last-finish").value == shortest([10] * 6 + [30], 3) == 30
    assert greedy_finish(book) <= 50


@pytest.mark.parametrize("seed", range(6))
def test_one_visit_for_each_lead_costs_what_an_assignment_does(seed: int) -> None:
    """scipy.optimize.linear_sum_assignment (Crouse 2016, after Jonker and Volgenant 1987).

    Everybody comes at nine for as long as there is time, so a lead has one visit; a pair that may
    not be is refused, and who is accepted is worth her value. The most that any matching is worth.
    """
    rng = Random(seed)
    people, clients = rng.randint(2, 4), rng.randint(2, 6)
    able = np.array([[rng.random() < 0.6 for _ in range(people)] for _ in range(clients)])
    worth = np.array([rng.randint(10, 99) for _ in range(clients)])
    staff = leads(people)
    book = a_day_book(
        visits=[
            a_request(
                f"client-{n}",
                60,
                windows=(a_window("9:00", "10:00"),),
                value=int(worth[n]),
                refused_leads=tuple(f"lead-{k}" for k in range(people) if not able[n, k]),
            )
            for n in range(clients)
        ],
        staff=staff,
        chairs=chairs(people),
    )
    gain = able * worth[:, None]
    rows, columns = linear_sum_assignment(gain, maximize=True)
    assert tier(book, "accepted-value").value == gain[rows, columns].sum()


SLOT = 30
"""Minutes of a step of the time-indexed model."""


def most_worth(
    work: list[tuple[int, int, bool]], slots: int, meal: tuple[int, int, int, bool]
) -> int:
    """The most worth that one lead can accept beside her meal, by HiGHS (scipy.optimize.milp).

    A time-indexed model: a column for each way to place a visit or the meal (its slots are the
    lead's), a row for each slot and each visit, one row for the meal. `work` are slots, worth and
    whether a break may lie inside; `meal` is its length, first and last start, and whether inside
    is allowed. A visit with the meal inside holds the lead for both and is a column of its own.
    """
    length, first, last, inside = meal
    columns: list[tuple[int, int | None, int, range, int]] = []
    for job, (size, worth, breakable) in enumerate(work):
        for start in range(slots - size + 1):
            columns.append((worth, job, 0, range(start, start + size), 0))
        if inside and breakable:
            for start in range(slots - size - length + 1):
                whole = range(start, start + size + length)
                starts = range(max(first, start), min(last, whole.stop - length) + 1)
                if starts:
                    columns.append((worth, job, 1, whole, 0))
    for start in range(first, min(last, slots - length) + 1):
        columns.append((0, None, 1, range(start, start + length), 0))
    slot_rows = np.array([[slot in c[3] for c in columns] for slot in range(slots)], dtype=float)
    job_rows = np.array([[c[1] == job for c in columns] for job in range(len(work))], dtype=float)
    meal_row = np.array([[c[2] for c in columns]], dtype=float)
    answer = milp(
        -np.array([c[0] for c in columns], dtype=float),
        integrality=np.ones(len(columns)),
        bounds=Bounds(0, 1),
        constraints=[
            LinearConstraint(slot_rows, ub=1),
            LinearConstraint(job_rows, ub=1),
            LinearConstraint(meal_row, lb=1, ub=1),
        ],
    )
    assert answer.success, answer.message
    return round(-answer.fun)


@pytest.mark.parametrize("inside", [False, True])
@pytest.mark.parametrize("seed", range(8))
def test_a_lead_and_her_meal_accept_what_another_engine_accepts(seed: int, inside: bool) -> None:
    rng = Random(seed)
    slots, length = 14, rng.choice((1, 2))
    first = rng.randint(3, 5)
    last = first + rng.randint(0, 3)
    work = [
        (rng.randint(2, 9), rng.randint(10, 99), rng.random() < 0.7)
        for _ in range(rng.randint(3, 6))
    ]
    book = a_day_book(
        visits=[
            a_request(
                f"request-{n}",
                phases=(a_phase(minutes=size * SLOT, breakable=breakable),),
                value=worth,
            )
            for n, (size, worth, breakable) in enumerate(work)
        ],
        grid=Grid(minutes=SLOT, arrivals=SLOT),
        open=(a_window("9:00", "16:00"),),
        staff=(a_lead(skills=skills("braiding")),),
        shifts=(a_shift(start="9:00", end="16:00"),),
        rules=(
            a_setting(
                "meal-break",
                after=60,
                minutes=length * SLOT,
                earliest=first * SLOT,
                latest=last * SLOT,
                inside=int(inside),
            ),
        ),
    )
    expected = most_worth(work, slots, (length, first, last, inside))
    assert tier(book, "accepted-value").value == expected


def test_a_meal_inside_is_worth_a_visit_that_a_meal_between_costs() -> None:
    """Worked by hand: 9 to 16 holds six hours and a half only if she eats in the middle of them."""
    work = [(13, 50, True), (4, 20, False)]
    assert most_worth(work, 14, (1, 6, 8, True)) == 50
    assert most_worth(work, 14, (1, 6, 8, False)) == 20
