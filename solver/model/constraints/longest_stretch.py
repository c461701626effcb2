"""`longest-stretch`: pauses that are never more than the longest stretch apart.

For each person there are `k` pauses in order, each at least `pause` long, in no handwork: either in
a gap between her duties, or in one of her breaks that is long enough, inside a phase or not, or in
a gap and the break with which the next phase begins or the last one ended. With `p_i` a pause and
`[a, b)` the shifts:

    start(p_1) - a <= most,  start(p_i+1) - end(p_i) <= most,  b - end(p_k) <= most

Handwork lies between pauses, so none lasts too long. The other way round, going from pause to the
last one that still starts in time, every second pause passes another `most` minutes, so twice as
many pauses as there are such stretches in the shift always do. Pauses may lie before the first and
after the last shift. Where the rule is soft, a person may be let off for the day, which costs once.
"""

from __future__ import annotations

from ortools.sat.python import cp_model

from schemas.rules import RuleSetting
from solver.model.facts import Day, DayShift, Span, number
from solver.model.hands import Handwork, breaks_of, duties, joined, people
from solver.model.hands import cost as hours_cost
from solver.model.placement import DayPlacement
from solver.model.variables import BreakVar, DayModel, Literal

CODE = "longest-stretch"


def figures(day: Day, setting: RuleSetting) -> tuple[int, int]:
    """The longest stretch and the least pause, in steps."""
    return day.down(number(setting, "minutes", 300)), day.up(number(setting, "pause", 30))


def post(model: DayModel) -> None:
    setting = model.day.setting(CODE)
    if setting is None:
        return
    for name, shifts in people(model.day, setting):
        held = None
        if not setting.hard:
            held = model.new_bool(f"{name} does not work too long on end")
            model.penalties.append(setting.weight * (1 - held))
        _pauses(model, setting, name, shifts, held)


def _pauses(
    model: DayModel,
    setting: RuleSetting,
    name: str,
    shifts: list[DayShift],
    held: Literal | None,
) -> None:
    cp, day = model.cp, model.day
    most, pause = figures(day, setting)
    work = duties(model, shifts)
    low, high = day.horizon
    first = max(low, min(shift.start for shift in shifts))
    last = min(high, max(shift.limit for shift in shifts))
    before = _before(day, name, first - most - pause)
    first = min([first, *(start for start, _ in before)])
    if not work or last - first <= most:
        return
    count = 2 * -(-(last - first) // max(1, most))
    span = pause + most
    far = last + span + count * pause
    free = [
        *work,
        *(cp.new_fixed_size_interval_var(s, e - s, f"{name} earlier") for s, e in before),
    ]
    reached: cp_model.IntVar | int = first
    for number_ in range(count):
        label = f"{name} pause {number_}"
        start = cp.new_int_var(first - span, far, f"{label} start")
        size = cp.new_int_var(pause, far - first + span, f"{label} size")
        end = cp.new_int_var(first - span, far, f"{label} end")
        between = cp.new_bool_var(f"{label} between duties")
        cp.add(end == start + size)
        free.append(cp.new_optional_interval_var(start, size, end, between, label))
        ways = [between]
        for rest in breaks_of(model, shifts):
            if rest.due.size >= pause:
                within = cp.new_bool_var(f"{label} in {rest.due.key}")
                cp.add_implication(within, rest.taken)
                cp.add(start >= rest.start).only_enforce_if(within)
                cp.add(end <= rest.start + rest.due.size).only_enforce_if(within)
                ways.append(within)
            if rest.due.inside:
                ways += _beside(cp, rest, (start, end, far - first + span), free)
        cp.add_exactly_one(ways)
        _hold(cp.add(start - reached <= most), held)
        cp.add(start >= reached if number_ else start >= first - span)
        reached = end
    _hold(cp.add(last - reached <= most), held)
    cp.add_no_overlap(free)


def _beside(
    cp: cp_model.CpModel,
    rest: BreakVar,
    pause: tuple[cp_model.IntVar, cp_model.IntVar, int],
    free: list[cp_model.IntervalVar],
) -> list[Literal]:
    """The pause (start, end, most steps) as a gap and a break that follows it or comes before it.

    What is free of duties is the gap alone: a break inside a phase lies beside it only where the
    phase begins or ends with the break.
    """
    start, end, most = pause
    over = rest.start + rest.due.size
    before, after = (cp.new_bool_var(f"pause {side} {rest.due.key}") for side in ("to", "from"))
    gaps = [cp.new_int_var(0, most, f"gap beside {rest.due.key}") for _ in range(2)]
    free.append(cp.new_optional_interval_var(start, gaps[0], rest.start, before, "gap, break"))
    free.append(cp.new_optional_interval_var(over, gaps[1], end, after, "break, gap"))
    cp.add(end >= rest.start).only_enforce_if(before)
    cp.add(end <= over).only_enforce_if(before)
    cp.add(start >= rest.start).only_enforce_if(after)
    cp.add(start <= over).only_enforce_if(after)
    for way in (before, after):
        cp.add_implication(way, rest.taken)
    return [before, after]


def _hold(constraint: cp_model.Constraint, held: Literal | None) -> None:
    if held is not None:
        constraint.only_enforce_if(held)


def allows(day: Day, setting: RuleSetting, work: Handwork) -> bool:
    """Whether a person may have this day of handwork."""
    most, pause = figures(day, setting)
    first = work.spans[0][0] if work.spans else 0
    spans = [*_before(day, work.person, first - most - pause), *work.spans]
    return all(end - start <= most for start, end in joined(spans, pause))


def _before(day: Day, person: str, since: int) -> list[Span]:
    """Her handwork in hours that are planned apart, as far as a stretch could reach."""
    return [
        (day.down(each.start), day.up(each.end))
        for each in day.elsewhere
        if each.person == person and each.handwork and not each.later and day.up(each.end) > since
    ]


def cost(day: Day, placement: DayPlacement) -> int:
    """What a soft setting costs in a placement."""
    return hours_cost(day, placement, CODE, allows)
