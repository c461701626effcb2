"""Multi-skill projects as day books: what of them a day book can say, and what it cannot.

A project has activities; each lasts a while and needs so many people of each skill, all of them
from its start to its end; a person fills one place at a time (meaning B of the sets); an arc says
that one activity starts after another has ended. Sought is the earliest end of all.

A visit has one performer for a phase, help that may or may not come, and no visit waits for
another. So each *place* of an activity is a visit of one phase, whose performer is anybody who
masters the skill, and two things are lost: that the places of an activity are taken at the same
time, and that one activity waits for another. What is left of the arcs is what they say of each
activity alone: it starts no earlier than its longest chain before it, and ends so early that its
longest chain after it still fits. The day book that is left asks for less, so

- no plan of it can be proved to end later than the project: `a_project(project, horizon)`;
- with the starts of a project's schedule as promises nothing is lost, and the day can be staffed if
  and only if the schedule can: `a_project(project, horizon, starts)`.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from ortools.sat.python import cp_model

from schemas.booking import Promise
from schemas.daybook import DayBook, Grid
from schemas.resources import Shift
from schemas.windows import TimeWindow
from schemas.work import Performer, Place
from tests.builders import (
    a_booking,
    a_day_book,
    a_lead,
    a_phase,
    an_assistant,
    at,
    minutes_after,
    skills,
)


@dataclass(frozen=True)
class Project:
    """Durations by activity, `needs[activity][skill]` people, skills by person, arcs."""

    durations: tuple[int, ...]
    needs: tuple[tuple[int, ...], ...]
    masters: tuple[frozenset[int], ...]
    arcs: tuple[tuple[int, int], ...]

    @property
    def heads(self) -> list[int]:
        """The earliest start of each activity by the arcs alone."""
        heads = [0] * len(self.durations)
        for _ in self.durations:
            for before, after in self.arcs:
                heads[after] = max(heads[after], heads[before] + self.durations[before])
        return heads

    @property
    def tails(self) -> list[int]:
        """What must follow after the end of each activity by the arcs alone."""
        tails = [0] * len(self.durations)
        for _ in self.durations:
            for before, after in self.arcs:
                tails[before] = max(tails[before], tails[after] + self.durations[after])
        return tails


def read_project(path: Path) -> Project:
    """A `.dzn` file of either set; activities that take no time are left out of the work."""
    text = re.sub(r"%.*", "", path.read_text())
    given = dict(re.findall(r"(\w+)\s*=\s*([^;]*);", text))
    if "sreq" in given:
        mastery = _rows(given["mastery"].replace("true", "1").replace("false", "0"))
        return Project(
            tuple(_numbers(given["dur"])),
            tuple(map(tuple, _rows(given["sreq"]))),
            tuple(frozenset(s for s, can in enumerate(row) if can) for row in mastery),
            tuple(
                (before - 1, after - 1)
                for before, after in zip(
                    _numbers(given["pred"]), _numbers(given["succ"]), strict=True
                )
            ),
        )
    return Project(
        tuple(_numbers(given["d"])),
        tuple(zip(*_rows(given["rr"]), strict=True)),
        tuple(frozenset(skill - 1 for skill in own) for own in _sets(given["has_skills"])),
        tuple(
            (before, after - 1) for before, own in enumerate(_sets(given["suc"])) for after in own
        ),
    )


def _numbers(text: str) -> list[int]:
    return [int(word) for word in re.findall(r"\d+", text)]


def _rows(text: str) -> list[list[int]]:
    rows = (_numbers(row) for row in text.strip(" []\n").split("|"))
    return [row for row in rows if row]


def _sets(text: str) -> list[list[int]]:
    found = []
    for each in re.findall(r"\{[^}]*\}|\d+\s*\.\.\s*\d+", text):
        numbers = _numbers(each)
        found.append(list(range(numbers[0], numbers[1] + 1)) if ".." in each else numbers)
    return found


def a_project(project: Project, horizon: int, starts: Sequence[int] | None = None) -> DayBook:
    """The project between 0:00 and `horizon` minutes later, one visit for each place."""
    staff = [
        a_lead("desk", skills=skills("desk")),
        *(
            an_assistant(f"person-{n}", skills=skills(*(f"skill-{s}" for s in sorted(own))))
            for n, own in enumerate(project.masters)
        ),
    ]
    whole = TimeWindow(start=at("0:00"), end=minutes_after(at("0:00"), horizon))
    heads, tails = project.heads, project.tails
    visits = []
    for activity, needed in enumerate(project.needs):
        length = project.durations[activity]
        first, last = heads[activity], horizon - tails[activity] - length
        if starts is not None:
            first = last = starts[activity]
        spare = -(-(last - first) // 2)
        promise = Promise(
            start=minutes_after(at("0:00"), first + spare),
            tolerance=spare,
            latest_finish=minutes_after(at("0:00"), last + length) if length else None,
        )
        for skill, count in enumerate(needed):
            for place in range(count if length else 0):
                visits.append(
                    a_booking(
                        f"activity-{activity}-{skill}-{place}",
                        max_assistants=1,
                        phases=(
                            a_phase(
                                "work",
                                length,
                                skill=f"skill-{skill}",
                                performer=Performer.CREW,
                                place=Place.NOWHERE,
                            ),
                        ),
                    ).model_copy(update={"promise": promise})
                )
    return a_day_book(
        visits=visits,
        staff=staff,
        grid=Grid(minutes=1, arrivals=1),
        open=(whole,),
        shifts=tuple(Shift(id=f"shift-{p.id}", staff=p.id, window=whole) for p in staff),
        chairs=(),
        basins=(),
    )


def schedule(project: Project, horizon: int, seconds: float) -> list[int] | None:
    """Starts of a schedule that ends by `horizon`, by a model of its own; None if none was found.

    Everything the sets mean is here: arcs, places taken at the same time, one place a person.
    """
    cp = cp_model.CpModel()
    starts = [cp.new_int_var(0, horizon - length, "") for length in project.durations]
    duties: list[list[cp_model.IntervalVar]] = [[] for _ in project.masters]
    for before, after in project.arcs:
        cp.add(starts[after] >= starts[before] + project.durations[before])
    for activity, needed in enumerate(project.needs):
        taken: list[list[cp_model.IntVar]] = [[] for _ in project.masters]
        for skill, count in enumerate(needed):
            able = {n: cp.new_bool_var("") for n, own in enumerate(project.masters) if skill in own}
            cp.add(sum(able.values()) == count)
            for person, literal in able.items():
                taken[person].append(literal)
        for person, places in enumerate(taken):
            if places and project.durations[activity]:
                here = cp.new_bool_var("")
                cp.add(sum(places) == here)
                duties[person].append(
                    cp.new_optional_fixed_size_interval_var(
                        starts[activity], project.durations[activity], here, ""
                    )
                )
    for own in duties:
        cp.add_no_overlap(own)
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = seconds
    solver.parameters.num_workers = 2
    if solver.solve(cp) not in {cp_model.OPTIMAL, cp_model.FEASIBLE}:
        return None
    return [solver.value(start) for start in starts]
