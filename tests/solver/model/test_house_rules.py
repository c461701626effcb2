"""Rules that a salon switches on for itself, posted hard and posted soft, change the plan."""

from __future__ import annotations

from datetime import timedelta

from schemas.plan import PlanResult, SolveStatus
from schemas.resources import Role
from schemas.rules import RuleScope
from schemas.work import Performer
from solver.plan import plan_days
from tests.builders import (
    DAY,
    HELP,
    SKILLS,
    a_booking,
    a_chair,
    a_closure,
    a_day_book,
    a_help,
    a_lead,
    a_phase,
    a_placed,
    a_planned_phase,
    a_request,
    a_setting,
    a_shared_phase,
    a_shift,
    a_wash,
    a_window,
    an_assistant,
    at,
    skills,
)
from tests.solver.figures.hair_builders import hair, stock


def bent(result: PlanResult) -> list[tuple[str, int]]:
    """The soft findings; the tier of preferences must be their sum."""
    assert result.status is SolveStatus.OPTIMAL
    found = [(finding.rule, finding.cost) for finding in result.findings]
    preferences = next(tier for tier in result.tiers if tier.name == "preferences")
    assert preferences.value == preferences.bound == sum(cost for _, cost in found)
    return found


def declined(result: PlanResult) -> tuple[str, ...]:
    assert result.status is SolveStatus.OPTIMAL
    assert result.plan is not None
    return result.plan.declined


def in_the_afternoon(*settings, minutes=240, **changes):
    """One lead; the client can only come from one o'clock on."""
    request = a_request(minutes=minutes, windows=(a_window("13:00", "19:00"),), **changes)
    return a_day_book(visits=[request], staff=(a_lead(),), rules=settings)


def test_a_hard_latest_start_declines_a_long_visit_in_the_afternoon():
    late = a_setting("latest-start", longer=180, after="12:00")
    assert declined(plan_days(in_the_afternoon(late))) == ("request-1",)
    assert declined(plan_days(in_the_afternoon(late, minutes=180))) == ()


def test_a_latest_start_lets_a_visit_start_at_the_very_time():
    late = a_setting("latest-start", longer=180, after="13:00")
    result = plan_days(in_the_afternoon(late))
    assert declined(result) == ()
    assert result.plan is not None
    assert result.plan.visits[0].window.start == at("13:00")


def test_a_promise_against_a_hard_latest_start_cannot_be_kept():
    book = a_day_book(
        visits=[a_booking("one", "14:00", 240)],
        rules=(a_setting("latest-start", longer=180, after="12:00"),),
    )
    assert plan_days(book).status is SolveStatus.INFEASIBLE


def test_a_soft_latest_start_costs_once_and_two_cost_each_their_own():
    longer = {"a": (3, 60), "b": (5, 90), "c": (7, 240)}
    settings = (
        a_setting(
            "latest-start", label=label, hard=False, weight=weight, longer=most, after="12:00"
        )
        for label, (weight, most) in longer.items()
    )
    result = plan_days(in_the_afternoon(*settings))
    assert sorted(bent(result)) == [("latest-start", 3), ("latest-start", 5)]


def test_a_latest_start_concerns_only_visits_with_the_tag():
    late = a_setting("latest-start", longer=60, after="12:00", visit_tags=("child",))
    assert declined(plan_days(in_the_afternoon(late))) == ()
    assert declined(plan_days(in_the_afternoon(late, tags=("child",)))) == ("request-1",)


def three_at_once(setting):
    """Three leads and chairs; each of three clients can only come from nine to eleven."""
    requests = [
        a_request(f"request-{n}", 60, windows=(a_window("9:00", "10:30"),), tags=("child",))
        for n in range(3)
    ]
    leads = tuple(a_lead(f"lead-{n}") for n in range(3))
    chairs = tuple(a_chair(f"chair-{n}") for n in range(3))
    return a_day_book(visits=requests, staff=leads, chairs=chairs, rules=(setting,))


def test_a_hard_at_most_together_declines_one_too_many():
    setting = a_setting("at-most-together", visits=2, visit_tags=("child",))
    assert len(declined(plan_days(three_at_once(setting)))) == 1


