"""Labour: minutes line by line, phase by phase, at house pace and then at the pace asked.

`braiding = foundation + sum over rows of (parting + braids * (base + tie-off) + curls * curl)`,
where `base = (start + per_cm * length) * the size's time`. Every line is `quantity * rate`, so the
lines of a phase add up to its mean, and all lines to the visit's.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import fsum
from typing import NamedTuple

from schemas.takeoff import Provenance, RowCount
from schemas.work import BRAIDING, FINISH, HAIR_PREP, TAKE_DOWN, WASH
from solver.takeoff.case import Case
from solver.takeoff.parting import LaidSection
from solver.takeoff.rates import RateBook


class Line(NamedTuple):
    """One line of the reckoning, before it becomes a document; fields as in `TakeOffLine`."""

    phase: str
    section: str
    label: str
    quantity: float
    rate: float
    unit: str
    rate_code: str | None
    provenance: Provenance
    worked: str | None = None

    @property
    def amount(self) -> float:
        return self.quantity * self.rate


def braid_minutes(case: Case) -> float:
    """Base minutes of one unit, without curls and tie-off."""
    which, rates = case.technique.id, case.rates
    base = rates[f"start-{which}"] + rates[f"per-cm-{which}"] * case.style.length_cm
    return base * case.size.time if case.technique.sized else base


def braid_minutes_worked(case: Case) -> str:
    """How `braid_minutes` comes about, in words with the codes of the rates behind it."""
    which, rates, style = case.technique.id, case.rates, case.style
    start, per_cm = rates[f"start-{which}"], rates[f"per-cm-{which}"]
    words = f"start-{which} {start:g} + per-cm-{which} {per_cm:g} * {style.length_cm:g} cm"
    if not case.technique.sized:
        return words
    if style.box_width_cm is None:
        return f"({words}) * time-{style.size} {case.size.time:g}"
    return f"({words}) * {case.size.time:.4g}, the time of a box of {case.size.box_cm:g} cm"


def row_counts(laid: Sequence[LaidSection], base: float, rates: RateBook) -> tuple[RowCount, ...]:
    """Every row with its minutes; `base` is `braid_minutes`."""
    parting, curl = rates["parting-row"], rates["curl-time"]
    each = base + rates["tie-off"]
    return tuple(
        RowCount(
            section=section.name,
            row=index,
            braids=braids,
            curls=curls,
            curls_per_braid=curls / braids,
            minutes=parting + braids * each + curls * curl,
        )
        for section in laid
        for index, (braids, curls) in enumerate(zip(section.rows, section.curls, strict=True), 1)
    )


def labour_lines(
    case: Case,
    laid: Sequence[LaidSection],
    base: float,
    hair_grams: float,
    pace: tuple[float, Provenance],
) -> list[Line]:
    """The minutes of every phase, in the order of the visit; `pace` with where it comes from."""
    style, technique, rates = case.style, case.technique, case.rates
    braids = sum(section.braids for section in laid)
    lines: list[Line] = []

    def add(phase: str, section: str, label: str, quantity: float, code: str) -> None:
        rate = rates.rate(code)
        made_by = rate.provenance
        line = Line(phase, section, label, quantity, rate.value, rate.unit, code, made_by)
        lines.append(line)

    if style.take_down:
        old = style.take_down_braids or braids
        add(TAKE_DOWN, TAKE_DOWN, "Getting ready", 1, "take-down-base")
        add(TAKE_DOWN, TAKE_DOWN, "Old braids", old, "take-down-braid")
    if style.wash:
        add(WASH, WASH, "Wash and blow-dry", 1, "wash")
    if hair_grams:
        add(HAIR_PREP, HAIR_PREP, "Laying out", 1, "prep-base")
        add(HAIR_PREP, HAIR_PREP, "Hair, in 100 g", hair_grams / 100, "prep-hair")
    if technique.foundation:
        add(BRAIDING, BRAIDING, "Cornrows underneath", 1, f"foundation-{technique.id}")
    own, worked = rates.provenance(f"start-{technique.id}"), braid_minutes_worked(case)
    for section in laid:
        name = section.name
        add(BRAIDING, name, "Rows parted", len(section.rows), "parting-row")
        unit = f"min per {technique.unit}"
        label = f"{technique.unit.capitalize()}s"
        lines.append(Line(BRAIDING, name, label, section.braids, base, unit, None, own, worked))
        curls = sum(section.curls)
        if curls:
            add(BRAIDING, name, "Curls left out", curls, "curl-time")
        add(BRAIDING, name, "Ends closed", section.braids, "tie-off")
    add(FINISH, FINISH, "Stray ends and foam", 1, "finish-base")
    add(FINISH, FINISH, "Braids smoothed", braids, "finish-braid")
    if style.hot_water_set:
        add(FINISH, FINISH, "Hot-water setting", 1, "hot-water")
    return _paced(lines, style.wearer.child, rates, pace)


def _paced(
    lines: list[Line], child: bool, rates: RateBook, paced: tuple[float, Provenance]
) -> list[Line]:
    """The lines with what a child's head and the lead's pace add to each phase."""
    pace, made_by = paced
    if not child and pace == 1:
        return lines
    done: list[Line] = []
    for phase, minutes in phase_means(lines).items():
        done.extend(line for line in lines if line.phase == phase)
        if child:
            rate = rates.rate("child-extra")
            unit, code = rate.unit, rate.code
            extra = Line(phase, phase, "A child in the chair", minutes, rate.value, unit, code,
                         rate.provenance)  # fmt: skip
            done.append(extra)
            minutes += extra.amount  # noqa: PLW2901
        if pace != 1:
            label, unit = f"Pace {pace:g}", "share more or less"
            slow = Line(phase, phase, label, minutes, pace - 1, unit, None, made_by)
            done.append(slow)
    return done


def phase_means(lines: Sequence[Line]) -> dict[str, float]:
    """Minutes by phase, in the order of the visit."""
    amounts: dict[str, list[float]] = {}
    for line in lines:
        amounts.setdefault(line.phase, []).append(line.amount)
    return {phase: fsum(of_phase) for phase, of_phase in amounts.items()}
