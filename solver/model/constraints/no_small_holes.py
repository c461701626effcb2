"""`no-small-holes`: on each chair the visits follow one another closely, or far apart.

The visits of one chair in one stretch of open time are a circuit through a depot that stands for
its start and its end: an arc means "comes next". Each arc has its gap, in steps: at most the spare,
or at least as long as can be sold, or it costs the weight. The chairs concerned are groups of their
own (`solver.model.chairs`).
"""

from __future__ import annotations

from ortools.sat.python import cp_model

from schemas.rules import RuleSetting
from solver.model.facts import ChairGroup, Day, Span, number
from solver.model.placement import DayPlacement
from solver.model.scope import concerns_chair
from solver.model.variables import DayModel, Literal, VisitVar

CODE = "no-small-holes"


def post(model: DayModel) -> None:
    setting = model.day.setting(CODE)
    if setting is None or _figures(model.day, setting) is None:
        return
    for group in model.day.groups:
        seated = [visit for visit in model.visits if group.index in visit.groups]
        if not seated or not concerns_chair(setting, group.tags):
            continue
        stretches = _stretches(model.day, group)
        if stretches:
            _circuits(model, setting, group, seated, stretches)


def _figures(day: Day, setting: RuleSetting) -> Span | None:
    """The longest gap that is none and the shortest that can be sold, in steps."""
    spare = day.down(number(setting, "spare", 15))
    sold = day.up(number(setting, "minutes", 90))
    return (spare, sold) if spare + 1 < sold else None


def _stretches(day: Day, group: ChairGroup) -> list[Span]:
    """The chair's open time."""
    found = []
    for opening in day.openings:
        start, end = opening
        for first, last in sorted(group.closed):
            if first < end and start < last:
                found.append((start, first))
                start = max(start, last)
        found.append((start, end))
    return [(start, end) for start, end in found if start < end]


def _circuits(
    model: DayModel,
    setting: RuleSetting,
    group: ChairGroup,
    seated: list[VisitVar],
    stretches: list[Span],
) -> None:
    here = {visit.facts.index: _in_stretches(model, visit, group, stretches) for visit in seated}
    for number_, stretch in enumerate(stretches):
        arcs: list[tuple[int, int, cp_model.LiteralT]] = []
        empty = model.new_bool(f"nobody on {group.chairs[0]}")
        arcs.append((0, 0, empty))
        for node, visit in enumerate(seated, 1):
            on = here[visit.facts.index][number_]
            arcs.append((node, node, ~on))
            name = f"{visit.facts.id} on {group.chairs[0]}"
            first, last = model.new_bool(f"{name} first"), model.new_bool(f"{name} last")
            arcs += [(0, node, first), (node, 0, last)]
            _gap(model, setting, first, visit.start - stretch[0])
            _gap(model, setting, last, stretch[1] - visit.end)
            for other_node, other in enumerate(seated, 1):
                if other_node != node:
                    follows = model.new_bool(f"{name}, then {other.facts.id}")
                    arcs.append((node, other_node, follows))
                    _gap(model, setting, follows, other.start - visit.end)
        model.cp.add_circuit(arcs)


def _in_stretches(
    model: DayModel, visit: VisitVar, group: ChairGroup, stretches: list[Span]
) -> list[Literal]:
    """For each stretch, whether the visit is on this chair in it."""
    cp, seated = model.cp, visit.groups[group.index]
    if len(stretches) == 1:
        return [seated]
    found = []
    for start, end in stretches:
        on = model.new_bool(f"{visit.facts.id} on {group.chairs[0]} from {start}")
        cp.add(visit.start >= start).only_enforce_if(on)
        cp.add(visit.end <= end).only_enforce_if(on)
        found.append(on)
    cp.add(sum(found) == seated)
    return found


def _gap(model: DayModel, setting: RuleSetting, arc: Literal, gap: cp_model.LinearExprT) -> None:
    figures = _figures(model.day, setting)
    assert figures is not None
    cp, (spare, sold) = model.cp, figures
    cp.add(gap >= 0).only_enforce_if(arc)
    tight, bent = model.new_bool("a tight gap"), model.new_bool("a small hole")
    cp.add(gap <= spare).only_enforce_if([arc, tight])
    cp.add(gap >= sold).only_enforce_if([arc, ~tight, ~bent])
    model.penalties.append(setting.weight * bent)


def cost(day: Day, placement: DayPlacement) -> int:
    """What the small holes of a placement cost."""
    setting = day.setting(CODE)
    figures = None if setting is None else _figures(day, setting)
    if setting is None or figures is None:
        return 0
    spare, sold = figures
    holes = 0
    for group in day.groups:
        if not concerns_chair(setting, group.tags):
            continue
        stays = sorted((p.start, p.end) for p in placement.visits if p.group == group.index)
        for start, end in _stretches(day, group):
            inside = [stay for stay in stays if start <= stay[0] and stay[1] <= end]
            edges = [start, *(edge for stay in inside for edge in stay), end]
            gaps = zip(edges[::2], edges[1::2], strict=True)
            if inside:
                holes += sum(spare < last - first < sold for first, last in gaps)
    return setting.weight * holes
