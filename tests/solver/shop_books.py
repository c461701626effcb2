"""Job shops as day books: a job is a visit, an operation a phase of the one person who masters it.

Machine 0 is the lead of every visit, the other machines are her assistants; the grid is a minute,
no house rule is in force, and the promised starts may move over the whole time. An operator, where
the shop has them, is a basin: whoever works is at one of so many, and any of them will do.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path

from schemas.daybook import DayBook, Grid
from schemas.resources import Role
from schemas.work import Performer, Place
from tests.builders import (
    a_basin,
    a_booking,
    a_chair,
    a_day_book,
    a_phase,
    a_shift,
    a_window,
    an_assistant,
    skills,
)

DATA = Path(__file__).parent.parent / "data" / "jobshop"


def read_shop(name: str) -> dict:
    return json.loads((DATA / f"{name}.json").read_text())


def a_job_shop(
    machines: Sequence[Sequence[int]],
    durations: Sequence[Sequence[int]],
    *,
    operators: int = 0,
    days: int = 1,
) -> DayBook:
    """The job shop from 0:00 for so many days on end; no operators means as many as are asked.

    An operation of no minutes takes nothing and is left out.
    """
    end = f"{24 * days}:00"
    count = max(max(row) for row in machines) + 1
    staff = [
        an_assistant(
            f"machine-{machine}",
            roles=(Role.LEAD, Role.ASSISTANT) if machine == 0 else (Role.ASSISTANT,),
            skills=skills(f"machine-{machine}"),
        )
        for machine in range(count)
    ]
    # More than six machines are more assistants than a document may state; the planner takes them.
    jobs = [
        a_booking(
            f"job-{job}",
            "0:00",
            tolerance=1440 * days,
            phases=tuple(
                a_phase(
                    f"operation-{number}",
                    minutes,
                    skill=f"machine-{machine}",
                    performer=Performer.CREW,
                    place=Place.BASIN if operators else Place.NOWHERE,
                )
                for number, (machine, minutes) in enumerate(zip(order, work, strict=True))
                if minutes
            ),
        ).model_copy(update={"max_assistants": count - 1})
        for job, (order, work) in enumerate(zip(machines, durations, strict=True))
    ]
    return a_day_book(
        visits=jobs,
        staff=staff,
        grid=Grid(minutes=1, arrivals=1),
        open=(a_window("0:00", end),),
        shifts=tuple(a_shift(person.id, "0:00", end) for person in staff),
        chairs=tuple(a_chair(f"chair-{job}") for job in range(len(jobs) if operators else 0)),
        basins=tuple(a_basin(f"operator-{number}") for number in range(operators)),
    )