def test_an_at_most_together_of_none_declines_them_all():
    setting = a_setting("at-most-together", visits=0, visit_tags=("child",))
    assert len(declined(plan_days(three_at_once(setting)))) == 3


def test_a_soft_at_most_together_costs_for_each_too_many():
    setting = a_setting("at-most-together", hard=False, weight=4, visits=1)
    assert bent(plan_days(three_at_once(setting))) == [("at-most-together", 8)]


def test_an_at_most_together_concerns_only_visits_with_the_tag():
    setting = a_setting("at-most-together", visits=0, visit_tags=("bridal",))
    assert declined(plan_days(three_at_once(setting))) == ()


def with_an_apprentice(*settings, both=False, **changes):
    """Braiding that the crew may do; the lead is away until noon, the apprentice is in.

    `both` adds a lead who may also help, in all day, but whom the client refuses as her lead.
    """
    able = skills(*SKILLS, HELP, level=2)
    work = a_shared_phase(120, performer=Performer.CREW, breakable=False)
    request = a_request(
        phases=(work,),
        windows=(a_window("9:00", "12:00"),),
        max_assistants=2,
        refused_leads=("leah",),
        **changes,
    )
    leah = a_lead(
        "leah", roles=(Role.LEAD, Role.ASSISTANT), skills=skills("finish", level=5) + skills(HELP)
    )
    staff = (a_lead(), an_assistant("ana", skills=able), *((leah,) if both else ()))
    shifts = (a_shift("lead-1", "12:00"), *(a_shift(person.id) for person in staff[1:]))
    return a_day_book(visits=[request], staff=staff, shifts=shifts, rules=settings)


def test_without_the_rule_an_apprentice_braids_alone():
    assert declined(plan_days(with_an_apprentice())) == ()


def test_a_hard_supervision_declines_what_only_an_apprentice_could_braid():
    setting = a_setting("supervised-apprentice")
    assert declined(plan_days(with_an_apprentice(setting))) == ("request-1",)


def test_a_lead_who_helps_throughout_makes_it_possible():
    result = plan_days(with_an_apprentice(a_setting("supervised-apprentice"), both=True))
    assert declined(result) == ()
    assert result.plan is not None
    (phase,) = result.plan.visits[0].phases
    assert phase.performer == "ana"
    assert [(each.staff, each.window) for each in phase.help] == [("leah", phase.window)]


def test_a_soft_supervision_costs_its_weight():
    setting = a_setting("supervised-apprentice", hard=False, weight=8)
    assert bent(plan_days(with_an_apprentice(setting))) == [("supervised-apprentice", 8)]
    assert bent(plan_days(with_an_apprentice(setting, both=True))) == []


def test_a_supervision_concerns_only_who_has_the_tag():
    setting = a_setting("supervised-apprentice", staff_tags=("apprentice",))
    assert declined(plan_days(with_an_apprentice(setting))) == ()


def asks_for_hair(*grams, setting, days=(DAY,), bookings=(), **changes):
    """Requests of an hour that take so many grams each; worth 10, 20, ... in their order."""
    windows = tuple(a_window("9:00", "19:00", day) for day in days)
    requests = [
        a_request(f"request-{n}", 60, hair=(hair(amount),), value=10 * n + 10, windows=windows[:1])
        for n, amount in enumerate(grams)
    ]
    facts = {
        "visits": [*requests, *bookings],
        "staff": (a_lead(),),
        "open": windows,
        "shifts": tuple(a_shift(day=day) for day in days),
        "rules": (setting,),
    }
    return a_day_book(**{**facts, **changes})


def test_a_request_whose_hair_is_not_there_is_declined():
    setting = a_setting("hair-on-hand")
    book = asks_for_hair(60, 60, 40, setting=setting, stock=(stock(100),))
    # 20 + 30 is the best that 100 g will do.
    assert declined(plan_days(book)) == ("request-0",)


def test_a_promise_whose_hair_is_not_there_cannot_be_kept_and_is_named():
    promise = a_booking("promise", "9:00", 60, hair=(hair(60),))
    book = asks_for_hair(setting=a_setting("hair-on-hand"), bookings=(promise,), stock=(stock(50),))
    result = plan_days(book)
    assert result.status is SolveStatus.INFEASIBLE
    (finding,) = result.findings
    assert (finding.rule, finding.visits) == ("hair-on-hand", ("promise",))
    assert "60 g are promised that day and 50 g will be on the shelf" in finding.detail


