"""Ways to damage a sound plan, each under the code of the rule it breaks.

A damage takes a `SoundDay` and a random generator and gives the damaged plan. It may break other
rules besides; the checker must name at least the one it stands under.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from random import Random

from schemas.booking import Booking, Request
from schemas.plan import BreakKind, Help, Plan, PlannedPhase, PlannedVisit
from schemas.windows import TimeWindow
from tests.builders import a_meal, a_placed, a_request
from tests.solver.sound_days import SoundDay

Damage = Callable[[SoundDay, Random], Plan]


def _swap(plan: Plan, planned: PlannedVisit, **changes) -> Plan:
    """The plan with `planned` changed."""
    visits = tuple(
        each.model_copy(update=changes) if each is planned else each for each in plan.visits
    )
    return plan.model_copy(update={"visits": visits})


def _moved(window: TimeWindow, minutes: int) -> TimeWindow:
    by = timedelta(minutes=minutes)
    return TimeWindow(start=window.start + by, end=window.end + by)


def _shifted(planned: PlannedVisit, minutes: int) -> dict:
    """The changes that move a whole visit."""
    phases = tuple(
        phase.model_copy(
            update={
                "window": _moved(phase.window, minutes),
                "help": tuple(
                    Help(staff=each.staff, window=_moved(each.window, minutes))
                    for each in phase.help
                ),
            }
        )
        for phase in planned.phases
    )
    return {"window": _moved(planned.window, minutes), "phases": phases}


def _pick(day: SoundDay, rng: Random, prefix: str = "") -> PlannedVisit:
    return rng.choice([each for each in day.plan.visits if each.visit.startswith(prefix)])


def _of(day: SoundDay, rng: Random, kind: type) -> PlannedVisit | None:
    visits = {each.id: each for each in (*day.day_book.bookings, *day.day_book.requests)}
    those = [each for each in day.plan.visits if isinstance(visits[each.visit], kind)]
    return rng.choice(those) if those else None


def _phase(planned: PlannedVisit, index: int, **changes) -> tuple[PlannedPhase, ...]:
    phases = list(planned.phases)
    phases[index] = phases[index].model_copy(update=changes)
    return tuple(phases)


def share_a_chair(day: SoundDay, rng: Random) -> Plan:
    one = _pick(day, rng, "long")
    other = rng.choice(
        [each for each in day.plan.visits if each.visit[:4] == "long" and each != one]
    )
    return _swap(day.plan, one, chair=other.chair)


def share_a_basin(day: SoundDay, rng: Random) -> Plan:
    one = _pick(day, rng, "long")
    other = rng.choice(
        [each for each in day.plan.visits if each.visit[:4] == "long" and each != one]
    )
    return _swap(day.plan, one, phases=_phase(one, 0, basin=other.phases[0].basin))


def lose_the_basin(day: SoundDay, rng: Random) -> Plan:
    one = _pick(day, rng, "long")
    return _swap(day.plan, one, phases=_phase(one, 0, basin=rng.choice((None, "ghost"))))


def borrow_a_busy_assistant(day: SoundDay, rng: Random) -> Plan:
    one = _pick(day, rng, "long")
    other = rng.choice(
        [each for each in day.plan.visits if each.visit[:4] == "long" and each != one]
    )
    help_ = tuple(
        Help(staff=other.phases[1].help[0].staff, window=each.window) for each in one.phases[1].help
    )
    return _swap(day.plan, one, phases=_phase(one, 1, help=help_))


def _rest(day: SoundDay, rng: Random) -> int:
    """Where a rest break stands in the plan."""
    breaks = enumerate(day.plan.breaks)
    return rng.choice([at for at, each in breaks if each.kind is BreakKind.REST])


def _meal(day: SoundDay, rng: Random, *, late: bool = False) -> int:
    """Where a meal at noon, or a late one, stands in the plan."""
    meals = [
        at
        for at, each in enumerate(day.plan.breaks)
        if each.kind is BreakKind.MEAL and (each.window.start.hour >= 15) is late
    ]
    return rng.choice(meals)


def eat_while_working(day: SoundDay, rng: Random) -> Plan:
    at = rng.randrange(len(day.plan.breaks))
    lead = rng.choice([each.staff for each in day.plan.breaks if each.staff.startswith("lead")])
    breaks = list(day.plan.breaks)
    breaks[at] = a_meal("9:10", "9:40", lead)
    return day.plan.model_copy(update={"breaks": tuple(breaks)})


def give_the_braiding_to_an_assistant(day: SoundDay, rng: Random) -> Plan:
    one = _pick(day, rng)
    index = 1 if one.visit.startswith("long") else 0
    assistant = one.lead.replace("lead", "assistant")
    return _swap(day.plan, one, phases=_phase(one, index, performer=assistant))


def bring_a_stranger(day: SoundDay, rng: Random) -> Plan:
    one = _pick(day, rng)
    return _swap(day.plan, one, phases=_phase(one, 0, performer="ghost"))


def let_an_assistant_lead(day: SoundDay, rng: Random) -> Plan:
    one = _pick(day, rng)
    return _swap(day.plan, one, lead=one.lead.replace("lead", "assistant"))


def take_an_unfit_chair(day: SoundDay, rng: Random) -> Plan:
    return _swap(day.plan, _pick(day, rng), chair=rng.choice((None, "ghost", "chair-loud")))


def stay_past_closing(day: SoundDay, rng: Random) -> Plan:
    one = _pick(day, rng, "late")
    return _swap(day.plan, one, **_shifted(one, rng.randrange(135, 600, 15)))


def come_before_opening(day: SoundDay, rng: Random) -> Plan:
    one = _pick(day, rng, "early")
    return _swap(day.plan, one, **_shifted(one, -rng.randrange(5, 400, 5)))


def call_somebody_in_on_her_free_day(day: SoundDay, rng: Random) -> Plan:
    one = _pick(day, rng, "long")
    help_ = tuple(Help(staff="assistant-away", window=each.window) for each in one.phases[1].help)
    return _swap(day.plan, one, phases=_phase(one, 1, help=help_))


def ignore_the_clients_window(day: SoundDay, rng: Random) -> Plan | None:
    one = _of(day, rng, Request)
    return one and _swap(day.plan, one, **_shifted(one, rng.choice((-15, 75, 90))))


def leave_the_grid(day: SoundDay, rng: Random) -> Plan:
    one = _pick(day, rng)
    return _swap(day.plan, one, **_shifted(one, rng.choice((1, 2, 3, 4, 7))))


def forget_a_booking(day: SoundDay, rng: Random) -> Plan | None:
    one = _of(day, rng, Booking)
    visits = tuple(each for each in day.plan.visits if each is not one)
    declined = day.plan.declined
    if one and rng.random() < 0.5:
        declined = (*declined, one.visit)
    return one and day.plan.model_copy(update={"visits": visits, "declined": declined})


def move_a_promise(day: SoundDay, rng: Random) -> Plan | None:
    one = _of(day, rng, Booking)
    return one and _swap(day.plan, one, **_shifted(one, rng.choice((-30, 20, 30, 120))))


def change_the_length(day: SoundDay, rng: Random) -> Plan:
    one = _pick(day, rng)
    last = one.phases[-1].window
    longer = TimeWindow(start=last.start, end=last.end + timedelta(minutes=rng.choice((-5, 5, 10))))
    whole = TimeWindow(start=one.window.start, end=longer.end)
    return _swap(day.plan, one, phases=_phase(one, -1, window=longer), window=whole)


def drop_a_phase(day: SoundDay, rng: Random) -> Plan:
    one = _pick(day, rng, "long")
    index = rng.randrange(3)
    phases = tuple(each for number, each in enumerate(one.phases) if number != index)
    whole = TimeWindow(start=phases[0].window.start, end=phases[-1].window.end)
    return _swap(day.plan, one, phases=phases, window=whole)


def drop_the_help(day: SoundDay, rng: Random) -> Plan:
    one = _pick(day, rng, "long")
    return _swap(day.plan, one, phases=_phase(one, 1, help=()))


def place_a_visit_twice(day: SoundDay, rng: Random) -> Plan:
    visits = (*day.plan.visits, _pick(day, rng))
    return day.plan.model_copy(update={"visits": visits})


def rename_a_visit(day: SoundDay, rng: Random) -> Plan:
    return _swap(day.plan, _pick(day, rng), visit="ghost")


def decline_what_is_placed(day: SoundDay, rng: Random) -> Plan:
    return day.plan.model_copy(update={"declined": ("declined-1", _pick(day, rng).visit)})


def answer_nobody(day: SoundDay, rng: Random) -> Plan:
    return day.plan.model_copy(update={"declined": ()})


def work_through_the_meal(day: SoundDay, rng: Random) -> Plan:
    breaks = list(day.plan.breaks)
    breaks.pop(_meal(day, rng))
    return day.plan.model_copy(update={"breaks": tuple(breaks)})


def eat_at_the_wrong_time(day: SoundDay, rng: Random) -> Plan:
    breaks = list(day.plan.breaks)
    at = _meal(day, rng)
    moved = a_meal(*rng.choice((("9:00", "9:30"), ("18:00", "18:30"))), breaks[at].staff)
    breaks[at] = moved
    return day.plan.model_copy(update={"breaks": tuple(breaks)})


def skip_the_cleaning(day: SoundDay, rng: Random) -> Plan:
    early = _pick(day, rng, "early")
    (after,) = (
        each for each in day.plan.visits if each.visit == early.visit.replace("early", "long")
    )
    gap = (after.window.start - early.window.end) // timedelta(minutes=1)
    return _swap(day.plan, after, **_shifted(after, -gap + rng.choice((0, 5))))


def let_a_client_wait(day: SoundDay, rng: Random) -> Plan:
    one = _pick(day, rng, "long")
    last = _moved(one.phases[-1].window, rng.choice((20, 30, 45)))
    whole = TimeWindow(start=one.window.start, end=last.end)
    return _swap(day.plan, one, phases=_phase(one, -1, window=last), window=whole)


def give_another_lead(day: SoundDay, rng: Random) -> Plan:
    one = _pick(day, rng)
    others = [each.lead for each in day.plan.visits if each.lead != one.lead]
    return _swap(day.plan, one, lead=rng.choice(others))


def start_at_another_time(day: SoundDay, rng: Random) -> Plan | None:
    one = _of(day, rng, Request)
    return one and _swap(day.plan, one, **_shifted(one, rng.choice((-15, 30, 60))))


def start_a_long_visit_late(day: SoundDay, rng: Random) -> Plan:
    one = _pick(day, rng, "long")
    return _swap(day.plan, one, **_shifted(one, rng.randrange(105, 300, 15)))


def come_while_another_of_her_kind_is_there(day: SoundDay, rng: Random) -> Plan:
    (one,) = (each for each in day.plan.visits if each.visit == "early-1")
    return _swap(day.plan, one, **_shifted(one, rng.randrange(90, 180, 15)))


def leave_an_apprentice_alone(day: SoundDay, rng: Random) -> Plan:
    one = _pick(day, rng, "long")
    assistants = [each.id for each in day.day_book.staff if "learning" in each.tags]
    return _swap(day.plan, one, phases=_phase(one, 1, performer=rng.choice(assistants)))


def give_away_hair_that_is_needed(day: SoundDay, _: Random) -> Plan:
    """The declined client asks for hair too, and the shelf holds just what the others take."""
    declined = a_placed(a_request("declined-1"), "9:00")
    return day.plan.model_copy(update={"visits": (*day.plan.visits, declined), "declined": ()})


def drop_a_rest(day: SoundDay, rng: Random) -> Plan:
    breaks = list(day.plan.breaks)
    breaks.pop(_rest(day, rng))
    return day.plan.model_copy(update={"breaks": tuple(breaks)})


def cut_a_rest_short(day: SoundDay, rng: Random) -> Plan:
    breaks = list(day.plan.breaks)
    at = _rest(day, rng)
    start = breaks[at].window.start
    short = TimeWindow(start=start, end=start + timedelta(minutes=rng.choice((5, 9))))
    breaks[at] = breaks[at].model_copy(update={"window": short})
    return day.plan.model_copy(update={"breaks": tuple(breaks)})


def skip_the_second_meal(day: SoundDay, rng: Random) -> Plan:
    breaks = list(day.plan.breaks)
    breaks.pop(_meal(day, rng, late=True))
    return day.plan.model_copy(update={"breaks": tuple(breaks)})


def _last_longer(day: SoundDay, rng: Random, minutes: int) -> Plan:
    one = _pick(day, rng, "late")
    last = one.phases[-1].window
    longer = TimeWindow(start=last.start, end=last.end + timedelta(minutes=minutes))
    whole = TimeWindow(start=one.window.start, end=longer.end)
    return _swap(day.plan, one, phases=_phase(one, -1, window=longer), window=whole)


def work_all_night(day: SoundDay, rng: Random) -> Plan:
    return _last_longer(day, rng, rng.randrange(600, 700, 5))


def work_all_week(day: SoundDay, rng: Random) -> Plan:
    return _last_longer(day, rng, 5 * 24 * 60)


def come_back_in_the_night(day: SoundDay, rng: Random) -> Plan:
    one = _pick(day, rng, "late")
    return _swap(day.plan, one, **_shifted(one, rng.randrange(420, 495, 15)))


def braid_through(day: SoundDay, rng: Random) -> Plan:
    lead = _pick(day, rng, "long").lead
    kept = (each for each in day.plan.breaks if each.staff != lead)
    return day.plan.model_copy(update={"breaks": tuple(kept)})


def change_what_is_on_the_book(day: SoundDay, rng: Random) -> Plan | None:
    one = _of(day, rng, Booking)
    if one is None:
        return None
    others = [each for each in day.plan.visits if each.lead != one.lead]
    name = rng.choice(("chair", "lead", "start"))
    if name == "start":
        return _swap(day.plan, one, **_shifted(one, rng.choice((-15, 5, 30))))
    return _swap(day.plan, one, **{name: getattr(rng.choice(others), name)})


def leave_a_hole_too_small_to_sell(day: SoundDay, rng: Random) -> Plan:
    early = _pick(day, rng, "early")
    (after,) = (
        each for each in day.plan.visits if each.visit == early.visit.replace("early", "long")
    )
    gap = (after.window.start - early.window.end) // timedelta(minutes=1)
    return _swap(day.plan, early, **_shifted(early, gap - rng.randrange(1, 10)))


def wash_while_the_basins_are_closed(day: SoundDay, rng: Random) -> Plan:
    one = _pick(day, rng, "long")
    return _swap(day.plan, one, **_shifted(one, rng.randrange(5, 240, 5)))


def sit_in_a_chair_that_is_closed(day: SoundDay, rng: Random) -> Plan:
    return _swap(day.plan, _pick(day, rng, rng.choice(("early", "long"))), chair="chair-loud")


def give_one_lead_two_long_installs(day: SoundDay, rng: Random) -> Plan | None:
    long = [each for each in day.plan.visits if each.visit.startswith("long")]
    one, other = rng.sample(long, 2)
    return _swap(day.plan, one, lead=other.lead)


def begin_to_help_late(day: SoundDay, rng: Random) -> Plan:
    one = _pick(day, rng, "long")
    (given,) = one.phases[1].help
    late = Help(staff=given.staff, window=_moved(given.window, rng.randrange(5, 120, 5)))
    return _swap(day.plan, one, phases=_phase(one, 1, help=(late,)))


def help_past_the_shift(day: SoundDay, rng: Random) -> Plan:
    one = _pick(day, rng, "long")
    (given,) = one.phases[1].help
    until = given.window.end.replace(hour=20, minute=rng.randrange(1, 60))
    longer = Help(staff=given.staff, window=TimeWindow(start=given.window.start, end=until))
    return _swap(day.plan, one, phases=_phase(one, 1, help=(longer,)))


DAMAGES: dict[str, tuple[Damage, ...]] = {
    "chair-one-client": (share_a_chair, place_a_visit_twice),
    "basin-one-client": (share_a_basin, lose_the_basin),
    "hands-one-client": (borrow_a_busy_assistant, eat_while_working, place_a_visit_twice),
    "skilled-hands": (give_the_braiding_to_an_assistant, let_an_assistant_lead, bring_a_stranger),
    "fitting-chair": (take_an_unfit_chair,),
    "opening-hours": (stay_past_closing, come_before_opening),
    "within-shift": (
        call_somebody_in_on_her_free_day,
        come_before_opening,
        stay_past_closing,
        bring_a_stranger,
    ),
    "client-window": (ignore_the_clients_window, leave_the_grid),
    "promise-kept": (forget_a_booking, move_a_promise),
    "work-done": (
        change_the_length,
        drop_a_phase,
        drop_the_help,
        place_a_visit_twice,
        rename_a_visit,
        decline_what_is_placed,
        answer_nobody,
    ),
    "rest-breaks": (drop_a_rest, cut_a_rest_short),
    "longest-stretch": (braid_through,),
    "second-meal": (skip_the_second_meal, work_through_the_meal),
    "break-total": (skip_the_second_meal, work_through_the_meal),
    "meal-window": (work_through_the_meal, eat_at_the_wrong_time),
    "daily-hours": (work_all_night,),
    "weekly-hours": (work_all_night, work_all_week),
    "rest-between-days": (come_back_in_the_night,),
    "weekly-rest": (work_all_week,),
    "meal-break": (work_through_the_meal, eat_at_the_wrong_time),
    "turnaround": (skip_the_cleaning,),
    "longest-wait": (let_a_client_wait,),
    "preferred-lead": (give_another_lead,),
    "preferred-time": (start_at_another_time,),
    "latest-start": (start_a_long_visit_late,),
    "no-small-holes": (leave_a_hole_too_small_to_sell,),
    "resource-closed": (wash_while_the_basins_are_closed, sit_in_a_chair_that_is_closed),
    "overtime": (help_past_the_shift,),
    "early-help": (begin_to_help_late,),
    "even-shares": (give_one_lead_two_long_installs,),
    "fewest-changes": (change_what_is_on_the_book,),
    "hair-on-hand": (give_away_hair_that_is_needed,),
    "supervised-apprentice": (leave_an_apprentice_alone, give_the_braiding_to_an_assistant),
    "at-most-together": (come_while_another_of_her_kind_is_there,),
}
"""By code of the rule that each of them breaks."""
