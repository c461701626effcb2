"""The model behind `tests.benchmarks.pyjobshop_day`: one day in the library's own words.

A task is a phase, a mode one way to staff it, a machine a pair of hands, a renewable the chairs of
a group or the basins, a consumable the assistants a client agreed to. One method makes each of
these; times are steps of the day's grid from its opening.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field
from itertools import combinations_with_replacement
from time import monotonic
from typing import Any

from schemas.booking import Booking, Request
from schemas.resources import Role
from schemas.work import Performer, PhaseWork, Place
from solver.model.asked_breaks import dues_of
from solver.model.constraints.turnaround import steps_of
from solver.model.crew import can_help, can_lead, can_perform
from solver.model.dues import Due
from solver.model.facts import Day, DayShift, DayVisit, hundredths, number
from solver.model.placement import (
    BreakPlacement,
    DayPlacement,
    HelpPlacement,
    PhasePlacement,
    VisitPlacement,
)

MISSING = (
    "PyJobShop is not installed: "
    "pip install --no-deps pyjobshop==0.0.9 fjsplib==0.0.2 psplib==0.4.0"
)


def library() -> Any:
    """The library, or a RuntimeError that says how to get it."""
    try:
        import pyjobshop  # noqa: PLC0415 - asked for only here: no machine has to have it
    except ImportError as missing:
        raise RuntimeError(MISSING) from missing
    return pyjobshop


@dataclass(frozen=True)
class Staffing:
    """What a mode of a phase stands for."""

    shift: int
    rates: tuple[int, ...] = ()
    """Of the helpers who stay for all of it, or of the one who stays for a part."""
    part: int = 0
    """Steps of the one who stays for a part; 0 where they stay for all of it."""
    rest: Due | None = None


@dataclass
class VisitTasks:
    """The tasks of one visit."""

    facts: DayVisit
    phases: list[Any] = field(default_factory=list)
    modes: list[dict[Staffing, Any]] = field(default_factory=list)
    helpers: list[tuple[Any, dict[int, Any]]] = field(default_factory=list)
    """A task for each place of a helper, with its modes by shift."""
    part: tuple[Any, dict[tuple[int, int], Any]] | None = None
    """The task of a helper who stays for a part, with its modes by shift and steps."""
    stay: Any = None
    groups: dict[int, Any] = field(default_factory=dict)


@dataclass
class Answer:
    """A day solved; without a placement nothing was found in the time."""

    value: int | None
    bound: int
    placement: DayPlacement | None
    first: float | None
    """Seconds from the start of the building to the first plan."""


class ShopDay:
    """One day in the library's words."""

    def __init__(self, day: Day, *, inside: bool, parts: tuple[int, ...] = ()) -> None:
        self.day, self.inside, self.parts = day, inside, parts
        self.model = library().Model()
        self.begun = monotonic()
        self.hands = [self._hands(shift) for shift in day.shifts]
        self.chairs = [self.model.add_renewable(len(group.chairs)) for group in day.groups]
        self.basins = self.model.add_renewable(len(day.basins))
        self.door = self.model.add_renewable(len(day.visits), breaks=self._closed_door())
        self.dues = self._dues()
        self.visits = [self._visit(visit) for visit in day.visits]
        self.rests = {shift: self._rest(due) for shift, due in self.dues.items()}
        self.model.set_objective(weight_tardy_jobs=1)

    def _hands(self, shift: DayShift) -> Any:
        """A machine, with work that cannot move wherever there is no shift."""
        machine, end = self.model.add_machine(), 2 * self.day.horizon[1]
        for start, stop in ((0, shift.start), (shift.end, end)):
            if start < stop:
                off = self.model.add_task(earliest_start=start, latest_start=start)
                self.model.add_mode(off, machine, stop - start)
        return machine

    def _closed_door(self) -> list[tuple[int, int]]:
        low, high = self.day.horizon
        return [(step, step + 1) for step in range(low, high) if not self.day.is_arrival(step)]

    def _dues(self) -> dict[int, Due]:
        found: dict[int, Due] = {}
        for due in dues_of(self.day):
            if due.shift in found or not due.hard:
                raise ValueError("more than one break for a shift, or a soft one, is not said here")
            found[due.shift] = due
        return found

    def _visit(self, facts: DayVisit) -> VisitTasks:
        found, free = VisitTasks(facts), not facts.must
        first, last = self._bounds(facts)
        for work in facts.phases:
            task = self.model.add_task(
                earliest_start=first, latest_start=last, latest_end=last, optional=free
            )
            found.phases.append(task)
            found.modes.append(self._modes(found, work, task))
        self._in_order(found)
        self._one_lead(found)
        self._few_assistants(found)
        tasks = [*found.phases, self._stay(found)]
        if not isinstance(facts.visit, Booking):
            tasks.append(self._arrival(found))
        if free:
            # Lateness is the only thing a job can be paid for: passing the request is late.
            job = self.model.add_job(weight=facts.value, due_date=0)
            passing = self.model.add_task(job=job, latest_start=0, optional=True)
            self.model.add_mode(passing, [], 1)
            self.model.add_select_exactly_one([passing, found.phases[0]])
            self.model.add_select_all_or_none(tasks)
        return found

    def _bounds(self, facts: DayVisit) -> tuple[int, int]:
        """The first step it may start at, and the step it must have ended by."""
        visit, day = facts.visit, self.day
        if isinstance(visit, Booking):
            start = day.up(day.frame.minute(visit.promise.start))
            if visit.promise.tolerance:
                raise ValueError("a promise that may move is not said here")
            return start, day.horizon[1]
        if len(visit.windows) > 1 or len(day.openings) > 1:
            raise ValueError("a request with several windows is not said here")
        first, last = day.steps(visit.windows[0])
        return max(first, day.horizon[0]), min(last, day.horizon[1])

    def _modes(self, found: VisitTasks, work: PhaseWork, task: Any) -> dict[Staffing, Any]:
        visit, modes = found.facts.visit, dict[Staffing, Any]()
        rates = self._rates(found, work, task)
        for shift in self.day.shifts:
            lead = self._may_lead(visit, shift.person.id)
            assists = Role.ASSISTANT in shift.person.roles and visit.max_assistants > 0
            if work.performer is Performer.LEAD:
                assists = False
            if not can_perform(visit, work, shift.person) or not (lead or assists):
                continue
            due = self.dues.get(shift.index)
            rests = [None, due] if self.inside and work.breakable and due and due.inside else [None]
            for rest in rests:
                alone = self.day.work(work, shift.person) + (rest.size if rest else 0)
                for by in self._staffings(found, shift.index, rates, rest):
                    left = 100 * alone - (by.rates[0] * by.part if by.part else 0)
                    size = -(-left // (100 + (0 if by.part else sum(by.rates))))
                    if size <= by.part:
                        continue
                    resources = [self.hands[shift.index]]
                    if work.place is Place.BASIN:
                        resources.append(self.basins)
                    demands = [0, 1][: len(resources)]
                    modes[by] = self.model.add_mode(task, resources, size, demands)
                    for those in self._helpers(found, by):
                        self.model.add_mode_dependency(modes[by], those)
        return modes

    def _staffings(
        self, found: VisitTasks, shift: int, rates: list[tuple[int, ...]], rest: Due | None
    ) -> list[Staffing]:
        """Every choice of help for this performer."""
        whole = [Staffing(shift, helping, rest=rest) for helping in rates]
        if found.part is None:
            return whole
        single = [helping for helping in rates if len(helping) == 1]
        return whole + [
            Staffing(shift, helping, part, rest) for helping in single for part in self.parts
        ]

    def _helpers(self, found: VisitTasks, by: Staffing) -> list[list[Any]]:
        """For each helper that a staffing needs, the modes of which one must be chosen."""
        if not by.part:
            return [
                self._of_rate(found.helpers[place][1], rate) for place, rate in enumerate(by.rates)
            ]
        assert found.part is not None
        modes = {shift: mode for (shift, part), mode in found.part[1].items() if part == by.part}
        return [self._of_rate(modes, by.rates[0])]

    def _may_lead(self, visit: Booking | Request, name: str) -> bool:
        promised = visit.promise.lead if isinstance(visit, Booking) else None
        person = next(s.person for s in self.day.shifts if s.person.id == name)
        return promised in {None, name} and can_lead(visit, person)

    def _rates(self, found: VisitTasks, work: PhaseWork, task: Any) -> list[tuple[int, ...]]:
        """Rates of the helpers, none among them; makes the helper tasks."""
        able = [shift for shift in self.day.shifts if can_help(work, shift.person)]
        most = min(found.facts.visit.max_assistants, len(able))
        for _ in range(most):
            helper = self.model.add_task(allow_idle=True, optional=True)
            self.model.add_start_at_start(task, helper)
            self.model.add_end_at_end(task, helper)
            modes = {
                shift.index: self.model.add_mode(helper, self.hands[shift.index], 1)
                for shift in able
            }
            found.helpers.append((helper, modes))
        if most and self.parts:
            helper = self.model.add_task(optional=True)
            self.model.add_start_before_start(task, helper)
            self.model.add_end_before_end(helper, task)
            found.part = (
                helper,
                {
                    (shift.index, part): self.model.add_mode(helper, self.hands[shift.index], part)
                    for shift in able
                    for part in self.parts
                },
            )
        each = sorted({hundredths(shift.person.help_rate) for shift in able})
        return [
            rates
            for count in range(most + 1)
            for rates in combinations_with_replacement(each, count)
            if all(
                rates.count(rate) <= sum(hundredths(s.person.help_rate) == rate for s in able)
                for rate in rates
            )
        ]

    def _of_rate(self, modes: dict[int, Any], rate: int) -> list[Any]:
        return [
            mode
            for shift, mode in modes.items()
            if hundredths(self.day.shifts[shift].person.help_rate) == rate
        ]

    def _in_order(self, found: VisitTasks) -> None:
        wait = self.day.setting("longest-wait")
        for before, after in zip(found.phases, found.phases[1:], strict=False):
            self.model.add_end_before_start(before, after)
            if wait is not None and wait.hard:
                longest = self.day.down(number(wait, "minutes", 15))
                self.model.add_start_before_end(after, before, -longest)

    def _one_lead(self, found: VisitTasks) -> None:
        """Whoever leads does the lead's phases, and no other lead does anything."""
        own = [
            modes
            for work, modes in zip(found.facts.phases, found.modes, strict=True)
            if work.performer is Performer.LEAD
        ]
        if len(own) != 1:
            raise ValueError("a visit with no phase of the lead, or several, is not said here")
        for modes in found.modes:
            for staffing, mode in modes.items():
                if (
                    modes is own[0]
                    or Role.ASSISTANT in self.day.shifts[staffing.shift].person.roles
                ):
                    continue
                those = [other for by, other in own[0].items() if by.shift == staffing.shift]
                self.model.add_mode_dependency(mode, those)

    def _few_assistants(self, found: VisitTasks) -> None:
        """Each assistant on the visit uses up one of those the client agreed to."""
        used: dict[int, list[Any]] = defaultdict(list)
        by_shift = [(by.shift, mode) for modes in found.modes for by, mode in modes.items()]
        by_shift += [pair for _, modes in found.helpers for pair in modes.items()]
        by_shift += [(key[0], mode) for key, mode in (found.part or (None, {}))[1].items()]
        for shift, mode in by_shift:
            if Role.ASSISTANT in self.day.shifts[shift].person.roles:
                used[shift].append(mode)
        most = found.facts.visit.max_assistants
        if len(used) <= most:
            return
        agreed = self.model.add_consumable(most)
        for modes in used.values():
            counted = self.model.add_task(optional=True, latest_start=0)
            token = self.model.add_mode(counted, agreed, 1, 1)
            for mode in modes:
                self.model.add_mode_dependency(mode, [token])

    def _stay(self, found: VisitTasks) -> Any:
        stay = self.model.add_task(allow_idle=True, optional=not found.facts.must)
        margins = set()
        for group in self.day.groups:
            if group.closed:
                raise ValueError("closed chairs are not said here")
            if group.features.issuperset(found.facts.visit.chair_features):
                mode = self.model.add_mode(stay, self.chairs[group.index], 1, 1)
                found.groups[group.index] = mode
                margins.add(steps_of(self.day, group.index))
        if len(margins) != 1:
            raise ValueError("chairs with turnarounds of their own are not said here")
        self.model.add_start_at_start(found.phases[0], stay)
        self.model.add_end_at_end(found.phases[-1], stay, margins.pop())
        found.stay = stay
        return stay

    def _arrival(self, found: VisitTasks) -> Any:
        arrival = self.model.add_task(optional=not found.facts.must)
        self.model.add_mode(arrival, self.door, 1, 1)
        self.model.add_start_at_start(found.phases[0], arrival)
        return arrival

    def _rest(self, due: Due) -> dict[int | None, Any]:
        """The tasks of a break, by the visit it lies in; exactly one of them is present."""
        within = {"earliest_start": due.first, "latest_start": due.last}
        tasks: dict[int | None, Any] = {}
        for index, visit in enumerate(self.visits):
            for task, modes in zip(visit.phases, visit.modes, strict=True):
                longer = [mode for by, mode in modes.items() if by.rest is due]
                if not longer:
                    continue
                rest = self.model.add_task(optional=True, **within)
                mode = self.model.add_mode(rest, [], due.size)
                self.model.add_start_before_start(task, rest)
                self.model.add_end_before_end(rest, task)
                self.model.add_mode_dependency(mode, longer)
                for other in longer:
                    self.model.add_mode_dependency(other, [mode])
                tasks[index] = rest
        standing = self.model.add_task(optional=bool(tasks), **within)
        self.model.add_mode(standing, self.hands[due.shift], due.size)
        tasks[None] = standing
        self.model.add_select_exactly_one(list(tasks.values()))
        return tasks

    def solve(self, seconds: float, workers: int, seed: int) -> Answer:
        """Its own model, solved with a callback for the time of the first plan."""
        from ortools.sat.python import cp_model  # noqa: PLC0415 - with the library alone
        from pyjobshop.solvers.ortools import CPModel  # noqa: PLC0415

        shop = CPModel(self.model.data())
        solver = cp_model.CpSolver()
        solver.parameters.max_time_in_seconds = max(0.1, self.begun + seconds - monotonic())
        solver.parameters.num_workers = workers
        solver.parameters.random_seed = seed
        watch = _First(cp_model, self.begun)
        status = solver.solve(shop.model, watch.callback)
        asked = sum(visit.value for visit in self.day.visits if not visit.must)
        if status not in {cp_model.OPTIMAL, cp_model.FEASIBLE}:
            return Answer(None, asked, None, None)
        placement = self._read(shop.variables, solver)
        value = asked - round(solver.objective_value)
        return Answer(value, asked - round(solver.best_objective_bound), placement, watch.first)

    def _read(self, variables: Any, solver: Any) -> DayPlacement:
        index = {id(task): number for number, task in enumerate(self.model.tasks)}
        by_mode = {id(mode): number for number, mode in enumerate(self.model.modes)}

        def here(task: Any) -> bool:
            return bool(solver.value(variables.task_vars[index[id(task)]].present))

        def start(task: Any) -> int:
            return int(solver.value(variables.task_vars[index[id(task)]].start))

        def end(task: Any) -> int:
            return int(solver.value(variables.task_vars[index[id(task)]].end))

        def chosen(modes: dict[Any, Any]) -> Any:
            picked = (
                key
                for key, mode in modes.items()
                if solver.value(variables.mode_vars[by_mode[id(mode)]])
            )
            return next(picked)

        placed, declined = [], []
        for number_, visit in enumerate(self.visits):
            if not here(visit.phases[0]):
                declined.append(number_)
                continue
            phases, lead = [], ""
            for work, task, modes in zip(
                visit.facts.phases, visit.phases, visit.modes, strict=True
            ):
                by = chosen(modes)
                span = start(task), end(task)
                if by.part and visit.part is not None:
                    shift, part = chosen(visit.part[1])
                    helping = [(shift, by.rates[0], start(visit.part[0]), part)]
                else:
                    helping = [
                        (chosen(own), rate, span[0], span[1] - span[0])
                        for (_, own), rate in zip(visit.helpers, by.rates, strict=False)
                    ]
                if work.performer is Performer.LEAD:
                    lead = self.day.shifts[by.shift].person.id
                phases.append(PhasePlacement(*span, by.shift, self._help(work, by, helping, span)))
            group = chosen(visit.groups)
            margin = steps_of(self.day, group)
            placed.append(VisitPlacement(number_, lead, group, margin, tuple(phases)))
        rests = [
            BreakPlacement(self.dues[shift], start(task), inside)
            for shift, tasks in self.rests.items()
            for inside, task in tasks.items()
            if here(task)
        ]
        return DayPlacement(tuple(placed), tuple(rests), tuple(declined))

    def _help(
        self,
        work: PhaseWork,
        by: Staffing,
        helping: list[tuple[int, int, int, int]],
        span: tuple[int, int],
    ) -> tuple[HelpPlacement, ...]:
        """Help no longer than the last step needs: more would shorten the phase."""
        size = span[1] - span[0]
        alone = self.day.work(work, self.day.shifts[by.shift].person)
        left = 100 * (alone + (by.rest.size if by.rest else 0) - size + 1) - 1
        found = []
        for shift, rate, begun, stays in helping:
            steps = min(stays, left // rate)
            left -= steps * rate
            if steps:
                found.append(HelpPlacement(shift, begun, begun + steps))
        return tuple(found)


class _First:
    """Hears when the first plan was there."""

    def __init__(self, cp_model: Any, begun: float) -> None:
        self.first: float | None = None
        outer = self

        class Callback(cp_model.CpSolverSolutionCallback):
            def on_solution_callback(self) -> None:
                if outer.first is None:
                    outer.first = monotonic() - begun

        self.callback = Callback()