def test_hair_that_a_later_promise_needs_is_not_given_away():
    tomorrow = DAY + timedelta(days=1)
    promise = a_booking("promise", "9:00", 60, day=tomorrow, hair=(hair(60),))
    facts = {"setting": a_setting("hair-on-hand"), "days": (DAY, tomorrow), "bookings": (promise,)}
    short = plan_days(asks_for_hair(60, stock=(stock(100),), **facts))
    assert declined(short) == ("request-0",)
    arriving = stock(100, (20.0, tomorrow))
    assert declined(plan_days(asks_for_hair(60, stock=(arriving,), **facts))) == ()


def test_hair_that_an_earlier_day_took_is_gone():
    tomorrow = DAY + timedelta(days=1)
    late = a_request("late", 60, hair=(hair(60),), windows=(a_window("9:00", "19:00", tomorrow),))
    book = asks_for_hair(
        60,
        setting=a_setting("hair-on-hand"),
        days=(DAY, tomorrow),
        bookings=(late,),
        stock=(stock(100),),
    )
    assert declined(plan_days(book)) == ("late",)


def test_hair_that_is_short_costs_where_the_rule_is_soft():
    setting = a_setting("hair-on-hand", hard=False, weight=9)
    book = asks_for_hair(60, 60, setting=setting, stock=(stock(100),))
    assert bent(plan_days(book)) == [("hair-on-hand", 9)]


def on_the_book(*settings, tolerance=600, requests=(), rush=None, **changes):
    """A shared install that stands at ten, on the second chair, with lead-2 and assistant-2.

    `rush` adds a promise that keeps a lead busy: (lead, start, minutes).
    """
    work = (a_shared_phase(120, breakable=False),)
    help_ = (a_help("10:00", "11:00", "assistant-2"),)
    phase = a_planned_phase("10:00", "11:30", performer="lead-2", help_=help_)
    booking = a_booking("kept", "10:00", tolerance=tolerance, phases=work)
    placed = a_placed(booking, lead="lead-2", chair="chair-2", phases=[phase])
    visits = [booking.model_copy(update={"placed": placed}), *requests]
    if rush:
        lead, start, minutes = rush
        visits.append(a_booking("rush", start, minutes, lead=lead))
    facts = {
        "visits": visits,
        "chairs": (a_chair(), a_chair("chair-2"), a_chair("chair-3")),
        "staff": (a_lead(), a_lead("lead-2"), an_assistant(), an_assistant("assistant-2")),
        "rules": settings,
    }
    return a_day_book(**{**facts, **changes})


KEEP = a_setting("fewest-changes", hard=False, weight=5)


def test_a_booking_that_has_a_place_keeps_it_though_another_would_end_earlier():
    result = plan_days(on_the_book(KEEP))
    assert bent(result) == []
    assert result.plan is not None
    (kept,) = result.plan.visits
    assert (kept.lead, kept.chair, kept.assistants) == ("lead-2", "chair-2", ("assistant-2",))
    assert kept.window.start == at("10:00")


def test_without_the_rule_the_booking_comes_earlier():
    result = plan_days(on_the_book())
    assert result.plan is not None
    assert result.plan.visits[0].window.start == at("9:00")


def test_a_lead_who_is_taken_costs_one_change():
    assert bent(plan_days(on_the_book(KEEP, rush=("lead-2", "9:00", 360), tolerance=0))) == [
        ("fewest-changes", 5)
    ]


def test_the_cheaper_change_is_made():
    dear = a_setting("fewest-changes", hard=False, weight=5, start=1, lead=4)
    result = plan_days(on_the_book(dear, rush=("lead-2", "9:00", 180)))
    assert bent(result) == [("fewest-changes", 5)]
    assert result.plan is not None
    kept = next(visit for visit in result.plan.visits if visit.visit == "kept")
    assert (kept.lead, kept.window.start) == ("lead-2", at("12:00"))


