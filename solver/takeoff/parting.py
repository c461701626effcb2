"""Counting: the rows of every section, each with its braids and its curls.

A stated parting is counted as it stands, mirrors included. A stated number, or the number that the
size's density gives, is laid out the house's way: for boxes two like fronts and a back, for
lanes one row from ear to ear, for tracks one to a row up the back. Adding a braid to a house layout
never takes a row, a braid or a curl away elsewhere by more than it adds.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import floor, sqrt
from typing import NamedTuple

from schemas.style import (
    MAX_BOXES_PER_ROW,
    MAX_BRAIDS,
    MAX_ROWS,
    CurlPlacement,
    CurlPlan,
    Lay,
    Region,
    Section,
    Side,
)
from solver.errors import Fault, StyleError
from solver.takeoff.case import Case
from solver.takeoff.sizes import boxes_on_head, lanes_on_head
from solver.takeoff.techniques import Layout

FRONT_SHARE = 0.45
"""Part of all boxes that lies in front of the ears, in the house layout."""
_CURLS_TO_THE_FULL = (Region.FRONT, Region.CROWN)
_NO_EXTRA_CURLS = (Region.TEMPLE, Region.NAPE, Region.PERIMETER)


class Place(NamedTuple):
    """Where a section lies and how."""

    name: str
    region: Region
    side: Side
    lay: Lay


@dataclass(frozen=True, slots=True)
class LaidSection:
    """A section with its rows from the hairline inwards."""

    name: str
    region: Region
    side: Side
    lay: Lay
    rows: tuple[int, ...]
    """Braids in each row."""
    curls: tuple[int, ...]
    """Curls in each row, all its braids together."""

    @property
    def braids(self) -> int:
        return sum(self.rows)


def counted(case: Case) -> int:
    """Units by stated number, or by density; at least one. Not for a stated parting."""
    technique, box_cm, rates = case.technique, case.size.box_cm, case.rates
    if case.style.braids is not None:
        return case.style.braids
    if technique.layout is Layout.BOXES:
        fitting = boxes_on_head(box_cm, case.around_cm, rates["scalp-area"]) * technique.per_box
    else:
        fitting = lanes_on_head(box_cm, case.around_cm, rates["lane-room"])
    return max(1, round(fitting))


def lay_out(case: Case) -> tuple[LaidSection, ...]:
    """The sections of a style, counted.

    Raises StyleError where the count is more than the layout holds, or where a section states
    curls for rows it does not have.
    """
    style, technique, plan = case.style, case.technique, case.style.curls
    if style.parting is not None:
        return _stated(style.parting.sections, plan)
    count = counted(case)
    most = {Layout.BOXES: MAX_BRAIDS, Layout.LANES: MAX_BOXES_PER_ROW, Layout.TRACKS: MAX_ROWS}
    if count > most[technique.layout]:
        detail = f"{count} {technique.unit}s are asked for; a head takes {most[technique.layout]}"
        raise StyleError(Fault("/style/braids" if style.braids else "/style/size", detail))
    if technique.layout is Layout.LANES:
        lanes = Place("crown", Region.CROWN, Side.BOTH, Lay.GRID)
        return (_laid(lanes, (count,), plan),)
    if technique.layout is Layout.TRACKS:
        return (_laid(Place("back", Region.BACK, Side.BOTH, Lay.GRID), (1,) * count, plan),)
    return tuple(_house_layout(count, plan))


def _house_layout(count: int, plan: CurlPlan) -> Iterable[LaidSection]:
    front = floor(count * FRONT_SHARE)
    shares = (
        ("front-left", Region.FRONT, Side.LEFT, front - front // 2),
        ("front-right", Region.FRONT, Side.RIGHT, front // 2),
        ("back", Region.BACK, Side.BOTH, count - front),
    )
    for name, region, side, braids in shares:
        if braids:
            # Half a front is as deep as wide, and as deep as the other half even where that has
            # an odd braid more; the back is half as wide again as deep.
            deep = sqrt(front - front // 2) if region is Region.FRONT else sqrt(braids / 1.5)
            rows = max(1, min(braids, floor(deep + 0.5)))
            place = Place(name, region, side, Lay.BRICK)
            yield _laid(place, _spread(braids, rows), plan)


def _spread(braids: int, rows: int) -> tuple[int, ...]:
    """`braids` over `rows`, as even as can be, the fuller rows last."""
    few, more = divmod(braids, rows)
    return (few,) * (rows - more) + (few + 1,) * more


def _stated(sections: Sequence[Section], plan: CurlPlan) -> tuple[LaidSection, ...]:
    by_name = {section.name: section for section in sections}
    laid, faults = [], []
    for index, section in enumerate(sections):
        original = by_name[section.mirror_of] if section.mirror_of else section
        rows, per_row = original.own_rows(), section.curls or original.curls
        if per_row and len(per_row) != len(rows):
            detail = f"{section.name} has {len(rows)} rows and states curls for {len(per_row)}"
            faults.append(Fault(f"/style/parting/sections/{index}/curls", detail))
        elif any(per_row) and plan.placement is CurlPlacement.NONE:
            detail = f"{section.name} states curls, and the style's curl placement is none"
            faults.append(Fault(f"/style/parting/sections/{index}/curls", detail))
        else:
            mirrored = original if section.mirror_of else None
            region, side = section.place(mirrored), section.half(mirrored)
            place = Place(section.name, region, side, original.lay)
            laid.append(_laid(place, rows, plan, per_row))
    if faults:
        raise StyleError(*faults)
    return tuple(laid)


def _laid(
    place: Place, rows: tuple[int, ...], plan: CurlPlan, per_row: tuple[int, ...] = ()
) -> LaidSection:
    return LaidSection(*place, rows=rows, curls=_curls(place.region, rows, plan, per_row))


def _curls(
    region: Region, rows: tuple[int, ...], plan: CurlPlan, per_row: tuple[int, ...]
) -> tuple[int, ...]:
    """Curls of each row: the rise of a running total that is rounded once per row.

    The running total after `k` of `n` braids of a back section is
    `fullness * (per_braid * k + extra * k^2 / (2 n))`: the extra grows evenly from the nape, and
    the total of a section grows with each of its arguments.
    """
    if plan.placement is CurlPlacement.NONE:
        return (0,) * len(rows)
    braids = sum(rows)
    full = plan.crown_and_front_extra if region in _CURLS_TO_THE_FULL else 0
    growing = region not in _CURLS_TO_THE_FULL and region not in _NO_EXTRA_CURLS
    slope = plan.crown_and_front_extra / (2 * braids) if growing else 0.0
    curls, before, done, stated = [], 0, 0, 0
    for index, boxes in enumerate(rows):
        done += boxes
        stated += boxes * per_row[index] if per_row else boxes * (plan.per_braid + full)
        grown = 0.0 if per_row else slope * done * done
        total = floor(plan.fullness * (stated + grown) + 0.5)
        curls.append(total - before)
        before = total
    return tuple(curls)