def test_a_chair_that_is_closed_and_an_assistant_who_is_away_cost_each_a_change():
    staff = (a_lead(), a_lead("lead-2"), an_assistant(), an_assistant("assistant-2"))
    book = on_the_book(
        KEEP,
        closures=(a_closure("9:00", "19:00", "chair-2"),),
        shifts=tuple(a_shift(person.id) for person in staff[:3]),
    )
    assert bent(plan_days(book)) == [("fewest-changes", 10)]


HOLES = a_setting("no-small-holes", hard=False, weight=3, minutes=90, spare=15)


def around_a_promise(*settings, minutes=60, windows=("9:00", "19:00"), **changes):
    """A promise from 12:00 to 19:00; a request before it, best early without the rule."""
    request = a_request(minutes=minutes, windows=(a_window(*windows),))
    facts = {
        "visits": [a_booking("promise", "12:00", 420), request],
        "staff": (a_lead(), a_lead("lead-2")),
        "shifts": (a_shift("lead-1", end="19:00"), a_shift("lead-2", end="19:00")),
        "rules": settings,
    }
    return a_day_book(**{**facts, **changes})


def start_of(result: PlanResult, visit_id: str):
    assert result.plan is not None
    return next(visit.window.start for visit in result.plan.visits if visit.visit == visit_id)


def test_a_visit_moves_up_to_its_neighbour_or_leaves_a_hole_that_can_be_sold():
    result = plan_days(around_a_promise(HOLES))
    assert bent(result) == []
    # 120 min after an early visit, or 120 min before a late one.
    assert start_of(result, "request-1") in {at("9:00"), at("9:15"), at("10:45"), at("11:00")}


def test_a_hole_that_cannot_be_helped_costs_its_weight():
    tight = around_a_promise(HOLES, minutes=105, windows=("9:00", "12:00"))
    result = plan_days(tight)
    assert bent(result) == [("no-small-holes", 3)]
    assert start_of(result, "request-1") in {at("9:00"), at("9:15"), at("10:00"), at("10:15")}


def test_a_second_chair_saves_no_hole_that_it_has_itself():
    two = (a_chair(), a_chair("chair-2"))
    result = plan_days(around_a_promise(HOLES, minutes=105, windows=("9:00", "12:00"), chairs=two))
    # Alone on the other chair she leaves all the afternoon free.
    assert bent(result) == []


def test_small_holes_concern_only_chairs_with_the_tag():
    setting = HOLES.model_copy(update={"scope": RuleScope(chair_tags=("window",))})
    book = around_a_promise(setting, minutes=105, windows=("9:00", "12:00"))
    assert bent(plan_days(book)) == []
    window = around_a_promise(
        setting, minutes=105, windows=("9:00", "12:00"), chairs=(a_chair(tags=("window",)),)
    )
    assert bent(plan_days(window)) == [("no-small-holes", 3)]


def test_a_noon_closing_and_a_closure_part_the_time_of_a_chair():
    halves = (a_window("9:00", "12:00"), a_window("13:00", "19:00"))
    book = a_day_book(
        visits=[a_request(minutes=120, windows=(a_window("9:00", "12:00"),))],
        open=halves,
        closures=(a_closure("9:00", "9:30"),),
        staff=(a_lead(),),
        rules=(HOLES,),
    )
    # 9:30 to 12:00 leaves half an hour over, at one end or in two quarters.
    result = plan_days(book)
    assert bent(result) == []
    assert start_of(result, "request-1") == at("9:45")


def washed(*settings, windows=("9:00", "12:00"), **changes):
    """Half an hour at the basin, then an hour in the chair, on a Tuesday."""
    phases = (a_wash(30), a_phase(minutes=60))
    request = a_request(phases=phases, windows=(a_window(*windows),))
    return a_day_book(**{"visits": [request], "staff": (a_lead(),), "rules": settings, **changes})


def closed(what: str, since: str, until: str, **facts):
    return a_setting("resource-closed", what=what, weekday=2, since=since, until=until, **facts)


def test_a_wash_waits_until_the_basins_are_open():
    result = plan_days(washed(closed("basins", "00:00", "10:10")))
    assert declined(result) == ()
    assert start_of(result, "request-1") == at("10:15")


def test_a_wash_that_finds_no_open_hour_is_declined_or_costs():
    assert declined(plan_days(washed(closed("basins", "09:15", "11:00")))) == ("request-1",)
    soft = closed("basins", "09:15", "11:00", hard=False, weight=6)
    assert bent(plan_days(washed(soft))) == [("resource-closed", 6)]


def test_chairs_with_the_tag_are_closed_and_others_are_not():
    front = closed("chairs", "09:00", "12:00", chair_tags=("front",))
    one = (a_chair(tags=("front",)),)
    assert declined(plan_days(washed(front, chairs=one))) == ("request-1",)
    two = (*one, a_chair("chair-2"))
    result = plan_days(washed(front, chairs=two))
    assert declined(result) == ()
    assert result.plan is not None
    assert result.plan.visits[0].chair == "chair-2"


def test_a_soft_closing_of_chairs_costs_once_for_the_visit():
    soft = (
        closed("chairs", "09:00", "10:00", hard=False, weight=6, label="a"),
        closed("chairs", "10:00", "12:00", hard=False, weight=1, label="b"),
    )
    assert bent(plan_days(washed(*soft))) == [("resource-closed", 1)]


EVEN = a_setting("even-shares", hard=False, weight=3, minutes=120)


def two_long_installs(*settings, **changes):
    """Two requests of two hours; lead-1 is quicker, and a day has room for both with her."""
    requests = [a_request(f"request-{n}", 120, **changes) for n in range(2)]
    return a_day_book(
        visits=requests,
        staff=(a_lead(pace=0.5), a_lead("lead-2")),
        chairs=(a_chair(),),
        rules=settings,
    )


def leads_of(result: PlanResult) -> list[str]:
    assert result.plan is not None
    return sorted(visit.lead for visit in result.plan.visits)


def test_long_installs_are_shared_though_one_lead_is_quicker():
    assert leads_of(plan_days(two_long_installs())) == ["lead-1", "lead-1"]
    result = plan_days(two_long_installs(EVEN))
    assert bent(result) == []
    assert leads_of(result) == ["lead-1", "lead-2"]


def test_slack_lets_the_quicker_lead_have_both():
    slack = EVEN.model_copy(update={"parameters": {"minutes": 120, "slack": 2}})
    assert leads_of(plan_days(two_long_installs(slack))) == ["lead-1", "lead-1"]


def test_a_share_that_cannot_be_even_costs_what_it_is_apart():
    none = EVEN.model_copy(update={"parameters": {"minutes": 120, "slack": 0}})
    book = two_long_installs(none)
    one = book.model_copy(update={"requests": book.requests[:1]})
    assert bent(plan_days(one)) == [("even-shares", 3)]


def test_a_lead_whom_the_clients_refuse_is_owed_no_share():
    none = EVEN.model_copy(update={"parameters": {"minutes": 120, "slack": 0}})
    assert bent(plan_days(two_long_installs(none, refused_leads=("lead-2",)))) == []


def helped_from_ten(*settings, evening=False):
    """Seven hours of braiding from nine, and an assistant who is in from ten.

    `evening` adds a client who can only come at three, when the lead is free only with help.
    """
    visits = [a_booking("long", "9:00", phases=(a_shared_phase(420, breakable=False),))]
    if evening:
        visits.append(a_request("evening", 120, windows=(a_window("15:00", "17:30"),)))
    shifts = (a_shift("lead-1"), a_shift("assistant-1", "10:00"))
    return a_day_book(visits=visits, shifts=shifts, rules=settings)


def test_an_early_help_leaves_out_help_that_would_come_late():
    assert plan_days(helped_from_ten()).plan.visits[0].phases[0].help != ()
    result = plan_days(helped_from_ten(a_setting("early-help", hard=False)))
    assert bent(result) == []
    assert result.plan.visits[0].phases[0].help == ()


def test_late_help_is_given_where_more_can_be_accepted_with_it():
    result = plan_days(helped_from_ten(a_setting("early-help", hard=False, weight=2), evening=True))
    assert declined(result) == ()
    assert bent(result) == [("early-help", 24)]  # an hour late, in steps of five minutes


def test_help_within_the_minutes_that_are_spared_costs_nothing():
    setting = a_setting("early-help", hard=False, weight=2, minutes=60)
    result = plan_days(helped_from_ten(setting, evening=True))
    assert (declined(result), bent(result)) == ((), [])
